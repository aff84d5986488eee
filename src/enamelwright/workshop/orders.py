"""Orders, who asked, what was agreed, and what was paid."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, delete, func, select

from enamelwright.errors import InputError
from enamelwright.records.schema.house import past_version
from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import design_row
from enamelwright.workshop.money import read_money, show_money
from enamelwright.workshop.named import Which, in_use, named, within
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.settings import CURRENCY, setting
from enamelwright.workshop.studio import Studio

#: Pieces of one line of an order, at most.
MOST_ORDERED = 1000
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
        Name and address lines for offers and bills, as typed, or how to reach them.
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
        minor, currency = None, str(setting(studio, CURRENCY, "")) or None
        if agreed is not None:
            minor, currency = read_money(studio, agreed)
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
        Columns of an order; `agreed` is a sum as written, None to take it off.

    Raises
    ------
    InputError
        For a sum in another currency than that of its lines or payments.
    """
    with studio.writing():
        row = order_row(studio, which)
        if "agreed" in changes:
            agreed = changes.pop("agreed")
            changes["agreed_minor"] = None
            if agreed is not None:
                changes["agreed_minor"], currency = read_money(studio, agreed)
                changes["currency"] = currency
                if _first_paid(studio, row.id) is not None or _priced(studio, row.id):
                    one_currency(studio, row, currency)
        return studio.change(customer_order, row.id, version, **changes)


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
        if not 1 <= count <= MOST_ORDERED:
            raise InputError(f"{count} pieces are not ordered on one line.", f"Between 1 and {MOST_ORDERED}.", "count")
        minor = None
        if each is not None:
            minor, currency = read_money(studio, each)
            one_currency(studio, row, currency)
            # a line has no currency of its own: its order says it, and no Undo of that order may say another one
            if row.currency != currency or _currency_before(studio, row) != currency:
                studio.change(customer_order, row.id, currency=currency)
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
        return pay_coins(studio, kind, minor, currency, order=order, piece=piece, how=how, at=at, words=words)


def pay_coins(
    studio: Studio,
    kind: str,
    minor: int,
    currency: str,
    *,
    order: Which | None = None,
    piece: Which | None = None,
    how: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a payment told in the smallest coin, as :func:`pay` does.

    Raises
    ------
    InputError
        For another currency than the order's, or more given back than was paid.
    """
    with studio.writing():
        row = order_row(studio, order) if order is not None else None
        if row is not None:
            one_currency(studio, row, currency)
            if kind == "refund" and minor > (got := paid(studio, row.id)):
                raise InputError(
                    f"{show_money(studio, got, currency)} was paid on this order; more cannot go back.",
                    "Check the sum.", "money",
                )  # fmt: skip
        sold = piece_row(studio, piece).id if piece is not None else None
        return studio.add(
            payment, kind=kind, minor=minor, currency=currency, customer_order=row.id if row is not None else None,
            piece=sold, how=how, at=at, words=words,
        )  # fmt: skip


def currency_of(studio: Studio, row: Row[Any]) -> str:
    """Return the one currency of an order: of the sum agreed and its lines, else of what was paid first.

    While there is no sum on it, it goes along with what the house counts in, which may be nothing yet.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        The order.
    """
    with studio.reading():
        if row.currency and (row.agreed_minor is not None or _priced(studio, row.id)):
            return str(row.currency)
        paid_first = _first_paid(studio, row.id)
        return str(paid_first.currency if paid_first is not None else setting(studio, CURRENCY, ""))


def _priced(studio: Studio, order: int) -> bool:
    """Tell whether a line of an order has a price."""
    return any(one.each_minor is not None for one in lines_of(studio, order))


def _currency_before(studio: Studio, row: Row[Any]) -> str | None:
    """Return what an order was counted in one version before; as now when it has no earlier one."""
    with studio.reading() as connection:
        fields = connection.execute(
            select(past_version.c.fields)
            .where(past_version.c.of_table == customer_order.name, past_version.c.of_id == row.id)
            .order_by(past_version.c.version.desc())
            .limit(1)
        ).scalar()
    return str(fields["currency"] or "") if fields is not None else row.currency


def _first_paid(studio: Studio, order: int) -> Row[Any] | None:
    """Return what was paid first on an order; None while nothing was."""
    with studio.reading() as connection:
        first = current(payment).where(payment.c.customer_order == order).order_by(payment.c.id).limit(1)
        return connection.execute(first).one_or_none()


def one_currency(studio: Studio, row: Row[Any], currency: str) -> None:
    """Refuse a sum in another currency than the order's: its sums are added up.

    Raises
    ------
    InputError
        With what to do.
    """
    own = currency_of(studio, row)
    if own and currency != own:
        raise InputError(
            f"order {row.number} is counted in {own}, not in {currency}.", f"Write what it is worth in {own}.", "money"
        )


def paid(studio: Studio, order: Which) -> int:
    """Return what was paid on an order, refunds taken off, in the smallest coin."""
    with studio.reading() as connection:
        row = order_row(studio, order)
        rows = connection.execute(current(payment).where(payment.c.customer_order == row.id))
        return sum(-entry.minor if entry.kind == "refund" else entry.minor for entry in rows)


def owed(studio: Studio, order: Which) -> int | None:
    """Return what is still to be paid on an order in the smallest coin, below nothing when too much was paid.

    None when no sum was agreed and no line has a price.
    """
    with studio.reading():
        row = order_row(studio, order)
        whole = row.agreed_minor if row.agreed_minor is not None else lines_sum(lines_of(studio, row.id))
        return None if whole is None else int(whole) - paid(studio, row.id)


def lines_sum(lines: Sequence[Row[Any]]) -> int | None:
    """Return what the lines of an order come to in the smallest coin; None when one of them has no price."""
    if not lines or any(row.each_minor is None for row in lines):
        return None
    return sum(int(row.each_minor) * int(row._mapping["count"] or 1) for row in lines)


def pieces_for(studio: Studio, lines: Sequence[int]) -> dict[int, list[Row[Any]]]:
    """Return the pieces begun for some lines of orders, by line, in the order of their numbers.

    Parameters
    ----------
    studio : Studio
        The studio.
    lines : sequence of int
        Rows.
    """
    found: dict[int, list[Row[Any]]] = {line: [] for line in lines}
    with studio.reading() as connection:
        rows = select(piece_table).where(within(piece_table.c.order_line, lines), in_use(piece_table))
        for row in connection.execute(rows.order_by(piece_table.c.number)):
            found[int(row.order_line)].append(row)
    return found


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
