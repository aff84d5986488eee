"""Everything the pages at the kiln show, gathered before it is drawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from markupsafe import Markup
from sqlalchemy import Row

from enamelwright.craft.coat import STAGES
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures.firing_line import NARROW, WIDE, Mark, firing_line_svg
from enamelwright.pictures.load_view import load_svg, load_words
from enamelwright.pictures.stage_view import LOOKS, stage_svg
from enamelwright.reference.loader import rows as reference_rows
from enamelwright.web import drawings
from enamelwright.web.metal_words import metal_words
from enamelwright.web.shelf import Shelf, shelf_of
from enamelwright.web.viewer import degrees
from enamelwright.workshop.at_kiln import back_up_at
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import coats_without_firing
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.expecting import Expected, expected, expected_of_rows
from enamelwright.workshop.firings import looks_of, open_load_of, open_loads, pieces_in
from enamelwright.workshop.kilns import in_order_described, kiln_row
from enamelwright.workshop.last_time import LastTime, last_time
from enamelwright.workshop.lay_order import order_of_version
from enamelwright.workshop.pieces import piece_row, pieces_in_work
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.predictions import foretell, plan_of, predictions_of
from enamelwright.workshop.studio import Studio

#: Warnings shown unasked.
UNASKED = 3
#: Faults with a chip of their own; the others are one tap further (common practice, no source).
COMMON = (
    "pits", "hairline", "chip", "warp", "pullaway", "blackrim", "blackspeck", "dull", "overfired", "fluxcu", "cloudy",
    "mark",
)  # fmt: skip
#: When a fault must have been known to be seen for it to have a chip at the kiln.
AT_THE_KILN = frozenset({"kiln", "first minute", "first firing", "cooling"})
#: Ways a piece cools, and what goes wrong in the hand, in the words of the record.
COOLED = ("on the pad", "in the kiln", "slowly", "under weight", "quenched")
MISHAPS = ("dropped", "slid off", "stuck", "touched", "powder lost", "knocked")
#: What carries a piece.
SUPPORTS = ("mesh", "trivet", "plate", "mica", "hung", "fork", "torch ring")
STARTS = {"load": "from closing the door", "recovered": "from when it is back up to heat"}


@dataclass(frozen=True)
class Candidate:
    """A piece that could go in."""

    number: str
    label: str
    words: str


@dataclass(frozen=True)
class StageButton:
    """A stage as a button shows it."""

    stage: str
    picture: Markup
    hot: str
    cold: str
    aimed: bool


@dataclass(frozen=True)
class LoadView:
    """One load, before it goes in or while it is known.

    Parameters
    ----------
    shelf : Shelf
        Where everything stands.
    expected : Expected
        What is foretold.
    lines : tuple of (str, Markup)
        The firing along its time, wide and narrow; empty where no time is worked out.
    buttons : tuple of StageButton
        What may be seen.
    standing : tuple of (Markup, str)
        How the first piece stands, edge-on; empty when nothing is known.
    settings : tuple of (str, str)
        Degrees, and for which pieces.
    verdicts : tuple of Verdict
        What must be said before it goes in, at most three.
    face_up, support : str
        As planned.
    last : LastTime or None
        The last good firing of the same kind in this kiln.
    again : tuple of (str, int, str)
        Pieces whose firing of the plan is one they have been through: number, firing, and why.
    kiln : str
        Name of the kiln it is foretold for, before it goes in; empty where none is described.
    """

    shelf: Shelf
    expected: Expected
    lines: tuple[tuple[str, Markup], ...]
    buttons: tuple[StageButton, ...]
    standing: tuple[tuple[Markup, str], ...]
    settings: tuple[tuple[str, str], ...]
    verdicts: tuple[Verdict, ...] = ()
    face_up: str = ""
    support: str = ""
    last: LastTime | None = None
    again: tuple[tuple[str, int, str], ...] = ()
    kiln: str = ""

    @property
    def likely(self) -> str:
        """When it is likely to be taken out; empty where no time is told."""
        return clock(round(self.expected.likely)) if self.expected.likely is not None else ""

    @property
    def span(self) -> str:
        """From when to when it may be taken out; the later is the one latest time. Empty where no time is told."""
        what = self.expected
        late = what.out_by if what.out_by is not None else what.high
        return f"{clock(round(what.low))} to {clock(round(late))}" if what.low is not None and late is not None else ""

    @property
    def last_words(self) -> str:
        """How long it took last time, and which piece."""
        return f"last time {clock(round(self.last.seconds))} ({self.last.piece})" if self.last is not None else ""


def candidates(studio: Studio) -> tuple[list[Candidate], list[Candidate]]:
    """Return the pieces with coats that wait to be fired, and the other pieces in work; none that is in a kiln."""
    with studio.reading():
        work = pieces_in_work(studio)
        waiting = {coat.piece for coat in coats_without_firing(studio)}
        inside = {one.piece for load in open_loads(studio) for one in pieces_in(studio, load.of)}
        coming = next_firings(studio, [row.id for row in work])
        known = bench(studio)
        planned = {row.design_version for row in work if row.design_version is not None}
        orders = {one: order_of_version(version_row(studio, one), known) for one in planned}
    laid: list[Candidate] = []
    others: list[Candidate] = []
    for row in work:
        if row.id in inside:
            continue
        order = orders.get(row.design_version)
        here = coming[row.id]
        number = here.number if order is None else here.to_do(order)
        words = ", ".join(filter(None, (f"firing {number}" if number else "every firing done", metal_words(row.metal))))
        one = Candidate(row.number, row.label or "", words if row.design_version is not None else f"{words}, no plan")
        (laid if row.id in waiting else others).append(one)
    return laid, others


def before(studio: Studio, names: Sequence[str], kiln: str = "") -> LoadView:
    """Gather a load that is about to go in.

    Parameters
    ----------
    studio : Studio
        The studio.
    names : sequence of str
        Numbers of the pieces in the order they were chosen.
    kiln : str
        Name of the kiln; the one described first when empty.
    """
    rows = list({row.id: row for row in (piece_row(studio, name) for name in names)}.values())
    chosen = kiln_row(studio, kiln) if kiln else next(iter(in_order_described(studio)), None)
    told = foretell(studio, rows, {} if chosen is None else {"kiln": chosen.name})
    what = expected(studio, told, {row.id: row.number for row in rows})
    plans = _plans(studio, rows, what)
    last = next(
        (
            last_time(
                studio, one.asked["piece"], one.figures["firing"], kiln=None if chosen is None else int(chosen.id)
            )
            for one in told
            if one.figures is not None
        ),
        None,
    )
    names_of = {row.id: row.number for row in rows}
    again = tuple(
        (names_of[one.piece], int(one.figures["firing"]["number"]), one.again)
        for one in told
        if one.again and one.figures is not None
    )
    view = _view(shelf_of(studio, rows), what, _first_firing(what, plans), _verdicts(what, plans), last)
    return replace(view, again=again, kiln="" if chosen is None else str(chosen.name))


def inside(studio: Studio, load: Row[Any]) -> LoadView:
    """Gather a load that is in the kiln, or has been.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : Row
        Of :func:`enamelwright.workshop.firings.load_row`.
    """
    parts = pieces_in(studio, load.of)
    numbers = {part.piece: part.number for part in parts}
    frozen = list(predictions_of(studio, load.of))
    what = expected_of_rows(studio, frozen, numbers)
    rows = [piece_row(studio, part.piece) for part in parts]
    shelf = shelf_of(studio, rows, {part.piece: part for part in parts})
    last = next(
        (
            last_time(
                studio, one.asked["piece"], one.figures["firing"], kiln=load.kiln, set_point=load.set_point,
                before=load.at, other_than=load.of,
            )
            for one in frozen
            if (one.asked or {}).get("piece") and (one.figures or {}).get("firing")
        ),
        None,
    )  # fmt: skip
    return _view(shelf, what, _first_firing(what, _plans(studio, rows, what)), (), last)


def client_data(view: LoadView, load: Row[Any] | None, studio: Studio) -> dict[str, Any]:
    """Return what the clock in the browser needs, as plain JSON."""
    what = view.expected
    data: dict[str, Any] = {
        "pieces": [place.number for place in view.shelf.places],
        "positions": {place.number: place.position for place in view.shelf.places},
        "target": what.target, "start": what.start, "first": what.first, "every": what.every, "outBy": what.out_by,
        "looksAt": list(what.looks), "kiln": view.kiln,
        "over": what.over, "firstOut": what.first_out, "order": list(STAGES),
        "stages": [{"stage": one.stage, "low": one.low, "value": one.value, "high": one.high} for one in what.stages],
        "load": None,
    }  # fmt: skip
    if load is None:
        return data
    looks = looks_of(studio, load.of)
    return data | {
        "load": load.number,
        "start": load.start or "load",
        "target": load.target or what.target,
        "closed": load.closed_at is not None,
        "elapsed": elapsed(studio, load),
        "backUp": back_up_at(studio, load.of),
        "looks": [
            {"seconds": one.seconds, "stage": one.stage_seen, "backIn": one.back_in}
            for one in looks
            if one.stage_seen or one.back_in is not None
        ],
    }


def still_in(studio: Studio, view: LoadView) -> list[tuple[str, str]]:
    """Return pieces that are about to go in and are in a load already, with its number."""
    found = []
    for place in view.shelf.places:
        row = open_load_of(studio, piece_row(studio, place.number).id)
        if row is not None:
            found.append((place.number, row.number))
    return found


def elapsed(studio: Studio, load: Row[Any]) -> float:
    """Return the seconds since a load went in, by the clock of this machine."""
    return max(0.0, (studio.clock() - datetime.fromisoformat(load.at)).total_seconds())


def counted(studio: Studio, load: Row[Any]) -> float | None:
    """Return the seconds of a load as it counts them; None while it waits to be back up to heat."""
    gone = elapsed(studio, load)
    if load.start != "recovered":
        return gone
    since = back_up_at(studio, load.of)
    return None if since is None else max(0.0, gone - since)


def clock(seconds: float | None) -> str:
    """Print seconds as minutes and seconds."""
    if seconds is None:
        return "0:00"
    whole = int(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def fault_chips(unlikely: frozenset[str] = frozenset()) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Return the faults of the kiln as (id, words): the common ones, and the others with those not likely here last."""
    named: dict[str, str] = {}
    for row in reference_rows("trade/faults"):
        if row["when_seen"] in AT_THE_KILN:
            named.setdefault(row["fault_id"], row["fault"].partition("(")[0].strip())
    common = [(key, named[key]) for key in COMMON if key in named and key not in unlikely]
    others = [key for key in named if key not in dict(common)]
    return common, [(key, named[key]) for key in sorted(others, key=lambda key: key in unlikely)]


