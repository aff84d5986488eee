"""Speed of a big record on both databases, beside a fixed yardstick.

10,000 firings, 5,000 pieces, 50,000 stock movements over eight invented years. Prints wall-clock times of
whole use cases, the quickest of fifteen runs each. The servers wait for the disk, as in a studio. `--keep` writes
the figures to records.json beside this file, which the page of the record shows.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path
from typing import Any

from yardstick import yardstick

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import databases
import many

from enamelwright.records.archive import write_archive
from enamelwright.records.home import Home
from enamelwright.records.opening import open_store
from enamelwright.workshop import (
    coats,
    differs,
    exposure,
    faults,
    find,
    firings,
    history,
    jars,
    loads,
    lots,
    open_work,
    orders,
    pieces,
    tracing,
)
from enamelwright.workshop.studio import Studio

#: Runs of everything; the quickest counts.
REPEATS = 15
KEPT = Path(__file__).with_suffix(".json")
#: Seconds allowed: closing a firing, any list, a trace of a lot, the whole archive.
CLOSING, LIST, TRACE, ARCHIVE = 0.030, 0.030, 0.010, 60.0
#: A list that grows with the years, for a year in the middle of them.
YEAR = ("2021-01-01T00:00:00.000Z", "2021-02-01T00:00:00.000Z")


def quickest(job: Callable[[], object]) -> float:
    """Seconds of the quickest of many runs, which other work on the machine disturbs least."""
    job()
    taken = []
    for _ in range(REPEATS):
        begun = time.perf_counter()
        job()
        taken.append(time.perf_counter() - begun)
    return min(taken)


def lists(studio: Studio) -> dict[str, Callable[[], Any]]:
    """Everything a page lists."""
    number = next(row.number for row in pieces.pieces_in_work(studio) if row.design_version is not None)
    load = firings.firings_of(studio, number)[-1].number
    return {
        "what is open": lambda: open_work.open_work(studio),
        "open loads": lambda: firings.open_loads(studio),
        "coats not yet fired": lambda: coats.coats_without_firing(studio),
        "pieces in work": lambda: pieces.pieces_in_work(studio),
        "faults not healed": lambda: faults.open_faults(studio),
        "open orders": lambda: orders.open_orders(studio),
        "loads of a month": lambda: firings.loads_between(studio, *YEAR),
        "one piece: firings": lambda: firings.firings_of(studio, number),
        "one piece: coats": lambda: coats.coats_on(studio, number),
        "one piece: its story": lambda: history.story(studio, number),
        "one load: pieces": lambda: firings.pieces_in(studio, firings.load_row(studio, load).of),
        "jars": lambda: jars.jars(studio),
        "levels of all lots": lambda: lots.levels(studio),
        "grams sifted in a month": lambda: exposure.sifted(studio, *YEAR),
        "find a number": lambda: find.find(studio, number),
        "find a word": lambda: find.find(studio, "trivet"),
        "find a colour": lambda: find.find(studio, family="blue"),
        "find a metal": lambda: find.find(studio, metal="copper"),
        "find a month": lambda: find.find(studio, "2021-05"),
        "what differs today": lambda: differs.what_differs(studio, number),
    }


def times(home: Home) -> dict[str, tuple[float, float]]:
    """Seconds taken and allowed of everything."""
    store = open_store(home)
    begun = time.perf_counter()
    many.fill(store)
    print(f"  filled in {time.perf_counter() - begun:.0f} s", flush=True)
    studio = Studio(store)
    found: dict[str, tuple[float, float]] = {}
    serial = count(1)
    in_work = [row.number for row in pieces.pieces_in_work(studio) if row.design_version is None]

    def close() -> float:
        begun = loads.begin_load(studio, [in_work[next(serial)]], set_point=1063.15)
        start = time.perf_counter()
        loads.close_load(studio, begun.number, seconds=150.0, stage_seen="gloss")
        return time.perf_counter() - start

    found["closing a firing"] = (min(close() for _ in range(REPEATS)), CLOSING)
    found["a whole firing in one line"] = (
        quickest(lambda: loads.fired(studio, in_work[40:42], seconds=150.0)),
        2 * CLOSING,
    )
    for what, job in lists(studio).items():
        found[what] = (quickest(job), LIST)
    lot = 3 * many.JARS + 1
    found["pieces touched by a lot"] = (quickest(lambda: tracing.pieces_touched(studio, lot)), TRACE)
    found["lots in a piece"] = (quickest(lambda: tracing.lots_in(studio, in_work[3])), TRACE)
    begun = time.perf_counter()
    write_archive(store, home.folder / "archive.zip", zipped=True)
    found["the whole archive"] = (time.perf_counter() - begun, ARCHIVE)
    store.close()
    return found


def main() -> None:
    """Time everything on both databases and print it side by side."""
    with tempfile.TemporaryDirectory() as name:
        sqlite = times(Home(Path(name) / "sqlite"))
        with databases.own_cluster() as folder:
            server = databases.start(folder, durable=True)
            databases.Server(folder).say("CREATE DATABASE studio")
            try:
                postgresql = times(Home(Path(name) / "postgresql", databases.Server(folder).url("studio")))
            finally:
                databases.kill(server)
    stick = yardstick()
    print(f"{'':28}{'SQLite':>10}{'PostgreSQL':>12}{'allowed':>10}   [ms]")
    slow = []
    for what, (taken, allowed) in sqlite.items():
        other = postgresql[what][0]
        mark = "" if max(taken, other) <= allowed else "  over"
        slow += [what] if mark else []
        print(f"{what:28}{taken * 1e3:10.1f}{other * 1e3:12.1f}{allowed * 1e3:10.0f}{mark}")
    print(f"{'yardstick':28}{stick * 1e3:10.1f}")
    if "--keep" in sys.argv:
        rows = [{"what": w, "sqlite": s, "postgresql": postgresql[w][0], "allowed": a} for w, (s, a) in sqlite.items()]
        KEPT.write_text(json.dumps({"yardstick": stick, "times": rows}, indent=1) + "\n", encoding="utf-8")
    sys.exit(f"slower than allowed: {', '.join(slow)}" if slow else 0)


if __name__ == "__main__":
    main()
