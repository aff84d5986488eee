"""What the pages of "What we learned" show: kilns and jars, the control tile, foretold and happened, faults, tiles."""

from __future__ import annotations

import json
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any

from markupsafe import Markup

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.control_chart import ControlChart
from enamelwright.learning.proportions import exact
from enamelwright.pictures import learned_charts
from enamelwright.questions.next_tile import NextTileAnswer
from enamelwright.records.store import Store
from enamelwright.web import piece_view, sections
from enamelwright.web.learns import changed
from enamelwright.web.viewer import degrees
from enamelwright.workshop.control_looks import TileFired
from enamelwright.workshop.control_tiles import ControlSeries
from enamelwright.workshop.coverage import BOW, GLOSS, Compared, Coverage, compared, coverage
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.fault_facts import fault_list, jars_that_stand_out
from enamelwright.workshop.firing_facts import FiringFacts
from enamelwright.workshop.learning import learn
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import KilnLearned, kilns_learned

#: Pairs that are drawn, and pairs that are listed.
DRAWN, LISTED = 30, 20
#: Share of the bands that ought to hold.
SURE = 0.9

_lock = threading.Lock()
_kept: dict[str, tuple[tuple[Store, tuple[int, int], date], list[KilnLearned], dict[str, int]]] = {}


@dataclass(frozen=True)
class KilnsNow:
    """Kilns with what is known of them, and why firings were left out."""

    kilns: list[KilnLearned]
    left_out: dict[str, int]


def at_hand(studio: Studio) -> KilnsNow | None:
    """Return what was learned of the kilns when it is worked out already.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    key = _key(studio)
    with _lock:
        found = _kept.get("kilns")
    if found is None or found[0][0] is not key[0] or found[0][1:] != key[1:]:
        return None
    return KilnsNow(found[1], found[2])


def worked_out(studio: Studio) -> KilnsNow:
    """Return what was learned of the kilns; takes a breath the first time after a firing.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    found = at_hand(studio)
    if found is not None:
        return found
    key = _key(studio)
    learned = learn(studio)
    kilns = kilns_learned(studio, learned)
    with _lock:
        _kept["kilns"] = (key, kilns, learned.left_out)
    return KilnsNow(kilns, learned.left_out)


def _key(studio: Studio) -> tuple[Store, tuple[int, int], date]:
    return studio.store, changed(studio), studio.today()


@dataclass(frozen=True)
class BeforeAfter:
    """The next window of a piece, without what the record taught and with it."""

    piece: str
    label: str
    firing: int
    words: str
    before: piece_view.Foretold
    after: piece_view.Foretold


