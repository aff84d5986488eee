"""Fairs and sellers: what is there, what is taken there together, what came back and what was sold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.orders import payment
from enamelwright.records.writing import current
from enamelwright.workshop import listing, selling
from enamelwright.workshop.money import decimals_in
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio

#: Ends of work on a piece that can be shown and sold.
DONE = ("finished", "second")
#: Kind of an outlet -> what is said of a piece that is there.
PLACE_OF = {"fair": "fair", "gallery": "gallery", "shop": "gallery", "online": "gallery", "bench": "bench"}
#: Places at which a piece is in somebody else's hands or on the road.
AWAY = selling.AWAY
#: What may have become of a piece that was at an outlet.
BACK, SOLD, MISSING = "back", "sold", "missing"
#: Pieces taken or settled at once.
MOST = 200
#: What one tap wrote: noun, row, version.
_Wrote = tuple[str, int, int]


@dataclass(frozen=True)
class There:
    """A piece at an outlet, or what became of it.

    Parameters
    ----------
    piece : Row
        With its design's name.
    minor, currency : int or None, str
        What is asked for it there, or what the customer paid.
    became : str
        ``""`` while it is there; ``back``, ``sold`` or ``missing``.
    on : str
        Since when it is there, or when it went.
    mine : int or None
        What has come in for one that was sold there.
    """

    piece: Row[Any]
    minor: int | None
    currency: str
    became: str = ""
    on: str = ""
    mine: int | None = None


def at_outlet(studio: Studio, outlet: Which) -> list[There]:
    """List the pieces that are at an outlet now, by number, with what is asked for them there.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : int or str
        Row or name.
    """
    with studio.reading():
        there = selling.outlet_row(studio, outlet)
        away = listing.pieces_like(studio, states=DONE, places=AWAY, most=_ALL)
        places = listing.last_places(studio, [int(one.id) for one in away])
        here = [one for one in away if one.id in places and places[one.id].outlet == there.id]
        return priced(studio, sorted(here, key=lambda one: str(one.number)), places)


#: Every piece, where a list takes a largest number.
_ALL = 1_000_000


def priced(studio: Studio, pieces: Sequence[Row[Any]], places: Mapping[int, Row[Any]]) -> list[There]:
    """Return pieces with what is asked for each: as it was told when it went where it is, else the price that holds.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of Row
        Of :func:`enamelwright.workshop.listing.pieces_like`.
    places : mapping of int to Row
        Where each went last.
    """
    prices = listing.prices_of(studio, list(pieces))
    found = []
    for one in pieces:
        went, price = places.get(one.id), prices.get(one.id)
        on = str(went.at) if went is not None else ""
        if went is not None and went.asked_minor is not None and went.place == one.place:
            found.append(There(one, int(went.asked_minor), str(went.currency or ""), on=on))
        elif price is not None:
            found.append(There(one, int(price.minor), str(price.currency), on=on))
        else:
            found.append(There(one, None, "", on=on))
    return found


def asked_there(studio: Studio, outlet: Row[Any], pieces: Sequence[Row[Any]]) -> list[There]:
    """Return pieces with what is asked for each at an outlet, whether it is there or could be taken there.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : Row
        The fair or seller.
    pieces : sequence of Row
        Of :func:`enamelwright.workshop.listing.pieces_like`. What is there is told as it was written down when it
        went; for the others it is the price that holds at such a place.
    """
    place = PLACE_OF.get(str(outlet.kind or ""), "fair")
    places = listing.last_places(studio, [int(one.id) for one in pieces])
    here = {
        int(one.id) for one in pieces
        if one.place in AWAY and one.id in places and places[one.id].outlet == outlet.id
    }  # fmt: skip
    told = {int(one.piece.id): one for one in priced(studio, [one for one in pieces if one.id in here], places)}
    prices = listing.prices_of(studio, [_at(one, place) for one in pieces if one.id not in here])
    for one in pieces:
        if one.id not in here:
            price = prices.get(one.id)
            on = str(places[one.id].at) if one.id in places else ""
            told[int(one.id)] = (
                There(one, None, "", on=on) if price is None
                else There(one, int(price.minor), str(price.currency), on=on)
            )  # fmt: skip
    return [told[int(one.id)] for one in pieces]


def take_there(studio: Studio, outlet: Which, pieces: Sequence[Which], until: Any = None) -> list[_Wrote]:
    """Take finished pieces to a fair or leave them with a seller, and return what was written.

    What is asked for each is written down as it stands that day, so that a later price does not change the list.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : int or str
        Row or name.
    pieces : sequence of int or str
        Rows, numbers or labels.
    until : date, optional
        Until when.

    Raises
    ------
    InputError
        When nothing is taken, or a piece is not finished.
    RecordError
        When one is gone already.
    """
    if not 1 <= len(pieces) <= MOST:
        raise InputError("nothing is taken there.", f"Tick between 1 and {MOST} pieces.", "piece")
    with studio.writing():
        there = selling.outlet_row(studio, outlet)
        place = PLACE_OF.get(str(there.kind or ""), "fair")
        rows = [piece_row(studio, one) for one in dict.fromkeys(pieces)]
        for row in rows:
            if row.state not in DONE:
                raise InputError(f"{row.number} is {row.state}.", "Only what is finished leaves the bench.", "piece")
            if row.place in {"sold", "given"}:
                raise RecordError(f"{row.number} is {row.place} already.", "Look at its page.", "piece")
        full = listing.pieces_like(studio, only=[int(row.id) for row in rows], most=MOST)
        told = {int(one.piece.id): one for one in asked_there(studio, there, full)}
        wrote: list[_Wrote] = []
        for row in rows:
            one = told[int(row.id)]
            asked = None if one.minor is None else _typed(studio, one.minor, one.currency)
            went = selling.move_piece(studio, int(row.id), place, outlet=int(there.id), asked=asked, until=until)
            wrote += [*_changed(studio, row), ("whereabouts", went, 0)]
        return wrote


@dataclass(frozen=True)
class _Elsewhere:
    """A piece as the list of prices sees it, at the place it goes to."""

    id: int
    design_row: int | None
    place: str


def _at(row: Row[Any], place: str) -> Any:
    return _Elsewhere(int(row.id), row.design_row, place)


def settle(studio: Studio, outlet: Which, told: Mapping[str, tuple[str, str]], how: str | None = None) -> list[_Wrote]:
    """Write down what came back from an outlet, what was sold there and what is missing, all or nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : int or str
        Row or name.
    told : mapping of str to (str, str)
        By number of a piece that is there: ``back``, ``sold`` or ``missing``, and for a sold one what the customer
        paid; the price asked there when that is empty, and in its currency when none is written.
    how : str, optional
        How it was paid.

    Raises
    ------
    InputError
        For a piece that is not there, a sale without a sum, or nothing told.
    """
    if not 1 <= len(told) <= MOST:
        raise InputError("nothing is told of any piece.", "Say of at least one what became of it.")
    with studio.writing():
        there = selling.outlet_row(studio, outlet)
        here = {str(one.piece.number): one for one in at_outlet(studio, int(there.id))}
        wrote: list[_Wrote] = []
        for number, (became, money) in told.items():
            one = here.get(number)
            if one is None:
                raise InputError(f"{number[:20]} is not at {there.name} on record.", "Open the page again.", "piece")
            piece = int(one.piece.id)
            before = piece_row(studio, piece)
            if became == SOLD:
                if not money.strip() and one.minor is None:
                    raise InputError(f"for how much was {number} sold?", "Write the sum.", number)
                sum_ = sum_in(money, one.currency) or _typed(studio, int(one.minor or 0), one.currency)
                went = selling.sold(studio, piece, sum_, outlet=int(there.id), how=how)
                paid = listing.payments(studio, piece=piece)[-1]
                wrote += [*_changed(studio, before), ("whereabouts", went, 0), ("payment", int(paid.of), 0)]
            elif became in {BACK, MISSING}:
                place = "bench" if became == BACK else "unknown"
                words = f"{'back' if became == BACK else 'missing on return'} from {there.name}"
                went = selling.move_piece(studio, piece, place, words=words)
                wrote += [*_changed(studio, before), ("whereabouts", went, 0)]
            else:
                raise InputError(f"what became of {number}?", "It came back, was sold, or is missing.", number)
        return wrote


def left_since(studio: Studio, outlet: Which, since: str = "") -> list[There]:
    """List what left an outlet, by number: came back, was sold there, or is missing.

    Parameters
    ----------
    studio : Studio
        The studio.
    outlet : int or str
        Row or name.
    since : str
        Day from which on, as ISO 8601; when left out, since pieces were last brought back before that last time.
    """
    with studio.reading() as connection:
        there = selling.outlet_row(studio, outlet)
        ever = select(current(whereabouts).where(whereabouts.c.outlet == there.id).subquery().c.piece)
        rows = connection.execute(
            current(whereabouts).where(whereabouts.c.piece.in_(ever)).order_by(whereabouts.c.at, whereabouts.c.id)
        ).all()
        last: dict[int, Row[Any]] = {}
        gone: dict[int, tuple[Row[Any], str]] = {}
        returns = set()
        for row in rows:
            before = last.get(row.piece)
            if before is not None and before.outlet == there.id and before.place in AWAY:
                if row.place == "sold" and row.outlet == there.id:
                    gone[row.piece] = (row, SOLD)
                elif row.outlet != there.id:
                    gone[row.piece] = (row, MISSING if row.place == "unknown" else BACK)
                    returns.add(str(row.at)[:_DAY])
            elif row.outlet == there.id and row.place in AWAY:
                gone.pop(row.piece, None)  # it is there again
            last[row.piece] = row
        from_day = since or (sorted(returns)[-2] if len(returns) > 1 else "")
        sold_here = {piece: row for piece, (row, became) in gone.items() if became == SOLD}
        mine: dict[int, int] = {}
        for one in connection.execute(
            current(payment)
            .where(payment.c.piece.in_(list(sold_here)), payment.c.kind == "sale")
            .order_by(payment.c.at, payment.c.id)
        ):  # the money of this sale was written down with it; what came later is of another
            if one.piece not in mine or one.at <= sold_here[one.piece].at:
                mine[int(one.piece)] = int(one.minor)
    kept = {
        piece: told for piece, told in gone.items()
        if (str(told[0].at)[:_DAY] >= from_day if since else str(told[0].at)[:_DAY] > from_day)
    }  # fmt: skip
    asked = {row.piece: row for row in rows if row.outlet == there.id and row.asked_minor is not None}
    found = []
    for one in sorted(listing.pieces_like(studio, only=list(kept), most=_ALL), key=lambda one: str(one.number)):
        row, became = kept[one.id]
        minor, currency = (row.taken_minor, row.currency) if became == SOLD else (None, None)
        if minor is None and one.id in asked:
            minor, currency = asked[one.id].asked_minor, asked[one.id].currency
        found.append(There(one, minor, str(currency or ""), became, str(row.at), mine.get(int(one.id))))
    return found


#: Signs of a day, as ISO 8601 writes it.
_DAY = len("2026-03-02")


def ready_to_go(studio: Studio) -> list[Row[Any]]:
    """List the finished pieces that stand here and are not made for an order, by number."""
    here = listing.pieces_like(studio, states=DONE, kind="piece", places=("bench",), most=MOST)
    return sorted((one for one in here if one.order_line is None), key=lambda one: str(one.number))


def _changed(studio: Studio, before: Row[Any]) -> list[_Wrote]:
    now = piece_row(studio, int(before.id))
    return [("piece", int(now.id), int(now.version))] if now.version != before.version else []


def sum_in(typed: str, currency: str) -> str:
    """Return a sum as typed, in the currency it was asked in unless another is written; empty for an empty one.

    Parameters
    ----------
    typed : str
        The sum, like ``55`` or ``55 EUR``.
    currency : str
        Of what was asked; empty when nothing was.
    """
    told = typed.strip()
    return told if not told or " " in told else f"{told} {currency}".strip()


def _typed(studio: Studio, minor: int, currency: str) -> str:
    """Write a sum as a person would, to be read again."""
    places = decimals_in(studio, currency)
    return f"{Decimal(minor).scaleb(-places):.{places}f} {currency}".strip()
