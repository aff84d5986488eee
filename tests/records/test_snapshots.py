"""Snapshots are whole, are read back, are thinned out by the rule, and are seen to be changed."""

from __future__ import annotations

import hashlib
import os
import random
import sqlite3
from collections import defaultdict
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Event, Thread

import pytest
from sqlalchemy import func, select

from enamelwright.records.errors import ForeignRecord, NoRoom
from enamelwright.records.home import Home
from enamelwright.records.migrate import HEAD, REVISIONS, upgrade
from enamelwright.records.opening import open_store
from enamelwright.records.restore import restore
from enamelwright.records.schema.house import snapshot_taken
from enamelwright.records.schema.people import person
from enamelwright.records.snapshots import beside, close_of_day, note, prune, take, taken, verify, version_of
from enamelwright.records.store import Store, connect
from filled import dump, fill


def test_a_snapshot_is_read_back_and_recorded(store: Store) -> None:
    fill(store)
    path = take(store, "asked for")
    rows = verify(path)
    assert rows["person"] == 3
    assert version_of(path) == HEAD
    with store.reading() as view:
        (row,) = view.execute(select(snapshot_taken).where(snapshot_taken.c.file == path.name)).all()
    assert (row.reason, row.verified, row.outside) == ("asked for", True, False)
    assert row.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert beside(path).read_text() == f"{row.sha256}  {path.name}\n"  # as sha256sum -c reads it


def test_it_holds_what_the_record_held(store: Store, bare_home: Home) -> None:
    """Put back into an empty place, on either database, it is the same record."""
    fill(store)
    before = dump(store)
    restore(bare_home, take(store, "asked for"))
    there = open_store(bare_home)
    assert dump(there) == before
    there.close()


def test_others_write_while_it_is_taken(store: Store) -> None:
    """Every snapshot holds whole transactions: of two rows written together, both or none."""
    stop = Event()

    def write() -> None:
        other = open_store(store.home)
        number = 0
        while not stop.is_set():
            with other.writing() as work:
                work.keep(person, label=f"left {number}")
                work.keep(person, label=f"right {number}")
            number += 1
        other.close()

    writer = Thread(target=write)
    writer.start()
    try:
        paths = [take(store, "asked for") for _ in range(4)]
    finally:
        stop.set()
        writer.join()
    counts = [verify(path)["person"] for path in paths]
    assert all(count % 2 == 0 for count in counts)
    assert counts == sorted(counts)


@pytest.mark.parametrize("version", REVISIONS[:-1])
def test_before_a_migration(bare_home: Home, version: str) -> None:
    """It works on every earlier version and leaves no trace in that record."""
    old = connect(bare_home)
    upgrade(old, version)
    path = take(old, "before migration")
    assert version_of(path) == version
    upgrade(old)
    with old.reading() as view:
        assert view.execute(select(func.count()).select_from(snapshot_taken)).scalar() == 0
    note(old, path, "before migration")
    old.close()


def test_a_byte_changed_anywhere_is_seen(tmp_path: Path) -> None:
    store = open_store(Home(tmp_path))
    fill(store)
    path = take(store, "asked for")
    store.close()
    data, dice = path.read_bytes(), random.Random(1)
    for at in (dice.randrange(len(data)) for _ in range(50)):
        path.write_bytes(data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :])
        with pytest.raises(ForeignRecord):
            verify(path)
    path.write_bytes(data)
    verify(path)


@pytest.mark.parametrize("content", [b"", b"no database", b"SQLite format 3\x00" + b"\x00" * 100, b"PK\x03\x04"])
def test_other_files_are_no_snapshots(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.sqlite").write_bytes(content)
    with pytest.raises(ForeignRecord):
        verify(tmp_path / "a.sqlite")


def test_a_broken_reference_is_seen(tmp_path: Path) -> None:
    """Even when the hash beside it is gone: SQLite's own checks are asked."""
    store = open_store(Home(tmp_path))
    fill(store)
    path = take(store, "asked for")
    store.close()
    with closing(sqlite3.connect(path)) as copy:
        copy.execute("UPDATE lot SET jar = 4711")
        copy.commit()
    beside(path).unlink()
    with pytest.raises(ForeignRecord, match="damaged"):
        verify(path)


def test_a_copy_that_cannot_be_written_leaves_nothing(store: Store) -> None:
    store.home.snapshots.write_text("a file where the folder should be")
    with pytest.raises(NoRoom):
        take(store, "asked for")
    store.home.snapshots.unlink()
    take(store, "asked for")
    assert not list(store.home.snapshots.glob(".part*"))


def test_the_day_is_closed_once(store: Store) -> None:
    with store.writing() as work:
        work.keep(person, label="today")
    assert close_of_day(store) is not None
    assert close_of_day(store) is None
    with store.writing() as work:
        work.keep(person, label="later")
    assert close_of_day(store) is not None


def test_fourteen_days_and_every_month_stay(tmp_path: Path) -> None:
    """The rule worked out again from the names alone, on three years of three snapshots a day."""
    first = datetime(2024, 1, 1, 9, tzinfo=UTC)
    names: dict[str, datetime] = {}
    for day in range(0, 1096):
        for hour in (0, 4, 8):
            at = first + timedelta(days=day, hours=hour)
            name = f"studio-{at:%Y%m%dT%H%M%S}000Z-close-of-day.sqlite"
            names[name] = at
            (tmp_path / name).touch()
    (tmp_path / "studio-20240105T090000000Z-before-migration.sqlite").touch()
    for other in ("mine.sqlite", "studio-now.sqlite", "studio-20240101T090000000Z-nonsense.sqlite"):
        (tmp_path / other).touch()
    gone = prune(tmp_path)
    months: dict[str, str] = {}
    days: dict[str, str] = {}
    per_day: dict[str, list[str]] = defaultdict(list)
    for name, at in sorted(names.items(), key=lambda one: one[1]):
        months[f"{at:%Y%m}"] = days[f"{at:%Y%m%d}"] = name
        per_day[f"{at:%Y%m%d}"].append(name)
    newest = sorted(days)[-14:]
    expected = set(months.values()) | {days[day] for day in newest} | set(per_day[newest[-1]])
    expected |= {"studio-20240105T090000000Z-before-migration.sqlite"}
    assert {snapshot.path.name for snapshot in taken(tmp_path)} == expected
    assert len(months) == 36
    assert not {path.name for path in gone} & expected
    assert (tmp_path / "mine.sqlite").exists()
    assert (tmp_path / "studio-20240101T090000000Z-nonsense.sqlite").exists()
    assert prune(tmp_path) == []


def test_what_a_crash_left_half_written_goes_after_a_day(tmp_path: Path) -> None:
    old, new = tmp_path / ".part-1-studio.sqlite", tmp_path / ".part-2-studio.sqlite"
    for part in (old, new):
        part.touch()
    os.utime(old, (0, 0))
    prune(tmp_path)
    assert not old.exists()
    assert new.exists()
