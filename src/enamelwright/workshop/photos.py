"""Photos: the picture goes into its place first, then the row that names it."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row

from enamelwright.records import photos as places
from enamelwright.records.schema.photos import photo as photo_table
from enamelwright.records.writing import current
from enamelwright.workshop.firings import load_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


def add_photo(
    studio: Studio,
    data: bytes,
    name: str = "",
    *,
    piece: Which | None = None,
    load: Which | None = None,
    shows: str | None = None,
    words: str | None = None,
) -> int:
    """Keep a photo of a piece or a load and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    data : bytes
        A whole picture file as it came.
    name : str
        Its name, for messages.
    piece, load : int or str, optional
        Row or number of what it shows.
    shows : str, optional
        What is to be seen, in a word or two.
    words : str, optional
        Free words.

    Raises
    ------
    FileError
        When it is no picture that can be read, or too large.
    """
    picture = places.put(studio.store.home, data, name)
    with studio.writing():
        of_piece = piece_row(studio, piece).id if piece is not None else None
        of_load = load_row(studio, load).of if load is not None else None
        return studio.add(photo_table, **picture.columns, piece=of_piece, load=of_load, shows=shows, words=words)


def photos_of_load(studio: Studio, load: int) -> list[Row[Any]]:
    """List the photos of a load, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int
        First row of the load.
    """
    with studio.reading() as connection:
        return list(
            connection.execute(current(photo_table).where(photo_table.c.load == load).order_by(photo_table.c.id))
        )
