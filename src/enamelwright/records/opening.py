"""Opens the record of a home, whatever state it is in: new, up to date, of an earlier version, or foreign."""

from __future__ import annotations

from enamelwright.records.errors import RecordError
from enamelwright.records.home import Home
from enamelwright.records.migrate import HEAD, upgrade, version_of
from enamelwright.records.store import Store, connect


def open_store(home: Home) -> Store:
    """Open a record; make it when there is none, and bring it up to date when it is of an earlier version.

    Before an earlier version is touched, a snapshot of it is taken and read back; when that fails,
    the record stays as it was.

    Parameters
    ----------
    home : Home
        Where it lives.

    Raises
    ------
    ForeignRecord
        When it is damaged, belongs to another program or was written by a later version of this one.
    NoRoom
        When it cannot be written.
    RecordError
        When the database does not answer.
    """
    try:
        store = connect(home)
    except ModuleNotFoundError as error:
        raise RecordError("PostgreSQL needs one more package.", "Install enamelwright[postgresql].") from error
    try:
        with store.reading() as connection:
            version = version_of(connection)
        if version == HEAD:
            return store
        if version is None:
            upgrade(store)
        else:
            from enamelwright.records.snapshots import note, take

            snapshot = take(store, "before migration")
            upgrade(store)
            note(store, snapshot, "before migration")
    except BaseException:
        store.close()
        raise
    return store
