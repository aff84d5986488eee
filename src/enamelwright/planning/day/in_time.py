"""Coats that must not lie for long: whether a step may begin yet, so that the next one comes in time."""

from __future__ import annotations

from collections.abc import Callable

from enamelwright.planning.day.policies import NEVER
from enamelwright.planning.day.problem import Problem, Step

#: So many stretches of work are looked at to learn whether a longest wait can be kept at all: two weeks of them.
WINDOWS = 28
#: (kiln, family, place on the axis) -> when that kiln may take such a load.
KilnReady = Callable[[int, int, int], int]


class InTime:
    """What lies ready and must not lie for long, and whether more of it should be begun.

    Parameters
    ----------
    problem : Problem
        With longest waits.
    kiln_ready : callable
        Of the day as it stands.
    """

    def __init__(self, problem: Problem, kiln_ready: KilnReady) -> None:
        self.problem, self.calendar, self.kiln_ready = problem, problem.calendar, kiln_ready
        self.lying = [0] * len(problem.families)
        self._rooms: dict[tuple[int | None, ...], int] = {}

    def lies(self, number: int, place: int) -> bool:
        """Whether a step is a firing for which a coat lies ready that must not lie for long."""
        steps = self.problem.pieces[number].steps
        return place > 0 and steps[place].fires and steps[place - 1].longest is not None

    def comes(self, number: int, place: int) -> None:
        """A piece has come to a step."""
        if self.lies(number, place):
            self.lying[self.problem.pieces[number].steps[place].family] += 1

    def goes(self, number: int, place: int) -> None:
        """A piece goes into the kiln."""
        if self.lies(number, place):
            self.lying[self.problem.pieces[number].steps[place].family] -= 1

    def too_early(self, number: int, place: int, end: int) -> int:
        """Return by how many ticks a step that ends at `end` is begun too early for the next; 0 when it may begin.

        The next must begin before the longest wait after this one is over, by the hours of work and by what the kilns
        have before them. What no hours allow is not put off for ever: it is done, and counted as waiting too long.

        Parameters
        ----------
        number, place : int
            Of the piece and its step.
        end : int
            On the axis.
        """
        steps = self.problem.pieces[number].steps
        step = steps[place]
        if step.longest is None or place + 1 >= len(steps):
            return 0
        following, at = steps[place + 1], self.calendar.after(end, step.wait)
        if following.earliest:
            at = max(at, self.calendar.to_axis(following.earliest))
        if following.fires:
            at = max(at, self._kiln_for(following, at))
        length = self._room(step, following)
        return max(self._gap(end, at, length) - step.longest, 0) if length else 0

    def too_late(self, step: Step, at: int, until: int) -> bool:
        """Whether a firing that is not begun before `at` may begin too late for what lies ready for it.

        Parameters
        ----------
        step : Step
            The firing.
        at : int
            On the axis.
        until : int
            When it must have begun, on the clock.
        """
        start = self.calendar.fit(max(at, self._kiln_for(step, at)), step.length)
        return self.calendar.to_clock(start) > until

    def _gap(self, end: int, at: int, length: int) -> int:
        """Ticks on the clock from the end of a step to the first place from `at` that has room for a length."""
        return self.calendar.to_clock(self.calendar.fit(at, length)) - self.calendar.to_clock(end)

    def _kiln_for(self, step: Step, at: int) -> int:
        """Return when a kiln is likely ready for a firing, after the other heats that coats lie ready for."""
        kilns, change = self.problem.kilns, self.problem.change
        others = [family for family, count in enumerate(self.lying) if count and family != step.family]
        return min(
            (
                self.kiln_ready(number, step.family, at)
                + sum(step.length + kiln.recovery + change(kiln, one, step.family) for one in others) // len(kilns)
                for number, kiln in enumerate(kilns) if kiln.fires(step.family)
            ),
            default=NEVER,
        )  # fmt: skip

    def _room(self, step: Step, following: Step) -> int:
        """Return for how long the next step must have room; 0 when no hours keep its longest wait.

        A firing is given its length twice, where that can be had: hands may be busy when the kiln is ready.
        """
        kind = (step.length, step.wait, step.longest, following.length, following.fires)
        if kind not in self._rooms:
            twice = min(2 * following.length, self.calendar.longest)
            lengths = (twice, following.length) if following.fires else (following.length,)
            self._rooms[kind] = next((length for length in lengths if self._keeps(step, length)), 0)
        return self._rooms[kind]

    def _keeps(self, step: Step, length: int) -> bool:
        """Whether some stretch of work ends a step so that the next has room before the longest wait is over."""
        stretches = list(zip(self.calendar.starts, self.calendar.ends, strict=True))[:WINDOWS]
        return any(
            self._gap(end, self.calendar.after(end, step.wait), length) <= (step.longest or 0)
            for begins, ends in stretches
            for end in (begins + step.length, ends)
            if begins + step.length <= ends
        )
