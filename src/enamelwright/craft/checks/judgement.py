"""Thresholds and defaults of the checks, read from the table ``trade/judgement``."""

from __future__ import annotations

from functools import lru_cache

from enamelwright import units
from enamelwright.errors import HouseError
from enamelwright.reference import loader
from enamelwright.reference.loader import Fact


@lru_cache(maxsize=1)
def _table() -> dict[str, Fact]:
    table: dict[str, Fact] = {}
    for row in loader.rows("trade/judgement"):
        value, low, high = (
            units.to_si(float(row[name] or row["value"]), row["unit"], row["dimension"])
            for name in ("value", "low", "high")
        )
        table[row["key"]] = Fact(
            key=f"trade/{row['key']}",
            value=value,
            low=low,
            high=high,
            dimension=row["dimension"],
            source=loader.source_keys(row["source"]),
            locator=row["locator"],
            status=row["status"],
            note=row["note"],
            unit=row["unit"],
        )
    return table


def judgement(key: str) -> Fact:
    """Return one threshold or default of the checks.

    Parameters
    ----------
    key : str
        Name without its family, e.g. ``"bow_limit"``.

    Raises
    ------
    HouseError
        When the table does not state it.
    """
    try:
        return _table()[f"flatness/{key}"]
    except KeyError as error:
        raise HouseError(f"the table trade/judgement does not state '{key}'.") from error


def level(key: str) -> float:
    """Return the SI number of one threshold or default."""
    return judgement(key).value


def spoken(key: str) -> str:
    """Cite one threshold: its key, source and status, for the sources of a verdict."""
    found = judgement(key)
    return f"{found.key} [{', '.join(found.source)}; {found.status}]"
