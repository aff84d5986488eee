"""A finished plan: who does what, when, and which pieces share a load."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from enamelwright.planning.day.checker import Block
from enamelwright.planning.day.problem import Problem, Ref


@dataclass(frozen=True, slots=True)
class Item:
    """One block of a plan: a step at the bench, or a load.

    Parameters
    ----------
    start : int
        On the axis of the calendar.
    length : int
        Ticks, cleaning of the tools counted.
    members : tuple of Ref
        The step, or the firings that share the load.
    people : tuple of int
        Who; the second one takes out when not the same. Empty where nobody is needed.
    kiln, family : int
        Of a load; -1 at the bench.
    washing : int
        Of the length, ticks spent cleaning tools first.
    """

    start: int
    length: int
    members: tuple[Ref, ...]
    people: tuple[int, ...] = ()
    kiln: int = -1
    family: int = -1
    washing: int = 0

    @property
    def end(self) -> int:
        """On the axis."""
        return self.start + self.length


@dataclass(frozen=True, order=True)
class Score:
    """How good a plan is; smaller is better, the first difference decides.

    Parameters
    ----------
    broken : int
        Longest waits that are not kept.
    late : int
        Weighted ticks of lateness on the axis.
    finish : int
        End of the last step on the axis.
    attended : int
        Person-ticks at the kiln.
    """

    broken: int
    late: int
    finish: int
    attended: int


@dataclass(frozen=True)
class DayPlan:
    """Blocks in the order they start."""

    problem: Problem
    items: tuple[Item, ...]

    @classmethod
    def of(cls, problem: Problem, items: Iterable[Item]) -> DayPlan:
        """Sort blocks into a plan."""
        return cls(problem, tuple(sorted(items, key=lambda item: (item.start, item.end, item.members))))

    @cached_property
    def placed(self) -> dict[Ref, Item]:
        """The block each step is in."""
        return {ref: item for item in self.items for ref in item.members}

    @cached_property
    def loads(self) -> tuple[Item, ...]:
        """The loads, in order."""
        return tuple(item for item in self.items if item.kiln >= 0)

    def finish_of(self, piece: int) -> int:
        """End of the last step of a piece on the axis; 0 when nothing was left to do."""
        last = len(self.problem.pieces[piece].steps) - 1
        item = self.placed.get((piece, last))
        return item.end if item is not None else 0

    @property
    def finish(self) -> int:
        """End of the last step on the axis."""
        return max((item.end for item in self.items), default=0)

    @cached_property
    def score(self) -> Score:
        """Judge the plan."""
        problem = self.problem
        late = 0
        for number, piece in enumerate(problem.pieces):
            if piece.due is not None:
                late += piece.weight * max(self.finish_of(number) - problem.calendar.to_axis(piece.due), 0)
        attended = sum(problem.families[item.family].attended(item.length) for item in self.loads)
        return Score(len(self.waits_too_long), late, self.finish, attended)

    @cached_property
    def waits_too_long(self) -> tuple[Ref, ...]:
        """The steps after which the next begins later than it may."""
        clock, found = self.problem.calendar.to_clock, []
        for (number, place), item in self.placed.items():
            longest, following = self.problem.step((number, place)).longest, self.placed.get((number, place + 1))
            if longest is None or following is None:
                continue
            if clock(following.start + following.washing) - clock(item.end) > longest:
                found.append((number, place))
        return tuple(found)

    @cached_property
    def late_pieces(self) -> tuple[tuple[int, int], ...]:
        """(piece, ticks late on the clock) of those that miss their date, latest first."""
        found = []
        for number, piece in enumerate(self.problem.pieces):
            if piece.due is not None and self.finish_of(number) > self.problem.calendar.to_axis(piece.due):
                found.append((number, self.problem.calendar.to_clock(self.finish_of(number)) - piece.due))
        return tuple(sorted(found, key=lambda pair: (-pair[1], pair[0])))

    def working_ticks(self) -> int:
        """Working ticks the calendar offers up to the end."""
        calendar = self.problem.calendar
        return calendar.worked_by(calendar.to_clock(self.finish))

    def on_clock(self) -> tuple[Block, ...]:
        """Return the blocks on the clock, for the checker and for people."""
        clock = self.problem.calendar.to_clock
        return tuple(
            Block(clock(i.start), clock(i.start) + i.length, i.members, i.people, i.kiln, i.family) for i in self.items
        )
