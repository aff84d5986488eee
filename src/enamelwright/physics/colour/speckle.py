"""Mixed powders: grains do not blend like paint, they stand beside and over each other.

A coat of mixed powders is taken as columns as wide as a grain, each a pile of flattened grains in any order. Far
away, or with grains too fine to see, the eye takes the mean of their reflectances; near by it sees specks. Grains
that dissolve into one glass would give a third colour, told for contrast.

Our own proposal. Ignores light that strays sideways between columns, so it overstates specks of very fine grain.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, lab_of, xyz_of
from enamelwright.physics.colour.layer_optics import layer, over, surface

Array = npt.NDArray[np.float64]

#: Most different columns worth telling apart: two jars eight grains deep, three five deep.
MOST_COLUMNS = 256


@dataclass(frozen=True, eq=False)
class Speckle:
    """How a coat of mixed powders looks.

    Attributes
    ----------
    deep : int
        Grains one over the other.
    mean : ndarray, shape (36,)
        Reflectance seen from far away: the mean of reflectances, never of Lab.
    dissolved : ndarray, shape (36,)
        Reflectance if the grains melted into one even glass.
    lab : ndarray, shape (columns, 3)
        Colour of each kind of column.
    shares : ndarray, shape (columns,)
        Part of the face each takes up; they add to 1.
    rms : float
        Root of the mean square of CIEDE2000 about the mean: 0 for one jar alone.
    """

    deep: int
    mean: Array
    dissolved: Array
    lab: Array
    shares: Array
    rms: float


def volume_shares(masses: npt.ArrayLike, densities: npt.ArrayLike) -> Array:
    """Part of the volume each powder takes up.

    Parameters
    ----------
    masses, densities : array_like, shape (jars,)
        [kg], or parts by weight; [kg/m3] of the glass.

    Raises
    ------
    InputError
        When nothing is mixed, or something has no weight or less.
    """
    m, rho = np.asarray(masses, np.float64), np.asarray(densities, np.float64)
    if m.size == 0 or np.any(m < 0) or not m.sum() > 0 or np.any(rho <= 0):
        raise InputError("a mix needs parts by weight that are not less than nothing", "Check the parts.")
    volume = m / rho
    return np.asarray(volume / volume.sum())


def grains_deep(thickness: float, grain: float, flattening: float, jars: int = 2) -> int:
    """How many grains lie one over the other once they have flattened.

    Parameters
    ----------
    thickness : float
        Of the fired coat [m].
    grain : float
        Median grain before firing [m].
    flattening : float
        What is left of its height, 0..1.
    jars : int
        How many powders are mixed; more of them are followed less deep.

    Returns
    -------
    int
        At least 1; halves are rounded to the even number.
    """
    if not (thickness > 0 and grain > 0 and 0 < flattening <= 1):
        raise InputError("a coat and its grains measure more than nothing", "Check thickness and grain.")
    most = max(1, int(math.log(MOST_COLUMNS * (1 + np.finfo(float).eps)) / math.log(max(jars, 2))))
    return min(max(round(thickness / (flattening * grain)), 1), most)


def grain_angle(grain: float, distance: float) -> float:
    """Angle a grain takes up in the eye [rad].

    Parameters
    ----------
    grain, distance : float
        [m].
    """
    return 2 * math.atan(grain / (2 * distance))


def speckle(
    absorption: npt.ArrayLike,
    scattering: npt.ArrayLike,
    shares: npt.ArrayLike,
    thickness: float,
    deep: int,
    below: npt.ArrayLike,
    index: float,
    weights: npt.ArrayLike,
) -> Speckle:
    """Follow every order in which grains can lie over each other.

    Parameters
    ----------
    absorption, scattering : array_like, shape (jars, 36)
        K and S of each glass [1/m].
    shares : array_like, shape (jars,)
        By volume, adding to 1.
    thickness : float
        Of the fired coat [m].
    deep : int
        Grains one over the other, from :func:`grains_deep`.
    below : array_like, shape (36,)
        Diffuse reflectance of what the coat lies on.
    index : float
        Refractive index of the glass under the air.
    weights : array_like, shape (36, 3)
        Of the light and observer.

    Notes
    -----
    tests/physics/test_speckle.py: equal jars, pure jars, finer grain, and a table computed by another implementation.
    """
    k, s = np.asarray(absorption, np.float64), np.asarray(scattering, np.float64)
    p, table = np.asarray(shares, np.float64), np.asarray(weights, np.float64)
    if k.shape != (p.size, BANDS.size) or s.shape != k.shape:
        raise InputError(f"each jar of a mix needs {BANDS.size} numbers of K and of S")
    if np.any(p < 0) or abs(p.sum() - 1) > _ROUNDING:
        raise InputError("the parts of a mix add up to the whole")
    reflected, passed = layer(k, s, thickness / deep)
    piles, part = np.asarray(below, np.float64)[np.newaxis], np.ones(1)
    for _ in range(deep):
        piles = over(reflected[:, np.newaxis], passed[:, np.newaxis], piles[np.newaxis]).reshape(-1, BANDS.size)
        part = (p[:, np.newaxis] * part).ravel()
    seen = surface(piles, index)
    mean = np.asarray(part @ seen)
    even = surface(over(*layer(p @ k, p @ s, thickness), below), index)
    white = table.sum(axis=0)
    lab, middle = lab_of(xyz_of(seen, table), white), lab_of(xyz_of(mean, table), white)
    rms = float(np.sqrt(part @ ciede2000(lab, middle) ** 2))
    return Speckle(deep, mean, even, lab, part, rms)


#: What parts of a mix may miss the whole by, from adding them up.
_ROUNDING = 1e-9
