"""Lists of finished pieces for paper: a fair's packing list, what is left with a seller, what came back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row

from enamelwright.cards import lists
from enamelwright.errors import InputError
from enamelwright.web import moments
from enamelwright.web.papers import MOST, Sheet
from enamelwright.workshop import listing, selling
from enamelwright.workshop.money import show_money
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.settings import INVENTED, NAME, setting
from enamelwright.workshop.studio import Studio

#: Pieces looked through for those at one outlet.
LOOKED = 1000
_OVER = ("finished", "second")
_HUNDRED = 100


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
    pieces = [piece_row(studio, one) for one in dict.fromkeys(numbers)] if numbers else _at(studio, there)
    rows, total, currency = _rows(studio, pieces)
    listed = lists.Listed(
        "Packing list", there.name if there is not None else "", ("number", "what", "price"),
        lists.lists([row[:3] for row in rows]), ("packed", "sold", "back"),
        ((f"{_many(rows)} together", show_money(studio, total, currency)),), sums_of=(2,),
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
    rows, total, currency = _rows(studio, _at(studio, there))
    share = there.commission
    found = []
    mine = 0
    for row in rows:
        left = "-" if row[3] is None or share is None else show_money(studio, _kept(row[3], share), currency)
        mine += 0 if row[3] is None or share is None else _kept(row[3], share)
        found.append((*row[:3], left))
    kept = "" if share is None else f"The seller keeps {share * _HUNDRED:g} % of the price of what is sold."
    lines = (
        kept or "What the seller keeps of a price: ______ %.",
        "The pieces stay the maker's until they are paid for. Prices are those the customer pays.",
        "Settled on: ______________   Returned not later than: ______________",
        "Who answers for loss and damage, and by which rules: ____________________________________",
    )
    sums = [(f"{_many(rows)}, prices together", show_money(studio, total, currency))]
    if share is not None:
        sums.append(("for the maker when all are sold", show_money(studio, mine, currency)))
    listed = lists.Listed(
        "Left on commission", f"{there.name}, {moments.day(studio.today().isoformat())}",
        ("number", "what", "price", "for the maker"), lists.lists(found), ("seen",), tuple(sums), lines,
        ("for the maker", "for the seller"), (2, 3),
    )  # fmt: skip
    return _sheet(studio, listed, f"Commission {there.name}")


def returned(studio: Studio, outlet: str) -> Sheet:
    """Gather what is still with a seller and comes back, with room for what was sold meanwhile.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : str
        Row of the seller.
    """
    there = _outlet(studio, outlet)
    rows, _, _ = _rows(studio, _at(studio, there))
    listed = lists.Listed(
        "Return of pieces", f"from {there.name}, {moments.day(studio.today().isoformat())}",
        ("number", "what", "price"), lists.lists([row[:3] for row in rows]), ("returned", "sold", "harmed"),
        lines=("What is ticked sold is paid with this return. What is harmed is described here:", "_" * 80, "_" * 80),
        signs=("for the maker", "for the seller"), sums_of=(2,),
    )  # fmt: skip
    return _sheet(studio, listed, f"Return from {there.name}")


def _outlet(studio: Studio, row: str) -> Row[Any]:
    found = next((one for one in listing.outlets(studio) if str(one.id) == row), None)
    if found is None:
        raise InputError("this seller or fair is not on the list.", "Open the list again.")
    return found


def _at(studio: Studio, there: Row[Any] | None) -> list[Row[Any]]:
    """Return the pieces that are at an outlet now."""
    if there is None:
        raise InputError("no piece is chosen.", "Name a fair, or tick at least one piece.")
    pieces = listing.pieces_like(studio, states=_OVER, places=("fair", "gallery", "lent"), most=LOOKED)
    places = listing.last_places(studio, [one.id for one in pieces])
    found = [one for one in pieces if one.id in places and places[one.id].outlet_name == there.name]
    if not found:
        raise InputError(f"nothing is at {there.name} on record.", "Move pieces there first, on Finished work.")
    return found[:MOST]


def _rows(studio: Studio, pieces: Sequence[Row[Any]]) -> tuple[list[tuple[Any, ...]], int, str]:
    """Return (number, what, price as written, price in coins) of each, their sum and its currency."""
    if len(pieces) > MOST:
        raise InputError(f"this is more than {MOST} at once.", "Print some of them first.")
    found, total, currency = [], 0, ""
    places = listing.last_places(studio, [one.id for one in pieces])
    known = {one.id: one for one in listing.pieces_like(studio, most=LOOKED)}
    for piece in pieces:
        row = known.get(piece.id, piece)
        asked = places[piece.id].asked_minor if piece.id in places else None
        coin = places[piece.id].currency if asked is not None else ""
        if asked is None:
            priced = selling.prices(studio, piece=int(piece.id))
            design = getattr(row, "design_row", None)
            if not priced and design is not None:
                priced = selling.prices(studio, design=int(design))
            asked, coin = (priced[0].minor, priced[0].currency) if priced else (None, "")
        total += asked or 0
        currency = currency or coin or ""
        what = getattr(row, "design_name", None) or piece.words or piece.kind
        label = f", {piece.label}" if piece.label else ""
        second = ", a second" if piece.state == "second" else ""
        found.append((piece.number, f"{what}{label}{second}", show_money(studio, asked, coin), asked))
    return found, total, currency


def _many(rows: Sequence[Any]) -> str:
    return f"{len(rows)} piece{'' if len(rows) == 1 else 's'}"


def _kept(minor: int, share: float) -> int:
    """Return what is left of a price in whole coins, halves up."""
    from decimal import Decimal

    from enamelwright.planning.money import coins

    return int(coins(Decimal(minor) * (1 - Decimal(str(share))), 0))


def _sheet(studio: Studio, listed: lists.Listed, title: str) -> Sheet:
    name = str(setting(studio, NAME, "") or "")
    told = listed if not name else lists.Listed(**{**listed.__dict__, "about": f"{name}: {listed.about}".rstrip(": ")})
    return Sheet(lists.TEMPLATE, lists.list_sheet_data(told, bool(setting(studio, INVENTED))), title)
