"""Cards and labels from the pages: a look first, then the file; only what is chosen, in its order."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.workshop.baths import open_bath
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import make_tiles


def words_of(client: TestClient, path: str) -> list[str]:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "application/pdf"
    assert "inline" in answer.headers["content-disposition"]
    return [page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages]


def test_the_cards_of_a_day_are_those_of_its_pieces_in_order(client: TestClient, studio: Studio) -> None:
    first, second = (start_pieces(studio, 1, design)[0].number for design in (2, 1))
    pages = words_of(client, f"/paper/day.pdf?piece={second}&piece={first}")
    numbers = [next(number for number in (first, second) if number in page) for page in pages]
    assert numbers == sorted(numbers, reverse=True), "piece after piece, as chosen"
    bench = words_of(client, f"/paper/day.pdf?piece={first}&cards=bench")
    kiln = words_of(client, f"/paper/day.pdf?piece={first}&cards=kiln")
    assert len(bench) + len(kiln) == numbers.count(first)
    look = client.get(f"/paper/day?piece={first}&cards=bench")
    assert look.text.count('class="preview"') == len(bench)
    assert f"/paper/day.pdf?piece={first}&amp;cards=bench" in look.text


def test_labels_are_those_that_were_chosen(client: TestClient, studio: Studio) -> None:
    jar = add_jar(
        studio,
        Jar.from_outside({"id": "J77", "name": "sea green", "kind": "opaque", "hazards": {"lead": "yes"}}, "jar"),
    )
    tile = make_tiles(studio, 1)[0]
    bath = open_bath(studio, "Warm pickle", met_lead=True)
    label = words_of(client, f"/paper/jars.pdf?jar={jar}&used=2")[0]
    assert "J77" in label
    assert "lead: yes; cadmium: not known" in label
    assert tile.number in words_of(client, f"/paper/tiles.pdf?piece={tile.number}")[0]
    assert "has met lead" in words_of(client, f"/paper/baths.pdf?bath={bath}")[0]


@pytest.mark.parametrize(
    "path", ["/paper/day", "/paper/jars", "/paper/tiles", "/paper/baths", "/paper/x", "/paper/jars?jar=x"]
)
def test_nothing_chosen_is_said_so(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 422


def test_a_piece_without_a_plan_has_no_card(client: TestClient, studio: Studio) -> None:
    row = start_pieces(studio, 1)[0]
    answer = client.get(f"/paper/day?piece={row.number}")
    assert answer.status_code == 422
    assert "has no plan" in answer.text
