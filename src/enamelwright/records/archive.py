"""Writes the whole record as plain files: a CSV for every table, a manifest with hashes, the photos.

The same record gives the same bytes, on either database and on any day, so two archives can be
compared. Written beside its place first and moved there when whole.
"""

from __future__ import annotations

import csv
import hashlib
import io
import os
import shutil
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, Protocol

from sqlalchemy import Column, Connection, ForeignKeyConstraint, MetaData, Table, func, inspect, select, text

from enamelwright.records.archive_form import (
    MANIFEST,
    READ_ME,
    READ_ME_TEXT,
    Manifest,
    TablePart,
    columns_of,
    is_hash,
    to_cell,
)
from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.migrate import VERSION_TABLE
from enamelwright.records.photos import ENDINGS, place_of, whole
from enamelwright.records.store import Store

#: Told a fraction done and some words; answers whether to go on.
Progress = Callable[[float, str], bool]
#: Rows fetched at once.
BATCH = 2000
#: A ZIP file cannot leave the date out; this is the earliest it can write.
_NO_DATE = (1980, 1, 1, 0, 0, 0)
_READABLE = 0o644 << 16
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Written:
    """What an archive holds.

    Attributes
    ----------
    path : Path
        The folder or ZIP file.
    rows : dict
        Rows of each table.
    photos : int
        How many pictures.
    missing : tuple of str
        Hashes of pictures the record names and the folder does not hold whole.
    """

    path: Path
    rows: dict[str, int]
    photos: int
    missing: tuple[str, ...]


