"""One transaction: add what happened, correct it, keep and change what is kept, give numbers."""

from __future__ import annotations

import math
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import Any, Literal

from sqlalchemy import (
    ColumnElement,
    Connection,
    FromClause,
    Integer,
    Row,
    Select,
    Table,
    alias,
    cast,
    exists,
    func,
    insert,
    literal_column,
    select,
    update,
)

from enamelwright.records.errors import Conflict, RecordError
from enamelwright.records.schema.house import device_entry, number_given, past_version

#: Which letter stands between year and serial of a permanent number.
SERIES: dict[str, str] = {"piece": "", "load": "F", "order": "C"}
Series = Literal["piece", "load", "order"]
#: Longest text of one field.
LONGEST = 20_000
#: Largest whole number, which is PostgreSQL's; SQLite would take more.
LARGEST = 2**31 - 1


def moment(when: datetime | None = None) -> str:
    """Write a moment as the record does: UTC, milliseconds, a trailing Z.

    Parameters
    ----------
    when : datetime, optional
        With a time zone; now when left out.
    """
    at = (when or datetime.now(UTC)).astimezone(UTC)
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")


@dataclass(frozen=True)
class Author:
    """Who writes, from where, and under which entry id.

    Attributes
    ----------
    entry : str
        Made by the device; the same entry is written once.
    device : str
        Label of the device.
    device_at : str
        The device's own clock when it was entered, ISO 8601.
    person : int or None
        Row of the person.
    now : str
        The moment it counts as recorded; now unless a paper day is typed in or a demonstration is built.
    """

    entry: str
    device: str = "this machine"
    device_at: str = ""
    person: int | None = None
    now: str = ""

    @classmethod
    def here(cls, person: int | None = None, now: str = "") -> Author:
        """Return an author at this machine with a fresh entry id.

        Parameters
        ----------
        person : int, optional
            Row of the person.
        now : str
            The moment; now when empty.
        """
        return cls(entry=secrets.token_hex(16), person=person, now=now)


class Writing:
    """One transaction of one author. Made by :class:`enamelwright.records.store.Store`."""

    def __init__(self, connection: Connection, author: Author) -> None:
        self.connection = connection
        self.author = author
        self.now = author.now or moment()

    def begin(self, fingerprint: str = "") -> None:
        """Write the device entry every row of this transaction names."""
        self.connection.execute(
            insert(device_entry).values(
                entry=self.author.entry,
                device=self.author.device,
                device_at=self.author.device_at or None,
                arrived_at=self.now,
                fingerprint=fingerprint or None,
            )
        )

    def end(self, result: Mapping[str, Any] | None = None) -> None:
        """Keep what was answered, so that the same entry gets the same answer."""
        if result is not None:
            self.connection.execute(
                update(device_entry).where(device_entry.c.entry == self.author.entry).values(result=dict(result))
            )

    # --- what happened ---------------------------------------------------------------------------

    def add(self, table: Table, **values: Any) -> int:
        """Add a row of what happened and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        **values
            Columns; whatever is left out is "don't know".

        Raises
        ------
        RecordError
            For an unknown column, a number that is not finite, or text of absurd length.
        """
        _expect(table, "happened")
        return self._insert(table, {"entry": self.author.entry, "recorded_at": self.now, "who": self.author.person,
                                    "at": self.now, **_checked(table, values)})  # fmt: skip

    def correct(self, table: Table, row: int, why: str, **changes: Any) -> int:
        """Correct a row by a new one that names it, and return the new id.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        row : int
            The newest row of its chain.
        why : str
            Said in the history.
        **changes
            Columns that differ.

        Raises
        ------
        Conflict
            When the row has been corrected already; carries both.
        """
        return self._replace(table, row, why, changes, withdrawn=False)

    def withdraw(self, table: Table, row: int, why: str) -> int:
        """Say that a row never happened; the row stays.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        row : int
            The newest row of its chain.
        why : str
            Said in the history.
        """
        return self._replace(table, row, why, {}, withdrawn=True)

    def _replace(self, table: Table, row: int, why: str, changes: Mapping[str, Any], *, withdrawn: bool) -> int:
        _expect(table, "happened")
        old = self.one(table, row)
        newer = self.connection.execute(select(table).where(table.c.corrects == row)).one_or_none()
        if newer is not None:
            raise Conflict(
                "somebody corrected this entry first.", "Look at both and correct the newer one.",
                f"{table.name} {row}", mine=changes, theirs=dict(newer._mapping),
            )  # fmt: skip
        values = dict(old._mapping) | _checked(table, changes)
        values.pop("id")
        values |= {
            "entry": self.author.entry, "recorded_at": self.now, "who": self.author.person or old.who, "corrects": row,
            "first": old.first or old.id, "withdrawn": withdrawn, "why": why or None,
        }  # fmt: skip
        return self._insert(table, values)

    # --- what is kept ----------------------------------------------------------------------------

    def keep(self, table: Table, **values: Any) -> int:
        """Begin to keep something and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *kept*.
        **values
            Columns; whatever is left out is "don't know".
        """
        _expect(table, "kept")
        own = {"version": 1, "made_at": self.now, "changed_at": self.now, "changed_by": self.author.person}
        return self._insert(table, {**own, **_checked(table, values)})

    def change(self, table: Table, row: int, version: int, **changes: Any) -> int:
        """Change what is kept and return the new version; the old state stays in `past_version`.

        Parameters
        ----------
        table : Table
            Of the kind *kept*.
        row : int
            Its id.
        version : int
            The version the change was made from.
        **changes
            Columns that differ.

        Raises
        ------
        Conflict
            When the row has moved on since; carries what was sent and what stands there.
        """
        _expect(table, "kept")
        wanted = _checked(table, changes)
        old = self.one(table, row)
        if old.version != version:
            raise Conflict(
                "somebody changed this first.", "Look at both values and save again.", f"{table.name} {row}",
                mine=wanted, theirs=dict(old._mapping),
            )  # fmt: skip
        fields = {name: value for name, value in old._mapping.items() if name not in {"id", "version"}}
        self.connection.execute(
            insert(past_version).values(
                of_table=table.name, of_id=row, version=version, replaced_at=self.now, fields=fields
            )
        )
        own = {"version": version + 1, "changed_at": self.now, "changed_by": self.author.person or old.changed_by}
        done = self.connection.execute(
            update(table).where(table.c.id == row, table.c.version == version).values(**own, **wanted)
        )
        if done.rowcount != 1:
            raise Conflict("somebody changed this first.", "Look at both values and save again.", f"{table.name} {row}")
        return version + 1

    # --- what was worked out ---------------------------------------------------------------------

    def derive(self, table: Table, engine: str, **values: Any) -> int:
        """Write a row that was worked out and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *derived*.
        engine : str
            Version and tables that made it.
        **values
            Columns.
        """
        _expect(table, "derived")
        return self._insert(table, {"made_at": self.now, "engine": engine, **_checked(table, values)})

    # --- numbers and rows ------------------------------------------------------------------------

    def number(self, series: Series, year: int) -> str:
        """Give the next permanent number of a year; a number is never given twice.

        Parameters
        ----------
        series : str
            ``piece``, ``load`` or ``order``.
        year : int
            Calendar year.
        """
        last = self.connection.execute(
            select(func.max(number_given.c.serial)).where(number_given.c.series == series, number_given.c.year == year)
        ).scalar()
        serial = int(last or 0) + 1
        given = f"{year:04d}-{SERIES[series]}{serial:03d}"
        self.connection.execute(
            insert(number_given).values(series=series, year=year, serial=serial, number=given, given_at=self.now)
        )
        return given

    def one(self, table: Table, row: int) -> Row[Any]:
        """Return one row.

        Raises
        ------
        RecordError
            When there is none.
        """
        found = self.connection.execute(select(table).where(table.c.id == row)).one_or_none()
        if found is None:
            raise RecordError(f"there is no {table.name.replace('_', ' ')} {row}.", "It may be in another record.")
        return found

    def _insert(self, table: Table, values: Mapping[str, Any]) -> int:
        for column in table.c:
            given = values.get(column.name, column.server_default)
            if given is None and not column.nullable and not column.primary_key:
                raise _needed(table, column.name)
        key = self.connection.execute(insert(table).values(**values)).inserted_primary_key
        assert key is not None
        return int(key[0])


