"""What the plan needs of each jar and metal, what is short before the day starts, and when to buy how much.

Demand is exploded from the plan: pieces started, area, coats, powder per area, loss. Forecasting is for the
unplanned rest only.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from enamelwright.errors import InputError

#: Uses beyond this are no slow mover.
MOST_USES = 10_000


def powder_for(pieces: int, area: float, coats: int, per_area: float, loss: float) -> float:
    """Return the powder to weigh out for one colour of a series [kg].

    Parameters
    ----------
    pieces : int
        Started, not wanted: spoilt ones eat powder too.
    area : float
        Of one piece [m2].
    coats : int
        Layings.
    per_area : float
        Powder of one coat on the piece [kg/m2].
    loss : float
        Share that misses the piece and is not used again, 0 to below 1.

    Raises
    ------
    InputError
        For a number that cannot be.
    """
    if pieces < 0 or coats < 0:
        raise InputError("pieces and coats are not negative.", "Give whole numbers.")
    if not (math.isfinite(area) and area >= 0 and math.isfinite(per_area) and per_area >= 0):
        raise InputError("area and powder per area are not negative.", "Check the units.")
    if not 0 <= loss < 1:
        raise InputError("a loss of everything leaves no coat.", "15 of 100 grams lost is 0.15.", "loss")
    return pieces * area * coats * per_area / (1 - loss)


@dataclass(frozen=True)
class Batch:
    """One lot on the shelf.

    Parameters
    ----------
    label : str
        The lot's label.
    amount : float
        What is left [kg]; negative when more was written off than was there.
    use_by, bought : date, optional
        When it should be used up, and when it came.
    """

    label: str
    amount: float
    use_by: date | None = None
    bought: date | None = None


@dataclass(frozen=True)
class Issue:
    """What a plan takes of one jar.

    Parameters
    ----------
    need, there, short : float
        Wanted, on the shelf and still good, and missing [kg].
    take : tuple of (str, float)
        From which lot how much [kg], in this order.
    expired : tuple of str
        Lots past their date, which are not counted.
    owed : tuple of str
        Lots that stand below nothing: their record is wrong and wants a count.
    """

    need: float
    there: float
    short: float
    take: tuple[tuple[str, float], ...]
    expired: tuple[str, ...] = ()
    owed: tuple[str, ...] = ()


def issue(need: float, lots: Sequence[Batch], today: date | None = None) -> Issue:
    """Take what is needed from the lots that expire first, then from those that came first.

    Parameters
    ----------
    need : float
        [kg].
    lots : sequence of Batch
        Of one jar.
    today : date, optional
        Lots whose date has passed are left standing.
    """
    if not (math.isfinite(need) and need >= 0):
        raise InputError("a need is not negative.", "Check the amounts.")
    good = [lot for lot in lots if not (today is not None and lot.use_by is not None and lot.use_by < today)]
    ordered = sorted(good, key=lambda lot: (lot.use_by or date.max, lot.bought or date.max, lot.label))
    left, take = need, []
    for lot in ordered:
        part = min(left, max(lot.amount, 0.0))
        if part > 0:
            take.append((lot.label, part))
            left -= part
    there = sum(max(lot.amount, 0.0) for lot in good)
    return Issue(
        need, there, max(need - there, 0.0), tuple(take),
        tuple(lot.label for lot in lots if lot not in good), tuple(lot.label for lot in lots if lot.amount < 0),
    )  # fmt: skip


def reorder_level(rate: float, spread: float, lead: float, service: float, lead_spread: float = 0.0) -> float:
    """Return the level at which to buy again, demand being about normal.

    Parameters
    ----------
    rate, spread : float
        Mean and standard deviation of the use per unit of time.
    lead : float
        Mean time from ordering to arrival, in the same unit of time.
    service : float
        Chance of not running out before it arrives, 0 to 1.
    lead_spread : float
        Standard deviation of the lead time.

    Notes
    -----
    s = d L + z sqrt(L sd^2 + d^2 sd_L^2): E. A. Silver, D. F. Pyke & R. Peterson, Inventory Management and
    Production Planning and Scheduling, 3rd ed. (1998), section 7.10 (from memory, verify).
    """
    from scipy.special import ndtri

    _service(service)
    if min(rate, spread, lead, lead_spread) < 0:
        raise InputError("use, lead time and their spread are not negative.", "Check them.")
    return rate * lead + float(ndtri(service)) * math.sqrt(lead * spread**2 + rate**2 * lead_spread**2)


def reorder_slow(mean: float, service: float) -> int:
    """Return the smallest stock that suffices through the lead time for something used rarely.

    Parameters
    ----------
    mean : float
        Uses to expect in the lead time (Poisson).
    service : float
        Chance of not running out, 0 to 1.
    """
    from scipy.special import pdtr

    _service(service)
    if not (math.isfinite(mean) and 0 <= mean <= MOST_USES):
        raise InputError("the use in the lead time is not negative.", "Check it.")
    stock = 0
    while mean > 0 and float(pdtr(stock, mean)) < service:
        stock += 1
    return stock


def reorder_few(uses: int, over: float, lead: float, service: float) -> int:
    """Return the smallest stock that suffices through the lead time when only a few uses are on record.

    Parameters
    ----------
    uses : int
        Uses on record.
    over : float
        Time they were seen in.
    lead : float
        Lead time, in the same unit.
    service : float
        Chance of not running out, 0 to 1.

    Notes
    -----
    The rate is uncertain, Gamma(1/2 + uses, over), so the uses to come are negative binomial.
    """
    from scipy.special import betainc

    _service(service)
    if not 0 <= uses <= MOST_USES or not over > 0 or not 0 <= lead <= over * MOST_USES:
        raise InputError("uses, the time they were seen in and the lead time are not negative.", "Check them.")
    stock, share = 0, over / (over + lead)
    while lead > 0 and stock < MOST_USES and float(betainc(uses + 1 / 2, stock + 1, share)) < service:
        stock += 1
    return stock


def order_size(per_year: float, order_cost: float, holding: float) -> float:
    """Return the order that costs least in the long run.

    Parameters
    ----------
    per_year : float
        Use per year.
    order_cost : float
        Cost of one order, whatever its size.
    holding : float
        Cost of holding one unit for a year.

    Notes
    -----
    sqrt(2 D K / h): F. W. Harris, Factory 10 (1913) 135 (from memory, verify).
    """
    if per_year < 0 or order_cost < 0 or not holding > 0:
        raise InputError("use and costs are not negative, and holding costs something.", "Check them.")
    return math.sqrt(2 * per_year * order_cost / holding)


def average_cost(lots: Sequence[tuple[float, float]]) -> float | None:
    """Return the moving average of (amount, cost in all) of what was bought, per unit; None without any.

    Precious metal is priced by its own lot instead.
    """
    amount = sum(one for one, _ in lots)
    return sum(cost for _, cost in lots) / amount if amount > 0 else None


def added_up(needs: Sequence[tuple[str, float]]) -> Mapping[str, float]:
    """Add the needs of each jar, in the order first told."""
    found: dict[str, float] = {}
    for jar, amount in needs:
        found[jar] = found.get(jar, 0.0) + amount
    return found


def _service(service: float) -> None:
    if not 0 < service < 1:
        raise InputError("a chance of not running out lies between 0 and 1.", "19 in 20 is 0.95.", "service")
