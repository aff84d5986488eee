"""The workshop as a problem of the day: pieces with their plans, shelves, kilns, people and hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from enamelwright.craft.checks.clearance import standing
from enamelwright.craft.kiln import Kiln as KilnTold
from enamelwright.craft.kiln_facts import kiln_facts
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Circle, Support
from enamelwright.craft.plan import Plan
from enamelwright.errors import UnknownName
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.problem import Kiln, Person, Piece, Problem, Ref, Station, Step
from enamelwright.planning.day.rates import ticks_of
from enamelwright.planning.day.routes import Heat, Route, Setup, route_of, washing
from enamelwright.planning.shelf.discs import Shelf, capacity
from enamelwright.reference.loader import facts_of

#: Units of a rack: many small numbers divide it, so that shares of a rack are whole units.
RACK = 55440
#: Skill of whoever teaches in a class: they fire, and do what is no student's.
FIRES = "the kiln"


@dataclass(frozen=True)
class Wanted:
    """Pieces of one design that are to be made.

    Parameters
    ----------
    plan : Plan
        Of one piece.
    layup : Layup
        Of the same.
    label : str
        As shown; several get numbers.
    count : int
        How many.
    release, due : int
        On the clock [ticks]; no date is None.
    weight : int
        How much being late matters.
    done : int
        Steps that lie behind them.
    owner : str
        Who alone works on them at the bench, as in a class.
    after : tuple of str
        Labels of what must be out of the kiln and cold before anything is laid on them, as the tile of a new lot.
    names : tuple of str
        Of each, where they have names of their own.
    pace : float
        Work at the bench takes so many times as long as planned.
    """

    plan: Plan
    layup: Layup
    label: str
    count: int = 1
    release: int = 0
    due: int | None = None
    weight: int = 1
    done: int = 0
    owner: str = ""
    after: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    pace: float = 1.0


@dataclass(frozen=True)
class Chore:
    """Work that belongs to no piece: washing and grinding powder, cleaning up, ordering.

    Parameters
    ----------
    label : str
        As shown.
    length : int
        Ticks.
    release, due : int
        On the clock; no date is None.
    wait : int
        Ticks before what comes after it can begin, as washed powder dries.
    after : tuple of str
        Labels of what must be finished before.
    """

    label: str
    length: int
    release: int = 0
    due: int | None = None
    wait: int = 0
    after: tuple[str, ...] = ()


@dataclass(frozen=True)
class KilnOfDay:
    """A kiln with the times of its day, in ticks; those of the table stand in for what is left out.

    Parameters
    ----------
    told : Kiln
        As its owner knows it.
    recovery, cold : int or None
        From load to load, and from switching on.
    rise, fall : float or None
        Ticks for each kelvin.
    free : int
        Not before this, on the clock.
    """

    told: KilnTold
    recovery: int | None = None
    cold: int | None = None
    rise: float | None = None
    fall: float | None = None
    free: int = 0


@dataclass(frozen=True)
class Studio:
    """A problem and what its numbers stand for.

    Parameters
    ----------
    problem : Problem
        To be planned.
    wanted : tuple of Wanted
        Which design each piece is, by piece; chores stand behind them.
    heats : tuple of Heat
        Of the families.
    setups : tuple of Setup
        Of the colours, from 1.
    capacities : mapping
        (kiln, shape) -> how many alike fill its shelf.
    """

    problem: Problem
    wanted: tuple[Wanted, ...]
    heats: tuple[Heat, ...]
    setups: tuple[Setup, ...]
    capacities: dict[tuple[int, int], int] = field(default_factory=dict)


def shelf_of(kiln: KilnTold) -> Shelf:
    """Return the shelf of a kiln with its clearances."""
    facts, table = kiln_facts(kiln), facts_of("trade/laying_out")
    return Shelf(
        kiln.shelf_width or facts.width,
        kiln.shelf_depth or facts.depth,
        table["trade/shelf_gap"].value,
        table["trade/shelf_edge"].value,
    )


@lru_cache(maxsize=512)
def holds(shelf: Shelf, long: float, short: float, round_: bool) -> int:
    """Return how many footprints alike stand on a shelf.

    Parameters
    ----------
    shelf : Shelf
        With its clearances.
    long, short : float
        Of the footprint, its support counted [m].
    round_ : bool
        Whether it is a disc.
    """
    best = 0
    wide, deep = shelf.inside
    for a, b in ((long, short), (short, long)):
        across, down = ((side + shelf.gap + 1e-9) // (part + shelf.gap) for side, part in ((wide, a), (deep, b)))
        best = max(best, int(max(across, 0) * max(down, 0)))
    return max(best, capacity(shelf, long)) if round_ else best


def studio(
    wanted: Sequence[Wanted],
    calendar: Calendar,
    people: Sequence[Person],
    kilns: Sequence[KilnOfDay],
    stations: Sequence[Station] = (),
    now: int = 0,
    chores: Sequence[Chore] = (),
    owners_away: Sequence[tuple[int, int]] = (),
) -> Studio:
    """State the problem of a workshop.

    Parameters
    ----------
    wanted : sequence of Wanted
        What is to be made.
    calendar : Calendar
        When anybody works; its ticks are of 30 s.
    people : sequence of Person
        Who works. With owners among the pieces, each owner is added, and firing asks for a skill.
    kilns : sequence of KilnOfDay
        What fires.
    stations : sequence of Station
        Places of which there are only so many; the first is where powder is laid.
    now : int
        Nothing may start before this, on the clock.
    chores : sequence of Chore
        Work that belongs to no piece.
    owners_away : sequence of (int, int)
        When owners that are added are not there, on the clock: the time between classes.

    Raises
    ------
    InputError
        When something is to come after a label nobody gave.
    """
    routes = [_within(route_of(one.plan, one.layup, one.owner, one.pace), one, calendar.longest) for one in wanted]
    heats = sorted({heat for route in routes for heat in route.heats})
    setups = sorted({setup for route in routes for setup in route.setups})
    taught = any(one.owner for one in wanted)
    shapes: dict[tuple[float, float, bool], int] = {}
    pieces: list[Piece] = []
    names: set[str] = set()
    owners: list[Wanted] = []
    for one, route in zip(wanted, routes, strict=True):
        steps = _steps(one, route, heats, setups, shapes, bool(stations))
        if taught and not one.owner:  # a student works at the own pieces only
            steps = tuple(step if step.fires else replace(step, skill=FIRES) for step in steps)
        for copy in range(one.count):
            called = one.names[copy] if copy < len(one.names) else one.label if one.count == 1 else ""
            name = _unused(called or f"{one.label} {copy + 1}", names)
            pieces.append(
                Piece(
                    name,
                    steps,
                    one.release + route.first_wait,
                    one.due,
                    one.weight,
                    one.label,
                    min(one.done, len(steps)),
                )
            )
            owners.append(one)
    capacities = {
        (number, shape): holds(shelf_of(kiln.told), long, short, round_)
        for number, kiln in enumerate(kilns)
        for (long, short, round_), shape in shapes.items()
    }
    for chore in chores:
        pieces.append(
            Piece(
                _unused(chore.label, names),
                (Step(chore.length, chore.wait, skill=FIRES if taught else "", words=chore.label),),
                chore.release,
                chore.due,
            )
        )
    problem = Problem(
        calendar=calendar,
        pieces=tuple(pieces),
        families=tuple(heat.family(FIRES if taught else "") for heat in heats),
        kilns=tuple(_kiln(number, kiln, capacities, len(shapes), heats) for number, kiln in enumerate(kilns)),
        people=_people(people, wanted, owners_away) if taught else tuple(people),
        stations=tuple(stations),
        washing=washing(setups),
        after=_orders(wanted, chores, pieces),
        now=now,
    )
    return Studio(problem, tuple(owners), tuple(heats), tuple(setups), capacities)


def _within(route: Route, one: Wanted, longest: int) -> Route:
    """Keep a slow hand's steps within a stretch of work: who took longer for one on record went on after a break."""
    if one.pace <= 1:
        return route
    planned = route_of(one.plan, one.layup, one.owner)
    steps = zip(route.steps, planned.steps, strict=True)
    return replace(
        route, steps=tuple(replace(step, length=min(step.length, max(usual.length, longest))) for step, usual in steps)
    )


