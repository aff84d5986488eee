"""Who is free, and when: people's time on the axis, with breaks, absences and promises to come back."""

from __future__ import annotations

from bisect import bisect_right, insort

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.problem import Family, Problem


class Crew:
    """The time of every person.

    Work is given out forward in time, so a person has one moment from which they are free, and may have
    promised stretches after it: absences, and coming back to take a load out.
    """

    def __init__(self, problem: Problem) -> None:
        calendar = problem.calendar
        self.problem = problem
        self.starts, self.ends, self.days = calendar.starts, calendar.ends, calendar.days
        self.begin = calendar.to_axis(problem.now)
        self.free = [max(calendar.to_axis(person.free), self.begin) for person in problem.people]
        self.promised: list[list[tuple[int, int]]] = [
            sorted((calendar.to_axis(a), calendar.to_axis(b)) for a, b in person.away) for person in problem.people
        ]
        self.setup = [(0, -1)] * len(problem.people)

    def fit(self, person: int, at: int, length: int) -> int:
        """Return the first place from `at` where the person can work so long without a break.

        Raises
        ------
        OutOfReach
            When the calendar has no such place.
        """
        at = max(at, self.free[person])
        starts, ends = self.starts, self.ends
        number = bisect_right(starts, at) - 1
        while number < len(starts):
            begin = at if at > starts[number] else starts[number]
            if begin + length <= ends[number]:
                moved = self._past_promises(person, begin, length)
                if moved == begin:
                    return begin
                at = moved
                if at + length <= ends[number]:
                    continue
            number += 1
        raise OutOfReach("the calendar ends before the work does.", "Give more days.")

    def _past_promises(self, person: int, begin: int, length: int) -> int:
        for a, b in self.promised[person]:
            if begin < b and begin + length > a:
                begin = b
        return begin

    def take(self, person: int, start: int, length: int) -> None:
        """Give a person work up to `start + length`."""
        self.free[person] = start + length

    def promise(self, person: int, start: int, length: int) -> None:
        """Keep a stretch for later."""
        insort(self.promised[person], (start, start + length))

    def fit_ends(self, person: int, at: int, length: int, family: Family) -> int:
        """Return the first place where one person can put a load in and take it out, free between.

        Parameters
        ----------
        person, at, length : int
            Who, from where, and how long the load lasts.
        family : Family
            Its two ends.
        """
        while True:
            start = self.fit(person, at, family.putting)
            out = start + length - family.taking
            window = bisect_right(self.starts, start) - 1
            there = start + length <= self.ends[window] and self._past_promises(person, out, family.taking) == out
            if there:
                return start
            at = self.fit(person, start + 1, length) if start + length > self.ends[window] else start + 1

    def wash(self, person: int, setup: int, day: int) -> int:
        """Ticks the person must clean tools before work of a setup."""
        before, when = self.setup[person]
        return self.problem.wash(before, setup) if setup and when == day else 0

    def use(self, person: int, setup: int, day: int) -> None:
        """Remember what the tools were last used for."""
        if setup:
            self.setup[person] = (setup, day)