def write_archive(
    store: Store,
    target: Path,
    *,
    photos: bool = True,
    zipped: bool | None = None,
    progress: Progress | None = None,
) -> Written:
    """Write everything the record holds to a folder or a ZIP file.

    Parameters
    ----------
    store : Store
        The open record, of any version; others may go on writing.
    target : Path
        A new folder, or a file that ends in ``.zip``; an existing one is not overwritten.
    photos : bool
        Whether the pictures go along.
    zipped : bool, optional
        Whether to write a ZIP file; told by the ending when left out.
    progress : callable, optional
        ``progress(fraction, words) -> go on``.

    Raises
    ------
    NoRoom
        When it cannot be written; nothing is left behind.
    RecordError
        When the target exists, or `progress` said to stop; nothing is left behind.
    """
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        raise RecordError("there is something here already.", "Choose a new name.", str(target))
    one_file = target.suffix == ".zip" if zipped is None else zipped
    part = target.with_name(f".part-{os.getpid()}-{target.name}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _Zip(part) if one_file else _Folder(part) as out, store.reading() as view:
            _one_view(view)
            written = _Writer(view, store.home, out, progress or (lambda fraction, words: True)).write(target, photos)
        with suppress(FileNotFoundError):
            if not one_file:
                target.rmdir()  # an empty folder may stand where the archive goes
        part.replace(target)
    except OSError as error:
        raise NoRoom(
            f"the archive cannot be written ({error.strerror or type(error).__name__}); the record is untouched.",
            "Free some space or choose another place.", str(target),
        ) from error  # fmt: skip
    finally:
        if part.is_dir():
            shutil.rmtree(part, ignore_errors=True)
        else:
            part.unlink(missing_ok=True)
    return written


def tables_in(connection: Connection) -> tuple[list[Table], str]:
    """Return the tables a database really has, each after those it refers to, and its version.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    """
    looking, found = inspect(connection), MetaData()
    columns, keys = looking.get_multi_columns(), looking.get_multi_pk_constraint()
    for place, references in looking.get_multi_foreign_keys().items():
        primary = keys[place]["constrained_columns"]
        Table(
            place[1],
            found,
            *(Column(one["name"], one["type"], primary_key=one["name"] in primary) for one in columns[place]),
            *(
                ForeignKeyConstraint(
                    one["constrained_columns"], [f"{one['referred_table']}.{name}" for name in one["referred_columns"]]
                )
                for one in references
            ),
        )
    version_table = found.tables.get(VERSION_TABLE)
    version = ""
    if version_table is not None:
        version = str(connection.execute(select(version_table.c.version_num)).scalar() or "")
    return [table for table in found.sorted_tables if table.name != VERSION_TABLE], version


def _one_view(connection: Connection) -> None:
    """Make every query of a transaction see the same moment; SQLite does so by itself."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY"))


class _Writer:
    """Writes one archive from one view of the record."""

    def __init__(self, view: Connection, home: Home, out: _Out, progress: Progress) -> None:
        self.view, self.home, self.out, self.progress = view, home, out, progress
        self.done, self.total = 0, 1

    def write(self, target: Path, photos: bool) -> Written:
        tables, version = tables_in(self.view)
        rows = {
            table.name: int(self.view.execute(select(func.count()).select_from(table)).scalar_one()) for table in tables
        }
        pictures, missing = self._pictures(tables) if photos else ({}, ())
        self.total = max(1, sum(rows.values()) + len(pictures))
        parts = {table.name: self._table(table, rows[table.name]) for table in sorted(tables, key=lambda one: one.name)}
        sizes = {}
        for name, path in sorted(pictures.items()):
            sizes[name] = path.stat().st_size
            with self.out.file(f"photos/{name}", packed=False) as out, path.open("rb") as source:
                shutil.copyfileobj(source, out, _CHUNK)
            self._tick(1, "photos")
        manifest = Manifest(
            record=version, tables=parts, photos=sizes, photos_missing=missing, photos_left_out=not photos
        )
        for name, content in ((READ_ME, READ_ME_TEXT), (MANIFEST, manifest.model_dump_json(indent=1) + "\n")):
            with self.out.file(name, packed=True) as out:
                out.write(content.encode())
        self.progress(1.0, "done")
        return Written(target, rows, len(sizes), missing)

    def _table(self, table: Table, expected: int) -> TablePart:
        columns = columns_of(table)
        keys = list(table.primary_key.columns)
        if self.view.dialect.name == "postgresql":  # its own order of text depends on the language of the machine
            order = [key.collate("C") if key.type.python_type is str else key for key in keys]
        else:
            order = list(keys)
        # Columns as plain text and numbers: what is JSON stays the very text that was stored.
        found = self.view.execution_options(stream_results=True, yield_per=BATCH).execute(
            select(*(table.c[column.name] for column in columns)).order_by(*order)
        )
        with self.out.file(f"tables/{table.name}.csv", packed=True) as raw:
            counting = _Counting(raw)
            lines = io.TextIOWrapper(io.BufferedWriter(counting, _CHUNK), encoding="utf-8", newline="")
            sheet = csv.writer(lines, lineterminator="\r\n")
            sheet.writerow([column.name for column in columns])
            count = 0
            for batch in found.partitions(BATCH):
                sheet.writerows([[to_cell(value) for value in row] for row in batch])
                count += len(batch)
                self._tick(len(batch), table.name.replace("_", " "))
            lines.flush()
            lines.detach().detach()
        if count != expected:
            raise RecordError("the record changed while it was read.", "Try again.", table.name)
        return TablePart(columns=columns, rows=count, bytes=counting.size, sha256=counting.digest.hexdigest())

    def _pictures(self, tables: list[Table]) -> tuple[dict[str, Path], tuple[str, ...]]:
        photo = next((table for table in tables if table.name == "photo"), None)
        if photo is None:
            return {}, ()
        found, missing = {}, set()
        for sha256, kind in self.view.execute(select(photo.c.sha256, photo.c.kind).distinct()):
            path = place_of(self.home, sha256, kind) if is_hash(sha256) and kind in ENDINGS else None
            if path is not None and whole(path, sha256):
                found[path.name] = path
            elif is_hash(sha256):
                missing.add(sha256)
        return found, tuple(sorted(missing))

    def _tick(self, done: int, words: str) -> None:
        self.done += done
        if not self.progress(min(self.done / self.total, 1.0), words):
            raise RecordError("the archive was stopped; nothing was written.")


class _Counting(io.RawIOBase):
    """Passes bytes on, and counts and hashes them."""

    def __init__(self, out: IO[bytes]) -> None:
        self.out, self.size, self.digest = out, 0, hashlib.sha256()

    def writable(self) -> bool:
        return True

    def write(self, data: Any) -> int:
        self.size += len(data)
        self.digest.update(data)
        self.out.write(data)
        return len(data)


class _Out(Protocol):
    """Somewhere files of an archive go."""

    def file(self, name: str, *, packed: bool) -> Any: ...


class _Folder:
    """A folder of plain files."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> _Folder:
        self.path.mkdir()
        return self

    def __exit__(self, *error: object) -> None:
        pass

    @contextmanager
    def file(self, name: str, *, packed: bool) -> Iterator[IO[bytes]]:
        place = self.path / name
        place.parent.mkdir(exist_ok=True)
        with place.open("wb") as out:
            yield out
            out.flush()
            os.fsync(out.fileno())


class _Zip:
    """A ZIP file; without dates, so that equal content is equal bytes."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __enter__(self) -> _Zip:
        self.plain = self.path.open("wb")
        self.zip = zipfile.ZipFile(self.plain, "w", zipfile.ZIP_DEFLATED)
        return self

    def __exit__(self, kind: object, *error: object) -> None:
        try:
            if kind is None:
                self.zip.close()
                self.plain.flush()
                os.fsync(self.plain.fileno())
            else:
                with suppress(OSError, ValueError):  # it is thrown away; the first error is the one to tell
                    self.zip.close()
        finally:
            with suppress(OSError) if kind is not None else nullcontext():
                self.plain.close()

    @contextmanager
    def file(self, name: str, *, packed: bool) -> Iterator[IO[bytes]]:
        entry = zipfile.ZipInfo(name, _NO_DATE)
        entry.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        entry.external_attr = _READABLE
        entry.create_system = 3  # the same on every system
        with self.zip.open(entry, "w", force_zip64=True) as out:
            yield out
