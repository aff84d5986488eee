"""Reads an archive back: distrusts every byte, and puts it only where nothing is.

Names, sizes and hashes are judged against the manifest before and while anything is read, so an
archive can neither write outside its place nor grow beyond what it says. The tables go into a
database of the very version they were written from, and are brought up to date there.
"""

from __future__ import annotations

import csv
import hashlib
import io
import stat
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any

from pydantic import ValidationError
from sqlalchemy import Connection, Table, insert, text, update
from sqlalchemy.exc import DataError, IntegrityError

from enamelwright.records.archive import BATCH, Progress, tables_in
from enamelwright.records.archive_form import (
    FORM,
    LARGEST_MANIFEST,
    LONGEST_LINE,
    MANIFEST,
    READ_ME,
    Manifest,
    TablePart,
    columns_of,
    from_cell,
    refuse,
)
from enamelwright.records.errors import RecordError
from enamelwright.records.home import Home
from enamelwright.records.photos import ENDINGS, put_bytes

#: A file may be this many times larger than it is packed; our own tables shrink by less than a hundred.
MOST_EXPANSION = 300
#: Below this size [bytes] packing proves nothing.
SMALL = 1 << 20
_CHUNK = 1 << 20
_KINDS = {ending: kind for kind, ending in ENDINGS.items()}


