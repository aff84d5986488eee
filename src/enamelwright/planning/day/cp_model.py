"""Load positions, starts and people as one exact model, for a whole small day or a stretch of a larger one.

Each kiln has positions in time order; each is empty or holds one load of one family. The solver moves
firings between positions, positions and bench steps in time, and proves what it can. It always begins from a
plan: without one it finds little. The solver is loaded only when it is asked.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from enamelwright.planning.day.bound import least_loads
from enamelwright.planning.day.cp_people import add_people, add_stations
from enamelwright.planning.day.plan import Item
from enamelwright.planning.day.problem import Problem, Ref

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

#: Weights of one window: a tick of lateness, of the end of the window, of attending the kiln; a piece that moves.
LATE, END, ATTEND, STAY = 1000, 20, 10, 4
#: Ticks a whole plan may be longer than its hint, where that keeps dates.
ROOM_WHOLE = 2400
#: Ticks a window may be longer than its hint.
ROOM_WINDOW = 240


@dataclass(frozen=True)
class Scope:
    """The part of a plan that is free, and what stands around it.

    Parameters
    ----------
    free : tuple of Item
        Blocks to be made anew, in the order they start; they are the hint.
    fixed : tuple of Item
        Earlier blocks that still keep people busy.
    ready : mapping of Ref to int
        Earliest start of steps whose predecessor is not free.
    kilns : tuple of (int, int, int)
        For each kiln the end, family and day of the last load before; family -1 for none.
    whole : bool
        Whether everything left of the problem is free.
    """

    free: tuple[Item, ...]
    fixed: tuple[Item, ...]
    ready: Mapping[Ref, int]
    kilns: tuple[tuple[int, int, int], ...]
    whole: bool


def kilns_before(problem: Problem, items: Iterable[Item]) -> tuple[tuple[int, int, int], ...]:
    """Return end, family and day of the last load of every kiln among the items, or before them all.

    Parameters
    ----------
    problem : Problem
        With its kilns.
    items : iterable of Item
        What comes before.
    """
    calendar = problem.calendar
    state = [
        (calendar.to_axis(k.free), k.last, k.free // calendar.day_length if k.free > 0 else -1) for k in problem.kilns
    ]
    for item in items:
        if item.kiln >= 0 and item.end > state[item.kiln][0]:
            state[item.kiln] = (item.end, item.family, calendar.day_at(item.start))
    return tuple(state)


@dataclass
class Position:
    """One place in the row of loads of a kiln."""

    kiln: int
    start: cp_model.IntVar
    length: cp_model.IntVar
    used: cp_model.IntVar
    families: dict[int, cp_model.IntVar]
    members: dict[Ref, cp_model.IntVar] = field(default_factory=dict)


class DayModel:
    """The model of one scope.

    Parameters
    ----------
    problem : Problem
        What the scope belongs to.
    scope : Scope
        What is free.
    alike : bool
        Whether interchangeable pieces are kept in order; the hint must be relabelled the same way.
    """

    def __init__(self, problem: Problem, scope: Scope, alike: bool = False) -> None:
        from ortools.sat.python import cp_model as cp

        self.cp, self.problem, self.scope = cp, problem, scope
        self.calendar = problem.calendar
        self.model = cp.CpModel()
        self.refs = [ref for item in scope.free for ref in item.members]
        self.hint_of = {ref: item for item in scope.free for ref in item.members}
        self.low = min((item.start for item in scope.free), default=0)
        if scope.whole:
            self.low = self.calendar.to_axis(problem.now)
        self.end_of_hint = max((item.end for item in scope.free), default=0)
        self.horizon = self.end_of_hint + (ROOM_WHOLE if scope.whole else ROOM_WINDOW)
        self.starts: dict[Ref, cp_model.IntVar] = {}
        self.washing = {item.members[0]: item.washing for item in scope.free if item.kiln < 0}
        self.positions: list[Position] = []
        self.hints: list[tuple[cp_model.IntVar, int]] = []
        self._steps()
        self._routes()
        self._loads()
        add_people(self)
        add_stations(self)
        if alike:
            self._keep_order()
        self._goals()

    def _windows(self, length: int, warm: bool = False, kiln: int = 0) -> list[list[int]]:
        """Intervals in which something of a length may start."""
        found, seen = [], -1
        for start, end, day in zip(self.calendar.starts, self.calendar.ends, self.calendar.days, strict=True):
            opens = max(start, self.low)
            if warm and day != seen:
                opens = max(opens, self.calendar.hot_from(day, self.problem.kilns[kiln].cold))
            seen = day
            last = min(end, self.horizon) - length
            if last >= opens:
                found.append([opens, last])
            if start > self.horizon:
                break
        return found

    def _hint(self, variable: cp_model.IntVar, value: int) -> None:
        self.hints.append((variable, value))

    def length_of(self, ref: Ref) -> int:
        """Length of a step with the cleaning its hint has before it."""
        return self.problem.step(ref).length + self.washing.get(ref, 0)

    def _steps(self) -> None:
        for ref in self.refs:
            length = self.length_of(ref)
            domain = self.cp.Domain.from_intervals(self._windows(length))
            self.starts[ref] = self.model.new_int_var_from_domain(domain, f"s{ref}")
            self._hint(self.starts[ref], self.hint_of[ref].start)
            pinned = self.problem.step(ref).earliest
            if pinned:
                self.model.add(self.starts[ref] >= self.calendar.to_axis(pinned))
            if ref in self.scope.ready:
                self.model.add(self.starts[ref] >= self.scope.ready[ref])

    def _lag(self, ref: Ref, following: Ref) -> int:
        """A wait as ticks of the axis; one longer than the cut is taken at its worst, or as the hint has it."""
        wait = self.problem.step(ref).wait
        if wait <= self.calendar.cut:
            return wait
        ends = [
            end for start, end in zip(self.calendar.starts, self.calendar.ends, strict=True) if start <= self.horizon
        ]
        opens = [start for start in self.calendar.starts if start <= self.horizon]
        worst = max(self.calendar.after(at, wait) - at for at in ends + opens)
        return min(worst, self.hint_of[following].start - self.hint_of[ref].end)

    def _routes(self) -> None:
        for ref in self.refs:
            following = (ref[0], ref[1] + 1)
            if following in self.starts:
                lag = self._lag(ref, following)
                self.model.add(self.starts[following] >= self.starts[ref] + self.length_of(ref) + lag)
                if self.problem.step(ref).longest is not None:
                    self._longest(ref, following)
            for later, wait in self.problem.followers.get(ref, ()):
                if later in self.starts:
                    self.model.add(self.starts[later] >= self.starts[ref] + self.length_of(ref) + wait)

    def _longest(self, ref: Ref, following: Ref) -> None:
        """Keep a longest wait: no gap that is cut may lie inside it. Left out where the hint breaks it."""
        longest = self.problem.step(ref).longest or 0
        stretches: list[list[int]] = []
        for number, (start, end) in enumerate(zip(self.calendar.starts, self.calendar.ends, strict=True)):
            whole_gap = number > 0 and (
                self.calendar.windows[number][0] - self.calendar.windows[number - 1][1] <= self.calendar.cut
            )
            if whole_gap:
                stretches[-1][1] = end
            else:
                stretches.append([start, end])
        before, after = self.hint_of[ref], self.hint_of[following]
        together = any(a <= before.start and after.start <= b for a, b in stretches)
        if not together or after.start - before.end > longest:
            return
        self.model.add(self.starts[following] <= self.starts[ref] + self.length_of(ref) + longest)
        inside = []
        for a, b in stretches:
            if b >= self.low and a <= self.horizon:
                chosen = self.model.new_bool_var("")
                self.model.add(self.starts[ref] >= a).only_enforce_if(chosen)
                self.model.add(self.starts[following] <= b).only_enforce_if(chosen)
                inside.append(chosen)
        self.model.add_exactly_one(inside)

    def _loads(self) -> None:
        firings = [ref for ref in self.refs if self.problem.step(ref).fires]
        if not firings:
            return
        for number in range(len(self.problem.kilns)):
            hinted = [item for item in self.scope.free if item.kiln == number]
            spare = 1 if self.scope.whole or not hinted else 0
            row = [self._position(number, hinted[k] if k < len(hinted) else None, firings)
                   for k in range(min(len(hinted) + spare, len(firings)))]  # fmt: skip
            self._row(number, row)
            self.positions += row
        for ref in firings:
            self.model.add_exactly_one([p.members[ref] for p in self.positions if ref in p.members])
        if self.scope.whole:
            for family, count in enumerate(least_loads(self.problem, firings)):
                having = [p.families[family] for p in self.positions if family in p.families]
                if having and count:
                    self.model.add(sum(having) >= count)

    def _position(self, number: int, hinted: Item | None, firings: list[Ref]) -> Position:
        """Build one position with its family and members."""
        model, kiln = self.model, self.problem.kilns[number]
        families = sorted({self.problem.step(r).family for r in firings if kiln.fires(self.problem.step(r).family)})
        lengths = {
            f: [self.problem.step(r).length for r in firings if self.problem.step(r).family == f] for f in families
        }
        shortest = min(min(values) for values in lengths.values())
        domain = self.cp.Domain.from_intervals([*self._windows(shortest, True, number), [self.horizon, self.horizon]])
        start = model.new_int_var_from_domain(domain, "")
        length = model.new_int_var(0, max(max(values) for values in lengths.values()), "")
        used = model.new_bool_var("")
        position = Position(number, start, length, used, {f: model.new_bool_var("") for f in families})
        model.add(sum(position.families.values()) == used)
        model.add(start == self.horizon).only_enforce_if(~used)
        model.add(length == 0).only_enforce_if(~used)
        for family, chosen in position.families.items():
            inside = self.cp.Domain.from_intervals(self._windows(min(lengths[family]), True, number))
            model.add_linear_expression_in_domain(start, inside).only_enforce_if(chosen)
            if len(set(lengths[family])) == 1:
                model.add(length == lengths[family][0]).only_enforce_if(chosen)
            else:
                ends = self.cp.Domain.from_intervals(
                    [
                        [a + 1, b]
                        for a, b in zip(self.calendar.starts, self.calendar.ends, strict=True)
                        if a < self.horizon
                    ]
                )
                model.add_linear_expression_in_domain(start + length, ends).only_enforce_if(chosen)
            self._hint(chosen, int(hinted is not None and hinted.family == family))
        units = []
        for ref in firings:
            step = self.problem.step(ref)
            if step.family not in position.families or kiln.sizes[step.shape] > kiln.rack:
                continue
            inside_load = position.members[ref] = model.new_bool_var("")
            model.add_implication(inside_load, position.families[step.family])
            model.add(self.starts[ref] == start).only_enforce_if(inside_load)
            if len(set(lengths[step.family])) > 1:
                model.add(length >= step.length).only_enforce_if(inside_load)
            units.append(kiln.sizes[step.shape] * inside_load)
            self._hint(inside_load, int(hinted is not None and ref in hinted.members))
        model.add(sum(units) <= kiln.rack * used)
        model.add(sum(position.members.values()) >= used)
        self._hint(used, int(hinted is not None))
        self._hint(start, hinted.start if hinted is not None else self.horizon)
        self._hint(length, hinted.length if hinted is not None else 0)
        return position

    def _row(self, number: int, row: list[Position]) -> None:
        """Keep the positions of a kiln in order, with recovery and changes between them."""
        model, kiln = self.model, self.problem.kilns[number]
        end, last, day = self.scope.kilns[number]
        if row:
            first = row[0]
            model.add(first.start >= end).only_enforce_if(first.used)
            for family, chosen in first.families.items():
                ready = end + kiln.recovery + self.problem.change(kiln, last, family)
                if day >= 0:  # another day begins warm; the cut night is longer than any change
                    model.add(first.start >= ready).only_enforce_if(chosen)
        for before, here in itertools.pairwise(row):
            model.add_implication(here.used, before.used)
            model.add(here.start >= before.start + before.length + kiln.recovery).only_enforce_if(here.used)
            for f, was in before.families.items():
                for g, now in here.families.items():
                    change = self.problem.change(kiln, f, g)
                    if change:
                        model.add(here.start >= before.start + before.length + kiln.recovery + change).only_enforce_if(
                            was, now
                        )

    def _keep_order(self) -> None:
        """Let interchangeable pieces go through every stage in the same order."""
        groups: dict[tuple[object, ...], list[int]] = {}
        for number, piece in enumerate(self.problem.pieces):
            groups.setdefault((piece.group, piece.steps), []).append(number)
        for members in groups.values():
            for one, other in itertools.pairwise(members):
                for place in range(self.problem.pieces[one].first, len(self.problem.pieces[one].steps)):
                    self.model.add(self.starts[(one, place)] <= self.starts[(other, place)])

    def _goals(self) -> None:
        """Lateness, finish and attended ticks as variables."""
        model, problem = self.model, self.problem
        self.late: Any = 0
        for number, piece in enumerate(problem.pieces):
            last = (number, len(piece.steps) - 1)
            if piece.due is not None and last in self.starts:
                over = model.new_int_var(0, self.horizon, "")
                due = self.calendar.to_axis(piece.due)
                model.add(over >= self.starts[last] + self.length_of(last) - due)
                self._hint(over, max(self.hint_of[last].end - due, 0))
                self.late = self.late + piece.weight * over
        self.finish = model.new_int_var(0, self.horizon, "finish")
        self._hint(self.finish, self.end_of_hint)
        for ref in self.refs:
            if not self.problem.step(ref).fires:
                model.add(self.finish >= self.starts[ref] + self.length_of(ref))
        for position in self.positions:
            model.add(self.finish >= position.start + position.length).only_enforce_if(position.used)
        self.attended: Any = 0
        for position in self.positions:
            for f, chosen in position.families.items():
                family = problem.families[f]
                if family.attention == "whole":
                    lengths = {problem.step(r).length for r in position.members if problem.step(r).family == f}
                    if len(lengths) == 1:
                        self.attended = self.attended + lengths.pop() * chosen
                        continue
                    part = model.new_int_var(0, max(lengths), "")
                    model.add(part >= position.length).only_enforce_if(chosen)
                    self.attended = self.attended + part
                else:
                    self.attended = self.attended + (family.putting + family.taking) * chosen

    def moved_loads(self) -> Any:
        """Return how many firings are in another position than the hint has them."""
        moved: Any = 0
        hints = {variable.index: number for variable, number in self.hints}
        for position in self.positions:
            for flag in position.members.values():
                if hints.get(flag.index):
                    moved = moved + (1 - flag)
        return moved

    def read(self, value: Callable[[Any], int]) -> list[Item]:
        """Return the blocks of a solution.

        Parameters
        ----------
        value : callable
            From a variable to its number.
        """
        items = []
        for ref in self.refs:
            if not self.problem.step(ref).fires:
                items.append(
                    Item(
                        value(self.starts[ref]),
                        self.length_of(ref),
                        (ref,),
                        self.hint_of[ref].people,
                        washing=self.washing[ref],
                    )
                )
        for position in self.positions:
            if value(position.used):
                members = tuple(ref for ref, flag in position.members.items() if value(flag))
                family = next(f for f, flag in position.families.items() if value(flag))
                items.append(Item(value(position.start), value(position.length), members, (), position.kiln, family))
        return sorted(items, key=lambda item: (item.start, item.end, item.members))
