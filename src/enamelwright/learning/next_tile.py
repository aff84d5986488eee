"""Which test tile next: where a tile comes out good, and which setting would teach most.

A tile is good when it is neither short nor burnt. Both tails get a logistic law in temperature and time of their own,
of which it is known beforehand which way it leans; where nobody told which of the two it was, one law with squares
must do. Temperature and time belong to the load: tiles of one load are
one try of them.

Source: planning by drawing from what is known, W. R. Thompson, Biometrika 25 (1933) 285. The priors are assumptions.
Checked in tests/learning/test_next_tile.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.rare_faults import Effects, weak_prior

Array = npt.NDArray[np.float64]

TEMPERATURE_SCALE, TIME_SHARE = 40.0, 0.4
"""What counts as one step of temperature [K], and of time, as a share of the time expected: a minute of 2:30."""
NEAR_HEAT = 5.0
"""Settings this near to each other are one heat [K]."""
LATE = 1.1
"""A first gloss this much later than is usual at its heat was something else: a cold load, a heavy piece."""
EYE = 5.0
"""So long before the first gloss that was noted a tile was surely short [s]."""
SQUARE_SDS = (2.5, 2.5, 2.5, 2.0, 2.5, 2.5)
"""Priors of 1, a, b, ab, a², b² (assumption)."""
SHORT_ABOUT, BURNT_ABOUT, LINE_SDS = (-2.0, -2.0, -2.0), (-2.0, 2.0, 2.0), (2.0, 1.0, 1.0)
"""Priors of 1, a, b for the tails: hotter and longer make a short tile rarer and a burnt one more frequent; where the
plan expects the window, about one in eight comes out either way (assumption)."""


@dataclass(frozen=True)
class TileTried:
    """A tile that was fired.

    Attributes
    ----------
    temperature : float
        Set point [K].
    seconds : float
        Time in the kiln [s].
    came : str
        "short", "good" or "burnt"; "bad" when nobody knows which of the two.
    first_gloss : float or None
        When its gloss was first seen [s]; None when nobody noted it.
    """

    temperature: float
    seconds: float
    came: str
    first_gloss: float | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be counted."""
        if self.came not in {"short", "good", "burnt", "bad"}:
            raise InputError(f"a tile does not come '{self.came}'", "Say short, good, burnt or bad.")
        if not (
            np.isfinite(self.temperature) and self.temperature > 0 and np.isfinite(self.seconds) and self.seconds > 0
        ):
            raise InputError("a tile needs its temperature and its time", "Leave it out until both are known.")
        if self.first_gloss is not None and not (np.isfinite(self.first_gloss) and self.first_gloss > 0):
            raise InputError("a first gloss is seen after some time", "Leave it out when nobody noted it.")


