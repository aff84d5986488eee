"""Puts a record back from a snapshot or an archive; the present one is kept first."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import func, select

from enamelwright.records.archive import Progress, tables_in, write_archive
from enamelwright.records.archive_form import is_hash
from enamelwright.records.archive_in import Archive
from enamelwright.records.errors import ForeignRecord, RecordError
from enamelwright.records.home import Home
from enamelwright.records.migrate import HEAD, REVISIONS, upgrade
from enamelwright.records.photos import put_bytes
from enamelwright.records.placing import elsewhere, put_in_place
from enamelwright.records.snapshots import settle, take, verify, version_of
from enamelwright.records.store import Store, connect, plainly

_KINDS = {".jpg": "jpeg", ".png": "png"}


@dataclass(frozen=True)
class Restored:
    """What a restore did.

    Attributes
    ----------
    rows : int
        Rows the record now holds.
    photos : int
        Pictures that were put into the studio's folder.
    before : Path or None
        Snapshot of what was there before.
    aside : Path or None
        Where a damaged database file was moved.
    upgraded : bool
        Whether it was of an earlier version and was brought up to date.
    """

    rows: int
    photos: int
    before: Path | None = None
    aside: Path | None = None
    upgraded: bool = False


def restore(home: Home, source: Path, progress: Progress | None = None) -> Restored:
    """Replace the whole record by a snapshot or an archive, and keep the present one as a snapshot.

    Parameters
    ----------
    home : Home
        Where the record lives; whatever is open on it should be closed.
    source : Path
        A snapshot of either database, or an archive; photos beside it come along.
    progress : callable, optional
        ``progress(fraction, words) -> go on``.

    Raises
    ------
    ForeignRecord
        When the source is damaged or of a later version; the present record is untouched.
    RecordError
        When there is no room, or another program holds the record.
    """
    version = _look_at(source)
    before, damaged = _keep_present(home)
    done = _bring_in(home, source, version, progress, damaged=damaged)
    return Restored(done.rows, done.photos, before, done.aside, done.upgraded)


def read_archive(home: Home, source: Path, progress: Progress | None = None) -> Restored:
    """Read an archive into a home that holds no record yet.

    Parameters
    ----------
    home : Home
        With no database, or one without a single row.
    source : Path
        A folder or ZIP file.
    progress : callable, optional
        ``progress(fraction, words) -> go on``.

    Raises
    ------
    RecordError
        When there is a record here already; nothing was changed.
    ForeignRecord
        When the archive is damaged or of a later version; nothing was changed.
    """
    version = _look_at(source)
    if not _is_empty(home):
        raise RecordError(
            "there is a record here already; nothing was changed.",
            "Name an empty data folder, or restore the archive in place of what is here.", str(home.folder),
        )  # fmt: skip
    return _bring_in(home, source, version, progress, damaged=False)


def _look_at(source: Path) -> str:
    """Read the whole source before anything is built from it, and return its version."""
    if not source.exists():
        raise ForeignRecord("there is no such snapshot or archive.", "", str(source))
    if source.is_dir() or source.suffix == ".zip":
        with Archive.open(source) as archive:
            version = _known(archive.version, source)
            archive.check()
            return version
    verify(source)
    return _known(version_of(source), source)


def _known(version: str, source: Path) -> str:
    if version in REVISIONS:
        return version
    if version.isdigit() and version > HEAD:
        raise ForeignRecord("a later version of this program wrote it.", "Use that version.", str(source))
    raise ForeignRecord("it does not say which version of the record it holds.", "Use another one.", str(source))


def _keep_present(home: Home) -> tuple[Path | None, bool]:
    """Take a snapshot of what is there; (its file, whether what is there cannot be read)."""
    if home.on_sqlite and not (home.database.exists() and home.database.stat().st_size):
        return None, False
    try:
        store = connect(home)
        try:
            with store.reading() as view:
                if not tables_in(view)[0]:
                    return None, False
            return take(store, "before restore"), False
        finally:
            store.close()
    except ForeignRecord:
        if not home.on_sqlite:
            raise
        return None, True


def _is_empty(home: Home) -> bool:
    if home.on_sqlite and not home.database.exists():
        return True
    store = connect(home)
    try:
        with store.reading() as view:
            return all(
                view.execute(select(func.count()).select_from(table)).scalar_one() == 0 for table in tables_in(view)[0]
            )
    finally:
        store.close()


def _bring_in(home: Home, source: Path, version: str, progress: Progress | None, *, damaged: bool) -> Restored:
    """Build the record beside the present one, put its photos in place, then the record itself."""
    with elsewhere(home) as incoming:
        if source.is_dir() or source.suffix == ".zip":
            rows, photos = _from_archive(incoming, home, source, version, progress)
        elif home.on_sqlite:
            shutil.copyfile(source, incoming.database)
            settle(incoming.database)
            rows, photos = sum(verify(incoming.database).values()), 0
        else:
            rows, photos = _across(incoming, home, source, progress)
        if version != HEAD:
            store = connect(incoming)
            try:
                upgrade(store)
            finally:
                store.close()
        photos += _photos_beside(source, home)
        aside = put_in_place(incoming, home, damaged=damaged)
    return Restored(rows, photos, aside=aside, upgraded=version != HEAD)


def _from_archive(incoming: Home, home: Home, source: Path, version: str, progress: Progress | None) -> tuple[int, int]:
    store = connect(incoming)
    try:
        upgrade(store, version)
        with Archive.open(source) as archive, plainly(incoming), store.engine.begin() as connection:
            archive.load(connection, progress)
            photos = archive.put_photos(home, progress)
            return sum(part.rows for part in archive.manifest.tables.values()), photos
    finally:
        store.close()


def _across(incoming: Home, home: Home, source: Path, progress: Progress | None) -> tuple[int, int]:
    """Bring a snapshot of SQLite into PostgreSQL, by way of an archive."""
    with elsewhere(Home(incoming.folder)) as lite:
        shutil.copyfile(source, lite.database)
        store: Store = connect(lite)
        try:
            upgrade(store)
            write_archive(store, lite.folder / "across.zip", photos=False)
        finally:
            store.close()
        return _from_archive(incoming, home, lite.folder / "across.zip", HEAD, progress)


def _photos_beside(source: Path, home: Home) -> int:
    """Fetch the photos of an outside copy that the studio's folder lacks, and return how many."""
    folder = source.parent.parent / "photos"
    if source.parent.name != home.snapshots.name or folder == home.photos or not folder.is_dir():
        return 0
    fetched = 0
    for path in sorted(folder.glob("??/*")):
        kind = _KINDS.get(path.suffix)
        there = home.photos / path.parent.name / path.name
        if kind is None or not is_hash(path.stem) or not path.is_file() or there.exists():
            continue
        put_bytes(home, path.stem, kind, path.read_bytes())
        fetched += 1
    return fetched
