"""Which tiles to fire next, load by load: temperature and time belong to the load, thickness and undercoat to the tile.

A load is a block. Tiles of one load are one try of its heat, so their differences tell of thickness, undercoat and
place only; each load therefore carries the same tiles, in another order on the shelf, and the first of a kiln day a
control tile. Without a tile the first loads are the corners and the centre of a plan of two levels; after that each is
the best of one world that fits what is known.

Source: G. E. P. Box, W. G. Hunter, J. S. Hunter, Statistics for Experimenters, 2nd ed. (2005), ch. 9: split plots.
Checked in tests/learning/test_tile_batch.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil
from typing import Any

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.designs import factorial
from enamelwright.learning.next_tile import (
    NEAR_HEAT,
    TEMPERATURE_SCALE,
    TIME_SHARE,
    GoodWindow,
    TileTried,
    first_glosses,
    good_window,
    mostly_good,
    too_long,
    too_short,
)

Array = npt.NDArray[np.float64]

STEPS = 4
"""Settings of the grid to each side of its middle."""
ROUND = 5.0
"""Times are set to that [s]: no hand is at the door to the second."""
CLOSE = 15.0
"""A time this little after the first gloss is told as one that may come out short [s]."""


@dataclass(frozen=True)
class TileMade:
    """One tile of a load.

    Attributes
    ----------
    place : int
        On the shelf, 1 for the first.
    what : str
        ``tile`` or ``control tile``.
    thickness : float or None
        Powder depth [m].
    undercoat : str
        What lies under it; empty for bare metal or when nothing was asked.
    """

    place: int
    what: str
    thickness: float | None = None
    undercoat: str = ""


@dataclass(frozen=True)
class TileLoad:
    """One load.

    Attributes
    ----------
    temperature, seconds : float
        Setting [K] and time [s].
    tiles : tuple of TileMade
        Where each stands.
    why : str
        Why this setting.
    """

    temperature: float
    seconds: float
    tiles: tuple[TileMade, ...]
    why: str


def batch(
    tried: Sequence[TileTried],
    centre: tuple[float, float],
    loads: int,
    shelf: int,
    thicknesses: Sequence[float] = (),
    undercoats: Sequence[str] = (),
    *,
    loads_fired: int = 0,
    control: bool = True,
    seed: int = 0,
    longer: float = 0.0,
) -> tuple[TileLoad, ...]:
    """Plan the next loads of tiles.

    Parameters
    ----------
    tried : sequence of TileTried
        One a load: several tiles of a load that came out alike are one try.
    centre : tuple of float
        Where the window is expected [K], [s].
    loads : int
        Loads wanted, at least 1.
    shelf : int
        Places on the shelf, the control tile included.
    thicknesses, undercoats : sequence
        What the tiles of a load differ in; every combination is one tile.
    loads_fired : int
        Loads fired so far.
    control : bool
        Whether the first load of the day carries a control tile.
    seed : int
        The same seed gives the same settings and places.
    longer : float
        Share by which gloss comes later for each kelvin cooler [1/K].

    Raises
    ------
    InputError
        When more tiles are wanted than the shelf holds.
    """
    depths: list[float | None] = [*thicknesses] or [None]
    different = list(product(depths, [*undercoats] or [""]))
    if loads < 1 or shelf < 1:
        raise InputError("no load and no shelf make no tile", "Ask for at least one load and one place.")
    if len(different) + control > shelf:
        raise InputError(
            f"{len(different)} tiles{' and the control tile' if control else ''} do not fit {shelf} places",
            "Vary fewer things, or fire them in two goes.",
        )
    rng = np.random.default_rng([seed, len(tried), loads_fired])
    planned = []
    for number, (temperature, seconds, why) in enumerate(_settings(tried, centre, loads, loads_fired, seed, longer)):
        guest = control and number == 0
        room = min(shelf - guest, len(different) * max(1, (shelf - guest) // len(different)))
        tiles = [different[k % len(different)] for k in range(room)]
        order = rng.permutation(room + guest)
        laid = [TileMade(int(place) + 1, "tile", *tile) for place, tile in zip(order, tiles, strict=False)]
        if guest:
            laid.append(TileMade(int(order[-1]) + 1, "control tile"))
        planned.append(TileLoad(temperature, seconds, tuple(sorted(laid, key=lambda one: one.place)), why))
    return tuple(planned)


def _settings(
    tried: Sequence[TileTried], centre: tuple[float, float], loads: int, loads_fired: int, seed: int, longer: float
) -> list[tuple[float, float, str]]:
    """Return setting, time and reason of each load."""
    middle = (centre[0], whole_time(centre[1]))
    first: list[tuple[float, float]] = []
    if len(tried) <= len(factorial(2)):
        for a, b in np.vstack([np.zeros(2), factorial(2)]):
            temperature = middle[0] + a * TEMPERATURE_SCALE / 2
            usual = middle[1] * later(longer, middle[0] - temperature)
            seconds = not_before_gloss(tried, temperature, whole_time(usual * (1 + b * TIME_SHARE / 2)), longer)
            gone = too_short(tried, temperature, seconds) | too_long(tried, temperature, seconds)
            near = [(t.temperature, t.seconds) for t in tried] + first
            step = TIME_SHARE / 2 * usual
            if not gone and not any(_near((temperature, seconds), other, step) for other in near):
                first.append((temperature, seconds))
    names = "the middle and the corners come first: hotter and cooler, longer and shorter"
    chosen = [(t, s, names + _short_words(tried, t, s, longer)) for t, s in first[:loads]]
    if len(chosen) < loads:
        temperatures, times = grid(middle)
        window = good_window(tried, middle)
        key = [seed, len(tried), max(1, loads_fired)]
        taken = [(t, s) for t, s, _ in chosen]
        more = drawn_settings(window, tried, temperatures, times, loads - len(chosen), key, taken, longer)
        why = "near what came out well, and likely to in a kiln and a jar as they may be; whatever comes narrows it"
        chosen += [(t, s, why + _short_words(tried, t, s, longer)) for t, s in more]
    return chosen


def drawn_settings(
    window: GoodWindow,
    tried: Sequence[TileTried],
    temperatures: Sequence[float],
    seconds: Sequence[float],
    count: int,
    key: Sequence[int],
    taken: Sequence[tuple[float, float]] = (),
    longer: float = 0.0,
) -> list[tuple[float, float]]:
    """Choose settings to fire next, one a load: each is the best of one world that fits what is known.

    Heat and time only add: what must come out short or burnt by what was seen is not tried, whatever world was drawn,
    as long as anything else is left. Nor is, once tiles came good, what lies more than a step from all of them: it
    would tell of nothing that anybody means to fire.

    Parameters
    ----------
    window : GoodWindow
        What is known.
    tried : sequence of TileTried
        What it stands on.
    temperatures, seconds : sequence of float
        Settings the kiln can do [K], [s].
    count : int
        Settings wanted.
    key : sequence of int
        The same numbers give the same settings.
    taken : sequence of (temperature, seconds)
        Chosen already.
    longer : float
        As for :func:`batch`.

    Returns
    -------
    list of (temperature, seconds)
        Different from each other as long as the grid allows.

    Raises
    ------
    InputError
        For an empty grid or no tile.
    """
    if not temperatures or not seconds or count < 1:
        raise InputError("no settings to choose from", "Give temperatures, times and how many tiles.")
    t, s = (one.ravel() for one in np.meshgrid(temperatures, seconds, indexing="ij"))
    raw = np.asarray([not_before_gloss(tried, heat, 0.0, longer) for heat in t])
    hopeless = too_short(tried, t, s) | too_long(tried, t, s) | (s < raw)
    far = beyond_a_step(tried, t, s, longer) if mostly_good(tried) else np.zeros(t.shape, dtype=bool)
    rng = np.random.default_rng(key)
    chosen = [k for k in range(t.size) if (float(t[k]), float(s[k])) in taken]
    already = len(chosen)
    for _ in range(count):
        chance = window.drawn(t, s, rng) - np.where(far, 1.0, 0.0) - np.where(hopeless, 2.0, 0.0)
        order = np.argsort(-chance, kind="stable")
        chosen.append(next((int(k) for k in order if int(k) not in chosen), int(order[0])))
    return [(float(t[k]), float(s[k])) for k in chosen[already:]]


def beyond_a_step(tried: Sequence[TileTried], t: Array, s: Array, longer: float) -> npt.NDArray[np.bool_]:
    """Whether a setting lies more than a step from all that came out well.

    Parameters
    ----------
    tried : sequence of TileTried
        So far.
    t, s : ndarray
        Settings [K] and times [s].
    longer : float
        As for :func:`batch`.
    """
    far = np.ones(t.shape, dtype=bool)
    for one in mostly_good(tried):
        usual = one.seconds * later(longer, one.temperature - t)
        far &= (abs(t - one.temperature) > TEMPERATURE_SCALE / 2) | (abs(s - usual) > TIME_SHARE / 2 * usual)
    return far


def _near(one: tuple[float, float], other: tuple[float, float], step: float) -> bool:
    return abs(one[0] - other[0]) < TEMPERATURE_SCALE / 8 and abs(one[1] - other[1]) < step / 4


def whole_time(seconds: float) -> float:
    """Return a time as it is set at the kiln: to five seconds, and at least that.

    Parameters
    ----------
    seconds : float
        [s].
    """
    return max(ROUND, ROUND * round(seconds / ROUND))


def later(longer: float, cooler: float | Array) -> Any:
    """Return how many times later gloss comes so many kelvins cooler.

    Parameters
    ----------
    longer : float
        Share for each kelvin [1/K].
    cooler : float or ndarray
        [K].
    """
    return np.exp(longer * cooler)


def not_before_gloss(tried: Sequence[TileTried], temperature: float, seconds: float, longer: float = 0.0) -> float:
    """Return a time that is no shorter than the first gloss is to be expected, by those that were noted [s].

    Parameters
    ----------
    tried : sequence of TileTried
        So far.
    temperature, seconds : float
        Setting [K] and time [s] that is meant.
    longer : float
        As for :func:`batch`; at nought a first gloss only tells of settings no hotter.
    """
    return max(seconds, ROUND * ceil(_gloss(tried, temperature, longer) / ROUND))


def _gloss(tried: Sequence[TileTried], temperature: float, longer: float) -> float:
    """Return when gloss is to be expected, by first glosses at the nearest heat [s]; 0 when none tells."""
    seen = first_glosses(tried)
    cooler = [(heat, gloss) for heat, gloss in seen if temperature <= heat + NEAR_HEAT / 2]
    known = [
        (abs(heat - temperature), gloss * float(later(longer, heat - temperature)))
        for heat, gloss in (seen if longer else cooler)
    ]
    plain = [gloss for _, gloss in cooler]
    return max(min(known)[1] if known else 0.0, max(plain, default=0.0))


def _short_words(tried: Sequence[TileTried], temperature: float, seconds: float, longer: float) -> str:
    """Say that a time is close to the first gloss, or before it."""
    gloss = _gloss(tried, temperature, longer)
    if bool(too_short(tried, temperature, seconds)) or seconds < gloss:
        return "; too short by what was seen, on purpose: nothing else is left to try"
    if gloss and seconds < gloss + CLOSE:
        return "; about when gloss first shows there, so it may come out short: that tells where gloss begins"
    return ""


def grid(centre: tuple[float, float]) -> tuple[list[float], list[float]]:
    """Return the temperatures [K] and times [s] that are looked at about a centre.

    Parameters
    ----------
    centre : tuple of float
        [K], [s].
    """
    sides = range(-STEPS, STEPS + 1)
    middle = whole_time(centre[1])
    step = whole_time(TIME_SHARE * centre[1] / STEPS)
    times = [middle + k * step for k in sides]
    return [centre[0] + k * TEMPERATURE_SCALE / STEPS for k in sides], [one for one in times if one > 0]
