"""The problem behind a day: pieces with routes, people, kilns that take loads, stations, hours.

Nothing here knows enamel. A shop of machines, a project with shared means or a furnace with batches is said
in the same words, so that published problems with known answers run through the same engine. Times of the
clock are ticks from midnight of the first day; lengths and waits are ticks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from enamelwright.errors import InputError
from enamelwright.planning.day.calendar import Calendar

#: One step of one piece: (number of the piece, number of the step in its route).
Ref = tuple[int, int]


@dataclass(frozen=True)
class Step:
    """One thing done to a piece.

    Parameters
    ----------
    length : int
        Ticks of work; of a firing, what it needs at least in the kiln with putting in and taking out.
    wait : int
        Ticks at least from its end to the next step: drying, cooling.
    longest : int or None
        Ticks at most from its end to the start of the next step.
    family : int
        Family of a firing; -1 for work at the bench.
    shape : int
        Which footprint it takes on the shelf.
    skill : str
        Who can do it; empty for anybody.
    hands : bool
        Whether a person is needed.
    stations : tuple of (int, int)
        Stations taken meanwhile, and how much of each; bench steps only.
    setup : int
        What the tools must be clean for; 0 where it does not matter.
    earliest : int
        Pinned: not before this, on the clock.
    words : str
        As told to the person.
    origin : int
        Number of the operation it comes from; -1 for none.
    """

    length: int
    wait: int = 0
    longest: int | None = None
    family: int = -1
    shape: int = 0
    skill: str = ""
    hands: bool = True
    stations: tuple[tuple[int, int], ...] = ()
    setup: int = 0
    earliest: int = 0
    words: str = ""
    origin: int = -1

    @property
    def fires(self) -> bool:
        """Whether it is a firing."""
        return self.family >= 0


@dataclass(frozen=True)
class Piece:
    """One piece and its route.

    Parameters
    ----------
    name : str
        As the person calls it.
    steps : tuple of Step
        In order.
    release, due : int
        Not before, and wanted by, on the clock; no due date is None.
    weight : int
        How much being late matters.
    design : str
        Pieces of one design with the same dates are interchangeable.
    first : int
        How many steps lie behind it.
    """

    name: str
    steps: tuple[Step, ...]
    release: int = 0
    due: int | None = None
    weight: int = 1
    design: str = ""
    first: int = 0

    @property
    def group(self) -> tuple[object, ...]:
        """Pieces with the same group can change places."""
        return (self.design or self.name, self.due, self.weight, self.release, self.first)


@dataclass(frozen=True)
class Family:
    """Firings that may share a load.

    Parameters
    ----------
    name : str
        As shown.
    temperature : float
        Set point [K].
    attention : str
        ``whole``: watched throughout; ``ends``: a person puts in and takes out and is free between.
    putting, taking : int
        Ticks of the two ends.
    skill : str
        Who may fire it; empty for anybody.
    """

    name: str
    temperature: float = 0.0
    attention: Literal["whole", "ends"] = "whole"
    putting: int = 0
    taking: int = 0
    skill: str = ""

    def attended(self, length: int) -> int:
        """Person-ticks one load of this length takes."""
        return length if self.attention == "whole" else self.putting + self.taking


@dataclass(frozen=True)
class Kiln:
    """A kiln.

    Parameters
    ----------
    name : str
        As the person calls it.
    rack : int
        Units of room.
    sizes : tuple of int
        Units each footprint takes, by shape.
    recovery : int
        Ticks from taking out to putting in at the same temperature.
    up, down : float
        Ticks for each kelvin the set point is raised or lowered.
    cold : int
        Ticks from the beginning of a day until the first load may go in.
    families : frozenset of int or None
        What it can fire; everything when None.
    free : int
        Not before this, on the clock.
    last : int
        Family it is set for; -1 when that does not matter.
    """

    name: str = "kiln"
    rack: int = 1
    sizes: tuple[int, ...] = (1,)
    recovery: int = 0
    up: float = 0.0
    down: float = 0.0
    cold: int = 0
    families: frozenset[int] | None = None
    free: int = 0
    last: int = -1

    def fires(self, family: int) -> bool:
        """Whether it can fire a family."""
        return self.families is None or family in self.families


@dataclass(frozen=True)
class Person:
    """Somebody who works.

    Parameters
    ----------
    name : str
        A label.
    skills : frozenset of str
        What they can do beyond what anybody can.
    away : tuple of (int, int)
        Not there, on the clock, though the workshop is open.
    free : int
        Not before this, on the clock.
    gone : bool
        Whether they have left for good.
    """

    name: str
    skills: frozenset[str] = frozenset()
    away: tuple[tuple[int, int], ...] = ()
    free: int = 0
    gone: bool = False

    def can(self, skill: str) -> bool:
        """Whether this person can do work that asks for a skill."""
        return not self.gone and (not skill or skill in self.skills)


@dataclass(frozen=True)
class Station:
    """A place or tool of which there are only so many."""

    name: str
    capacity: int = 1


@dataclass(frozen=True)
class Problem:
    """A day, or many.

    Parameters
    ----------
    calendar : Calendar
        When anybody works.
    pieces, families, kilns, people, stations : tuple
        What there is.
    washing : tuple of tuple of int
        Ticks to clean the tools from one setup (row) to another (column); empty when it does not matter.
    after : tuple of (Ref, Ref, int)
        (earlier, later, wait): orders between pieces.
    now : int
        Nothing may start before this, on the clock.
    """

    calendar: Calendar
    pieces: tuple[Piece, ...]
    families: tuple[Family, ...] = ()
    kilns: tuple[Kiln, ...] = ()
    people: tuple[Person, ...] = ()
    stations: tuple[Station, ...] = ()
    washing: tuple[tuple[int, ...], ...] = ()
    after: tuple[tuple[Ref, Ref, int], ...] = ()
    now: int = 0

    def step(self, ref: Ref) -> Step:
        """Look one step up."""
        return self.pieces[ref[0]].steps[ref[1]]

    def refs(self) -> Iterator[Ref]:
        """Yield every step still to do."""
        for number, piece in enumerate(self.pieces):
            for place in range(piece.first, len(piece.steps)):
                yield number, place

    def change(self, kiln: Kiln, earlier: int, later: int) -> int:
        """Ticks the set point of a kiln needs from one family to another, recovery not counted."""
        if earlier < 0:
            return 0
        rise = self.families[later].temperature - self.families[earlier].temperature
        ticks = rise * kiln.up if rise > 0 else -rise * kiln.down
        return -int(-ticks // 1)

    def wash(self, earlier: int, later: int) -> int:
        """Ticks to clean the tools from one setup to another."""
        if not self.washing or not earlier or not later:
            return 0
        return self.washing[earlier][later]

    @cached_property
    def followers(self) -> dict[Ref, list[tuple[Ref, int]]]:
        """Extra orders by the earlier step."""
        table: dict[Ref, list[tuple[Ref, int]]] = {}
        for earlier, later, wait in self.after:
            table.setdefault(earlier, []).append((later, wait))
        return table

    def check(self) -> None:
        """Refuse what no plan can do.

        Raises
        ------
        InputError
            One sentence: nobody to work, a piece larger than every shelf, an order that bites its own tail,
            a step longer than any stretch of work.
        """
        left = list(self.refs())
        if all(person.gone for person in self.people) and any(self.step(ref).hands for ref in left):
            raise InputError("there is nobody to do the work.", "Name at least one person.")
        for ref in left:
            self._check_step(ref)
        circle = self._circle()
        if circle:
            names = sorted({self.pieces[ref[0]].name for ref in circle})
            raise InputError(
                f"the order goes in a circle: {', '.join(names[:4])}.", "Take out one of the orders between them."
            )

    def without_the_impossible(self) -> tuple[Problem, tuple[tuple[str, str], ...]]:
        """Put aside what no plan can do.

        Returns
        -------
        tuple
            The problem with those pieces marked as done, and (piece, why) of each.

        Raises
        ------
        InputError
            When there is nobody to work at all.
        """
        if all(person.gone for person in self.people) and any(self.step(ref).hands for ref in self.refs()):
            raise InputError("there is nobody to do the work.", "Name at least one person.")
        why: dict[int, str] = {}
        for ref in self.refs():
            if ref[0] not in why:
                try:
                    self._check_step(ref)
                except InputError as error:
                    why[ref[0]] = f"{error.message} {error.remedy}".strip()
        for number, _ in self._circle():
            why.setdefault(number, "its order against other pieces goes in a circle.")
        pieces = tuple(
            replace(piece, first=len(piece.steps)) if number in why else piece
            for number, piece in enumerate(self.pieces)
        )
        after = tuple(each for each in self.after if each[0][0] not in why and each[1][0] not in why)
        told = tuple((self.pieces[number].name, words) for number, words in sorted(why.items()))
        return replace(self, pieces=pieces, after=after), told

    def _check_step(self, ref: Ref) -> None:
        step, piece = self.step(ref), self.pieces[ref[0]]
        where = piece.name
        if step.length > self.calendar.longest:
            raise InputError(
                f"'{step.words or 'a step'}' takes longer than any stretch of work.",
                "Divide it, or give longer hours.",
                where,
            )
        if step.longest is not None and step.longest < step.wait:
            raise InputError(
                f"'{step.words or 'a step'}' has to wait longer before the next than it may.",
                "Give it a longer longest wait, or a shorter drying.",
                where,
            )
        skill = self.families[step.family].skill if step.fires else step.skill
        if step.hands and not any(person.can(skill) for person in self.people):
            raise InputError(f"nobody here can do work that asks for '{skill}'.", "Name somebody who can.", where)
        if step.fires:
            able = [kiln for kiln in self.kilns if kiln.fires(step.family)]
            if not able:
                raise InputError(
                    f"no kiln can fire '{self.families[step.family].name}'.", "Name a kiln that can.", where
                )
            if all(kiln.sizes[step.shape] > kiln.rack for kiln in able):
                raise InputError(
                    "the piece is larger than the shelf.", "Use a larger kiln or a smaller support.", where
                )
            if not any(self.calendar.gets_hot(kiln.cold, step.length) for kiln in able):
                raise InputError(
                    "no kiln is hot in time to fire it within the hours of a day.",
                    "Give longer hours, or say how long it takes from cold when it is switched on before.",
                    where,
                )
        for station, amount in step.stations:
            if amount > self.stations[station].capacity:
                raise InputError(f"there is not enough of '{self.stations[station].name}'.", where=where)

    def _circle(self) -> list[Ref]:
        """Follow all orders; what is never reached stands in a circle, or behind one."""
        before = {ref: int(ref[1] > self.pieces[ref[0]].first) for ref in self.refs()}
        for earlier, later, _ in self.after:
            if earlier in before and later in before:
                before[later] += 1
        free = [ref for ref, count in before.items() if not count]
        while free:
            ref = free.pop()
            del before[ref]
            following = [later for later, _ in self.followers.get(ref, ())]
            following.append((ref[0], ref[1] + 1))
            for later in following:
                if later in before:
                    before[later] -= 1
                    if not before[later]:
                        free.append(later)
        return sorted(before)
