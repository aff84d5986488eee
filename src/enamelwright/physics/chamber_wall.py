"""Heat through the wall of a box: edges and corners by an area that grows outward, cut into cells."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.physics.chamber_bodies import Box, Lining

Array = npt.NDArray[np.float64]

CELLS = 18
"""Cells of the wall; with :data:`WIDENING` the hot-face temperature is within half a percent of a fine grid."""
WIDENING = 18.0
"""Outermost cell over innermost."""
EDGE, CORNER = 0.54, 0.15
"""Langmuir's shape factors of an edge (for each length) and of a corner (for each wall thickness)."""
_EDGES, _CORNERS = 12, 8
SMALLEST_GROWTH = 1e-9
"""Lower end of the growth of area that is tried, as a share of area over thickness."""
HALVINGS = 60
"""Of the bracket: to the rounding of a float."""


def shape_factor(box: Box, thickness: float) -> float:
    """Return conduction shape factor of a box wall: faces, edges and corners [m].

    Holds when every inside measure exceeds a fifth of the thickness. Langmuir, Adams and Meikle,
    Trans. Am. Electrochem. Soc. 24 (1913) 53, from memory.

    Parameters
    ----------
    box : Box
        Inside.
    thickness : float
        Of the wall [m].
    """
    edges = _EDGES / 3 * (box.width + box.depth + box.height)
    return box.area / thickness + EDGE * edges + _CORNERS * CORNER * thickness


def area_growth(area: float, thickness: float, shape: float) -> float:
    """Return b [m] of the area A + b x that conducts like the wall: ln(1 + b L / A) / b = 1 / S.

    Parameters
    ----------
    area : float
        Inside area A [m2].
    thickness : float
        Wall L [m].
    shape : float
        Shape factor S [m], above A / L.
    """

    def miss(growth: float) -> float:
        return math.log1p(growth * thickness / area) / growth - 1 / shape

    low = SMALLEST_GROWTH * area / thickness
    high = area / thickness
    while miss(high) > 0:
        high *= 2
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if miss(middle) > 0 else (low, middle)
    return (low + high) / 2


@dataclass(frozen=True)
class Wall:
    """The wall cut into cells, hot face first.

    Attributes
    ----------
    heat : ndarray, shape (n,)
        Heat capacity of each cell [J/K].
    inner, outer : ndarray, shape (n,)
        Integral of dx / area over the inner and outer half of each cell [1/m]; over the conductivity
        it is the resistance of that half.
    """

    heat: Array
    inner: Array
    outer: Array


def wall_of(box: Box, lining: Lining, cells: int = CELLS) -> Wall:
    """Cut the wall into cells that widen outward.

    Parameters
    ----------
    box : Box
        Inside.
    lining : Lining
        Wall.
    cells : int
        How many.
    """
    widths = WIDENING ** (np.arange(cells) / (cells - 1))
    widths *= lining.thickness / widths.sum()
    edges = np.concatenate(([0.0], np.cumsum(widths)))
    middle = (edges[:-1] + edges[1:]) / 2
    growth = area_growth(box.area, lining.thickness, shape_factor(box, lining.thickness))

    def between(left: Array, right: Array) -> Array:
        return np.asarray(np.log((box.area + growth * right) / (box.area + growth * left)) / growth)

    return Wall(
        heat=lining.density * lining.specific_heat * (box.area + growth * middle) * widths,
        inner=between(edges[:-1], middle),
        outer=between(middle, edges[1:]),
    )
