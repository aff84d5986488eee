"""Outlines side by side: sound whatever the shape, never nearer than told, the same twice, and closer with a search."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from enamelwright.craft.outline_shape import Hole, Shape
from enamelwright.errors import InputError
from enamelwright.planning.nesting import grid, strip
from enamelwright.planning.nesting.outlines import blank_of, centred
from enamelwright.planning.nesting.part import Part, Placed
from enamelwright.planning.nesting.room import Room

LEAF = Shape.polygon(
    [(0.0015 * t - 0.015, 0.008 * math.sin(math.pi * t / 20)) for t in range(21)]
    + [(0.015 - 0.0015 * t, -0.008 * math.sin(math.pi * t / 20)) for t in range(1, 20)]
)
MIXED = [
    Part("disc", Shape.circle(0.025), 5), Part("small", Shape.circle(0.018), 4), Part("oval", Shape.ellipse(0.03, 0.02), 4),
    Part("leaf", LEAF, 4), Part("plate", Shape.rounded_rectangle(0.028, 0.016, 0.003), 3),
]  # fmt: skip


@pytest.mark.parametrize("shape", [Shape.circle(0.025), Shape.ellipse(0.03, 0.02), LEAF])
def test_the_room_a_part_takes_never_lies_inside_its_outline(shape: Shape) -> None:
    taken = Part("one", shape).outline
    assert taken.covers(Polygon(shape.edge))
    assert taken.area < shape.outer_area + shape.perimeter * 1e-4


def test_a_mixed_load_is_sound_and_repeats() -> None:
    room = Room.rectangle(0.2, 0.16, 0.006, 0.008, [(0.1, 0.08, 0.03)])
    one, again = grid.lay(MIXED, room), grid.lay(MIXED, room)
    assert not one.left
    assert not room.faults(one)
    assert [(p.x, p.y, p.turn) for p in one.placed] == [(p.x, p.y, p.turn) for p in again.placed]
    assert all(p.outline.distance(Point(0.1, 0.08)) >= 0.015 - 1e-9 for p in one.placed)


def test_a_region_of_any_shape_with_an_opening() -> None:
    cross = ((0.0, 0.0), (0.09, 0.0), (0.09, 0.04), (0.05, 0.07), (0.0, 0.06))
    window = ((0.02, 0.02), (0.04, 0.02), (0.04, 0.04), (0.02, 0.04))
    room = Room(cross, 0.0003, 0.0005, (), (window,))
    laid = grid.lay([Part("small", Shape.circle(0.014), 30)], room)
    assert laid.placed
    assert laid.left
    assert not room.faults(laid)


@settings(max_examples=12, deadline=None)
@given(st.floats(0.006, 0.05), st.floats(0.006, 0.05), st.floats(0.0, 0.006), st.integers(1, 9))
def test_rectangles_of_any_size(wide: float, high: float, gap: float, count: int) -> None:
    room = Room.rectangle(0.12, 0.08, gap, 0.001)
    part = Part("plate", Shape.rounded_rectangle(wide, high), count)
    laid = grid.lay([part], room)
    assert not room.faults(laid)
    assert len(laid.placed) + sum(n for _, n in laid.left) == count


def test_the_check_sees_what_it_should() -> None:
    room, disc = Room.rectangle(0.1, 0.1, 0.006, 0.008), MIXED[0]
    sound = [Placed(disc, 0.0206, 0.0206), Placed(disc, 0.0206 + 0.0312, 0.0206)]
    assert not room.faults(sound)
    assert room.faults([sound[0], Placed(disc, 0.0206 + 0.0305, 0.0206)])  # too near
    assert room.faults([Placed(disc, 0.02, 0.0206)])  # over the bare edge
    assert room.faults([sound[0], sound[0]])  # the same place twice
    assert Room.rectangle(0.1, 0.1, 0.0).faults([sound[0], Placed(disc, 0.021, 0.021)])  # overlapping without a gap
    assert Room.rectangle(0.1, 0.1, 0.006, 0.0, [(0.02, 0.05, 0.02)]).faults([Placed(disc, 0.02, 0.05)])  # on a spot


def test_the_strip_search_keeps_its_clearance_and_its_edges() -> None:
    """Six squares of 10 mm, clearance and edge 2 mm: two rows need 26 mm of height, as 2 + 10 + 2 + 10 + 2."""
    square = Part("square", Shape.rounded_rectangle(0.01, 0.01), 6, "not")
    room = Room.rectangle(0.1, 0.0262, 0.002, 0.002)
    layout, used = strip.strip_fits([square], room, 1)
    assert layout is not None
    assert len(layout.placed) == 6
    assert not room.faults(layout)
    assert used == pytest.approx(0.038, abs=3e-4)  # 2 + 3 x 10 + 2 x 2 + 2 mm


def test_a_strip_that_is_too_short_says_how_long_it_would_be() -> None:
    layout, used = strip.strip_fits(
        [Part("disc", Shape.circle(0.025), 4, "not")], Room.rectangle(0.06, 0.03, 0.002, 0.001), 1
    )
    assert layout is None
    assert used > 0.1


def test_a_domed_disc_comes_from_a_larger_blank() -> None:
    """Cap of rim radius a raised h: area pi (a^2 + h^2), exact; 541.1393346 mm2 for 25 mm raised 4 mm."""
    assert blank_of(Shape.circle(0.025), 0.004).area * 1e6 == pytest.approx(541.1393346, abs=1e-6)
    assert blank_of(LEAF, 0.0) is LEAF
    holed = LEAF.with_holes(Hole.round(0.002))
    assert len(blank_of(holed, 0.002).holes) == 1


def test_outlines_are_laid_about_their_middle() -> None:
    away = Shape.polygon([(0.1, 0.1), (0.13, 0.1), (0.13, 0.12), (0.1, 0.12)])
    left, low, right, top = centred(away).extent
    assert (left + right, low + top) == (pytest.approx(0, abs=1e-12), pytest.approx(0, abs=1e-12))


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="leave nothing"):
        Room.rectangle(0.1, 0.01, 0.001, 0.005)
    with pytest.raises(InputError, match="crosses or touches itself"):
        Room(((0, 0), (0.02, 0.02), (0.02, 0), (0, 0.02)), 0.001)
    with pytest.raises(InputError, match="copies"):
        Part("one", LEAF, 0)
