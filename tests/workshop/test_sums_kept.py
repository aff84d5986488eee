"""A sum on record keeps its worth: whatever the house counts in later, on orders, their lines and their bills.

Sources
-------
* Decimals of coins: ISO 4217 (yen none, euro and franc two).
* What a fair keeps, halves up: common practice, no source; checked against exact fractions.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import floor
from pathlib import Path

import pytest
from sqlalchemy import update

from enamelwright import units
from enamelwright.errors import InputError
from enamelwright.records.errors import Conflict
from enamelwright.records.schema.designs import design as design_table
from enamelwright.records.schema.orders import customer_order
from enamelwright.workshop import bills, costing, orders, selling
from enamelwright.workshop.designs import design_row, keep_design
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.money import coins_kept, decimals_in, has_sums, name_sums, read_money, show_money
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import COINS, CURRENCY, DECIMALS, set_setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.taking_back import take_back

D = Decimal


@pytest.fixture
def euro(studio: Studio) -> Studio:
    """A studio that counts in euro."""
    counts_in(studio, "EUR", 2)
    return studio


def counts_in(studio: Studio, currency: str, decimals: int) -> None:
    """Count in other coins from now on, as the page of the set-up does it."""
    with studio.writing():
        name_sums(studio, currency)
        kept = coins_kept(studio, currency, decimals)
        for key, value in ((COINS, kept), (CURRENCY, currency or None), (DECIMALS, decimals)):
            set_setting(studio, key, value)


def total(studio: Studio, order: int) -> tuple[Decimal, str]:
    told = bills.bill_of(studio, order)
    assert told is not None
    return told.bill.total, told.currency


def unnamed(studio: Studio, order: int) -> None:
    """Make an order look as it was written before orders named their currency."""
    with studio.writing() as work:
        work.connection.execute(update(customer_order).where(customer_order.c.id == order).values(currency=None))


@pytest.mark.parametrize("old", [False, True])
def test_a_line_is_a_sum_on_record(euro: Studio, old: bool) -> None:
    row = orders.take_order(euro, "rings")
    assert not has_sums(euro, "EUR")
    orders.add_line(euro, row.id, "ring", count=2, each="45.00")
    if old:
        unnamed(euro, row.id)
    assert has_sums(euro, "EUR")
    assert total(euro, row.id) == (D("90.00"), "EUR")
    with pytest.raises(InputError, match="EUR are on record with 2 decimals"):
        counts_in(euro, "EUR", 0)
    counts_in(euro, "CHF", 2)
    assert total(euro, row.id) == (D("90.00"), "EUR"), "what was asked in euro is not owed in francs"
    assert not has_sums(euro, "CHF")
    counts_in(euro, "JPY", 0)
    assert total(euro, row.id) == (D("90.00"), "EUR")
    counts_in(euro, "", 0)
    assert total(euro, row.id) == (D("90.00"), "EUR")


def test_an_order_without_a_sum_goes_along_with_the_house(euro: Studio) -> None:
    row = orders.take_order(euro, "rings")
    orders.add_line(euro, row.id, "ring")
    counts_in(euro, "CHF", 2)
    with pytest.raises(InputError, match="counted in CHF"):
        orders.add_line(euro, row.id, "ring", each="45 EUR")
    orders.add_line(euro, row.id, "ring", each="45")
    assert orders.order_row(euro, row.id).currency == "CHF"


def test_a_deposit_settles_what_an_order_is_counted_in(euro: Studio) -> None:
    row = orders.take_order(euro, "rings")
    counts_in(euro, "CHF", 2)
    orders.pay(euro, "deposit", "10", order=row.id)
    counts_in(euro, "EUR", 2)
    with pytest.raises(InputError, match="counted in CHF"):
        orders.add_line(euro, row.id, "ring", each="45")
    orders.add_line(euro, row.id, "ring", each="45 CHF")
    assert total(euro, row.id) == (D("45.00"), "CHF")
    assert orders.owed(euro, row.id) == 3500
    orders.pay(euro, "refund", "10 CHF", order=row.id)
    with pytest.raises(InputError, match="counted in CHF"):
        orders.change_order(euro, row.id, agreed="40 EUR")


def test_lines_in_two_currencies_are_refused_before_the_house_has_one(studio: Studio) -> None:
    row = orders.take_order(studio, "rings")
    line = orders.add_line(studio, row.id, "ring", each="45 EUR")
    with pytest.raises(InputError, match="counted in EUR"):
        orders.add_line(studio, row.id, "ring", each="5000 JPY")
    assert total(studio, row.id) == (D("45.00"), "EUR")
    counts_in(studio, "JPY", 0)
    assert total(studio, row.id) == (D("45.00"), "EUR")
    take_back(studio, [("order line", line, 1)])
    orders.add_line(studio, row.id, "ring", each="5000")
    assert total(studio, row.id) == (D("5000"), "JPY"), "nothing is asked in euro any more"


def test_undo_of_a_sum_agreed_does_not_change_what_lines_are_counted_in(euro: Studio) -> None:
    row = orders.take_order(euro, "rings")
    version = orders.change_order(euro, row.id, agreed="300 JPY")
    orders.add_line(euro, row.id, "ring", count=2, each="150 JPY")
    with pytest.raises(Conflict):
        take_back(euro, [("order", int(row.id), version)])
    seen = int(orders.order_row(euro, row.id).version)
    orders.add_line(euro, row.id, "box", each="20 JPY")
    assert orders.order_row(euro, row.id).version == seen, "once is enough"
    orders.change_order(euro, row.id, agreed=None)
    assert total(euro, row.id) == (D("320"), "JPY")


def test_an_agreed_sum_is_taken_off(euro: Studio) -> None:
    row = orders.take_order(euro, "a ring", agreed="300 JPY")
    orders.change_order(euro, row.id, agreed=None)
    assert orders.owed(euro, row.id) is None
    assert bills.bill_of(euro, row.id) is None
    orders.add_line(euro, row.id, "ring", each="45")
    assert total(euro, row.id) == (D("45.00"), "EUR")


def test_clearing_the_currency_leaves_sums_as_they_were(euro: Studio) -> None:
    piece = start_pieces(euro, labels=["P"])[0]
    selling.set_price(euro, "58.00", piece=piece.id)
    (price,) = selling.prices(euro, piece=piece.id)
    for currency, decimals in (("", 0), ("JPY", 0), ("", 2), ("EUR", 2)):
        counts_in(euro, currency, decimals)
        assert show_money(euro, price.minor, price.currency) == "58.00 EUR"
        assert read_money(euro, "58.00 EUR") == (5800, "EUR")
    counts_in(euro, "", 0)
    with pytest.raises(InputError, match="EUR are on record"):
        counts_in(euro, "EUR", 0)


@pytest.mark.parametrize(("written", "minor"), [("5000 JPY", 5000), ("58.00 EUR", 5800), ("1.234 KWD", 1234)])
def test_a_sum_written_before_the_house_counts_in_anything(studio: Studio, written: str, minor: int) -> None:
    piece = start_pieces(studio, labels=["P"])[0]
    selling.set_price(studio, written, piece=piece.id)
    (price,) = selling.prices(studio, piece=piece.id)
    assert price.minor == minor
    for currency, decimals in (("EUR", 2), ("CHF", 2), ("", 0), ("JPY", 0)):
        counts_in(studio, currency, decimals)
        assert show_money(studio, price.minor, price.currency) == written


def test_sums_without_a_currency_are_the_house_s_own_coins(studio: Studio) -> None:
    """Only old records have them: they go along with a house that had no currency, decimals and all."""
    row = orders.take_order(studio, "rings")
    orders.add_line(studio, row.id, "ring", each="45 EUR")
    unnamed(studio, row.id)
    for currency in ("", "JPY"):
        with pytest.raises(InputError, match="without a currency are on record with 2 decimals"):
            counts_in(studio, currency, 0)
    counts_in(studio, "EUR", 2)
    assert total(studio, row.id) == (D("45.00"), "EUR")
    counts_in(studio, "", 0)
    assert total(studio, row.id) == (D("45.00"), "EUR"), "by then it says what it is counted in"
    assert decimals_in(studio, None) == 0


@pytest.mark.parametrize("minor", [1, 5, 45, 50, 1050, 5800, 9950, 12345])
def test_what_a_seller_hands_on_is_exact(minor: int) -> None:
    """Every share from 0.0 to 99.9 %, as it is read from what a maker types, against exact fractions, halves up."""
    for tenth in range(1000):
        left = floor(Fraction(minor * (1000 - tenth), 1000) + Fraction(1, 2))
        for share in (tenth / 1000, units.parse(f"{tenth / 10} %", "ratio"), float(f"{tenth / 10}") / 100):
            assert selling.for_the_maker(minor, share) == left, (minor, tenth, share)


def test_a_fair_s_share_is_taken_off_in_its_own_currency(euro: Studio, disc: Path) -> None:
    """50.00 euro for an hour; what an hour at the other piece brought in forint, less half, is no sum in euro."""
    keep_design(euro, disc)
    selling.keep_outlet(euro, "far fair", "fair", 0.5)
    here, far = start_pieces(euro, 2, "Test disc")
    for one in (here, far):
        finish_piece(euro, one.id)
        spend_time(euro, "all of it", "1 h", piece=one.id)
    selling.sold(euro, here.id, "50")
    selling.sold(euro, far.id, "60000 HUF", outlet="far fair")
    both = [int(here.id), int(far.id)]
    assert costing.shares_paid(euro, both, "EUR") == {}
    assert costing.shares_paid(euro, both, "HUF") == {int(far.id): 3000000}
    (row,) = costing.earned(euro)
    assert (row.sold, row.taken, row.timed, row.per_hour, row.currency) == (1, 5000, 1, 5000, "EUR")
    counts_in(euro, "HUF", 2)
    (row,) = costing.earned(euro)
    assert (row.sold, row.taken, row.timed, row.per_hour, row.currency) == (1, 6000000, 1, 3000000, "HUF")


def test_hours_are_told_in_one_currency_where_the_house_has_none(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    made = start_pieces(studio, 3, "Test disc")
    for one, money in zip(made, ("50 EUR", "5000 JPY", "3000 JPY"), strict=True):
        finish_piece(studio, one.id)
        spend_time(studio, "all of it", "1 h", piece=one.id)
        selling.sold(studio, one.id, money)
    (row,) = costing.earned(studio)
    assert (row.sold, row.taken, row.per_hour, row.currency) == (2, 8000, 4000, "JPY"), "what most were sold for"


def test_a_bill_names_a_design_that_was_put_away(euro: Studio, disc: Path) -> None:
    keep_design(euro, disc)
    row = orders.take_order(euro, "discs")
    orders.add_line(euro, row.id, design="Test disc", count=2, each="45")
    euro.change(design_table, design_row(euro, "Test disc").id, put_away=True)
    told = bills.bill_of(euro, row.id)
    assert told is not None
    assert [line[0] for line in told.bill.lines] == ["Test disc"]
