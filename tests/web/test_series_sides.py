"""Pairs of left and right: all pieces are started, half of them for the other side and, where that differs, mirrored."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.piece import Piece
from enamelwright.workshop import designs, metals, series_sides, series_work, stock_plan
from enamelwright.workshop.listing import pieces_like
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, words

BEGUN = ("planned", "in work")


@pytest.fixture
def drop(studio: Studio) -> series_work.CutDesign:
    """A design that has no mirror line, with a sheet to cut it from."""
    base = series_work.cut_designs(studio)[0]
    told = base.piece.to_outside() | {
        "name": "Leaning drop",
        "outline": {"shape": "polygon", "points_mm": [[0, 0], [30, 0], [0, 18]]},
    }
    designs.keep_design(studio, Piece.from_outside(told))
    found = next(one for one in series_work.cut_designs(studio) if one.name == "Leaning drop")
    metals.add_sheet(studio, "A", found.piece.metal.kind, found.thickness, width="150 mm", length="300 mm")
    return found


def test_both_sides_are_started(client: TestClient, studio: Studio, drop: series_work.CutDesign) -> None:
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


def test_half_a_pair_is_not_started(client: TestClient, studio: Studio, drop: series_work.CutDesign) -> None:
    refused = client.post("/series", data={"design": str(drop.row), "count": "7", "sides": "left and right"})
    assert refused.status_code == 422
    assert pieces_like(studio, states=BEGUN, most=100) == []


def test_loads_are_counted_for_both_sides(client: TestClient, drop: series_work.CutDesign) -> None:
    page = words(client.get(f"/series?design={drop.row}&wanted=6&sides=left+and+right&per_load=40").text)
    told = re.search(r"Start (\d+): \d+ left, \d+ right, in (\d+) load", page)
    assert told is not None
    assert int(told.group(2)) == -(-int(told.group(1)) // 40)


def test_half_of_the_blanks_are_mirrored(client: TestClient, studio: Studio, drop: series_work.CutDesign) -> None:
    query = f"n{drop.row}=6&m{drop.row}=3"
    page = client.get(f"/series/blanks?{query}").text
    assert "3 × Leaning drop 3 × Leaning drop, mirrored" in words(page)
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


def test_a_round_one_is_cut_alike_for_both_sides(client: TestClient, studio: Studio) -> None:
    disc = next(one for one in series_work.cut_designs(studio) if one.shape.kind == "circle" and not one.shape.holes)
    page = words(client.get(f"/series?design={disc.row}&wanted=6&sides=left+and+right").text)
    assert "cut alike" in page
    assert series_sides.as_cut(disc.name, disc.shape, 6, 3) == [(disc.name, disc.shape, 6)]
