"""Whose hand a coat is planned for: of whoever is named, else of the piece's owner, else of who is at the bench."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import within
from enamelwright.workshop.people import label_of
from enamelwright.workshop.studio import Studio


def who_lays(studio: Studio, piece: Row[Any] | None = None, told: str | None = None, at_bench: str = "") -> str:
    """Return the label of whoever lays the next coat; empty when nobody is known.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : Row, optional
        Of the table of pieces: its owner lays it.
    told : str, optional
        Label somebody named; empty for anybody, None when nobody was asked.
    at_bench : str
        Label of whoever is at the device that asks.
    """
    if told is not None:
        return told.strip()
    owner = None if piece is None else piece.owner
    return label_of(studio, owner) or at_bench.strip() or label_of(studio, studio.person)


def who_laid(studio: Studio, pieces: Sequence[Row[Any]]) -> dict[int, str]:
    """Return by piece the label of whoever laid its last coat, else of whoever will lay the next one.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of Row
        Of the table of pieces.
    """
    rows = [int(one.id) for one in pieces]
    with studio.reading() as connection:
        labels = {row.id: str(row.label) for row in connection.execute(select(person_table.c.id, person_table.c.label))}
        laid = current(coat_laid, coat_laid.c.piece, coat_laid.c.who).where(within(coat_laid.c.piece, rows))
        last = {
            one.piece: labels[one.who]
            for one in connection.execute(laid.order_by(coat_laid.c.at, coat_laid.c.id))
            if one.who in labels
        }
    at_bench = labels.get(studio.person, "") if studio.person is not None else ""
    return {int(one.id): last.get(one.id) or labels.get(one.owner, "") or at_bench for one in pieces}
