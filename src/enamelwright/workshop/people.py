"""People at the bench, by label only."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.errors import InputError
from enamelwright.records.schema.people import person as person_table
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: A label is short; a full name does not belong into the record.
LONGEST_LABEL = 24


def person(studio: Studio, label: str, role: str | None = None) -> int:
    """Return the row of a person, kept when the label is new.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        A letter, a nickname; no full name is needed.
    role : str, optional
        ``maker``, ``helper``, ``student`` or ``guest``; set when given.

    Raises
    ------
    InputError
        For an empty or long label.
    """
    text = label.strip()
    if not 0 < len(text) <= LONGEST_LABEL:
        raise InputError(f"a person's label has 1 to {LONGEST_LABEL} signs.", "A letter or a nickname is enough.")
    with studio.writing() as work:
        found = work.connection.execute(
            select(person_table).where(func.lower(person_table.c.label) == text.lower())
        ).one_or_none()
        if found is None:
            return work.keep(person_table, label=text, role=role)
        if role is not None and found.role != role:
            work.change(person_table, found.id, found.version, role=role)
        return int(found.id)


def students(studio: Studio, labels: str) -> list[int | None]:
    """Return the rows of the students of a class, kept when their labels are new; None alone when nobody is named.

    Parameters
    ----------
    studio : Studio
        The studio.
    labels : str
        With commas between.
    """
    known = {str(one.label).lower() for one in people(studio)}
    told = [one.strip() for one in labels.split(",") if one.strip()]
    return [person(studio, one, None if one.lower() in known else "student") for one in told] or [None]


def people(studio: Studio) -> list[Row[Any]]:
    """List everybody who is not put away, by label."""
    with studio.reading() as connection:
        return list(connection.execute(select(person_table).where(in_use(person_table)).order_by(person_table.c.label)))


def label_of(studio: Studio, row: int | None) -> str:
    """Return a person's label; nothing when nobody is named.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int or None
        Row of the person.
    """
    if row is None:
        return ""
    with studio.reading() as connection:
        return str(connection.execute(select(person_table.c.label).where(person_table.c.id == row)).scalar() or "")
