"""Every sum of cost, price and bill against the same sum in exact fractions, in coins with none, two, three decimals.

Sources
-------
* Sums by hand and an independent reckoning in `fractions.Fraction`, rounded halves up by whole numbers alone.
* Decimals of coins: ISO 4217 (yen 0, euro 2, Kuwaiti dinar 3).
* Rates that taxes of sales have somewhere (5.5, 7.7, 8.1, 19, 20, 25 %): numbers to reckon with, nobody's advice.
"""

from __future__ import annotations

import math
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.planning import bill as billing
from enamelwright.planning import money, price
from enamelwright.questions.question import question

D = Decimal
RATES = ["0", "0.055", "0.077", "0.081", "0.19", "0.2", "0.25"]


def coins(amount: Fraction, decimals: int) -> Fraction:
    """Round to whole coins, halves away from nothing, without `decimal`."""
    scaled = abs(amount) * 10**decimals
    whole = math.floor(scaled + Fraction(1, 2))
    return Fraction(whole if amount >= 0 else -whole, 10**decimals)


# Lines, decimals, rate, contained -> sums of the lines, before tax, tax, to pay; worked out by hand.
BILLS: list[tuple[list[tuple[int, str]], int, str, bool, list[str], str, str, str]] = [
    ([(7, "12.34"), (3, "0.99")], 2, "0.19", False, ["86.38", "2.97"], "89.35", "16.98", "106.33"),  # 16.9765
    ([(7, "12.34"), (3, "0.99")], 2, "0.19", True, ["86.38", "2.97"], "75.08", "14.27", "89.35"),  # 14.2660
    ([(3, "333.5")], 0, "0.1", False, ["1001"], "1001", "100", "1101"),  # 1000.5 halves up; 100.1
    ([(1, "105")], 0, "0.1", True, ["105"], "95", "10", "105"),  # 9.545
    ([(3, "1.2345"), (1, "0.0005")], 3, "0.05", False, ["3.704", "0.001"], "3.705", "0.185", "3.890"),  # 3.7035; 0.18525
    ([(1, "0.10")], 2, "0.25", False, ["0.10"], "0.10", "0.03", "0.13"),  # 0.025 halves up
    ([(0, "12.00")], 2, "0.19", False, ["0.00"], "0.00", "0.00", "0.00"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "decimals", "rate", "contained", "sums", "net", "tax", "total"), BILLS)
def test_bills_by_hand(
    lines: list[tuple[int, str]], decimals: int, rate: str, contained: bool, sums: list[str], net: str, tax: str,
    total: str,
) -> None:  # fmt: skip
    made = billing.bill([("x", count, D(each)) for count, each in lines], decimals, D(rate), contained=contained)
    assert [str(line[3]) for line in made.lines] == sums
    assert (str(made.net), str(made.tax), str(made.total)) == (net, tax, total)


@given(
    st.lists(st.tuples(st.integers(0, 200), st.decimals(0, 5000, places=4)), min_size=1, max_size=8),
    st.sampled_from((0, 2, 3)), st.sampled_from(RATES), st.sampled_from(("0", "0.1", "0.333")), st.booleans(),
)  # fmt: skip
def test_lines_add_up_to_the_totals(
    lines: list[tuple[int, D]], decimals: int, rate: str, discount: str, contained: bool
) -> None:
    made = billing.bill([("x", *line) for line in lines], decimals, D(rate), D(discount), contained=contained)
    each = [coins(count * Fraction(one) * (1 - Fraction(discount)), decimals) for count, one in lines]
    assert [Fraction(line[3]) for line in made.lines] == each
    whole = sum(each)
    tax = coins(whole * Fraction(rate) / (1 + Fraction(rate) if contained else 1), decimals)
    assert Fraction(made.tax) == tax
    assert Fraction(made.total) == (whole if contained else whole + tax)
    assert made.net + made.tax == made.total
    assert all(Fraction(one) * 10**decimals % 1 == 0 for one in (made.net, made.tax, made.total)), "whole coins"


@given(
    st.decimals("0.01", 5000, places=6), st.integers(0, 90), st.sampled_from((0, 2, 3)),
)  # fmt: skip
def test_the_lowest_price_on_commission_is_the_least_that_leaves_the_cost(unit: D, kept: int, decimals: int) -> None:
    share = D(kept) / 100
    floor = price.prices(unit, D(0), D(2), share, decimals=decimals).floor_on_commission
    coin = D(1).scaleb(-decimals)
    assert floor % coin == 0
    assert floor * (1 - share) >= unit, "sold for it, nothing is lost"
    assert (floor - coin) * (1 - share) < unit, "a coin less loses"


def asked(currency: str, **more: Any) -> Any:
    """A ring that takes 24 minutes; nine of ten pass and one of twenty is done again."""
    gate = {"hand_min": 24, "material": 3.3, "kiln": 0.21, "passed_percent": 90, "again_percent": 5}
    told = {"currency": currency, "wage": 19.5, "overhead": 7, "gates": [gate], "reused_percent": 40,
            "recovered": 0.8, "profit_percent": 22, "retail_factor": 2.2, "commission_percent": 42,
            "fees_percent": 3.5, "fixed": 610}  # fmt: skip
    return question("price").ask({**told, **more}).payload


