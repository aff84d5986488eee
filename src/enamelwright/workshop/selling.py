"""Prices, outlets, and where finished pieces are."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.planning.money import coins, exact
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.finished import outlet as outlet_table
from enamelwright.records.schema.finished import price as price_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import design_row
from enamelwright.workshop.money import read_money
from enamelwright.workshop.named import Which, named
from enamelwright.workshop.orders import change_order, lines_of, order_row, pay_coins, pieces_for
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio

#: Where a piece is -> for where a price that fits it was set.
CHANNEL_AT = {"bench": "studio", "fair": "fair", "gallery": "gallery"}
#: Kinds of outlets that take the customer's money and hand on what is left of it.
HANDS_ON = frozenset({"gallery", "shop", "online"})
#: Places at which a piece is in somebody else's hands or on the road.
AWAY = ("fair", "gallery", "lent")


def set_price(
    studio: Studio,
    money: str,
    *,
    piece: Which | None = None,
    design: Which | None = None,
    channel: str | None = None,
    valid_from: Any = None,
    words: str | None = None,
) -> int:
    """Set the price of a piece, or of every piece of a design, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    money : str
        The sum.
    piece, design : int or str, optional
        What it is the price of; one of the two.
    channel : str, optional
        ``studio``, ``fair``, ``gallery``, ``wholesale`` or ``commission``.
    valid_from : date, optional
        Today when left out.
    words : str, optional
        Free words.
    """
    if (piece is None) == (design is None):
        raise InputError("a price is of one piece or of one design.", "Name one of them.")
    with studio.writing():
        minor, currency = read_money(studio, money)
        return studio.add(
            price_table, piece=piece_row(studio, piece).id if piece is not None else None,
            design=design_row(studio, design).id if design is not None else None, channel=channel, minor=minor,
            currency=currency, valid_from=valid_from or studio.today(), words=words,
        )  # fmt: skip


def prices(studio: Studio, *, piece: Which | None = None, design: Which | None = None) -> list[Row[Any]]:
    """List the prices of a piece or of a design, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece, design : int or str, optional
        Of what; one of the two.
    """
    with studio.reading() as connection:
        rows = current(price_table)
        if piece is not None:
            rows = rows.where(price_table.c.piece == piece_row(studio, piece).id)
        if design is not None:
            rows = rows.where(price_table.c.design == design_row(studio, design).id)
        return list(connection.execute(rows.order_by(price_table.c.valid_from.desc(), price_table.c.id.desc())))


def holding(rows: Sequence[Row[Any]], place: str | None, today: str) -> Row[Any] | None:
    """Return the price that holds where a piece is now; None when none has begun to hold.

    A price for another way of selling stands back behind one for here or for anywhere; among those the piece's own
    goes before its design's, then the one for here, then the newest.

    Parameters
    ----------
    rows : sequence of Row
        Prices of the piece and of its design.
    place : str or None
        Where it is.
    today : str
        The day, as ISO 8601.
    """
    here = CHANNEL_AT.get(place or "bench", "")

    def rank(row: Row[Any]) -> tuple[bool, bool, bool, str, int]:
        fits = not row.channel or row.channel == here
        return fits, row.piece is not None, bool(row.channel) and fits, str(row.valid_from or ""), int(row.id)

    begun = [row for row in rows if str(row.valid_from or "") <= today]
    return max(begun, key=rank, default=None)


def for_the_maker(minor: int, share: float | None) -> int:
    """Return what is left of a price in whole coins when a seller keeps a share of it, halves up.

    Parameters
    ----------
    minor : int
        What the customer pays, in the smallest coin.
    share : float or None
        What the seller keeps, 0 to 1; None for nothing.
    """
    return int(coins(Decimal(minor) * (1 - exact(share or 0, "share")), 0))


def keep_outlet(studio: Studio, name: str, kind: str | None = None, commission: float | None = None) -> int:
    """Keep a gallery, a fair or a shelf and return its row.

    Raises
    ------
    InputError
        For a share that leaves nothing of the price.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        What it is called.
    kind : str, optional
        ``bench``, ``fair``, ``gallery``, ``shop`` or ``online``.
    commission : float, optional
        Part of the price it keeps, 0 to 1.
    """
    if not name.strip():
        raise InputError("what is it called?", "Give the gallery or fair a name.", "name")
    if commission is not None and not 0 <= commission < 1:
        raise InputError("a share of the price that is kept lies between 0 and 100 %.", "Write it like 40 %.")
    return studio.keep(outlet_table, name=name, kind=kind, commission=commission)


def outlet_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a gallery, a fair or a shelf by row or name."""
    with studio.reading() as connection:
        return named(connection, outlet_table, which, "name")


