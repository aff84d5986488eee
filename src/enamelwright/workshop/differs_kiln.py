"""What became of a kiln from one firing to another: how often it was made another one, and the days it was fired on."""

from __future__ import annotations

from datetime import date
from itertools import pairwise

from sqlalchemy import Connection

from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.writing import current

#: Letters of a day in a moment of the record.
DAY = len("2026-03-02")


def jumps_between(connection: Connection, kiln: int, since: str, until: str) -> int:
    """Count what made a kiln another one between two moments.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    kiln : int
        Row of the kiln.
    since, until : str
        As the record writes moments.
    """
    made = kiln_event.c.kiln == kiln, kiln_event.c.new_epoch == True, kiln_event.c.at.between(since, until)  # noqa: E712
    return len(connection.execute(current(kiln_event, kiln_event.c.id).where(*made)).all())


def days_between(connection: Connection, kiln: int, since: str, until: str) -> list[float]:
    """Return the days from each firing day of a kiln to the next, from one moment to another; empty within one day.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    kiln : int
        Row of the kiln.
    since, until : str
        As the record writes moments.
    """
    first, last = since[:DAY], until[:DAY]
    if first >= last:
        return []
    fired = current(load_table, load_table.c.at).where(load_table.c.kiln == kiln, load_table.c.at.between(since, until))
    days = {first, last, *(row.at[:DAY] for row in connection.execute(fired))}
    return [float((after - before).days) for before, after in pairwise(map(date.fromisoformat, sorted(days)))]
