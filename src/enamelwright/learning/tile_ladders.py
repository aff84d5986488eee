"""Ladders of test tiles as ready designs: one thing varies step by step, everything else is alike.

A tile of a ladder carries spots side by side, two depths as a rule, so that one firing tells of both. Tiles of ladders
of heat and time stand in the same place load after load, so that a hot corner is not taken for a step.

Checked in tests/learning/test_tile_ladders.py. Steps are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.learning.next_tile import TileTried
from enamelwright.learning.tile_batch import not_before_gloss, whole_time

HEAT_STEP, HEAT_STEPS = 10.0, (-1, 0, 1, 2)
"""How far the settings of a heat ladder are apart [K], and where they lie about the setting expected."""
TIME_STEPS = (-1, 0, 1, 2)
"""Where the times of a time ladder lie about the time expected."""
TIME_STEP_SHARE = 0.1
"""How far they are apart, as a share of that time: about twenty seconds."""
AGAIN = 4
"""Firings of the ladder that is fired again and again."""


@dataclass(frozen=True)
class SpotMade:
    """One spot of a tile: powder depth [m] and what lies under it."""

    thickness: float
    undercoat: str


@dataclass(frozen=True)
class LadderTile:
    """One tile of a ladder.

    Attributes
    ----------
    load : int
        Which load of the ladder, 1 for the first.
    place : int
        On the shelf, 1 for the first.
    temperature, seconds : float
        Setting [K] and time [s].
    spots : tuple of SpotMade
        Side by side.
    too_short : bool
        Whether it must come out short by what was seen, on purpose.
    """

    load: int
    place: int
    temperature: float
    seconds: float
    spots: tuple[SpotMade, ...]
    too_short: bool = False


@dataclass(frozen=True)
class TileLadder:
    """A ladder.

    Attributes
    ----------
    name : str
        Such as ``heat ladder``.
    words : str
        What varies, in how many steps.
    teaches : str
        What it is fired to learn.
    tiles : tuple of LadderTile
        Load by load.
    firings : int
        How often each tile is fired.
    """

    name: str
    words: str
    teaches: str
    tiles: tuple[LadderTile, ...]
    firings: int = 1


def ladders(
    tried: Sequence[TileTried],
    centre: tuple[float, float],
    longer: float,
    depths: Sequence[float],
    steps: Sequence[float],
    undercoats: Sequence[str],
    under: str,
    shelf: int,
) -> tuple[TileLadder, ...]:
    """Return the ladders about a setting.

    Parameters
    ----------
    tried : sequence of TileTried
        So far.
    centre : tuple of float
        Where the window is expected [K], [s].
    longer : float
        Share by which gloss comes later for each kelvin cooler [1/K].
    depths : sequence of float
        Powder depths every tile carries side by side [m].
    steps : sequence of float
        Powder depths of the thickness ladder [m].
    undercoats : sequence of str
        Of the undercoat ladder.
    under : str
        What lies under the tiles of the others.
    shelf : int
        Places.
    """
    middle = (shelf + 1) // 2
    kelvin, seconds = centre[0], whole_time(centre[1])
    sides = tuple(SpotMade(depth, under) for depth in depths)

    def tile(load: int, heat: float, time: float, spots: tuple[SpotMade, ...], place: int = middle) -> LadderTile:
        time = whole_time(time)
        return LadderTile(load, place, heat, time, spots, time < not_before_gloss(tried, heat, 0.0, longer))

    step = whole_time(TIME_STEP_SHARE * seconds)
    heats = tuple(tile(n, kelvin + k * HEAT_STEP, seconds, sides) for n, k in enumerate(HEAT_STEPS, 1))
    times = tuple(tile(n, kelvin, seconds + k * step, sides) for n, k in enumerate(TIME_STEPS, 1))
    quarters = tuple(
        tile(n // shelf + 1, kelvin, seconds, tuple(SpotMade(depth, one) for one in undercoats), n % shelf + 1)
        for n, depth in enumerate(depths)
    )
    return (
        TileLadder(
            "heat ladder", f"{len(heats)} tiles alike, {len(heats)} loads, {HEAT_STEP:g} °C apart, the same time",
            "how hot a jar, a flux or a red may be", heats,
        ),
        TileLadder(
            "time ladder", f"{len(times)} tiles alike, {len(times)} loads, {step:g} s apart, the same setting",
            "how long until gloss, and what turns", times,
        ),
        TileLadder(
            "thickness ladder", "one load: thin, just hidden and double on one tile, on one undercoat",
            "where it hides, where it bubbles",
            (tile(1, kelvin, seconds, tuple(SpotMade(depth, under) for depth in steps)),),
        ),
        TileLadder(
            "undercoat ladder", f"one load, a tile for each depth, in parts: {', '.join(undercoats)}",
            "which ground the colour needs", quarters,
        ),
        TileLadder(
            "again ladder", f"one tile, fired {AGAIN} times, a photo after each", "how many firings the colour bears",
            (tile(1, kelvin, seconds, sides),), AGAIN,
        ),
    )  # fmt: skip
