"""The forms of an order and of the house's currency: what a sum says stays so, and a sum agreed on can be taken off.

Decimals of coins: ISO 4217 (yen none, euro and franc two).
"""

from __future__ import annotations

import re

import pytest
from sqlalchemy import update
from starlette.testclient import TestClient

from enamelwright.records.schema.designs import design as design_table
from enamelwright.records.schema.orders import customer_order
from enamelwright.workshop import orders, selling
from enamelwright.workshop.designs import designs
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import entry_of, send, undo, words


@pytest.fixture
def shop(studio: Studio) -> Studio:
    """A studio that counts in euro."""
    set_setting(studio, CURRENCY, "EUR")
    return studio


def offered(client: TestClient, page: str, name: str) -> str:
    """What a field of a page holds before anybody types."""
    found = re.search(rf'name="{name}" type="text" value="([^"]*)"', client.get(page).text)
    assert found is not None
    return found[1]


@pytest.mark.parametrize(("written", "shown"), [("100", "100.00"), ("300 JPY", "300 JPY")])
def test_an_agreed_sum_stays_until_it_is_emptied(client: TestClient, shop: Studio, written: str, shown: str) -> None:
    row = orders.take_order(shop, "a bowl", agreed=written)
    page = f"/orders/{row.number}"
    assert offered(client, page, "agreed") == shown
    send(client, page, {"do": "change", "agreed": shown, "words": "in a box"})
    assert orders.order_row(shop, row.id).agreed_minor == row.agreed_minor, "saved as it stood"
    send(client, page, {"do": "change", "words": "no box"})
    assert orders.order_row(shop, row.id).agreed_minor == row.agreed_minor, "the form did not have it"
    location = send(client, page, {"do": "change", "agreed": ""})
    assert orders.order_row(shop, row.id).agreed_minor is None
    assert offered(client, page, "agreed") == ""
    assert "What it comes to" not in words(client.get(page).text)
    undo(client, location)
    assert offered(client, page, "agreed") == shown


def test_a_first_line_says_what_an_order_is_counted_in(client: TestClient, studio: Studio) -> None:
    row = orders.take_order(studio, "rings")
    page = f"/orders/{row.number}"
    location = send(client, page, {"do": "line", "what": "ring", "count": "2", "each": "45 EUR"})
    told = words(client.get(page).text)
    assert "ring, 45.00 EUR each" in told
    assert "of 90.00 EUR" in told
    wrong = client.post(page, data={"entry": entry_of(client, page), "do": "line", "what": "box", "each": "5000 JPY"})
    assert wrong.status_code == 422
    assert "counted in EUR" in words(wrong.text)
    undo(client, location)
    send(client, page, {"do": "line", "what": "ring", "each": "5000 JPY"})
    assert "of 5000 JPY" in words(client.get(page).text)


@pytest.mark.parametrize("old", [False, True])
def test_lines_keep_their_currency_when_the_house_takes_another(client: TestClient, shop: Studio, old: bool) -> None:
    row = orders.take_order(shop, "rings")
    page = f"/orders/{row.number}"
    send(client, page, {"do": "line", "what": "ring", "count": "2", "each": "45.00"})
    if old:  # as it was written before orders named their currency
        with shop.writing() as work:
            work.connection.execute(update(customer_order).values(currency=None))
    set_up = "/set-up/money"
    refused = client.post(set_up, data={"entry": entry_of(client, set_up), "currency": "EUR", "decimals": "0"})
    assert refused.status_code == 422
    assert "on record with 2 decimals" in words(refused.text)
    for currency, decimals in (("CHF", "2"), ("", "0"), ("JPY", "0")):
        location = send(client, set_up, {"currency": currency, "decimals": decimals})
        told = words(client.get(page).text)
        assert "ring, 45.00 EUR each" in told
        assert "of 90.00 EUR" in told
    undo(client, location)
    assert "of 90.00 EUR" in words(client.get(page).text)


def test_a_line_names_its_design_also_once_that_is_put_away(client: TestClient, shop: Studio) -> None:
    design = designs(shop)[0]
    row = orders.take_order(shop, "a pair")
    orders.add_line(shop, row.id, design=int(design.id), count=2, each="45")
    shop.change(design_table, int(design.id), put_away=True)
    told = words(client.get(f"/orders/{row.number}").text)
    assert f"2 × {design.name}, 45.00 EUR each" in told
    assert told.count(str(design.name)) >= 2, "with its lines, and in what it comes to"


def test_hours_name_their_currency_where_the_house_has_none(client: TestClient, studio: Studio) -> None:
    (made,) = start_pieces(studio, 1, designs(studio)[0].name)
    finish_piece(studio, made.id)
    spend_time(studio, "all of it", "2 h", piece=made.id)
    selling.sold(studio, made.id, "5000 JPY")
    told = words(client.get("/finished/hours").text)
    assert "5000 JPY" in told
    assert "2500 JPY" in told
