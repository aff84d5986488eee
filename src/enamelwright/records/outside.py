"""The second place: a stick or a shared folder that holds snapshots and photos, and when it last did."""

from __future__ import annotations

import hashlib
import os
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import func, select

from enamelwright.records.errors import ForeignRecord, NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.photos import ENDINGS, place_of
from enamelwright.records.schema.house import setting, snapshot_taken
from enamelwright.records.schema.photos import photo
from enamelwright.records.snapshots import PART, beside, note, prune, settle, take, verify
from enamelwright.records.store import Store

#: Days after which Today asks for an outside copy.
DAYS_WITHOUT = 7
#: Key of the setting that remembers the second place.
PLACE = "outside copy folder"


@dataclass(frozen=True)
class OutsideCopy:
    """What an outside copy holds.

    Attributes
    ----------
    path : Path
        The snapshot in the second place.
    photos : int
        Pictures that were not there yet.
    missing : tuple of str
        Hashes of pictures the record names and the studio's folder does not hold whole.
    same_disk : bool
        Whether the second place lies on the disk the record is on, where it is lost along with it.
    """

    path: Path
    photos: int
    missing: tuple[str, ...]
    same_disk: bool


@dataclass(frozen=True)
class OutsideState:
    """When the last outside copy was made.

    Attributes
    ----------
    at : str
        The moment, as the record writes it; empty when there was none.
    days : int or None
        Whole days since.
    due : bool
        Whether Today says so.
    words : str
        One line for Today.
    """

    at: str
    days: int | None
    due: bool
    words: str


def copy_outside(store: Store, folder: Path | None = None) -> OutsideCopy:
    """Copy the record and its photos to a second place, and read the copy back.

    Parameters
    ----------
    store : Store
        The open record.
    folder : Path, optional
        The second place, which must be there; the one used last when left out.

    Raises
    ------
    RecordError
        When no place is known, or it is not there.
    NoRoom
        When it is full.
    ForeignRecord
        When what was written there cannot be read back; it is removed.
    """
    place = folder if folder is not None else remembered(store)
    if place is None:
        raise RecordError("no second place is known.", "Name a folder on a stick or a shared disk.")
    if not place.is_dir():  # never made here: an unplugged stick would turn into a folder on this disk
        raise RecordError("the second place is not there.", "Plug the stick in, or connect the folder.", str(place))
    away = Home(place)
    source = take(store, "outside copy")
    target = away.snapshots / source.name
    try:
        away.snapshots.mkdir(exist_ok=True)
        _copy(source, target)
        shutil.copyfile(beside(source), beside(target))
        photos, missing = _copy_photos(store, away)
    except OSError as error:
        raise NoRoom(
            f"the second place cannot be written ({error.strerror or type(error).__name__}); the record is untouched.",
            "Free some space there, or use another.", str(place),
        ) from error  # fmt: skip
    try:
        verify(target)
    except ForeignRecord:
        target.unlink(missing_ok=True)  # nobody shall rely on it
        beside(target).unlink(missing_ok=True)
        raise
    prune(away.snapshots)
    prune(store.home.snapshots)
    note(store, target, "outside copy", outside=True)
    _remember(store, place)
    return OutsideCopy(target, photos, missing, place.stat().st_dev == store.home.folder.stat().st_dev)


def remembered(store: Store) -> Path | None:
    """Return the second place used last."""
    with store.reading() as view:
        value = view.execute(select(setting.c.value).where(setting.c.key == PLACE)).scalar()
    return Path(value) if isinstance(value, str) else None


def outside_state(store: Store, now: datetime | None = None) -> OutsideState:
    """Say when the last outside copy was made.

    Parameters
    ----------
    store : Store
        The open record.
    now : datetime, optional
        Now when left out.
    """
    with store.reading() as view:
        at = view.execute(
            select(func.max(snapshot_taken.c.at)).where(
                snapshot_taken.c.outside == True,  # noqa: E712 - SQL, not Python
                snapshot_taken.c.verified == True,  # noqa: E712
            )
        ).scalar()
    if at is None:
        return OutsideState("", None, True, "There is no outside copy of the record yet.")
    days = max(0, ((now or datetime.now(UTC)) - datetime.fromisoformat(at)).days)
    ago = "today" if days == 0 else "1 day ago" if days == 1 else f"{days} days ago"
    return OutsideState(at, days, days > DAYS_WITHOUT, f"Last outside copy {ago}.")


def _remember(store: Store, place: Path) -> None:
    with store.writing() as work:
        row = work.connection.execute(select(setting).where(setting.c.key == PLACE)).one_or_none()
        if row is None:
            work.keep(setting, key=PLACE, value=str(place.resolve()))
        elif row.value != str(place.resolve()):
            work.change(setting, row.id, row.version, value=str(place.resolve()))


def _copy_photos(store: Store, away: Home) -> tuple[int, tuple[str, ...]]:
    with store.reading() as view:
        named = view.execute(select(photo.c.sha256, photo.c.kind, photo.c.bytes).distinct()).all()
    copied, missing = 0, []
    for sha256, kind, size in sorted(named):
        if kind not in ENDINGS:
            continue
        target = place_of(away, sha256, kind)
        if target.exists() and target.stat().st_size == size:
            continue
        source = place_of(store.home, sha256, kind)
        if not source.exists():
            missing.append(sha256)
            continue
        target.parent.mkdir(parents=True, exist_ok=True)
        if _copy(source, target, expected=sha256):
            copied += 1
        else:
            missing.append(sha256)
    return copied, tuple(missing)


def _copy(source: Path, target: Path, expected: str = "") -> bool:
    """Copy a file onto the disk itself before it gets its name; False when its hash is not the expected one."""
    part = target.with_name(f"{PART}{os.getpid()}-{target.name}")
    try:
        shutil.copyfile(source, part)
        settle(part)
        if expected:
            with part.open("rb") as file:
                if hashlib.file_digest(file, "sha256").hexdigest() != expected:
                    return False
        part.replace(target)
        settle(target.parent)
        return True
    finally:
        part.unlink(missing_ok=True)
