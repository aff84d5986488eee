"""What went wrong in the hand: which firings of a piece had a mishap, so that nothing is learned from them."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.pieces import mishap
from enamelwright.records.writing import current
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


def mishaps_of(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the mishaps of a piece, the first first; `load_number` is the load it happened in.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    """
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        there = current(mishap).where(mishap.c.piece == row.id).subquery()
        rows = select(there, load_table.c.number.label("load_number")).outerjoin(
            load_table, load_table.c.id == there.c.load
        )
        return list(connection.execute(rows.order_by(there.c.at, there.c.id)))


def spoiled_firings(studio: Studio) -> frozenset[tuple[int, int | None]]:
    """Return the firings with a mishap as (load, piece), the rows others refer to; no piece stands for the whole load.

    Whoever learns from firings leaves these out: what was seen came from the hand, not from the kiln.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    rows = current(mishap, mishap.c.load, mishap.c.piece).where(mishap.c.load.is_not(None))
    with studio.reading() as connection:
        return frozenset((int(row.load), row.piece) for row in connection.execute(rows))
