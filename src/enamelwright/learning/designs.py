"""Classical plans of tests, small enough for a shelf.

Source: R. L. Plackett, J. P. Burman, Biometrika 33 (1946) 305. Checked in tests/learning/test_designs.py.
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
