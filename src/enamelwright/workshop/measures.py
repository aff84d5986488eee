"""Numbers read off a piece: bow, thickness, weight."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row

from enamelwright.errors import InputError
from enamelwright.records.schema.pieces import measure as measure_table
from enamelwright.records.writing import current
from enamelwright.workshop.firings import firings_of, load_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: Measures that are a mass; all others are a length.
WEIGHTS = frozenset({"weight", "weight before", "weight after"})


def take_measure(
    studio: Studio,
    piece: Which,
    what: str,
    value: Quantity,
    *,
    over: Quantity = None,
    load: Which | None = None,
    tool: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a number read off a piece and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    what : str
        ``bow`` (positive when the front is convex), ``total thickness``, ``metal thickness``,
        ``weight before``, ``weight after``, ``weight``, ``width``, ``depth of recess`` or ``other``.
    value : quantity
        A mass for weights, else a length.
    over : quantity, optional
        The measure the bow was read over.
    load : int or str, optional
        The firing it was read after; the last one of the piece when left out.
    tool : str, optional
        What it was read with.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    if value is None:
        raise InputError("no number was given.", "Give one with its unit.", what)
    with studio.writing():
        row = piece_row(studio, piece)
        if load is not None:
            after: int | None = load_row(studio, load).of
        else:
            fired = firings_of(studio, row.id)
            after = fired[-1].of if fired else None
        column = {"mass": value} if what in WEIGHTS else {"length": value}
        return studio.add(
            measure_table, piece=row.id, load=after, what=what, over=over, tool=tool, at=at, words=words, **column
        )


def measures_of(studio: Studio, piece: Which, what: str = "") -> list[Row[Any]]:
    """List the numbers read off a piece, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    what : str
        Only of this kind.
    """
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        found = current(measure_table).where(measure_table.c.piece == row.id)
        if what:
            found = found.where(measure_table.c.what == what)
        return list(connection.execute(found.order_by(measure_table.c.at, measure_table.c.id)))
