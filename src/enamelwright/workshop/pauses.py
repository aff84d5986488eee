"""How long a kiln had rested when a load went in: one way to work it out, for all that ask."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, select

from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.writing import current, first_of

#: What the entries of notebooks begin with; of their rows only the day is known, unless somebody told more since.
NOTEBOOK = "notebook-"
#: Loads that are looked back through for the one before, the newest first.
LOOK_BACK = 200
#: Moments are often told to the minute, so that a load may seem to go in this long before the one before came out [s].
TO_THE_MINUTE = 60.0


def pauses(loads: Mapping[int, Row[Any]], only_day: Collection[int] = frozenset()) -> dict[int, float]:
    """Return how long each kiln had rested when a load went in [s].

    As somebody told it (`idle_before`), else since the load before it in the same kiln came out. A load without a
    kiln, the first of a kiln, one of which only the day is known, and one that went in while another was still in
    have none.

    Parameters
    ----------
    loads : mapping
        First row of a load to its present state: `kiln`, `at`, `closed_at`, `idle_before`.
    only_day : collection of int
        Loads of which only the day is known, of :func:`known_by_day`.
    """
    found: dict[int, float] = {}
    came_out = dict[int, str]()
    for row, load in sorted(loads.items(), key=lambda pair: (pair[1].at, pair[0])):
        timed = row not in only_day
        rested = rest(load.at, load.idle_before, came_out.get(load.kiln) if timed else None)
        if rested is not None:
            found[row] = rested
        if load.closed_at is not None and load.kiln is not None and timed:
            came_out[load.kiln] = load.closed_at
    return found


def pause_of(connection: Connection, kiln: int, at: str, told: float | None) -> float | None:
    """Return how long a kiln has rested at a moment [s]; None where nobody knows.

    Parameters
    ----------
    connection : Connection
        To read with.
    kiln : int
        Row of the kiln.
    at : str
        The moment, as the record writes moments.
    told : float or None
        As somebody told it.
    """
    if told is not None:
        return rest(at, told, None)
    recent = connection.execute(
        current(load_table, load_table.c.kiln, load_table.c.closed_at)
        .where(load_table.c.at < at)
        .order_by(load_table.c.at.desc(), load_table.c.id.desc())
        .limit(LOOK_BACK)
    ).all()
    days = known_by_day(connection)
    out = next((row.closed_at for row in recent if row.kiln == kiln and row.closed_at and row.of not in days), None)
    return rest(at, None, out)


def rest(at: str, told: float | None, came_out: str | None) -> float | None:
    """Return how long a kiln had rested [s]: as told, else since the load before came out; None where nobody knows.

    Parameters
    ----------
    at : str
        When the load went in, as the record writes moments.
    told : float or None
        As somebody told it.
    came_out : str or None
        When the load before it came out.
    """
    if told is not None:
        return max(0.0, float(told))
    if came_out is None:
        return None
    gone = (datetime.fromisoformat(at) - datetime.fromisoformat(came_out)).total_seconds()
    return max(0.0, gone) if gone > -TO_THE_MINUTE else None


def known_by_day(connection: Connection) -> frozenset[int]:
    """Return the loads of which only the day is known: a notebook's rows, as long as nobody put the moment right.

    Parameters
    ----------
    connection : Connection
        To read with.
    """
    first = select(load_table.c.id, load_table.c.at).where(
        load_table.c.entry.startswith(NOTEBOOK, autoescape=True), load_table.c.first.is_(None)
    )
    written = {row.id: row.at for row in connection.execute(first)}
    if not written:
        return frozenset()
    now = connection.execute(current(load_table, load_table.c.at).where(first_of(load_table).in_(list(written))))
    return frozenset(row.of for row in now if row.at == written[row.of])
