"""Bursts of writing that are killed, counted: 200 of each kind, on both databases.

`--keep` writes the counts to faults.json beside this file, which the page of the record shows.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

import bursts
import databases

from enamelwright.records.home import Home
from enamelwright.records.opening import open_store

BURSTS = 200
KEPT = Path(__file__).with_suffix(".json")


def bench_killed(home: Home) -> bursts.Toll:
    """The process that writes is killed."""
    store = open_store(home)
    bursts.prepare(store)
    store.close()
    toll = bursts.Toll()
    with bursts.Nursery() as nursery:
        for number, moment in enumerate(bursts.moments(BURSTS, seed=1)):
            told = nursery.burst(home, f"b{number}", bursts.kill_after(moment))
            bursts.settle(home, told, toll)
    return toll


def server_killed(scratch: Path) -> bursts.Toll:
    """The server is killed with all its processes, and started again."""
    toll = bursts.Toll()
    with databases.own_cluster() as folder, bursts.Nursery() as nursery:
        server = databases.start(folder, durable=True)
        databases.Server(folder).say("CREATE DATABASE studio")
        home = Home(scratch, databases.Server(folder).url("studio"))
        store = open_store(home)
        bursts.prepare(store)
        store.close()
        try:
            for number, moment in enumerate(bursts.moments(BURSTS, seed=2)):
                told = nursery.burst(home, f"s{number}", partial(bursts.kill_both, server, moment))
                server = databases.start(folder, durable=True)
                bursts.settle(home, told, toll)
        finally:
            databases.kill(server)
    return toll


def main() -> None:
    tolls = {}
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        begun = time.monotonic()

        def told(what: str, toll: bursts.Toll) -> None:
            nonlocal begun
            print(f"{what}: {toll}; {time.monotonic() - begun:.0f} s", flush=True)
            begun = time.monotonic()
            tolls[what] = toll

        told("bench killed, SQLite", bench_killed(Home(scratch / "sqlite")))
        with databases.own_cluster() as folder:
            server = databases.start(folder, durable=True)
            databases.Server(folder).say("CREATE DATABASE studio")
            home = Home(scratch / "postgresql", databases.Server(folder).url("studio"))
            try:
                told("bench killed, PostgreSQL", bench_killed(home))
            finally:
                databases.kill(server)
        told("server killed, PostgreSQL", server_killed(scratch / "server"))
    for what, toll in tolls.items():
        assert (toll.lost, toll.half) == (0, 0), what
        assert toll.inside >= BURSTS / 3, what
    if "--keep" in sys.argv:
        rows = [{"what": what, **toll.counts()} for what, toll in tolls.items()]
        KEPT.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
