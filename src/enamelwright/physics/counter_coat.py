"""The back coat that keeps a piece flat: flat value, band, and the chance of each thickness.

Works on any function from back thickness to bow; on a soft metal the bow falls steadily with the
back coat over the useful range and then hardly moves, so a band says more than a number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

SEARCH_POINTS = 26
"""Points of the first scan over the thickness, evaluated in one call."""
REFINEMENTS = 2
"""Rescans of a bracketing interval, each 25 times narrower: far below a micrometre in the end."""
SMALLEST = 1e-5
"""Thinnest back coat tried [m]: a hundredth of a millimetre, thinner than a single grain."""
REACH = 2.5
"""Thickest back coat tried, in front thicknesses."""

BowOf = Callable[[Array], Array]
"""Signed bow [m] for each back thickness [m] of an array of shape (n,)."""


@dataclass(frozen=True)
class CounterBand:
    """Back coats that keep the bow within a limit.

    Attributes
    ----------
    flat : float or None
        Thickness that leaves the piece exactly flat [m]; None when no thickness balances it.
    low : float or None
        Thinnest that passes [m]; 0 when the bare back passes, None when nothing passes.
    high : float or None
        Thickest that passes [m]; None when no upper limit was found (or nothing passes).
    """

    flat: float | None
    low: float | None
    high: float | None


def crossing(bow_of: BowOf, level: float, low: float, high: float) -> float | None:
    """First thickness at which the bow falls (or rises) through a level.

    Parameters
    ----------
    bow_of : callable
        Bow [m] for an array of thicknesses.
    level : float
        Bow to reach [m].
    low, high : float
        Range searched [m].

    Returns
    -------
    float or None
        [m]; None when the level is not crossed.
    """
    for _ in range(REFINEMENTS + 1):
        grid = np.linspace(low, high, SEARCH_POINTS)
        gap = np.asarray(bow_of(grid), dtype=np.float64) - level
        sign = np.sign(gap)
        change = np.nonzero(sign[:-1] * sign[1:] <= 0)[0]
        if change.size == 0:
            return None
        at = int(change[0])
        low, high = float(grid[at]), float(grid[at + 1])
        left, right = float(gap[at]), float(gap[at + 1])
    if left == right:
        return low
    return low + (high - low) * left / (left - right)


def counter_band(bow_of: BowOf, front_thickness: float, limit: float) -> CounterBand:
    """Flat value and band of the back coat for one front.

    Parameters
    ----------
    bow_of : callable
        Signed bow [m] over the chord of ``limit`` for an array of back thicknesses; zero is bare.
    front_thickness : float
        Total front thickness [m].
    limit : float
        Largest bow that counts as flat [m].

    Returns
    -------
    CounterBand
    """
    end = REACH * front_thickness
    flat = crossing(bow_of, 0.0, SMALLEST, end)
    bare = float(np.asarray(bow_of(np.zeros(1)))[0])
    # Look from the side the bare piece bows to.
    toward = 1.0 if bare >= 0 else -1.0

    def leaned(back: Array) -> Array:
        return toward * np.asarray(bow_of(back), dtype=np.float64)

    low = 0.0 if abs(bare) <= limit else crossing(leaned, limit, SMALLEST, end)
    if low is None and abs(float(leaned(np.array([SMALLEST]))[0])) <= limit:
        # The thinnest coat looked at already brings it in: the crossing lies between it and none.
        low = SMALLEST
    if low is None:
        return CounterBand(flat, None, None)
    return CounterBand(flat, low, crossing(leaned, -limit, max(low, SMALLEST), end))


@dataclass(frozen=True, eq=False)
class CounterChance:
    """How often each nominal back thickness keeps the piece flat enough.

    Attributes
    ----------
    thickness : ndarray, shape (n_grid,)
        Nominal back thickness [m].
    chance : ndarray, shape (n_grid,)
        Share of the draws with a bow within the limit.
    bow : ndarray, shape (n_grid, n_draw)
        Bow of every draw [m].
    """

    thickness: Array
    chance: Array
    bow: Array

    def band(self, wanted: float) -> tuple[float, float] | None:
        """Smallest and largest grid thickness whose chance is high enough.

        Parameters
        ----------
        wanted : float
            Chance asked for, 0..1.

        Returns
        -------
        tuple of float or None
            [m]; None when no grid point is good enough.
        """
        good = self.thickness[self.chance >= wanted]
        return (float(good.min()), float(good.max())) if good.size else None


def counter_chance(
    bow_of: Callable[[Array], Array],
    grid: npt.ArrayLike,
    back_factor: npt.ArrayLike,
    limit: float,
) -> CounterChance:
    """Chance of a flat piece over a grid of nominal back thicknesses.

    The same draws serve every grid point (common random numbers), so the curve is smooth and two
    neighbouring thicknesses are compared fairly.

    Parameters
    ----------
    bow_of : callable
        Bow [m] of shape (n_grid, n_draw) for back thicknesses of that shape; the draw axis always
        stands for the same draws of everything else.
    grid : array_like, shape (n_grid,)
        Nominal back thickness [m].
    back_factor : array_like, shape (n_draw,)
        Actual over nominal back thickness of each draw.
    limit : float
        Largest bow that counts as flat [m].

    Returns
    -------
    CounterChance
    """
    nominal = np.asarray(grid, dtype=np.float64)
    back = nominal[:, np.newaxis] * np.asarray(back_factor, dtype=np.float64)
    bow = np.asarray(bow_of(back), dtype=np.float64)
    return CounterChance(nominal, np.mean(np.abs(bow) <= limit, axis=1), bow)