def before_after(studio: Studio, known: Bench) -> BeforeAfter | None:
    """Return the next window of a piece in work, without the record and with it; None when there is none.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    pieces = [one for one in pieces_in_work(studio) if one.design_version]
    coming = next_firings(studio, [int(one.id) for one in pieces])
    plain = known.model_copy(update={"learned_clocks": (), "learned_bows": (), "learned_hands": ()})
    for one in pieces:
        plan, _ = sections.work_out(studio, one.design_version, known)
        if plan is None:
            continue
        number = coming[int(one.id)].of_plan(plan).number
        after = next((firing for firing in plan.firings if firing.number == number), None)
        if after is None or after.window is None or after.window.seconds is None:
            continue
        try:
            without = plan_of(studio, version_row(studio, one.design_version), plain).payload
        except EnamelwrightError:
            continue
        before = next((firing for firing in without.firings if firing.number == number), None)
        if before is None:
            continue
        first, second = (piece_view.foretold(f.window, f.target) for f in (before, after))
        if first is not None and second is not None:
            return BeforeAfter(one.number, one.label or "", number, after.words, first, second)
    return None


def chart(spec: dict[str, Any]) -> Markup:
    """Write a specification so that it can stand in a page.

    Parameters
    ----------
    spec : dict
        Of :mod:`enamelwright.pictures.learned_charts`.
    """
    text = json.dumps(spec, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # nothing in it can end the script or begin another


def kiln_chart(kiln: KilnLearned) -> Markup:
    """Draw how a kiln moved.

    Parameters
    ----------
    kiln : KilnLearned
        With more than one day.
    """
    days = [(one.day.isoformat(), one.low, one.likely, one.high) for one in kiln.days]
    days = [(day, round(low, 1), round(likely, 1), round(high, 1)) for day, low, likely, high in days]
    return chart(learned_charts.kiln_days(days, [one.isoformat() for one in kiln.changed]))


@dataclass(frozen=True)
class Charted:
    """One chart of control tiles as a page shows it: picture, finding, and a row for each tile."""

    said: str
    level: str
    picture: Markup
    finding: str
    rows: list[tuple[str, str, str, str]]
    head: str


#: What is charted of a control tile: title of the axis, head of the column, and how a value is written.
CHARTED = {
    "seconds": ("seconds to first gloss", "First gloss", "{:.0f} s"),
    "colour": ("colour, off the first tiles", "Off by", "{:.1f}"),
    "bow": ("bow in mm, front high", "Bow", "{:+.2f} mm"),
}


def charted(series: ControlSeries) -> list[Charted]:
    """Return the charts of one series: seconds to first gloss, then colour and bow where they were read.

    Parameters
    ----------
    series : ControlSeries
        Of one kiln and setting.
    """
    seconds = [one.seconds for one in series.tiles]
    found = [_charted("seconds", series.tiles, seconds, series.chart, series.words, series.alarm)]
    return found + [_charted(one.what, one.tiles, one.values, one.chart, one.words, one.alarm) for one in series.looks]


def _charted(
    what: str, tiles: Sequence[TileFired], values: Sequence[float], known: ControlChart | None, said: str,
    alarm: TileFired | None,
) -> Charted:  # fmt: skip
    title, head, written = CHARTED[what]
    trouble = [bool(one) for one in known.trouble] if known is not None else [False] * len(tiles)
    limits = None
    if known is not None:  # a colour cannot be too near to what it was
        limits = [round(one, 2) for one in known.limits[what == "colour" :]]
    picture = learned_charts.control_tile(
        [(tile.label, round(one, 2)) for tile, one in zip(tiles, values, strict=True)], trouble,
        round(known.middle, 2) if known is not None else None, limits, unit=title,
    )  # fmt: skip
    finding = "Every tile lies where chance leaves it."
    if alarm is not None:
        finding = f"{alarm.label} is the first that chance does not explain."
    elif any(trouble):
        finding = "The last tiles are in order again."
    rows = [
        (tile.label, tile.at, written.format(one), "alarm" if out else "as usual")
        for tile, one, out in zip(tiles, values, trouble, strict=True)
    ]
    level = "" if known is None else "good" if alarm is None else "watch"
    return Charted(said, level, chart(picture), finding if known is not None else "", rows, head)


@dataclass(frozen=True)
class Foretold:
    """One kind of band: how often it held, in words, with a picture and its newest cases."""

    what: str
    row: Coverage
    caption: str
    verdict: str
    picture: Markup
    cases: list[Compared]
    shown: list[tuple[Compared, str, str]]
    newest: tuple[int, int, str] | None


def foretold(studio: Studio) -> list[Foretold]:
    """Return what was foretold beside what happened, a part a kind.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    pairs = compared(studio)
    result = []
    for row in coverage(pairs):
        mine = [one for one in pairs if one.what == row.what]
        unit, dimension = ("s", "time") if row.what == GLOSS else ("mm", "length")
        scale = units.from_si(1.0, unit, dimension)
        ends = [one for one in mine[:DRAWN] if one.priced]
        drawn = [(one.low * scale, one.high * scale, one.happened * scale) for one in reversed(ends)]
        drawn = [(round(low, 3), round(high, 3), round(happened, 3)) for low, high, happened in drawn]
        title = "seconds to first gloss" if row.what == GLOSS else "bow in mm, front high"
        shown = [
            (
                one,
                f"{units.show(one.low, dimension, unit)} "
                + (f"to {units.show(one.high, dimension, unit)}" if isfinite(one.high) else "or more"),
                ("not by " if one.not_yet else "") + units.show(one.happened, dimension, unit),
            )
            for one in mine[:LISTED]
        ]
        result.append(
            Foretold(
                row.what, row, _caption(row), _verdict(row),
                chart(learned_charts.foretold_happened(drawn, title)), mine, shown,
                _newest(sum(one.held for one in mine[:LISTED])) if len(mine) > LISTED else None,
            )
        )  # fmt: skip
    return result


