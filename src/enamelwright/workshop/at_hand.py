"""What was read from a whole record stays at hand until something is written that it was read from."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

from sqlalchemy import Table, func, select

from enamelwright.records.schema.house import past_version
from enamelwright.records.store import Store
from enamelwright.workshop.studio import Studio

T = TypeVar("T")


class AtHand(Generic[T]):
    """One thing of one record: the last that was asked for.

    Parameters
    ----------
    *tables : Table
        All it is read from. Whatever is written in one of them is a new row there, or leaves one among past versions.
    """

    def __init__(self, *tables: Table) -> None:
        newest = (select(func.max(table.c.id)).scalar_subquery() for table in (past_version, *tables))
        self._marks = select(*newest)
        self._last: tuple[tuple[Store, Hashable, tuple[int, ...]], T] | None = None

    def get(self, studio: Studio, read: Callable[[], T], of: Hashable = None) -> T:
        """Return it as it was read last, or read it anew.

        Parameters
        ----------
        studio : Studio
            The studio.
        read : callable
            Reads it, in the same view of the record.
        of : hashable
            What it depends on beside the record.
        """
        if studio.is_writing:  # what is not yet written for good may be taken back
            return read()
        with studio.reading() as connection:
            key = studio.store, of, tuple(connection.execute(self._marks).one())
            last = self._last
            if last is None or last[0] != key:
                self._last = last = None  # a long record takes room twice otherwise
                self._last = last = key, read()
        return last[1]
