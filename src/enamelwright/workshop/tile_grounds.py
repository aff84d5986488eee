"""How tiles of a jar came out over each undercoat: what is black on bare metal may be good over flux."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Row

from enamelwright.records.schema.tiles import tile_spot
from enamelwright.records.writing import current
from enamelwright.workshop.faults import fault_name
from enamelwright.workshop.firing_facts import FiringFacts
from enamelwright.workshop.named import within
from enamelwright.workshop.undercoat import BARE


def by_undercoat(
    connection: Connection, fired: Sequence[FiringFacts], faults: Mapping[tuple[int, int], Sequence[Row[Any]]]
) -> tuple[str, ...]:
    """Say over which undercoats tiles came out with faults, where their spots tell; empty where nothing differs.

    A fault belongs to the spots its place names; where it names none, to all.

    Parameters
    ----------
    connection : Connection
        To read with.
    fired : sequence of FiringFacts
        Tiles, one a load.
    faults : mapping
        Of each load and piece: faults with their places.
    """
    spots: dict[int, set[str]] = defaultdict(set)
    for row in connection.execute(
        current(tile_spot, tile_spot.c.piece, tile_spot.c.under).where(
            within(tile_spot.c.piece, {one.piece for one in fired}), tile_spot.c.under.is_not(None)
        )
    ):
        spots[row.piece].add(row.under.strip())
    loads: dict[str, set[int]] = defaultdict(set)
    spoilt: dict[str, dict[str, set[int]]] = defaultdict(lambda: defaultdict(set))
    for one in fired:
        mine = spots.get(one.piece, set())
        for under in mine:
            loads[under].add(one.load)
        for fault in faults.get((one.load, one.piece), ()):
            place = (fault.place_on_piece or "").casefold()
            there = {under for under in mine if _word(under) in place}
            for under in there or mine:
                spoilt[under][fault.fault].add(one.load)
    if not spoilt or len(loads) < 2:
        return ()
    lines = [
        f"{_over(under)}: "
        + ", ".join(f"{fault_name(fault)} in {len(which)} of {len(loads[under])}" for fault, which in seen.items())
        + f" {_loads(len(loads[under]))}."
        for under, seen in sorted(spoilt.items())
    ]
    clean = sorted(set(loads) - set(spoilt))
    if clean:
        most = max(len(loads[under]) for under in clean)
        bare = [under for under in clean if under.casefold() in BARE]
        over = [under.replace(", ", " with ") for under in clean if under not in bare]
        where = [*(["on bare metal"] if bare else []), *([f"over {', '.join(over)}"] if over else [])]
        said = " and ".join(where)
        lines.append(f"{said[:1].upper()}{said[1:]}: no fault in {most} {_loads(most)}.")
    return tuple(lines)


def _word(under: str) -> str:
    return under.casefold().replace(",", " ").split()[0] if under else under


def _over(under: str) -> str:
    return "On bare metal" if under.casefold() in BARE else f"Over {under.replace(', ', ' with ')}"


def _loads(count: int) -> str:
    return "load" if count == 1 else "loads"
