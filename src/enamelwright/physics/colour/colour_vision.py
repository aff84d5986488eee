"""How a colour looks to eyes that lack, or nearly lack, one kind of cone; and which pairs then look alike."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import lab_of, linear_srgb_of, xyz_of_linear_srgb

Array = npt.NDArray[np.float64]


def simulated(linear: npt.ArrayLike, matrix: npt.ArrayLike) -> Array:
    """Linear sRGB as other eyes would see it, shown to ordinary ones.

    Colours are cut to what a screen can show before and after, as the matrices ask.

    Parameters
    ----------
    linear : array_like, shape (..., 3)
        Linear sRGB.
    matrix : array_like, shape (3, 3)
        Of one kind of eyes; its rows add to 1, so greys stay as they are.

    Notes
    -----
    Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE Trans. Vis. Comput. Graph. 15 (2009) 1291;
    tests/published/test_machado2009_colour_vision.py.
    """
    given, table = np.asarray(linear, np.float64), np.asarray(matrix, np.float64)
    if given.shape[-1:] != (3,) or table.shape != (3, 3):
        raise InputError("a screen has three channels")
    return np.asarray(np.clip(np.clip(given, 0.0, 1.0) @ table.T, 0.0, 1.0))


def lab_as_seen(xyz_d65: npt.ArrayLike, matrix: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """Lab of a colour as other eyes would see it.

    Parameters
    ----------
    xyz_d65 : array_like, shape (..., 3)
        Under daylight D65, Y of white 100.
    matrix : array_like, shape (3, 3)
        Of one kind of eyes.
    white : array_like, shape (3,)
        Daylight on a perfect white.
    """
    return lab_of(np.maximum(xyz_of_linear_srgb(simulated(linear_srgb_of(xyz_d65), matrix)), 0.0), white)


def alike(lab: npt.ArrayLike, seen: npt.ArrayLike, apart: float, close: float) -> tuple[tuple[int, int], ...]:
    """Pairs of colours that ordinary eyes tell apart and others hardly do, the most alike first.

    Parameters
    ----------
    lab, seen : array_like, shape (colours, 3)
        As ordinary eyes see them; as the others do.
    apart, close : float
        CIEDE2000 above which a pair is told apart, and below which it is not.
    """
    plain, other = np.asarray(lab, np.float64), np.asarray(seen, np.float64)
    one, two = np.triu_indices(len(plain), k=1)
    between = ciede2000(other[one], other[two])
    found = np.flatnonzero((ciede2000(plain[one], plain[two]) > apart) & (between < close))
    return tuple((int(one[n]), int(two[n])) for n in found[np.argsort(between[found], kind="stable")])
