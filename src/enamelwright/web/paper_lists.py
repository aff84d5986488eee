"""Lists of finished pieces for paper: a fair's packing list, what is left with a seller, what came back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Row

from enamelwright import units
from enamelwright.cards import lists
from enamelwright.errors import InputError
from enamelwright.web import moments
from enamelwright.web.papers import MOST, Sheet
from enamelwright.workshop import bills, listing, metal_needs, orders, outlets, selling, stock_plan
from enamelwright.workshop.jars import jars
from enamelwright.workshop.money import added, show_money, show_sums
from enamelwright.workshop.outlets import There
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.recipients import recipient_of
from enamelwright.workshop.settings import INVENTED, NAME, setting
from enamelwright.workshop.studio import Studio

_HUNDRED = 100
#: How a sheet calls what became of a piece, by the box that is crossed.
_BECAME = {outlets.BACK: "returned", outlets.SOLD: "sold", outlets.MISSING: "missing"}


def packing(studio: Studio, numbers: Sequence[str], outlet: str = "") -> Sheet:
    """Gather what is packed for a fair: one line a piece, a box for packed, sold and back.

    Parameters
    ----------
    studio : Studio
        The studio.
    numbers : sequence of str
        Of the pieces; those at the outlet when empty.
    outlet : str
        Row of the fair; empty for none named.
    """
    there = _outlet(studio, outlet) if outlet else None
    found = _named(studio, numbers, there) if numbers else _at(studio, there)
    listed = lists.Listed(
        "Packing list", there.name if there is not None else "", ("number", "what", "price"),
        lists.lists([_cells(studio, one) for one in found]), ("packed", "sold", "back"),
        ((f"{_many(found)} together", _sum(studio, found)),), sums_of=(2,),
        lines=(
            "Packed: ticked when it is in the box. Back: ticked when it is home again; what is neither sold nor back "
            "is looked for the same evening.",
        ),
    )  # fmt: skip
    return _sheet(studio, listed, f"Packing list {there.name}" if there is not None else "Packing list")


def consignment(studio: Studio, outlet: str) -> Sheet:
    """Gather what is left with a seller on commission, with what is left of each price for the maker.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : str
        Row of the seller.
    """
    there = _outlet(studio, outlet)
    found = _at(studio, there)
    share = there.commission
    mine = [] if share is None else [
        (selling.for_the_maker(one.minor, share), one.currency) for one in found if one.minor is not None
    ]  # fmt: skip
    kept = "" if share is None else f"The seller keeps {share * _HUNDRED:g} % of the price of what is sold."
    lines = (
        kept or "What the seller keeps of a price: ______ %.",
        "The pieces stay the maker's until they are paid for. Prices are those the customer pays.",
        "Settled on: ______________   Returned not later than: ______________",
        "Who answers for loss and damage, and by which rules: ____________________________________",
    )
    sums = [(f"{_many(found)}, prices together", _sum(studio, found))]
    if share is not None:
        sums.append(("for the maker when all are sold", show_sums(studio, added(mine))))
    rows = [(*_cells(studio, one), _mine(studio, one.minor, one.currency, share)) for one in found]
    listed = lists.Listed(
        "Left on commission", f"{there.name}, {moments.day(studio.today().isoformat())}",
        ("number", "what", "price", "for the maker"), lists.lists(rows), ("seen",), tuple(sums), lines,
        ("for the maker", "for the seller"), (2, 3),
    )  # fmt: skip
    return _sheet(studio, listed, f"Commission {there.name}")


def returned(studio: Studio, outlet: str, since: str = "") -> Sheet:
    """Gather what came back from a seller, what was sold there with what is left of it, and what is still there.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : str
        Row of the seller.
    since : str
        Day from which on, as ISO 8601; since the return before when left out.
    """
    there = _outlet(studio, outlet)
    gone, here = outlets.left_since(studio, int(there.id), since), outlets.at_outlet(studio, int(there.id))
    if not gone and not here:
        raise InputError(f"nothing is at {there.name} on record.", "Move pieces there first, on Finished work.")
    found = [*gone, *here]
    if len(found) > MOST:
        raise InputError(f"this is more than {MOST} at once.", "Name a later day to count from.")
    boxes = tuple(_BECAME.values())
    rows = [
        (*_cells(studio, one), _became(one), "-" if one.mine is None else show_money(studio, one.mine, one.currency))
        for one in found
    ]
    sold = [one for one in gone if one.became == outlets.SOLD]
    back, missing = (sum(one.became == which for one in gone) for which in (outlets.BACK, outlets.MISSING))
    lost = f", {missing} missing" if missing else ""
    sums = [(f"{back} came back, {len(here)} still there{lost}", "")] if gone else []
    if sold:
        mine = added((one.mine, one.currency) for one in sold if one.mine is not None)
        sums += [(f"{len(sold)} sold, prices together", _sum(studio, sold)), ("for the maker", show_sums(studio, mine))]
    listed = lists.Listed(
        "Return of pieces", f"from {there.name}, {moments.day(studio.today().isoformat())}",
        ("number", "what", "price", "on", "for the maker"), lists.lists(rows), boxes, tuple(sums),
        lines=("What is ticked sold is paid with this return. What is harmed is described here:", "_" * 80, "_" * 80),
        signs=("for the maker", "for the seller"), sums_of=(2, 4),
        crossed=tuple(boxes.index(_BECAME[one.became]) if one.became else None for one in found),
    )  # fmt: skip
    return _sheet(studio, listed, f"Return from {there.name}")


def order_paper(studio: Studio, number: str, what: str) -> Sheet:
    """Gather the figures of an order for the customer: an offer, or a bill with what was paid.

    Parameters
    ----------
    studio : Studio
        The studio.
    number : str
        Of the order.
    what : str
        ``offer`` or ``bill``.
    """
    row = orders.order_row(studio, number)
    told = bills.bill_of(studio, row.id)
    if told is None:
        raise InputError("this order has no sum yet.", "Agree on a sum, or give each of its lines a price.", number)

    def sum_(amount: Decimal) -> str:
        return f"{amount:.{told.decimals}f} {told.currency}"

    sums = [("together", sum_(told.bill.total))]
    if told.tax:
        sums += [
            ("of it before tax", sum_(told.bill.net)),
            (f"of it tax, {float(told.tax * _HUNDRED):g} %", sum_(told.bill.tax)),
        ]  # fmt: skip
    if what == "bill" or told.paid:
        sums += [("paid", sum_(told.paid)), ("still to pay", sum_(max(told.owed, Decimal(0))))]
    options = [str(one) for one in row.options] if isinstance(row.options, list) else []
    days = (
        ("Deposit due", row.deposit_due_on), ("Changes possible until", row.change_by), ("Ready on", row.due_on),
    )  # fmt: skip
    lines = (
        str(row.brief or ""),
        *([f"To choose from: {'; '.join(options)}."] if options else []),
        *([f"Approved look: {row.approved_look}"] if row.approved_look else []),
        *(f"{name}: {moments.day(on)}" for name, on in days if on and what == "offer"),
        f"{told.bill.rounding[0].upper()}{told.bill.rounding[1:]}.",
    )
    rows = [
        (str(n), name, str(count), sum_(each), sum_(whole))
        for n, (name, count, each, whole) in enumerate(told.bill.lines, 1)
    ]
    title = "Offer" if what == "offer" else "Bill"
    listed = lists.Listed(
        title, f"order {row.number}, {moments.day(studio.today().isoformat())}",
        ("", "what", "how many", "each", "together"), lists.lists(rows), (), tuple(sums),
        tuple(line for line in lines if line), ("for the maker", "for the customer") if what == "offer" else (),
        (2, 3, 4), recipient=recipient_of(studio, row.id),
    )  # fmt: skip
    return _sheet(studio, listed, f"{title} {row.number}")


def purchases(studio: Studio, wanted: Mapping[int, int]) -> Sheet:
    """Gather what is to be bought: jars that will not last or fall below their mark, and sheet that cannot suffice.

    Parameters
    ----------
    studio : Studio
        The studio.
    wanted : mapping of int to int
        Pieces that are ordered and not started, by the row of their design version.
    """
    names = {str(one.code): str(one.name) for one in jars(studio)}
    lines = [one for one in stock_plan.shortages(studio, dict(wanted)).payload.lines if one.buy]
    rows = [(line.jar, names.get(line.jar, ""), line.short.shown("g"), line.buy) for line in lines]
    rows += [
        (
            "", f"sheet of {one.sheet}", _grams(one.mass - one.there_mass),
            "and what is lost between the blanks" if one.short
            else f"perhaps: {one.unsized} of which nobody told the size lie there",
        )
        for one in metal_needs.metal_needs(studio) if one.short or one.perhaps
    ]  # fmt: skip
    if not rows:
        raise InputError("there is nothing to buy for what is planned.", "Count the stock if that looks wrong.")
    listed = lists.Listed(
        "To buy", moments.day(studio.today().isoformat()), ("jar", "what", "short", "buy"), lists.lists(rows),
        ("bought",), sums_of=(2,),
        lines=("For what is planned, begun and ordered, and for what falls below its mark.",),
    )  # fmt: skip
    return _sheet(studio, listed, "To buy")


def _grams(mass: float) -> str:
    return f"{units.from_si(mass, 'g', 'mass'):.0f} g"


def _became(one: There) -> str:
    return moments.day(one.on) if one.became else ""


def _outlet(studio: Studio, row: str) -> Row[Any]:
    found = next((one for one in listing.outlets(studio) if str(one.id) == row), None)
    if found is None:
        raise InputError("this seller or fair is not on the list.", "Open the list again.")
    return found


def _at(studio: Studio, there: Row[Any] | None) -> list[There]:
    """Return the pieces that are at an outlet now."""
    if there is None:
        raise InputError("no piece is chosen.", "Name a fair, or tick at least one piece.")
    found = outlets.at_outlet(studio, int(there.id))
    if not found:
        raise InputError(f"nothing is at {there.name} on record.", "Move pieces there first, on Finished work.")
    return _not_too_many(found)


def _named(studio: Studio, numbers: Sequence[str], there: Row[Any] | None) -> list[There]:
    """Return pieces with what is asked at the outlet they are packed for, or where they are when none is named."""
    rows = [int(piece_row(studio, one).id) for one in dict.fromkeys(numbers)]
    full = {int(one.id): one for one in listing.pieces_like(studio, only=rows, most=len(rows))}
    found = [full[row] for row in rows if row in full]
    if there is not None:
        return _not_too_many(outlets.asked_there(studio, there, found))
    return _not_too_many(outlets.priced(studio, found, listing.last_places(studio, rows)))


def _not_too_many(found: list[There]) -> list[There]:
    if len(found) > MOST:
        raise InputError(f"this is more than {MOST} at once.", "Print some of them first.")
    return found


def _cells(studio: Studio, one: There) -> tuple[str, str, str]:
    """Return number, what it is, and its price as written."""
    piece = one.piece
    what = piece.design_name or piece.words or piece.kind
    label = f", {piece.label}" if piece.label else ""
    second = ", a second" if piece.state == "second" else ""
    return str(piece.number), f"{what}{label}{second}", show_money(studio, one.minor, one.currency)


def _sum(studio: Studio, found: Sequence[There]) -> str:
    """Add prices up, each currency by itself, and say of how many there is no price."""
    told = show_sums(studio, added((one.minor, one.currency) for one in found if one.minor is not None))
    without = sum(one.minor is None for one in found)
    return f"{told} ({without} without a price)" if without else told


def _mine(studio: Studio, minor: int | None, currency: str, share: float | None) -> str:
    if minor is None or share is None:
        return "-"
    return show_money(studio, selling.for_the_maker(minor, share), currency)


def _many(rows: Sequence[Any]) -> str:
    return f"{len(rows)} piece{'' if len(rows) == 1 else 's'}"


def _sheet(studio: Studio, listed: lists.Listed, title: str) -> Sheet:
    name = str(setting(studio, NAME, "") or "")
    told = listed if not name else lists.Listed(**{**listed.__dict__, "about": f"{name}: {listed.about}".rstrip(": ")})
    return Sheet(lists.TEMPLATE, lists.list_sheet_data(told, bool(setting(studio, INVENTED))), title)
