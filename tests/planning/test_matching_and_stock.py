"""Pairs and sets with the odd one named; issue by lot, purchases in packs, prices that cannot be."""

from __future__ import annotations

import itertools
import math
import random
from datetime import date
from decimal import Decimal

import pytest

from enamelwright.errors import InputError
from enamelwright.planning import cost as costing
from enamelwright.planning import matching, price
from enamelwright.planning import stock_needed as stock
from enamelwright.planning.money import exact
from enamelwright.planning.series import Yield, chance_of
from enamelwright.planning.stock_needed import Batch


def test_pairs_are_the_best_there_are() -> None:
    draw = random.Random(3)
    pieces = {f"p{n}": (draw.random(), draw.random()) for n in range(7)}
    told = matching.match(pieces, (0.1, 0.1))
    names = sorted(pieces)
    best = math.inf
    for order in itertools.permutations(names):
        if order[0] < order[1] and order[2] < order[3] and order[4] < order[5]:
            best = min(best, sum(math.dist(pieces[order[n]], pieces[order[n + 1]]) / 0.1 for n in (0, 2, 4)))
    assert sum(told.apart) == pytest.approx(best)
    assert len(told.sets) == 3
    assert len(told.odd) == 1
    assert list(told.apart) == sorted(told.apart)


def test_many_pairs_and_sets_of_three() -> None:
    """Far more than can be tried one by one: neighbours on a line are still found."""
    pieces = {f"p{n:02d}": (n // 2 * 1.0 + n % 2 * 0.01,) for n in range(30)}
    told = matching.match(pieces, (1.0,))
    assert all(int(a[1:]) // 2 == int(b[1:]) // 2 for a, b in told.sets)
    assert not told.odd
    three = matching.match({f"p{n}": (n // 3 * 1.0,) for n in range(10)}, (1.0,), 3)
    assert len(three.sets) == 3
    assert len(three.odd) == 1
    assert max(three.apart) == 0


def test_left_and_right_must_both_suffice() -> None:
    good = Yield.known(0.9)
    each = matching.to_start_of_each(6, 2, good, 0.95)
    assert chance_of(6, (each,), good) ** 2 >= 0.95 > chance_of(6, (each - 1,), good) ** 2
    assert matching.to_start_of_each(6, 1, good, 0.95, alike=2) == 16  # twelve good ones of 0.9


def test_lots_are_issued_by_date() -> None:
    lots = [
        Batch("new", 0.1, date(2027, 1, 1), date(2026, 3, 1)), Batch("old", 0.02, date(2026, 12, 1)),
        Batch("past", 0.5, date(2026, 1, 1)), Batch("undated", 0.3), Batch("owed", -0.01),
    ]  # fmt: skip
    told = stock.issue(0.2, lots, date(2026, 11, 1))
    assert told.take == (("old", 0.02), ("new", 0.1), ("undated", pytest.approx(0.08)))
    assert (told.expired, told.owed, told.short) == (("past",), ("owed",), 0.0)
    short = stock.issue(1.0, lots, date(2026, 11, 1))
    assert short.short == pytest.approx(1.0 - 0.42)


def test_moving_average() -> None:
    assert stock.average_cost([(2, 10), (1, 8)]) == 6
    assert stock.average_cost([]) is None


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: stock.powder_for(-1, 1, 1, 1, 0), lambda: stock.powder_for(1, 1, 1, 1, 1.0), lambda: stock.issue(-1, []),
        lambda: stock.order_size(1, 1, 0), lambda: stock.reorder_level(1, 1, 1, 1.0), lambda: exact("a lot"),
        lambda: costing.cost([], costing.Rates(Decimal(1))), lambda: price.break_even(Decimal(-1), Decimal(2), Decimal(1)),
        lambda: price.prices(Decimal(5), Decimal(0), Decimal(2), Decimal(1)),
        lambda: price.prices(Decimal(5), Decimal(0), Decimal(2), Decimal(0), asked=Decimal(0)),
        lambda: costing.Gate(Decimal(1), Decimal(0), Decimal(0), Decimal("0.9"), Decimal("0.2")),
        lambda: matching.match({"a": (1.0,)}, (1.0,)), lambda: matching.match({"a": (1.0,), "b": ()}, (1.0,)),
        lambda: Yield.record(3, 2), lambda: Yield.known(0.0),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(wrong: object) -> None:
    with pytest.raises(InputError):
        wrong()  # type: ignore[operator]
