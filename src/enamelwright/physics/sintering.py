"""Grains of glass growing together: necks first, then a dense melt.

Work stands for the integral of 1 / viscosity over time [1/Pa].

Source: J. Frenkel, J. Phys. (USSR) 9 (1945) 385, and J. K. Mackenzie, R. Shuttleworth, Proc. Phys. Soc. B 62
(1949) 833; formulas from memory, consistent with one another and checked against their differential forms.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

BISECTIONS = 60
"""Halvings of the pore size; 2^-60 is below the rounding of the result."""


def neck(radius: npt.ArrayLike, work: npt.ArrayLike, tension: npt.ArrayLike) -> Array:
    """Neck over grain radius of two touching spheres, ``sqrt(3 gamma W / 2 a)``; for small necks.

    Parameters
    ----------
    radius : array_like
        Of the grains, a [m].
    work : array_like
        [1/Pa].
    tension : array_like
        Surface tension [N/m].
    """
    return np.asarray(np.sqrt(1.5 * np.asarray(tension) * np.asarray(work) / np.asarray(radius, dtype=np.float64)))


def neck_work(radius: npt.ArrayLike, ratio: npt.ArrayLike, tension: npt.ArrayLike) -> Array:
    """Work until the necks reach a ratio of the grain radius [1/Pa].

    Parameters
    ----------
    radius : array_like
        Of the grains [m].
    ratio : array_like
        Neck over grain radius.
    tension : array_like
        Surface tension [N/m].
    """
    return np.asarray(np.asarray(ratio) ** 2 * np.asarray(radius) / (1.5 * np.asarray(tension, dtype=np.float64)))


def linear_shrinkage(radius: npt.ArrayLike, work: npt.ArrayLike, tension: npt.ArrayLike) -> Array:
    """Early linear shrinkage of a powder, ``3 gamma W / 8 a``; for some per cent.

    Parameters
    ----------
    radius : array_like
        Of the grains [m].
    work : array_like
        [1/Pa].
    tension : array_like
        Surface tension [N/m].
    """
    return np.asarray(3 * np.asarray(tension) * np.asarray(work) / (8 * np.asarray(radius, dtype=np.float64)))


def _potential(density: Array) -> Array:
    # u = ((1 - rho) / rho)^(1/3); d work / du = -(2 a / 3 gamma) dG/du for one pore in every grain.
    u = ((1 - density) / density) ** (1 / 3)
    bend = np.arctan((2 * u - 1) / np.sqrt(3.0))
    return np.asarray(np.log1p(u) - np.log(1 - u + u**2) / 2 + np.sqrt(3.0) * bend)


def work_to_density(
    radius: npt.ArrayLike, packing: npt.ArrayLike, density: npt.ArrayLike, tension: npt.ArrayLike
) -> Array:
    """Work that brings a powder from its packing to a relative density [1/Pa].

    One closed pore in every grain, ``d rho / dW = (3 gamma / 2 a)(1 - rho)^(2/3) rho^(1/3)``, integrated
    in closed form.

    Parameters
    ----------
    radius : array_like
        Of the grains [m].
    packing, density : array_like
        Relative densities at the start and the end, above 0 and up to 1.
    tension : array_like
        Surface tension [N/m].

    Raises
    ------
    InputError
        If a density is out of range or the powder is denser than its goal.
    """
    begin, end = np.asarray(packing, dtype=np.float64), np.asarray(density, dtype=np.float64)
    if np.any(begin <= 0) or np.any(end > 1) or np.any(begin > end):
        raise InputError("a powder sinters from a packing above 0 up to full density at most")
    scale = 2 * np.asarray(radius, dtype=np.float64) / (3 * np.asarray(tension))
    return np.asarray(scale * (_potential(begin) - _potential(end)))


def density_after(radius: npt.ArrayLike, packing: npt.ArrayLike, work: npt.ArrayLike, tension: npt.ArrayLike) -> Array:
    """Relative density of a powder after some work, by bisection.

    Parameters
    ----------
    radius : array_like
        Of the grains [m].
    packing : array_like
        Relative density of the loose powder.
    work : array_like
        [1/Pa].
    tension : array_like
        Surface tension [N/m].
    """
    shape = np.broadcast_shapes(*(np.shape(x) for x in (radius, packing, work, tension)))
    low = np.array(np.broadcast_to(np.asarray(packing, dtype=np.float64), shape))
    high = np.ones(shape)
    begin, spent = low.copy(), np.asarray(work, dtype=np.float64)
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        beyond = work_to_density(radius, begin, middle, tension) > spent
        high, low = np.where(beyond, middle, high), np.where(beyond, low, middle)
    return np.where(spent >= work_to_density(radius, begin, 1.0, tension), 1.0, (low + high) / 2)
