"""A small disk that fills up: a real file system of a few megabytes in memory, mounted for the test.

Only root may mount one. Where it is refused the same tests run with files held to a size (RLIMIT_FSIZE),
and each test reports which of the two it had; none is left out.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import bursts
import pytest
from PIL import Image

from enamelwright.records import migrate
from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.opening import open_store
from enamelwright.records.soundness import look_over
from enamelwright.records.store import connect
from test_faults_full_disk import everything_is_there, largest_file, write_until_full

#: What the small disk holds [bytes].
SIZE = 16 << 20
#: What is left on it when it is filled [bytes]: from nothing to some dozens of entries.
ROOM = [0, 4_096, 20_000, 60_000, 150_000, 400_000]
BLOCK = 4096


@dataclass(frozen=True)
class Disk:
    """A folder on a disk that can be filled; `real` when it is a file system of its own."""

    folder: Path
    real: bool

    @property
    def words(self) -> str:
        """What it is, for the report."""
        return "small file system" if self.real else "files held to a size, as nothing can be mounted here"

    @contextlib.contextmanager
    def left(self, room: int) -> Iterator[None]:
        """Leave only so many bytes while this lasts."""
        if not self.real:
            biggest = max((p.stat().st_size for p in self.folder.rglob("*") if p.is_file()), default=0)
            with largest_file(biggest + room):
                yield
            return
        filler = self.folder / "filler"
        space = os.statvfs(self.folder)
        with filler.open("wb") as file:
            for _ in range((space.f_bavail * space.f_frsize - room) // BLOCK):
                file.write(bytes(BLOCK))
        try:
            yield
        finally:
            filler.unlink()


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    """A small disk of its own."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "tmpfs", str(folder)]
    mounted = os.geteuid() == 0 and subprocess.run(command, capture_output=True, check=False).returncode == 0
    try:
        yield Disk(folder, mounted)
    finally:
        if mounted:
            subprocess.run(["umount", str(folder)], check=True)


def test_writing(disk: Disk, record_property: Callable[[str, object], None]) -> None:
    store = open_store(Home(disk.folder / "studio"))
    bursts.prepare(store)
    done: list[str] = []
    for room in ROOM:
        with disk.left(room):
            done += write_until_full(store, f"room{room}")
            everything_is_there(store, done)
        bursts.write_one(store, f"after{room}", lambda *_: None)
        done.append(f"after{room}")
    store.close()
    store = open_store(store.home)
    everything_is_there(store, done)
    store.close()
    record_property("faults", f"disk full ({disk.words}): {len(ROOM)} times, {len(done)} entries, 0 lost, 0 half")


def test_a_photo(disk: Disk, record_property: Callable[[str, object], None]) -> None:
    from enamelwright.records.photos import put

    store = open_store(Home(disk.folder / "studio"))
    file = io.BytesIO()
    Image.frombytes("RGB", (900, 700), random.Random(1).randbytes(900 * 700 * 3)).save(file, "JPEG", quality=98)
    with disk.left(8_000) if disk.real else largest_file(8_000), pytest.raises(NoRoom):
        put(store.home, file.getvalue(), "noise.jpg")
    assert [p for p in store.home.photos.rglob("*") if p.is_file()] == []
    put(store.home, file.getvalue(), "noise.jpg")
    assert [p for p in store.home.photos.rglob("*") if p.is_file()]
    look_over(store)
    store.close()
    record_property("faults", f"disk full at a photo ({disk.words}): once, nothing half left")


def test_a_snapshot(disk: Disk, record_property: Callable[[str, object], None]) -> None:
    from enamelwright.records.snapshots import take, taken, verify

    store = open_store(Home(disk.folder / "studio"))
    bursts.prepare(store)
    done = [f"before-{number}" for number in range(20)]
    for entry in done:
        bursts.write_one(store, entry, lambda *_: None)
    rooms = (0, 8_000, 60_000, 200_000)
    for room in rooms:
        with disk.left(room) if disk.real else largest_file(room), pytest.raises(RecordError):
            take(store, "asked for")
        assert taken(store.home.snapshots) == []
        assert not store.home.snapshots.exists() or list(store.home.snapshots.iterdir()) == []
    everything_is_there(store, done)
    verify(take(store, "asked for"))
    store.close()
    record_property("faults", f"disk full at a snapshot ({disk.words}): {len(rooms)} times, nothing half left")


@pytest.mark.parametrize("room", [0, 70_000, 150_000, 300_000])
def test_a_migration(disk: Disk, room: int, record_property: Callable[[str, object], None]) -> None:
    home = Home(disk.folder / "studio")
    store = connect(home)
    migrate.upgrade(store, migrate.REVISIONS[0])
    with disk.left(room), pytest.raises(NoRoom):
        migrate.upgrade(store)
    with store.reading() as view:
        assert migrate.version_of(view) == migrate.REVISIONS[0]
        assert view.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    store.close()
    store = open_store(home)
    look_over(store)
    store.close()
    record_property("faults", f"disk full at a migration ({disk.words}): once with {room} bytes left, nothing changed")
