"""The smoothest reflectance that has a given colour: a stand-in where no spectrum was measured."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_space import BANDS

Array = npt.NDArray[np.float64]

#: Newton's method: most steps, longest step of one band, and when it has arrived (sum of what is left over).
MOST_STEPS, LONGEST, ARRIVED = 60, 1.5, 1e-9
#: A colour no surface can have is moved this share of the way to grey, again and again.
TOWARDS_GREY = 0.02


@dataclass(frozen=True, eq=False)
class Recovered:
    """A reflectance made up for a colour.

    Attributes
    ----------
    reflectance : ndarray, shape (36,)
        Between 0 and 1.
    moved : float
        Share of the way to the grey of equal lightness the colour had to be moved; 0 when it was kept.
    """

    reflectance: Array
    moved: float

    @property
    def less_saturated(self) -> bool:
        """Whether the colour asked for is beyond what any surface can show."""
        return self.moved > 0


def recovered_reflectance(xyz: npt.ArrayLike, weights: npt.ArrayLike) -> Recovered:
    """The smoothest reflectance with this colour under this light.

    For targets, walls and bare metal; never for learning a jar, whose bands it would smooth away.

    Parameters
    ----------
    xyz : array_like, shape (3,)
        Tristimulus values, Y of white 100.
    weights : array_like, shape (36, 3)
        Of the light and observer.

    Returns
    -------
    Recovered
        With the colour made greyer, and flagged, when no surface can have it.

    Raises
    ------
    InputError
        When the colour is not finite, or is black or brighter than white.

    Notes
    -----
    Source: the hyperbolic-tangent form of S. A. Burns (equations published 2019).
    """
    aim, table = np.asarray(xyz, dtype=np.float64), np.asarray(weights, dtype=np.float64)
    if aim.shape != (3,) or table.shape != (BANDS.size, 3) or not np.all(np.isfinite(aim)):
        raise InputError("a colour needs three numbers, and a light its table of weights")
    white = table.sum(axis=0)
    lightness = aim[1] / white[1]
    if not 0 < lightness < 1:
        raise InputError("a surface lies between black and perfect white")
    grey = white * lightness
    steps = round(1 / TOWARDS_GREY)
    for step in range(steps):
        moved = step * TOWARDS_GREY
        found = _smoothest(aim + (grey - aim) * moved, table)
        if found is not None:
            return Recovered(found, moved)
    return Recovered(np.full(BANDS.size, lightness), 1.0)


@lru_cache(maxsize=1)
def _roughness() -> Array:
    """Twice D'D, where D takes the difference of neighbours."""
    step = np.diff(np.eye(BANDS.size), axis=0)
    found = 2 * step.T @ step
    found.setflags(write=False)
    return found


def _smoothest(aim: Array, weights: Array) -> Array | None:
    """Solve for z with R = (tanh z + 1) / 2 of least roughness under the constraint; None when there is none."""
    size = BANDS.size
    sums, rough = weights.T / 100, _roughness()
    z, pull = np.zeros(size), np.zeros(3)
    matrix = np.zeros((size + 3, size + 3))
    for _ in range(MOST_STEPS):
        bent = np.tanh(z)
        slope = (1 - bent**2) / 2
        drawn = sums.T @ pull
        left = np.concatenate([rough @ z + slope * drawn, sums @ ((bent + 1) / 2) - aim / 100])
        if np.abs(left).sum() < ARRIVED:
            return np.asarray((bent + 1) / 2)
        matrix[:size, :size] = rough - np.diag(2 * slope * bent * drawn)
        matrix[:size, size:] = (sums * slope).T
        matrix[size:, :size] = sums * slope
        try:
            step = np.linalg.solve(matrix, -left)
        except np.linalg.LinAlgError:
            return None
        if not np.all(np.isfinite(step)):
            return None
        z = z + np.clip(step[:size], -LONGEST, LONGEST)
        pull = pull + step[size:]
    return None
