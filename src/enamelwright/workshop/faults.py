"""Faults as they were seen on a piece."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from sqlalchemy import Row, Select, select

from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.reference.loader import rows
from enamelwright.workshop.firings import firings_of, load_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio


def see_fault(
    studio: Studio,
    piece: Which,
    fault: str,
    *,
    load: Which | None = None,
    when_seen: str | None = None,
    place: str | None = None,
    severity: str | None = None,
    remedy_tried: str | None = None,
    healed: bool | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a fault and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    fault : str
        Id or name of a fault the product knows, or the maker's own words.
    load : int or str, optional
        The load it came from; the last firing of the piece when left out.
    when_seen : str, optional
        ``in the kiln``, ``first minute``, ``hours later``, ``next days``, ``on stoning``, ``on setting`` or ``later``.
    place : str, optional
        Where on the piece.
    severity : str, optional
        ``trace``, ``seen`` or ``spoils``.
    remedy_tried : str, optional
        What was done about it.
    healed : bool, optional
        Whether that helped.
    at : datetime, optional
        When it was seen; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        row = piece_row(studio, piece)
        if load is not None:
            came_from: int | None = load_row(studio, load).of
        else:
            fired = firings_of(studio, row.id)
            came_from = fired[-1].of if fired else None
        return studio.add(
            fault_seen, piece=row.id, load=came_from, fault=known_fault(fault) or fault.strip(), when_seen=when_seen,
            place_on_piece=place, severity=severity, remedy_tried=remedy_tried, healed=healed, at=at, words=words,
        )  # fmt: skip


def heal(studio: Studio, row: int, remedy_tried: str, healed: bool, why: str = "looked at again") -> int:
    """Say what was done about a fault and whether it helped, and return the new row.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        Any row of the fault.
    remedy_tried : str
        What was done.
    healed : bool
        Whether it helped.
    why : str
        Said in the history.
    """
    return studio.correct(fault_seen, row, why, remedy_tried=remedy_tried, healed=healed)


def known_fault(text: str) -> str | None:
    """Return the id of a fault the product knows by this id or name; None for the maker's own words."""
    return _faults().get(text.strip().casefold())


def fault_name(fault: str) -> str:
    """Return a fault's name for people; the maker's own words stay as they are."""
    return next((row["fault"] for row in rows("trade/faults") if row["fault_id"] == fault), fault)


def faults_of(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the faults of a piece, the first seen first."""
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        return list(
            connection.execute(
                current(fault_seen).where(fault_seen.c.piece == row.id).order_by(fault_seen.c.at, fault_seen.c.id)
            )
        )


def open_faults(studio: Studio) -> list[Row[Any]]:
    """List faults of pieces still in work that are not healed; `number` and `label` are the piece's."""
    with studio.reading() as connection:
        return list(connection.execute(_open_faults()))


@cache  # asked by every first page
def _open_faults() -> Select[Any]:
    seen = current(fault_seen).subquery()
    return (
        select(seen, piece_table.c.number, piece_table.c.label)
        .join(piece_table, piece_table.c.id == seen.c.piece)
        .where(piece_table.c.state == "in work", (seen.c.healed.is_(None)) | (seen.c.healed == False))  # noqa: E712
        .order_by(seen.c.at)
    )


@lru_cache(maxsize=1)
def _faults() -> dict[str, str]:
    table: dict[str, str] = {}
    for row in rows("trade/faults"):
        for name in (row["fault_id"], row["fault"], row["fault"].partition("(")[0].strip()):
            table.setdefault(name.casefold(), row["fault_id"])
    return table
