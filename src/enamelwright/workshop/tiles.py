"""Test and control tiles: numbers, layouts, what lies on which spot, colours read from them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.schema.tiles import colour_reading, tile_layout, tile_spot
from enamelwright.records.writing import current
from enamelwright.workshop.firings import firings_of, load_row
from enamelwright.workshop.named import Which, named
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.studio import Studio

#: What a tile's label begins with when the maker has no own way.
PREFIX = {"test tile": "TL", "control tile": "CT"}
#: Digits of a tile's number.
DIGITS = 2


def keep_layout(studio: Studio, name: str, spots: Sequence[Mapping[str, Any]]) -> int:
    """Keep a layout of spots, or lay the one of that name out anew, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        What it is called.
    spots : sequence of mapping
        Each with `spot` (its name) and `under` (``bare``, a flux, a white, a foil ...).

    Raises
    ------
    InputError
        When a spot has no name or two share one.
    """
    names = [str(spot.get("spot", "")).strip() for spot in spots]
    if not names or not all(names) or len(set(names)) != len(names):
        raise InputError("every spot of a layout has its own name.", "Name the spots, e.g. 1, 2, 3, 4.")
    content = [dict(spot) for spot in spots]
    with studio.writing() as work:
        found = work.connection.execute(select(tile_layout).where(tile_layout.c.name == name)).one_or_none()
        if found is None:
            return studio.keep(tile_layout, name=name, spots=content)
        if found.spots != content:
            studio.change(tile_layout, found.id, spots=content)
        return int(found.id)


def next_label(studio: Studio, prefix: str) -> str:
    """Return the next free label of a kind of tile: the highest number that was ever used, and one.

    Parameters
    ----------
    studio : Studio
        The studio.
    prefix : str
        What the labels begin with, e.g. ``TL``.
    """
    with studio.reading() as connection:
        labels = connection.execute(
            select(piece_table.c.label).where(piece_table.c.label.like(f"{prefix}-%"))
        ).scalars()
        numbers = [int(found[1]) for label in labels if (found := re.fullmatch(rf"{re.escape(prefix)}-(\d+)", label))]
    return f"{prefix}-{max(numbers, default=0) + 1:0{DIGITS}d}"


def make_tiles(
    studio: Studio,
    count: int = 1,
    kind: str = "test tile",
    *,
    layout: Which | None = None,
    jar: str = "",
    prefix: str = "",
    **more: Any,
) -> list[Row[Any]]:
    """Make tiles, each with its label and permanent number, with their spots as the layout says.

    Parameters
    ----------
    studio : Studio
        The studio.
    count : int
        How many.
    kind : str
        ``test tile`` or ``control tile``.
    layout : int or str, optional
        Row or name of the layout.
    jar : str
        The jar tried on every spot.
    prefix : str
        What the labels begin with; by the kind when left out.
    **more
        As for :func:`enamelwright.workshop.pieces.start_pieces`: `design`, `metal`, `thickness`, `batch` ...
    """
    with studio.writing():
        made = []
        for _ in range(count):
            label = next_label(studio, prefix or PREFIX.get(kind, "S"))
            made += start_pieces(studio, labels=[label], kind=kind, **more)
        if layout is not None:
            for tile in made:
                lay_spots(studio, tile.id, layout, jar)
        return made


def lay_spots(studio: Studio, tile: Which, layout: Which, jar: str = "") -> list[int]:
    """Write down what lies on each spot of a tile, as a layout says, and return the rows.

    Parameters
    ----------
    studio : Studio
        The studio.
    tile : int or str
        Row, number or label.
    layout : int or str
        Row or name.
    jar : str
        The jar tried on every spot.
    """
    with studio.writing() as work:
        row = piece_row(studio, tile)
        plan = named(work.connection, tile_layout, layout, "name")
        return [
            spot(
                studio, row.id, str(one["spot"]), under=one.get("under"), layout=plan.id,
                coats=one.get("coats") or ([{"jar": jar}] if jar else None),
            )
            for one in plan.spots
        ]  # fmt: skip


def spot(
    studio: Studio,
    tile: Which,
    name: str,
    *,
    under: str | None = None,
    coats: Any = None,
    layout: int | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Write down what lies on one spot of a tile and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    tile : int or str
        Row, number or label.
    name : str
        The spot.
    under : str, optional
        What lies under the coats.
    coats : JSON, optional
        The coats, from the metal outward.
    layout : int, optional
        Row of the layout.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        row = piece_row(studio, tile)
        return studio.add(
            tile_spot, piece=row.id, layout=layout, spot=name, under=under, coats=coats, at=at, words=words
        )


def spots_of(studio: Studio, tile: Which) -> list[Row[Any]]:
    """List what lies on the spots of a tile."""
    with studio.reading() as connection:
        row = piece_row(studio, tile)
        return list(
            connection.execute(
                current(tile_spot).where(tile_spot.c.piece == row.id).order_by(tile_spot.c.spot, tile_spot.c.id)
            )
        )


def read_colour(
    studio: Studio,
    piece: Which,
    *,
    spot: str | None = None,
    load: Which | None = None,
    at: Any = None,
    **reading: Any,
) -> int:
    """Record a colour read from a tile or a piece and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    spot : str, optional
        The spot.
    load : int or str, optional
        The firing it was read after; the last one of the piece when left out.
    at : datetime, optional
        When; now when left out.
    **reading
        Further columns: `lightness`, `a`, `b`, `light`, `observer`, `spectrum`, `read_by`, `error`, `photo`, `words`.
    """
    with studio.writing():
        row = piece_row(studio, piece)
        if load is not None:
            after: int | None = load_row(studio, load).of
        else:
            fired = firings_of(studio, row.id)
            after = fired[-1].of if fired else None
        return studio.add(colour_reading, piece=row.id, load=after, spot=spot, at=at, **reading)


def readings_of(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the colours read from a tile or piece, the first first."""
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        return list(
            connection.execute(
                current(colour_reading)
                .where(colour_reading.c.piece == row.id)
                .order_by(colour_reading.c.at, colour_reading.c.id)
            )
        )


def tiles(studio: Studio, kind: str = "") -> list[Row[Any]]:
    """List the tiles by number.

    Parameters
    ----------
    studio : Studio
        The studio.
    kind : str
        ``test tile`` or ``control tile``; both when empty.
    """
    kinds = (kind,) if kind else tuple(PREFIX)
    with studio.reading() as connection:
        return list(
            connection.execute(select(piece_table).where(piece_table.c.kind.in_(kinds)).order_by(piece_table.c.number))
        )
