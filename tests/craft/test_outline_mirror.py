"""Outlines that are their own mirror image, and those that are not: from geometry alone."""

from __future__ import annotations

import math

import pytest

from enamelwright.craft.outline_mirror import mirrored, own_mirror
from enamelwright.craft.outline_opening import Hole
from enamelwright.craft.outline_shape import Shape

MM = 1e-3


def polygon(*points: tuple[float, float]) -> Shape:
    """Return a polygon of points in mm."""
    return Shape.polygon(tuple((x * MM, y * MM) for x, y in points))


def turned(shape: Shape, degrees: float) -> Shape:
    """Return a polygon turned about the origin and pushed aside."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return Shape.polygon(tuple((c * x - s * y + 0.07, s * x + c * y - 0.02) for x, y in shape.edge))


KITE = polygon((0, -20), (8, 5), (0, 12), (-8, 5))
WEDGE = polygon((0, 0), (30, 0), (0, 18))  # right-angled with unequal sides: no line halves it
SLANTED = polygon((0, 0), (30, 0), (38, 12), (8, 12))  # a parallelogram turns onto itself, but has no mirror line
TALL = polygon((0, 0), (24, 0), (12, 30))  # two equal sides


@pytest.mark.parametrize("degrees", [0.0, 17.0, 133.0])
@pytest.mark.parametrize(("shape", "own"), [(KITE, True), (TALL, True), (WEDGE, False), (SLANTED, False)])
def test_a_mirror_line_is_found_however_it_lies(shape: Shape, own: bool, degrees: float) -> None:
    assert own_mirror(turned(shape, degrees)) is own


def test_round_things_are_even_until_openings_say_otherwise() -> None:
    disc = Shape.circle(30 * MM)
    assert own_mirror(disc)
    assert own_mirror(Shape.ellipse(30 * MM, 20 * MM))
    one = Hole.round(2 * MM, (3 * MM, 11 * MM))
    assert own_mirror(disc.with_holes(one)), "one hole lies on a diameter"
    oval = Shape.ellipse(30 * MM, 20 * MM)
    assert own_mirror(oval.with_holes(Hole.round(2 * MM, (0.0, 7 * MM))))
    assert not own_mirror(oval.with_holes(Hole.round(2 * MM, (7 * MM, 5 * MM))))
    slit = Hole.cut(tuple((x * MM, y * MM) for x, y in ((-2, -1), (3, 1), (3, 2), (-2, 0))), "slit")
    assert not own_mirror(oval.with_holes(slit))


def test_the_image_of_an_image_is_the_outline() -> None:
    drilled = WEDGE.with_holes(Hole.round(2 * MM, (5 * MM, 5 * MM)))
    image = mirrored(drilled)
    assert image.outer_area == drilled.outer_area
    assert {(-x, y) for x, y in image.edge} == set(drilled.edge)
    assert mirrored(image).edge == drilled.edge
    assert mirrored(image).holes[0].boundary == drilled.holes[0].boundary
