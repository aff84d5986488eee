"""Sums in several currencies: coins with none, two and three decimals, kept apart and never read differently later.

Sources
-------
* Decimals of coins: ISO 4217 (yen none, euro two, Kuwaiti dinar three).
* Which price holds, what a seller hands on, halves up: common practice, no source; each sum is worked out by hand.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.workshop import bills, listing, orders, selling
from enamelwright.workshop.money import added, coins_kept, decimals_in, read_money, show_money, show_sums
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.settings import COINS, CURRENCY, DECIMALS, set_setting
from enamelwright.workshop.studio import Studio

D = Decimal

# As written, in the smallest coin, as shown: a studio that counts in euro.
COINS_OF = [
    ("12.34 EUR", 1234, "12.34 EUR"),
    ("500 JPY", 500, "500 JPY"),
    ("12.345 KWD", 12345, "12.345 KWD"),
    ("7", 700, "7.00 EUR"),
    ("0 JPY", 0, "0 JPY"),
]


@pytest.fixture
def euro(studio: Studio) -> Studio:
    """A studio that counts in euro."""
    set_setting(studio, CURRENCY, "EUR")
    return studio


@pytest.mark.parametrize(("written", "minor", "shown"), COINS_OF)
def test_each_currency_has_its_own_coins(euro: Studio, written: str, minor: int, shown: str) -> None:
    found = read_money(euro, written)
    assert found[0] == minor
    assert show_money(euro, *found) == shown
    assert read_money(euro, show_money(euro, *found)) == found, "what is shown can be typed again"


@pytest.mark.parametrize("wrong", ["500.5 JPY", "1.2345 KWD", "1.005 EUR"])
def test_a_sum_that_no_coins_make_is_refused(euro: Studio, wrong: str) -> None:
    with pytest.raises(InputError, match="cannot be paid in coins"):
        read_money(euro, wrong)


def test_sums_on_record_are_never_read_with_other_decimals(euro: Studio) -> None:
    """A hundred euro stay a hundred euro when the house goes over to coins without decimals, and back."""
    orders.pay(euro, "class", "100")
    with pytest.raises(InputError, match="on record"):
        coins_kept(euro, "EUR", 0)
    set_setting(euro, COINS, coins_kept(euro, "beads", 0))
    set_setting(euro, CURRENCY, "beads")
    set_setting(euro, DECIMALS, 0)
    assert show_money(euro, 10000, "EUR") == "100.00 EUR"
    orders.pay(euro, "class", "7 beads")
    set_setting(euro, COINS, coins_kept(euro, "EUR", 2))
    set_setting(euro, CURRENCY, "EUR")
    set_setting(euro, DECIMALS, 2)
    assert decimals_in(euro, "beads") == 0, "beads are no ISO code: what they were is kept"
    assert show_money(euro, 7, "beads") == "7 beads"
    assert coins_kept(euro, "shells", 3) == {"beads": 0, "EUR": 2}, "nothing is owed in shells yet"


def test_sums_in_two_currencies_are_two_sums(euro: Studio) -> None:
    sums = added([(1234, "EUR"), (500, "JPY"), (66, "EUR")])
    assert show_sums(euro, sums) == "13.00 EUR, 500 JPY"
    assert show_sums(euro, {}) == "-"


def test_an_order_is_counted_in_one_currency(euro: Studio) -> None:
    row = orders.take_order(euro, "a bowl", agreed="300 JPY")
    for slip in (
        lambda: orders.pay(euro, "deposit", "10 EUR", order=row.id),
        lambda: orders.add_line(euro, row.id, "bowl", each="3.00"),
    ):
        with pytest.raises(InputError, match="counted in JPY"):
            slip()
    orders.add_line(euro, row.id, "bowl", count=2, each="150 JPY")
    orders.pay(euro, "deposit", "100 JPY", order=row.id)
    with pytest.raises(InputError, match="counted in JPY"):
        orders.change_order(euro, row.id, agreed="3 EUR")
    assert orders.owed(euro, row.id) == 200
    with pytest.raises(InputError, match="more cannot go back"):
        orders.pay(euro, "refund", "101 JPY", order=row.id)
    orders.pay(euro, "refund", "100 JPY", order=row.id)
    assert orders.owed(euro, row.id) == 300


def test_owed_is_of_the_lines_when_no_sum_was_agreed(euro: Studio) -> None:
    row = orders.take_order(euro, "studs")
    assert orders.owed(euro, row.id) is None
    orders.add_line(euro, row.id, "studs", count=3, each="19.90")
    orders.pay(euro, "deposit", "20", order=row.id)
    assert orders.owed(euro, row.id) == 3 * 1990 - 2000
    for count in (0, -1, 5000):
        with pytest.raises(InputError, match="one line"):
            orders.add_line(euro, row.id, "studs", count=count)


def test_the_price_that_holds_where_a_piece_is(euro: Studio) -> None:
    """A price for here or anywhere goes before one for elsewhere, its own before the design's, none before its day."""
    piece = start_pieces(euro, labels=["P"])[0]
    day = euro.today()

    def now(place: str | None) -> int | None:
        row = selling.holding(selling.prices(euro, piece=piece.id), place, day.isoformat())
        return None if row is None else int(row.minor)

    assert now("bench") is None
    selling.set_price(euro, "50", piece=piece.id, valid_from=day + timedelta(days=1))
    assert now("bench") is None, "it has not begun to hold"
    selling.set_price(euro, "20", piece=piece.id, channel="wholesale")
    assert now("fair") == 2000, "better than none"
    selling.set_price(euro, "40", piece=piece.id)
    assert [now(place) for place in ("bench", "fair", "gallery", None)] == [4000] * 4
    selling.set_price(euro, "44", piece=piece.id, channel="fair")
    selling.set_price(euro, "41", piece=piece.id, valid_from=day - timedelta(days=3))
    assert [now(place) for place in ("bench", "fair", "gallery")] == [4000, 4400, 4000]
    selling.set_price(euro, "39", piece=piece.id)
    assert now("bench") == 3900, "the newest of the same day"


