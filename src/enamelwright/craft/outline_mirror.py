"""Left and right: the mirror image of an outline, and whether an outline is its own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enamelwright.craft.outline_ring import Ring
from enamelwright.craft.outline_shape import Shape

#: Points an edge and an opening are compared through; so many that half a step is less than what is forgiven.
POINTS, OPENING = 512, 64
#: Two outlines are one when they lie nearer together than this part of their longest distance: less than a file takes.
SAME = 0.01
#: Outlines that are their own mirror image by what they are.
EVEN = ("circle", "ellipse", "rounded rectangle")

Line = NDArray[np.complex128]


def mirrored(shape: Shape) -> Shape:
    """Return an outline seen in a mirror, its openings with it; named areas are left out.

    Parameters
    ----------
    shape : Shape
        The outline.
    """
    holes = tuple(replace(hole, boundary=_over(hole.boundary)) for hole in shape.holes)
    return replace(shape, edge=_over(shape.edge), holes=holes, cell_list=())


def own_mirror(shape: Shape) -> bool:
    """Return whether an outline, turned over and round, lies on itself: left and right are then cut alike.

    The edge is compared with its mirror image at every start along it, each at its best turn, which a correlation
    of the two lines gives at once.

    Parameters
    ----------
    shape : Shape
        The outline, with its openings.
    """
    if shape.kind in EVEN and not shape.holes:
        return True
    line = _spaced(shape.edge, POINTS)
    middle = line.mean()
    line = line - middle
    image = np.conj(line)[::-1]
    turns = np.fft.ifft(np.fft.fft(line) * np.conj(np.fft.fft(image)))
    apart = 2.0 * np.maximum((np.abs(line) ** 2).mean() - np.abs(turns) / len(line), 0.0)
    near = SAME * shape.chord
    fits = turns[apart <= near**2]
    if not shape.holes or not len(fits):
        return bool(len(fits))
    openings = [_spaced(hole.boundary, OPENING) - middle for hole in shape.holes]
    return any(_lie(openings, turn / abs(turn), 2.0 * near) for turn in fits)


def _lie(openings: list[Line], turn: complex, near: float) -> bool:
    """Return whether every opening, mirrored and turned, lies on an opening."""
    centres = np.array([one.mean() for one in openings])
    found = np.conj(centres) * turn
    apart = np.abs(found[:, None] - centres[None, :])
    if apart.min(axis=1).max() > near:
        return False
    return all(
        bool(np.abs((np.conj(one) * turn)[:, None] - openings[int(to)][None, :]).min(axis=1).max() <= near)
        for one, to in zip(openings, apart.argmin(axis=1), strict=True)
    )


def _over(points: Ring) -> Ring:
    """Return a ring mirrored left to right, running the same way round."""
    return tuple((-x, y) for x, y in reversed(points))


def _spaced(points: Ring, count: int) -> Line:
    """Return so many points at equal distances along a ring, as complex numbers, anticlockwise or not as it runs."""
    xy: NDArray[Any] = np.asarray((*points, points[0]), dtype=float)
    line = xy[:, 0] + 1j * xy[:, 1]
    along = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(line)))))
    at = np.linspace(0.0, along[-1], count, endpoint=False)
    return np.asarray(np.interp(at, along, line.real) + 1j * np.interp(at, along, line.imag), dtype=np.complex128)
