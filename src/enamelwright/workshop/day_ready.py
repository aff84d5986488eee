"""When an order is ready by the plan that is kept."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select

from enamelwright.planning.day.dates import read_date, read_hours
from enamelwright.planning.day.rates import TICK
from enamelwright.records.schema.orders import customer_order
from enamelwright.records.schema.people import customer
from enamelwright.workshop.day_kept import KeptPlan, clock
from enamelwright.workshop.day_late import over_words
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class Ready:
    """When an order is ready by the plan.

    Parameters
    ----------
    words : str
        The moment as it is spoken, like ``Mon 30 Nov, 10:00``.
    late : str
        By how much that is late; empty when it is not, or no date is wanted.
    over : bool
        Whether that moment has passed and pieces are still in work.
    """

    words: str
    late: str
    over: bool


def ready_of(
    studio: Studio, plan: KeptPlan | None, order: str, due: str = "", gone: Collection[str] = ()
) -> Ready | None:
    """Return when the last piece of an order is through by the plan; None when the plan has none of it.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan or None
        The plan that is kept.
    order : str
        Number of the order.
    due : str
        Date it is wanted by; empty for none. It is kept by the end of that day's work.
    gone : collection of str
        Numbers of pieces that are no longer in work.
    """
    if plan is None:
        return None
    mine = {name for name, about in plan.content["pieces"].items()
            if about["order"] == order and about["number"] not in gone}  # fmt: skip
    ends = [block.end for block in plan.every if mine.intersection(block.pieces)]
    if not ends:
        return None
    end = max(ends)
    at = datetime.fromisoformat(end)
    words = f"{at:%a} {at.day} {at:%b}, {at:%H:%M}"
    over = (at - _kept_by(plan, due)).total_seconds() if due else 0.0
    return Ready(words, over_words(over) if over > 0 else "", clock(end) < studio.clock())


def orders_called(studio: Studio, plan: KeptPlan) -> dict[str, str]:
    """Return for whom the orders of a plan are, by number; those of nobody named are left out.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan.
    """
    numbers = {about["order"] for about in plan.content["pieces"].values() if about["order"]}
    rows = select(customer_order.c.number, customer.c.label).join(customer, customer.c.id == customer_order.c.customer)
    with studio.reading() as connection:
        found = connection.execute(rows.where(customer_order.c.number.in_(numbers)))
        return {str(one.number): str(one.label) for one in found if one.label}


def _kept_by(plan: KeptPlan, due: str) -> datetime:
    """Return the end of the work of a day."""
    last = max(end for _, end in map(read_hours, plan.content["hours"]))
    return datetime.combine(read_date(due[:10]), datetime.min.time()) + timedelta(seconds=last * TICK)
