"""Heat through the wall of a box: faces, edges, corners.

Langmuir, Adams and Meikle, Trans. Am. Electrochem. Soc. 24 (1913) 53, as the shape factors of edge and
corner stand in textbooks of heat transfer (0.54 for each length of edge, 0.15 for each thickness at a
corner, valid when all inside measures exceed a fifth of the wall): from memory.
"""

from __future__ import annotations

import math

import pytest

from enamelwright.physics.chamber_bodies import Box, Lining
from enamelwright.physics.chamber_wall import area_growth, shape_factor, wall_of

#: Inside m, wall m, shape factor m by hand: A/L + 0.54 * 4 (W + D + H) + 8 * 0.15 L.
CASES = [
    ((0.22, 0.20, 0.15), 0.06, 0.214 / 0.06 + 0.54 * 2.28 + 1.2 * 0.06),
    ((1.0, 1.0, 1.0), 0.1, 60.0 + 6.48 + 0.12),
    ((0.1, 0.2, 0.3), 0.05, 0.22 / 0.05 + 0.54 * 2.4 + 0.06),
]


@pytest.mark.parametrize(("inside", "wall", "factor"), CASES)
def test_shape_factor(inside: tuple[float, float, float], wall: float, factor: float) -> None:
    assert shape_factor(Box(*inside), wall) == pytest.approx(factor, rel=1e-12)


def test_the_base_kiln() -> None:
    """Derived: 4.8699 m, and area growing by 2.891 m."""
    box = Box(0.22, 0.20, 0.15)
    assert shape_factor(box, 0.06) == pytest.approx(4.8699, abs=1e-4)
    assert area_growth(box.area, 0.06, shape_factor(box, 0.06)) == pytest.approx(2.891, abs=1e-3)


@pytest.mark.parametrize(("inside", "wall", "factor"), CASES)
def test_the_cells_together_are_the_whole_wall(inside: tuple[float, float, float], wall: float, factor: float) -> None:
    """However it is cut, the cells conduct as the shape factor says."""
    for cells in (6, 18, 40):
        cut = wall_of(Box(*inside), Lining(wall, 200.0, 1000.0, (0.1,), 0.6, 8.0), cells)
        assert cut.inner.sum() + cut.outer.sum() == pytest.approx(1 / factor, rel=1e-9)


def test_a_sphere_shows_how_near_the_growing_area_is() -> None:
    """A box of the inside area of a sphere, for a thin wall: both tend to area over thickness."""
    radius, wall = 0.5, 0.005
    sphere = 4 * math.pi * radius * (radius + wall) / wall
    side = math.sqrt(4 * math.pi * radius**2 / 6)
    assert shape_factor(Box(side, side, side), wall) == pytest.approx(sphere, rel=0.02)
