"""Drawings of a shelf, a cut sheet and what moves a cost: to scale, every piece numbered, nothing that a page forbids."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from enamelwright.craft.outline_shape import Shape
from enamelwright.pictures.blanks import blanks_svg
from enamelwright.pictures.laid_out import LaidPiece
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