def _plans(studio: Studio, rows: Sequence[Row[Any]], what: Expected) -> dict[str, Plan]:
    """Return the plan of each piece of which something is foretold, by its number; each plan is asked for once."""
    known = bench(studio)
    plans: dict[int, Plan | None] = {}
    found: dict[str, Plan] = {}
    for row in rows:
        if row.design_version is None or row.number not in what.firings:
            continue
        if row.design_version not in plans:
            try:
                plans[row.design_version] = plan_of(studio, version_row(studio, row.design_version), known).payload
            except EnamelwrightError:
                plans[row.design_version] = None
        plan = plans[row.design_version]
        if plan is not None:
            found[row.number] = plan
    return found


def _first_firing(what: Expected, plans: Mapping[str, Plan]) -> tuple[Firing, Plan] | None:
    """Return the planned firing of the first piece that has one, with its plan."""
    for number, plan in plans.items():
        firing = next((one for one in plan.firings if one.number == what.firings[number]["number"]), None)
        if firing is not None:
            return firing, plan
    return None


def _view(
    shelf: Shelf,
    what: Expected,
    firing: tuple[Firing, Plan] | None,
    verdicts: tuple[Verdict, ...],
    last: LastTime | None,
) -> LoadView:
    standing: tuple[tuple[Markup, str], ...] = ()
    if firing is not None:
        one, plan = firing
        dome = plan.piece.dome / plan.chord if plan.chord > 0 else 0.0
        drawn = drawings.lit(load_svg(one, "daylight", "standing", form=plan.piece.form, dome=dome), inks=True)
        standing = ((drawn, load_words(one, plan.piece.form)),)
    return LoadView(
        shelf=shelf,
        expected=what,
        lines=_lines(what),
        buttons=tuple(
            StageButton(
                stage, drawings.lit(stage_svg(stage, "daylight", f"stage-{stage.replace(' ', '-')}"), inks=True),
                LOOKS[stage].hot, LOOKS[stage].cold, stage == what.target,
            )
            for stage in what.seen
        ),
        standing=standing,
        settings=tuple((degrees(one.value), ", ".join(one.pieces)) for one in what.settings),
        verdicts=verdicts,
        face_up=firing[0].face_up if firing is not None else "",
        support=firing[0].support if firing is not None else "",
        last=last,
    )  # fmt: skip


