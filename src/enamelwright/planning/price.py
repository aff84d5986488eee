"""What a good piece costs, what that means for its price, and what moves it.

Work runs through gates (such as: shaped, fired, finished). At each gate a visit is passed with a chance p,
reworked at the same gate with a chance r, and lost otherwise. Everything is told per good piece, lost and
reworked ones included; overhead follows the minutes really worked, not those planned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from enamelwright.errors import InputError
from enamelwright.planning.money import coins, whole_coins_above

HOUR = Decimal(60)  # minutes
ONE = Decimal(1)
HUNDRED = Decimal(100)


@dataclass(frozen=True)
class Gate:
    """One stage of the work on a piece.

    Parameters
    ----------
    minutes : Decimal
        Hand time of one visit.
    material, kiln : Decimal
        Cost of the first visit's material, and of the kiln at each visit.
    passed, again : Decimal
        Chances that a visit is passed, and that it is done again; what is left is lost.
    name : str
        What it is called.
    """

    minutes: Decimal
    material: Decimal
    kiln: Decimal
    passed: Decimal
    again: Decimal
    name: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        where = f"gate {self.name}" if self.name else "gate"
        if min(self.minutes, self.material, self.kiln) < 0:
            raise InputError("minutes and costs are not negative.", "Check them.", where)
        if not 0 < self.passed <= 1 or not 0 <= self.again < 1 or self.passed + self.again > 1:
            raise InputError(
                "the chances to pass and to do it again are shares of one, and something must pass.",
                "94 of 100 passed and 4 done again are 0.94 and 0.04.", where,
            )  # fmt: skip


@dataclass(frozen=True)
class Rates:
    """What an hour and a lost piece are worth.

    Parameters
    ----------
    wage, overhead : Decimal
        For one hour of hand work.
    reused : Decimal
        Share of a gate's material that is used again in a rework, 0 to 1.
    recovered : Decimal
        What is got back for a lost piece, as scrap.
    """

    wage: Decimal
    overhead: Decimal = Decimal(0)
    reused: Decimal = Decimal(0)
    recovered: Decimal = Decimal(0)

    def __post_init__(self) -> None:
        """Refuse what cannot be."""
        if min(self.wage, self.overhead, self.recovered) < 0 or not 0 <= self.reused <= 1:
            raise InputError("rates are not negative, and a share is at most 1.", "Check them.")


@dataclass(frozen=True)
class Cost:
    """What one good piece costs.

    Parameters
    ----------
    yield_ : Decimal
        Share of the started ones that come out good.
    visits : Decimal
        Visits of gates for each piece started.
    minutes : Decimal
        Hand time for one good piece.
    material, labour, kiln, overhead, recovery : Decimal
        For one good piece; `recovery` is taken off.
    """

    yield_: Decimal
    visits: Decimal
    minutes: Decimal
    material: Decimal
    labour: Decimal
    kiln: Decimal
    overhead: Decimal
    recovery: Decimal

    @property
    def unit(self) -> Decimal:
        """The whole cost of one good piece."""
        return self.material + self.labour + self.kiln + self.overhead - self.recovery

    @property
    def materials(self) -> Decimal:
        """What one more good piece costs when own labour is counted among what comes anyhow."""
        return self.material + self.kiln

    @property
    def variable(self) -> Decimal:
        """What one more good piece costs, own labour in it.

        Overhead is what a break-even has to earn, so it is not in here; scrap comes late and is left out.
        """
        return self.material + self.kiln + self.labour


def cost(gates: Sequence[Gate], rates: Rates) -> Cost:
    """Return what one good piece costs.

    Parameters
    ----------
    gates : sequence of Gate
        In their order, at least one.
    rates : Rates
        Wage, overhead and the like.

    Notes
    -----
    reach_1 = 1; visits v_i = reach_i / (1 - r_i); reach_(i+1) = v_i p_i; yield Y = the last reach.
    """
    if not gates:
        raise InputError("a piece with no work has no cost.", "Describe at least one gate.", "gates")
    reach, minutes, material, kiln, visited = ONE, Decimal(0), Decimal(0), Decimal(0), Decimal(0)
    for gate in gates:
        visits = reach / (1 - gate.again)
        visited += visits
        minutes += visits * gate.minutes
        kiln += visits * gate.kiln
        material += reach * gate.material + (visits - reach) * gate.material * rates.reused
        reach = visits * gate.passed
    hours = minutes / reach / HOUR
    return Cost(
        reach, visited, minutes / reach, material / reach, rates.wage * hours, kiln / reach, rates.overhead * hours,
        rates.recovered * (1 / reach - 1),
    )  # fmt: skip


def kiln_visit(
    kilowatts: Decimal, duty: Decimal, minutes: Decimal, per_kwh: Decimal, element: Decimal, life_hours: Decimal,
    pieces: int,
) -> Decimal:  # fmt: skip
    """Return what one visit of the kiln costs a piece.

    Parameters
    ----------
    kilowatts : Decimal
        Connected power [kW].
    duty : Decimal
        Share of the time the element is on, 0 to 1.
    minutes : Decimal
        The kiln is kept for one load.
    per_kwh : Decimal
        Price of a kilowatt-hour.
    element, life_hours : Decimal
        Cost of a set of elements, and the hours they last.
    pieces : int
        In the load.
    """
    if pieces < 1 or not life_hours > 0 or not 0 <= duty <= 1 or min(kilowatts, minutes, per_kwh, element) < 0:
        raise InputError("a load has pieces, elements last some hours, and costs are not negative.", "Check them.")
    hours = minutes / HOUR
    return (kilowatts * duty * hours * per_kwh + element / life_hours * hours) / pieces


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


@dataclass(frozen=True)
class Swing:
    """How far the cost of a piece moves with one of the things it is made of.

    Parameters
    ----------
    name : str
        What is moved.
    low, high : Decimal
        Cost of a good piece with it at its low and its high end.
    words : str
        By how much it is moved.
    """

    name: str
    low: Decimal
    high: Decimal
    words: str

    @property
    def width(self) -> Decimal:
        """How far apart the ends are."""
        return abs(self.high - self.low)


#: Factors are moved by a fifth, and chances to pass by five of a hundred.
SWING, POINTS = Decimal(1) / 5, Decimal(1) / 20


def swings(gates: Sequence[Gate], rates: Rates) -> tuple[Swing, ...]:
    """Return what moves the cost of a piece, the most first.

    Parameters
    ----------
    gates : sequence of Gate
        The work.
    rates : Rates
        Wage, overhead and the like.
    """
    down, up = 1 - SWING, 1 + SWING

    def gate_part(part: str, by: Decimal) -> Decimal:
        return cost([replace(gate, **{part: getattr(gate, part) * by}) for gate in gates], rates).unit

    def rate_part(part: str, by: Decimal) -> Decimal:
        return cost(gates, replace(rates, **{part: getattr(rates, part) * by})).unit

    def passing(by: Decimal) -> Decimal:
        moved = []
        for gate in gates:
            passed = min(max(gate.passed + by, POINTS), 1 - gate.again)
            moved.append(replace(gate, passed=passed))
        return cost(moved, rates).unit

    fifth = "a fifth less or more"
    found = [
        Swing("hand time", gate_part("minutes", down), gate_part("minutes", up), fifth),
        Swing("wage", rate_part("wage", down), rate_part("wage", up), fifth),
        Swing("material", gate_part("material", down), gate_part("material", up), fifth),
        Swing("overhead", rate_part("overhead", down), rate_part("overhead", up), fifth),
        Swing("kiln", gate_part("kiln", down), gate_part("kiln", up), fifth),
        Swing("pieces that pass", passing(POINTS), passing(-POINTS), "five of a hundred more or fewer at each gate"),
    ]
    return tuple(sorted(found, key=lambda one: -one.width))


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


def earned_per_hour(taken: Decimal, paid_out: Decimal, hours: Decimal) -> Decimal | None:
    """Return what one hour at the bench brought: takings less what left the till; None without hours."""
    return (taken - paid_out) / hours if hours > 0 else None


def as_shares(parts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return each part over their sum; nothing when the sum is nothing."""
    whole = sum(parts.values(), Decimal(0))
    return {name: value / whole for name, value in parts.items()} if whole else {}
