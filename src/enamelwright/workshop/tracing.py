"""Tracing both ways: which pieces a lot has touched, and which lots are in a piece."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.lots import lot_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


def pieces_touched(studio: Studio, lot: Which, jar: Which | None = None) -> list[Row[Any]]:
    """List the pieces that carry powder of a lot.

    Parameters
    ----------
    studio : Studio
        The studio.
    lot : int or str
        Row or label of the lot.
    jar : int or str, optional
        The jar, when the label alone does not tell.

    Returns
    -------
    list of Row
        `id`, `number`, `label`, `state`, `place`, `coats` (how many), `on_piece` [kg], `first_at` and `last_at`,
        by number.
    """
    with studio.reading() as connection:
        row = lot_row(studio, lot, jar)
        laid = current(coat_laid).where(coat_laid.c.lot == row.id).subquery()
        return list(
            connection.execute(
                select(
                    piece_table.c.id, piece_table.c.number, piece_table.c.label, piece_table.c.state,
                    piece_table.c.place, func.count().label("coats"), func.sum(laid.c.on_piece).label("on_piece"),
                    func.min(laid.c.at).label("first_at"), func.max(laid.c.at).label("last_at"),
                )
                .join(laid, laid.c.piece == piece_table.c.id)
                .group_by(piece_table.c.id)
                .order_by(piece_table.c.number)
            )
        )  # fmt: skip


def lots_in(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the lots a piece carries powder of.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.

    Returns
    -------
    list of Row
        `lot`, `label`, `code`, `name`, `coats`, `on_piece` [kg], `first_at`; a coat whose lot is not known
        has None for `lot` and `label`.
    """
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        laid = current(coat_laid).where(coat_laid.c.piece == row.id).subquery()
        return list(
            connection.execute(
                select(
                    laid.c.lot, lot_table.c.label, jar_table.c.code, jar_table.c.name, func.count().label("coats"),
                    func.sum(laid.c.on_piece).label("on_piece"), func.min(laid.c.at).label("first_at"),
                )
                .select_from(
                    laid.outerjoin(lot_table, lot_table.c.id == laid.c.lot).outerjoin(
                        jar_table, jar_table.c.id == laid.c.jar
                    )
                )
                .group_by(laid.c.lot, lot_table.c.label, jar_table.c.code, jar_table.c.name)
                .order_by(func.min(laid.c.at))
            )
        )  # fmt: skip
