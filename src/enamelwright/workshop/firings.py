"""Firings as they are read again: of a load, of a piece, of a span of days."""

from __future__ import annotations

from functools import cache
from typing import Any

from sqlalchemy import Connection, Row, Select, bindparam, select

from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.workshop.named import Which, named
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


def load_row(studio: Studio, which: Which) -> Row[Any]:
    """Return the present state of a load by its first row or number; `of` is what others refer to."""
    with studio.reading() as connection:
        return named(connection, load_table, which, "number")


def open_loads(studio: Studio) -> list[Row[Any]]:
    """List the loads that have not come out, the oldest first."""
    with studio.reading() as connection:
        return list(connection.execute(_open_loads()))


@cache  # asked of every day and by every page of the kiln
def _open_loads() -> Select[Any]:
    still_in = current(load_table, load_table.c.id).where(load_table.c.closed_at.is_(None)).subquery()
    rows = select(first_of(load_table).label("of"), *load_table.c).where(load_table.c.id.in_(select(still_in.c.id)))
    return rows.order_by(load_table.c.at)


def open_load_of(studio: Studio, piece: int) -> Row[Any] | None:
    """Return the open load a piece is in; None when it is in none.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int
        Row of the piece.
    """
    inside = current(load_piece, load_piece.c.load).where(load_piece.c.piece == piece).subquery()
    with studio.reading() as connection:
        return connection.execute(
            current(load_table)
            .where(
                load_table.c.closed_at.is_(None),
                first_of(load_table).in_(select(inside.c.load)),
            )
            .limit(1)
        ).one_or_none()


def pieces_in(studio: Studio, load: int) -> list[Row[Any]]:
    """List the pieces of a load with what differs for each; `number` and `label` are the piece's.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int
        First row of the load.
    """
    with studio.reading() as connection:
        return list(connection.execute(_pieces_in(), {"load_row": load}))


@cache  # asked of one load after another
def _pieces_in() -> Select[Any]:
    inside = current(load_piece).where(load_piece.c.load == bindparam("load_row")).subquery()
    return (
        select(inside, piece_table.c.number, piece_table.c.label, piece_table.c.design_version)
        .join(piece_table, piece_table.c.id == inside.c.piece)
        .order_by(piece_table.c.number)
    )


def firings_of(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the firings of a piece, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.

    Returns
    -------
    list of Row
        The load's columns, with `firing`, `position`, `piece_stage`, `piece_seconds`, `piece_to_gloss`,
        `piece_face_up`, `piece_support` and `do_not_learn` of the piece.
    """
    with studio.reading() as connection:
        return firing_rows(connection, piece_row(studio, piece).id)


def firing_rows(connection: Connection, piece: int) -> list[Row[Any]]:
    """List the firings of a piece as :func:`firings_of` does, where its row is known to be there."""
    return list(connection.execute(_firings(), {"piece_row": piece}))


@cache  # every page of a piece asks for it
def _firings() -> Select[Any]:
    inside = current(load_piece).where(load_piece.c.piece == bindparam("piece_row")).subquery()
    loads = current(load_table).subquery()
    return (
        select(
            loads, inside.c.firing, inside.c.position, inside.c.do_not_learn,
            inside.c.stage_seen.label("piece_stage"), inside.c.seconds.label("piece_seconds"),
            inside.c.to_gloss.label("piece_to_gloss"), inside.c.face_up.label("piece_face_up"),
            inside.c.support.label("piece_support"),
        )
        .join(inside, inside.c.load == loads.c.of)
        .order_by(loads.c.at, loads.c.of)
    )  # fmt: skip


def looks_of(studio: Studio, load: Which) -> list[Row[Any]]:
    """List the looks into a load in their order."""
    with studio.reading() as connection:
        row = load_row(studio, load)
        return list(connection.execute(current(look).where(look.c.load == row.of).order_by(look.c.seconds, look.c.id)))


def loads_between(studio: Studio, first: str, last: str) -> list[Row[Any]]:
    """List the loads between two moments, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    first, last : str
        As the record writes moments; `last` does not belong.
    """
    return studio.between(load_table, first, last, newest_first=True)
