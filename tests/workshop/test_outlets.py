"""What a seller and a fair took, and what they did not: shares, returns, sums asked, an order taken back.

A gallery of the invented workshop keeps 40 %: of 58.00 it hands on 34.80. What is customary between maker and seller
is common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from enamelwright.records.errors import RecordError
from enamelwright.workshop import listing, orders, outlets, selling
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.taking_back import take_back

GALLERY, OTHER, FAIR = "hill gallery", "river gallery", "winter fair"


@pytest.fixture
def euro(studio: Studio) -> Studio:
    """A studio that counts in euro, with two sellers and a fair."""
    set_setting(studio, CURRENCY, "EUR")
    selling.keep_outlet(studio, GALLERY, "gallery", 0.4)
    selling.keep_outlet(studio, OTHER, "gallery", 0.3)
    selling.keep_outlet(studio, FAIR, "fair", 0.15)
    return studio


@pytest.fixture
def number(euro: Studio) -> str:
    """A finished piece at 58.00."""
    (made,) = start_pieces(euro, labels=["A"])
    finish_piece(euro, made.id)
    selling.set_price(euro, "58", piece=made.id)
    return str(made.number)


def came(studio: Studio, number: str) -> list[int]:
    """What has come in for a piece."""
    return [int(one.minor) for one in listing.payments(studio, piece=int(piece_row(studio, number).id))]


def left(studio: Studio, outlet: str) -> list[tuple[str, int | None, int | None]]:
    """What became of the pieces of an outlet, the price told, and what came in there."""
    return [(one.became, one.minor, one.mine) for one in outlets.left_since(studio, outlet)]


def test_a_seller_owes_nothing_for_what_came_back_and_was_sold_elsewhere(euro: Studio, number: str) -> None:
    outlets.take_there(euro, GALLERY, [number])
    outlets.settle(euro, GALLERY, {number: ("back", "")})
    selling.sold(euro, number, "44")
    assert left(euro, GALLERY) == [("back", 5800, None)], "what was asked there, and no money"
    assert came(euro, number) == [4400], "in the studio nobody keeps a share"


def test_what_went_on_to_another_seller_is_paid_by_that_one(euro: Studio, number: str) -> None:
    outlets.take_there(euro, GALLERY, [number])
    selling.sold(euro, number, "70", outlet=OTHER)
    assert left(euro, GALLERY) == [("back", 5800, None)]
    assert came(euro, number) == [4900]


def test_a_piece_sold_twice_is_told_with_the_money_of_that_sale(euro: Studio, number: str) -> None:
    """Sold at the gallery, brought back by the customer, sold again in the studio."""
    outlets.take_there(euro, GALLERY, [number])
    outlets.settle(euro, GALLERY, {number: ("sold", "")})
    later = euro.at(euro.clock() + timedelta(days=3))
    selling.move_piece(later, number, "bench")
    selling.sold(later, number, "44")
    assert left(later, GALLERY) == [("sold", 5800, 3480)]


@pytest.mark.parametrize(("place", "outlet", "mine"), [("gallery", GALLERY, 3480), ("lent", GALLERY, 3480),
                                                       ("fair", FAIR, 5800)])  # fmt: skip
def test_a_sale_is_where_the_piece_stands_when_nobody_says_otherwise(
    euro: Studio, number: str, place: str, outlet: str, mine: int
) -> None:
    selling.move_piece(euro, number, place, outlet=outlet)
    selling.sold(euro, number, "58")
    assert came(euro, number) == [mine]
    there = selling.where_is(euro, number)
    assert there is not None
    assert there.outlet == selling.outlet_row(euro, outlet).id
    assert left(euro, outlet) == [("sold", 5800, mine)]


def test_on_the_bench_a_sale_is_of_no_outlet(euro: Studio, number: str) -> None:
    outlets.take_there(euro, GALLERY, [number])
    outlets.settle(euro, GALLERY, {number: ("back", "")})
    selling.sold(euro, number, "58")
    there = selling.where_is(euro, number)
    assert there is not None
    assert there.outlet is None


@pytest.mark.parametrize(("typed", "told"), [("55", (5500, "CHF")), ("55,50", (5550, "CHF")), ("", (6000, "CHF")),
                                             ("50 EUR", (5000, "EUR")), ("7000 JPY", (7000, "JPY"))])  # fmt: skip
def test_a_sum_is_in_the_currency_that_was_asked(euro: Studio, number: str, typed: str, told: tuple[int, str]) -> None:
    selling.set_price(euro, "60 CHF", piece=number)
    outlets.take_there(euro, FAIR, [number])
    outlets.settle(euro, FAIR, {number: ("sold", typed)})
    (one,) = outlets.left_since(euro, FAIR)
    assert (one.minor, one.currency) == told
    assert one.mine == told[0]


@pytest.mark.parametrize("outlet", [GALLERY, FAIR])
def test_what_is_shown_before_is_what_is_written_down(euro: Studio, number: str, outlet: str) -> None:
    selling.set_price(euro, "60", piece=number, channel="fair")
    selling.set_price(euro, "66", piece=number, channel="gallery")
    there = selling.outlet_row(euro, outlet)
    (shown,) = outlets.asked_there(euro, there, outlets.ready_to_go(euro))
    outlets.take_there(euro, outlet, [number])
    written = selling.where_is(euro, number)
    assert written is not None
    assert (written.asked_minor, written.currency) == (shown.minor, shown.currency)
    assert shown.minor == {GALLERY: 6600, FAIR: 6000}[outlet]
    selling.set_price(euro, "99", piece=number)
    (later,) = outlets.asked_there(euro, there, listing.pieces_like(euro, only=[int(piece_row(euro, number).id)]))
    assert later.minor == shown.minor, "what is there is told as it was written down"


@pytest.fixture
def collected(euro: Studio) -> tuple[str, list[str]]:
    """An order of two that was collected, one of them given to the customer as a sale with its own sum."""
    row = orders.take_order(euro, "three studs", agreed="80")
    line = orders.add_line(euro, row.id, "studs", count=3)
    made = start_pieces(euro, order_line=line, labels=["L", "R", "extra"])
    for one in made:
        finish_piece(euro, one.id)
    selling.sold(euro, made[2].id, "20", order=row.id)
    selling.collect(euro, row.id)
    return str(row.number), [str(one.number) for one in made]


@pytest.mark.parametrize("state", ["ready", "in work", "cancelled"])
def test_an_order_that_was_not_collected_after_all_has_its_pieces_again(
    euro: Studio, collected: tuple[str, list[str]], state: str
) -> None:
    number, made = collected
    version, back = selling.reopen(euro, number, None, state)
    assert [str(one.number) for one in back] == made[:2]
    assert [piece_row(euro, one).place for one in made] == ["bench", "bench", "sold"], "what was paid for is sold"
    row = orders.order_row(euro, number)
    assert (row.state, row.collected_on, row.version) == (state, None, version)
    wrote = selling.wrote_of(euro, number, version, back)
    take_back(euro, wrote)
    assert orders.order_row(euro, number).state == "collected"
    assert orders.order_row(euro, number).collected_on == euro.today().isoformat()
    assert [piece_row(euro, one).place for one in made] == ["sold"] * 3


def test_what_was_not_taken_along_stays_where_it_is(euro: Studio, collected: tuple[str, list[str]]) -> None:
    number, made = collected
    selling.move_piece(euro, made[0], "given")
    assert [str(one.number) for one in selling.reopen(euro, number, None, "ready")[1]] == made[1:2]
    assert selling.reopen(euro, number, None, "in work")[1] == [], "told again, nothing more comes back"
    assert [str(one.number) for one in selling.collect(euro, number)[1]] == made[1:2], "and it can be collected again"


def test_an_order_somebody_changed_meanwhile_is_looked_at_first(euro: Studio, collected: tuple[str, list[str]]) -> None:
    number, made = collected
    before = int(orders.order_row(euro, number).version)
    orders.change_order(euro, number, words="a box with it")
    with pytest.raises(RecordError):
        selling.reopen(euro, number, before, "ready")
    assert piece_row(euro, made[0]).place == "sold"
