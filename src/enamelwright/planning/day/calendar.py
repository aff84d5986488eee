"""Working hours, and the axis on which nights and long breaks are short.

Solvers and simulator think on an *axis*: every working window keeps its full length and every gap between
two windows is cut to at most `cut`. A step is done inside one window; a wait runs on through gaps. A wait of
at most `cut` is exact on the axis, because a gap that is cut outlasts it; a longer one must be taken on the
clock (:meth:`Calendar.after`). Times are whole ticks: on the clock they count from midnight of the first day.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from enamelwright.errors import InputError, OutOfReach

#: A window as (opens, closes).
Window = tuple[int, int]
#: Working days that are looked at to learn whether a kiln gets hot within the hours: two weeks and more.
DAYS_LOOKED_AT = 14


@dataclass(frozen=True)
class Calendar:
    """Working windows on the clock and their place on the axis.

    Parameters
    ----------
    windows : tuple of (int, int)
        Open and close, ticks of the clock from midnight of the first day, in order and apart.
    cut : int
        Longest gap kept on the axis [ticks].
    day_length : int
        Ticks from midnight to midnight.
    """

    windows: tuple[Window, ...]
    cut: int
    day_length: int

    def __post_init__(self) -> None:
        """Refuse windows that are empty, overlap or are out of order."""
        if not self.windows:
            raise InputError("there are no working hours.", "Give at least one stretch of work.")
        last = None
        for opens, closes in self.windows:
            if closes <= opens or (last is not None and opens < last):
                raise InputError("working hours overlap or end before they begin.", "Give them in order, apart.")
            last = closes

    @classmethod
    def daily(
        cls, hours: Sequence[Window], days: int, cut: int, day_length: int, rest: frozenset[int] = frozenset()
    ) -> Calendar:
        """Repeat the same hours every day.

        Parameters
        ----------
        hours : sequence of (int, int)
            Ticks from midnight.
        days : int
            How many days, days of rest counted.
        cut, day_length : int
            As for the calendar.
        rest : frozenset of int
            Days (from 0) without work.
        """
        windows = tuple(
            (day * day_length + opens, day * day_length + closes)
            for day in range(days)
            if day not in rest
            for opens, closes in sorted(hours)
        )
        return cls(windows, cut, day_length)

    @cached_property
    def starts(self) -> list[int]:
        """Where each window begins on the axis."""
        places, at = [], 0
        for number, (opens, closes) in enumerate(self.windows):
            places.append(at)
            if number + 1 < len(self.windows):
                at += closes - opens + min(self.windows[number + 1][0] - closes, self.cut)
        return places

    @cached_property
    def ends(self) -> list[int]:
        """Where each window ends on the axis."""
        return [at + closes - opens for at, (opens, closes) in zip(self.starts, self.windows, strict=True)]

    @cached_property
    def days(self) -> list[int]:
        """The day each window belongs to."""
        return [opens // self.day_length for opens, _ in self.windows]

    @cached_property
    def _opens(self) -> list[int]:
        return [opens for opens, _ in self.windows]

    @cached_property
    def _worked(self) -> list[int]:
        """Working ticks before each window."""
        sums, total = [], 0
        for opens, closes in self.windows:
            sums.append(total)
            total += closes - opens
        return sums

    @property
    def horizon(self) -> int:
        """End of the last window on the axis."""
        return self.ends[-1]

    @cached_property
    def longest(self) -> int:
        """The longest window: no step may be longer."""
        return max(closes - opens for opens, closes in self.windows)

    def to_axis(self, clock: int) -> int:
        """Place a time of the clock on the axis; before the first window is its beginning."""
        number = bisect_right(self._opens, clock) - 1
        if number < 0:
            return 0
        opens, closes = self.windows[number]
        if clock <= closes:
            return self.starts[number] + clock - opens
        if number + 1 == len(self.windows):
            return self.ends[number] + clock - closes
        gap = min(self.windows[number + 1][0] - closes, self.cut)
        return self.ends[number] + min(clock - closes, gap)

    def to_clock(self, axis: int) -> int:
        """Return the clock at a place of the axis: exact in a window, the earliest possible in a cut gap."""
        number = max(bisect_right(self.starts, axis) - 1, 0)
        opens, _ = self.windows[number]
        return opens + axis - self.starts[number]

    def worked_by(self, clock: int) -> int:
        """Working ticks offered up to a time of the clock."""
        number = bisect_right(self._opens, clock) - 1
        if number < 0:
            return 0
        opens, closes = self.windows[number]
        return self._worked[number] + min(clock, closes) - opens

    def when_worked(self, ticks: int) -> int:
        """Return the earliest clock by which so many working ticks have been offered.

        Raises
        ------
        OutOfReach
            When the calendar never offers them.
        """
        number = max(bisect_left(self._worked, ticks) - 1, 0)
        opens, closes = self.windows[number]
        at = opens + ticks - self._worked[number]
        if at > closes:
            raise OutOfReach("the calendar ends before the work does.", "Give more days.")
        return at

    def fit(self, axis: int, length: int) -> int:
        """Return the first place at or after `axis` where a stretch of work fits inside one window.

        Raises
        ------
        OutOfReach
            When the calendar has no such place.
        """
        starts, ends = self.starts, self.ends
        number = max(bisect_right(starts, axis) - 1, 0)
        while number < len(starts):
            begin = max(axis, starts[number])
            if begin + length <= ends[number]:
                return begin
            number += 1
        raise OutOfReach("the calendar ends before the work does.", "Give more days.")

    def window_at(self, axis: int) -> int:
        """Number of the window at, or last before, a place of the axis."""
        return max(bisect_right(self.starts, axis) - 1, 0)

    def day_at(self, axis: int) -> int:
        """Return the day at, or last before, a place of the axis."""
        return self.days[self.window_at(axis)]

    def after(self, end: int, wait: int) -> int:
        """Return where on the axis a wait is over that began at `end`; exact for a wait of any length."""
        if wait <= self.cut:
            return end + wait
        return self.to_axis(self.to_clock(end) + wait)

    @cached_property
    def _day_windows(self) -> dict[int, int]:
        first: dict[int, int] = {}
        for number, day in enumerate(self.days):
            first.setdefault(day, number)
        return first

    def gets_hot(self, cold: int, length: int) -> bool:
        """Whether on one of the first working days a kiln, cold as the day begins, is ready with room for a load."""
        if cold not in self._hot_room:
            first = {day: self.windows[number][0] for day, number in list(self._day_windows.items())[:DAYS_LOOKED_AT]}
            self._hot_room[cold] = max(
                closes - max(opens, first[day] + cold)
                for (opens, closes), day in zip(self.windows, self.days, strict=True) if day in first
            )  # fmt: skip
        return length <= self._hot_room[cold]

    @cached_property
    def _hot_room(self) -> dict[int, int]:
        """Longest stretch after a kiln is hot, by its ticks from cold."""
        return {}

    def hot_from(self, day: int, cold: int) -> int:
        """Place on the axis where a kiln switched on as the day begins is ready."""
        opens = self.windows[self._day_windows[day]][0]
        return self.to_axis(opens + cold)
