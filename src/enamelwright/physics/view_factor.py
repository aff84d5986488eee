"""What share of the radiation leaving one flat face arrives at another.

Closed forms for grey diffuse faces that see each other across a clear gap. The reciprocal factor follows
from ``A1 F12 = A2 F21``, and the factors from one face of a closed box add to one.

Source: the usual closed forms of the handbooks (J. R. Howell, A Catalog of Radiation Heat Transfer
Configuration Factors, sections C-11, C-14 and C-41), from memory; checked against exact values, closure
and direct double integration in ``tests/physics/test_view_factor.py``.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

#: Order of the faces in :func:`box`.
FACES = ("floor", "roof", "left", "right", "back", "front")


def _positive(*lengths: npt.ArrayLike) -> list[Array]:
    """Return lengths as arrays; all must be finite and above zero."""
    found = [np.asarray(length, dtype=np.float64) for length in lengths]
    if not all(np.all(np.isfinite(one)) and np.all(one > 0) for one in found):
        raise InputError("faces and gaps need lengths above zero")
    return found


def coaxial_discs(first: npt.ArrayLike, second: npt.ArrayLike, gap: npt.ArrayLike) -> Array:
    """Share of what leaves one disc that arrives at a parallel disc on the same axis.

    Parameters
    ----------
    first, second : array_like
        Radius of the disc that sends and of the one that receives [m].
    gap : array_like
        Distance between them [m].

    Returns
    -------
    ndarray
        Between 0 and 1.

    Raises
    ------
    InputError
        When a length is not above zero.
    """
    r1, r2, c = _positive(first, second, gap)
    x = 1 + (c**2 + r2**2) / r1**2
    square = (r2 / r1) ** 2
    # 2 S / (X + root) is (X - root) / 2 without the cancellation of far-apart discs.
    return np.asarray(2 * square / (x + np.sqrt(np.maximum(x**2 - 4 * square, 0.0))))


def parallel_rectangles(width: npt.ArrayLike, depth: npt.ArrayLike, gap: npt.ArrayLike) -> Array:
    """Share between two equal rectangles that face each other squarely.

    Parameters
    ----------
    width, depth : array_like
        Sides of both [m].
    gap : array_like
        Distance between them [m].

    Raises
    ------
    InputError
        When a length is not above zero.
    """
    a, b, c = _positive(width, depth, gap)
    x, y = a / c, b / c
    u, v = np.hypot(1.0, x), np.hypot(1.0, y)
    logarithm = np.log1p(x**2) / 2 + np.log1p(y**2) / 2 - np.log1p(x**2 + y**2) / 2
    angles = x * v * np.arctan(x / v) + y * u * np.arctan(y / u) - x * np.arctan(x) - y * np.arctan(y)
    return np.asarray(2 / (np.pi * x * y) * (logarithm + angles))


def perpendicular_rectangles(edge: npt.ArrayLike, sender: npt.ArrayLike, receiver: npt.ArrayLike) -> Array:
    """Share of what leaves one rectangle that arrives at another standing on its edge at a right angle.

    Parameters
    ----------
    edge : array_like
        Length of the edge they share [m].
    sender, receiver : array_like
        The other side of the one that sends and of the one that receives [m].

    Raises
    ------
    InputError
        When a length is not above zero.
    """
    length, w1, w2 = _positive(edge, sender, receiver)
    w, h = w1 / length, w2 / length
    w2_, h2 = w**2, h**2
    both = w2_ + h2
    root = np.sqrt(both)
    angles = w * np.arctan(1 / w) + h * np.arctan(1 / h) - root * np.arctan(1 / root)
    logs = (
        np.log((1 + w2_) * (1 + h2) / (1 + both))
        + w2_ * np.log(w2_ * (1 + both) / ((1 + w2_) * both))
        + h2 * np.log(h2 * (1 + both) / ((1 + h2) * both))
    )
    return np.asarray((angles + logs / 4) / (np.pi * w))


def box(width: float, depth: float, height: float) -> Array:
    """Shares between the six inner faces of a closed box, from row to column in the order of `FACES`.

    Parameters
    ----------
    width, depth, height : float
        Inside [m].

    Returns
    -------
    ndarray, shape (6, 6)
        Every row adds to one.

    Raises
    ------
    InputError
        When a length is not above zero.
    """
    across = perpendicular_rectangles
    opposite = [
        parallel_rectangles(width, depth, height),
        parallel_rectangles(depth, height, width),
        parallel_rectangles(width, height, depth),
    ]
    # Pair of parallel faces from row to column; the edge shared is the side common to both.
    nothing = np.zeros(())
    pairs = [
        [nothing, across(depth, width, height), across(width, depth, height)],
        [across(depth, height, width), nothing, across(height, depth, width)],
        [across(width, height, depth), across(height, width, depth), nothing],
    ]
    result = np.zeros((len(FACES), len(FACES)))
    for row in range(len(FACES)):
        for column in range(len(FACES)):
            kind, other = row // 2, column // 2
            if kind != other:
                result[row, column] = pairs[kind][other]
            elif row != column:
                result[row, column] = opposite[kind]
    return result


def faced(view_factor: npt.ArrayLike, solidity: npt.ArrayLike) -> Array:
    """Share of a piece's underside that sees the solid of an open support, such as a mesh.

    Parameters
    ----------
    view_factor : array_like
        To the plane of the support, as if it were solid.
    solidity : array_like
        Share of that plane that is solid, 0 to 1.

    Raises
    ------
    InputError
        When a share lies outside 0 to 1.
    """
    factor, solid = (np.asarray(one, dtype=np.float64) for one in (view_factor, solidity))
    if np.any((factor < 0) | (factor > 1) | (solid < 0) | (solid > 1)):
        raise InputError("shares lie between 0 and 1")
    return factor * solid


def patch_to_rectangle(width: npt.ArrayLike, height: npt.ArrayLike, distance: npt.ArrayLike) -> Array:
    """Share of a small patch's view that a rectangle fills, seen squarely from before its middle.

    What falls on the patch is this share times what leaves the rectangle.

    Parameters
    ----------
    width, height : array_like
        Sides of the rectangle [m].
    distance : array_like
        From its middle [m].

    Raises
    ------
    InputError
        When a length is not above zero.
    """
    a, b, d = _positive(width, height, distance)
    x, y = a / (2 * d), b / (2 * d)
    u, v = np.hypot(1.0, x), np.hypot(1.0, y)
    # four equal quarters, each seen from over its corner
    return np.asarray(2 / np.pi * (x / u * np.arctan(y / u) + y / v * np.arctan(x / v)))
