"""Classical plans of tests, small enough for a shelf.

Source: R. L. Plackett, J. P. Burman, Biometrika 33 (1946) 305; G. E. P. Box, K. B. Wilson, J. R. Stat. Soc. B 13 (1951)
1. Checked in tests/learning/test_designs.py.
"""

from __future__ import annotations

from itertools import product

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

PLACKETT_BURMAN_12 = (1, 1, -1, 1, 1, 1, -1, -1, -1, 1, -1)
"""Generating row of the plan of twelve."""


def factorial(factors: int) -> Array:
    """All combinations of low (-1) and high (1), the first factor changing fastest.

    Parameters
    ----------
    factors : int
        1 to 6.

    Raises
    ------
    InputError
        Outside that.
    """
    if not 1 <= factors <= 6:
        raise InputError(f"{factors} factors do not make a plan for a shelf", "Choose 1 to 6.")
    return np.asarray([row[::-1] for row in product((-1.0, 1.0), repeat=factors)])


def plackett_burman() -> Array:
    """Twelve tests of up to eleven factors, each effect free of the others.

    Returns
    -------
    ndarray, shape (12, 11)
        -1 and 1.
    """
    rows = [np.roll(PLACKETT_BURMAN_12, shift) for shift in range(len(PLACKETT_BURMAN_12))]
    return np.asarray([*rows, [-1] * len(PLACKETT_BURMAN_12)], dtype=np.float64)


def central_composite(factors: int, centres: int = 1) -> Array:
    """Corners, axial points at the rotatable distance, and the centre.

    Parameters
    ----------
    factors : int
        2 to 6.
    centres : int
        Tests at the centre.

    Raises
    ------
    InputError
        For fewer than two factors.
    """
    if factors < 2:
        raise InputError("one factor needs no such plan", "Fire three settings along it.")
    corners = factorial(factors)
    far = len(corners) ** 0.25
    axial = np.vstack([sign * far * np.eye(factors)[[k]] for k in range(factors) for sign in (-1, 1)])
    return np.vstack([corners, axial, np.zeros((centres, factors))])


def contrasts(totals: npt.ArrayLike, each: int = 1) -> dict[str, float]:
    """Effects of a full plan of two levels: mean at high less mean at low.

    Parameters
    ----------
    totals : array_like, shape (2^k,)
        Sum of the results at each setting in the order of `factorial`.
    each : int
        Results in one sum.

    Returns
    -------
    dict
        By letters: "A", "B", "AB", ...

    Raises
    ------
    InputError
        When the number of settings is no power of two.
    """
    y = np.asarray(totals, dtype=np.float64)
    factors = int(np.log2(max(len(y), 1)))
    if len(y) != 2**factors or factors < 1:
        raise InputError(f"{len(y)} settings are not a full plan of two levels", "Give 2, 4, 8, 16, ... results.")
    plan, out = factorial(factors), {}
    for chosen in product((0, 1), repeat=factors):
        here = chosen[::-1]
        if any(here):
            sign = np.prod(plan[:, [k for k in range(factors) if here[k]]], axis=1)
            name = "".join(chr(ord("A") + k) for k in range(factors) if here[k])
            out[name] = float(sign @ y / (len(y) / 2 * each))
    return out
