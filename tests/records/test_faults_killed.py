"""Nothing acknowledged is lost and nothing is half written when a bench or the server is killed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import bursts
import databases

from enamelwright.records.home import Home
from enamelwright.records.opening import open_store
from enamelwright.records.store import Store

BURSTS = 20
#: Bursts in which the server itself is killed; each costs a restart, so they are few, and more follow only
#: while too few of them fell inside a transaction.
SERVER_BURSTS = 4


def test_a_bench_is_killed(store: Store, record_property: Callable[[str, object], None]) -> None:
    bursts.prepare(store)
    store.close()
    toll = bursts.Toll()
    with bursts.Nursery() as nursery:
        for number, moment in enumerate(bursts.until_enough(toll, BURSTS, seed=4, acknowledged=BURSTS)):
            told = nursery.burst(store.home, f"b{number}", bursts.kill_after(moment))
            bursts.settle(store.home, told, toll)
    record_property("faults", f"bench killed, {store.engine.dialect.name}: {toll}")
    assert (toll.lost, toll.half) == (0, 0)
    assert toll.acknowledged > BURSTS
    assert toll.inside >= BURSTS / 3


def test_the_server_is_killed(tmp_path: Path, record_property: Callable[[str, object], None]) -> None:
    toll = bursts.Toll()
    with databases.own_cluster() as folder, bursts.Nursery() as nursery:
        server = databases.start(folder, durable=True)
        databases.Server(folder).say("CREATE DATABASE studio")
        home = Home(tmp_path, databases.Server(folder).url("studio"))
        store = open_store(home)
        bursts.prepare(store)
        store.close()
        try:
            for number, moment in enumerate(bursts.until_enough(toll, SERVER_BURSTS, seed=5)):
                told = nursery.burst(home, f"s{number}", partial(bursts.kill_both, server, moment))
                server = databases.start(folder, durable=True)
                bursts.settle(home, told, toll)
        finally:
            databases.kill(server)
    record_property("faults", f"server killed, postgresql: {toll}")
    assert (toll.lost, toll.half) == (0, 0)
    assert toll.inside >= SERVER_BURSTS / 3
