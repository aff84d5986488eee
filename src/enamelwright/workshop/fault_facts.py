"""What this record knows of a fault: the firing it came from, what the plan warns of, the kiln, and how often it came.

Reads only. The finder and the rescue are asked with what is gathered here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.fault_atlas import fault_of
from enamelwright.learning.fault_finder import Tally, signs_of
from enamelwright.learning.fault_signs import NO_WIRES, FaultFacts, signs
from enamelwright.learning.rescue import Heats, heats_of
from enamelwright.questions.rescue import RescueInput
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.pieces import fault_seen, finish
from enamelwright.records.writing import current
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.control_looks import LAPSES
from enamelwright.workshop.control_tiles import control_series
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firing_facts import FiringFacts, firing_facts
from enamelwright.workshop.listing import foretold_of
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.rescues import Fired, heats
from enamelwright.workshop.studio import Studio

#: Longest words that are asked with.
MOST_WORDS = 200


@dataclass(frozen=True)
class Gathered:
    """A fault with everything that is known around it.

    Attributes
    ----------
    piece : Row
        The piece.
    fault : str
        Id, or the maker's own words.
    known : bool
        Whether the atlas knows it.
    when, place : str
        When and where it was seen, as far as it was told.
    load : str
        Number of the load it came from; empty when it was never fired.
    facts : FaultFacts
        Of the piece and that firing.
    record : tuple of Tally
        How often it came here, that load left out.
    heats : Heats
        What a way out would take in the kiln, in words.
    plan_firings : int
        Of the whole plan; 0 without one.
    planned : bool
        Whether the plan was asked.
    """

    piece: Row[Any]
    fault: str
    known: bool
    when: str
    place: str
    load: str
    facts: FaultFacts
    record: tuple[Tally, ...]
    heats: Heats
    plan_firings: int
    planned: bool

    def asked(self) -> RescueInput:
        """Return what to ask the finder and the rescue; both take the same.

        Raises
        ------
        InputError
            For a moment that is no moment of the record.
        """
        told = {"fault": self.fault[:MOST_WORDS], "when": self.when, "place": self.place[:MOST_WORDS]}
        return RescueInput.from_outside(told).model_copy(
            update={"facts": self.facts, "record": self.record, "heats": self.heats, "plan_firings": self.plan_firings}
        )


def gather(
    studio: Studio, piece: Which, fault: str = "", *, when: str = "", place: str = "", plan: Plan | None = None,
    known: Bench | None = None,
) -> Gathered:  # fmt: skip
    """Gather what is known of a fault on a piece.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    fault : str
        Id or name; the last fault seen on the piece that is not healed, else the last, when left out.
    when, place : str
        When and where it was seen, in place of what the record says.
    plan : Plan, optional
        Of the piece, when it is worked out.
    known : Bench, optional
        The bench, when it is at hand.
    """
    with studio.reading():
        row = piece_row(studio, piece)
        known = bench(studio) if known is None else known
        seen = _seen(faults_of(studio, row.id), fault)
        key = fault or (seen.fault if seen is not None else "")
        try:
            key, in_atlas = fault_of(key), True
        except EnamelwrightError:
            in_atlas = False
        every = firing_facts(studio, known=known)
        own = [one for one in every if one.piece == row.id]
        load = seen.load if seen is not None else None
        firing = next((one for one in own if one.load == load), own[-1] if own else None)
        facts = firing.facts if firing is not None else FaultFacts(metal=row.metal or "", metal_thickness=row.thickness)
        figures = foretold_of(studio, int(row.id)).get(firing.load) if firing is not None else None
        more = {
            **_foretold(figures, facts),
            **_of_piece(_described(studio, row, plan)),
            **_warned(plan),
            **_kiln(studio, firing),
            **_worked(studio, row.id, firing),
        }
        facts = facts.model_copy(update={**more, "firings_left": _firings_left(known, own, firing)})
        record = tallies(studio, key, every, firing.load if firing is not None else None)
        fired = Fired(
            figures, _kiln_of(studio, firing.load) if firing is not None else "", facts, plan,
            _drawn(studio, row) if plan is not None else None,
        )  # fmt: skip
    told = heats(fired, known, heats_of(key))
    return Gathered(
        row, key, in_atlas, when or (seen.when_seen or "" if seen is not None else ""),
        place or (seen.place_on_piece or "" if seen is not None else ""), firing.number if firing is not None else "",
        facts, record, told, len(plan.firings) if plan is not None else 0, plan is not None,
    )  # fmt: skip


def tallies(studio: Studio, fault: str, every: Sequence[FiringFacts], without: int | None = None) -> tuple[Tally, ...]:
    """Count by load how often a fault came with each sign and without it.

    Parameters
    ----------
    studio : Studio
        The studio.
    fault : str
        As kept.
    every : sequence of FiringFacts
        Of :func:`~enamelwright.workshop.firing_facts.firing_facts`.
    without : int, optional
        First row of a load that is left out.
    """
    with studio.reading() as connection:
        rows = connection.execute(
            current(fault_seen, fault_seen.c.load, fault_seen.c.piece).where(
                fault_seen.c.fault == fault, fault_seen.c.load.is_not(None)
            )
        )
        cases = {(row.load, row.piece) for row in rows}
    if not {load for load, _ in cases} - {without}:
        return ()
    asked = signs_of(fault)
    held: dict[int, dict[str, bool]] = defaultdict(dict)
    had: dict[int, bool] = {}
    for one in every:
        if one.load == without or one.facts.in_hand:
            continue
        case = (one.load, one.piece) in cases
        # In a load with the fault only the pieces that had it speak; a good piece beside them was not that try.
        if had.get(one.load, False) and not case:
            continue
        if case and not had.get(one.load, False):
            held[one.load].clear()
        had[one.load] = case
        for name, sign in signs(one.facts, asked).items():
            if sign.holds is not None:
                held[one.load][name] = held[one.load].get(name, False) or sign.holds
    counted: dict[str, list[int]] = defaultdict(lambda: [0, 0, 0, 0])
    for load, names in held.items():
        for name, holds in names.items():
            at = 0 if holds else 2
            counted[name][at] += 1
            counted[name][at + 1] += had[load]
    return tuple(
        Tally(sign=name, with_loads=a, with_faults=b, without_loads=c, without_faults=d)
        for name, (a, b, c, d) in sorted(counted.items())
        if a and c and b + d
    )


def _seen(found: list[Row[Any]], fault: str) -> Row[Any] | None:
    """Return the fault that is asked about: one that is not healed before one that is, the newest first."""
    asked = fault.strip().casefold()
    mine = [one for one in found if not asked or one.fault.casefold() == asked]
    if not mine and asked:
        try:
            mine = [one for one in found if one.fault == fault_of(fault)]
        except EnamelwrightError:
            return None
    return next((one for one in reversed(mine) if not one.healed), mine[-1] if mine else None)


def _foretold(figures: dict[str, Any] | None, facts: FaultFacts) -> dict[str, Any]:
    firing = (figures or {}).get("firing") or {}
    window = firing.get("window") or {}
    seconds = window.get("seconds") or {}
    found: dict[str, Any] = {}
    if seconds.get("low") and seconds.get("high"):
        found |= {"window_from": seconds["low"], "window_to": seconds["high"]}
    if window.get("start"):
        found["window_start"] = window["start"]
    if firing.get("target") and not facts.target:
        found["target"] = firing["target"]
    return found


def _warned(plan: Plan | None) -> dict[str, Any]:
    if plan is None:
        return {}
    return {"verdicts": tuple(sorted({one.rule for one in plan.verdicts if one.counts or one.intended}))}


def _described(studio: Studio, row: Row[Any], plan: Plan | None) -> Piece | None:
    """Return the piece as its design describes it; no plan has to be worked out for that."""
    if plan is not None:
        return plan.piece
    try:
        return designs.piece_of(designs.version_row(studio, row.design_version)) if row.design_version else None
    except EnamelwrightError:
        return None


def _of_piece(piece: Piece | None) -> dict[str, Any]:
    if piece is None:
        return {}
    return {
        "foil": bool(piece.foils),
        "wires": ", ".join(sorted({one.metal.replace("_", " ") for one in piece.wires})) or NO_WIRES,
        "solder": bool(piece.metal.solder),
        "formed": piece.metal.formed if piece.metal.formed or piece.dome == 0 else None,
    }


def _drawn(studio: Studio, row: Row[Any]) -> Shape | None:
    """Return the drawn outline of a piece."""
    return designs.shape_of(designs.version_row(studio, row.design_version)) if row.design_version else None


def _kiln_of(studio: Studio, load: int) -> str:
    """Return the name of the kiln of a load; empty when none is told."""
    with studio.reading() as connection:
        row = connection.execute(
            select(kiln_table.c.name)
            .join(load_table, load_table.c.kiln == kiln_table.c.id)
            .where(load_table.c.id == load)
        ).first()
    return str(row.name) if row is not None else ""


def _kiln(studio: Studio, firing: FiringFacts | None) -> dict[str, Any]:
    """Return what the control tiles said of the kiln when this went in."""
    if firing is None:
        return {}
    name = _kiln_of(studio, firing.load)
    for series in control_series(studio):
        if series.kiln != name or series.chart is None or series.since > firing.at:
            continue
        upto = [tile for tile in series.tiles if tile.at <= firing.at]
        if len(upto) <= series.chart.base:
            return {}
        trouble = [n for n in range(len(upto)) if series.chart.trouble[n]]
        if not trouble or trouble[-1] < len(upto) - LAPSES:
            return {"kiln": "as usual", "kiln_words": "the control tiles until then were as usual"}
        tile = upto[trouble[-1]]
        sooner = tile.seconds < series.chart.middle
        how = "sooner" if sooner else "later"
        words = f"the control tile {tile.label} of {tile.at[:10]} glossed {how} than it did"
        return {"kiln": "hotter" if sooner else "colder", "kiln_words": words}
    return {}


def _worked(studio: Studio, piece: int, firing: FiringFacts | None) -> dict[str, Any]:
    """Return whether it was stoned after this firing."""
    with studio.reading() as connection:
        rows = connection.execute(current(finish, finish.c.work, finish.c.at).where(finish.c.piece == piece)).all()
    if firing is None:
        return {}
    since = [row.work for row in rows if row.at >= firing.at]
    return {"stoned": bool({"stone", "burr out"} & set(since))}


def _firings_left(known: Bench, own: Sequence[FiringFacts], firing: FiringFacts | None) -> int | None:
    """Return how many firings the colours of the front still bear, where their jars say how many they survive."""
    left: list[int] = []
    for number, one in enumerate(own):
        for code in one.jars:
            try:
                most = known.jar(code).fusing.firings
            except EnamelwrightError:
                continue
            if most is not None:
                left.append(max(0, int(most) - (len(own) - number)))
    return min(left) if left and firing is not None else None
