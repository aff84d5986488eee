"""Work after the kiln: stoning, burring out, cleaning, polishing, setting; and the hand time all work takes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.errors import InputError
from enamelwright.records.schema.pieces import batch as batch_table
from enamelwright.records.schema.pieces import finish, hand_time
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import Which, within
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity


def finish_work(
    studio: Studio,
    work: str,
    *,
    piece: Which | None = None,
    batch: int | None = None,
    grit: str | None = None,
    wet: bool | None = None,
    duration: Quantity = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record work after the kiln and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    work : str
        ``stone``, ``burr out``, ``glass brush``, ``file edge``, ``polish``, ``press flat``, ``set``,
        ``clean oxide`` or ``other``.
    piece : int or str, optional
        Row, number or label.
    batch : int, optional
        Row of the batch, when all of it was worked.
    grit : str, optional
        Stone or paper.
    wet : bool, optional
        Whether it was kept wet.
    duration : quantity, optional
        How long.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        worked = piece_row(studio, piece).id if piece is not None else None
        return studio.add(
            finish, piece=worked, batch=batch, work=work, grit=grit, wet=wet, duration=duration, at=at, words=words
        )


def finishes_of(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the work after the kiln on a piece and on its batch, the first first."""
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        mine = finish.c.piece == row.id
        if row.batch is not None:
            mine = mine | (finish.c.batch == row.batch)
        return list(connection.execute(current(finish).where(mine).order_by(finish.c.at, finish.c.id)))


def batch_row(studio: Studio, name: str) -> Row[Any]:
    """Return the newest batch of a name.

    Raises
    ------
    InputError
        When there is none.
    """
    with studio.reading() as connection:
        row = connection.execute(
            select(batch_table)
            .where(func.lower(batch_table.c.name) == name.strip().lower())
            .order_by(batch_table.c.id.desc())
            .limit(1)
        ).one_or_none()
    if row is None:
        raise InputError(f"there is no batch '{name}'.", "A batch is made when its pieces are started.")
    return row


def spend_time(
    studio: Studio,
    work: str,
    duration: Quantity,
    *,
    piece: Which | None = None,
    batch: int | None = None,
    pieces: int | None = None,
    share: float | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record hand time and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    work : str
        What was done.
    duration : quantity
        How long.
    piece : int or str, optional
        Row, number or label.
    batch : int, optional
        Row of the batch.
    pieces : int, optional
        How many pieces were worked in that time.
    share : float, optional
        Part of the time that belongs to this piece, 0 to 1.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        worked = piece_row(studio, piece).id if piece is not None else None
        return studio.add(
            hand_time, piece=worked, batch=batch, work=work, duration=duration, pieces=pieces, share=share, at=at,
            words=words,
        )  # fmt: skip


def time_on(studio: Studio, piece: Which) -> float:
    """Return the hand time on a piece [s]: its own, and its part of what was done on its batch.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    """
    with studio.reading():
        row = int(piece_row(studio, piece).id)
        return times_on(studio, [row])[row]


def times_on(studio: Studio, pieces: Sequence[int]) -> dict[int, float]:
    """Return the hand time on each of some pieces [s], as :func:`time_on` does.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int
        Rows.
    """
    told = (hand_time.c.piece, hand_time.c.batch, hand_time.c.duration, hand_time.c.share, hand_time.c.pieces)
    with studio.reading() as connection:
        batches = select(piece_table.c.id, piece_table.c.batch).where(within(piece_table.c.id, pieces))
        batch_of = {row.id: row.batch for row in connection.execute(batches.where(piece_table.c.batch.is_not(None)))}
        mine = within(hand_time.c.piece, pieces) | within(hand_time.c.batch, list(set(batch_of.values())))
        entries = connection.execute(current(hand_time, *told).where(mine)).all()
    own, together = defaultdict[int, float](float), defaultdict[int | None, float](float)
    for entry in entries:
        if entry.piece is not None:
            own[entry.piece] += (entry.duration or 0.0) * (entry.share if entry.share is not None else 1.0)
        if entry.batch is not None and entry.pieces:
            together[entry.batch] += (entry.duration or 0.0) / entry.pieces
    return {piece: float(own[piece] + together[batch_of.get(piece)]) for piece in pieces}
