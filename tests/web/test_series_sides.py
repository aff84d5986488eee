"""Pairs of left and right: all pieces are started, half of them for the other side and, where that differs, mirrored."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.piece import Piece
from enamelwright.workshop import (
    cut_designs,
    designs,
    metal_needs,
    metals,
    orders,
    series_sides,
    series_work,
    short_orders,
    stock_plan,
)
from enamelwright.workshop.listing import pieces_like
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, words

BEGUN = ("planned", "in work")


@pytest.fixture
def drop(studio: Studio) -> cut_designs.CutDesign:
    """A design that has no mirror line, with a sheet to cut it from."""
    base = cut_designs.cut_designs(studio)[0]
    told = base.piece.to_outside() | {
        "name": "Leaning drop",
        "outline": {"shape": "polygon", "points_mm": [[0, 0], [30, 0], [0, 18]]},
    }
    designs.keep_design(studio, Piece.from_outside(told))
    found = next(one for one in cut_designs.cut_designs(studio) if one.name == "Leaning drop")
    metals.add_sheet(studio, "A", found.piece.metal.kind, found.thickness, width="150 mm", length="300 mm")
    return found


def test_both_sides_are_started(client: TestClient, studio: Studio, drop: cut_designs.CutDesign) -> None:
    page = client.get(f"/series?design={drop.row}&wanted=6&sides=left+and+right").text
    told = re.search(r"Start (\d+): (\d+) left, (\d+) right", words(page))
    assert told is not None
    whole, left, right = map(int, told.groups())
    assert left == right
    assert whole == 2 * left > 12
    assert f'name="count" value="{whole}"' in page
    assert f"Start {whole} with numbers" in page
    assert f"/series/blanks?n{drop.row}={whole}&amp;m{drop.row}={left}" in page
    assert f"/series/shelf?n{drop.row}={whole}&amp;m{drop.row}={left}" in page
    assert "cut mirrored" in words(page)
    need = stock_plan.shortages(studio, {drop.version: whole}).payload.lines
    for line in need:
        if line.short.value > 0:
            assert f"{line.jar} : {line.short.shown()} short of {line.need.shown()}" in words(page)
    page = f"/series?design={drop.row}&wanted=6&sides=left+and+right"
    send(client, page, {"design": str(drop.row), "count": str(whole), "sides": "left and right"}, "/series")
    labels = sorted(str(one.label) for one in pieces_like(studio, states=BEGUN, most=100))
    assert labels == sorted([f"L{n}" for n in range(1, left + 1)] + [f"R{n}" for n in range(1, left + 1)])


def test_half_a_pair_is_not_started(client: TestClient, studio: Studio, drop: cut_designs.CutDesign) -> None:
    refused = client.post("/series", data={"design": str(drop.row), "count": "7", "sides": "left and right"})
    assert refused.status_code == 422
    assert pieces_like(studio, states=BEGUN, most=100) == []


def test_loads_are_counted_for_both_sides(client: TestClient, drop: cut_designs.CutDesign) -> None:
    page = words(client.get(f"/series?design={drop.row}&wanted=6&sides=left+and+right&per_load=40").text)
    told = re.search(r"Start (\d+): \d+ left, \d+ right, in (\d+) load", page)
    assert told is not None
    assert int(told.group(2)) == -(-int(told.group(1)) // 40)


def test_half_of_the_blanks_are_mirrored(client: TestClient, studio: Studio, drop: cut_designs.CutDesign) -> None:
    query = f"n{drop.row}=6&m{drop.row}=3"
    page = client.get(f"/series/blanks?{query}").text
    assert "3 × Leaning drop numbers 1-3 3 × Leaning drop, mirrored numbers 4-6" in words(page)
    assert f'name="m{drop.row}" value="3"' in page, "asking again keeps the other side"
    asked = series_work.blanks_asked(studio, {drop.row: 6}, mirrored={drop.row: 3})
    one, other = (blank.outline.points for blank in asked.blanks)  # type: ignore[union-attr]
    assert {(-x, y) for x, y in one} == set(other)
    assert "3 × Leaning drop, mirrored" in words(
        client.get(f"/series/shelf?{query}&width=180mm&depth=180mm").text
    )  # fmt: skip
    start_pieces(studio, 6, drop.version, labels=series_sides.labels(6))
    send(client, f"/series/blanks?{query}", {"do": "cut", "sheet": "A"})
    assert all(one.sheet for one in pieces_like(studio, states=BEGUN, most=100)), (
        "mirrored blanks are of the design too"
    )


def test_what_is_short_lays_out_the_other_side_mirrored(
    client: TestClient, studio: Studio, drop: cut_designs.CutDesign
) -> None:
    """The link on the stock page asks for what the pieces begun are; each cut blank goes to a piece of its side."""
    start_pieces(studio, 6, drop.version, labels=series_sides.labels(6))
    start_pieces(studio, 2, drop.version)
    page = client.get("/series/stock").text
    assert "8 × Leaning drop (3 mirrored)" in words(page)
    (link,) = re.findall(r'href="(/series/blanks\?[^"#]+)">Lay them out', page)
    assert link.replace("&amp;", "&") == f"/series/blanks?n{drop.row}=8&m{drop.row}=3"
    assert "5 × Leaning drop numbers 1-5 3 × Leaning drop, mirrored numbers 6-8" in words(
        client.get(link.replace("&amp;", "&")).text
    )
    send(client, f"/series/blanks?n{drop.row}=4&m{drop.row}=2", {"do": "cut", "sheet": "A"})
    cut = {str(one.label) for one in pieces_like(studio, states=BEGUN, most=100) if one.sheet}
    assert cut == {"L1", "L2", "R1", "R2"}, "not the four oldest: two of them are for the other side"
    (need,) = metal_needs.metal_needs(studio)
    assert need.mirrored == {"Leaning drop": 1}
    remnants = [str(one.label) for one in metals.sheets(studio)]
    send(client, f"/series/blanks?n{drop.row}=1&m{drop.row}=1", {"do": "cut", "sheet": remnants[0]})
    cut = {str(one.label) for one in pieces_like(studio, states=BEGUN, most=100) if one.sheet}
    assert cut == {"L1", "L2", "R1", "R2", "R3"}
    (need,) = metal_needs.metal_needs(studio)
    assert need.mirrored == {}
    assert need.query == f"n{drop.row}=3"


def test_mirrored_blanks_go_to_pieces_nobody_told_the_side_of_and_plain_ones_never_to_the_other_side(
    studio: Studio, drop: cut_designs.CutDesign
) -> None:
    pair = start_pieces(studio, 2, drop.version, labels=series_sides.labels(2))
    other = start_pieces(studio, 1, drop.version, labels=["R7"])
    (plain,) = start_pieces(studio, 1, drop.version)
    assert series_sides.side_of("R7", {"R7", "L1"}) == "", "a letter and a number that belong to no pair"
    cut = metal_needs.blanks_cut(studio, "A", {"Leaning drop": 9, "Leaning drop, mirrored": 1})
    assert [one.number for one in cut] == [pair[0].number, other[0].number, plain.number, pair[1].number]
    lone = start_pieces(studio, 1, drop.version)
    cut = metal_needs.blanks_cut(studio, "A", {"Leaning drop, mirrored": 3})
    assert [one.number for one in cut] == [lone[0].number]


def test_another_one_in_place_of_a_lost_right_one_is_right(studio: Studio, drop: cut_designs.CutDesign) -> None:
    order = orders.take_order(studio, "a pair", state="agreed")
    line = orders.add_line(studio, order.id, design=drop.row, count=2)
    pair = start_pieces(studio, 2, drop.version, labels=series_sides.labels(2), order_line=line)
    finish_piece(studio, pair[1].id, "lost")
    another = short_orders.begin_again(studio, line)
    assert another.label == "R1"
    assert metal_needs.metal_needs(studio)[0].mirrored == {"Leaning drop": 1}


def test_a_round_one_is_cut_alike_for_both_sides(client: TestClient, studio: Studio) -> None:
    disc = next(one for one in cut_designs.cut_designs(studio) if one.shape.kind == "circle" and not one.shape.holes)
    page = words(client.get(f"/series?design={disc.row}&wanted=6&sides=left+and+right").text)
    assert "cut alike" in page
    assert series_sides.as_cut(disc.name, disc.shape, 6, 3) == [(disc.name, disc.shape, 6)]
