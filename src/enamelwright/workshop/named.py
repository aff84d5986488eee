"""Find a row by what people call it: a number, a label, a code, a name."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Table, func, select, true

from enamelwright.errors import UnknownName
from enamelwright.records.errors import RecordError
from enamelwright.records.writing import LARGEST, current, first_of

#: A row's id, or a name people use for it.
Which = int | str


def named(connection: Connection, table: Table, which: Which, *columns: str, kind: str = "") -> Row[Any]:
    """Return the one row that is called so.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    table : Table
        *Kept* or *happened*; of the latter the newest state is returned, with `of` as its first row.
    which : int or str
        Id, or text that stands in one of `columns`; capitals do not matter.
    *columns : str
        Where to look, the most telling first.
    kind : str
        What such a row is called in a complaint; the table's name when left out.

    Raises
    ------
    UnknownName
        With the nearest names.
    RecordError
        When several rows are called so.
    """
    what = kind or table.name.replace("_", " ")
    if isinstance(which, int):
        rows = _rows(table).where(_identity(table) == which)
        found = connection.execute(rows).one_or_none() if abs(which) <= LARGEST else None
        if found is None:
            raise RecordError(f"there is no {what} {which}.", "It may be in another record.")
        return found
    text = which.strip()
    for column in columns:
        for condition in (table.c[column] == text, func.lower(table.c[column]) == text.lower()):
            rows = connection.execute(_rows(table).where(condition).limit(2)).all()
            if len(rows) == 1:
                return rows[0]
            if rows:
                raise RecordError(
                    f"more than one {what} is called '{text[:60]}'.", f"Name it by its {columns[0].replace('_', ' ')}."
                )
    known = [
        str(name).lower()
        for column in columns
        for (name,) in connection.execute(select(table.c[column]).where(table.c[column].is_not(None)).distinct())
    ]
    raise UnknownName.among(what, text, known)


#: Rows that are asked for one by one; of more, all are read, since no database takes a list of any length.
ONE_BY_ONE = 10_000


def within(column: ColumnElement[Any], rows: Collection[int]) -> ColumnElement[bool]:
    """Narrow a question to some rows; it may be answered with others too, when there are very many.

    Parameters
    ----------
    column : Column
        That names a row.
    rows : collection of int
        Rows that are wanted.
    """
    return column.in_(rows) if len(rows) <= ONE_BY_ONE else true()


def in_use(table: Table) -> ColumnElement[bool]:
    """Say in SQL that something kept was not put away.

    Parameters
    ----------
    table : Table
        Of the kind *kept*.
    """
    return table.c.put_away == False  # noqa: E712 - SQL, not Python


def _rows(table: Table) -> Any:
    return current(table) if table.info["kind"] == "happened" else select(table)


def _identity(table: Table) -> Any:
    return first_of(table) if table.info["kind"] == "happened" else table.c.id
