"""Blanks on sheets and remnants: small remnants first, weight accounted for, remnants kept as true outlines."""

from __future__ import annotations

import math

import pytest
from shapely import Polygon

from enamelwright.craft.outline_shape import Hole, Shape
from enamelwright.planning.blanks import cutting
from enamelwright.planning.blanks.sheets import Sheet, boxes_length, remains
from enamelwright.planning.nesting.part import Part

DISC = Part("disc", Shape.circle(0.025).with_holes(Hole.round(0.002, (0.0, 0.009))), 4)
SCRAP = Sheet("r1", ((0.0, 0.0), (0.06, 0.0), (0.06, 0.03), (0.03, 0.06), (0.0, 0.05)), True)
WHOLE = Sheet.rectangle("s1", 0.15, 0.1)
KERF, EDGE, LEAST = 0.0003, 0.0005, 0.015


def test_remnants_are_used_up_first() -> None:
    done = cutting.cut([DISC], [WHOLE, SCRAP], KERF, EDGE, LEAST)
    assert [cut.sheet.label for cut in done.cuts] == ["r1", "s1"]
    assert sum(len(cut.placed) for cut in done.cuts) == 4
    assert not done.left
    for cut in done.cuts:
        assert not cut.sheet.room(KERF, EDGE).faults(cut.placed)


def test_nothing_is_lost_from_the_account() -> None:
    for cut in cutting.cut([DISC], [WHOLE, SCRAP], KERF, EDGE, LEAST).cuts:
        left = cut.remains
        assert left.kept + left.cut + left.lost == pytest.approx(cut.sheet.area, rel=1e-12)
        assert left.cut == pytest.approx(len(cut.placed) * (math.pi * 0.025**2 - math.pi * 0.002**2) / 4, rel=1e-12)
        metal = cut.sheet.room(0, 0).whole
        for ring, windows in left.remnants:
            kept = Polygon(ring, windows)
            assert metal.buffer(1e-9).covers(kept)
            assert all(kept.distance(one.outline) >= KERF - 1e-9 for one in cut.placed)
            assert not kept.buffer(-LEAST / 2 * 0.98).is_empty  # somewhere as wide as is worth keeping


def test_a_remnant_can_be_cut_from_again() -> None:
    first = cutting.cut([DISC], [WHOLE], KERF, EDGE, LEAST)
    ring, windows = first.cuts[0].remains.remnants[0]
    again = cutting.cut([DISC], [Sheet("r2", ring, True, windows)], KERF, EDGE, LEAST)
    assert sum(len(cut.placed) for cut in again.cuts) == 4


def test_scrap_by_weight() -> None:
    done = cutting.cut([DISC], [WHOLE], KERF, EDGE, LEAST)
    assert cutting.scrap(done, 0.0009, 8960) == pytest.approx(done.cuts[0].remains.lost * 0.0009 * 8960)
    assert cutting.weight(DISC.shape, 0.0009, 8960) * 1e3 == pytest.approx(
        490.87385 * 0.9 * 8.96e-3 * (1 - (2 / 25) ** 2), rel=1e-6
    )


def test_an_untouched_sheet_is_kept_whole() -> None:
    left = remains(WHOLE, [], KERF, LEAST)
    assert left.kept == pytest.approx(WHOLE.area, rel=1e-3)
    assert left.lost < 1e-5


def test_a_blank_larger_than_every_sheet_is_named_and_the_rest_is_cut() -> None:
    big = Part("big", Shape.circle(0.12))
    done = cutting.cut([big, DISC], [WHOLE, SCRAP], KERF, EDGE, LEAST)
    assert done.never == ("big",)
    assert sum(len(cut.placed) for cut in done.cuts) == 4


def test_a_long_blank_fits_across_when_it_may_be_turned() -> None:
    long = Shape.rounded_rectangle(0.09, 0.01)
    narrow = Sheet.rectangle("n", 0.02, 0.1)
    assert cutting.cut([Part("strip", long, 1, "quarters")], [narrow], KERF, EDGE, LEAST).cuts
    assert cutting.cut([Part("strip", long, 1, "along")], [narrow], KERF, EDGE, LEAST).never == ("strip",)


def test_a_grain_is_kept() -> None:
    oval = Part("oval", Shape.ellipse(0.03, 0.02), 8, "along")
    done = cutting.cut([oval], [WHOLE], KERF, EDGE, LEAST)
    assert {one.turn % 180 for cut in done.cuts for one in cut.placed} == {0.0}


def test_a_closer_search_is_never_worse() -> None:
    parts = [Part("oval", Shape.ellipse(0.03, 0.02), 6, "quarters"), Part("disc", Shape.circle(0.02), 5)]
    quick, closer = (cutting.cut(parts, [WHOLE], KERF, EDGE, LEAST, seconds=s).cuts[0] for s in (0, 1))
    reach = [max(one.outline.bounds[2] for one in cut.placed) for cut in (quick, closer)]
    assert reach[1] <= reach[0] + 1e-9
    assert not WHOLE.room(KERF, EDGE).faults(closer.placed)


def test_boxes_take_what_they_take() -> None:
    """Six squares of 20 mm on 41 mm of height with 1 mm between: three columns of two, 62 mm."""
    assert boxes_length([(Shape.rounded_rectangle(0.02, 0.02), 6)], 0.041, 0.001) == pytest.approx(0.062)
