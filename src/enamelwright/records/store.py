"""Opens the record and hands out transactions; the only place that knows which database it is."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, select, text
from sqlalchemy.exc import DBAPIError

from enamelwright.records.errors import ForeignRecord, NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.refusals import beyond, refusal
from enamelwright.records.writing import Author, Writing

#: Marks an SQLite file as a record of ours: "EnWr" in ASCII.
APPLICATION_ID = 0x456E5772
#: How long one bench waits for another that is writing [ms].
PATIENCE = 10_000
#: What a connection to SQLite may hold of the file in memory [KiB]; its usual 2 MiB are less than ten years of loads.
CACHE = 32_768
#: How long a PostgreSQL that does not answer is waited for [s].
ANSWER = 10
#: What SQLite's driver says of a whole number of more than 64 bits.
_BEYOND_SQLITE = "too large to convert to SQLite"
#: One number all writers on PostgreSQL queue at, so that both databases have one writer at a time.
QUEUE = 0x456E5772
_SQLITE_HEAD = b"SQLite format 3\x00"
#: Option of a connection whose transactions write; everybody else only looks.
WRITES = "enamelwright_writes"


class Store:
    """One open record.

    Parameters
    ----------
    home : Home
        Where it lives.
    engine : Engine
        Made by :func:`open_store`.
    """

    def __init__(self, home: Home, engine: Engine) -> None:
        self.home = home
        self.engine = engine

    @property
    def on_sqlite(self) -> bool:
        """Whether the database is SQLite."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give one consistent view of the record."""
        with plainly(self.home), self.engine.connect() as connection:
            if not self.on_sqlite:  # whose usual transaction sees what others write while it runs
                connection = connection.execution_options(isolation_level="REPEATABLE READ")
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self, author: Author | None = None) -> Iterator[Writing]:
        """Give one transaction; everything in it happens or nothing does.

        Parameters
        ----------
        author : Author, optional
            Entry id, device and person; made here when left out.

        Raises
        ------
        RecordError
            With a subclass for a full disk, a damaged file or a conflict; nothing was changed.
        """
        with plainly(self.home), self.engine.connect() as connection:
            connection = connection.execution_options(**{WRITES: True})
            with connection.begin():
                work = Writing(connection, author or Author.here())
                work.begin()
                yield work
                work.end()

    @contextmanager
    def keeping_house(self) -> Iterator[Connection]:
        """Give one transaction for what the house keeps for itself; it leaves no device entry.

        Nothing of the studio is written this way: only copies that were taken, when a device spoke last, and the like.
        """
        with plainly(self.home), self.engine.connect() as connection:
            connection = connection.execution_options(**{WRITES: True})
            with connection.begin():
                yield connection

    def once(
        self, author: Author, work: Callable[[Writing], Mapping[str, Any]], fingerprint: str = ""
    ) -> dict[str, Any]:
        """Do a piece of work for one device entry, however often that entry arrives.

        Parameters
        ----------
        author : Author
            Carries the entry id.
        work : callable
            Writes and returns plain JSON; called at most once an entry.
        fingerprint : str
            Hash of what was sent; a known entry with another fingerprint is refused.

        Returns
        -------
        dict
            What `work` returned, now or the first time.

        Raises
        ------
        RecordError
            When the entry id was used for something else.
        """
        from enamelwright.records.schema.house import device_entry

        with plainly(self.home), self.engine.connect() as connection:
            connection = connection.execution_options(**{WRITES: True})
            with connection.begin():
                known = connection.execute(
                    select(device_entry.c.fingerprint, device_entry.c.result).where(
                        device_entry.c.entry == author.entry
                    )
                ).one_or_none()
                if known is not None:
                    if (known.fingerprint or "") != fingerprint:
                        raise RecordError(
                            "this entry id was used before for something else.", "Send it again under a new id."
                        )
                    return dict(known.result or {})
                writing = Writing(connection, author)
                writing.begin(fingerprint)
                result = dict(work(writing))
                writing.end(result)
                return result

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def connect(home: Home) -> Store:
    """Open the database of a home as it is, without looking at its version.

    Parameters
    ----------
    home : Home
        Where it lives; the folder is made when missing.

    Raises
    ------
    ForeignRecord
        When the file is no SQLite database or belongs to another program.
    NoRoom
        When the folder cannot be made.
    """
    try:
        home.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NoRoom(f"this folder cannot be used ({error.strerror}).", "Choose another.", str(home.folder)) from error
    if home.on_sqlite:
        _look_at(home)
        engine = create_engine(f"sqlite:///{home.database}")
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        url = make_url(_with_driver(home.url))
        # Compiling a query costs PostgreSQL more than any list of ours takes.
        usual = {"options": "-c jit=off", "connect_timeout": ANSWER}
        engine = create_engine(url, connect_args={name: one for name, one in usual.items() if name not in url.query})
        event.listen(engine, "begin", _begin_postgresql)
    return Store(home, engine)


