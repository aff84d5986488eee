"""Hand minutes and waits of one operation, from the table of ordinary practice."""

from __future__ import annotations

from functools import lru_cache

from enamelwright import units
from enamelwright.errors import HouseError
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader

_TABLE = "trade/hand_minutes"


@lru_cache(maxsize=1)
def _table() -> dict[str, Figure]:
    table = {}
    for row in loader.rows(_TABLE):
        low, value, high = (units.to_si(float(row[name]), row["unit"], "time") for name in ("low", "value", "high"))
        origin = Origin(kind="reference", source=f"{_TABLE}/{row['key']} [{row['source']}]", status=row["status"])
        table[row["key"]] = Figure(value=value, low=low, high=high, dimension="time", origin=origin)
    return table


def time_of(key: str, count: float = 1.0) -> Figure:
    """Return the time of one kind of work.

    Parameters
    ----------
    key : str
        Row of the table of hand minutes.
    count : float
        How many pieces, coats, cells or faces.

    Raises
    ------
    HouseError
        When the table has no such row.
    """
    try:
        one = _table()[key]
    except KeyError as error:
        raise HouseError(f"no hand time is recorded for '{key}'.", "Install the program again.") from error
    if count == 1:
        return one
    return one.model_copy(update={"value": one.value * count, "low": one.low * count, "high": one.high * count})
