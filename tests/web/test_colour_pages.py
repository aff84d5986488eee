"""Colour of a design and of a piece, own tiles first; matching a colour from the page, without scripts."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.craft.piece import Piece
from enamelwright.workshop import loads, tiles
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words

JARS = (
    ("J1", "flux", "flux", "clear"), ("J2", "ruby", "transparent", "red"), ("J3", "lake", "transparent", "blue"),
    ("J4", "chalk", "opaque", "white"),
)  # fmt: skip


@pytest.fixture
def shelf(studio: Studio) -> Studio:
    """Four jars whose colour is only told as a family."""
    for code, name, kind, family in JARS:
        add_jar(studio, Jar.from_outside({"id": code, "name": name, "kind": kind, "optics": {"family": family}}))
    return studio


def test_every_place_says_its_colour_without_colour(client: TestClient) -> None:
    page = client.get("/designs/2/colour")
    assert page.status_code == 200
    told = words(page.text)
    assert "Invented curves." in told
    assert told.count("catching the light") >= 2
    assert told.count("turned away") >= 2
    assert re.search(r"L \d+, a -?\d+, b -?\d+", told)
    assert re.search(r"near (\d+(\.\d)?[A-Z]{1,2}|N) ", told)
    assert "few or no green cones" in told
    assert "<script" not in page.text.partition("<main")[2]
    for patch in re.findall(r'<figure class="patch">(.*?)</figure>', page.text, re.DOTALL):
        assert "<b>" in patch
        assert "<title" in patch


def test_over_a_carved_ground_the_colour_is_told_against_depth(client: TestClient, shelf: Studio) -> None:
    """Basse-taille: the same glass from a line carved high to one carved low, the deeper the darker."""
    kept = keep_design(
        shelf,
        Piece.from_outside(
            {
                "name": "carved", "technique": "basse_taille", "metal": {"kind": "fine silver", "thickness_mm": 1.2},
                "outline": {"shape": "circle", "diameter_mm": 25}, "recess": {"depth_mm": 0.4, "made": "engraved"},
                "coats": [{"face": "front", "jar": "J3", "fired_thickness_mm": 0.2}],
            }
        ),
    )  # fmt: skip
    told = client.get(f"/designs/{kept.design}/colour").text
    carving = told.partition("Over the carving, by depth of the glass")[2].partition("</div>")[0]
    assert re.findall(r'"patch-head">([\d.]+) mm<', carving) == ["0.02", "0.06", "0.10", "0.15", "0.20", "0.30"]
    assert "Over the carving" not in client.get("/designs/2/colour").text


def test_a_piece_has_the_tab_and_its_own_page(client: TestClient, studio: Studio) -> None:
    piece = start_pieces(studio, design=1)[0]
    assert f'href="/pieces/{piece.number}/colour"' in client.get(f"/pieces/{piece.number}").text
    page = client.get(f"/pieces/{piece.number}/colour")
    assert page.status_code == 200
    assert 'aria-current="page">Colour' in page.text


def test_own_tiles_come_first_and_say_how_they_differ(client: TestClient, shelf: Studio) -> None:

    made = tiles.make_tiles(shelf, 1, metal="copper")
    tiles.spot(shelf, made[0].id, "1", under="flux J1", coats=[{"jar": "J3", "fired_thickness_mm": 0.12}])
    loads.fired(shelf, [made[0].id], seconds="120 s")
    tiles.read_colour(
        shelf, made[0].id, spot="1", words="deep lake blue", lightness=30.0, a=10.0, b=-40.0, read_by="typed"
    )
    kept = keep_design(
        shelf,
        Piece.from_outside(
            {
                "name": "one lake", "metal": {"kind": "copper", "thickness_mm": 1.0},
                "outline": {"shape": "circle", "diameter_mm": 25},
                "coats": [
                    {"face": "front", "jar": "J1", "fired_thickness_mm": 0.12},
                    {"face": "front", "jar": "J3", "fired_thickness_mm": 0.12},
                ],
            }
        ),
    )  # fmt: skip
    page = client.get(f"/designs/{kept.design}/colour").text
    place = page.partition('class="panel place"')[2].partition("</section>")[0]
    told = words(place)
    assert told.index("Your own tiles") < told.index("catching the light")
    assert "deep lake blue" in told
    assert f'href="/tiles/{made[0].number}"' in place
    assert "Beside the colour foretold" in told


def test_a_colour_is_matched_from_its_numbers(client: TestClient, shelf: Studio) -> None:
    page = client.get("/match?l=35&a=10&b=-40&metal=copper&metal=fine_silver")
    assert page.status_code == 200
    told = words(page.text)
    assert "stacks were looked at" in told
    assert "nine times in ten" not in told  # nobody measured these jars
    assert "Nothing tells how sure this is" in told
    assert "J3" in told
    assert "Invented curve" in told
    assert "A tile would help most of" in told


def test_a_tile_may_be_aimed_at(client: TestClient, shelf: Studio) -> None:
    made = tiles.make_tiles(shelf, 1, metal="copper")
    tiles.spot(shelf, made[0].id, "1", under="bare", coats=[{"jar": "J3"}])
    loads.fired(shelf, [made[0].id], seconds="120 s")
    tiles.read_colour(shelf, made[0].id, spot="1", lightness=30.0, a=10.0, b=-40.0, read_by="typed")
    form = client.get("/match").text
    code = re.search(rf'<option value="({made[0].number} 1)"', form)
    assert code is not None
    told = words(client.get("/match", params={"tile": code[1], "metal": "copper"}).text)
    assert "L 30, a 10, b -40" in told
    # fired already: it stands before everything foretold
    own = re.search(r"You have this: \S+ spot 1 ?, J3 0.20 mm on copper", told)
    assert own is not None
    assert own.start() < told.index("Foretold, not fired")
    # held otherwise, or another colour: no answer of its own
    for other in ({"view": "turned away", "tile": code[1]}, {"lab": "80,0,60"}):
        assert "You have this" not in words(client.get("/match", params={**other, "metal": "copper"}).text)


def test_spots_that_are_read_and_not_fitted_are_counted_in_and_linked(client: TestClient, shelf: Studio) -> None:
    """Three spots that came out yellower teach a shift; the match counts it in and does not call the jar unread."""
    made = tiles.make_tiles(shelf, 1, metal="copper")
    for spot, depth in (("1", 0.1), ("2", 0.15), ("3", 0.2)):
        coats = [{"jar": "J3", "fired_thickness_mm": depth}]
        tiles.spot(shelf, made[0].id, spot, under="bare", coats=coats)
        tiles.read_colour(
            shelf, made[0].id, spot=spot, lightness=50.0, a=5.0, b=-15.0, light="D50", observer=2, read_by="typed",
            spectrum={"taken": "tent"},
        )  # fmt: skip
    page = client.get("/match?l=48&a=5&b=-15&metal=copper&jar=J3").text
    told = words(page)
    assert "learned from 3 of your spots" in told
    assert "read, not fitted yet" in told
    assert re.search(r'href="/jars/\d+/colour\?fit=yes#fit">J3', page)
    assert "nobody has measured it" not in told
    assert "without gloss" in words(client.get(f"/tiles/{made[0].number}").text)


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("l=35&a=x&b=1", "a* is no number"), ("l=35", "a* is no number"), ("screen=blue", "is no screen colour"),
        ("l=35&a=1&b=1&screen=%23ffffff", "more than one colour"), ("tile=nothing", "no colour was read"),
        ("screen=%232f5fa8&metal=copper&metal=fine_silver&metal=fine_gold", "many at once"),
        ("screen=%232f5fa8&jar=Z9", "Z9"), ("l=300&a=0&b=0", "no surface has this colour"),
        ("screen=%232f5fa8&metal=%3Cscript%3E", "metal"),
    ],
)  # fmt: skip
def test_what_cannot_be_matched_is_said_on_the_page(client: TestClient, shelf: Studio, query: str, said: str) -> None:
    page = client.get(f"/match?{query}")
    assert page.status_code == 422
    assert said.casefold() in words(page.text).casefold()
    assert "<script>" not in page.text.partition("<main")[2]
    assert '<form method="get" action="/match' in page.text


def test_nothing_gets_near_is_said_plainly(client: TestClient, shelf: Studio) -> None:
    told = words(client.get("/match?l=60&a=95&b=-60&jar=J4&jar=J1").text)
    assert "othing you own gets within" in told