def _with_driver(url: str) -> str:
    for plain in ("postgres://", "postgresql://"):
        if url.startswith(plain):
            return "postgresql+psycopg://" + url[len(plain) :]
    if not url.startswith("postgresql+psycopg://"):
        raise RecordError("a database URL begins with postgresql://.", "Leave it out to keep the record in a file.")
    return url


def _look_at(home: Home) -> None:
    """Refuse a file that SQLite did not write, or that another program did; begin one where there is none."""
    path = home.database
    if not path.exists() or path.stat().st_size == 0:
        _begin(path)
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except OSError as error:
        raise ForeignRecord(
            f"this file cannot be read ({error.strerror}).", "Look at the folder.", str(path)
        ) from error
    if not head.startswith(_SQLITE_HEAD):
        raise ForeignRecord("this is no SQLite database.", "Restore a snapshot, or move the file away.", str(path))
    mark = int.from_bytes(head[68:72], "big")
    if mark != APPLICATION_ID:
        raise ForeignRecord("this database belongs to another program.", "Choose another data folder.", str(path))


def _begin(path: Path) -> None:
    """Mark a new file as ours before anything else is written, so that no crash leaves it unmarked."""
    try:
        connection = sqlite3.connect(path, isolation_level=None)
        try:
            connection.execute(f"PRAGMA busy_timeout={PATIENCE}")
            connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
        finally:
            connection.close()
    except sqlite3.OperationalError as error:
        raise NoRoom("this folder cannot be written to.", "Choose another, or free some space.", str(path)) from error


def _prepare_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None  # we say BEGIN ourselves
    for pragma in (
        f"busy_timeout={PATIENCE}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "trusted_schema=OFF",
        "cell_size_check=ON",
        f"cache_size=-{CACHE}",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    if connection.get_execution_options().get(WRITES, False):
        connection.execute(text(f"SET LOCAL lock_timeout = {PATIENCE}"))  # [ms]; without it a wait has no end
        connection.execute(text("SELECT pg_advisory_xact_lock(:queue)"), {"queue": QUEUE})


@contextmanager
def plainly(home: Home) -> Iterator[None]:
    """Turn what a database says into one sentence.

    Parameters
    ----------
    home : Home
        Named in the sentence.

    Yields
    ------
    None
        Raises a :class:`RecordError` in place of what the database raised.
    """
    place = str(home.database) if home.on_sqlite else "the database"
    try:
        yield
    except DBAPIError as error:
        plain = refusal(error, place, on_sqlite=home.on_sqlite)
        if plain is None:
            raise
        raise plain from error
    except UnicodeEncodeError as error:  # half of a sign that takes two; neither driver can send it
        raise beyond() from error
    except OverflowError as error:
        if _BEYOND_SQLITE not in str(error):
            raise
        raise beyond() from error
