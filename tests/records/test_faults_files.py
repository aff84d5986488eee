"""Files that were cut off, copied while in use, damaged, or never ours."""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bursts
import databases
import pytest
from sqlalchemy import select

from enamelwright.records.errors import ForeignRecord
from enamelwright.records.home import Home
from enamelwright.records.kinds import tables
from enamelwright.records.opening import open_store
from enamelwright.records.soundness import look_over
from enamelwright.records.store import Store

#: How often each way of damage is tried, each time at another place.
TRIES = 20
#: Entries in the log that is cut off: fewer than SQLite would move into the database by itself.
ENTRIES = 16
#: How long a writer writes before its files are copied [s].
FOR = 0.5

pytestmark = pytest.mark.parametrize("home", ["sqlite"], indirect=True)


def everything(store: Store) -> dict[str, list[Any]]:
    """Every row of every table."""
    with store.reading() as view:
        return {table.name: list(view.execute(select(table))) for table in tables()}


def copies_of(home: Home, target: Path) -> Home:
    """The two files that hold a record in use, elsewhere; the third (`-shm`) is only the machine's memory."""
    target.mkdir(parents=True)
    for ending in ("", "-wal"):
        shutil.copy(f"{home.database}{ending}", f"{target / home.database.name}{ending}")
    return Home(target)


def copied_while_writing(store: Store, target: Path, number: int) -> tuple[Home, bursts.Told]:
    """A copy of the files at one moment of a burst, and what had been acknowledged at that moment.

    The writer stands still while it is copied, since a power cut ends all writing at one moment.
    """
    here: list[Home] = []

    def cut(pid: int) -> None:
        time.sleep(FOR * (number + random.Random(number).random()) / TRIES)
        databases.stand_still(pid)
        here.append(copies_of(store.home, target))
        os.kill(pid, signal.SIGKILL)

    with bursts.Nursery() as nursery:
        told = nursery.burst(store.home, f"p{number}", cut)
    return here[0], told


def frames(log: Path) -> int:
    """Pages in a write-ahead log (sqlite.org/fileformat2.html, section 4: a head of 32 bytes, then 24 before each)."""
    page = int.from_bytes(log.read_bytes()[8:12], "big")
    return (log.stat().st_size - 32) // (page + 24)


def test_a_power_cut(store: Store, tmp_path: Path, record_property: Callable[[str, object], None]) -> None:
    bursts.prepare(store)
    toll = bursts.Toll()
    before: set[str] = set()
    for number in range(4):
        copy, told = copied_while_writing(store, tmp_path / f"copy{number}", number * TRIES // 4)
        opened = open_store(copy)
        look_over(opened)
        present, half = bursts.entries(opened)
        assert before <= present
        toll.add(told, present, half)
        bursts.agrees(opened, present)
        opened.close()
        before |= set(told.acknowledged)
    record_property("faults", f"files copied at a power cut, sqlite: {toll}")
    assert (toll.lost, toll.half) == (0, 0)


@pytest.mark.parametrize("damage", ["cut off", "garbage after", "garbage within"])
def test_a_log_that_is_cut_off(
    store: Store, tmp_path: Path, damage: str, record_property: Callable[[str, object], None]
) -> None:
    """Where the log ends too early, whole entries are missing at its end, and nothing before is touched."""
    bursts.prepare(store)
    store.close()  # which empties the log into the database
    order: list[str] = []
    store = open_store(store.home)
    for number in range(ENTRIES):
        bursts.write_one(
            store, f"w{number}", lambda what, entry: order.append(entry) if what == "acknowledged" else None
        )
    chance = random.Random(damage)
    kept = []
    for number in range(TRIES):
        copy = copies_of(store.home, tmp_path / f"copy{number}")
        log = Path(f"{copy.database}-wal")
        data = log.read_bytes()
        at = chance.randrange(len(data)) if number else 0
        if damage == "cut off":
            log.write_bytes(data[:at])
        elif damage == "garbage after":
            log.write_bytes(data[:at] + chance.randbytes(len(data) - at))
        else:
            log.write_bytes(data[:at] + chance.randbytes(1 + at // 100) + data[at:])
        opened = open_store(copy)
        look_over(opened)
        present, half = bursts.entries(opened)
        assert not half
        assert present == set(order[: len(present)])
        bursts.agrees(opened, present)
        bursts.write_one(opened, "next", lambda *_: None)
        kept.append(len(present))
        opened.close()
    assert frames(Path(f"{store.home.database}-wal")) > len(order)
    assert len(set(kept)) > TRIES / 4
    store.close()
    record_property("faults", f"log {damage}, sqlite: {TRIES} times, {sum(kept)} whole entries stood before it, 0 half")


@pytest.mark.parametrize(
    "content",
    [b"A notebook, not a database.\n" * 50, b"\x89PNG\r\n\x1a\n" + bytes(500), b"SQLite", b"\x00" * 4096, b"{}"],
    ids=["text", "picture", "beginning", "zeros", "json"],
)
def test_a_file_of_something_else(home: Home, content: bytes) -> None:
    home.database.write_bytes(content)
    with pytest.raises(ForeignRecord):
        open_store(home)
    assert home.database.read_bytes() == content


def test_a_folder_in_its_place(home: Home) -> None:
    home.database.unlink()
    home.database.mkdir()
    with pytest.raises(ForeignRecord):
        open_store(home)


def test_an_empty_file_becomes_a_record(home: Home) -> None:
    home.database.write_bytes(b"")
    store = open_store(home)
    look_over(store)
    store.close()


def test_pages_of_garbage(store: Store, tmp_path: Path, record_property: Callable[[str, object], None]) -> None:
    """Any page replaced by garbage is told of: when it is read, or at the latest when all is looked over."""
    bursts.prepare(store)
    for number in range(60):
        bursts.write_one(store, f"w{number}", lambda *_: None)
    wanted = everything(store)
    store.close()
    with contextlib.closing(sqlite3.connect(store.home.database)) as file:
        size = file.execute("PRAGMA page_size").fetchone()[0]
    data = store.home.database.read_bytes()
    chance = random.Random(9)
    told, unused = 0, 0
    for number in range(5 * TRIES):
        page = chance.randrange(len(data) // size) * size if number else 0
        copy = Home(tmp_path / f"copy{number}")
        copy.folder.mkdir()
        copy.database.write_bytes(data[:page] + chance.randbytes(size) + data[page + size :])
        try:
            opened = open_store(copy)
            try:
                look_over(opened)
                assert everything(opened) == wanted
                unused += 1
            finally:
                opened.close()
        except ForeignRecord:
            told += 1
    assert told > 4 * TRIES
    record_property("faults", f"page of garbage, sqlite: {told} told of, {unused} in pages that hold nothing")


def test_a_file_that_is_cut_off(store: Store, tmp_path: Path) -> None:
    bursts.prepare(store)
    store.close()
    data = store.home.database.read_bytes()
    chance = random.Random(11)
    for number in range(TRIES):
        copy = Home(tmp_path / f"copy{number}")
        copy.folder.mkdir()
        copy.database.write_bytes(data[: chance.randrange(1, len(data))])

        def read(home: Home = copy) -> None:
            opened = open_store(home)
            try:
                look_over(opened)
            finally:
                opened.close()

        with pytest.raises(ForeignRecord):
            read()
