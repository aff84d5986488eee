"""Prices, outlets, and where finished pieces are."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.records.schema.finished import outlet as outlet_table
from enamelwright.records.schema.finished import price as price_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import design_row
from enamelwright.workshop.money import read_money
from enamelwright.workshop.named import Which, named
from enamelwright.workshop.orders import order_row, pay
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


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


def keep_outlet(studio: Studio, name: str, kind: str | None = None, commission: float | None = None) -> int:
    """Keep a gallery, a fair or a shelf and return its row.

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
    return studio.keep(outlet_table, name=name, kind=kind, commission=commission)


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

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    money : str
        The sum taken.
    outlet : int or str, optional
        Where it was sold.
    order : int or str, optional
        The order it was made for.
    how : str, optional
        Cash, card ...
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        pay(studio, "sale", money, piece=piece, order=order, how=how, at=at)
        return _went(studio, piece, "sold", outlet, order, None, money, None, at, words)


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