@pytest.mark.parametrize(("currency", "decimals"), [("JPY", 0), ("EUR", 2), ("KWD", 3)])
def test_cost_and_channels_in_fractions(currency: str, decimals: int) -> None:
    told = asked(currency)
    visits = 1 / Fraction("0.95")
    good = visits * Fraction("0.9")
    hours = visits * 24 / good / 60
    material = (Fraction("3.3") + (visits - 1) * Fraction("3.3") * Fraction("0.4")) / good
    parts = {
        "material": material, "own hours": Fraction("19.5") * hours, "kiln": visits * Fraction("0.21") / good,
        "overhead": 7 * hours, "got back as scrap": -Fraction("0.8") * (1 / good - 1),
    }  # fmt: skip
    unit = sum(parts.values())
    assert {one.what: one.exact for one in told.parts} == {name: f"{float(one):.6f}" for name, one in parts.items()}
    assert float(told.cost.exact) == pytest.approx(float(unit), abs=1e-6)
    assert sum(one.share for one in told.parts) == pytest.approx(1)
    wholesale = coins(unit * Fraction("1.22"), decimals)
    retail = coins(wholesale * Fraction("2.2"), decimals)
    nets = {
        "direct": (retail, retail * Fraction("0.965")), "wholesale": (wholesale, wholesale),
        "on commission": (retail, retail * Fraction("0.58")),
    }  # fmt: skip
    variable = parts["material"] + parts["kiln"] + parts["own hours"]
    for one in told.channels:
        asked_, net = nets[one.name]
        assert Fraction(one.price.exact) == asked_
        assert float(one.net.exact) == pytest.approx(float(net), abs=1e-6)
        assert float(one.margin.exact) == pytest.approx(float(net - unit), abs=1e-6)
        count = one.break_even
        assert count is not None
        assert count * (net - variable) >= 610, "so many pay the fixed costs"
        assert (count - 1) * (net - variable) < 610, "one fewer do not"
    assert Fraction(told.floor_on_commission.exact) == Fraction(
        math.ceil(unit / Fraction("0.58") * 10**decimals), 10**decimals
    )


def test_every_per_cent_is_taken_as_it_is_written() -> None:
    """0.7 % is seven thousandths, not 0.006999999999999999: a half of a coin must not get lost."""
    for tenths in range(1001):
        told = question("price").input.from_outside(
            {"currency": "EUR", "wage": 1, "gates": [{}], "tax_percent": tenths / 10}
        )  # fmt: skip
        assert money.exact(told.tax) == D(tenths) / 1000


def test_a_quote_adds_up_as_it_is_shown() -> None:
    lines = [{"what": "stud", "count": 7, "each": 12.34}, {"what": "box", "count": 3, "each": 0.99}]
    told = asked("EUR", lines=lines, tax_percent=19, discount_percent=10)
    assert [(one.what, one.shown) for one in told.bill] == [
        ("7 × stud", "€77.74"), ("3 × box", "€2.67"), ("before tax", "€80.41"), ("tax", "€15.28"), ("to pay", "€95.69"),
    ]  # fmt: skip
    told = asked("EUR", lines=lines, tax_percent=19, tax_contained=True)
    assert [one.shown for one in told.bill[2:]] == ["€75.08", "€14.27", "€89.35"]


# Sum, currency, decimals of its coins here, as written.
OTHER_COINS = [
    ("12.345", "EUR", 3, "€12.345"), ("12.5", "EUR", 0, "€13"), ("12.345", "JPY", 2, "¥12.35"),
    ("0.0005", "KWD", 3, "KWD0.001"), ("-2.345", "EUR", 2, "-€2.35"), ("1234.5", "credits", 0, "1,235 credits"),
]  # fmt: skip


@pytest.mark.parametrize(("amount", "currency", "decimals", "shown"), OTHER_COINS)
def test_coins_other_than_usual_are_written_as_they_are(amount: str, currency: str, decimals: int, shown: str) -> None:
    assert money.written(D(amount), currency, decimals) == shown


def test_what_moves_the_cost_in_fractions() -> None:
    """A fifth of the wage is a fifth of the part of own hours; of the kiln a fifth of the kiln's."""
    told = asked("EUR")
    parts = {one.what: D(one.exact) for one in told.parts}
    moves = {one.name: one for one in told.moves}
    unit = D(told.cost.exact)
    for name, part in (("wage", "own hours"), ("overhead", "overhead"), ("material", "material"), ("kiln", "kiln")):
        assert D(moves[name].high.exact) - unit == pytest.approx(parts[part] / 5, abs=D("0.000002"))
        assert unit - D(moves[name].low.exact) == pytest.approx(parts[part] / 5, abs=D("0.000002"))
    both = parts["own hours"] + parts["overhead"]
    assert D(moves["hand time"].high.exact) - unit == pytest.approx(both / 5, abs=D("0.000002"))
    widths = [abs(D(one.high.exact) - D(one.low.exact)) for one in told.moves]
    assert widths == sorted(widths, reverse=True), "what moves it most stands first"


def test_nothing_is_sold_for_nothing() -> None:
    for slip in (0, -3):
        with pytest.raises(InputError, match="is a gift"):
            asked("EUR", asked=slip)
    told = asked("EUR", asked=0.01)
    assert {one.level for one in told.channels} == {"below cost"}
    assert [one.break_even for one in told.channels] == [None] * 3


@pytest.mark.parametrize(
    ("amount", "spoken"), [("24.77", "25.0"), ("24.50", "24.5"), ("24.51", "25.0"), ("9.96", "10")]
)
def test_a_lowest_price_is_never_spoken_of_as_less(amount: str, spoken: str) -> None:
    """Rounded to a step as prices are spoken of, but upwards: sold for it, nothing is lost."""
    assert money.about(D(amount), above=True) == D(spoken) >= D(amount)
