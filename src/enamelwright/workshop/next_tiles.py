"""Which tiles of a jar to fire next: what was tried so far, where its window is expected, and what the shelf holds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Any

from sqlalchemy import select

from enamelwright.errors import InputError
from enamelwright.questions.next_tile import NextTileInput, TileInput
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import prediction
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.firing_facts import FiringFacts, firing_facts
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.studio import Studio

#: Kinds of piece that are fired to learn.
TILES = frozenset({"test tile", "control tile", "sample", "strip"})
#: Faults of too much heat and of too little; others say nothing of the window.
BURNT = frozenset({"overfired", "redbrown", "burnoff", "fluxag", "green", "sink", "breakthrough"})
SHORT = frozenset({"dull", "cloudy", "fluxcu"})
_SHORT_STAGES = frozenset({"powder", "sugar", "orange peel"})


@dataclass(frozen=True)
class TilesTried:
    """What is known of a jar's window before the next tile.

    Attributes
    ----------
    jar : str
        Code.
    asked : NextTileInput
        Ready to be asked.
    loads : tuple of str
        Numbers of the loads it stands on.
    of_tiles : bool
        Whether they were tiles; else pieces stand in for them.
    foretold : bool
        Whether the middle comes from a window that was foretold.
    """

    jar: str
    asked: NextTileInput
    loads: tuple[str, ...]
    of_tiles: bool
    foretold: bool


def tiles_tried(studio: Studio, jar: Which, every: Sequence[FiringFacts] | None = None, **wanted: Any) -> TilesTried:
    """Gather what was tried of a jar, one try a load.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str
        Row or code.
    every : sequence of FiringFacts, optional
        All firings, when they are at hand.
    **wanted
        `loads`, `shelf`, `thicknesses`, `undercoats` of the question.
    """
    with studio.reading() as connection:
        code = jar_row(studio, jar).code
        every = firing_facts(studio) if every is None else every
        kinds = {row.id: row.kind for row in connection.execute(select(piece_table.c.id, piece_table.c.kind))}
        mine = [one for one in every if one.jars == (code,) and not one.facts.in_hand]
        tiles = [one for one in mine if kinds[one.piece] in TILES]
        used = tiles or mine
        heats = {
            row.of: row.set_point
            for row in connection.execute(current(load_table, load_table.c.set_point))
            if row.set_point is not None
        }
        faults: dict[tuple[int, int], set[str]] = defaultdict(set)
        for row in connection.execute(current(fault_seen, fault_seen.c.load, fault_seen.c.piece, fault_seen.c.fault)):
            faults[row.load, row.piece].add(row.fault)
        windows = [
            window
            for row in connection.execute(
                current(prediction, prediction.c.figures)
                .where(prediction.c.load.in_([one.load for one in mine]))
                .order_by(prediction.c.id.desc())
                .limit(1)
            )
            if (window := ((row.figures or {}).get("firing") or {}).get("window"))
        ]
    by_load: dict[int, list[FiringFacts]] = defaultdict(list)
    for one in used:
        if one.load in heats and one.facts.seconds:
            by_load[one.load].append(one)
    tried, numbers = [], []
    for load, pieces in by_load.items():
        outcomes = [_came(one, faults[load, one.piece]) for one in pieces]
        came = max(sorted(set(outcomes)), key=outcomes.count)
        try:
            tried.append(TileInput(temperature=heats[load], time=pieces[0].facts.seconds or 0.0, came=came))
        except (ValueError, InputError):
            continue
        numbers.append(pieces[0].number)
    centre = _centre(windows, tried, bool(tiles))
    asked = NextTileInput(tried=tuple(tried), loads_fired=len(numbers), **(centre or {}), **wanted)
    return TilesTried(code, asked, tuple(numbers), bool(tiles), bool(windows))


def _came(one: FiringFacts, faults: set[str]) -> Any:
    heat = faults & BURNT - ({"redbrown"} if one.facts.warm_on_bare else set())
    if one.facts.stage == "over-fired" or heat:
        return "burnt"
    if one.facts.stage in _SHORT_STAGES or faults & SHORT:
        return "short"
    return "good"


def _centre(windows: list[Any], tried: list[TileInput], of_tiles: bool) -> dict[str, float] | None:
    good = [one for one in tried if one.came == "good"]
    if good and of_tiles:
        return {
            "centre": median(one.temperature for one in good),
            "centre_time": max(20.0, median(one.time for one in good)),
        }
    for window in windows:
        set_point, seconds = window.get("set_point") or {}, window.get("seconds") or {}
        if set_point.get("value") and seconds.get("value"):
            return {"centre": float(set_point["value"]), "centre_time": max(20.0, float(seconds["value"]))}
    if tried:
        return {
            "centre": median(one.temperature for one in tried),
            "centre_time": max(20.0, median(one.time for one in tried)),
        }
    return None
