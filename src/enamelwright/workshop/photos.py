"""Photos: the picture goes into its place first, then the row that names it; which belong to a piece or a load."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records import photos as places
from enamelwright.records.errors import RecordError
from enamelwright.records.photos import Picture
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.photos import photo as photo_table
from enamelwright.records.writing import current
from enamelwright.workshop.firings import load_row
from enamelwright.workshop.named import Which, named
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
    return keep_picture(studio, put_picture(studio, data, name), piece=piece, load=load, shows=shows, words=words)


def put_picture(studio: Studio, data: bytes, name: str = "") -> Picture:
    """Put a picture into its place, upright and without what it tells of the place; no row names it yet.

    Reading a large one takes a moment, so this comes before the transaction.

    Parameters
    ----------
    studio : Studio
        The studio.
    data : bytes
        A whole picture file as it came.
    name : str
        Its name, for messages.

    Raises
    ------
    FileError
        When it is no picture that can be read, or too large.
    """
    return places.put(studio.store.home, data, name)


def keep_picture(
    studio: Studio,
    picture: Picture,
    *,
    piece: Which | None = None,
    load: Which | None = None,
    shows: str | None = None,
    words: str | None = None,
) -> int:
    """Write the row that names a picture, and return it.

    Parameters
    ----------
    studio : Studio
        The studio.
    picture : Picture
        Of :func:`put_picture`.
    piece, load, shows, words : optional
        As for :func:`add_photo`.
    """
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


def photos_of_piece(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the photos of a piece, and of whole loads it was in, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    """
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        loads = current(load_piece, load_piece.c.load).where(load_piece.c.piece == row.id).subquery()
        of_load = photo_table.c.piece.is_(None) & photo_table.c.load.in_(select(loads.c.load))
        return list(
            connection.execute(
                current(photo_table)
                .where((photo_table.c.piece == row.id) | of_load)
                .order_by(photo_table.c.at.desc(), photo_table.c.id.desc())
            )
        )


def photo_row(studio: Studio, which: int) -> Row[Any]:
    """Return a photo as it stands now.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int
        First row of the photo.

    Raises
    ------
    RecordError
        When there is none, or it was taken out.
    """
    with studio.reading() as connection:
        return named(connection, photo_table, which)


def picture_file(studio: Studio, row: Row[Any], *, small: bool = False) -> Path:
    """Return the file of a photo; a small one is made when there is none yet.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        Of a photo.
    small : bool
        The one for lists.

    Raises
    ------
    RecordError
        When the picture is missing.
    """
    home = studio.store.home
    if small:
        return places.thumbnail(home, row.sha256, row.kind)
    path = places.place_of(home, row.sha256, row.kind)
    if not path.is_file():
        raise RecordError("this picture is missing.", "Fetch it from the outside copy.", row.sha256[:12])
    return path


def say_of_photo(studio: Studio, which: int, *, shows: str | None, words: str | None) -> int:
    """Say what a photo shows; what was said before stays in the history.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int
        First row of the photo.
    shows, words : str or None
        In a word or two; freely.
    """
    return studio.correct(photo_table, which, "said what it shows", shows=shows, words=words)
