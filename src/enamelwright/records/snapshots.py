"""Snapshots: verified copies of the record, taken while it is in use, and thinned out with time.

A snapshot of SQLite is one SQLite file; a snapshot of PostgreSQL is an archive without its photos.
Both are read back before they count. Photos are named by their content and never change, so they
are not copied again with every snapshot; :mod:`enamelwright.records.outside` takes them along.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from enamelwright.records.errors import ForeignRecord, NoRoom, RecordError
from enamelwright.records.migrate import VERSION_TABLE
from enamelwright.records.store import APPLICATION_ID, PATIENCE, Store
from enamelwright.records.writing import moment as written_now

Reason = Literal["before migration", "before restore", "close of day", "asked for", "outside copy"]
#: How many days keep their last snapshot; beyond them the last one of each month stays.
DAYS_KEPT = 14
#: Every write leaves one row there, and none is ever taken out: their count tells whether anything was written.
ENTRIES = "device_entry"
#: What a file is called until it is whole, and for how long [s] it may be somebody's work.
PART, STALE = ".part-", 86_400
#: Bytes read at once when a file is hashed or copied.
CHUNK = 1 << 20
#: Where SQLite keeps the mark of a program in the head of its file, and the number of bytes of a head.
MARK_AT, HEAD = slice(68, 72), 100
_NAME = re.compile(r"studio-(?P<at>\d{8}T\d{9})Z-(?P<reason>[a-z-]+)(?:-(?P<more>\d+))?\.(?:sqlite|zip)")
_CLOCK = "%Y%m%dT%H%M%S%f"
_REASONS: tuple[Reason, ...] = ("before migration", "before restore", "close of day", "asked for", "outside copy")
#: Taken of a record that is about to be changed as a whole, so nothing is written into it.
_SILENT = ("before migration", "before restore")


@dataclass(frozen=True)
class Snapshot:
    """One copy of the record.

    Attributes
    ----------
    path : Path
        The file.
    at : datetime
        When it was taken, UTC.
    reason : str
        Why.
    """

    path: Path
    at: datetime
    reason: Reason


def take(store: Store, reason: Reason, at: datetime | None = None) -> Path:
    """Take a snapshot, read it back and return its file.

    Works on a database of any version, so that it can run before a migration or a restore; those two
    are not written into the record by this function: call :func:`note` once it is up to date.

    Parameters
    ----------
    store : Store
        The open record; others may go on writing.
    reason : str
        ``before migration``, ``before restore``, ``close of day``, ``asked for`` or ``outside copy``.
    at : datetime, optional
        The moment in its name; now when left out.

    Returns
    -------
    Path
        A file that has been read back: whole, every reference met, as many rows as the record had.

    Raises
    ------
    NoRoom
        When the disk is full; nothing is left behind.
    ForeignRecord
        When the copy or the record itself is damaged; nothing is left behind.
    """
    folder = store.home.snapshots
    moment = (at or datetime.now(UTC)).astimezone(UTC)
    with _room(folder):
        folder.mkdir(parents=True, exist_ok=True)
    target = _free_name(folder, moment, reason, "sqlite" if store.on_sqlite else "zip")
    part = folder / f"{PART}{os.getpid()}-{target.name}"
    try:
        with _room(folder):
            if store.on_sqlite:
                expected = _copy_sqlite(store.home.database, part)
            else:
                from enamelwright.records.archive import write_archive

                expected = write_archive(store, part, photos=False, zipped=True).rows
            settle(part)
            found = verify(part)
            if found != expected:
                raise ForeignRecord("the copy does not hold what the record holds.", "Try again.", str(part))
            digest = digest_of(part)
            _write_digest(target, digest)
            part.replace(target)
            settle(folder)
    except BaseException:
        beside(target).unlink(missing_ok=True)
        raise
    finally:
        part.unlink(missing_ok=True)
        Path(f"{part}-journal").unlink(missing_ok=True)
    if reason not in _SILENT:
        note(store, target, reason, entries=found[ENTRIES])
    return target


def note(store: Store, path: Path, reason: Reason, *, outside: bool = False, entries: int | None = None) -> None:
    """Write into the record that a verified snapshot was taken; that is no entry of a device.

    Parameters
    ----------
    store : Store
        An up-to-date record.
    path : Path
        The snapshot.
    reason : str
        As for :func:`take`.
    outside : bool
        Whether it lies in a second place.
    entries : int, optional
        How many device entries it holds; without it the next close of day takes another.
    """
    from sqlalchemy import insert

    from enamelwright.records.schema.house import snapshot_taken

    file = str(path) if outside else path.name
    row = {"reason": reason, "file": file, "sha256": digest_of(path), "verified": True, "outside": outside}
    with store.keeping_house() as connection:
        connection.execute(insert(snapshot_taken).values(at=written_now(), entries=entries, **row))


def taken(folder: Path) -> list[Snapshot]:
    """Return the snapshots of a folder, newest first; other files are not looked at.

    Parameters
    ----------
    folder : Path
        A home's folder of snapshots, or a second place.
    """
    found = []
    for path in folder.iterdir() if folder.is_dir() else ():
        match = _NAME.fullmatch(path.name)
        reason = match["reason"].replace("-", " ") if match else ""
        if match and reason in _REASONS and path.is_file():
            known = next(one for one in _REASONS if one == reason)
            at = datetime.strptime(match["at"] + "000", _CLOCK).replace(tzinfo=UTC)
            found.append((at, int(match["more"] or 1), Snapshot(path, at, known)))
    return [snapshot for _, _, snapshot in sorted(found, key=lambda one: one[:2], reverse=True)]


def verify(path: Path) -> dict[str, int]:
    """Read a snapshot back and return how many rows each table holds.

    Parameters
    ----------
    path : Path
        A snapshot of either kind.

    Raises
    ------
    ForeignRecord
        When it is damaged, was changed since it was taken, or is no snapshot.
    """
    if not path.is_file():
        raise ForeignRecord("there is no such snapshot.", "", str(path))
    if beside(path).exists() and beside(path).read_text("utf-8", "replace").split(" ")[0] != digest_of(path):
        raise ForeignRecord("this snapshot was changed since it was taken.", "Use another one.", str(path))
    with path.open("rb") as file:
        head = file.read(HEAD)
    if head.startswith(b"PK"):
        from enamelwright.records.archive_in import Archive

        with Archive.open(path) as archive:
            return archive.check()
    if len(head) < HEAD or int.from_bytes(head[MARK_AT], "big") != APPLICATION_ID:
        raise ForeignRecord("this is no snapshot of a studio's record.", "Use another one.", str(path))
    return _verify_sqlite(path)


def version_of(path: Path) -> str:
    """Return which version of the record a snapshot holds; empty when it does not say.

    Parameters
    ----------
    path : Path
        A snapshot of either kind, already verified.
    """
    if path.suffix == ".zip":
        from enamelwright.records.archive_in import Archive

        with Archive.open(path) as archive:
            return archive.version
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as copy:
        try:
            found = copy.execute(f"SELECT version_num FROM {VERSION_TABLE}").fetchone()
        except sqlite3.DatabaseError:
            return ""
    return str(found[0]) if found else ""


def prune(folder: Path) -> list[Path]:
    """Remove snapshots that are no longer worth their room, and return them.

    Kept: every snapshot of the newest day, the last one of each of the newest fourteen days, the
    last one of every month, and the newest ones taken before a migration and before a restore. Days
    are those of UTC.

    Parameters
    ----------
    folder : Path
        A home's folder of snapshots, or a second place.
    """
    snapshots = taken(folder)
    last_of_day: dict[str, Snapshot] = {}
    last_of_month: dict[str, Snapshot] = {}
    for snapshot in snapshots:  # newest first, so the first one seen is the last one taken
        last_of_day.setdefault(f"{snapshot.at:%Y-%m-%d}", snapshot)
        last_of_month.setdefault(f"{snapshot.at:%Y-%m}", snapshot)
    kept = {one.path for one in [*last_of_day.values()][:DAYS_KEPT]} | {one.path for one in last_of_month.values()}
    kept |= {one.path for one in snapshots if one.at.date() == snapshots[0].at.date()}
    for reason in _SILENT:
        kept |= {one.path for one in [one for one in snapshots if one.reason == reason][:1]}
    gone = [one.path for one in snapshots if one.path not in kept]
    for path in gone:
        path.unlink(missing_ok=True)
        beside(path).unlink(missing_ok=True)
    for part in folder.glob(f"{PART}*"):  # what a crash left half written
        if part.stat().st_mtime < time.time() - STALE:
            part.unlink(missing_ok=True)
    return gone


def close_of_day(store: Store, at: datetime | None = None) -> Path | None:
    """Take the day's snapshot when something was written since the last one, and thin out the old.

    Parameters
    ----------
    store : Store
        The open record.
    at : datetime, optional
        Now when left out.

    Returns
    -------
    Path or None
        None when nothing was written since.
    """
    from sqlalchemy import func, select

    from enamelwright.records.schema.house import device_entry, snapshot_taken

    with store.reading() as view:  # counted, not told by the clock, which may have been wrong once
        last = view.execute(
            select(snapshot_taken.c.entries)
            .where(snapshot_taken.c.outside == False)  # noqa: E712 - SQL
            .order_by(snapshot_taken.c.id.desc())
            .limit(1)
        ).scalar()
        written = view.execute(select(func.count()).select_from(device_entry)).scalar_one()
    if last is not None and last == written:
        return None
    path = take(store, "close of day", at)
    prune(store.home.snapshots)
    return path


def beside(path: Path) -> Path:
    """Return the small file beside a snapshot that holds its hash, in the form ``sha256sum -c`` reads."""
    return path.with_name(path.name + ".sha256")


def digest_of(path: Path) -> str:
    """Return the SHA-256 of a file, in hexadecimal."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while part := file.read(CHUNK):
            digest.update(part)
    return digest.hexdigest()


