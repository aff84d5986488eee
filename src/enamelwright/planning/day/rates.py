"""The figures a day is reckoned with until a person's own record replaces them, in ticks."""

from __future__ import annotations

from functools import lru_cache
from math import ceil

from enamelwright.reference.loader import Fact, facts_of

#: One tick of a plan [s]: the least step of time anybody plans a bench by.
TICK = 30
#: Ticks of a day.
DAY = 24 * 3600 // TICK


@lru_cache(maxsize=1)
def _table() -> dict[str, Fact]:
    return dict(facts_of("trade/planning"))


def rate(key: str) -> Fact:
    """Return one figure of the table of planning, named without its field."""
    return _table()[f"trade/{key}"]


def ticks(seconds: float) -> int:
    """Return whole ticks that cover so many seconds; at least one when there are any."""
    return max(ceil(seconds / TICK - 1e-9), 0)


def ticks_of(key: str) -> int:
    """Return a time of the table of planning in ticks."""
    return ticks(rate(key).value)
