"""Looks a whole record over for damage: every page, every index, every reference."""

from __future__ import annotations

from sqlalchemy import Connection, alias, exists, select

from enamelwright.records.errors import ForeignRecord
from enamelwright.records.kinds import tables
from enamelwright.records.store import Store


def look_over(store: Store) -> None:
    """Read all of a record and return when it is sound; takes as long as the record is big.

    Parameters
    ----------
    store : Store
        The open record; others may go on writing.

    Raises
    ------
    ForeignRecord
        When a page is damaged, an index disagrees with its table or a row refers to one that is missing.
    """
    place = str(store.home.database) if store.on_sqlite else "the database"
    with store.reading() as view:
        if store.on_sqlite:
            said = view.exec_driver_sql("PRAGMA integrity_check(1)").scalar()
            broken = said != "ok" or view.exec_driver_sql("PRAGMA foreign_key_check").first() is not None
        else:
            broken = _unmet(view)
    if broken:
        raise ForeignRecord("the database is damaged.", "Restore the newest snapshot.", place)


def _unmet(view: Connection) -> bool:
    """Whether any row refers to one that is missing; reads every row of every table on the way."""
    for table in tables():
        for column in table.columns:
            for key in column.foreign_keys:
                other = alias(key.column.table)
                met = exists().where(other.c[key.column.name] == column)
                if view.execute(select(column).where(column.is_not(None), ~met).limit(1)).first() is not None:
                    return True
    return False