def _caption(row: Coverage) -> str:
    low, high = (round(100 * one) for one in row.between)
    how = f"{row.held} of {row.count} bands held what happened; so few tell {low} to {high} in a hundred"
    return f"{how}, and they ought to hold 90."


def _newest(held: int) -> tuple[int, int, str]:
    """Return (held, of how many, whether that is what chance allows a band that holds nine in ten)."""
    low, high = exact(held, LISTED, SURE)
    how = "fewer than" if high < SURE else "more than" if low > SURE else "about what"
    return held, LISTED, f"{how} nine in ten allows"


def _verdict(row: Coverage) -> str:
    """Good only where both all of them and chance allow it."""
    low, high = row.between
    return "good" if low <= SURE <= high else "watch"


#: What each kind of band is called, and what its figures are about.
NAMES = {GLOSS: "First gloss", BOW: "Bow"}


@dataclass(frozen=True)
class FaultLine:
    """One fault of the list in words."""

    fault: str
    name: str
    pieces: int
    loads: int
    in_hundred: str
    by_load: str
    up_to_here: str


@dataclass(frozen=True)
class Faults:
    """The list of faults with its picture."""

    lines: list[FaultLine]
    fired: int
    loads: int
    picture: Markup
    caption: str
    jars: list[tuple[str, str, str]]


def faults(studio: Studio, every: Sequence[FiringFacts]) -> Faults:
    """Return the faults of this record, the most frequent first.

    Parameters
    ----------
    studio : Studio
        The studio.
    every : sequence of FiringFacts
        All firings.
    """
    lines, fired, loads = fault_list(studio, every)
    told = [
        FaultLine(
            one.fault, piece_view.short(one.fault), one.pieces, one.loads, _between(one.between),
            _between(one.by_load), f"{round(100 * one.up_to_here)} %",
        )
        for one in lines
    ]  # fmt: skip
    drawn = [
        (
            piece_view.short(one.fault),
            *(round(100 * x, 2) for x in (one.between[0], one.pieces / fired, one.between[1])),
        )
        for one in lines
    ]
    caption = ""
    if lines:
        half = next((n for n, one in enumerate(lines, 1) if one.up_to_here >= 0.5), len(lines))
        names = ", ".join(piece_view.short(one.fault) for one in lines[:half])
        caption = f"{names.capitalize()}: {'these are' if half > 1 else 'this is'} half of all that went wrong."
    jars = [
        (
            one.what, piece_view.short(one.fault),
            f"{one.with_faults} of {one.with_loads} loads with it, {one.without_faults} of {one.without_loads} others",
        )
        for one in jars_that_stand_out(studio, every)
    ]  # fmt: skip
    return Faults(told, fired, loads, chart(learned_charts.fault_list(drawn)), caption, jars)  # type: ignore[arg-type]


def _between(share: tuple[float, float]) -> str:
    low, high = (100 * one for one in share)
    return f"{low:.1f} to {high:.0f}" if low < 1 else f"{low:.0f} to {high:.0f}"


@dataclass(frozen=True)
class TileWindow:
    """The window of a jar as a table: rows of one heat, columns of one time."""

    times: list[str]
    rows: list[tuple[str, list[str]]]


def tile_window(told: NextTileAnswer) -> TileWindow:
    """Return the window of an answer as a table, the hottest row first.

    Parameters
    ----------
    told : NextTileAnswer
        The answer.
    """
    times = sorted({one.time for one in told.window})
    heats = sorted({one.temperature for one in told.window}, reverse=True)
    at = {(one.temperature, one.time): one.standing for one in told.window}
    return TileWindow(
        [piece_view.minutes(one) for one in times],
        [(degrees(heat), [at[heat, time] for time in times]) for heat in heats],
    )