def _lines(what: Expected) -> tuple[tuple[str, Markup], ...]:
    if what.end is None or not what.stages:
        return ()
    marks = [Mark(one.stage, one.low, one.value, one.high) for one in what.stages]
    known = {mark.stage for mark in marks}
    if what.target and what.target not in known and what.low is not None and what.high is not None:
        late = what.out_by if what.out_by is not None else what.high
        middle = what.likely if what.likely is not None else (what.low * late) ** 0.5
        marks.append(Mark(what.target, min(what.low, middle), middle, max(late, middle)))  # type: ignore[arg-type]
        marks.sort(key=lambda mark: STAGES.index(mark.stage))
    return tuple(
        (
            name,
            drawings.lit(
                firing_line_svg(
                    marks,
                    what.end,
                    target=what.target,
                    looks=what.looks,
                    over=what.over,
                    measures=measures,
                    key=f"line-{name}",
                )
            ),
        )
        for name, measures in (("wide", WIDE), ("narrow", NARROW))
    )


def _verdicts(what: Expected, plans: Mapping[str, Plan]) -> tuple[Verdict, ...]:
    """Return what stops these firings, else what must be watched in them; at most three, each once."""
    found: dict[str, Verdict] = {}
    for number, plan in plans.items():
        for verdict in plan.leading:
            here = verdict.place.firing in {0, what.firings[number]["number"]}
            if verdict.counts and here and (verdict.level == "stop" or verdict.place.firing):
                found.setdefault(verdict.words, verdict)
    return tuple(sorted(found.values(), key=lambda one: one.level != "stop")[:UNASKED])
