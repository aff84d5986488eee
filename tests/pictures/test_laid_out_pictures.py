"""Drawings of a shelf, a cut sheet and what moves a cost: to scale, every piece numbered, nothing that a page forbids."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from enamelwright.craft.outline_shape import Shape
from enamelwright.pictures.blanks import blanks_svg, extent
from enamelwright.pictures.laid_out import LaidPiece, round_length
from enamelwright.pictures.shelf import shelf_svg
from enamelwright.pictures.swings import Bar, swings_svg

DISC = Shape.circle(0.025)
PIECES = [
    LaidPiece(str(n), "disc <1>", tuple((x + 0.03 * n, y + 0.03) for x, y in DISC.edge), room=DISC.edge)
    for n in (1, 2, 3)
]
SHEET = ((0.0, 0.0), (0.12, 0.0), (0.12, 0.08), (0.0, 0.08))


def shelf(**more: object) -> str:
    return shelf_svg(0.12, 0.1, PIECES, edge=0.008, spots=[(0.06, 0.08, 0.02, "hot & bright")], **more)  # type: ignore[arg-type]


def sheet(**more: object) -> str:
    return blanks_svg((SHEET, ()), PIECES, [(SHEET, ())], grain=True, **more)  # type: ignore[arg-type]


def swings(**more: object) -> str:
    bars = [Bar("wage", 13.1, 16.6, "13.10", "16.60"), Bar("kiln", 14.8, 14.9, "14.80", "14.90")]
    return swings_svg(14.86, "14.86", bars, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("draw", [shelf, sheet, swings])
@pytest.mark.parametrize("light", ["paper", "lamp", "daylight"])
def test_a_drawing_is_sound_and_needs_no_style(draw: object, light: str) -> None:
    text = draw(light=light)  # type: ignore[operator]
    root = ET.fromstring(text)
    assert root.get("role") == "img"
    assert "style=" not in text
    assert text == draw(light=light)  # type: ignore[operator]
    said = root.findtext("{http://www.w3.org/2000/svg}desc")
    assert said
    assert said.endswith(".")


@pytest.mark.parametrize("draw", [shelf, sheet])
def test_every_piece_carries_its_number(draw: object) -> None:
    text = draw()  # type: ignore[operator]
    assert all(f">{n}</text>" in text for n in (1, 2, 3))


def test_true_size_is_true() -> None:
    """At true size a disc of 25 mm is 25 mm across in the picture, whose unit is the millimetre."""
    text = shelf(across=None)
    assert 'width="126mm"' in text
    filled = re.search(r'<path d="M([^"]*)Z" fill="#EFEFEF"', text)
    assert filled is not None
    across = [float(pair.split()[0]) for pair in filled.group(1).split("L")]
    assert max(across) - min(across) == pytest.approx(25, abs=0.01)


def test_the_door_is_below_and_y_runs_away_from_it() -> None:
    """A spot at the back of the shelf stands in the upper half of the picture."""
    circle = re.search(r'<circle cx="[^"]*" cy="([^"]*)"', shelf(across=None))
    assert circle is not None
    assert float(circle.group(1)) == pytest.approx(3 + 100 - 80, abs=0.01)


def test_the_cost_lies_between_the_ends_of_its_bars() -> None:
    text = swings()
    bar = re.search(r'<rect x="([^"]*)" y="[^"]*" width="([^"]*)"', text)
    line = re.search(r'<line x1="([^"]*)"', text)
    assert bar is not None
    assert line is not None
    start = float(bar.group(1))
    assert start < float(line.group(1)) < start + float(bar.group(2))


def test_a_narrow_drawing_keeps_its_words_inside() -> None:
    """Names stand over the bars; every word begins and ends within the width, at 0.62 of its height a letter."""
    text = swings(width=84.0, stacked=True)
    found = re.findall(
        r'<text x="([\d.]+)" y="[\d.]+" font-size="([\d.]+)"[^>]*?(?:text-anchor="(\w+)")?[^>]*>([^<]+)<', text
    )
    assert len(found) >= 7
    for x, size, anchor, told in found:
        wide = len(told) * float(size) * 0.62
        left = float(x) - (wide if anchor == "end" else wide / 2 if anchor == "middle" else 0)
        assert left >= -0.5, told
        assert left + wide <= 84.5, told


@pytest.mark.parametrize(("room", "told"), [(0.3, 0.05), (0.05, 0.05), (0.0437, 0.04), (0.0087, 0.008)])
def test_a_measure_is_as_long_as_it_says(room: float, told: float) -> None:
    """A short remnant has a shorter measure, of whole centimetres or millimetres, so that its number is true."""
    assert round_length(0.05, room) == pytest.approx(told)


def test_a_number_stands_on_its_piece() -> None:
    """The middle of a triangle's extent lies on its long side: the number stands inside instead."""
    from shapely import Point, Polygon

    corner = ((0.0, 0.0), (0.02, 0.0), (0.0, 0.014))
    x, y = LaidPiece("1", "corner", corner).word_at()
    assert Polygon(corner).boundary.distance(Point(x, y)) > 0.003
    assert Polygon(corner).contains(Point(x, y))
    square = ((0.0, 0.0), (0.02, 0.0), (0.02, 0.02), (0.0, 0.02))
    assert LaidPiece("2", "square", square).word_at() == pytest.approx((0.01, 0.01))


def test_a_small_remnant_has_room_for_its_words() -> None:
    small = ((0.0, 0.0), (0.03, 0.0), (0.03, 0.02))
    wide, high = extent(small, 1.0, grain=True)
    assert wide >= 48
    assert high > 20 + 15, "the direction of rolling stands below the measure"
    assert extent(SHEET, 1.0, grain=True)[1] - extent(SHEET, 1.0, grain=False)[1] in {0.0, 6.0}
