"""Orders, payments, prices, where pieces are; and a customer who wants to be forgotten."""

from __future__ import annotations

from datetime import date

import pytest
from sqlalchemy import select

from enamelwright.errors import InputError
from enamelwright.records.schema.house import past_version
from enamelwright.records.schema.orders import customer_order
from enamelwright.records.schema.people import customer
from enamelwright.workshop.history import correct
from enamelwright.workshop.money import read_money, show_money
from enamelwright.workshop.orders import (
    add_line,
    change_order,
    keep_customer,
    lines_of,
    open_orders,
    paid,
    pay,
    remove_customer,
    take_order,
)
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.selling import keep_outlet, move_piece, pieces_at, prices, set_price, sold, where_is
from enamelwright.workshop.settings import CURRENCY, DECIMALS, set_setting
from enamelwright.workshop.studio import Studio


def test_sums_become_whole_coins(bare: Studio) -> None:
    with pytest.raises(InputError, match="currency"):
        read_money(bare, "38")
    set_setting(bare, CURRENCY, "cr")
    assert read_money(bare, "38") == (3800, "cr")
    assert read_money(bare, "0,05 EUR") == (5, "EUR")
    assert show_money(bare, 18405, "cr") == "184.05 cr"
    for wrong in ("38.505", "abc", "-4", "NaN", "1e400", "99999999999"):
        with pytest.raises(InputError):
            read_money(bare, wrong)
    set_setting(bare, DECIMALS, 0)
    assert read_money(bare, "38") == (38, "cr")
    with pytest.raises(InputError):
        read_money(bare, "38.5")


def test_an_order_from_asking_to_collecting(studio: Studio) -> None:
    set_setting(studio, CURRENCY, "cr")
    who = keep_customer(studio, "north gallery", "by letter")
    row = take_order(studio, "lantern pendant", customer=who, agreed="460", state="agreed", due_on=date(2026, 4, 30))
    assert row.number == "2026-C001"
    line = add_line(studio, row.number, "pendant", count=1, each="460")
    made = start_pieces(studio, order_line=line)[0]
    pay(studio, "deposit", "184", order=row.number)
    again = pay(studio, "balance", "300", order=row.number)
    pay(studio, "refund", "24", order=row.number)
    correct(studio, "payment", again, "miscounted", minor=30000)
    assert paid(studio, row.number) == 46000
    assert [one.customer_label for one in open_orders(studio)] == ["north gallery"]
    change_order(studio, row.number, state="collected", collected_on=date(2026, 4, 30), agreed="470")
    assert open_orders(studio) == []
    assert [one.id for one in lines_of(studio, row.number)] == [line]
    assert piece_row(studio, made.id).order_line == line


def test_a_customer_can_be_forgotten_and_the_orders_stay(studio: Studio) -> None:
    who = keep_customer(studio, "somebody")
    studio.change(customer, who, contact="a letter box")
    row = take_order(studio, "a brooch", customer=who)
    assert remove_customer(studio, "somebody") == 1
    with studio.reading() as connection:
        kept = connection.execute(select(customer_order)).one()
        traces = connection.execute(select(past_version).where(past_version.c.of_table == "customer")).all()
    assert (kept.number, kept.customer) == (row.number, None)
    assert traces == []


def test_where_pieces_are_and_what_they_cost(studio: Studio) -> None:
    set_setting(studio, CURRENCY, "cr")
    start_pieces(studio, labels=["pair 1", "pair 2"])
    keep_outlet(studio, "spring fair", "fair", 0.2)
    set_price(studio, "38", piece="pair 1", channel="fair")
    set_price(studio, "40", piece="pair 1", channel="fair")
    assert [row.minor for row in prices(studio, piece="pair 1")] == [4000, 3800]
    move_piece(studio, "pair 1", "fair", outlet="spring fair", asked="40")
    assert [row.label for row in pieces_at(studio, "fair")] == ["pair 1"]
    sold(studio, "pair 1", "38", how="cash")
    there = where_is(studio, "pair 1")
    assert there is not None
    assert (there.place, there.taken_minor, there.currency) == ("sold", 3800, "cr")
    assert piece_row(studio, "pair 1").place == "sold"
    assert where_is(studio, "pair 2") is None
    with pytest.raises(InputError):
        set_price(studio, "38")
