"""Outlines as geometry: independent library, invariances and refusals."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon
from shapely.affinity import rotate

from enamelwright.craft import outline_ring as rings
from enamelwright.craft.outline_shape import Cell, Hole, Shape
from enamelwright.errors import InputError

SIDE = st.floats(0.0011, 0.9)
SQUARE = [(0.0, 0.0), (0.01, 0.0), (0.01, 0.01), (0.0, 0.01)]


@given(SIDE, SIDE, st.floats(0, 1))
@settings(max_examples=80)
def test_closed_forms_agree_with_the_drawn_edge(width: float, height: float, share: float) -> None:
    for shape in (
        Shape.circle(width), Shape.ellipse(width, height),
        Shape.rounded_rectangle(width, height, share * min(width, height) / 2),
    ):  # fmt: skip
        drawn = Polygon(shape.boundary_points())
        gap = 4 * rings.FLATTENING
        assert abs(drawn.area - shape.area) <= gap * shape.perimeter
        assert abs(drawn.length - shape.perimeter) <= max(gap * 20, 1e-4 * shape.perimeter)
        assert rings.longest_across(shape.edge) == pytest.approx(shape.chord, abs=gap)
        assert rings.narrowest_across(shape.edge) == pytest.approx(shape.short_side, abs=gap)
        assert shape.width <= shape.chord + gap
        assert shape.area <= math.pi * shape.chord**2 / 4 * (1 + 1e-9)  # isodiametric inequality
        assert shape.perimeter**2 >= 4 * math.pi * shape.area * (1 - 1e-9)  # isoperimetric inequality


@given(st.lists(st.tuples(st.floats(-0.2, 0.2), st.floats(-0.2, 0.2)), min_size=0, max_size=9))
@settings(max_examples=150)
def test_any_polygon_is_measured_as_shapely_does_or_refused(points: list[tuple[float, float]]) -> None:
    try:
        shape = Shape.polygon(points)
    except InputError:
        return
    peer = Polygon(points)
    assert shape.area == pytest.approx(peer.area, rel=1e-6, abs=1e-12)
    assert shape.perimeter == pytest.approx(peer.length, rel=1e-6)
    assert shape.chord >= shape.short_side > 0
    box = peer.minimum_rotated_rectangle
    sides = sorted(math.dist(*pair) for pair in zip(box.exterior.coords, box.exterior.coords[1:], strict=False))
    assert shape.short_side <= sides[0] * (1 + 1e-6)  # the narrowest width is never more than that box


@given(st.floats(0, 360))
def test_turning_changes_nothing(angle: float) -> None:
    ell = Polygon([(0, 0), (0.03, 0), (0.03, 0.01), (0.01, 0.01), (0.01, 0.025), (0, 0.025)])
    first, turned = Shape.polygon(ell.exterior.coords), Shape.polygon(rotate(ell, angle).exterior.coords)
    for name in ("area", "perimeter", "chord", "short_side"):
        assert getattr(turned, name) == pytest.approx(getattr(first, name), rel=1e-9)


def test_direction_and_closing_point_do_not_matter() -> None:
    assert Shape.polygon(SQUARE) == Shape.polygon([*SQUARE, SQUARE[0]])
    assert Shape.polygon(SQUARE[::-1]).area == pytest.approx(1e-4)
    assert rings.signed_area(Shape.polygon(SQUARE[::-1]).edge) > 0


def test_round_means_round() -> None:
    assert Shape.circle(0.05).is_round
    assert Shape.polygon(Shape.circle(0.05).edge).is_round
    assert not Shape.ellipse(0.034, 0.024).is_round
    assert not Shape.polygon(SQUARE).is_round


def test_a_crossing_is_refused_with_its_place() -> None:
    with pytest.raises(InputError, match=r"crosses or touches itself at x 5 mm, y 5 mm"):
        Shape.polygon([(0, 0), (0.01, 0.01), (0.01, 0), (0, 0.01)])


@pytest.mark.parametrize(
    "build",
    [
        lambda: Shape.circle(0), lambda: Shape.circle(-0.01), lambda: Shape.circle(math.nan),
        lambda: Shape.circle(math.inf), lambda: Shape.circle(1.01), lambda: Shape.circle(0.0009),
        lambda: Shape.ellipse(0.02, 0), lambda: Shape.rounded_rectangle(0.03, 0.02, 0.011),
        lambda: Shape.rounded_rectangle(0.03, 0.02, -0.001), lambda: Shape.rounded_rectangle(0.03, 0.02, math.nan),
        lambda: Shape.polygon([]), lambda: Shape.polygon([(0, 0), (0.01, 0.01), (0, 0)]),
        lambda: Shape.polygon([(0, 0), (0.01, 0), (0.02, 0)]), lambda: Shape.polygon([(0, 0), (0.01, math.inf),
        (0, 0.02)]),
        lambda: Shape.polygon([(0, 0, 0), (1, 0, 0), (0, 1, 0)]),
        lambda: Shape.area_only(0), lambda: Shape.area_only(math.nan), lambda: Shape.area_only(5e-4, 0.02),
        lambda: Shape.area_only(5e-4, 0.9), lambda: Shape.circle(0.02).dome_area_factor(0.0101),
        lambda: Shape.circle(0.02).dome_area_factor(math.nan),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_words(build) -> None:
    with pytest.raises(InputError) as caught:
        build()
    assert caught.value.message.endswith((".", "?"))
    assert caught.value.remedy


def test_holes_stay_inside_and_apart() -> None:
    disc = Shape.circle(0.02)
    with pytest.raises(InputError, match="does not lie inside"):
        disc.with_holes(Hole.round(0.002, (0.0095, 0)))
    with pytest.raises(InputError, match="overlap"):
        disc.with_holes(Hole.round(0.002), Hole.round(0.002, (0.0015, 0), "second"))
    with pytest.raises(InputError, match="overlap"):
        disc.with_holes(Hole.round(0.004)).with_holes(Hole.round(0.001, name="inner"))
    pair = disc.with_holes(Hole.round(0.002, (0, 0.007)), Hole.round(0.001, (0, 0.003), "low"))
    assert pair.clearances["hole"] == pytest.approx(0.002, abs=4 * rings.FLATTENING)
    assert pair.clearance_to_edge == pytest.approx(0.002, abs=4 * rings.FLATTENING)
    assert pair.clearances["low"] == pytest.approx(0.0025, abs=4 * rings.FLATTENING)
    assert disc.clearance_to_edge == math.inf
    assert pair.all_edges == pytest.approx(math.pi * 0.023)


def test_cells_share_the_face() -> None:
    plate = Shape.rounded_rectangle(0.03, 0.02)
    outer = ((-0.01, -0.008), (0.01, -0.008), (0.01, 0.008), (-0.01, 0.008))
    left = ((-0.004, -0.003), (0.0, -0.003), (0.0, 0.003), (-0.004, 0.003))
    right = ((0.0, -0.003), (0.004, -0.003), (0.004, 0.003), (0.0, 0.003))
    shape = plate.with_cells(Cell("around", outer, (left, right)), Cell("left", left), Cell("right", right))
    assert shape.cells_area == pytest.approx(0.02 * 0.016)
    assert shape.area_between_cells == pytest.approx(0.03 * 0.02 - 0.02 * 0.016)
    # two islands with a common edge: that edge is no edge of the cell around them
    assert shape.cells["around"].perimeter == pytest.approx(2 * (0.02 + 0.016) + 2 * (0.008 + 0.006))
    with pytest.raises(InputError, match="overlap"):
        plate.with_cells(Cell("around", outer), Cell("left", left))
    with pytest.raises(InputError, match="two cells"):
        plate.with_cells(Cell("left", left), Cell("left", right))
    with pytest.raises(InputError, match="runs out"):
        plate.with_cells(Cell("far", tuple((x + 0.017, y) for x, y in left)))
    with pytest.raises(InputError, match="islands"):
        plate.with_cells(Cell("around", left, (outer,)))


def test_a_blank_known_by_area_alone() -> None:
    assert Shape.area_only(math.pi * 0.011**2).chord == pytest.approx(0.022)
    oval = Shape.area_only(math.pi * 0.017 * 0.012, 0.034)
    assert oval.short_side == pytest.approx(0.024)
    assert oval.perimeter == pytest.approx(Shape.ellipse(0.034, 0.024).perimeter)
    bead = Shape.area_only(4 * math.pi * 0.006**2, 0.012, flat=False)
    assert bead.area == pytest.approx(4 * math.pi * 0.006**2)
    assert bead.chord == pytest.approx(0.012)


def test_plain_outlines_need_no_geometry_library() -> None:
    code = (
        "import sys; from enamelwright.craft.outline_shape import Shape; s = Shape.ellipse(.03, .02); s.area, s.chord;"
        "from enamelwright.files.drawing import read_drawing;"
        "sys.exit(any(n in sys.modules for n in ('shapely', 'scipy', 'svgelements', 'ezdxf')))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False, env={"PYTHONPATH": "src"}).returncode == 0
