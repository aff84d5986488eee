"""Bursts of writing that are killed, and what must be true of the record afterwards.

A nursery process forks one writer a burst. The writer tells this process over a pipe when a
transaction has begun, when it is about to be made permanent, and when it was acknowledged; so what
was acknowledged is known to a process that is not killed. Shared by tests and benchmarks.
"""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

import databases

#: Seconds a burst may last before the kill falls; the kill falls uniformly within.
BURST = 0.35
#: Pause between two transactions [s], so that kills fall outside of transactions too.
PAUSE = 0.002
#: Pieces in each load.
PIECES = 3
#: Signs of free words in each row, so that bursts are long enough to move the log into the database.
PADDING = 1500
#: Rows of each table that one entry writes; a half transaction would have fewer.
ROWS = {"load": 2, "load_piece": PIECES, "coat_laid": 1, "stock_movement": 1}


def prepare(store: Any) -> None:
    """Keep what the bursts write about."""
    from enamelwright.records.schema.jars import jar, lot
    from enamelwright.records.schema.pieces import piece

    with store.writing() as work:
        jar_id = work.keep(jar, code="J01", name="opaque white", kind="opaque", described={}, invented=True)
        work.keep(lot, jar=jar_id, label="first", bought_grams=0.25)
        for _ in range(PIECES):
            number = work.number("piece", 2026)
            work.keep(piece, number=number, kind="piece", state="in work", invented=True)


def write_one(store: Any, entry: str, tell: Callable[[str, str], None]) -> dict[str, Any]:
    """One entry as a device sends it: a load with its pieces, closed at once, a coat, grams and a jar's words."""
    from enamelwright.records.schema.coats import coat_laid
    from enamelwright.records.schema.jars import jar, stock_movement
    from enamelwright.records.schema.loads import load, load_piece
    from enamelwright.records.writing import Author

    padding = random.Random(entry).randbytes(PADDING // 2).hex()

    def work(writing: Any) -> dict[str, Any]:
        tell("begun", entry)
        number = writing.number("load", 2026)
        row = writing.add(load, number=number, set_point=1063.15, seconds=150.0, words=padding)
        for piece in range(1, PIECES + 1):
            writing.add(load_piece, load=row, piece=piece, firing=1)
        coat = writing.add(coat_laid, piece=1, lot=1, coat=1, on_piece=0.0012, words=padding)
        writing.add(stock_movement, lot=1, kind="used", grams=0.0012, coat=coat)
        writing.correct(load, row, why="closed", stage_seen="gloss")
        standing = writing.one(jar, 1)
        writing.change(jar, 1, standing.version, words=padding)
        tell("closing", entry)
        return {"number": number, "load": row}

    result: dict[str, Any] = store.once(Author(entry=entry, device="bench"), work, fingerprint=entry)
    tell("acknowledged", entry)
    return result


# --- the nursery --------------------------------------------------------------------------------


def nursery() -> None:
    """Fork a writer for each line that comes in, and say when it is dead."""
    import enamelwright.records.opening
    import enamelwright.records.schema  # noqa: F401

    def tell(what: str, entry: str = "") -> None:
        os.write(1, f"{what} {entry}\n".encode())

    for line in sys.stdin:
        asked = json.loads(line)
        pid = os.fork()
        if pid == 0:
            try:
                _write_until_killed(asked, tell)
            finally:
                os._exit(1)
        tell("born", str(pid))
        os.waitpid(pid, 0)
        tell("dead")


def _write_until_killed(asked: dict[str, Any], tell: Callable[[str, str], None]) -> None:
    from enamelwright.records.errors import RecordError
    from enamelwright.records.home import Home
    from enamelwright.records.opening import open_store

    chance = random.Random(asked["burst"])
    try:
        store = open_store(Home(Path(asked["folder"]), asked["url"]))
        tell("ready", "")
        number = 0
        while True:
            write_one(store, f"{asked['burst']}-{number}", tell)
            number += 1
            time.sleep(chance.uniform(0, 2 * PAUSE))
    except RecordError as error:  # the server was killed, or the disk is full
        tell("refused", type(error).__name__)
        time.sleep(3600)  # until it is killed


@dataclass
class Told:
    """What one writer said before it was killed."""

    phase: str = "between"
    acknowledged: list[str] = field(default_factory=list)
    last: str = ""
    refused: str = ""

    def hear(self, line: str) -> None:
        """Take in one line."""
        what, _, entry = line.strip().partition(" ")
        if what == "acknowledged":
            self.acknowledged.append(entry)
            self.phase = "between"
        elif what in ("begun", "closing"):
            self.phase, self.last = what, entry
        elif what == "refused":
            self.refused = entry


class Nursery:
    """Lets writers live for a while; a context manager."""

    def __enter__(self) -> Nursery:
        self._child = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
        )
        return self

    def __exit__(self, *_: object) -> None:
        self._pipe(self._child.stdin).close()
        self._child.wait()
        self._pipe(self._child.stdout).close()

    @staticmethod
    def _pipe(pipe: IO[str] | None) -> IO[str]:
        assert pipe is not None
        return pipe

    def burst(self, home: Any, burst: str, kill: Callable[[int], None]) -> Told:
        """Let a writer write until `kill` has been called with its id; return what it said until then."""
        asked = {"folder": str(home.folder), "url": home.url, "burst": burst}
        self._pipe(self._child.stdin).write(json.dumps(asked) + "\n")
        told = Told()
        for line in self._pipe(self._child.stdout):
            what, _, rest = line.strip().partition(" ")
            if what == "born":
                pid = int(rest)
            elif what == "ready":
                kill(pid)
            elif what == "dead":
                return told
            else:
                told.hear(line)
        raise AssertionError("the nursery ended")


