"""Powder for a series, reorder points, order size, costs of a good piece, break-even, rounding of money.

Sources
-------
* Closed forms (F. W. Harris, Factory 10 (1913) 135; textbook reorder point), worked examples by an independent
  implementation, and distributions of an independent library (scipy.stats).
* Decimals of currencies: ISO 4217, as the library of locales has them.
"""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from scipy import stats

from enamelwright.planning import bill as billing
from enamelwright.planning import cost as costing
from enamelwright.planning import cost_swing, money, price
from enamelwright.planning import stock_needed as stock
from enamelwright.planning.cost import Gate, Rates

# 44 discs of 25 mm started: coats, powder of one [g/cm2], loss; grams to weigh out.
POWDER = [(1, 0.035, 0.15, 8.893479), (1, 0.030, 0.10, 7.199483), (2, 0.028, 0.10, 13.439035)]

D = Decimal  # the cases read as they are printed

GATES = (
    Gate(D("8"), D("2.10"), D("0.12"), D("0.97"), D("0.02")),
    Gate(D("10"), D("0.45"), D("0.12"), D("0.94"), D("0.04")),
    Gate(D("9"), D("0.40"), D("0.12"), D("0.97"), D("0.02")),
)
RATES = Rates(D("18"), D("6"), D("0.3"), D("0.35"))
# The worked example, part by part.
COST = [
    ("yield_", 0.959286), ("minutes", 28.5361), ("material", 3.07925), ("labour", 8.56082), ("kiln", 0.38033),
    ("overhead", 2.85361), ("recovery", 0.01486), ("unit", 14.8591),
]  # fmt: skip
# A fifth less and more of each.
SWINGS = [
    ("hand time", 12.576, 17.142), ("wage", 13.147, 16.571), ("material", 14.243, 15.475), ("overhead", 14.288, 15.430),
    ("kiln", 14.783, 14.935),
]  # fmt: skip


@pytest.mark.parametrize(("coats", "per_area", "loss", "grams"), POWDER)
def test_powder_of_a_series(coats: int, per_area: float, loss: float, grams: float) -> None:
    area = math.pi * 0.025**2 / 4
    assert stock.powder_for(44, area, coats, per_area * 10, loss) * 1000 == pytest.approx(grams, abs=1e-6)


def test_reorder_point_and_order_size() -> None:
    assert stock.reorder_level(40, 12, 2, 0.95) == pytest.approx(107.9140917, abs=1e-6)
    assert stock.order_size(1200, 10, 0.5) == pytest.approx(219.0890230, abs=1e-6)
    # the cheapest order: K D / q + h q / 2 is flat there
    spent = [10 * 1200 / q + 0.5 * q / 2 for q in (218, 219.0890230, 220)]
    assert spent[1] == min(spent)


def test_slow_movers() -> None:
    assert stock.reorder_slow(7.5, 0.95) == 12
    assert stats.poisson.cdf(12, 7.5) == pytest.approx(0.9573341, abs=1e-6)
    for uses, over, lead in ((3, 20, 4), (0, 10, 2), (12, 30, 8)):
        assert stock.reorder_few(uses, over, lead, 0.95) == stats.nbinom.ppf(0.95, uses + 0.5, over / (over + lead))


@pytest.mark.parametrize(("part", "printed"), COST)
def test_costing_example(part: str, printed: float) -> None:
    assert float(getattr(costing.cost(GATES, RATES), part)) == pytest.approx(printed, abs=1e-4)


@pytest.mark.parametrize(("name", "low", "high"), SWINGS)
def test_what_moves_the_cost(name: str, low: float, high: float) -> None:
    moved = {one.name: one for one in cost_swing.swings(GATES, RATES)}[name]
    assert (float(moved.low), float(moved.high)) == (pytest.approx(low, abs=6e-4), pytest.approx(high, abs=6e-4))


def test_fewer_that_pass() -> None:
    """Five of a hundred fewer at each gate: 16.581, 11.6 % more."""
    moved = {one.name: one for one in cost_swing.swings(GATES, RATES)}["pieces that pass"]
    assert float(moved.high) == pytest.approx(16.581, abs=6e-4)


def test_gates_alike() -> None:
    told = costing.cost([Gate(D(1), D(0), D(0), D("0.92"), D("0.05"))] * 3, Rates(D(0)))
    assert float(told.yield_) == pytest.approx(0.9082233562, abs=1e-9)
    assert float(told.visits) == pytest.approx(3.0592214609, abs=1e-9)


def test_overhead_follows_the_minutes_really_worked() -> None:
    """Pieces that fail late cost overhead too: with no failures it would be that of the planned minutes."""
    flawless = [replace(gate, passed=D(1), again=D(0)) for gate in GATES]
    assert costing.cost(flawless, RATES).overhead == D(27) * D(6) / 60
    assert costing.cost(GATES, RATES).overhead > D(27) * D(6) / 60


def test_kiln_share() -> None:
    alone = costing.kiln_visit(D("1.5"), D("0.6"), D(6), D("0.3"), D(120), D(1500), 1)
    assert float(alone) == pytest.approx(0.0350, abs=1e-9)
    assert float(alone / 11) == pytest.approx(0.00318, abs=5e-6)


def test_break_even_both_ways() -> None:
    """420 of fixed costs, a quarter of profit, sold wholesale: 28 with own hours fixed, 65 with own hours paid."""
    told = costing.cost(GATES, RATES)
    net = price.prices(told.unit, D("0.25"), D(2), D("0.4")).channel("wholesale").net
    assert price.break_even(D(420), net, told.materials) == 28
    assert price.break_even(D(420), net, told.variable) == 65
    assert price.break_even(D(420), D(1), told.variable) is None


def test_floor_on_commission_leaves_the_cost() -> None:
    told = costing.cost(GATES, RATES)
    floor = price.prices(told.unit, D("0.25"), D(2), D("0.4")).floor_on_commission
    assert floor == D("24.77"), "14.8591 / 0.6 = 24.765 is no whole coin, and 24.76 would lose"
    assert floor * (1 - D("0.4")) >= told.unit


# Sum, currency, as written: halves up, and the coins each currency has (ISO 4217).
WRITTEN = [
    ("12.345", "EUR", "€12.35"),
    ("1234.5", "JPY", "¥1,235"),
    ("0.005", "USD", "$0.01"),
    ("2.5", "BHD", "BHD2.500"),
]


@pytest.mark.parametrize(("amount", "currency", "shown"), WRITTEN)
def test_money_is_rounded_before_it_is_written(amount: str, currency: str, shown: str) -> None:
    assert money.written(D(amount), currency) == shown


def test_a_bill_is_rounded_line_by_line() -> None:
    made = billing.bill([("brooch", 3, D("12.335")), ("pendant", 1, D("0.005"))], 2, D("0.2"))
    assert [line[3] for line in made.lines] == [D("37.01"), D("0.01")]
    assert (made.net, made.tax, made.total) == (D("37.02"), D("7.40"), D("44.42"))