def move_piece(
    studio: Studio,
    piece: Which,
    place: str,
    *,
    outlet: Which | None = None,
    order: Which | None = None,
    asked: str | None = None,
    until: Any = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Say where a piece has gone, and return the row.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    place : str
        ``bench``, ``fair``, ``gallery``, ``lent``, ``sold``, ``given``, ``kept`` or ``unknown``.
    outlet : int or str, optional
        Row or name.
    order : int or str, optional
        The order it is for.
    asked : str, optional
        The sum asked there.
    until : date, optional
        Until when.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    return _went(studio, piece, place, outlet, order, asked, None, until, at, words)


def sold(
    studio: Studio,
    piece: Which,
    money: str,
    *,
    outlet: Which | None = None,
    order: Which | None = None,
    how: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a sale: the piece is gone and the money has come in. Returns the row of where it went.

    A gallery or shop that keeps a share hands on the rest: that is what has come in, in whole coins, halves up; the
    price stands with where the piece went.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    money : str
        The sum the customer paid.
    outlet : int or str, optional
        Where it was sold; where it stands when left out, if that is a fair or somebody else's hands.
    order : int or str, optional
        The order it was made for.
    how : str, optional
        Cash, card ...
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.

    Raises
    ------
    RecordError
        When it is sold already.
    """
    with studio.writing():
        row = piece_row(studio, piece)
        if row.place == "sold":
            raise RecordError(f"{row.number} is sold already.", "Look at its page.", "piece")
        there = outlet_row(studio, outlet) if outlet is not None else _stands_at(studio, row)
        minor, currency = read_money(studio, money)
        mine = for_the_maker(minor, there.commission) if there is not None and there.kind in HANDS_ON else minor
        pay_coins(studio, "sale", mine, currency, piece=row.id, order=order, how=how, at=at)
        where = int(there.id) if there is not None else None
        return _went(studio, piece, "sold", where, order, None, money, None, at, words)


def _stands_at(studio: Studio, piece: Row[Any]) -> Row[Any] | None:
    """Return the outlet at which a piece stands; None when it is here, or nobody told which it is."""
    last = where_is(studio, int(piece.id)) if piece.place in AWAY else None
    return outlet_row(studio, int(last.outlet)) if last is not None and last.outlet is not None else None


def collect(studio: Studio, which: Which, version: int | None = None) -> tuple[int, list[Row[Any]]]:
    """Say that an order was collected: its finished pieces that stand here are gone with it.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or number.
    version : int, optional
        The version that was shown when it was told.

    Returns
    -------
    int
        The new version of the order.
    list of Row
        The pieces that were taken along, as they were.
    """
    with studio.writing():
        row = order_row(studio, which)
        changed = change_order(studio, row.id, version, state="collected", collected_on=studio.today())
        made = pieces_for(studio, [int(one.id) for one in lines_of(studio, row.id)])
        gone = [
            one for pieces in made.values() for one in pieces
            if one.state in {"finished", "second"} and one.place in (None, "bench")
        ]  # fmt: skip
        for one in gone:
            move_piece(studio, int(one.id), "sold", order=int(row.id))
        return changed, gone


def reopen(studio: Studio, which: Which, version: int | None, state: str) -> tuple[int, list[Row[Any]]]:
    """Say how far an order is that is not collected: pieces that had gone with it are on the bench again.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or number.
    version : int or None
        The version that was shown when it was told.
    state : str
        Any but ``collected``.

    Returns
    -------
    int
        The new version of the order.
    list of Row
        The pieces that are back, as they were. What was sold by itself, with a sum of its own, stays sold.
    """
    with studio.writing():
        row = order_row(studio, which)
        changed = change_order(studio, row.id, version, state=state, collected_on=None)
        made = pieces_for(studio, [int(one.id) for one in lines_of(studio, row.id)])
        sold_ = [one for pieces in made.values() for one in pieces if one.place == "sold"]
        back = [one for one in sold_ if _taken_along(studio, one, row)]
        for one in back:
            move_piece(studio, int(one.id), "bench", words=f"order {row.number} is {state}")
        return changed, back


def _taken_along(studio: Studio, piece: Row[Any], order: Row[Any]) -> bool:
    """Whether a piece went when its order was collected, and was not sold by itself."""
    last = where_is(studio, int(piece.id))
    return last is not None and last.place == "sold" and last.customer_order == order.id and last.taken_minor is None


def wrote_of(studio: Studio, which: Which, version: int, pieces: Sequence[Row[Any]]) -> list[tuple[str, int, int]]:
    """Return what :func:`collect` or :func:`reopen` wrote, as Undo takes it back.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or number of the order.
    version : int
        The version of the order they wrote.
    pieces : sequence of Row
        Those they moved.
    """
    wrote = [("order", int(order_row(studio, which).id), version)]
    for one in pieces:
        there = where_is(studio, int(one.id))
        wrote.append(("piece", int(one.id), int(piece_row(studio, int(one.id)).version)))
        if there is not None:
            wrote.append(("whereabouts", int(there.of), 0))
    return wrote


def where_is(studio: Studio, piece: Which) -> Row[Any] | None:
    """Return the last place a piece went to; None when it never left the bench."""
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        return connection.execute(
            current(whereabouts)
            .where(whereabouts.c.piece == row.id)
            .order_by(whereabouts.c.at.desc(), whereabouts.c.id.desc())
            .limit(1)
        ).one_or_none()


def pieces_at(studio: Studio, place: str) -> list[Row[Any]]:
    """List the pieces at a place, by number."""
    with studio.reading() as connection:
        return list(
            connection.execute(select(piece_table).where(piece_table.c.place == place).order_by(piece_table.c.number))
        )


def _went(
    studio: Studio,
    piece: Which,
    place: str,
    outlet: Which | None,
    order: Which | None,
    asked: str | None,
    taken: str | None,
    until: Any,
    at: Any,
    words: str | None,
) -> int:
    with studio.writing() as work:
        row = piece_row(studio, piece)
        asked_minor, asked_in = read_money(studio, asked) if asked is not None else (None, None)
        taken_minor, taken_in = read_money(studio, taken) if taken is not None else (None, None)
        there = named(work.connection, outlet_table, outlet, "name").id if outlet is not None else None
        for_order = order_row(studio, order).id if order is not None else None
        if row.place != place:
            studio.change(piece_table, row.id, place=place)
        return studio.add(
            whereabouts, piece=row.id, place=place, outlet=there, customer_order=for_order, asked_minor=asked_minor,
            taken_minor=taken_minor, currency=taken_in or asked_in, until=until, at=at, words=words,
        )  # fmt: skip
