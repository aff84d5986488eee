"""The price page takes the house's tax out of what a sale leaves, and says it; so does the page of hours."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.planning import money
from enamelwright.workshop import costing, cut_designs, selling
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import send, words

HOUSE = {
    "wage": "18", "overhead": "6", "fixed": "3000", "tax": "20 %", "fees": "5 %", "commission": "40 %",
}  # fmt: skip


@pytest.fixture
def page(client: TestClient, studio: Studio) -> str:
    """The price page of a piece for which 370.82 is asked, half an hour at the bench told."""
    design = cut_designs.cut_designs(studio)[0]
    set_setting(studio, CURRENCY, "EUR")
    one = start_pieces(studio, 1, design.version)[0]
    finish_piece(studio, one.id)
    spend_time(studio, "all of it", "30 min", piece=one.id)
    selling.set_price(studio, "370.82", design=design.row)
    return f"/pieces/{one.number}/price"


def test_the_tax_of_the_house_comes_off_what_is_left(client: TestClient, page: str) -> None:
    """370.82 / 1.2 less 5 % of 370.82 = 290.48; less 40 % = 160.69; its tax is 370.82 / 6 = 61.80."""
    send(client, page, {"do": "costing", **HOUSE})
    told = words(client.get(f"{page}?wait=1").text)
    direct = told[told.index("Sold How Price Is left") :]
    assert direct.index("tax €61.80") < direct.index("wholesale"), "a line of its own, at the price"
    assert re.search(r"direct .*?€370\.82 tax €61\.80 €290 wholesale .*? tax €30\.90 ", direct)
    assert re.search(r"on commission .*?€370\.82 tax €61\.80 €161 ", direct)
    assert "€370.82, tax in it €61.80, €290.48 left" in told, "to the coin under Why?"
    assert "On commission not below" in told
    assert "Tax 20 % of the price before tax is in what the buyer pays" in told
    assert "(overhead counted as part of the fixed costs)" in told


def test_without_a_tax_no_line_tells_of_one(client: TestClient, page: str) -> None:
    send(client, page, {"do": "costing", **{**HOUSE, "tax": "", "overhead": ""}})
    told = words(client.get(f"{page}?wait=1").text)
    assert "€370.82, €352.28 left" in told
    assert "tax €" not in told
    assert "No tax is taken off a price" in told
    assert "overhead counted" not in told


def test_a_tax_and_a_share_that_leave_nothing_are_refused_where_they_are_set(
    client: TestClient, studio: Studio, page: str
) -> None:
    send(client, page, {"do": "costing", **HOUSE})
    for slip in ({"commission": "85"}, {"fees": "90 %"}, {"tax": "101"}):
        refused = client.post(page, data={"do": "costing", **HOUSE, **slip})
        assert refused.status_code == 422
    assert "leave nothing" in words(client.post(page, data={"do": "costing", **HOUSE, "commission": "85"}).text)
    assert costing.costing(studio)["commission"] == 0.4
    assert money.exact(costing.costing(studio)["tax"]) == money.exact("0.2")


def test_hours_say_that_tax_is_still_in_them(client: TestClient, studio: Studio, page: str) -> None:
    selling.sold(studio, page.split("/")[2], "370.82")
    assert "tax in a price is not taken off" in words(client.get("/finished/hours").text)


def test_a_tax_kept_before_that_is_beyond_reason_is_said_on_the_page(
    client: TestClient, studio: Studio, page: str
) -> None:
    """It was taken once, so the page opens with the field in which to put it right."""
    set_setting(studio, costing.COSTING, {"wage": 18.0, "tax": 1.5})
    told = words(client.get(f"{page}?wait=1").text)
    assert "A tax is not larger than the price before it." in told
    assert "Tax in a price" in told