# What a customer pays, what is kept, what is left: in whole coins, halves up.
LEFT = [(5800, 0.4, 3480), (1999, 0.35, 1299), (5, 0.5, 3), (1, 0.4, 1), (0, 0.4, 0), (3333, None, 3333)]


@pytest.mark.parametrize(("price", "share", "left"), LEFT)
def test_what_a_seller_hands_on(price: int, share: float | None, left: int) -> None:
    assert selling.for_the_maker(price, share) == left


def test_a_gallery_hands_on_what_it_does_not_keep_and_a_fair_hands_on_all(euro: Studio) -> None:
    selling.keep_outlet(euro, "hill gallery", "gallery", 0.4)
    selling.keep_outlet(euro, "winter fair", "fair", 0.15)
    made = start_pieces(euro, labels=["A", "B"])
    for one, outlet in zip(made, ("hill gallery", "winter fair"), strict=True):
        finish_piece(euro, one.id)
        selling.sold(euro, one.id, "58", outlet=outlet)
    came = [listing.payments(euro, piece=int(one.id))[0].minor for one in made]
    assert came == [3480, 5800]
    there = selling.where_is(euro, made[0].id)
    assert there is not None
    assert there.taken_minor == 5800, "the price stands beside it"
    with pytest.raises(RecordError, match="sold already"):
        selling.sold(euro, made[0].id, "58")
    assert len(listing.payments(euro, piece=int(made[0].id))) == 1


@pytest.mark.parametrize("share", [1.0, -0.1, 4.0])
def test_a_share_that_leaves_nothing_is_refused(euro: Studio, share: float) -> None:
    with pytest.raises(InputError, match="share"):
        selling.keep_outlet(euro, "greedy", "gallery", share)


def test_what_is_collected_is_gone_from_the_shelf(euro: Studio) -> None:
    row = orders.take_order(euro, "two studs", agreed="80", due_on=date(2026, 4, 1))
    line = orders.add_line(euro, row.id, "studs", count=2)
    made = start_pieces(euro, order_line=line, labels=["L", "R", "spare"])
    for one in made[:2]:
        finish_piece(euro, one.id)
    version, gone = selling.collect(euro, row.id)
    assert [one.id for one in gone] == [made[0].id, made[1].id]
    assert version == orders.order_row(euro, row.id).version
    assert [piece_row(euro, one.id).place for one in made] == ["sold", "sold", "bench"], "what is not finished stays"
    assert orders.order_row(euro, row.id).collected_on == euro.today().isoformat()
    there = selling.where_is(euro, made[0].id)
    assert there is not None
    assert there.customer_order == row.id
    assert selling.collect(euro, row.id)[1] == [], "told again, nothing more goes"


def test_lines_of_a_bill_add_up_to_its_totals(euro: Studio) -> None:
    """7 x 12.34 and 3 x 0.99 with 19 % in them: 86.38 + 2.97 = 89.35; tax 89.35 x 19/119 = 14.2660 -> 14.27."""
    from enamelwright.workshop import costing

    row = orders.take_order(euro, "studs")
    assert bills.bill_of(euro, row.id) is None
    orders.add_line(euro, row.id, "studs", count=7, each="12.34")
    orders.add_line(euro, row.id, "boxes", count=3, each="0.99")
    costing.set_costing(euro, {"tax": "19 %"})
    told = bills.bill_of(euro, row.id)
    assert told is not None
    assert [line[3] for line in told.bill.lines] == [D("86.38"), D("2.97")]
    assert (told.bill.total, told.bill.tax, told.bill.net) == (D("89.35"), D("14.27"), D("75.08"))
    assert (told.lines_come_to, told.paid, told.owed) == (D("89.35"), D("0.00"), D("89.35"))
    orders.change_order(euro, row.id, agreed="85")
    orders.pay(euro, "deposit", "30", order=row.id)
    told = bills.bill_of(euro, row.id)
    assert told is not None
    assert [line[3] for line in told.bill.lines] == [D("86.38"), D("2.97"), D("-4.35")], "the lines add up to it"
    assert (told.bill.total, told.bill.tax) == (D("85.00"), D("13.57")), "85 x 19/119 = 13.5714, of what is paid"
    assert (told.lines_come_to, told.paid, told.owed) == (D("89.35"), D("30.00"), D("55.00")), "what was agreed is owed"


def test_a_bill_of_an_order_without_lines_is_the_sum_agreed(euro: Studio) -> None:
    row = orders.take_order(euro, "a bowl", agreed="300 JPY")
    orders.add_line(euro, row.id, "a bowl")
    told = bills.bill_of(euro, row.id)
    assert told is not None
    assert [(what, count, whole) for what, count, _, whole in told.bill.lines] == [("a bowl", 1, D("300"))]
    assert (told.currency, told.decimals, told.owed) == ("JPY", 0, D("300"))
