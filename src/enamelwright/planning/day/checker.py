"""An independent look at a finished plan, on the clock.

It reads the description of the problem and the finished blocks, and nothing else: no axis, no simulator, no
solver and none of their helpers. What it does not complain about is a plan.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from enamelwright.planning.day.problem import Problem, Ref, Step

#: Says whether these footprints (by shape) fit together on the shelf of a kiln.
Room = Callable[[int, Sequence[int]], bool]


@dataclass(frozen=True)
class Block:
    """One block on the clock.

    Parameters
    ----------
    start, end : int
        Ticks from midnight of the first day; cleaning of tools counted.
    members : tuple of Ref
        What is done in it.
    people : tuple of int
        Who.
    kiln, family : int
        Of a load; -1 at the bench.
    """

    start: int
    end: int
    members: tuple[Ref, ...]
    people: tuple[int, ...] = ()
    kiln: int = -1
    family: int = -1


@dataclass(frozen=True)
class Fault:
    """Something a plan may not do.

    Parameters
    ----------
    kind : str
        One word for the rule.
    words : str
        What is wrong, with names.
    """

    kind: str
    words: str


def check(
    problem: Problem, blocks: Iterable[Block], frozen: Iterable[Block] = (), room: Room | None = None
) -> list[Fault]:
    """Look for faults.

    Parameters
    ----------
    problem : Problem
        As described.
    blocks : iterable of Block
        The plan.
    frozen : iterable of Block
        What lies in the past and may not have changed.
    room : callable, optional
        Whether footprints fit together; the sum of their units when left out.

    Returns
    -------
    list of Fault
        Empty for a plan that can be done.
    """
    look = _Look(problem, sorted(blocks, key=lambda block: (block.start, block.end)), room)
    look.once()
    look.lengths()
    look.waits()
    look.hours()
    look.loads()
    look.people()
    look.stations()
    there = set(look.blocks)
    for block in frozen:
        if block not in there:
            look.found.append(Fault("past", f"what began at {block.start} has been changed"))
    return look.found


class _Look:
    """One walk over a plan."""

    def __init__(self, problem: Problem, blocks: list[Block], room: Room | None) -> None:
        self.problem, self.blocks, self.room = problem, blocks, room
        self.found: list[Fault] = []
        self.at: dict[Ref, Block] = {}

    def _step(self, ref: Ref) -> Step:
        return self.problem.pieces[ref[0]].steps[ref[1]]

    def _name(self, ref: Ref) -> str:
        return f"{self.problem.pieces[ref[0]].name}, step {ref[1] + 1}"

    def _say(self, kind: str, words: str) -> None:
        self.found.append(Fault(kind, words))

    def once(self) -> None:
        """Every step left is done once; firings in a load of their family, bench steps alone."""
        counts = Counter(ref for block in self.blocks for ref in block.members)
        for number, piece in enumerate(self.problem.pieces):
            for place in range(piece.first, len(piece.steps)):
                times = counts.pop((number, place), 0)
                if times != 1:
                    self._say("once", f"{self._name((number, place))} is done {times} times")
        for ref in counts:
            self._say("once", f"a step that is not there is done: {ref}")
        for block in self.blocks:
            if block.kiln < 0 and len(block.members) != 1:
                self._say("once", f"{len(block.members)} steps in one block at {block.start}")
            for ref in block.members:
                self.at[ref] = block
                if self._step(ref).family != block.family or (block.kiln < 0) != (block.family < 0):
                    self._say("family", f"{self._name(ref)} is in a load of another kind")

    def lengths(self) -> None:
        """A load is as long as its longest member, a bench step as long as told and the tools take to clean."""
        last: dict[int, tuple[int, int]] = {}
        for block in self.blocks:
            wanted = max(self._step(ref).length for ref in block.members)
            if block.kiln < 0 and block.people:
                setup, day = self._step(block.members[0]).setup, block.start // self.problem.calendar.day_length
                before, when = last.get(block.people[0], (0, -1))
                if setup and before and when == day and self.problem.washing:
                    wanted += self.problem.washing[before][setup]
                if setup:
                    last[block.people[0]] = (setup, day)
            if block.end - block.start != wanted:
                self._say("length", f"{self._name(block.members[0])} has {block.end - block.start} of {wanted} ticks")

    def _work_begins(self, ref: Ref) -> int:
        block = self.at[ref]
        return block.end - self._step(ref).length if block.kiln < 0 else block.start

    def waits(self) -> None:
        """Order, least and longest waits, and the first moment anything may start."""
        for (number, place), block in self.at.items():
            piece = self.problem.pieces[number]
            if block.start < max(piece.release, self.problem.now, piece.steps[place].earliest):
                self._say("release", f"{self._name((number, place))} starts before it may")
            if place == piece.first or (number, place - 1) not in self.at:
                continue
            earlier, step = self.at[(number, place - 1)], piece.steps[place - 1]
            gap = self._work_begins((number, place)) - earlier.end
            if gap < step.wait:
                self._say("wait", f"{self._name((number, place))} starts {step.wait - gap} ticks too early")
            if step.longest is not None and gap > step.longest:
                self._say("longest wait", f"{self._name((number, place))} waits {gap - step.longest} ticks too long")
        for early, late, wait in self.problem.after:
            if early in self.at and late in self.at and self.at[late].start < self.at[early].end + wait:
                self._say("order", f"{self._name(late)} starts before {self._name(early)} allows it")

    def hours(self) -> None:
        """Every block lies inside one working window."""
        for block in self.blocks:
            if not any(opens <= block.start and block.end <= closes for opens, closes in self.problem.calendar.windows):
                self._say("hours", f"{self._name(block.members[0])} does not lie inside working hours")

    def loads(self) -> None:
        """Room, warm kiln, recovery and change of temperature."""
        for number, kiln in enumerate(self.problem.kilns):
            before: Block | None = None
            for block in (one for one in self.blocks if one.kiln == number):
                name = f"load of {self._name(block.members[0])}"
                shapes = [self._step(ref).shape for ref in block.members]
                if self.room is not None:
                    fits = self.room(number, shapes)
                else:
                    fits = sum(kiln.sizes[shape] for shape in shapes) <= kiln.rack
                if not fits:
                    self._say("room", f"the {name} does not fit on the shelf")
                if kiln.families is not None and block.family not in kiln.families:
                    self._say("kiln", f"the {name} is in a kiln that cannot fire it")
                day = block.start // self.problem.calendar.day_length
                opens = min(o for o, _ in self.problem.calendar.windows if o // self.problem.calendar.day_length == day)
                if block.start < opens + kiln.cold:
                    self._say("cold", f"the {name} goes into a cold kiln")
                ready, family = kiln.free, kiln.last
                same_day = kiln.free // self.problem.calendar.day_length == day and kiln.free > 0
                if before is not None:
                    ready, family = before.end, before.family
                    same_day = before.end // self.problem.calendar.day_length == day
                if same_day or block.start < ready:
                    ready += self._turn_round(kiln.recovery, kiln.up, kiln.down, family, block.family)
                    if block.start < ready:
                        self._say("recovery", f"the {name} goes in {ready - block.start} ticks too early")
                before = block

    def _turn_round(self, recovery: int, up: float, down: float, earlier: int, later: int) -> int:
        if earlier < 0:
            return recovery
        rise = self.problem.families[later].temperature - self.problem.families[earlier].temperature
        return recovery + ceil(max(rise * up, -rise * down))

    def _busy(self, block: Block) -> list[tuple[int, int, int, str]]:
        """(person, from, to, skill) of everybody a block needs."""
        step = self._step(block.members[0])
        if block.kiln < 0:
            return [(person, block.start, block.end, step.skill) for person in block.people]
        family = self.problem.families[block.family]
        if family.attention == "whole":
            return [(person, block.start, block.end, family.skill) for person in block.people[:1]]
        ends = [(block.start, block.start + family.putting), (block.end - family.taking, block.end)]
        who = (block.people[0], block.people[-1]) if block.people else ()
        return [(person, a, b, family.skill) for person, (a, b) in zip(who, ends, strict=False)]

    def people(self) -> None:
        """Nobody is in two places, away, or asked for what they cannot do."""
        taken: dict[int, list[tuple[int, int]]] = {}
        for block in self.blocks:
            busy = self._busy(block)
            if not busy and self._step(block.members[0]).hands:
                self._say("people", f"nobody does {self._name(block.members[0])}")
            for number, begin, end, skill in busy:
                person = self.problem.people[number]
                if skill and skill not in person.skills:
                    self._say("skill", f"{person.name} cannot do {self._name(block.members[0])}")
                if person.gone or begin < person.free or any(begin < b and end > a for a, b in person.away):
                    self._say("away", f"{person.name} is not there for {self._name(block.members[0])}")
                taken.setdefault(number, []).append((begin, end))
        for number, spans in taken.items():
            spans.sort()
            for (_, end), (begin, _) in itertools.pairwise(spans):
                if begin < end:
                    self._say("people", f"{self.problem.people[number].name} is in two places at {begin}")

    def stations(self) -> None:
        """No station holds more than it can."""
        for number, station in enumerate(self.problem.stations):
            moves = []
            for block in self.blocks:
                amount = sum(n for ref in block.members for place, n in self._step(ref).stations if place == number)
                moves += [(block.start, amount), (block.end, -amount)]
            level = 0
            for moment, amount in sorted(moves):  # at one moment what ends is taken away before what begins
                level += amount
                if level > station.capacity:
                    self._say("station", f"{station.name} holds {level} of {station.capacity} at {moment}")
                    break
