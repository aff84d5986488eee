"""Test tiles: strips on rails by metal and undercoat, ordered by jar and thickness; colours read from them."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.workshop import loads, tiles
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words


@pytest.fixture
def rack(studio: Studio) -> list[str]:
    """Two fired tiles of two spots each; returns their numbers."""
    for code, name, kind, family in (("J1", "flux", "flux", "clear"), ("J2", "red", "transparent", "red")):
        add_jar(studio, Jar.from_outside({"id": code, "name": name, "kind": kind, "optics": {"family": family}}))
    tiles.keep_layout(studio, "halves", [{"spot": "1", "under": "bare"}, {"spot": "2", "under": "flux J1"}])
    made = tiles.make_tiles(studio, 2, layout="halves", jar="J2", metal="copper", thickness="0.9 mm")
    loads.fired(studio, [row.id for row in made], set_point="790 C", seconds="150 s", stage_seen="gloss")
    return [str(row.number) for row in made]


def test_each_metal_and_undercoat_has_its_rail(client: TestClient, rack: list[str]) -> None:
    page = client.get("/tiles").text
    rails = re.findall(r'<h2 id="rail-\d+">([^<]+)</h2>', page)
    assert rails == ["Copper, bare", "Copper, flux J1"]
    for rail in page.split('<ul class="rail">')[1:]:
        assert rail.partition("</ul>")[0].count("<li>") == len(rack)


def test_a_tile_that_is_looked_for_is_found_where_its_colours_are(
    client: TestClient, studio: Studio, rack: list[str]
) -> None:
    one = tiles.make_tiles(studio, 1, metal="fine silver")[0].number
    assert client.get(f"/find?for={one}", follow_redirects=False).headers["location"] == f"/tiles/{one}"


def test_strips_stand_by_thickness_and_are_as_high_as_they_are_thick(
    client: TestClient, studio: Studio, rack: list[str]
) -> None:
    extra = tiles.make_tiles(studio, 2, metal="fine silver")
    for row, thickness in zip(extra, (0.4, 0.1), strict=True):
        tiles.spot(studio, row.id, "1", under="bare", coats=[{"jar": "J2", "fired_thickness_mm": thickness}])
    loads.fired(studio, [row.id for row in extra], seconds="120 s")
    rail = client.get("/tiles").text.partition("Fine silver, bare")[2].partition("</section>")[0]
    assert [float(one) for one in re.findall(r"glass ([\d.]+) mm", words(rail))] == [0.1, 0.4]
    heights = [float(one) for one in re.findall(r'viewBox="0 0 [\d.]+ ([\d.]+)"', rail)]
    assert heights[1] > heights[0]


def test_columns_of_a_rail_are_headed_by_their_thickness(client: TestClient, studio: Studio, rack: list[str]) -> None:
    extra = tiles.make_tiles(studio, 4, metal="fine silver")
    for row, thickness in zip(extra, (0.4, 0.1, 0.4, None), strict=True):
        coat = {"jar": "J2"} if thickness is None else {"jar": "J2", "fired_thickness_mm": thickness}
        tiles.spot(studio, row.id, "1", under="bare", coats=[coat])
    loads.fired(studio, [row.id for row in extra], seconds="120 s")
    page = client.get("/tiles").text
    rail = words(page.partition("Fine silver, bare")[2].partition("</section>")[0])
    heads = [float(one) for one in re.findall(r"glass ([\d.]+) mm", rail)]
    assert heads == [0.1, 0.4], "equal ones stand in one column, the thinnest first"
    assert rail.index("glass not told") > rail.index("glass 0.4")
    assert "rail-head" not in page.partition("Copper, bare")[2].partition("</section>")[0], "nothing is known, no heads"


def test_tiles_that_wait_are_named_and_shown_when_asked(client: TestClient, studio: Studio, rack: list[str]) -> None:
    waits = tiles.make_tiles(studio, 1, layout="halves", jar="J2", metal="copper")[0]
    page = client.get("/tiles").text
    assert f"/tiles/{waits.number}" in page
    assert page.count("not fired<") == 0
    assert "not fired" in client.get("/tiles?show=all").text


def test_a_colour_is_read_by_eye_or_by_number(client: TestClient, rack: list[str], studio: Studio) -> None:
    page = f"/tiles/{rack[0]}"
    location = send(client, page, {"spot": "1", "words": "brown, almost black"})
    assert "brown, almost black" in client.get("/tiles").text
    send(client, page, {"spot": "2", "lightness": "38", "a": "52", "b": "31", "read_by": "instrument"})
    assert "L 38, a 52, b 31, gloss not told" in words(client.get(page).text)
    undo(client, location)
    assert "brown, almost black" not in client.get("/tiles").text
    assert len(tiles.readings_of(studio, rack[0])) == 1


def test_tiles_are_made_with_labels_that_go_on(client: TestClient, studio: Studio, rack: list[str]) -> None:
    location = send(
        client, "/tiles", {"count": "2", "kind": "test tile", "jar": "J2", "layout": "halves", "metal": "copper"}
    )
    labels = [row.label for row in tiles.tiles(studio, "test tile")]
    assert labels == ["TL-01", "TL-02", "TL-03", "TL-04"]
    undo(client, location)
    send(client, "/tiles", {"count": "1", "kind": "test tile", "metal": "copper"})
    assert tiles.tiles(studio, "test tile")[-1].label == "TL-05", "a label that was used is not used again"


def test_a_layout_and_a_spot_are_written_on_the_page(client: TestClient, studio: Studio, rack: list[str]) -> None:
    send(client, "/tiles", {"do": "layout", "name": "thirds", "spots": "bare\nflux J1\nwhite"})
    made = tiles.make_tiles(studio, 1, layout="thirds", jar="J2", metal="copper")[0]
    assert [one.under for one in tiles.spots_of(studio, made.id)] == ["bare", "flux J1", "white"]
    send(
        client,
        f"/tiles/{made.number}",
        {"do": "spot", "spot": "4", "under": "bare", "jar": "J2", "thickness": "0.2 mm"},
    )
    assert "0.2" in words(client.get(f"/tiles/{made.number}").text)


@pytest.mark.parametrize("data", [{"kind": "brick"}, {"count": "many"}, {"count": "100000"}, {"layout": "none such"}])
def test_what_cannot_be_made_is_said_so(client: TestClient, studio: Studio, data: dict[str, str]) -> None:
    assert client.post("/tiles", data=data).status_code == 422
    assert tiles.tiles(studio) == []