def kill_after(seconds: float) -> Callable[[int], None]:
    """Kill a writer without warning after some time."""

    def kill(pid: int) -> None:
        time.sleep(seconds)
        os.kill(pid, signal.SIGKILL)

    return kill


def kill_both(server: subprocess.Popen[bytes], seconds: float, writer: int) -> None:
    """Kill the server after some time, and then the writer that can no longer write."""
    time.sleep(seconds)
    databases.kill(server)
    os.kill(writer, signal.SIGKILL)


def moments(number: int, seed: int) -> list[float]:
    """Moments spread evenly over a burst, at random within their shares and in random order."""
    chance = random.Random(seed)
    spread = [BURST * (i + chance.random()) / number for i in range(number)]
    chance.shuffle(spread)
    return spread


def until_enough(toll: Toll, number: int, seed: int, acknowledged: int = 0) -> Iterator[float]:
    """Moments of kills: so many spread over a burst, then further ones until a third of the first fell inside.

    Where a kill falls is left to chance, as it is at the bench; how many are needed to hit a transaction
    often enough, and to see more than `acknowledged` entries through, depends on how fast the machine writes:
    the bursts grow longer. After six times as many the test may complain.
    """
    chance = random.Random(seed)
    yield from moments(number, seed)
    while (toll.inside < number / 3 or toll.acknowledged <= acknowledged) and toll.bursts < 6 * number:
        yield BURST * chance.random() * toll.bursts / number


# --- what must be true --------------------------------------------------------------------------


@dataclass
class Toll:
    """What many bursts came to."""

    bursts: int = 0
    phases: Counter[str] = field(default_factory=Counter)
    acknowledged: int = 0
    lost: int = 0
    half: int = 0
    finished_unheard: int = 0

    def add(self, told: Told, present: set[str], half: set[str]) -> None:
        """Count one burst."""
        self.bursts += 1
        self.phases[told.phase] += 1
        self.acknowledged += len(told.acknowledged)
        self.lost += len(set(told.acknowledged) - present)
        self.half += len(half)
        self.finished_unheard += told.last in present and told.last not in told.acknowledged

    @property
    def inside(self) -> int:
        """Kills that fell while a transaction was open or being made permanent."""
        return self.phases["begun"] + self.phases["closing"]

    def counts(self) -> dict[str, int]:
        """All counts by name."""
        return {
            "bursts": self.bursts,
            "inside": self.inside,
            "made_permanent": self.phases["closing"],
            "acknowledged": self.acknowledged,
            "lost": self.lost,
            "half": self.half,
            "finished_unheard": self.finished_unheard,
        }

    def __str__(self) -> str:
        """One line for people."""
        return (
            f"{self.bursts} bursts killed: {self.inside} inside a transaction ({self.phases['closing']} of them while it "
            f"was made permanent), {self.phases['between']} between two; {self.acknowledged} entries acknowledged, "
            f"{self.lost} lost, {self.half} half written, {self.finished_unheard} finished but not heard of"
        )


def entries(store: Any) -> tuple[set[str], set[str]]:
    """The entries the bursts left, and those of them that are not whole."""
    from sqlalchemy import func, select

    from enamelwright.records.kinds import metadata
    from enamelwright.records.schema.house import device_entry

    with store.reading() as view:
        present = set(view.execute(select(device_entry.c.entry).where(device_entry.c.device == "bench")).scalars())
        half = set()
        for name, rows in ROWS.items():
            entry = metadata.tables[name].c.entry
            counted = dict(view.execute(select(entry, func.count()).group_by(entry)).all())
            half |= {e for e in present if counted.get(e, 0) != rows} | {e for e in counted if e not in present}
        finished = select(device_entry.c.entry).where(device_entry.c.device == "bench", device_entry.c.result.is_(None))
        half |= set(view.execute(finished).scalars())
    return present, half


def agrees(store: Any, present: set[str]) -> None:
    """Numbers follow each other without a gap, and every change of the jar is there with the state before it."""
    from sqlalchemy import func, select

    from enamelwright.records.schema.house import number_given, past_version
    from enamelwright.records.schema.jars import jar
    from enamelwright.records.schema.loads import load

    with store.reading() as view:
        serials = list(view.execute(select(number_given.c.serial).where(number_given.c.series == "load")).scalars())
        assert sorted(serials) == list(range(1, len(present) + 1))
        first = select(func.count(), func.count(load.c.number.distinct())).where(load.c.corrects.is_(None))
        assert tuple(view.execute(first).one()) == (len(present), len(present))
        assert view.execute(select(jar.c.version)).scalar() == len(present) + 1
        assert view.execute(select(func.count()).select_from(past_version)).scalar() == len(present)


def wait_until_alone(store: Any) -> None:
    """Wait until the server has noticed that its client is gone."""
    from sqlalchemy import text as sql

    others = sql("SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()")
    while not store.on_sqlite:
        with store.engine.connect() as connection:
            if connection.execute(others).scalar() == 0:
                return
        time.sleep(0.01)


def settle(home: Any, told: Told, toll: Toll) -> None:
    """Open the record again, look at everything, and send once more what was cut off."""
    from enamelwright.records.opening import open_store
    from enamelwright.records.soundness import look_over

    store = open_store(home)
    wait_until_alone(store)
    look_over(store)
    present, half = entries(store)
    toll.add(told, present, half)
    agrees(store, present)
    if told.last:  # the device did not hear the answer, so it sends the entry again
        write_one(store, told.last, lambda *_: None)
        again, half = entries(store)
        assert again == present | {told.last}
        assert not half
    store.close()


if __name__ == "__main__":
    nursery()
