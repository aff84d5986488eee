"""Cutting lines read back by an independent library and by our own reader: millimetres, circles, areas."""

from __future__ import annotations

import io
import math
from pathlib import Path

import ezdxf
import pytest

from enamelwright.craft.outline_shape import Shape
from enamelwright.files import cut_lines
from enamelwright.files.cut_lines import CutLine
from enamelwright.files.drawing import read_drawing

OVAL = Shape.ellipse(0.03, 0.02)
#: Curves go out as straight pieces within 2 µm, which takes two parts in ten thousand off so small an area.
LINES = [
    CutLine("SHEET", ((0.0, 0.0), (0.1, 0.0), (0.1, 0.05), (0.0, 0.05))),
    CutLine("CUT", tuple((x + 0.02, y + 0.02) for x, y in OVAL.edge)),
    CutLine("HOLE", circle=(0.02, 0.02, 0.001)),
    CutLine("NOTE", note="1 <oval> & more", at=(0.02, 0.02)),
]


def test_dxf_is_in_millimetres_and_keeps_circles() -> None:
    drawing = ezdxf.read(io.StringIO(cut_lines.dxf(LINES)))
    assert drawing.header["$INSUNITS"] == 4
    circle = drawing.modelspace().query("CIRCLE").first
    assert circle is not None
    assert circle.dxf.radius == pytest.approx(1.0)
    assert circle.dxf.layer == "HOLE"
    outline = drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]').first
    points = [(x, y) for x, y, *_ in outline.get_points()]
    area = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True))) / 2
    assert area == pytest.approx(math.pi * 30 * 20 / 4, rel=3e-4)
    assert outline.closed


@pytest.mark.parametrize("kind", ["dxf", "svg"])
def test_one_blank_comes_back_as_it_went_out(kind: str, tmp_path: Path) -> None:
    lines = [LINES[1], LINES[2]]
    text = cut_lines.dxf(lines) if kind == "dxf" else cut_lines.svg(lines, "one blank")
    path = tmp_path / f"blank.{kind}"
    path.write_text(text, encoding="utf-8")
    shape = read_drawing(path).shape()
    assert shape.outer_area == pytest.approx(OVAL.area, rel=3e-4)
    assert len(shape.holes) == 1
    assert shape.holes[0].area == pytest.approx(math.pi * 0.001**2, rel=4e-3)


def test_words_are_escaped_and_nothing_is_asked_of_the_network() -> None:
    text = cut_lines.svg(LINES, "a <title>")
    assert "&lt;oval&gt; &amp; more" in text
    assert "a &lt;title&gt;" in text
    assert text.count("http") == 1  # the name of the format
    assert cut_lines.svg([], "empty").startswith("<svg")
