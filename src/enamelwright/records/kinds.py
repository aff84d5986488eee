"""The three kinds of table and the columns they are made of; the same on SQLite and PostgreSQL."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import (
    CheckConstraint,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    cast,
    func,
)
from sqlalchemy import text as sql
from sqlalchemy.dialects.sqlite import REAL
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator, TypeEngine

#: One naming rule, so that a migration can name what it changes on both databases.
metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: SQLite's STRICT tables know REAL, not DOUBLE.
Real: TypeEngine[float] = Double().with_variant(REAL(), "sqlite")


class Json(TypeDecorator[Any]):
    """Plain JSON kept as text with sorted keys, so that equal content is equal text."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Write; None stays NULL."""
        if value is None:
            return None
        return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:
        """Read."""
        return None if value is None else json.loads(value)


class YesNo(TypeDecorator[bool]):
    """Yes, no, or NULL for don't know; an integer on both databases, which STRICT tables accept."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:
        """Write."""
        return None if value is None else int(value)

    def process_result_value(self, value: Any, dialect: Dialect) -> bool | None:
        """Read."""
        return None if value is None else bool(value)


def text(name: str, **options: Any) -> Column[Any]:
    """Return a column of text."""
    return Column(name, Text, **options)


def whole(name: str, **options: Any) -> Column[Any]:
    """Return a column of whole numbers: counts, and money in the smallest coin."""
    return Column(name, Integer, **options)


def quantity(name: str, dimension: str, **options: Any) -> Column[Any]:
    """Return a column of SI numbers of one dimension of :mod:`enamelwright.units`."""
    return Column(name, Real, info={"dimension": dimension}, **options)


def number(name: str, **options: Any) -> Column[Any]:
    """Return a column of plain numbers without a dimension."""
    return Column(name, Real, **options)


def yes_no(name: str, **options: Any) -> Column[Any]:
    """Return a column that is yes, no or don't know."""
    return Column(name, YesNo, info={"yes_no": True}, **options)


def instant(name: str, **options: Any) -> Column[Any]:
    """Return a column for a moment: ISO 8601 in UTC with a trailing Z, so that text order is time order."""
    return Column(name, Text, info={"instant": True}, **options)


def day(name: str, **options: Any) -> Column[Any]:
    """Return a column for a calendar day: ISO 8601."""
    return Column(name, Text, info={"day": True}, **options)


def content(name: str, **options: Any) -> Column[Any]:
    """Return a column of JSON."""
    return Column(name, Json, info={"json": True}, **options)


def one_of(name: str, *words: str, **options: Any) -> Column[Any]:
    """Return a column of text that holds one of a few words, or nothing."""
    allowed = ", ".join("'" + word.replace("'", "''") + "'" for word in words)
    return Column(
        name, Text, CheckConstraint(f"{name} IN ({allowed})", name=f"{name}_words"), info={"words": words}, **options
    )


def refers(name: str, table: str, *, deleted: str | None = None, index: bool = True, **options: Any) -> Column[Any]:
    """Return a column that names a row of another table.

    Parameters
    ----------
    name : str
        Column.
    table : str
        The other table.
    deleted : str, optional
        ``SET NULL`` where the other row may be removed; otherwise it may not.
    index : bool
        Whether lists look things up by it.
    **options
        Passed on to the column.
    """
    return Column(name, Integer, ForeignKey(f"{table}.id", ondelete=deleted), index=index, **options)


def once(table: str, *columns: str) -> Index:
    """Return an index that lets one chain of what happened begin with a value; corrections repeat it.

    Parameters
    ----------
    table : str
        The table it is for.
    *columns : str
        Columns that are unique together among first rows.
    """
    first_rows = sql("corrects IS NULL")
    name = f"once_{table}_" + "_".join(columns)
    return Index(name, *columns, unique=True, sqlite_where=first_rows, postgresql_where=first_rows)


def happened(name: str, *columns: Any, referred: bool = False) -> Table:
    """Declare a table of what happened: rows are added and never changed.

    ``corrects`` names the row a correction replaces, so a chain has one end; ``first`` names the row
    the chain began with (empty in that row itself). Other tables refer to first rows. A correction
    with ``withdrawn`` says that it never happened.

    Parameters
    ----------
    name : str
        Table.
    *columns
        Its own columns, and indexes.
    referred : bool
        Whether other tables refer to it, so that lists look chains up by their first row.
    """
    table = Table(
        name,
        metadata,
        Column("id", Integer, primary_key=True),
        Column("entry", Text, ForeignKey("device_entry.entry"), nullable=False),
        refers("first", name),
        Column("corrects", Integer, ForeignKey(f"{name}.id")),
        Column("withdrawn", YesNo, nullable=False, server_default="0", info={"yes_no": True}),
        text("why"),
        instant("at"),
        instant("recorded_at", nullable=False),
        refers("who", "person", index=False),
        *columns,
        text("words"),
        content("typed"),
        UniqueConstraint("corrects"),
        CheckConstraint("(corrects IS NULL) = (first IS NULL)", name="chain"),
        CheckConstraint("withdrawn = 0 OR corrects IS NOT NULL", name="withdrawal"),
        info={"kind": "happened"},
        sqlite_strict=True,
    )
    if referred:  # the very words of `first_of` in writing.py; without the cast SQLite would not use it
        Index(f"of_{name}", cast(func.coalesce(table.c.first, table.c.id), Integer))
    return table


def kept(name: str, *columns: Any) -> Table:
    """Declare a table of what is kept: the present state, with a version that every change raises."""
    return Table(
        name,
        metadata,
        Column("id", Integer, primary_key=True),
        whole("version", nullable=False, server_default="1"),
        instant("made_at", nullable=False),
        instant("changed_at", nullable=False),
        refers("changed_by", "person", index=False),
        yes_no("put_away", nullable=False, server_default="0"),
        *columns,
        text("words"),
        content("typed"),
        info={"kind": "kept"},
        sqlite_strict=True,
    )


def derived(name: str, *columns: Any) -> Table:
    """Declare a table of what was worked out: names the records and the engine it came from."""
    return Table(
        name,
        metadata,
        Column("id", Integer, primary_key=True),
        instant("made_at", nullable=False),
        text("engine", nullable=False),
        *columns,
        info={"kind": "derived"},
        sqlite_strict=True,
    )


def housekeeping(name: str, *columns: Any) -> Table:
    """Declare a table the house needs for itself, which is no record of the studio."""
    return Table(name, metadata, *columns, info={"kind": "housekeeping"}, sqlite_strict=True)


def tables(kind: str | None = None) -> tuple[Table, ...]:
    """Return all tables in an order in which each stands after those it refers to.

    Parameters
    ----------
    kind : str, optional
        Only ``happened``, ``kept``, ``derived`` or ``housekeeping``.
    """
    import enamelwright.records.schema  # noqa: F401 - declares them

    return tuple(table for table in metadata.sorted_tables if kind is None or table.info["kind"] == kind)
