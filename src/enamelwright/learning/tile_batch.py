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
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.designs import factorial
from enamelwright.learning.next_tile import (
    TEMPERATURE_SCALE,
    TIME_SCALE,
    GoodWindow,
    TileTried,
    good_window,
    window_inputs,
)

Array = npt.NDArray[np.float64]

Standing = Literal["good", "perhaps", "bad", "not known"]
LIKELY, UNLIKELY = 0.8, 0.35
"""Chances from which a setting is called good, and below which bad; between them and unsure, perhaps."""
LIKELY_END = 0.85
"""Ends of what a chance may be; where they lie on either side of good and bad the setting is not known."""
STEPS = 9
"""Settings of the grid along each side."""


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


@dataclass(frozen=True)
class WindowCell:
    """One setting of the picture: how tiles come out there, as far as is known."""

    temperature: float
    seconds: float
    standing: Standing


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
    for number, (temperature, seconds, why) in enumerate(_settings(tried, centre, loads, loads_fired, seed)):
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
    tried: Sequence[TileTried], centre: tuple[float, float], loads: int, loads_fired: int, seed: int
) -> list[tuple[float, float, str]]:
    """Return setting, time and reason of each load."""
    wanted = [(0.0, 0.0), *(tuple(row) for row in factorial(2))]
    corners = [(centre[0] + a * TEMPERATURE_SCALE / 2, max(1.0, centre[1] + b * TIME_SCALE / 2)) for a, b in wanted]
    left = [one for one in corners if not any(_near(one, (t.temperature, t.seconds)) for t in tried)]
    first = left if len(tried) < len(corners) else []
    names = "the middle and the corners come first: hotter and cooler, longer and shorter"
    chosen = [(t, s, names) for t, s in first[:loads]]
    if len(chosen) < loads:
        window = good_window(tried, centre)
        more = _drawn(window, tried, loads - len(chosen), [seed, len(tried), max(1, loads_fired)])
        why = "likely to come out well in a kiln and a jar as they may be; whatever comes narrows it"
        chosen += [(t, s, why) for t, s in more]
    return chosen


def _drawn(window: GoodWindow, tried: Sequence[TileTried], count: int, seed: list[int]) -> list[tuple[float, float]]:
    """Return settings, each the best of one world that fits what is known.

    Heat and time only add: hotter and longer than a tile that burnt, or cooler and shorter than one that came short, is
    not tried, whatever world was drawn.
    """
    temperatures, seconds = grid(window.centre)
    t, s = (one.ravel() for one in np.meshgrid(temperatures, seconds, indexing="ij"))
    hopeless = np.zeros(t.shape, dtype=bool)
    for one in tried:
        if one.came == "burnt":
            hopeless |= (t >= one.temperature) & (s >= one.seconds)
        elif one.came == "short":
            hopeless |= (t <= one.temperature) & (s <= one.seconds)
    rng = np.random.default_rng(seed)
    chosen: list[int] = []
    for _ in range(count):
        chance = window.drawn(t, s, rng) - np.where(hopeless, 1.0, 0.0)
        order = np.argsort(-chance, kind="stable")
        chosen.append(next((int(k) for k in order if int(k) not in chosen), int(order[0])))
    return [(float(t[k]), float(s[k])) for k in chosen]


def _near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < TEMPERATURE_SCALE / 8 and abs(one[1] - other[1]) < TIME_SCALE / 8


def grid(centre: tuple[float, float]) -> tuple[list[float], list[float]]:
    """Return the temperatures [K] and times [s] that are looked at about a centre.

    Parameters
    ----------
    centre : tuple of float
        [K], [s].
    """
    temperatures = np.linspace(centre[0] - TEMPERATURE_SCALE, centre[0] + TEMPERATURE_SCALE, STEPS)
    shortest = min(TIME_SCALE, centre[1] / 2)
    return list(map(float, temperatures)), list(
        map(float, np.linspace(centre[1] - shortest, centre[1] + shortest, STEPS))
    )


def window_picture(tried: Sequence[TileTried], centre: tuple[float, float]) -> tuple[WindowCell, ...]:
    """Return how tiles come out over the grid, as far as is known.

    Parameters
    ----------
    tried : sequence of TileTried
        So far.
    centre : tuple of float
        [K], [s].
    """
    temperatures, seconds = grid(centre)
    t, s = np.meshgrid(temperatures, seconds, indexing="ij")
    window = good_window(tried, centre)
    chance = window.good(t, s)
    least, most = _chances(window, t, s)
    cells = []
    for a, b, p, low, high in zip(*(one.ravel() for one in (t, s, chance, least, most)), strict=True):
        standing: Standing = "perhaps"
        if (low < UNLIKELY and high > LIKELY) or not tried:
            standing = "not known"
        elif p > LIKELY:
            standing = "good"
        elif p < UNLIKELY:
            standing = "bad"
        cells.append(WindowCell(float(a), float(b), standing))
    return tuple(cells)


def _chances(window: GoodWindow, t: Array, s: Array) -> tuple[Array, Array]:
    """Return the least and the most a chance of a good tile may be, 5 and 95 % of each law."""
    from scipy.special import expit, ndtri

    x = window_inputs(t, s, window.centre)
    reach = float(ndtri(LIKELY_END))
    ends = []
    for law in window.laws:
        own = x[..., : len(law.coefficients)]
        middle, half = own @ law.coefficients, reach * np.sqrt(np.einsum("...i,ij,...j->...", own, law.covariance, own))
        ends.append((expit(middle - half), expit(middle + half)))
    if len(ends) == 1:
        return ends[0]
    (short_low, short_high), (burnt_low, burnt_high) = ends
    return np.asarray((1 - short_high) * (1 - burnt_high)), np.asarray((1 - short_low) * (1 - burnt_low))


#: Ladders: what varies, in how many steps, and what it is fired to learn.
LADDERS: tuple[tuple[str, str, str], ...] = (
    (
        "heat ladder",
        "four tiles alike, four loads, 10 °C apart, the same time",
        "how hot a jar, a flux or a red may be",
    ),
    (
        "time ladder",
        "four tiles alike, four loads, 20 s apart, the same setting",
        "how long until gloss, and what turns",
    ),
    ("thickness ladder", "one load: thin, just hidden, double, on one undercoat", "where it hides, where it bubbles"),
    ("undercoat ladder", "one load in quarters: bare, flux, white, foil with flux", "which ground the colour needs"),
    ("again ladder", "one tile, fired again four times, a photo after each", "how many firings the colour bears"),
)
