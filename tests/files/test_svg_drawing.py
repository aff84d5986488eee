"""SVG drawings: units, transforms, nesting, and everything hostile or broken."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.files import svg_drawing
from enamelwright.files.drawing import Drawing, read_drawing
from enamelwright.files.errors import FileError

DATA = Path(__file__).parent / "data"
EXAMPLES = Path(__file__).parents[2] / "examples" / "drawings"
XLINK = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'


def page(body: str, size: str = 'width="40mm" height="30mm" viewBox="0 0 40 30"') -> str:
    return f"<svg {XLINK} {size}>{body}</svg>"


def draw(tmp_path: Path, text: str | bytes, **options: float) -> Drawing:
    path = tmp_path / "some.svg"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_drawing(path, **options)


PLATE = '<rect id="plate" width="40" height="30"/>'


def test_leaf_against_its_closed_form() -> None:
    # Two arcs of 25 mm over a chord of 40 mm: lens area by plane trigonometry, less a 2 mm hole.
    shape = read_drawing(DATA / "leaf.svg").shape()
    assert shape.area == pytest.approx((2 * (625 * math.acos(0.6) - 300) - math.pi) * 1e-6, rel=5e-4)
    assert (shape.width, shape.height) == (pytest.approx(0.04, rel=1e-4), pytest.approx(0.02, rel=1e-3))
    assert set(shape.cells) == {"dew", "blade"}
    assert shape.cells["dew"].area == pytest.approx(9e-6 * math.pi, rel=2e-3)
    assert shape.cells["blade"].area == pytest.approx(76e-6)  # 10 x 8 less an island of 2 x 2
    assert shape.wires == pytest.approx(0.008)
    hole = shape.holes[0]
    assert sum(x for x, _ in hole.boundary) / len(hole.boundary) == pytest.approx(-0.015, abs=1e-5)


@pytest.mark.parametrize(
    ("file", "width", "height", "cells", "holes"),
    [
        ("lantern.svg", 0.024, 0.034, {"night", "cap", "glow-left", "glow-middle", "glow-right"}, 1),
        ("reedbed.svg", 0.046, 0.030, {"sky", "reeds", "dusk", "water"}, 0),
        ("window.svg", 0.026, 0.018, {"cell-dawn", "cell-noon", "cell-dusk", "cell-night"}, 0),
        ("wave.dxf", 0.040, 0.023, {"crest", "trough"}, 1),
    ],
)
def test_examples_are_what_they_say(file: str, width: float, height: float, cells: set[str], holes: int) -> None:
    drawing = read_drawing(EXAMPLES / file)
    shape = drawing.shape()
    assert shape.width == pytest.approx(width, rel=1e-4)
    assert shape.height == pytest.approx(height, rel=1e-4)
    assert set(shape.cells) == cells
    assert len(shape.holes) == holes
    assert drawing.warnings == ()


def test_reedbed_lines_are_one_millimetre() -> None:
    cells = read_drawing(EXAMPLES / "reedbed.svg").shape().cells
    for one, other in (("sky", "reeds"), ("reeds", "dusk"), ("sky", "water"), ("dusk", "water")):
        assert cells[one].floor.distance(cells[other].floor) == pytest.approx(1e-3, abs=5e-6)


@pytest.mark.parametrize(
    ("size", "width"),
    [
        ('width="40mm" height="30mm" viewBox="0 0 40 30"', 0.04),
        ('width="4cm" viewBox="0 0 80 60"', 0.02),
        ('width="2in" height="1.5in" viewBox="0 0 40 30"', 0.0508),
        ('width="144pt" height="108pt" viewBox="0 0 40 30"', 0.0508),
        ('width="12pc" height="9pc" viewBox="0 0 40 30"', 0.0508),
        ('width="160Q" height="120Q" viewBox="0 0 40 30"', 0.04),
        ('width="300mm" height="200mm"', 40 * 0.0254 / 96),  # no viewBox: CSS pixels, 96 to the inch
        ('width="80mm" height="30mm" viewBox="0 0 40 30"', 0.04),  # xMidYMid meet: the smaller scale
    ],
)
def test_units(tmp_path: Path, size: str, width: float) -> None:
    assert draw(tmp_path, page(PLATE, size)).shape().width == pytest.approx(width, rel=1e-9)


@pytest.mark.parametrize(
    "size",
    ['viewBox="0 0 40 30"', 'width="40px" height="30px"', 'width="100%" viewBox="0 0 40 30"', 'width="40" height="30"'],
)
def test_without_real_units_the_width_is_asked_for(tmp_path: Path, size: str) -> None:
    with pytest.raises(FileError, match=r"some\.svg: the drawing has no real units.*width_mm"):
        draw(tmp_path, page(PLATE, size))
    assert draw(tmp_path, page(PLATE, size), width=0.02).shape().area == pytest.approx(0.02 * 0.015)
    assert draw(tmp_path, page(PLATE, size), scale=1e-3).shape().area == pytest.approx(0.04 * 0.03)


def test_a_width_against_the_files_own_units_is_told(tmp_path: Path) -> None:
    assert draw(tmp_path, page(PLATE), width=0.04).warnings == ()
    drawing = draw(tmp_path, page(PLATE), width=0.08)
    assert drawing.shape().width == pytest.approx(0.08)
    assert any("own units" in words for words in drawing.warnings)
    with pytest.raises(FileError, match="both"):
        draw(tmp_path, page(PLATE), width=0.04, scale=1.0)


def test_transforms_in_the_order_of_the_standard(tmp_path: Path) -> None:
    # SVG 1.1, 7.5: the nested transforms apply from the inside out, the last of a list first.
    body = PLATE + (
        '<g transform="translate(10,5)"><g transform="scale(2) rotate(90)">'
        '<rect id="cell-a" x="1" y="-6" width="4" height="3"/></g></g>'
    )
    x, y = zip(*draw(tmp_path, page(body)).shape().cells["cell-a"].boundary, strict=True)
    # rotate(90): (x, y) -> (-y, x): x 3..6, y 1..5; scaled by 2 and moved: x 16..22, y 7..15
    assert (min(x), max(x)) == (pytest.approx(-0.004), pytest.approx(0.002))
    assert (min(y), max(y)) == (pytest.approx(0.0), pytest.approx(0.008))


def test_roles_by_nesting_and_name(tmp_path: Path) -> None:
    body = (
        PLATE
        + '<g class="Holes"><circle cx="3" cy="3" r="1"/><circle id="rivet" cx="37" cy="3" r="1"/></g>'
        + '<rect id="pond" x="8" y="8" width="20" height="14"/><rect id="isle" x="12" y="10" width="4" height="4"/>'
        + '<circle id="hole-mid" cx="22" cy="15" r="2"/>'
        + '<g id="guide"><rect x="-20" y="-20" width="100" height="100"/></g>'
        + '<path d="M1,28 L9,28"/><rect class="wire" x="30" y="20" width="5" height="5"/>'
        + '<path d="M30,10 h3 v3 h-3 z M34,10 h3 v3 h-3 z"/>'
    )
    shape = draw(tmp_path, page(body)).shape()
    assert {hole.name for hole in shape.holes} == {"hole 1", "rivet", "hole-mid"}
    assert set(shape.cells) == {"pond", "isle", "cell 1", "cell 2"}
    assert shape.cells["pond"].area == pytest.approx((280 - 16 - 4 * math.pi) * 1e-6, rel=1e-3)
    assert shape.wires == pytest.approx(0.028)


def test_subpaths_of_the_outline_are_holes(tmp_path: Path) -> None:
    shape = draw(tmp_path, page('<path d="M0,0 H40 V30 H0 Z M5,5 h4 v4 h-4 Z"/>')).shape()
    assert shape.area == pytest.approx((1200 - 16) * 1e-6)
    assert [hole.name for hole in shape.holes] == ["hole 1"]


def test_copies_take_the_name_of_the_copy(tmp_path: Path) -> None:
    body = PLATE + (
        '<defs><path id="petal" d="M0,0 h4 v4 h-4 z"/></defs>'
        '<use xlink:href="#petal" id="east" x="20" y="5"/><use href="#petal" id="west" transform="translate(5,5)"/>'
    )
    shape = draw(tmp_path, page(body)).shape()
    assert set(shape.cells) == {"east", "west"}
    assert shape.cells_area == pytest.approx(32e-6)


def test_hidden_and_undrawn_things_do_not_count(tmp_path: Path) -> None:
    body = PLATE + (
        '<g style="display:none"><circle cx="5" cy="5" r="2"/></g><circle display="none" cx="9" cy="9" r="2"/>'
        '<clipPath id="c"><circle cx="5" cy="5" r="2"/></clipPath><text x="3" y="3">hello</text>'
        '<image href="data:image/png;base64,AAAA"/>'
    )
    drawing = draw(tmp_path, page(body))
    assert not drawing.cells
    assert drawing.warnings == ("a picture was left out.", "text was left out.")


def test_a_line_drawn_twice_counts_once(tmp_path: Path) -> None:
    drawing = draw(tmp_path, page(PLATE + PLATE.replace("plate", "again") + PLATE.replace("plate", "third")))
    assert drawing.cells == ()
    assert any("drawn twice" in words for words in drawing.warnings)


def bomb(levels: int, copies: int) -> str:
    parts = ['<g id="l0"><circle cx="5" cy="5" r="1"/></g>']
    parts += [
        f'<g id="l{i}">' + f'<use xlink:href="#l{i - 1}"/>' * copies + "</g>" for i in range(1, levels)
    ]  # fmt: skip
    return page("<defs>" + "".join(parts) + f'</defs>{PLATE}<use xlink:href="#l{levels - 1}"/>')


LAUGHS = '<!DOCTYPE svg [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>' + page("<text>&b;</text>")
HOSTILE = {
    "nested copies": (bomb(9, 10), "repeats parts|copies"),
    "a copy of itself": (page(PLATE + '<g id="x"><use xlink:href="#x"/></g>'), "copies itself"),
    "copies of empty groups": (
        page(PLATE + '<g id="e">' + "<g/>" * 9000 + "</g>" + '<use xlink:href="#e"/>' * 9000), "copies make"
    ),
    "entities": (LAUGHS, "entities"),
    "outside entity": ('<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/hostname">]>' + page("&x;"), "entities"),
    "document type": ('<!DOCTYPE svg SYSTEM "http://example.invalid/x.dtd">' + page(PLATE), "DOCTYPE"),
    "deep groups": (page("<g>" * 40 + PLATE + "</g>" * 40), "deep"),
    "very deep groups": (page("<g>" * 50_000 + "</g>" * 50_000), "deep"),
    "too large": (page(PLATE + "<!--" + "x" * 10 * 1024**2 + "-->"), "larger than 5 MiB"),
    "too many elements": (page("<g/>" * 30_000), "elements"),
    "too many numbers": (page(f'<path d="M0,0 {"1,1 " * 150_000}"/>'), "numbers"),
    "script": (page(PLATE + "<script>1</script>"), "script"),
    "handler": (page('<rect width="4" height="4" onclick="x()"/>'), "script"),
    "outside copy": (page(PLATE + '<use xlink:href="other.svg#x"/>'), "outside itself"),
    "outside picture": (page(PLATE + '<image href="http://example.invalid/x.png"/>'), "outside itself"),
    "outside style": (page(PLATE + "<style>@import url(x.css);</style>"), "outside itself"),
    "outside paint": (page('<rect width="4" height="4" fill="url(http://example.invalid/x)"/>'), "outside itself"),
    "style sheet": ('<?xml-stylesheet href="x.css"?>' + page(PLATE), "instruction"),
    "missing copy": (page(PLATE + '<use xlink:href="#nothing"/>'), "not in the drawing"),
    "cut short": (page(PLATE)[:-9], "not XML at line 1"),
    "empty": ("", "not XML"),
    "no drawing": ("<html/>", "not an SVG"),
    "nothing drawn": (page(""), "no lines"),
    "only open lines": (page('<path d="M0,0 L9,9"/>'), "no closed line"),
    "crossing itself": (
        page('<path id="knot" d="M0,0 L20,20 L20,0 L0,20 Z"/>'),
        "'knot' crosses or touches itself at x 10"
    ),
    "crossing cells": (
        page(PLATE + '<circle id="a" cx="10" cy="10" r="4"/><circle id="b" cx="14" cy="10" r="4"/>'),
        "cross near"
    ),
    "cell over the edge": (page(PLATE + '<circle id="a" cx="0" cy="10" r="4"/>'), "cross near"),
    "two outlines": (page('<rect width="9" height="9"/><rect x="20" width="9" height="9"/>'), "2 separate outlines"),
    "outside the outline": (
        page('<rect id="outline" width="9" height="9"/><rect id="b" x="20" width="9" height="9"/>'),
        "outside the outline"
    ),
    "in a hole": (
        page(PLATE + '<circle id="hole" cx="9" cy="9" r="4"/><circle id="a" cx="9" cy="9" r="2"/>'),
        "inside a hole"
    ),
    "open outline": (page('<path id="outline" d="M0,0 h9 v9"/>' + PLATE), "not closed"),
    "infinite": (page('<path d="M0,0 L1e999,0 L0,9 Z"/>'), "not finite|cannot be read"),
    "huge": (page('<rect width="1e9" height="1e9"/>'), "more than"),
    "bad transform": (page('<rect width="4" height="4" transform="matrix(1 2)"/>'), "transform|path"),
    "bad length": (page('<rect width="4em" height="4"/>'), "not a length"),
}  # fmt: skip


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_and_broken_files_are_refused_in_one_sentence(tmp_path: Path, case: str) -> None:
    text, words = HOSTILE[case]
    with pytest.raises(FileError, match=words) as caught:
        draw(tmp_path, text)
    assert str(caught.value).startswith("some.svg: ")
    assert caught.value.remedy
    assert "\n" not in str(caught.value)


def test_files_that_are_not_there(tmp_path: Path) -> None:
    for name in ("none.svg", "none.dxf", "photo.png", "noending"):
        with pytest.raises(FileError, match=name):
            read_drawing(tmp_path / name)
    (tmp_path / "folder.svg").mkdir()
    with pytest.raises(FileError, match=r"folder\.svg"):
        read_drawing(tmp_path / "folder.svg")


PIECES = st.sampled_from([
    "<rect", "<path", "<use", "<g", "<svg", "/>", ">", "</g>", ' width="', ' d="', ' id="a"', ' href="#a"',
    '"', "M0,0", " L9,9",
    " A5,5 0 0 1 9,9", " C1,2 3,4 5,6", " Q1,2", " Z", "1e400", "-3", "nan", "%", "mm", ' transform="rotate(',
    ")", " T", " S1 2 3 4",
    "<!DOCTYPE", "&amp;", "\x00", "é", "<![CDATA[", ' rx="-4"', ' height="9"', "<ellipse", ' points="1 2 3"',
    "<polygon",
])  # fmt: skip


@given(st.lists(PIECES, max_size=40).map("".join))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_nothing_but_a_file_error_comes_out(tmp_path: Path, text: str) -> None:
    for candidate in (text, page(PLATE + text)):
        try:
            draw(tmp_path, candidate)
        except InputError as error:
            assert isinstance(error, FileError)  # noqa: PT017 - the accepted drawing is as good


@given(st.text("MmLlHhVvCcSsQqTtAaZz0123456789.,-+eE ", max_size=60))
@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_path_data(tmp_path: Path, data: str) -> None:
    try:
        draw(tmp_path, page(PLATE + f'<path d="{data}"/>'))
    except InputError as error:
        assert isinstance(error, FileError)  # noqa: PT017


@given(st.data())
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_damaged_bytes(tmp_path: Path, data: st.DataObject) -> None:
    whole = bytearray((DATA / "leaf.svg").read_bytes())
    for _ in range(data.draw(st.integers(1, 8))):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    try:
        draw(tmp_path, bytes(whole))
    except InputError as error:
        assert isinstance(error, FileError)  # noqa: PT017


def test_the_scan_itself_refuses_size() -> None:
    with pytest.raises(FileError):
        svg_drawing.read(b" " * (svg_drawing.LARGEST_FILE + 1))
