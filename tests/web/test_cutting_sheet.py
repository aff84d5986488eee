"""The cutting sheet against a ruler: PDF, DXF and SVG of one layout, each read by something that did not write it.

Sources
-------
* PDF by its own operators (ISO 32000-1), DXF by ezdxf, SVG by svgelements; sizes, areas and perimeters in closed form.
* $INSUNITS 4 is millimetres: Autodesk, DXF Reference. 25.4 mm are an inch: by definition.
"""

from __future__ import annotations

import io
import math
from functools import cache
from typing import Any

import ezdxf
import pytest
from pypdf import PdfReader
from shapely import Polygon
from svgelements import SVG, Circle, Path

from enamelwright.cards import true_size
from enamelwright.errors import InputError
from enamelwright.files import cut_lines
from enamelwright.questions.question import question
from enamelwright.web import series_view
from pdf_lines import lines_of

LEAF = [[0, 0], [30, 22], [60, 0], [30, -22]]
STAR = [[r * math.cos(math.pi * k / 7), r * math.sin(math.pi * k / 7)] for k, r in enumerate([18, 8] * 7)]
ASKED: dict[str, Any] = {
    "thickness_mm": 0.8, "turning": "along", "sheets": [{"label": "S", "width_mm": 200, "height_mm": 150}],
    "blanks": [
        {"name": "leaf", "outline": {"shape": "polygon", "points_mm": LEAF}, "count": 4},
        {"name": "star", "outline": {"shape": "polygon", "points_mm": STAR}, "count": 5,
         "holes": [{"diameter_mm": 2, "at_mm": [0, 0]}]},
        {"name": "disc", "outline": {"shape": "circle", "diameter_mm": 25}, "dome_mm": 4, "count": 6},
        {"name": "oval", "outline": {"shape": "ellipse", "width_mm": 40, "height_mm": 30}, "count": 3},
    ],
}  # fmt: skip
#: A disc 25 across raised by 4 has the area pi (12.5^2 + 4^2): so is its flat blank.
BLANK = 2 * math.sqrt(12.5**2 + 4**2)
#: Sizes of what lies along the rolling [mm], how many, area of one [mm2].
SIZES = {
    "leaf": (60.0, 44.0, 4, 60 * 44 / 2),
    "disc": (BLANK, BLANK, 6, math.pi * BLANK**2 / 4),
    "oval": (40.0, 30.0, 3, math.pi * 300),
    "star": (34.217, 35.097, 5, 7 * 18 * 8 * math.sin(math.pi / 7)),
}
#: The outline of a curve is drawn through points; so far its middle may lie inside [mm].
CHORD = 0.01


@cache
def layout() -> tuple[Any, Any]:
    """What is asked, and the one sheet it is laid on."""
    (sheet,) = question("blanks").ask(ASKED).to_json()["payload"]["sheets"]
    return question("blanks").input.from_outside(ASKED), sheet


def extent(points: Any) -> tuple[float, float]:
    x, y = zip(*points, strict=True)
    return max(x) - min(x), max(y) - min(y)


def how_many(found: list[tuple[float, float]], wide: float, high: float, within: float = 0.02) -> int:
    return sum(abs(w - wide) < within and abs(h - high) < within for w, h in found)


def test_the_print_is_as_large_as_the_metal() -> None:
    asked, sheet = layout()
    data = true_size.true_size([series_view.sheet_true(asked, sheet, 0)], "Cutting sheet")
    reader = PdfReader(io.BytesIO(data))
    assert len(reader.pages) == 1
    found = [extent(line) for line in lines_of(reader, 0)]
    assert how_many(found, 200, 150) == 1, "the sheet"
    assert how_many(found, 100, 0) == 1, "the measure under the drawing"
    assert how_many(found, 50, 0) == 1, "the measure in the drawing"
    for wide, high, count, _ in SIZES.values():
        assert how_many(found, wide, high) == count
    assert how_many(found, 2, 2) == 5, "the holes of the stars"


