"""What a good piece costs.

Work runs through gates (such as: shaped, fired, finished). At each gate a visit is passed with a chance p,
reworked at the same gate with a chance r, and lost otherwise. Everything is told per good piece, lost and
reworked ones included; overhead follows the minutes really worked, not those planned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from enamelwright.errors import InputError

HOUR = Decimal(60)  # minutes
ONE = Decimal(1)


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


def as_shares(parts: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Return each part over their sum; nothing when the sum is nothing."""
    whole = sum(parts.values(), Decimal(0))
    return {name: value / whole for name, value in parts.items()} if whole else {}