def _unused(name: str, names: set[str]) -> str:
    """Return the name, with a number behind it where it is taken."""
    told, number = name, 1
    while told in names:
        number += 1
        told = f"{name} ({number})"
    names.add(told)
    return told


def _orders(
    wanted: Sequence[Wanted], chores: Sequence[Chore], pieces: Sequence[Piece]
) -> tuple[tuple[Ref, Ref, int], ...]:
    """Return the orders between pieces from the labels they were told by."""
    numbers: dict[str, list[int]] = {}
    told: list[tuple[list[int], tuple[str, ...]]] = []
    at = 0
    for label, count, after in [
        *((one.label, one.count, one.after) for one in wanted),
        *((chore.label, 1, chore.after) for chore in chores),
    ]:
        mine = list(range(at, at + count))
        numbers.setdefault(label, []).extend(mine)
        told.append((mine, after))
        at += count
    orders: list[tuple[Ref, Ref, int]] = []
    for mine, after in told:
        for label in after:
            if label not in numbers:
                raise UnknownName.among("piece or chore", label, numbers)
            for early in numbers[label]:
                steps = pieces[early].steps
                last = max((n for n, step in enumerate(steps) if step.fires), default=len(steps) - 1)
                if pieces[early].first <= last:
                    orders += [((early, last), (n, _first_laid(pieces[n])), steps[last].wait) for n in mine
                               if pieces[n].first < len(pieces[n].steps)]  # fmt: skip
    return tuple(orders)


