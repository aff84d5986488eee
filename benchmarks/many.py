"""Fills a record with many years of an invented workshop, straight into its tables; lent to other benchmarks."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import insert

from enamelwright.records.kinds import metadata
from enamelwright.records.store import Store
from enamelwright.records.writing import moment

LOADS, PIECES, MOVEMENTS, COATS = 10_000, 5_000, 50_000, 20_000
JARS, LOTS_A_JAR, DESIGNS, ORDERS, YEARS = 60, 4, 200, 600, 8
BEGIN = datetime(2018, 1, 2, 8, tzinfo=UTC)
STEP = timedelta(days=365.25 * YEARS) / LOADS
FAMILIES = ("white", "blue", "green", "red", "yellow", "black")
METALS = ("copper", "fine silver", "gilding metal")
STAGES = ("orange peel", "gloss", "gloss", "gloss", "cleared")
STATES = ("finished", "finished", "finished", "second", "spoilt")
#: Pieces that are not finished, loads that are not closed: what lies on the bench now.
IN_WORK, OPEN = 150, 2


class _Fill:
    def __init__(self, store: Store) -> None:
        self.store = store
        self.chance = random.Random(10)

    def rows(self, table: str, rows: list[dict[str, Any]]) -> None:
        """Add rows of one table; their ids run from one in this order."""
        with self.store.engine.begin() as connection:
            for start in range(0, len(rows), 5000):
                connection.execute(insert(metadata.tables[table]), rows[start : start + 5000])

    def happened(self, table: str, rows: list[dict[str, Any]]) -> None:
        """Add rows of what happened."""
        self.rows(table, [{"recorded_at": row["at"], **row} for row in rows])

    def kept(self, table: str, rows: list[dict[str, Any]]) -> None:
        """Add rows of what is kept."""
        at = moment(BEGIN)
        self.rows(table, [{"version": 1, "made_at": at, "changed_at": at, "put_away": False, **row} for row in rows])


def at(load: int) -> str:
    """When a load went in."""
    return moment(BEGIN + load * STEP)


def fill(store: Store) -> None:
    """Write everything."""
    f = _Fill(store)
    chance = f.chance
    f.rows("device_entry", [{"entry": f"e{n}", "device": "bench", "arrived_at": at(n)} for n in range(LOADS)])
    f.kept("person", [{"label": name, "role": "maker"} for name in ("first maker", "second maker")])
    f.kept("kiln", [{"name": "front-loading", "described": {"name": "front-loading"}}])
    f.kept(
        "jar",
        [
            {"code": f"J{n:02d}", "name": f"colour {n}", "kind": "opaque", "family": FAMILIES[n % 6],
             "described": {"id": f"J{n:02d}", "name": f"colour {n}", "kind": "opaque", "synthetic": True},
             "reorder_below": 0.05, "invented": True}
            for n in range(JARS)
        ],
    )  # fmt: skip
    lots = JARS * LOTS_A_JAR
    f.kept(
        "lot",
        [
            {"jar": n % JARS + 1, "label": f"lot {n}", "opened_on": at(LOADS * n // lots)[:10], "bought_grams": 0.5,
             "finished": n < lots - JARS}
            for n in range(lots)
        ],
    )  # fmt: skip
    f.kept("design", [{"name": f"design {n}", "technique": "sifted", "invented": True} for n in range(DESIGNS)])
    f.happened(
        "design_version",
        [{"entry": f"e{n}", "at": at(n), "design": n + 1, "number": 1, "piece": _design(n)} for n in range(DESIGNS)],
    )
    f.kept("customer", [{"label": f"customer {n}"} for n in range(ORDERS // 2)])
    f.kept(
        "customer_order",
        [
            {"number": f"{at(LOADS * n // ORDERS)[:4]}-C{n:03d}", "customer": n // 2 + 1, "brief": f"order {n}",
             "asked_on": at(LOADS * n // ORDERS)[:10], "due_on": at(min(LOADS * n // ORDERS + 300, LOADS))[:10],
             "state": "collected" if n < ORDERS - 20 else "in work"}
            for n in range(ORDERS)
        ],
    )  # fmt: skip
    f.kept("piece", [_piece(chance, n) for n in range(PIECES)])
    f.rows("number_given", list(_numbers()))
    f.happened("load", [_load(chance, n) for n in range(LOADS)])
    f.happened(
        "load",
        [
            {**_load(chance, n), "first": n + 1, "corrects": n + 1, "why": "closed", "seconds": 150.0,
             "stage_seen": chance.choice(STAGES), "closed_at": at(n)}
            for n in range(LOADS - OPEN)
        ],
    )  # fmt: skip
    inside = [(n, p) for n in range(LOADS) for p in {n // 2 % PIECES, (n // 2 + n % 3) % PIECES}]
    f.happened(
        "load_piece",
        [{"entry": f"e{n}", "at": at(n), "load": n + 1, "piece": p + 1, "firing": n % 6 + 1} for n, p in inside],
    )
    f.happened("coat_laid", [_coat(chance, n) for n in range(COATS)])
    f.happened("stock_movement", [_movement(chance, n) for n in range(MOVEMENTS)])
    _after(f)
    with store.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        if not store.on_sqlite:
            connection.exec_driver_sql("VACUUM ANALYZE")  # as the server does by itself over the years


def _design(n: int) -> dict[str, Any]:
    coats = [("back", n), *(("front", n + step) for step in range(1, 4))]
    return {
        "name": f"design {n}", "technique": "sift_opaque", "invented": True,
        "metal": {"kind": "copper", "thickness_mm": 0.8},
        "outline": {"shape": "circle", "diameter_mm": 20.0 + n % 40},
        "coats": [{"face": face, "jar": f"J{jar % JARS:02d}", "powder_depth_mm": 0.3} for face, jar in coats],
    }  # fmt: skip


def _piece(chance: random.Random, n: int) -> dict[str, Any]:
    done = n < PIECES - IN_WORK
    return {
        "number": f"{at(2 * n)[:4]}-{n:04d}", "label": f"piece {n}", "kind": "piece", "metal": METALS[n % 3],
        "design_version": n % DESIGNS + 1 if done or n % 2 else None, "started_on": at(2 * n)[:10], "thickness": 0.0008,
        "state": chance.choice(STATES) if done else "in work", "place": "sold" if done else "bench", "invented": True,
        "words": "for the spring fair" if n % 40 == 0 else None,
    }  # fmt: skip


def _numbers() -> Any:
    for n in range(PIECES):
        year = int(at(2 * n)[:4])
        yield {"series": "piece", "year": year, "serial": n, "number": f"{year}-{n:04d}", "given_at": at(2 * n)}
    for n in range(LOADS):
        year = int(at(n)[:4])
        yield {"series": "load", "year": year, "serial": n, "number": f"{year}-F{n:04d}", "given_at": at(n)}


def _load(chance: random.Random, n: int) -> dict[str, Any]:
    return {
        "entry": f"e{n}", "at": at(n), "number": f"{at(n)[:4]}-F{n:04d}", "kiln": 1, "set_point": 1063.15,
        "shown_at_load": 1060.0 + n % 7, "start": "load", "support": "mesh", "idle_before": 600.0, "who": n % 2 + 1,
        "words": "fresh trivet" if n % 50 == 0 else None, "typed": {"set_point": "790 °C"},
    }  # fmt: skip


def _coat(chance: random.Random, n: int) -> dict[str, Any]:
    load = n * LOADS // COATS
    lot = min(load * LOTS_A_JAR // LOADS, LOTS_A_JAR - 1) * JARS + n % JARS
    return {
        "entry": f"e{load}", "at": at(load), "piece": load // 2 % PIECES + 1, "load": load + 1 if n < COATS - 40 else None,
        "lot": lot + 1, "jar": n % JARS + 1, "coat": n % 4 + 1, "face": "front", "on_piece": 0.001, "mesh": 80,
        "method": "sifted",
    }  # fmt: skip


def _movement(chance: random.Random, n: int) -> dict[str, Any]:
    load = n * LOADS // MOVEMENTS
    lot = min(load * LOTS_A_JAR // LOADS, LOTS_A_JAR - 1) * JARS + n % JARS
    kind = "used" if n % 100 else "counted"
    used_by = n * COATS // MOVEMENTS + 1 if n % 5 < 2 else None
    return {
        "entry": f"e{load}", "at": at(load), "lot": lot + 1, "kind": kind, "grams": 0.0008 if kind == "used" else 0.3,
        "coat": used_by if kind == "used" else None,
    }  # fmt: skip


def _after(f: _Fill) -> None:
    """Measures, faults, looks, exposure, payments and where pieces went."""
    chance = f.chance
    common = [{"entry": f"e{n}", "at": at(n)} for n in range(LOADS)]
    f.happened(
        "measure",
        [
            {**c, "piece": n // 2 % PIECES + 1, "load": n + 1, "what": "bow", "length": 1e-4}
            for n, c in enumerate(common)
        ],
    )
    f.happened(
        "fault_seen",
        [
            {
                **common[n],
                "piece": n // 2 % PIECES + 1,
                "load": n + 1,
                "fault": chance.choice(("crack", "pit", "crawl")),
                "healed": n % 3 > 0,
            }
            for n in range(0, LOADS, 6)
        ],
    )
    f.happened(
        "look", [{**c, "load": n + 1, "seconds": 120.0, "stage_seen": "orange peel"} for n, c in enumerate(common)]
    )
    f.happened("exposure", [{**common[n], "person": 1, "work": "sifting", "grams": 0.002} for n in range(0, LOADS, 2)])
    f.happened(
        "prediction",
        [
            {**c, "load": n + 1, "piece": n // 2 % PIECES + 1, "firing": n % 6 + 1, "figures": {"seconds": [120, 150, 190]},
             "engine": "0", "bench_revision": "0" * 16}
            for n, c in enumerate(common)
        ],
    )  # fmt: skip
    sold = range(PIECES - IN_WORK)
    f.happened("whereabouts", [{**common[2 * n], "piece": n + 1, "place": "sold"} for n in sold])
    f.happened(
        "payment", [{**common[2 * n], "piece": n + 1, "kind": "sale", "minor": 9500, "currency": "EUR"} for n in sold]
    )
