"""Orders that were handed over and are not paid: what is made for them is over, what is owed is not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, case, func, select

from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import in_use
from enamelwright.workshop.orders import currency_of
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class Owing:
    """An order that was collected with something still to pay.

    Parameters
    ----------
    order : Row
        The order; `customer_label` is who asked.
    minor : int
        What is still to pay, in the smallest coin.
    currency : str
        Of the order.
    """

    order: Row[Any]
    minor: int
    currency: str


def owing(studio: Studio) -> tuple[Owing, ...]:
    """List the orders that were collected and are not paid, the longest collected first.

    What is owed is the sum agreed on, else what the lines come to when all of them have a price, less what was paid:
    the same as :func:`orders.owed` says of each.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    o, line = customer_order.c, order_line.c
    collected = select(o.id).where(o.state == "collected", in_use(customer_order))
    coins = current(payment, payment.c.customer_order, payment.c.kind, payment.c.minor)
    coins_of = coins.where(payment.c.customer_order.in_(collected)).subquery()
    came = case((coins_of.c.kind == "refund", -coins_of.c.minor), else_=coins_of.c.minor)
    got = (
        select(coins_of.c.customer_order, func.sum(came).label("minor")).group_by(coins_of.c.customer_order).subquery()
    )
    count = case((line["count"] == 0, 1), else_=func.coalesce(line["count"], 1))
    unpriced = func.sum(case((line.each_minor.is_(None), 1), else_=0)).label("open")
    priced = select(line.customer_order, func.sum(line.each_minor * count).label("minor"), unpriced)
    of_collected = priced.where(line.customer_order.in_(collected), in_use(order_line))
    lines = of_collected.group_by(line.customer_order).subquery()
    whole = func.coalesce(o.agreed_minor, case((lines.c.open == 0, lines.c.minor)))
    left = (whole - func.coalesce(got.c.minor, 0)).label("left_minor")
    rows = (
        select(customer_order, customer_table.c.label.label("customer_label"), left)
        .outerjoin(customer_table, customer_table.c.id == o.customer)
        .outerjoin(got, got.c.customer_order == o.id)
        .outerjoin(lines, lines.c.customer_order == o.id)
        .where(o.id.in_(collected), left > 0)
        .order_by(o.collected_on, o.number)
    )
    with studio.reading() as connection:
        found = list(connection.execute(rows))
        return tuple(Owing(row, int(row.left_minor), currency_of(studio, row)) for row in found)
