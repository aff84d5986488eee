"""Brings a database from an earlier version of the record to this one; the only file that knows alembic."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, inspect, select
from sqlalchemy.sql import column, table

from enamelwright.records.errors import ForeignRecord
from enamelwright.records.kinds import metadata
from enamelwright.records.store import APPLICATION_ID, WRITES, Store, plainly

#: Every version of the record there has been, oldest first. Known here, so that opening a record
#: that is up to date need not load what migrates; a test holds it against the revisions themselves.
REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007")
#: The version this program reads and writes.
HEAD = REVISIONS[-1]
#: Where a database says its version.
VERSION_TABLE = "alembic_version"
#: Where the revisions are.
FOLDER = Path(__file__).parent / "migrations"


def version_of(connection: Connection) -> str | None:
    """Return the version a database is of; None when it is empty.

    Parameters
    ----------
    connection : Connection
        A view of the database.

    Raises
    ------
    ForeignRecord
        When it holds tables of something else, or a version this program does not know.
    """
    known = set(inspect(connection).get_table_names())
    if VERSION_TABLE not in known:
        if not known:
            return None
        raise ForeignRecord("this database belongs to another program.", "Choose an empty one.", _place(connection))
    found: Sequence[Any] = (
        connection.execute(select(column("version_num")).select_from(table(VERSION_TABLE))).scalars().all()
    )
    if len(found) == 1 and found[0] in REVISIONS:
        return str(found[0])
    named = found[0] if len(found) == 1 else ""
    if named.isdigit() and named > HEAD:
        raise ForeignRecord(
            f"this record is of version {named} and this program knows versions up to {HEAD}.",
            "Use the newer program that wrote it, or restore a snapshot from before.",
            _place(connection),
        )
    raise ForeignRecord("this record is of no version that is known.", "Restore a snapshot.", _place(connection))


def upgrade(store: Store, to: str = HEAD) -> None:
    """Bring the database of a store to a version, in one transaction: it succeeds or nothing changes.

    Parameters
    ----------
    store : Store
        Open; empty, or of an earlier version. A second caller waits and finds it done.
    to : str
        The version; an earlier one than the newest is for tests.

    Raises
    ------
    RecordError
        As for every write.
    """
    from alembic.config import Config
    from alembic.runtime.environment import EnvironmentContext
    from alembic.script import ScriptDirectory

    script = ScriptDirectory(str(FOLDER), version_locations=[str(FOLDER / "versions")])

    def steps(current: Any, _context: Any) -> Any:
        return script._upgrade_revs(to, current)

    with plainly(store.home), store.engine.connect() as connection:
        connection = connection.execution_options(**{WRITES: True})
        if store.on_sqlite:  # a table is remade by copying it, and no reference may stop that
            _say(connection, "PRAGMA foreign_keys=OFF")
        try:
            with connection.begin(), EnvironmentContext(Config(), script, fn=steps) as environment:
                environment.configure(
                    connection=connection,
                    target_metadata=metadata,
                    version_table=VERSION_TABLE,
                    transactional_ddl=True,
                )
                environment.run_migrations()
                if store.on_sqlite:
                    _seal(connection)
        finally:
            if store.on_sqlite and not connection.invalidated:
                _say(connection, "PRAGMA foreign_keys=ON")


def _seal(connection: Connection) -> None:
    """Mark the file as ours, and see that every reference still has its row."""
    connection.exec_driver_sql(f"PRAGMA application_id={APPLICATION_ID}")
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
        raise ForeignRecord("a row refers to another that is missing.", "Restore a snapshot.", _place(connection))


def _say(connection: Connection, pragma: str) -> None:
    """Tell SQLite something outside a transaction."""
    raw = connection.connection.driver_connection
    assert raw is not None
    raw.execute(pragma)


def _place(connection: Connection) -> str:
    """Where the database is, without any password."""
    return connection.engine.url.database or connection.engine.url.render_as_string(hide_password=True)
