"""Orders that were handed over with something still to pay: they stay in sight until it is paid."""

from __future__ import annotations

from datetime import timedelta

import pytest

from enamelwright.workshop.history import correct
from enamelwright.workshop.open_work import open_work
from enamelwright.workshop.orders import add_line, change_order, open_orders, owed, pay, take_order
from enamelwright.workshop.owing import owing
from enamelwright.workshop.selling import collect
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio


@pytest.fixture
def counted(studio: Studio) -> Studio:
    """The studio counts in credits."""
    set_setting(studio, CURRENCY, "cr")
    return studio


def told(studio: Studio) -> list[tuple[str, int, str]]:
    """Number, coins and currency of each."""
    return [(one.order.number, one.minor, one.currency) for one in owing(studio)]


def test_what_is_still_to_pay_stays_after_hand_over(counted: Studio) -> None:
    order = take_order(counted, "pendant", agreed="240", state="ready")
    assert told(counted) == [], "it is open, and listed as such"
    pay(counted, "deposit", "140", order=order.id)
    collect(counted, order.id)
    assert told(counted) == [(order.number, 10000, "cr")]
    assert [one.order.number for one in open_work(counted).owing] == [order.number]
    assert open_orders(counted) == [], "there is nothing to make for it"
    rest = pay(counted, "balance", "100", order=order.id)
    assert told(counted) == []
    correct(counted, "payment", rest, "miscounted", minor=9000)
    assert told(counted) == [(order.number, 1000, "cr")]
    pay(counted, "refund", "5", order=order.id)
    assert told(counted) == [(order.number, 1500, "cr")]


def test_it_is_what_the_order_itself_says(counted: Studio) -> None:
    """Counted for all of them at once, and for each by itself: without a sum agreed on the lines say it, if all do."""
    lines = take_order(counted, "by lines")
    add_line(counted, lines.id, "ring", count=3, each="20")
    add_line(counted, lines.id, "box", each="15.50")
    partly = take_order(counted, "one without a price")
    add_line(counted, partly.id, "ring", each="20")
    add_line(counted, partly.id, "a surprise")
    both = take_order(counted, "agreed and lines", agreed="50")
    add_line(counted, both.id, "ring", count=2, each="30")
    nothing = take_order(counted, "a present")
    over = take_order(counted, "too much", agreed="10")
    pay(counted, "deposit", "12", order=over.id)
    gone = take_order(counted, "cancelled", agreed="10")
    change_order(counted, gone.id, state="cancelled")
    orders = (lines, partly, both, nothing, over)
    for one in orders:
        collect(counted, one.id)
    wanted = [(one.number, left, "cr") for one in orders if (left := owed(counted, one.id)) is not None and left > 0]
    assert wanted == [(lines.number, 7550, "cr"), (both.number, 5000, "cr")]
    assert sorted(told(counted)) == wanted


def test_the_longest_owed_comes_first(counted: Studio) -> None:
    first, second = (take_order(counted, "brooch", agreed="10") for _ in range(2))
    collect(counted, second.id)
    collect(counted.at(counted.clock() + timedelta(days=3)), first.id)
    assert [one.order.number for one in owing(counted)] == [second.number, first.number]
