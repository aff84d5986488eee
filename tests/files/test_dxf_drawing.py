"""DXF drawings: units, joining, layers, and everything hostile or broken."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.files.drawing import Drawing, read_drawing
from enamelwright.files.errors import FileError

DATA = Path(__file__).parent / "data"
FRAME = [(0, 0), (40, 0), (40, 30), (0, 30)]


def save(tmp_path: Path, build: Callable[[Any, Any], None], units: int = 4, version: str = "R2000") -> Path:
    document = ezdxf.new(version, units=units)
    build(document, document.modelspace())
    path = tmp_path / "some.dxf"
    document.saveas(path)
    return path


def frame(_: Any, space: Any) -> None:
    space.add_lwpolyline(FRAME, close=True)


def read(tmp_path: Path, build: Callable[[Any, Any], None], units: int = 4, **options: float) -> Drawing:
    return read_drawing(save(tmp_path, build, units), **options)


def test_leaf_is_the_leaf_of_the_other_format() -> None:
    one, other = read_drawing(DATA / "leaf.dxf").shape(), read_drawing(DATA / "leaf.svg").shape()
    assert one.area == pytest.approx(other.area, rel=1e-5)
    assert one.perimeter == pytest.approx(other.perimeter, rel=1e-5)
    assert one.cells["dew"].area == pytest.approx(other.cells["dew"].area, rel=1e-3)
    assert one.wires == pytest.approx(other.wires)
    assert one.area == pytest.approx((2 * (625 * math.acos(0.6) - 300) - math.pi) * 1e-6, rel=5e-4)


@pytest.mark.parametrize(("code", "metres"), [(1, 0.0254), (4, 0.001), (5, 0.01), (9, 2.54e-5), (13, 1e-6), (14, 0.1)])
def test_units_of_the_header(tmp_path: Path, code: int, metres: float) -> None:
    # DXF Reference, $INSUNITS: 1 inches, 4 millimetres, 5 centimetres, 9 mils, 13 microns, 14 decimetres
    size = 0.02 / metres
    drawing = read(
        tmp_path,
        lambda _, space: space.add_lwpolyline([(0, 0), (size, 0), (size, size), (0, size)], close=True),
        code,
    )
    assert drawing.shape().area == pytest.approx(4e-4)


def test_without_units_the_width_is_asked_for(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"no real units.*width_mm"):
        read(tmp_path, frame, 0)
    assert read(tmp_path, frame, 0, width=0.02).shape().area == pytest.approx(0.02 * 0.015)


def test_single_lines_and_arcs_are_joined(tmp_path: Path) -> None:
    def stadium(_: Any, space: Any) -> None:
        space.add_line((0, 0), (20, 0))
        space.add_line((0, 10), (20, 10))
        space.add_arc((20, 5), 5, -90, 90)
        space.add_arc((0, 5), 5, 90, 270)
        space.add_line((5, 5), (15, 5))  # touches nothing: a wire

    shape = read(tmp_path, stadium).shape()
    assert shape.area == pytest.approx((200 + 25 * math.pi) * 1e-6, rel=1e-3)
    assert shape.chord == pytest.approx(0.03, rel=1e-3)
    assert shape.wires == pytest.approx(0.01)


def test_forks_are_not_guessed(tmp_path: Path) -> None:
    def fork(_: Any, space: Any) -> None:
        frame(_, space)
        for end in ((10, 10), (20, 10), (15, 20)):
            space.add_line((15, 12), end)

    shape = read(tmp_path, fork).shape()
    assert not shape.cells
    assert shape.wires == pytest.approx((2 * math.hypot(5, 2) + 8) * 1e-3)


def test_every_kind_of_curve(tmp_path: Path) -> None:
    def curves(document: Any, space: Any) -> None:
        frame(document, space)
        space.add_circle((6, 6), 3, dxfattribs={"layer": "disc"})
        space.add_ellipse((20, 6), (5, 0), 0.5, dxfattribs={"layer": "oval"})
        space.add_lwpolyline([(30, 4, 0, 0, 1), (34, 4, 0, 0, 1)], close=True, dxfattribs={"layer": "bulges"})
        space.add_polyline2d([(4, 20), (8, 20), (8, 26), (4, 26)], close=True, dxfattribs={"layer": "old"})
        space.add_circle((20, 20), 1, dxfattribs={"layer": "Holes"})
        block = document.blocks.new("dot")
        block.add_circle((0, 0), 1)
        space.add_blockref("dot", (30, 20), {"layer": "dot", "xscale": 2, "yscale": 2})
        space.add_text("note")

    drawing = read(tmp_path, curves)
    shape = drawing.shape()
    assert shape.cells["disc"].area == pytest.approx(9e-6 * math.pi, rel=2e-3)
    assert shape.cells["oval"].area == pytest.approx(12.5e-6 * math.pi, rel=2e-3)
    assert shape.cells["bulges"].area == pytest.approx(4e-6 * math.pi, rel=2e-3)
    assert shape.cells["old"].area == pytest.approx(24e-6)
    assert shape.cells["cell 1"].area == pytest.approx(4e-6 * math.pi, rel=2e-3)
    assert [hole.name for hole in shape.holes] == ["hole 1"]
    assert any("TEXT" in words for words in drawing.warnings)


def test_layers_switched_off_do_not_count(tmp_path: Path) -> None:
    def layers(document: Any, space: Any) -> None:
        frame(document, space)
        document.layers.add("draft").off()
        space.add_circle((6, 6), 3, dxfattribs={"layer": "draft"})

    assert not read(tmp_path, layers).cells


def nested(document: Any, space: Any) -> None:
    frame(document, space)
    document.blocks.new("b0").add_circle((1, 1), 0.2)
    for level in range(1, 7):
        block = document.blocks.new(f"b{level}")
        for _ in range(10):
            block.add_blockref(f"b{level - 1}", (0, 0))
    space.add_blockref("b6", (0, 0))


def itself(document: Any, space: Any) -> None:
    frame(document, space)
    block = document.blocks.new("loop")
    block.add_blockref("loop", (0, 0))
    space.add_blockref("loop", (0, 0))


def array(document: Any, space: Any) -> None:
    frame(document, space)
    document.blocks.new("dot").add_circle((1, 1), 0.2)
    space.add_blockref(
        "dot", (0, 0), {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    )


HOSTILE: dict[str, tuple[Callable[[Any, Any], Any], str]] = {
    "nested blocks": (nested, "entities|deep"),
    "a block in itself": (itself, "deep|cannot be read"),
    "an endless array": (array, "repeated"),
    "a huge circle": (lambda _, s: s.add_circle((0, 0), 1e13), "too large"),
    "a piece of two metres": (lambda _, s: s.add_circle((0, 0), 1000), "across"),
    "nothing": (lambda _, s: s.add_text("x"), "no lines"),
    "open": (lambda _, s: s.add_line((0, 0), (9, 9)), "no closed line"),
    "open outline": (lambda _, s: s.add_line((0, 0), (9, 9), {"layer": "outline"}), "not closed"),
    "crossing": (lambda _, s: s.add_lwpolyline([(0, 0), (9, 9), (9, 0), (0, 9)], close=True), "crosses"),
    "too many": (lambda _, s: [s.add_line((i, 0), (i, 1)) for i in range(20_001)], "entities"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_drawings_are_refused_in_one_sentence(tmp_path: Path, case: str) -> None:
    build, words = HOSTILE[case]
    with pytest.raises(FileError, match=words) as caught:
        read(tmp_path, build)
    assert str(caught.value).startswith("some.dxf: ")
    assert caught.value.remedy
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "data",
    [b"", b"hello", b"AutoCAD Binary DXF\r\n\x1a\x00rest", b"0\nSECTION\n2\nENTITIES\n0\nLINE", b"\x00" * 99,
    b"0\nEOF\n",
     b"999\n" * 1000, b"0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\nabc\n20\n0\n40\n5\n0\nENDSEC\n0\nEOF\n",
     b"x" * 9 * 1024**2],
)  # fmt: skip
def test_what_is_no_dxf(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "some.dxf"
    path.write_bytes(data)
    with pytest.raises(FileError):
        read_drawing(path)


@given(st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_damaged_files(tmp_path: Path, data: st.DataObject) -> None:
    lines = (DATA / "leaf.dxf").read_bytes().split(b"\n")
    begin = lines.index(b"ENTITIES") if b"ENTITIES" in lines else 0
    for _ in range(data.draw(st.integers(1, 6))):
        place = data.draw(st.integers(begin, len(lines) - 1) | st.integers(0, len(lines) - 1))
        lines[place] = data.draw(
            st.sampled_from(
                [b"", b"-1", b"1e999", b"nan", b"  0", b"SPLINE", b"INSERT", b"70", b"\xff\xfe", b"999999999"]
            )
        )
    path = tmp_path / "some.dxf"
    path.write_bytes(b"\n".join(lines))
    try:
        read_drawing(path)
    except InputError as error:
        assert isinstance(error, FileError)  # noqa: PT017 - a drawing that survives is as good
