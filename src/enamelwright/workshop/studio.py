"""One open studio: its record, who writes, and what time it is; every use case takes one."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Connection, Row, Table, func, select

from enamelwright.records.errors import Conflict, RecordError
from enamelwright.records.home import Home
from enamelwright.records.store import Store
from enamelwright.records.writing import Author, Writing, between, moment
from enamelwright.workshop.named import Which, named
from enamelwright.workshop.typed import fields

#: The transaction that is open in this thread, so that use cases inside one another share it.
_OPEN: ContextVar[tuple[Store, Writing] | None] = ContextVar("open_transaction", default=None)
#: The view that is open in this thread, so that lists inside one another see the same moment.
_VIEW: ContextVar[tuple[Store, Connection] | None] = ContextVar("open_view", default=None)


def _now() -> datetime:
    """Tell the present moment."""
    return datetime.now(UTC)


@dataclass(frozen=True)
class Studio:
    """One open record with the person at the bench and the clock.

    Text given for a quantity is read with its unit and kept beside the SI number; a number given
    for a quantity is SI. A use case inside ``with studio.writing():`` joins that transaction, so
    that several happen together or not at all.

    Attributes
    ----------
    store : Store
        The open record.
    person : int or None
        Row of who is at the bench.
    clock : callable
        Gives the moment things happen, with its time zone.
    recorded : callable
        Gives the moment they are written down; the same unless a day on paper is told afterwards.
    device : str
        Label of the device.
    before_bench : callable, optional
        Called with the studio whenever somebody asks for its bench, outside a transaction that writes: where nothing
        learns beside it, learning is caught up with there.
    """

    store: Store
    person: int | None = None
    clock: Callable[[], datetime] = _now
    recorded: Callable[[], datetime] = _now
    device: str = "this machine"
    before_bench: Callable[[Studio], None] | None = None

    @classmethod
    def open(cls, home: Home | None = None, person: str = "") -> Studio:
        """Open the record of a home, making it when it is not there yet.

        Parameters
        ----------
        home : Home, optional
            Where it lives; the usual place when left out.
        person : str
            Label of who is at the bench; kept when new.

        Raises
        ------
        RecordError
            One sentence: why it cannot be opened and what to do.
        """
        from enamelwright.records.opening import open_store

        studio = cls(open_store(home or Home.usual()))
        return studio.as_person(person) if person else studio

    def at(self, when: datetime) -> Studio:
        """Return the same studio at another moment, at which things both happen and are written down.

        Only a demonstration does that.

        Parameters
        ----------
        when : datetime
            With its time zone; local time when it has none.
        """
        fixed = when.astimezone()
        return replace(self, clock=lambda: fixed, recorded=lambda: fixed)

    def telling(self, when: datetime) -> Studio:
        """Return the same studio telling now what happened at another moment.

        Parameters
        ----------
        when : datetime
            With its time zone; local time when it has none.
        """
        fixed = when.astimezone()
        return replace(self, clock=lambda: fixed)

    def as_person(self, label: str) -> Studio:
        """Return the same studio with somebody at the bench; a new label is kept.

        Parameters
        ----------
        label : str
            A label, never a full name.
        """
        from enamelwright.workshop.people import person

        return replace(self, person=person(self, label))

    def now(self) -> str:
        """Return the present moment as the record writes it."""
        return moment(self.clock())

    def today(self) -> date:
        """Return the present day where the workshop is."""
        return self.clock().astimezone().date()

    def close(self) -> None:
        """Let go of the database."""
        self.store.close()

    # --- transactions ----------------------------------------------------------------------------

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give one consistent view of the record; inside a transaction or another view, that one's."""
        joined = _OPEN.get()
        if joined is not None and joined[0] is self.store:
            yield joined[1].connection
            return
        view = _VIEW.get()
        if view is not None and view[0] is self.store:
            yield view[1]
            return
        with self.store.reading() as connection, _held(_VIEW, (self.store, connection)):
            yield connection

    @property
    def is_writing(self) -> bool:
        """Whether this thread is inside a transaction of this record."""
        joined = _OPEN.get()
        return joined is not None and joined[0] is self.store

    @contextmanager
    def writing(self) -> Iterator[Writing]:
        """Give one transaction, or join the one that is open; all of it happens or nothing does."""
        joined = _OPEN.get()
        if joined is not None and joined[0] is self.store:
            yield joined[1]
            return
        author = self._author(secrets.token_hex(16))
        with self.store.writing(author) as work, _held(_OPEN, (self.store, work)):
            yield work
        _VIEW.set(None)  # an older view around this would not see what was written

    def once(
        self,
        entry: str,
        work: Callable[[], Mapping[str, Any]],
        *,
        device_at: str = "",
        fingerprint: str = "",
    ) -> dict[str, Any]:
        """Do use cases for one entry of a device, however often that entry arrives.

        Parameters
        ----------
        entry : str
            Made by the device.
        work : callable
            Calls use cases of this studio and returns plain JSON; called at most once an entry.
        device_at : str
            The device's own clock, ISO 8601.
        fingerprint : str
            Hash of what was sent.

        Returns
        -------
        dict
            What `work` returned, now or the first time.
        """

        def joined(writing: Writing) -> Mapping[str, Any]:
            with _held(_OPEN, (self.store, writing)):
                return work()

        result = self.store.once(self._author(entry, device_at), joined, fingerprint)
        _VIEW.set(None)
        return result

    def _author(self, entry: str, device_at: str = "") -> Author:
        return Author(entry, device=self.device, device_at=device_at, person=self.person, now=moment(self.recorded()))

    # --- rows ------------------------------------------------------------------------------------

    def add(self, table: Table, **values: Any) -> int:
        """Add a row of what happened, now and by whoever is at the bench, and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        **values
            Columns; text for a quantity is read with its unit and kept beside it.
        """
        given = fields(table, values)
        given["at"] = given.get("at") or self.now()
        given.setdefault("who", self.person)
        with self.writing() as work:
            return work.add(table, **given)

    def correct(self, table: Table, row: int, why: str, *, seen: int | None = None, **changes: Any) -> int:
        """Correct what happened by a new row and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        row : int
            Any row of its chain; the newest is corrected.
        why : str
            Said in the history.
        seen : int, optional
            The row that was the newest when somebody was shown it; whatever is the newest when left out.
        **changes
            Columns that differ.

        Raises
        ------
        Conflict
            When it was corrected or withdrawn since `seen`; carries both values.
        """
        with self.writing() as work:
            old = self._as_seen(work, table, row, seen, changes)
            return work.correct(table, old.id, why, **fields(table, changes, old.typed))

    def withdraw(self, table: Table, row: int, why: str, *, seen: int | None = None) -> int:
        """Say that something never happened; the row stays.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        row : int
            Any row of its chain.
        why : str
            Said in the history.
        seen : int, optional
            As for :meth:`correct`.

        Raises
        ------
        Conflict
            When it was corrected or withdrawn since `seen`.
        """
        with self.writing() as work:
            return work.withdraw(table, self._as_seen(work, table, row, seen, {}).id, why)

    def _as_seen(self, work: Writing, table: Table, row: int, seen: int | None, changes: Mapping[str, Any]) -> Row[Any]:
        """Return the newest row of a chain, if it is the one somebody saw."""
        newest = self.newest(table, row)
        old = work.one(table, newest)
        if seen is not None and seen != newest:
            raise Conflict(
                "somebody corrected this entry first.", "Look at both and correct the newer one.",
                f"{table.name} {newest}", mine=fields(table, changes), theirs=dict(old._mapping),
            )  # fmt: skip
        return old

    def between(self, table: Table, first: str, last: str, *, newest_first: bool = False) -> list[Row[Any]]:
        """List what happened between two moments.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        first, last : str
            As the record writes moments; `last` does not belong.
        newest_first : bool
            Whether the newest comes first.
        """
        order = (table.c.at.desc(), table.c.id.desc()) if newest_first else (table.c.at, table.c.id)
        with self.reading() as connection:
            return list(connection.execute(between(table, first, last).order_by(*order)))

    def newest(self, table: Table, row: int) -> int:
        """Return the newest row of the chain a row belongs to.

        Parameters
        ----------
        table : Table
            Of the kind *happened*.
        row : int
            Any row of the chain.

        Raises
        ------
        RecordError
            When there is no such row.
        """
        with self.reading() as connection:
            first = select(func.coalesce(table.c.first, table.c.id)).where(table.c.id == row).scalar_subquery()
            newest = connection.execute(
                select(func.max(table.c.id)).where((table.c.id == first) | (table.c.first == first))
            ).scalar()
        if newest is None:
            raise RecordError(f"there is no {table.name.replace('_', ' ')} {row}.", "It may be in another record.")
        return int(newest)

    def keep(self, table: Table, **values: Any) -> int:
        """Begin to keep something and return its id.

        Parameters
        ----------
        table : Table
            Of the kind *kept*.
        **values
            Columns; text for a quantity is read with its unit and kept beside it.
        """
        with self.writing() as work:
            return work.keep(table, **fields(table, values))

    def change(self, table: Table, row: int, version: int | None = None, **changes: Any) -> int:
        """Change what is kept and return the new version.

        Parameters
        ----------
        table : Table
            Of the kind *kept*.
        row : int
            Its id.
        version : int, optional
            The version it was changed from, when somebody was shown it; the present one when left out.
        **changes
            Columns that differ.

        Raises
        ------
        Conflict
            When it has moved on since `version`; carries both values.
        """
        with self.writing() as work:
            old = work.one(table, row)
            return work.change(
                table, row, old.version if version is None else version, **fields(table, changes, old.typed)
            )

    def called(self, table: Table, which: Which, column: str) -> Row[Any]:
        """Return the one row people call so.

        Parameters
        ----------
        table : Table
            *Kept*, or *happened*, of which the newest state is returned.
        which : int or str
            Its row, or what stands in `column`.
        column : str
            Where people's name for it stands.
        """
        with self.reading() as connection:
            return named(connection, table, which, column)

    def change_called(self, table: Table, which: Which, column: str, version: int | None = None, **changes: Any) -> int:
        """Change what is kept and called so, and return its new version.

        Parameters
        ----------
        table : Table
            Of the kind *kept*.
        which, column
            As for :meth:`called`.
        version, **changes
            As for :meth:`change`.
        """
        with self.writing():
            return self.change(table, self.called(table, which, column).id, version, **changes)


@contextmanager
def _held(place: ContextVar[Any], what: tuple[Store, Any]) -> Iterator[None]:
    """Let use cases of this thread join a transaction or a view."""
    token = place.set(what)
    try:
        yield
    finally:
        place.reset(token)
