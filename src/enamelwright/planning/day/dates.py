"""Dates and hours as people write them, and the clock of a plan: ticks from midnight of the first day."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from enamelwright.errors import InputError
from enamelwright.planning.day.rates import DAY, TICK

#: Names of the days, Monday first.
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_HOURS = re.compile(r"\s*(\d{1,2}):(\d{2})\s*(?:-|–|to)\s*(\d{1,2}):(\d{2})\s*")
#: Ticks of an hour and of a minute.
HOUR, MINUTE = 3600 // TICK, 60 // TICK


def read_hours(text: str) -> tuple[int, int]:
    """Read ``09:00-12:30`` as ticks from midnight.

    Raises
    ------
    InputError
        When it cannot be read, or ends before it begins.
    """
    found = _HOURS.fullmatch(text)
    if found is None:
        raise InputError(f"'{text[:40]}' is no stretch of hours.", "Write it as 09:00-12:30.")
    a, b, c, d = (int(part) for part in found.groups())
    begin, end = a * HOUR + b * MINUTE, c * HOUR + d * MINUTE
    if not (b < 60 and d < 60 and begin < end <= DAY):
        raise InputError(f"'{text[:40]}' ends before it begins, or is no time of day.", "Write it as 09:00-12:30.")
    return begin, end


def read_class(text: str, hours: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """Read the hours of a class as ticks from midnight.

    Parameters
    ----------
    text : str
        Like ``18:00-21:00``.
    hours : sequence of (int, int)
        Stretches of a working day, one of which the class lies within.

    Raises
    ------
    InputError
        When it cannot be read, or lies outside the hours of a day.
    """
    begin, end = read_hours(text)
    if not any(a <= begin and end <= b for a, b in hours):
        raise InputError(
            f"the class at {text[:40]} lies outside the hours of a day.", "Add its hours to those of the day.", "class"
        )
    return begin, end


def read_date(text: str) -> date:
    """Read ``2026-03-02``.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is no date.", "Write it as 2026-03-02.") from error


@dataclass(frozen=True)
class Dates:
    """Clock and dates of one plan.

    Parameters
    ----------
    first : date
        Day 0.
    """

    first: date

    def day(self, text: str) -> int:
        """Return the number of a date, from 0 for the first day."""
        return (read_date(text) - self.first).days

    def clock(self, text: str, end_of_day: int) -> int:
        """Read ``2026-03-02`` or ``2026-03-02 16:00`` as ticks; a date alone means the end of that day's work.

        Raises
        ------
        InputError
            When it cannot be read.
        """
        parts = text.replace("T", " ").split()
        if not parts or len(parts) > 2:
            raise InputError(f"'{text[:40]}' is no date.", "Write it as 2026-03-02 or 2026-03-02 16:00.")
        day = self.day(parts[0]) * DAY
        if len(parts) == 1:
            return day + end_of_day
        found = re.fullmatch(r"(\d{1,2}):(\d{2})(?::\d{2})?", parts[1])
        if found is None or int(found[1]) > 24 or int(found[2]) > 59:
            raise InputError(f"'{parts[1][:20]}' is no time of day.", "Write it as 16:00.")
        return day + int(found[1]) * HOUR + int(found[2]) * MINUTE

    def text(self, clock: int) -> str:
        """Return ticks as ``2026-03-02T16:00:30``, the seconds left out when there are none."""
        moment = datetime.combine(self.first, datetime.min.time()) + timedelta(seconds=clock * TICK)
        return moment.isoformat(timespec="seconds" if moment.second else "minutes")

    def resting(self, weekdays: frozenset[str], off: frozenset[int], days: int) -> frozenset[int]:
        """Return the days without work among the first so many.

        Parameters
        ----------
        weekdays : frozenset of str
            Of :data:`WEEKDAYS`.
        off : frozenset of int
            Days by number.
        days : int
            How many are looked at.
        """
        return frozenset(d for d in range(days) if d in off or self.weekday(d) in weekdays)

    def weekday(self, day: int) -> str:
        """Return the name of a day by its number."""
        return WEEKDAYS[(self.first.weekday() + day) % len(WEEKDAYS)]
