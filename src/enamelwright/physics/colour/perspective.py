"""Where the points of a flat card lie in a picture: the map between two planes seen in perspective."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

#: Least area of a triangle of three corners beside the square of their distance: below, they lie on a line.
FLATTEST = 1e-3


def plane_map(there: npt.ArrayLike, here: npt.ArrayLike) -> Array:
    """Find the map that takes four points of one plane to four of another.

    Parameters
    ----------
    there, here : array_like, shape (4, 2)
        Points of the card, and where they are seen; in the same order, going round.

    Returns
    -------
    ndarray, shape (3, 3)
        To be used by :func:`seen_at`; the last entry is 1.

    Raises
    ------
    InputError
        When three of the points lie on a line, or the four do not go round.

    Notes
    -----
    Eight linear equations in eight unknowns; R. Hartley & A. Zisserman, Multiple View Geometry in
    Computer Vision, 2nd ed. 2004, section 4.1 (from memory).
    """
    source, target = np.asarray(there, dtype=np.float64), np.asarray(here, dtype=np.float64)
    for four in (source, target):
        if four.shape != (4, 2) or not np.all(np.isfinite(four)):
            raise InputError("four corners of two numbers each are wanted.", "Place all four.", "corners")
        if not _goes_round(four):
            raise InputError(
                "the four corners do not go round the card.", "Place them one after the other round it.", "corners"
            )
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y])
    found = np.linalg.solve(np.array(rows), target.reshape(-1))
    return np.append(found, 1.0).reshape(3, 3)


def seen_at(mapped: Array, points: npt.ArrayLike) -> Array:
    """Return where points of the card are seen.

    Parameters
    ----------
    mapped : ndarray, shape (3, 3)
        Of :func:`plane_map`.
    points : array_like, shape (..., 2)
        On the card.

    Returns
    -------
    ndarray, shape (..., 2)
    """
    flat = np.asarray(points, dtype=np.float64)
    ends = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ mapped.T
    return np.asarray(ends[..., :2] / ends[..., 2:])


def _goes_round(four: Array) -> bool:
    """Whether four points are the corners of a convex figure, one after the other."""
    turns = []
    for n in range(4):
        a, b, c = four[n], four[(n + 1) % 4], four[(n + 2) % 4]
        long = float(np.sum((b - a) ** 2) + np.sum((c - b) ** 2))
        turns.append(float((b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])) / (long or 1.0))
    return all(turn > FLATTEST for turn in turns) or all(turn < -FLATTEST for turn in turns)
