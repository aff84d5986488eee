"""The shape editor: numbers, drawings, tracings and weighed blanks, and what a hostile file comes to."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.errors import InputError
from enamelwright.workshop import designs, editing, kept_drawings, outlines
from enamelwright.workshop.studio import Studio

PENDANT, REEDBED, TIDE = 1, 2, 3

#: A disc of 30 mm with a square cell of 10 mm and a hole of 2 mm, in units of a page of 30 mm.
DRAWING = b"""<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm" viewBox="0 0 30 30">
<circle id="outline" cx="15" cy="15" r="15"/><rect id="lake" x="10" y="10" width="10" height="10"/>
<circle id="hole" cx="15" cy="4" r="1"/></svg>"""


def board(studio: Studio, design: int) -> editing.Board:
    return editing.of_design(studio, design)


def upload(client: TestClient, data: bytes, name: str = "wave.svg", **fields: str) -> Any:
    return client.post(f"/drawings/designs/{PENDANT}", files={"drawing": (name, data)}, data=fields)


def test_numbers_become_the_outline(client: TestClient, studio: Studio) -> None:
    answer = client.post(
        f"/designs/{PENDANT}/shape", data={"do": "numbers", "shape": "ellipse", "width": "40", "height": "1 in"}
    )
    assert answer.status_code == 303
    outline = board(studio, PENDANT).piece.outline
    assert outline.shape == "ellipse"
    # An inch is 25.4 mm exactly (international yard and pound agreement, 1959).
    assert outline.height == pytest.approx(0.0254)
    assert client.get(answer.headers["location"]).status_code == 200


def test_holes_and_metal_and_cells_by_numbers(client: TestClient, studio: Studio) -> None:
    form = {"do": "numbers", "shape": "circle", "diameter": "30", "hole": "2", "hole_x": "0", "hole_y": "-11,5"}
    client.post(f"/designs/{PENDANT}/shape", data=form)
    metal = {"do": "metal", "kind": "fine_silver", "thickness": "18 gauge (B&S)", "dome": "2", "recess": ""}
    answer = client.post(f"/designs/{PENDANT}/shape", data=metal)
    assert answer.status_code == 303
    cells = {"do": "cells", "cell": ["wave", "shore", ""], "cell_share": ["40", "20 %", ""]}
    client.post(f"/designs/{PENDANT}/shape", data=cells)
    piece = board(studio, PENDANT).piece
    assert piece.holes[0].at == pytest.approx((0.0, -0.0115))
    # 18 B&S gauge is 0.0403 in (ASTM B258).
    assert piece.metal.thickness == pytest.approx(0.0403 * 0.0254, rel=2e-3)
    assert piece.dome == pytest.approx(0.002)
    assert [(cell.name, cell.share) for cell in piece.cells] == [("wave", 0.4), ("shore", 0.2)]


def test_a_weighed_blank_gives_its_area(client: TestClient, studio: Studio) -> None:
    client.post(f"/designs/{PENDANT}/shape", data={"do": "weigh", "mass": "9,1", "across": "42"})
    now = board(studio, PENDANT)
    thick = now.piece.metal.thickness
    assert thick is not None
    # Copper weighs 8.94 g/cm3 (any handbook); the area is mass over density and thickness.
    assert kept_drawings.outline_of(now.piece, None).area == pytest.approx(9.1e-3 / 8940 / thick, rel=5e-3)


def test_the_preview_of_numbers_is_to_scale_and_keeps_nothing(client: TestClient, studio: Studio) -> None:
    before = board(studio, PENDANT).piece
    answer = client.post(
        f"/designs/{PENDANT}/shape/preview", data={"do": "numbers", "shape": "circle", "diameter": "20"}
    )
    assert answer.status_code == 200
    assert "20.0 mm wide" in answer.text
    assert board(studio, PENDANT).piece == before


def test_a_drawing_is_shown_before_it_is_used(client: TestClient, studio: Studio) -> None:
    shown = upload(client, DRAWING)
    assert shown.status_code == 303
    page = client.get(shown.headers["location"])
    assert page.status_code == 200
    assert "30.0 mm wide" in page.text
    assert "lake" in page.text
    assert board(studio, PENDANT).piece.outline.shape == "circle"  # nothing is changed yet
    digest = shown.headers["location"].split("drawing=")[1].split("#")[0].split("&")[0]
    client.post(f"/designs/{PENDANT}/shape", data={"do": "file", "drawing": digest, "width": ""})
    shape = board(studio, PENDANT).shape()
    assert shape is not None
    assert shape.outer_area == pytest.approx(math.pi * 0.015**2, rel=1e-3)
    assert len(shape.holes) == 1
    assert shape.cells["lake"].area == pytest.approx(1e-4, rel=1e-6)
    # It is kept along with the version, and drawings laid by do not matter any more.
    client.post(f"/designs/{PENDANT}/coats", data={"do": "keep"})
    newest = designs.shape_of(designs.version_row(studio, board(studio, PENDANT).name))
    assert newest is not None
    assert set(newest.cells) == {"lake"}


def test_a_drawing_without_units_asks_for_its_width_and_is_not_asked_for_again(client: TestClient) -> None:
    bare = DRAWING.replace(b'width="30mm" height="30mm" ', b"")
    shown = upload(client, bare)
    assert shown.status_code == 303
    page = client.get(shown.headers["location"].replace("#trial", ""))
    assert page.status_code == 422
    assert "no real units" in page.text
    page = client.get(shown.headers["location"].replace("#trial", "") + "&width=60+mm")
    assert page.status_code == 200
    assert "60.0 mm wide" in page.text


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"<!DOCTYPE x [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg'>&a;</svg>", "a.svg"),
        (b"not a drawing", "a.svg"), (b"", "a.svg"), (DRAWING, "a.exe"), (DRAWING, "../../etc/passwd"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm' viewBox='0 0 10 10'/>", "a.svg"),
        (b"0\nSECTION\n", "a.dxf"),
    ],
)  # fmt: skip
def test_what_is_no_drawing_is_refused_in_a_sentence(
    client: TestClient, studio: Studio, data: bytes, name: str
) -> None:
    before = board(studio, PENDANT).piece
    answer = upload(client, data, name)
    assert answer.status_code in {422, 413}
    assert "Not done" in answer.text
    assert board(studio, PENDANT).piece == before


def test_a_script_in_a_drawing_is_never_sent_back(client: TestClient) -> None:
    nasty = DRAWING.replace(
        b"</svg>", b"<script>alert(1)</script><image href='http://192.0.2.1/x.png'/><g onload='alert(2)'/></svg>"
    ).replace(b'id="lake"', b'id="&lt;img src=x onerror=alert(3)&gt;"')
    shown = upload(client, nasty)
    page = client.get(shown.headers["location"]) if shown.status_code == 303 else shown
    for part in ("alert(1)", "alert(2)", "192.0.2.1", "<img src=x"):
        assert part not in page.text


def test_cells_that_are_gone_leave_the_coats(client: TestClient, studio: Studio) -> None:
    answer = client.post(f"/designs/{REEDBED}/shape", data={"do": "numbers", "shape": "circle", "diameter": "30"})
    assert "said=cells" in answer.headers["location"]
    now = board(studio, REEDBED)
    assert not any(coat.cells for coat in now.piece.coats)
    assert now.drawing is None or now.piece.outline.shape == "circle"
    client.post(f"/designs/{REEDBED}/coats", data={"do": "undo"})
    again = board(studio, REEDBED).shape()
    assert again is not None
    assert set(again.cells) == {"sky", "reeds", "dusk", "water"}


# ---- tracing -------------------------------------------------------------------------------------


def traced(client: TestClient, **changes: Any) -> Any:
    square = [[100, 100], [500, 100], [500, 400], [100, 400]]
    data = {"ends": [[0, 0], [300, 400]], "lines": [{"kind": "outline", "name": "", "points": square}]} | changes
    return client.post(f"/designs/{PENDANT}/shape", data={"do": "traced", "apart": "50", "tracing": json.dumps(data)})


def test_a_tracing_is_scaled_by_its_two_points(client: TestClient, studio: Studio) -> None:
    # 500 points of the picture are 50 mm, so the rectangle is 40 by 30 mm.
    assert traced(client).status_code == 303
    shape = kept_drawings.outline_of(board(studio, PENDANT).piece, None)
    assert (shape.width, shape.height) == pytest.approx((0.040, 0.030))
    assert shape.area == pytest.approx(0.0012)


def test_a_traced_cell_and_hole_come_along(client: TestClient, studio: Studio) -> None:
    lines = [
        {"kind": "outline", "name": "", "points": [[100, 100], [500, 100], [500, 400], [100, 400]]},
        {"kind": "cell", "name": 'sea <&"', "points": [[150, 150], [250, 150], [250, 250], [150, 250]]},
        {"kind": "hole", "name": "", "points": [[440, 130], [470, 130], [470, 160], [440, 160]]},
    ]
    assert traced(client, lines=lines).status_code == 303
    shape = board(studio, PENDANT).shape()
    assert shape is not None
    assert shape.cells['sea <&"'].area == pytest.approx(1e-4, rel=1e-3)
    assert len(shape.holes) == 1
    assert shape.area == pytest.approx(0.0012 - 0.003**2, rel=1e-3)


@pytest.mark.parametrize(
    "changes",
    [
        {"ends": [[0, 0], [1, 1]]}, {"ends": None}, {"lines": []}, {"lines": "x"}, {"lines": [{"kind": "outline"}]},
        {"lines": [{"kind": "outline", "points": [[0, 0], [1, 0]]}]},
        {"lines": [{"kind": "outline", "points": [[0, 0], [9e999, 0], [0, 1]]}]},
        {"lines": [{"kind": "cell", "points": [[0, 0], [100, 0], [0, 100]]}]},
        {"lines": [{"kind": "outline", "points": [[0, 0], [100, 100], [100, 0], [0, 100]]}]},
    ],
)  # fmt: skip
def test_a_tracing_that_is_none_is_refused(client: TestClient, studio: Studio, changes: dict[str, Any]) -> None:
    before = board(studio, PENDANT).piece
    assert traced(client, **changes).status_code == 422
    assert board(studio, PENDANT).piece == before


def test_a_tracing_needs_points_far_enough_apart() -> None:
    with pytest.raises(InputError, match="too near"):
        outlines.scale_of([[0, 0], [outlines.NEAR / 2, 0]], 30)
    assert outlines.scale_of([[0, 0], [0, 60]], 30) == pytest.approx(0.5)
