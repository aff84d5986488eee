"""Whom offer and bill are made out to: name and address lines as typed, kept with the customer of an order."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import Row

from enamelwright.errors import InputError
from enamelwright.records.schema.orders import customer_order
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.workshop.named import Which
from enamelwright.workshop.orders import customers, keep_customer, order_row
from enamelwright.workshop.studio import Studio

#: Lines of an address, and signs of one, that fit the head of a paper.
MOST_LINES, LONGEST = 8, 80


@dataclass(frozen=True)
class MadeOut:
    """A customer with whom name and address are kept.

    Parameters
    ----------
    customer : int
        Row of the customer.
    version : int
        Of the customer, now.
    wrote : bool
        Whether the customer was written for it: new, or with other lines.
    order : int
        Version of the order, where the customer was put on it; 0 where that was not asked for.
    """

    customer: int
    version: int
    wrote: bool
    order: int = 0


def address_lines(text: str) -> tuple[str, ...]:
    """Read name and address as typed, one line each.

    Parameters
    ----------
    text : str
        As typed; empty for none.

    Raises
    ------
    InputError
        For more than fits the head of a paper.
    """
    lines = tuple(line.strip() for line in text.splitlines() if line.strip())
    if len(lines) > MOST_LINES:
        raise InputError(f"{len(lines)} lines are more than fit the head of a bill.", f"At most {MOST_LINES}.", "to")
    long = next((line for line in lines if len(line) > LONGEST), None)
    if long is not None:
        raise InputError(f"'{long[:20]}...' is too long for one line.", f"At most {LONGEST} signs a line.", "to")
    return lines


def recipient_of(studio: Studio, order: Which) -> tuple[str, ...]:
    """Return whom offer and bill of an order name: the lines typed, else the label of who asked, else nobody.

    Parameters
    ----------
    studio : Studio
        The studio.
    order : int or str
        Row or number.
    """
    with studio.reading():
        who = _asked_by(studio, order_row(studio, order))
    if who is None:
        return ()
    # A record from elsewhere may hold more than a form takes: the paper has room for so many lines.
    typed = [line.strip() for line in str(who.contact or "").splitlines() if line.strip()]
    return tuple(typed[:MOST_LINES]) or (str(who.label),)


def customer_for(studio: Studio, label: str, text: str) -> MadeOut | None:
    """Keep a customer by a label, with name and address lines; one that is known gets these lines.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        What the maker calls them; the first line when empty.
    text : str
        Name and address as typed, one line each; empty leaves what is kept.

    Returns
    -------
    MadeOut or None
        None when nobody is named.

    Raises
    ------
    InputError
        When only the lines are told, and another address is kept for such a name.
    """
    with studio.writing():
        lines = address_lines(text)
        called, contact = label or next(iter(lines), ""), "\n".join(lines) or None
        if not called:
            return None
        known = next((one for one in customers(studio) if one.label.casefold() == called.casefold()), None)
        if known is None:
            return MadeOut(keep_customer(studio, called, contact), 1, True)
        if contact is None or known.contact == contact:
            return MadeOut(int(known.id), int(known.version), False)
        if not label and known.contact is not None:
            raise InputError(f"another address is kept for '{known.label}'.", "Begin with a word more.", "to")
        return MadeOut(
            int(known.id), studio.change(customer_table, int(known.id), contact=contact), True
        )  # fmt: skip


def make_out_to(studio: Studio, order: Which, text: str, version: int | None = None) -> MadeOut | None:
    """Keep name and address lines with the customer of an order; all of their orders name them so.

    An order of nobody named gets a customer whose label is the first line.

    Parameters
    ----------
    studio : Studio
        The studio.
    order : int or str
        Row or number.
    text : str
        As typed, one line each; empty takes them off.
    version : int, optional
        The version of the customer that was shown when the change was made.

    Returns
    -------
    MadeOut or None
        None when there was nothing to keep and nobody to keep it with.
    """
    with studio.writing():
        row = order_row(studio, order)
        who, contact = _asked_by(studio, row), "\n".join(address_lines(text)) or None
        if who is None:
            made = customer_for(studio, "", text)
            if made is None:
                return None
            return replace(made, order=studio.change(customer_order, int(row.id), customer=made.customer))
        if who.contact == contact:
            return MadeOut(int(who.id), int(who.version), False)
        return MadeOut(int(who.id), studio.change(customer_table, int(who.id), version, contact=contact), True)


def _asked_by(studio: Studio, order: Row[Any]) -> Row[Any] | None:
    """Return the customer of an order; None when nobody is named, or they are put away."""
    return next((one for one in customers(studio) if one.id == order.customer), None)