def _first_laid(piece: Piece) -> int:
    """Return the first step left that lays something; the first step left where none does."""
    laid = (n for n in range(piece.first, len(piece.steps)) if piece.steps[n].setup)
    return next(laid, piece.first)


def _people(people: Sequence[Person], wanted: Sequence[Wanted], away: Sequence[tuple[int, int]]) -> tuple[Person, ...]:
    """Add the owners; whoever was named fires."""
    helpers = [replace(person, skills=person.skills | {FIRES}) for person in people]
    names = {person.name for person in helpers}
    owners = [owner for owner in dict.fromkeys(one.owner for one in wanted) if owner and owner not in names]
    mine = [replace(helper, skills=helper.skills | {helper.name}) for helper in helpers]
    return (*mine, *(Person(owner, frozenset({owner}), tuple(away)) for owner in owners))


def _steps(
    one: Wanted,
    route: Route,
    heats: list[Heat],
    setups: list[Setup],
    shapes: dict[tuple[float, float, bool], int],
    stations: bool,
) -> tuple[Step, ...]:
    """Number the families, footprints and colours of one design."""
    numbered = []
    for step in route.steps:
        if step.fires:
            heat = route.heats[step.family]
            shape = _footprint(one.layup, heat.support)
            numbered.append(
                replace(step, family=heats.index(heat), shape=shapes.setdefault(shape, len(shapes)), skill="")
            )
        elif step.setup:
            place = ((0, 1),) if stations else ()
            numbered.append(replace(step, setup=1 + setups.index(route.setups[step.setup - 1]), stations=place))
        else:
            numbered.append(step)
    return tuple(numbered)


def _footprint(layup: Layup, support: Support) -> tuple[float, float, bool]:
    block = standing(layup, support)
    return block.long, block.short, isinstance(layup.piece.outline, Circle) and support != "hung"


def _kiln(number: int, kiln: KilnOfDay, capacities: dict[tuple[int, int], int], shapes: int, heats: list[Heat]) -> Kiln:
    counts = [capacities[(number, shape)] for shape in range(shapes)]
    return Kiln(
        kiln.told.name,
        RACK,
        tuple(RACK // count if count else RACK + 1 for count in counts) or (RACK,),
        ticks_of("recovery") if kiln.recovery is None else kiln.recovery,
        ticks_of("rise_100k") / 100 if kiln.rise is None else kiln.rise,
        ticks_of("fall_100k") / 100 if kiln.fall is None else kiln.fall,
        ticks_of("cold") if kiln.cold is None else kiln.cold,
        _can_fire(kiln.told, heats),
        kiln.free,
    )


def _can_fire(told: KilnTold, heats: list[Heat]) -> frozenset[int] | None:
    """A kiln without degrees fires what goes by the eye too; a torch fires no load."""
    return frozenset() if told.kind == "torch" else None
