"""Tax that is in a price: what it leaves, the lowest price and the break-even, in exact fractions.

Sources
-------
* Tax contained in a price p at a rate t is p t / (1 + t), what is left of the price before any share p / (1 + t):
  the definition of a rate that is told of the price before tax. Sums by hand and in `fractions.Fraction`.
* Rates that taxes of sales have somewhere: numbers to reckon with, nobody's advice.
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
from enamelwright.planning import price
from enamelwright.questions.question import question

D = Decimal
F = Fraction


def near(told: Decimal, by_hand: Fraction) -> bool:
    """Whether a decimal is a fraction, to twenty digits."""
    return abs(F(told) - by_hand) < F(1, 10**20)


def test_a_price_with_tax_in_it_by_hand() -> None:
    """20 % in a price of 370.82 are 61.80; fees of 5 % leave 290.48, a commission of 40 % 160.69, below 168.56."""
    told = price.prices(D("168.56"), D("0.1"), D(2), D("0.4"), D("0.05"), asked=D("370.82"), tax=D("0.2"))
    paid = F("370.82")
    left = {
        "direct": paid / F("1.2") - paid * F("0.05"), "wholesale": paid / 2 / F("1.2"),
        "on commission": paid / F("1.2") - paid * F("0.4"),
    }  # fmt: skip
    for one in told.channels:
        assert near(one.net, left[one.name])
        assert near(one.tax, F(one.price) / 6)
        assert near(one.margin, left[one.name] - F("168.56"))
    direct, wholesale, commission = (told.channel(name) for name in left)
    assert (round(direct.net, 2), round(commission.net, 2)) == (D("290.48"), D("160.69"))
    assert (round(direct.tax, 2), round(wholesale.tax, 2)) == (D("61.80"), D("30.90"))
    assert commission.margin < 0 < direct.margin
    floor = F("168.56") / (1 / F("1.2") - F("0.4"))
    assert F(told.floor_on_commission) == F(math.ceil(floor * 100), 100) == F("388.99"), "388.9846 and not a coin less"


@given(
    st.decimals("0.01", 5000, places=6), st.integers(0, 49), st.integers(0, 49),
    st.sampled_from(["0", "0.055", "0.077", "0.19", "0.2", "0.25", "1"]), st.sampled_from((0, 2, 3)),
    st.none() | st.integers(1, 9000),
)  # fmt: skip
def test_price_less_tax_less_share_is_left(
    unit: D, kept: int, fees: int, rate: str, decimals: int, asked: int | None
) -> None:
    told = price.prices(
        unit, D("0.25"), D("2.2"), D(kept) / 100, D(fees) / 100, decimals, None if asked is None else D(asked),
        tax=D(rate),
    )  # fmt: skip
    shares = {"direct": F(fees, 100), "wholesale": F(0), "on commission": F(kept, 100)}
    for one in told.channels:
        paid = F(one.price)
        assert near(one.tax, paid - paid / (1 + F(rate)))
        assert near(one.net, paid / (1 + F(rate)) - paid * shares[one.name])
    coin = F(1, 10**decimals)
    floor = F(told.floor_on_commission)
    assert floor % coin == 0
    leaves = 1 / (1 + F(rate)) - F(kept, 100)
    assert floor * leaves >= F(unit) > (floor - coin) * leaves, "sold for it nothing is lost, for a coin less it is"


def test_a_price_that_is_worked_out_leaves_its_profit_after_tax() -> None:
    """Cost 100, a quarter on top: 125, and 150 with the tax of a fifth in it; retail twice that."""
    told = price.prices(D(100), D("0.25"), D(2), D("0.4"), tax=D("0.2"))
    assert (told.channel("wholesale").price, told.channel("wholesale").net) == (D(150), D(125))
    assert (told.channel("direct").price, told.channel("direct").net) == (D(300), D(250))
    assert told.channel("on commission").net == 130


@pytest.mark.parametrize(
    ("commission", "fees", "tax", "named"),
    [("0.5", "0", "1", "commission"), ("0.85", "0", "0.2", "commission"), ("0.1", "0.9", "0.2", "fees")],
)
def test_tax_and_a_share_that_leave_nothing_are_refused(commission: str, fees: str, tax: str, named: str) -> None:
    with pytest.raises(InputError, match=f"{named}.*tax.*leave nothing"):
        price.prices(D(10), D(0), D(2), D(commission), D(fees), tax=D(tax))
    with pytest.raises(InputError, match="tax"):
        price.prices(D(10), D(0), D(2), D(0), tax=D("-0.1"))


def asked(**more: Any) -> Any:
    """A piece of 168.56, 12 of them overhead."""
    told = {"currency": "EUR", "wage": 60, "overhead": 6, "gates": [{"hand_min": 120, "material": 36.56}],
            "commission_percent": 40, "fees_percent": 5, "asked": 370.82, "fixed": 3000}  # fmt: skip
    return question("price").ask({**told, **more})


def test_the_question_takes_the_tax_out_of_what_is_left() -> None:
    told = asked(tax_percent=20)
    assert told.payload.cost.shown == "€168.56"
    channels = {one.name: one for one in told.payload.channels}
    direct, commission = channels["direct"], channels["on commission"]
    assert [one.shown for one in (direct.price, direct.tax, direct.net)] == ["€370.82", "€61.80", "€290.48"]
    assert (commission.net.shown, commission.level) == ("€160.69", "below cost")
    assert told.payload.floor_on_commission.shown == "€388.99"
    variable = F("168.56") - 12  # overhead is what the break-even has to earn
    for one, share in ((direct, F("0.05")), (channels["wholesale"], F(0)), (commission, F("0.4"))):
        net = F(one.price.exact) * (1 / F("1.2") - share)
        assert one.break_even == (math.ceil(3000 / (net - variable)) if net > variable else None)
    assert any("tax 20 %" in one and "your own rules" in one for one in told.assumptions)
    assert told.payload.tax in told.assumptions
    assert any("overhead" in one and "fixed costs" in one for one in told.because)


def test_without_tax_or_with_it_on_top_the_whole_price_is_shared() -> None:
    for more in ({}, {"tax_percent": 20, "tax_contained": False}):
        told = asked(**more)
        direct = told.payload.channels[0]
        assert (direct.tax.shown, direct.net.shown) == ("€0.00", "€352.28")
        assert told.payload.floor_on_commission.shown == "€280.94"
        assert any("tax" in one for one in told.assumptions)
    assert not any("overhead" in one for one in asked(overhead=0).because)
    assert not any("overhead" in one for one in asked(fixed=0).because)


def test_the_question_refuses_what_leaves_nothing() -> None:
    with pytest.raises(InputError, match="leave nothing"):
        asked(tax_percent=100, commission_percent=50)