def test_a_machine_reads_millimetres() -> None:
    asked, sheet = layout()
    drawing = ezdxf.read(io.StringIO(cut_lines.dxf(series_view.cut_lines(asked, sheet))))
    assert drawing.header["$INSUNITS"] == 4
    space = drawing.modelspace()
    discs = space.query('CIRCLE[layer=="CUT"]')
    assert [one.dxf.radius * 2 for one in discs] == pytest.approx([BLANK] * 6, abs=1e-6)
    cut = [[point[:2] for point in one.get_points()] for one in space.query('LWPOLYLINE[layer=="CUT"]')]
    found = [extent(points) for points in cut]
    for name, (wide, high, count, area) in SIZES.items():
        if name != "disc":
            assert how_many(found, wide, high) == count
            mine = [Polygon(points).area for points in cut if how_many([extent(points)], wide, high)]
            assert mine == pytest.approx([area] * count, rel=1e-3), name
    holes = [Polygon([point[:2] for point in one.get_points()]) for one in space.query('LWPOLYLINE[layer=="HOLE"]')]
    assert [one.area for one in holes] == pytest.approx([math.pi] * 5, rel=3e-3)
    stars = [Polygon(points) for points in cut if how_many([extent(points)], *SIZES["star"][:2])]
    assert all(any(star.contains(hole) for star in stars) for hole in holes)
    (metal,) = [Polygon([p[:2] for p in one.get_points()]) for one in space.query('LWPOLYLINE[layer=="SHEET"]')]
    assert metal.area == pytest.approx(30000)
    outlines = [*(Polygon(points) for points in cut), *(_round(one) for one in discs)]
    assert len(outlines) == 18
    for n, one in enumerate(outlines):
        assert metal.contains(one)
        assert all(one.distance(other) >= 0.3 - 2 * CHORD for other in outlines[n + 1 :]), (
            "the kerf of a saw lies between"
        )
    kept = [Polygon([p[:2] for p in one.get_points()]) for one in space.query('LWPOLYLINE[layer=="KEPT"]')]
    assert kept
    assert all(one.distance(other) >= 0.3 - CHORD for one in kept for other in outlines)


def _round(one: Any) -> Polygon:
    from shapely import Point

    return Point(one.dxf.center.x, one.dxf.center.y).buffer(one.dxf.radius, quad_segs=64)


def test_another_program_reads_the_drawing_at_its_size() -> None:
    asked, sheet = layout()
    text = cut_lines.svg(series_view.cut_lines(asked, sheet), "S")
    found = SVG.parse(io.StringIO(text), ppi=25.4)  # so that a pixel is a millimetre
    assert (float(found.width), float(found.height)) == pytest.approx((200, 150), rel=1e-5)
    sizes = [(b[2] - b[0], b[3] - b[1]) for one in found.elements() if isinstance(one, Path) and (b := one.bbox())]
    discs = [2 * one.rx for one in found.elements() if isinstance(one, Circle)]
    assert discs == pytest.approx([BLANK] * 6, rel=1e-5)
    for name, (wide, high, count, _) in SIZES.items():
        if name != "disc":
            assert how_many(sizes, wide, high) == count


def test_along_the_rolling_nothing_is_turned_across() -> None:
    _, sheet = layout()
    assert {round(one["turn"]) % 180 for one in sheet["blanks"]} == {0}


def test_weights_are_of_the_metal_that_is_there() -> None:
    """What is cut, kept and lost is the sheet: 200 x 150 x 0.8 mm of copper."""
    told = question("blanks").ask(ASKED).payload
    (sheet,) = told.sheets
    assert sheet.sheet.area == pytest.approx(0.03)
    cut = sum(count * area for *_, count, area in SIZES.values()) - 5 * math.pi
    per_area = told.blanks_mass.value / cut  # [kg/mm2]
    assert per_area * 1e6 / 0.0008 == pytest.approx(8940, rel=3e-3), "density of copper: 8.92 to 8.96 g/cm3"
    lost = 30000 - cut - sum(one.area for one in sheet.kept) * 1e6
    assert told.scrap.value == pytest.approx(lost * per_area, rel=5e-3)


def test_a_remnant_with_a_hole_weighs_without_it() -> None:
    ring = {"label": "frame", "outline_mm": [[0, 0], [90, 0], [90, 90], [0, 90]], "remnant": True,
            "windows_mm": [[[40, 40], [60, 40], [60, 60], [40, 60]]]}  # fmt: skip
    blank = {"name": "bit", "outline": {"shape": "rounded rectangle", "width_mm": 10, "height_mm": 10}}
    (sheet,) = question("blanks").ask({"thickness_mm": 1, "sheets": [ring], "blanks": [blank]}).payload.sheets
    assert sheet.sheet.area == pytest.approx(8100e-6 - 400e-6)
    (kept,) = sheet.kept
    assert len(kept.windows) == 1
    whole = Polygon(kept.edge, kept.windows)
    assert kept.area == pytest.approx(whole.area, rel=1e-9)
    assert not whole.contains(Polygon([(0.045, 0.045), (0.055, 0.045), (0.05, 0.055)])), "no metal there"


