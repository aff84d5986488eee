"""Published limits as dated records: what each says, where, since when, and how well that is known here.

Yardsticks for screening. Which of them binds whom is for local rules to say; a limit is never turned into a promise.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

from enamelwright.errors import HouseError
from enamelwright.reference.loader import rows


@dataclass(frozen=True)
class Limit:
    """One limit of one place.

    Attributes
    ----------
    name : str
        Its key.
    value : float
        In `unit`, as the text states it.
    unit, jurisdiction, clause, date : str
        As recorded; `date` says since or until when, empty when not known.
    source, status, note : str
        Source key, how well it is known, remark.
    """

    name: str
    value: float
    unit: str
    jurisdiction: str
    clause: str
    date: str
    source: str
    status: str
    note: str

    def words(self) -> str:
        """Cite it on one line: place, clause, date, and how well it is known here."""
        told = ", ".join(part for part in (self.jurisdiction, self.clause, self.date) if part)
        return f"{told} ({self.status})"

    def shown(self) -> str:
        """Print value and unit."""
        return f"{self.value:g} {self.unit}"


@lru_cache(maxsize=1)
def limits() -> dict[str, Limit]:
    """Return every limit by name; treat it as read-only."""
    return {
        row["name"]: Limit(
            row["name"], float(row["value"]), row["unit"], row["jurisdiction"], row["clause"], row["date"],
            row["source"], row["status"], row["note"],
        )
        for row in rows("health/limits")
    }  # fmt: skip


class Applied(Protocol):
    """Something that stands in for a limit of the tables."""

    @property
    def name(self) -> str:
        """Key of the limit it stands in for."""

    def applied(self) -> Limit:
        """Return it as a limit."""


def limit(name: str, own: Iterable[Applied] = ()) -> Limit:
    """Return one limit, or what a studio goes by instead.

    Parameters
    ----------
    name : str
        Its key.
    own : iterable of Applied
        A studio's own limits.

    Raises
    ------
    HouseError
        When the table does not hold it.
    """
    for one in own:
        if one.name == name:
            return one.applied()
    try:
        return limits()[name]
    except KeyError as error:
        raise HouseError(f"no table of limits states '{name}'.", "Install the program again.") from error
