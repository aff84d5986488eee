"""What an order comes to: its lines, the tax in them, what was paid and what is still to pay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.planning.bill import Bill, bill
from enamelwright.planning.money import exact
from enamelwright.records.schema.designs import design as design_table
from enamelwright.workshop.costing import costing
from enamelwright.workshop.money import decimals_in
from enamelwright.workshop.named import Which
from enamelwright.workshop.orders import currency_of, lines_of, order_row, paid
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class OrderBill:
    """The figures of an order, in whole units of its one currency.

    Parameters
    ----------
    number, currency : str
        Of the order.
    decimals : int
        Of its coins.
    bill : Bill
        Lines, tax and total; a last line evens out what was agreed on, so that lines and total agree.
    tax : Decimal
        Share of the price before tax; 0 for none.
    lines_come_to : Decimal
        What the lines come to before the sum agreed on evens them out.
    paid, owed : Decimal
        What was paid, and what is still to pay; below nothing when too much was paid.
    """

    number: str
    currency: str
    decimals: int
    bill: Bill
    tax: Decimal
    lines_come_to: Decimal
    paid: Decimal
    owed: Decimal


def what_of(studio: Studio, lines: Sequence[Row[Any]]) -> dict[int, str]:
    """Return what each of some lines is called, by line: its design, also once that is put away, or its words."""
    asked = {int(one.design) for one in lines if one.design is not None}
    with studio.reading() as connection:
        rows = connection.execute(select(design_table.c.id, design_table.c.name).where(design_table.c.id.in_(asked)))
        names = {int(one.id): str(one.name) for one in rows}
    return {int(one.id): names.get(one.design) or str(one.what or "a piece") for one in lines}


def bill_of(studio: Studio, which: Which) -> OrderBill | None:
    """Return the figures of an order; None while neither a sum is agreed on nor every line has a price.

    Prices and the sum agreed on are what the customer pays: a tax that the house has set is in them. The sum agreed on
    is what is owed; without one, what the lines come to.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or number of the order.

    Raises
    ------
    InputError
        When no currency is known.
    """
    with studio.reading():
        row = order_row(studio, which)
        lines = lines_of(studio, row.id)
        priced = bool(lines) and all(one.each_minor is not None for one in lines)
        if row.agreed_minor is None and not priced:
            return None
        currency = currency_of(studio, row)
        if not currency:
            raise InputError("in which currency?", "Set the studio's currency once, in the bench set-up.", "currency")
        places = decimals_in(studio, currency)
        names = what_of(studio, lines)

        def whole(minor: int) -> Decimal:
            return Decimal(minor).scaleb(-places)

        agreed = None if row.agreed_minor is None else whole(int(row.agreed_minor))
        told = [(names[int(one.id)], int(one._mapping["count"] or 1), one.each_minor) for one in lines]
        each = [(what, count, whole(int(minor))) for what, count, minor in told if minor is not None]
        if not priced:
            each = [(str(row.brief or "as agreed"), 1, agreed or Decimal(0))]
        lines_come_to = bill(each, places).total
        if agreed is not None and agreed != lines_come_to:  # what was agreed on is owed, and the lines add up to it
            each.append(("as agreed", 1, agreed - lines_come_to))
        tax = exact(costing(studio).get("tax", 0.0), "share")
        made = bill(each, places, tax, contained=True)
        got = whole(paid(studio, row.id))
        return OrderBill(str(row.number), currency, places, made, tax, lines_come_to, got, made.total - got)