def settle(path: Path) -> None:
    """Put a file, or the names in a folder, onto the disk itself."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        if not path.is_dir():  # some file systems of sticks cannot do it for a folder
            raise
    finally:
        os.close(handle)


def _write_digest(target: Path, digest: str) -> None:
    with beside(target).open("w", encoding="utf-8") as out:
        out.write(f"{digest}  {target.name}\n")
        out.flush()
        os.fsync(out.fileno())


def _free_name(folder: Path, at: datetime, reason: str, ending: str) -> Path:
    stem = f"studio-{at.strftime(_CLOCK)[:-3]}Z-{reason.replace(' ', '-')}"
    target, more = folder / f"{stem}.{ending}", 1
    while target.exists():
        more += 1
        target = folder / f"{stem}-{more}.{ending}"
    return target


def _copy_sqlite(database: Path, target: Path) -> dict[str, int]:
    """Copy a database in use through SQLite's own backup, and return the rows it had at that moment.

    The rows are counted in the read transaction the copy is made from, so both see the same state.
    """
    source = sqlite3.connect(f"{database.resolve().as_uri()}?mode=rw", uri=True, isolation_level=None)
    with closing(source), closing(sqlite3.connect(target, isolation_level=None)) as copy:
        source.execute(f"PRAGMA busy_timeout={PATIENCE}")
        source.execute("BEGIN")
        rows = _count(source)
        source.backup(copy)
        source.execute("COMMIT")
        # One file that can be read from a write-protected stick: no write-ahead log beside it.
        copy.execute("PRAGMA journal_mode=DELETE")
    return rows


def _verify_sqlite(path: Path) -> dict[str, int]:
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as copy:
            whole = [row[0] for row in copy.execute("PRAGMA integrity_check(1)")] == ["ok"]
            if not whole or copy.execute("PRAGMA foreign_key_check").fetchone() is not None:
                raise ForeignRecord("this snapshot is damaged.", "Use another one.", str(path))
            return _count(copy)
    except sqlite3.DatabaseError as error:
        raise ForeignRecord("this snapshot is damaged.", "Use another one.", str(path)) from error


def _count(connection: sqlite3.Connection) -> dict[str, int]:
    names = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite!_%' ESCAPE '!' AND name <> ?"
        " ORDER BY name",
        (VERSION_TABLE,),
    ).fetchall()
    return {name: int(connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]) for (name,) in names}


@contextmanager
def _room(folder: Path) -> Iterator[None]:
    """Say in one sentence that there is no room, or that the database could not be copied."""
    try:
        yield
    except OSError as error:
        raise NoRoom(
            f"the snapshot cannot be written ({error.strerror or type(error).__name__}); the record is untouched.",
            "Free some space and try again.", str(folder),
        ) from error  # fmt: skip
    except sqlite3.DatabaseError as error:
        said = str(error).lower()
        if "full" in said or "i/o" in said or "unable to open" in said:
            raise NoRoom(
                "the snapshot cannot be written; the record is untouched.",
                "Free some space and try again.",
                str(folder),
            ) from error
        if "locked" in said or "busy" in said:
            raise RecordError("another bench is writing; no snapshot was taken.", "Try again in a moment.") from error
        raise ForeignRecord("the record is damaged.", "Restore the newest snapshot.", str(folder)) from error