def first_of(table: FromClause) -> ColumnElement[int]:
    """Return the id of the row a chain of what happened began with, in the words its index is made of.

    Parameters
    ----------
    table : Table
        Of the kind *happened*, or an alias of one.
    """
    return cast(func.coalesce(table.c.first, table.c.id), Integer)


def current(table: Table, *columns: Any) -> Select[Any]:
    """Select the newest row of every chain of what happened, without what was withdrawn.

    The column ``of`` is the id other tables refer to: the row the chain began with.

    Parameters
    ----------
    table : Table
        Of the kind *happened*.
    *columns
        Columns to select; all when none is given.
    """
    _expect(table, "happened")
    return _current(table) if not columns else select(first_of(table).label("of"), *columns).where(*_standing(table))


@cache  # lists are asked for again and again, and a wide table takes longer to name than to read
def _current(table: Table) -> Select[Any]:
    return select(first_of(table).label("of"), *table.c).where(*_standing(table))


@cache
def _standing(table: Table) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    """Say that a row was not withdrawn and that none corrects it; in words an index can answer alone."""
    newer = alias(table)
    return (
        table.c.withdrawn == literal_column("0"),
        ~exists(select(newer.c.id).where(newer.c.corrects == table.c.id)),
    )


def between(table: Table, first: str, last: str) -> Select[Any]:
    """Select what happened between two moments as it stands now, as :func:`current` does.

    Parameters
    ----------
    table : Table
        Of the kind *happened*.
    first, last : str
        As the record writes moments; `last` does not belong.
    """
    return current(table).where(table.c.at >= first, table.c.at < last)


def _expect(table: Table, kind: str) -> None:
    if table.info["kind"] != kind:
        raise RecordError(f"'{table.name}' is not a table of what is {kind}.")


def _needed(table: Table, name: str) -> RecordError:
    return RecordError(
        f"a {table.name.replace('_', ' ')} needs '{name.replace('_', ' ')}'; nothing was changed.", "Say what it is."
    )


def _checked(table: Table, values: Mapping[str, Any]) -> dict[str, Any]:
    """Refuse what no column can hold, before the database does it in its own words."""
    for name, value in values.items():
        if name not in table.c:
            raise RecordError(f"the record of a {table.name.replace('_', ' ')} has no '{name}'.")
        if value is None and not table.c[name].nullable:
            raise _needed(table, name)
        if isinstance(value, float) and not math.isfinite(value):
            raise RecordError(f"'{name}' is not a finite number.", "Leave it out if it is not known.")
        if isinstance(value, int) and abs(value) > LARGEST and isinstance(table.c[name].type, Integer):
            raise RecordError(
                f"'{name.replace('_', ' ')}' is a number too large to keep.", "Look whether a digit slipped in."
            )
        if isinstance(value, str) and (len(value) > LONGEST or "\x00" in value):
            raise RecordError(f"'{name}' is too long or holds a hidden sign.", "Shorten it.")
        words = table.c[name].info.get("words")
        if words and value is not None and value not in words:
            raise RecordError(f"'{value}' is no {name.replace('_', ' ')}.", f"Choose one of: {', '.join(words)}.")
    return dict(values)