@dataclass(frozen=True, eq=False)
class GoodWindow:
    """Where tiles come out good, as far as is known.

    Attributes
    ----------
    centre : tuple of float
        Temperature [K] and time [s] about which the laws are written.
    laws : tuple of Effects
        One law with squares, or two lines: short, burnt.
    tiles : int
        How many tiles it stands on.
    against : int
        Pairs of tiles that contradict each other: one burnt, and one short though fired no cooler and no shorter.
    """

    centre: tuple[float, float]
    laws: tuple[Effects, ...]
    tiles: int
    against: int = 0

    def good(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> Array:
        """Chance of a good tile, the spread of what is known counted in.

        Parameters
        ----------
        temperature, seconds : array_like
            [K], [s].
        """
        x = self._inputs(temperature, seconds)
        chances = [law.probability(x[..., : len(law.coefficients)]) for law in self.laws]
        return chances[0] if len(chances) == 1 else np.asarray((1 - chances[0]) * (1 - chances[1]))

    def drawn(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike, rng: np.random.Generator) -> Array:
        """Chance of a good tile in one world that fits what is known.

        Parameters
        ----------
        temperature, seconds : array_like
            [K], [s].
        rng : numpy.random.Generator
            Draws the world.
        """
        from scipy.special import expit

        x = self._inputs(temperature, seconds)
        chances = []
        for law in self.laws:
            world = rng.multivariate_normal(law.coefficients, law.covariance, method="cholesky")
            chances.append(expit(x[..., : len(world)] @ world))
        return np.asarray(chances[0] if len(chances) == 1 else (1 - chances[0]) * (1 - chances[1]))

    def _inputs(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> Array:
        return window_inputs(temperature, seconds, self.centre)


def window_inputs(temperature: npt.ArrayLike, seconds: npt.ArrayLike, centre: tuple[float, float]) -> Array:
    """Return 1, a, b, ab, a², b² of settings about a centre.

    Parameters
    ----------
    temperature, seconds : array_like
        [K], [s].
    centre : tuple of float
        [K], [s].
    """
    a = (np.asarray(temperature, dtype=np.float64) - centre[0]) / TEMPERATURE_SCALE
    b = (np.asarray(seconds, dtype=np.float64) - centre[1]) / (TIME_SHARE * centre[1])
    a, b = np.broadcast_arrays(a, b)
    return np.stack([np.ones_like(a), a, b, a * b, a * a, b * b], axis=-1)


def good_window(tiles: Sequence[TileTried], centre: tuple[float, float]) -> GoodWindow:
    """Learn the window from tiles; where a first gloss was noted, the same tile was short just before.

    Parameters
    ----------
    tiles : sequence of TileTried
        May be empty: then the prior speaks.
    centre : tuple of float
        Where the plan expects the window [K], [s].

    Raises
    ------
    OutOfReach
        When the fit does not settle.
    """
    seen = (*tiles, *_before_gloss(tiles))
    x = window_inputs([t.temperature for t in seen], [t.seconds for t in seen], centre)
    if all(tile.came != "bad" for tile in tiles):
        lines = []
        for which, about in (("short", SHORT_ABOUT), ("burnt", BURNT_ABOUT)):
            if tiles:
                tail = np.asarray([t.came == which for t in seen], dtype=float)
                lines.append(weak_prior(x[:, : len(LINE_SDS)], tail, LINE_SDS, about))
            else:
                lines.append(Effects(np.asarray(about), np.diag(np.asarray(LINE_SDS) ** 2)))
        return GoodWindow(centre, tuple(lines), len(tiles), _against(tiles))
    good = np.asarray([t.came == "good" for t in seen], dtype=float)
    return GoodWindow(centre, (weak_prior(x, good, SQUARE_SDS),), len(tiles), _against(tiles))


def _before_gloss(tiles: Sequence[TileTried]) -> list[TileTried]:
    """Return a tile as short as can be for every first gloss that was noted."""
    return [
        TileTried(one.temperature, max(one.first_gloss - EYE, one.first_gloss / 2), "short")
        for one in tiles
        if one.first_gloss is not None
    ]


def first_glosses(tiles: Sequence[TileTried]) -> tuple[tuple[float, float], ...]:
    """Return the heats at which a first gloss was noted and how late it came there, the coolest first.

    Parameters
    ----------
    tiles : sequence of TileTried
        So far.

    Returns
    -------
    tuple of (temperature, seconds)
        [K], [s]: the latest, but for one far later than is usual there.
    """
    by_heat: dict[int, list[TileTried]] = {}
    for one in tiles:
        if one.first_gloss is not None:
            by_heat.setdefault(round(one.temperature / NEAR_HEAT), []).append(one)
    found = []
    for mine in by_heat.values():
        times = [one.first_gloss for one in mine if one.first_gloss is not None]
        usual = LATE * float(np.median(times))
        found.append((min(one.temperature for one in mine), max(one for one in times if one <= usual)))
    return tuple(sorted(found))


def too_short(tiles: Sequence[TileTried], temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether a setting must come out short: no hotter than where gloss came later, or than a tile that came short.

    Heat and time only add. A tile that came short though another was good no hotter and no longer says nothing.

    Parameters
    ----------
    tiles : sequence of TileTried
        So far.
    temperature, seconds : array_like
        [K], [s].
    """
    t, s = np.broadcast_arrays(np.asarray(temperature, dtype=float), np.asarray(seconds, dtype=float))
    found = np.zeros(t.shape, dtype=bool)
    for heat, gloss in first_glosses(tiles):
        found |= (t <= heat + NEAR_HEAT / 2) & (s < gloss)
    fine = [one for one in tiles if one.came in {"good", "burnt"}]
    for one in tiles:
        if one.came == "short" and not any(_within(other, one) for other in fine):
            found |= (t <= one.temperature) & (s <= one.seconds)
    return found


def too_long(tiles: Sequence[TileTried], temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> npt.NDArray[np.bool_]:
    """Whether a setting must come out burnt: no cooler and no shorter than a tile that burnt.

    A tile that burnt though another was good no cooler and no shorter says nothing.

    Parameters
    ----------
    tiles : sequence of TileTried
        So far.
    temperature, seconds : array_like
        [K], [s].
    """
    t, s = np.broadcast_arrays(np.asarray(temperature, dtype=float), np.asarray(seconds, dtype=float))
    found = np.zeros(t.shape, dtype=bool)
    fine = [one for one in tiles if one.came in {"good", "short"}]
    for one in tiles:
        if one.came == "burnt" and not any(_within(one, other) for other in fine):
            found |= (t >= one.temperature) & (s >= one.seconds)
    return found


def mostly_good(tiles: Sequence[TileTried]) -> tuple[TileTried, ...]:
    """Return the tiles that came good where more came good than speaks against it.

    Against it speak tiles that came short no cooler and no shorter, and tiles that burnt no hotter and no longer.

    Parameters
    ----------
    tiles : sequence of TileTried
        So far.
    """
    good = [one for one in tiles if one.came == "good"]
    found = []
    for one in good:
        beside = sum(
            abs(g.temperature - one.temperature) < NEAR_HEAT and abs(g.seconds - one.seconds) < EYE for g in good
        )
        against = sum(
            (other.came == "short" and _within(one, other)) or (other.came == "burnt" and _within(other, one))
            for other in tiles
        )
        if beside > against:
            found.append(one)
    return tuple(found)


def _within(less: TileTried, more: TileTried) -> bool:
    """Whether one tile had no more heat and no more time than another."""
    return less.temperature <= more.temperature and less.seconds <= more.seconds


def _against(tiles: Sequence[TileTried]) -> int:
    burnt = [one for one in tiles if one.came == "burnt"]
    short = [one for one in tiles if one.came == "short"]
    return sum(_within(b, s) for b in burnt for s in short)
