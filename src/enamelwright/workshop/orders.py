"""Orders, who asked, what was agreed, and what was paid."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, delete, func, select

from enamelwright.records.schema.house import past_version
from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import design_row
from enamelwright.workshop.money import read_money
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio

#: States in which nothing more is owed.
OVER = ("collected", "declined", "cancelled")


def keep_customer(studio: Studio, label: str, contact: str | None = None, words: str | None = None) -> int:
    """Keep a customer and return the row.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        What the maker calls them.
    contact : str, optional
        How to reach them.
    words : str, optional
        Free words.
    """
    return studio.keep(customer_table, label=label, contact=contact, words=words)


def customer_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a customer by row or label."""
    with studio.reading() as connection:
        return named(connection, customer_table, which, "label")


def customers(studio: Studio) -> list[Row[Any]]:
    """List the customers by label."""
    with studio.reading() as connection:
        return list(
            connection.execute(select(customer_table).where(in_use(customer_table)).order_by(customer_table.c.label))
        )


def remove_customer(studio: Studio, which: Which) -> int:
    """Remove a customer for good, with every earlier version; their orders stay, without a name.

    Returns
    -------
    int
        How many orders stay behind.
    """
    with studio.writing() as work:
        row = customer_row(studio, which)
        left = work.connection.execute(
            select(func.count()).select_from(customer_order).where(customer_order.c.customer == row.id)
        ).scalar()
        work.connection.execute(
            delete(past_version).where(past_version.c.of_table == customer_table.name, past_version.c.of_id == row.id)
        )
        work.connection.execute(delete(customer_table).where(customer_table.c.id == row.id))
        return int(left or 0)


def take_order(
    studio: Studio,
    brief: str,
    *,
    customer: Which | None = None,
    agreed: str | None = None,
    state: str = "asked",
    **more: Any,
) -> Row[Any]:
    """Take an order, give it its number and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    brief : str
        What is wanted.
    customer : int or str, optional
        Row or label.
    agreed : str, optional
        The sum agreed on.
    state : str
        ``asked``, ``offered``, ``agreed``, ``in work``, ``ready``, ``collected``, ``declined`` or ``cancelled``.
    **more
        Further columns: `options`, `approved_look`, `asked_on` (today when left out), `deposit_due_on`,
        `change_by`, `due_on`, `words`.
    """
    with studio.writing() as work:
        who = customer_row(studio, customer).id if customer is not None else None
        minor, currency = read_money(studio, agreed) if agreed is not None else (None, None)
        more.setdefault("asked_on", studio.today())
        row = studio.keep(
            customer_order, number=work.number("order", studio.today().year), customer=who, brief=brief,
            agreed_minor=minor, currency=currency, state=state, **more,
        )  # fmt: skip
        return work.one(customer_order, row)


def order_row(studio: Studio, which: Which) -> Row[Any]:
    """Return an order by row or number."""
    with studio.reading() as connection:
        return named(connection, customer_order, which, "number", kind="order")


def change_order(studio: Studio, which: Which, version: int | None = None, **changes: Any) -> int:
    """Change an order and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or number.
    version : int, optional
        The version that was shown when the change was made.
    **changes
        Columns of an order; `agreed` is a sum as written.
    """
    with studio.writing():
        if "agreed" in changes:
            changes["agreed_minor"], changes["currency"] = read_money(studio, changes.pop("agreed"))
        return studio.change(customer_order, order_row(studio, which).id, version, **changes)


def add_line(
    studio: Studio,
    order: Which,
    what: str | None = None,
    *,
    design: Which | None = None,
    count: int = 1,
    each: str | None = None,
) -> int:
    """Add a line to an order and return its row; pieces are started for it.

    Parameters
    ----------
    studio : Studio
        The studio.
    order : int or str
        Row or number.
    what : str, optional
        What is ordered, when it is no design.
    design : int or str, optional
        Row or name of a design.
    count : int
        How many.
    each : str, optional
        Price of one.
    """
    with studio.writing():
        row = order_row(studio, order)
        wanted = design_row(studio, design).id if design is not None else None
        minor = read_money(studio, each)[0] if each is not None else None
        return studio.keep(order_line, customer_order=row.id, design=wanted, what=what, count=count, each_minor=minor)


def lines_of(studio: Studio, order: Which) -> list[Row[Any]]:
    """List the lines of an order."""
    with studio.reading() as connection:
        row = order_row(studio, order)
        return list(
            connection.execute(
                select(order_line)
                .where(order_line.c.customer_order == row.id, in_use(order_line))
                .order_by(order_line.c.id)
            )
        )


def pay(
    studio: Studio,
    kind: str,
    money: str,
    *,
    order: Which | None = None,
    piece: Which | None = None,
    how: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a payment and return its row; a refund is written as a sum, and counts against what was paid.

    Parameters
    ----------
    studio : Studio
        The studio.
    kind : str
        ``deposit``, ``balance``, ``sale``, ``class`` or ``refund``.
    money : str
        The sum.
    order : int or str, optional
        Row or number of the order.
    piece : int or str, optional
        The piece that was sold.
    how : str, optional
        Cash, card ...
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        minor, currency = read_money(studio, money)
        paid_for = order_row(studio, order).id if order is not None else None
        sold = piece_row(studio, piece).id if piece is not None else None
        return studio.add(
            payment, kind=kind, minor=minor, currency=currency, customer_order=paid_for, piece=sold, how=how, at=at,
            words=words,
        )  # fmt: skip


def paid(studio: Studio, order: Which) -> int:
    """Return what was paid on an order, refunds taken off, in the smallest coin."""
    with studio.reading() as connection:
        row = order_row(studio, order)
        rows = connection.execute(current(payment).where(payment.c.customer_order == row.id))
        return sum(-entry.minor if entry.kind == "refund" else entry.minor for entry in rows)


def open_orders(studio: Studio) -> list[Row[Any]]:
    """List the orders that are not over, the first due first; `customer_label` is who asked."""
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(customer_order, customer_table.c.label.label("customer_label"))
                .outerjoin(customer_table, customer_table.c.id == customer_order.c.customer)
                .where(customer_order.c.state.not_in(OVER), in_use(customer_order))
                .order_by(customer_order.c.due_on.is_(None), customer_order.c.due_on, customer_order.c.number)
            )
        )