def test_a_remnant_keeps_its_corners() -> None:
    """One square off the corner of a sheet: what is kept has the sheet's other corners, and nothing is filed off."""
    square = {"name": "square", "outline": {"shape": "rounded rectangle", "width_mm": 40, "height_mm": 40}}
    asked = {"thickness_mm": 1, "blanks": [square], "sheets": [{"label": "S", "width_mm": 200, "height_mm": 150}]}
    (sheet,) = question("blanks").ask(asked).payload.sheets
    (kept,) = sheet.kept
    corners = {(round(x, 6), round(y, 6)) for x, y in kept.edge}
    assert {(0.2, 0.0), (0.2, 0.15), (0.0, 0.15)} <= corners
    assert sheet.sheet.area - kept.area - 0.0016 < 1.5e-4, "kerf, edge and a corner of the saw's"


@pytest.mark.parametrize("kinds", [1, 4, 12, 40])
@pytest.mark.parametrize("size", [(100, 80), (180, 140), (180, 240), (260, 150), (300, 300)])
def test_every_page_holds_what_is_on_it(kinds: int, size: tuple[int, int]) -> None:
    """A long list of blanks takes a page of its own and never pushes the measure off the drawing's page."""
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[0]}mm" height="{size[1]}mm"></svg>'
    lines = (
        "a sheet, much of it kept, and the scrap weighed to the gram",
        *(f"{n}: a long name of a blank" for n in range(kinds)),
    )
    drawing = true_size.TrueDrawing("sheet", svg, *size, lines)
    data = true_size.true_size_data([drawing], "Cutting sheet")
    reader = PdfReader(io.BytesIO(true_size.true_size([drawing], "Cutting sheet")))
    assert len(reader.pages) == len(data["pages"]) + len(data["lists"])
    for n in range(len(data["pages"])):
        assert how_many([extent(line) for line in lines_of(reader, n)], 100, 0) == 1, "each has its measure"
    told = "".join(page.extract_text() for page in reader.pages)
    assert told.count("a long name of a blank") >= kinds


def test_what_the_numbers_are_stands_below_a_small_drawing() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm"></svg>'
    kinds = [f"{n}: a blank that has an uncommonly long name, mirrored" for n in range(12)]
    small = true_size.TrueDrawing("sheet", svg, 100, 80, ("a sheet", *kinds))
    reader = PdfReader(io.BytesIO(true_size.true_size([small], "Cutting sheet")))
    assert len(reader.pages) == 1, "no page of its own while this one is empty"
    assert " ".join(reader.pages[0].extract_text().split()).count("uncommonly long name, mirrored") == 12
    full = true_size.TrueDrawing("sheet", svg, 100, true_size.HIGH - 20, ("a sheet", *kinds))
    assert len(PdfReader(io.BytesIO(true_size.true_size([full], "Cutting sheet"))).pages) == 2


# What cannot be: what is changed in the question, and what is said.
WRONG: list[tuple[dict[str, Any], str]] = [
    ({"blanks": [{"name": "bow", "outline": {"shape": "polygon", "points_mm": [[0, 0], [20, 20], [20, 0], [0, 20]]}}]}, "cross"),
    ({"sheets": [{"label": "bow", "outline_mm": [[0, 0], [90, 90], [90, 0], [0, 90]]}]}, "cross"),
    ({"sheets": [{"label": "S"}]}, "how large"),
    ({"sheets": []}, "no sheet"),
    ({"blanks": [*ASKED["blanks"], ASKED["blanks"][0]]}, "share a name"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "said"), WRONG)
def test_what_cannot_be_cut_is_said(changed: dict[str, Any], said: str) -> None:
    with pytest.raises(InputError, match=said):
        question("blanks").ask({**ASKED, **changed})


def test_a_sheet_smaller_than_a_blank_cuts_the_others() -> None:
    told = question("blanks").ask({**ASKED, "sheets": [{"label": "strip", "width_mm": 300, "height_mm": 33}]}).payload
    assert {line.partition(" ")[0] for line in told.too_large} == {"leaf", "star"}
    assert {one.name for sheet in told.sheets for one in sheet.blanks} == {"disc", "oval"}
