"""What a cost means for the price, by way of selling, and how many must be sold to pay for what comes anyhow."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from enamelwright.errors import InputError
from enamelwright.planning.money import coins, whole_coins_above

HUNDRED = Decimal(100)


@dataclass(frozen=True)
class Channel:
    """One way of selling.

    Parameters
    ----------
    name : str
        What it is called.
    price : Decimal
        What the customer pays.
    tax : Decimal
        Contained in it.
    net : Decimal
        What is left of it for the maker.
    margin : Decimal
        `net` less the cost of the piece; negative below cost.
    """

    name: str
    price: Decimal
    tax: Decimal
    net: Decimal
    margin: Decimal


@dataclass(frozen=True)
class Prices:
    """The floor, and each channel.

    Parameters
    ----------
    floor : Decimal
        Cost of a good piece: a sale that leaves less loses.
    floor_on_commission : Decimal
        Least price in whole coins at which a seller on commission leaves the cost.
    channels : tuple of Channel
        Direct, wholesale, on commission.
    """

    floor: Decimal
    floor_on_commission: Decimal
    channels: tuple[Channel, ...]

    def channel(self, name: str) -> Channel:
        """Return a channel by name."""
        return next(one for one in self.channels if one.name == name)


def left_of(price: Decimal, share: Decimal, tax: Decimal) -> Decimal:
    """Return what a price leaves when a tax is in it and somebody keeps a share of the whole of it.

    Parameters
    ----------
    price : Decimal
        What the customer pays.
    share : Decimal
        Of the price with its tax, that is kept.
    tax : Decimal
        Share of the price before tax.

    Notes
    -----
    price / (1 + tax) - price x share, over one denominator, so that what has an exact decimal is exact.
    """
    return price * (1 - share * (1 + tax)) / (1 + tax)


def refuse_nothing_left(share: Decimal, tax: Decimal, words: str) -> None:
    """Refuse a share that somebody keeps which, with a tax in the price, leaves nothing.

    Parameters
    ----------
    share : Decimal
        Of the price with its tax.
    tax : Decimal
        Share of the price before tax.
    words : str
        What the share is called.

    Raises
    ------
    InputError
        In words.
    """
    if share * (1 + tax) >= 1:
        raise InputError(
            f"{words} of {float(share * HUNDRED):g} % and a tax of {float(tax * HUNDRED):g} % in a price leave nothing"
            " of it.",
            "Check both: the tax is told of the price before tax, the other share of the price with it.",
        )  # fmt: skip


def prices(
    unit: Decimal, profit: Decimal, factor: Decimal, commission: Decimal, fees: Decimal = Decimal(0), decimals: int = 2,
    asked: Decimal | None = None, *, tax: Decimal = Decimal(0),
) -> Prices:  # fmt: skip
    """Return prices by channel, one retail price in all of them.

    Parameters
    ----------
    unit : Decimal
        Cost of a good piece.
    profit : Decimal
        Share of the cost put on top of it.
    factor : Decimal
        Retail price over wholesale price, at least 1.
    commission, fees : Decimal
        Shares of the retail price a shop keeps, and a direct sale costs; below 1.
    decimals : int
        Of the coins prices are rounded to.
    asked : Decimal, optional
        The retail price that is asked, instead of the one that follows.
    tax : Decimal
        Share of the price before tax, contained in every price, wholesale too; whether and how much is for the person
        and their rules. A price that follows from the cost is put up by it, so that its profit is left.

    Raises
    ------
    InputError
        For shares that leave nothing, or a price that is not larger than nothing.
    """
    if tax < 0:
        raise InputError("a tax is not negative.", "20 of 100 is 0.2.", "tax")
    if not 0 <= commission < 1 or not 0 <= fees < 1:
        raise InputError("a share of the price that somebody keeps lies between 0 and 1.", "40 of 100 is 0.4.")
    if profit < -1 or factor < 1:
        raise InputError("retail is not below wholesale, and a loss is not larger than the cost.", "Check the factors.")
    if asked is not None and not asked > 0:
        raise InputError(
            "a price of nothing is a gift: no margin and no break-even can be worked out from it.",
            "Ask for more than nothing, or leave the price out to see what it should be.", "asked",
        )  # fmt: skip
    refuse_nothing_left(commission, tax, "a commission")
    refuse_nothing_left(fees, tax, "fees")
    wholesale = coins(unit * (1 + profit) * (1 + tax), decimals)
    retail = coins(asked if asked is not None else wholesale * factor, decimals)
    if asked is not None:
        wholesale = coins(asked / factor, decimals)
    kept = {"direct": (retail, fees), "wholesale": (wholesale, Decimal(0)), "on commission": (retail, commission)}

    def channel(name: str, price: Decimal, share: Decimal) -> Channel:
        net = left_of(price, share, tax)
        return Channel(name, price, price * tax / (1 + tax), net, net - unit)

    floor = unit * (1 + tax) / (1 - commission * (1 + tax))
    return Prices(unit, whole_coins_above(floor, decimals), tuple(channel(name, *one) for name, one in kept.items()))


def break_even(fixed: Decimal, net: Decimal, variable: Decimal) -> int | None:
    """Return how many pieces pay for the fixed costs; None when each sale loses and none ever do.

    Parameters
    ----------
    fixed : Decimal
        Costs that come whether anything is sold or not.
    net : Decimal
        What one sale leaves.
    variable : Decimal
        What one more piece costs.
    """
    if fixed < 0:
        raise InputError("fixed costs are not negative.", "Check them.", "fixed")
    if net <= variable:
        return 0 if fixed == 0 and net == variable else None
    return math.ceil(fixed / (net - variable))


def earned_per_hour(taken: Decimal, paid_out: Decimal, hours: Decimal) -> Decimal | None:
    """Return what one hour at the bench brought: takings less what left the till; None without hours."""
    return (taken - paid_out) / hours if hours > 0 else None
