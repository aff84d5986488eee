"""The firing along its time: to scale, in order, well-formed, and nothing a strict page would refuse."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from enamelwright.pictures.firing_line import NARROW, WIDE, Mark, Measures, firing_line_svg

MARKS = (Mark("sugar", 37, 46, 55), Mark("orange peel", 46, 56, 71), Mark("gloss", 62, 85, 167))


@pytest.mark.parametrize("measures", [WIDE, NARROW])
@pytest.mark.parametrize("over", [None, 180.0])
def test_it_is_a_picture_without_styles_or_scripts(measures: Measures, over: float | None) -> None:
    drawn = firing_line_svg(MARKS, 200, target="gloss", looks=(60, 75), over=over, measures=measures)
    root = ElementTree.fromstring(drawn)
    assert root.tag.endswith("svg")
    assert "style=" not in drawn
    assert "script" not in drawn
    assert all(mark.stage in drawn for mark in MARKS)


def test_the_mark_of_now_can_be_placed_to_scale() -> None:
    """What the page computes from left and scale falls on the stage it belongs to."""
    drawn = firing_line_svg(MARKS, 200, target="gloss")
    left, scale, end = (
        float(re.search(rf'data-{name}="([\d.]+)"', drawn).group(1)) for name in ("left", "scale", "end")
    )  # type: ignore[union-attr]
    assert end >= 200
    bar = re.search(r'<rect x="([\d.]+)" y="[\d.]+" width="([\d.]+)"', drawn)
    assert bar is not None
    assert float(bar.group(1)) == pytest.approx(left + 37 * scale, abs=0.01)
    assert float(bar.group(2)) == pytest.approx((55 - 37) * scale, abs=0.01)


def test_the_same_firing_is_the_same_text() -> None:
    assert firing_line_svg(MARKS, 200) == firing_line_svg(MARKS, 200)


def test_stages_past_the_end_are_left_out() -> None:
    assert "gloss" not in firing_line_svg(MARKS, 60)


@pytest.mark.parametrize("measures", [WIDE, NARROW])
@pytest.mark.parametrize("early", [1, 20, 60, 120])
@pytest.mark.parametrize("late", [130, 200, 400])
def test_no_name_is_cut_off_at_the_edge(measures: Measures, early: int, late: int) -> None:
    """A name stands whole inside the drawing, beside its band or on it."""
    middle = (early + late) / 2
    drawn = firing_line_svg([Mark("orange peel", early, middle, late)], 260, target="orange peel", measures=measures)
    found = re.search(r'<text x="([\d.-]+)"[^>]*?font-size="([\d.]+)"([^>]*)>(orange peel[^<]*)<', drawn)
    assert found is not None
    x, wide = float(found.group(1)), 0.55 * float(found.group(2)) * len(found.group(4))
    left, right = (x - wide, x) if 'text-anchor="end"' in found.group(3) else (x, x + wide)
    assert left >= 0
    assert right <= measures.wide
