"""A disk that is really full: the system refuses to let a file grow, as it does when no block is free.

The limit is RLIMIT_FSIZE (setrlimit(2): "If a process attempts to extend a file beyond this limit ...
the relevant system call fails with the error EFBIG"), set for this process or for the server's.
"""

from __future__ import annotations

import io
import random
import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import bursts
import databases
import pytest
from PIL import Image
from sqlalchemy import select
from sqlalchemy import text as sql

from enamelwright.records import migrate
from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.kinds import metadata
from enamelwright.records.opening import open_store
from enamelwright.records.soundness import look_over
from enamelwright.records.store import Store, connect

#: How much the log may grow before the disk is full [bytes]: from less than an entry to some dozens of them.
ROOM = [*range(0, 110_000, 14_000), *range(110_000, 1_500_000, 300_000)]
MEGABYTE = 1 << 20


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """Hold this process to files of a size."""
    usual, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (usual, hard))


def write_until_full(store: Store, name: str) -> list[str]:
    """Write until there is no room; return what was acknowledged."""
    done: list[str] = []

    def tell(what: str, entry: str) -> None:
        if what == "acknowledged":
            done.append(entry)

    def write() -> None:
        for number in range(5000):
            bursts.write_one(store, f"{name}-{number}", tell)

    with pytest.raises(NoRoom, match="no room"):
        write()
    return done


def everything_is_there(store: Store, done: list[str]) -> None:
    """All acknowledged, nothing else, nothing half; and the next entry is written as if nothing had been."""
    look_over(store)
    present, half = bursts.entries(store)
    assert (set(done), set()) == (present, half)
    bursts.agrees(store, present)


@pytest.mark.parametrize("home", ["sqlite"], indirect=True)
def test_writing(store: Store, record_property: Callable[[str, object], None]) -> None:
    bursts.prepare(store)
    done: list[str] = []
    log = Path(f"{store.home.database}-wal")
    for room in ROOM:
        with largest_file(log.stat().st_size + room):
            done += write_until_full(store, f"room{room}")
        everything_is_there(store, done)
        bursts.write_one(store, f"after{room}", lambda *_: None)
        done.append(f"after{room}")
    everything_is_there(store, done)
    assert len(done) > 2 * len(ROOM)
    record_property(
        "faults", f"disk full while writing, sqlite: {len(ROOM)} times, {len(done)} entries, 0 lost, 0 half"
    )


def test_writing_on_a_server(tmp_path: Path, record_property: Callable[[str, object], None]) -> None:
    with databases.own_cluster("--wal-segsize=1") as folder:
        server = databases.start(folder, durable=True, largest_file=2 * MEGABYTE)
        try:
            databases.Server(folder).say("CREATE DATABASE studio")
            store = open_store(Home(tmp_path, databases.Server(folder).url("studio")))
            bursts.prepare(store)
            done = write_until_full(store, "full")
            everything_is_there(store, done)
            store.close()
            databases.kill(server)
            server = databases.start(folder, durable=True)
            everything_is_there(store, done)
            bursts.write_one(store, "after", lambda *_: None)
            everything_is_there(store, [*done, "after"])
            store.close()
        finally:
            databases.kill(server)
    record_property("faults", f"disk full while writing, postgresql: once, {len(done)} entries, 0 lost, 0 half")


def test_a_photo(store: Store) -> None:
    from enamelwright.records.photos import put

    noise = Image.frombytes("RGB", (400, 300), random.Random(1).randbytes(400 * 300 * 3))
    file = io.BytesIO()
    noise.save(file, "JPEG", quality=95)
    with largest_file(20_000), pytest.raises(NoRoom):
        put(store.home, file.getvalue(), "noise.jpg")
    assert [p for p in store.home.photos.rglob("*") if p.is_file()] == []
    look_over(store)
    picture = put(store.home, file.getvalue(), "noise.jpg")
    with store.writing() as work:
        work.add(metadata.tables["photo"], **picture.columns)
    assert [p for p in store.home.photos.rglob("*") if p.is_file()]


def test_a_snapshot(store: Store) -> None:
    from enamelwright.records.snapshots import take, taken, verify

    bursts.prepare(store)
    for number in range(60):
        bursts.write_one(store, f"before-{number}", lambda *_: None)
    for room in (0, 5_000, 60_000):
        with largest_file(room), pytest.raises(RecordError):
            take(store, "asked for")
        assert taken(store.home.snapshots) == []
        assert not store.home.snapshots.exists() or list(store.home.snapshots.iterdir()) == []
    everything_is_there(store, [f"before-{number}" for number in range(60)])
    assert verify(take(store, "asked for"))["load"] == 120


@pytest.mark.parametrize("room", [70_000, 150_000, 300_000, 600_000, 900_000])
def test_a_migration(tmp_path: Path, room: int) -> None:
    home = Home(tmp_path)
    store = connect(home)
    migrate.upgrade(store, migrate.REVISIONS[0])
    with largest_file(room), pytest.raises(NoRoom):
        migrate.upgrade(store)
    with store.reading() as view:
        assert migrate.version_of(view) == migrate.REVISIONS[0]
        assert view.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    store.close()
    store = open_store(home)
    look_over(store)
    store.close()


def test_a_migration_on_a_server(tmp_path: Path) -> None:
    with databases.own_cluster("--wal-segsize=1") as folder:
        server = databases.start(folder, durable=True)
        try:
            databases.Server(folder).say("CREATE DATABASE studio")
            store = connect(Home(tmp_path, databases.Server(folder).url("studio")))
            migrate.upgrade(store, migrate.REVISIONS[3])
            with store.engine.begin() as connection:  # enough that an index over it takes more than a megabyte
                connection.execute(
                    sql("INSERT INTO device_entry (entry, arrived_at) VALUES ('many', '2026-01-01T00:00:00.000Z')")
                )
                connection.execute(
                    sql(
                        "INSERT INTO load (entry, recorded_at, number) "
                        "SELECT 'many', '2026-01-01T00:00:00.000Z', '2026-F' || n FROM generate_series(1, 60000) n"
                    )
                )
            with store.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
                connection.execute(sql("VACUUM FREEZE"))
            store.close()
            databases.stop(server)
            server = databases.start(folder, durable=True, largest_file=MEGABYTE)
            with pytest.raises(NoRoom):
                migrate.upgrade(store)
            with store.reading() as view:
                assert migrate.version_of(view) == migrate.REVISIONS[3]
            store.close()
            databases.stop(server)
            server = databases.start(folder, durable=True)
            migrate.upgrade(store)
            with store.reading() as view:
                assert len(view.execute(select(metadata.tables["load"].c.id)).all()) == 60_000
            store.close()
        finally:
            databases.kill(server)
