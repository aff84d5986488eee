"""Builds a whole record beside the present one, and puts it in its place in one step.

SQLite: a file in a folder of its own, which SQLite's own backup then writes over the present database
in one transaction. PostgreSQL: a schema of its own, whose tables then take the place of the present
ones in one transaction. Until that step nothing of the present record is touched.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import inspect, make_url, text
from sqlalchemy.exc import ProgrammingError

from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.snapshots import STALE, settle
from enamelwright.records.store import PATIENCE, Store, connect, plainly

#: The schema a record is built in on PostgreSQL.
SCHEMA = "enamelwright_incoming"
#: Folders a record is built in on SQLite.
_INCOMING = ".incoming-"
#: Files SQLite keeps beside a database.
_BESIDE = ("-wal", "-shm", "-journal")


@contextmanager
def elsewhere(home: Home) -> Iterator[Home]:
    """Give a home of its own to build a record in; it is gone afterwards.

    Parameters
    ----------
    home : Home
        The one the record will go to.

    Yields
    ------
    Home
        With an empty database of the same sort.

    Raises
    ------
    NoRoom
        When there is no room to build in.
    """
    folder = home.folder / f"{_INCOMING}{os.getpid()}"
    try:
        for old in [folder, *_stale(home.folder)]:  # left by one that was cut off
            shutil.rmtree(old, ignore_errors=True)
        folder.mkdir(parents=True)
        if home.on_sqlite:
            yield Home(folder)
            return
        with _schema(home) as url:
            yield Home(folder, url)
    except OSError as error:
        raise NoRoom(
            f"the record cannot be built ({error.strerror or type(error).__name__}); the present one is untouched.",
            "Free some space and try again.", str(home.folder),
        ) from error  # fmt: skip
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _stale(folder: Path) -> list[Path]:
    return [one for one in folder.glob(f"{_INCOMING}*") if one.stat().st_mtime < time.time() - STALE]


def put_in_place(incoming: Home, home: Home, *, damaged: bool = False) -> Path | None:
    """Let a finished record take the place of the present one.

    Parameters
    ----------
    incoming : Home
        From :func:`elsewhere`; every store on it is closed.
    home : Home
        Where it goes.
    damaged : bool
        Whether the present SQLite file cannot be read, and is moved aside instead of written over.

    Returns
    -------
    Path or None
        Where the damaged file went.
    """
    if not home.on_sqlite:
        _swap_tables(home)
        return None
    aside = _move_aside(home.database) if damaged and home.database.exists() else None
    if home.database.exists():
        _write_over(incoming.database, home.database)
    else:
        for ending in _BESIDE:  # left by a database that is gone; it must not be taken for part of the new one
            Path(f"{home.database}{ending}").unlink(missing_ok=True)
        settle(incoming.database)
        incoming.database.replace(home.database)
        settle(home.folder)
    return aside


def _write_over(source: Path, target: Path) -> None:
    """Copy one database over another in one transaction; whoever has it open sees the new state next."""
    try:
        with closing(sqlite3.connect(source)) as new, closing(sqlite3.connect(target, isolation_level=None)) as old:
            old.execute(f"PRAGMA busy_timeout={PATIENCE}")
            old.execute("PRAGMA synchronous=FULL")
            new.backup(old)
    except sqlite3.OperationalError as error:
        if "locked" in str(error):
            raise RecordError(
                "another program is using the record; nothing was changed.", "Close it and try again.", str(target)
            ) from error
        raise NoRoom(
            "the record cannot be written; nothing was changed.", "Free some space and try again.", str(target)
        ) from error


def _move_aside(database: Path) -> Path:
    """Move a damaged database, with what belongs to it, out of the way; nothing is thrown away."""
    aside = database.with_name(f"{database.name}.damaged-{datetime.now(UTC):%Y%m%dT%H%M%S%f}")
    for ending in ("", *_BESIDE):
        part = Path(f"{database}{ending}")
        if part.exists():
            part.replace(f"{aside}{ending}")
    settle(database.parent)
    return aside


@contextmanager
def _schema(home: Home) -> Iterator[str]:
    """Make an empty schema, and give the URL under which everything happens inside it."""
    store = connect(home)
    try:
        with plainly(home), store.engine.begin() as connection:
            connection.execute(text(f"DROP SCHEMA IF EXISTS {SCHEMA} CASCADE"))  # left by one that was cut off
            connection.execute(text(f"CREATE SCHEMA {SCHEMA}"))
        url = make_url(home.url)
        given = url.query.get("options", "")
        options = f"{given if isinstance(given, str) else ' '.join(given)} -csearch_path={SCHEMA}".strip()
        try:
            yield url.update_query_dict({"options": options}).render_as_string(hide_password=False)
        finally:
            with plainly(home), store.engine.begin() as connection:
                connection.execute(text(f"DROP SCHEMA IF EXISTS {SCHEMA} CASCADE"))
    except ProgrammingError as error:
        raise RecordError(
            "this user may not make a schema in the database; nothing was changed.",
            "Grant CREATE on the database, or use an empty one of your own.",
        ) from error
    finally:
        store.close()


def _swap_tables(home: Home) -> None:
    store: Store = connect(home)
    try:
        with store.keeping_house() as connection:
            quote = connection.dialect.identifier_preparer.quote
            looking = inspect(connection)
            here = quote(str(connection.execute(text("SELECT current_schema()")).scalar_one()))
            for name in looking.get_table_names():
                connection.execute(text(f"DROP TABLE {here}.{quote(name)} CASCADE"))
            connection.execute(text(f"DROP FUNCTION IF EXISTS {here}.never_change()"))
            for name in looking.get_table_names(schema=SCHEMA):
                connection.execute(text(f"ALTER TABLE {SCHEMA}.{quote(name)} SET SCHEMA {here}"))
            connection.execute(text(f"ALTER FUNCTION {SCHEMA}.never_change() SET SCHEMA {here}"))
    finally:
        store.close()