class Archive:
    """One archive, open for reading; use it in a ``with``.

    Parameters
    ----------
    files : _Folder or _Zip
        Where its files are.
    path : Path
        For messages.

    Raises
    ------
    ForeignRecord
        When it is no archive, holds what its manifest does not name, or lacks what it names.
    """

    def __init__(self, files: _Folder | _Zip, path: Path) -> None:
        self.files, self.path = files, path
        try:
            content = b"".join(self._bytes(MANIFEST, LARGEST_MANIFEST))
            self.manifest = Manifest.model_validate_json(content)
        except (ValidationError, RecursionError) as error:
            raise refuse("its manifest cannot be understood.", str(path)) from error
        if self.manifest.form > FORM:
            raise refuse("a later program wrote this archive.", str(path), "Use that program.")
        there, named = set(files.names()), self.manifest.names
        if len(there) != len(files.names()):
            raise refuse("it holds one file twice.", str(path))
        if strange := sorted(there - named):
            raise refuse(f"it holds a file its manifest does not name: '{strange[0][:80]}'.", str(path))
        if lost := sorted(named - there - {READ_ME}):
            raise refuse(f"it lacks '{lost[0]}'.", str(path))

    @classmethod
    @contextmanager
    def open(cls, path: Path) -> Iterator[Archive]:
        """Open an archive.

        Parameters
        ----------
        path : Path
            Its folder or ZIP file.

        Yields
        ------
        Archive
        """
        if path.is_dir():
            yield cls(_Folder(path), path)
            return
        try:
            zipped = zipfile.ZipFile(path)
        except (OSError, zipfile.BadZipFile, ValueError, NotImplementedError) as error:
            raise refuse("this is no archive.", str(path)) from error
        with zipped:
            yield cls(_Zip(zipped, path), path)

    @property
    def version(self) -> str:
        """Which version of the record the tables are of."""
        return self.manifest.record

    def check(self, progress: Progress | None = None) -> dict[str, int]:
        """Read everything, hold it against the manifest, and return the rows of each table.

        Parameters
        ----------
        progress : callable, optional
            ``progress(fraction, words) -> go on``.

        Raises
        ------
        ForeignRecord
            At the first thing that is not as the manifest says.
        """
        ticks = _Ticks(self.manifest, progress)
        for name, part in self.manifest.tables.items():
            for batch in self._rows(name, part):
                ticks.tick(len(batch), name)
        for name in self.manifest.photos:
            self._photo(name)
            ticks.tick(1, "photos")
        return {name: part.rows for name, part in self.manifest.tables.items()}

    def load(self, connection: Connection, progress: Progress | None = None) -> None:
        """Write every row into the empty tables of a database of the same version.

        Parameters
        ----------
        connection : Connection
            Inside a transaction; the caller commits or gives up.
        progress : callable, optional
            ``progress(fraction, words) -> go on``.

        Raises
        ------
        ForeignRecord
            When the archive is not as it says, has other tables or columns, or breaks a rule of the record.
        """
        ticks = _Ticks(self.manifest, progress)
        tables, version = tables_in(connection)
        if version != self.version:
            raise RecordError("the database is of another version than the archive.", "", str(self.path))
        if {table.name for table in tables} != set(self.manifest.tables):
            strange = sorted({table.name for table in tables} ^ set(self.manifest.tables))
            raise refuse(f"its tables are not those of version {version}: '{strange[0]}'.", str(self.path))
        for table in tables:
            part = self.manifest.tables[table.name]
            known = {column.name: column.kind for column in columns_of(table)}
            if {column.name: column.kind for column in part.columns} != known or len(part.columns) != len(known):
                raise refuse(f"the columns of '{table.name}' are not those of version {version}.", str(self.path))
            try:
                later = self._fill(connection, table, part, ticks)
                for row, values in later:
                    connection.execute(update(table).where(table.c.id == row).values(values))
            except (IntegrityError, DataError) as error:
                raise refuse(f"a row of '{table.name}' breaks a rule of the record.", str(self.path)) from error
        if connection.dialect.name == "postgresql":
            _go_on_counting(connection, tables)
        elif connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
            raise refuse("a row refers to one that is not there.", str(self.path))

    def put_photos(self, home: Home, progress: Progress | None = None) -> int:
        """Put the pictures into a studio's folder, and return how many there were.

        Parameters
        ----------
        home : Home
            Where the studio's data lives.
        progress : callable, optional
            ``progress(fraction, words) -> go on``.
        """
        for count, name in enumerate(self.manifest.photos, 1):
            sha256, _, ending = name.partition(".")
            put_bytes(home, sha256, _KINDS[ending], self._photo(name))
            if progress is not None and not progress(count / len(self.manifest.photos), "photos"):
                raise RecordError("stopped; the record was not changed.")
        return len(self.manifest.photos)

    # --- pieces ----------------------------------------------------------------------------------

    def _fill(
        self, connection: Connection, table: Table, part: TablePart, ticks: _Ticks
    ) -> list[tuple[int, dict[str, Any]]]:
        """Insert the rows of one table, and return references to later rows of the same table."""
        own = [key.parent.name for key in table.foreign_keys if key.column.table is table]
        later: list[tuple[int, dict[str, Any]]] = []
        for batch in self._rows(table.name, part):
            for row in batch:
                ahead = {name: row[name] for name in own if row[name] is not None and row[name] >= row["id"]}
                if ahead:
                    later.append((row["id"], ahead))
                    row.update(dict.fromkeys(ahead))
            if batch:
                connection.execute(insert(table), batch)
            ticks.tick(len(batch), table.name)
        return later

    def _rows(self, name: str, part: TablePart) -> Iterator[list[dict[str, Any]]]:
        """Yield the rows of one table in batches; the hash is judged before the last one is given."""
        where = f"{self.path}, tables/{name}.csv"
        names, kinds = [column.name for column in part.columns], [column.kind for column in part.columns]
        stream = _Hashing(self._bytes(f"tables/{name}.csv", part.bytes))
        lines = io.TextIOWrapper(io.BufferedReader(stream, _CHUNK), encoding="utf-8", newline="")
        old_limit = csv.field_size_limit(LONGEST_LINE)
        batch: list[dict[str, Any]] = []
        count = 0
        try:
            sheet = csv.reader(_lines(lines, where), strict=True)
            if next(sheet, None) != names:
                raise refuse("the columns are not those the manifest names.", where)
            for cells in sheet:
                if len(cells) != len(names):
                    raise refuse(f"row {count + 1} has {len(cells)} cells instead of {len(names)}.", where)
                values = (from_cell(cell, kind) for cell, kind in zip(cells, kinds, strict=True))
                batch.append(dict(zip(names, values, strict=True)))
                count += 1
                if len(batch) == BATCH:
                    full, batch = batch, []
                    yield full
        except (ValueError, csv.Error) as error:  # UnicodeDecodeError is a ValueError
            raise refuse(f"row {count + 1} cannot be read.", where) from error
        finally:
            csv.field_size_limit(old_limit)
        if count != part.rows or stream.size != part.bytes or stream.digest.hexdigest() != part.sha256:
            raise refuse("it was changed since it was written.", where)
        yield batch

    def _photo(self, name: str) -> bytes:
        content = b"".join(self._bytes(f"photos/{name}", self.manifest.photos[name]))
        if hashlib.sha256(content).hexdigest() != name.partition(".")[0]:
            raise refuse("it was changed since it was written.", f"{self.path}, photos/{name}")
        return content

    def _bytes(self, name: str, most: int) -> Iterator[bytes]:
        """Yield the content of a file, never more of it than it may hold."""
        read = 0
        try:
            with self.files.file(name) as file:
                while part := file.read(_CHUNK):
                    read += len(part)
                    if read > most:
                        raise refuse("it is larger than its manifest says.", f"{self.path}, {name}")
                    yield part
        except (OSError, KeyError, zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
            raise refuse("it cannot be read.", f"{self.path}, {name}") from error


class _Ticks:
    """Counts rows and photos, and asks whether to go on."""

    def __init__(self, manifest: Manifest, progress: Progress | None) -> None:
        self.total = max(1, sum(part.rows for part in manifest.tables.values()) + len(manifest.photos))
        self.done, self.progress = 0, progress

    def tick(self, done: int, words: str) -> None:
        self.done += done
        if self.progress is not None and not self.progress(min(self.done / self.total, 1.0), words.replace("_", " ")):
            raise RecordError("stopped; the record was not changed.")


def _lines(text_in: io.TextIOWrapper, where: str) -> Iterator[str]:
    """Yield lines of bounded length: a file without line ends must not fill the memory."""
    while line := text_in.readline(LONGEST_LINE):
        if len(line) >= LONGEST_LINE:
            raise refuse("it holds a line of absurd length.", where)
        yield line


def _go_on_counting(connection: Connection, tables: list[Table]) -> None:
    """Let PostgreSQL give new rows ids after those that were read."""
    for table in tables:
        if "id" in table.c:
            name = connection.dialect.identifier_preparer.quote(table.name)
            connection.execute(
                text(
                    f"SELECT setval(pg_get_serial_sequence('{name}', 'id'), max(id)) "
                    f"FROM {name} HAVING max(id) IS NOT NULL"
                )
            )


class _Hashing(io.RawIOBase):
    """A stream over pieces of bytes that counts and hashes them."""

    def __init__(self, parts: Iterator[bytes]) -> None:
        self.parts, self.rest, self.size, self.digest = parts, b"", 0, hashlib.sha256()

    def readable(self) -> bool:
        return True

    def readinto(self, into: Any) -> int:
        if not self.rest:
            self.rest = next(self.parts, b"")
            self.size += len(self.rest)
            self.digest.update(self.rest)
        part, self.rest = self.rest[: len(into)], self.rest[len(into) :]
        into[: len(part)] = part
        return len(part)


class _Folder:
    """An archive as a folder of plain files."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def names(self) -> list[str]:
        found = []
        for place in sorted(self.path.rglob("*")):
            mode = place.lstat().st_mode
            if stat.S_ISDIR(mode):
                continue
            if not stat.S_ISREG(mode):
                raise refuse("it holds something that is no plain file.", str(place))
            found.append(place.relative_to(self.path).as_posix())
        return found

    def file(self, name: str) -> IO[bytes]:
        place = self.path / name
        if place.is_symlink():
            raise refuse("it holds something that is no plain file.", str(place))
        return place.open("rb")


class _Zip:
    """An archive as one ZIP file."""

    def __init__(self, zipped: zipfile.ZipFile, path: Path) -> None:
        self.zipped, self.path = zipped, path

    def names(self) -> list[str]:
        return [entry.filename for entry in self.zipped.infolist() if not entry.is_dir()]

    def file(self, name: str) -> IO[bytes]:
        entry = self.zipped.getinfo(name)
        if entry.flag_bits & 1:
            raise refuse("it is locked with a password.", f"{self.path}, {name}")
        if entry.file_size > SMALL and entry.file_size > MOST_EXPANSION * max(1, entry.compress_size):
            raise refuse("it would grow beyond measure.", f"{self.path}, {name}")
        with suppress(NotImplementedError):
            return self.zipped.open(entry)
        raise refuse("it is packed in a way that is not known.", f"{self.path}, {name}")
