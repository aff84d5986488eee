"""A quote or an invoice in figures: lines, the tax in them or on top, and rounding that adds up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from enamelwright.errors import InputError
from enamelwright.planning.money import coins


@dataclass(frozen=True)
class Bill:
    """A quote or an invoice in figures.

    Parameters
    ----------
    lines : tuple of (str, int, Decimal, Decimal)
        What, how many, for how much each, and together.
    net, tax, total : Decimal
        In whole coins; the first two together are the third.
    rounding : str
        The rule, to be printed with it.
    """

    lines: tuple[tuple[str, int, Decimal, Decimal], ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    rounding: str = "each line is rounded to whole coins, halves up; tax is reckoned from the sum and rounded once"


def bill(
    lines: Sequence[tuple[str, int, Decimal]],
    decimals: int,
    tax: Decimal = Decimal(0),
    discount: Decimal = Decimal(0),
    *,
    contained: bool = False,
) -> Bill:
    """Add up a quote or an invoice.

    Parameters
    ----------
    lines : sequence of (str, int, Decimal)
        What, how many, and the price of one.
    decimals : int
        Of the coins.
    tax : Decimal
        Share of the price before tax; whether and how much is for the person and their rules.
    discount : Decimal
        Share taken off every line.
    contained : bool
        Whether the prices have the tax in them already; else it is put on top.

    Notes
    -----
    On top: tax = sum x share. Contained: tax = sum x share / (1 + share), and what is left is the price before tax.
    """
    if not 0 <= discount <= 1 or tax < 0 or any(count < 0 for _, count, _ in lines):
        raise InputError("a discount is a share of one; tax and counts are not negative.", "Check them.")
    done = [(what, count, each, coins(each * count * (1 - discount), decimals)) for what, count, each in lines]
    whole = sum((line[3] for line in done), Decimal(0))
    if contained:
        taxed = coins(whole * tax / (1 + tax), decimals)
        return Bill(tuple(done), whole - taxed, taxed, whole)
    taxed = coins(whole * tax, decimals)
    return Bill(tuple(done), whole, taxed, whole + taxed)
