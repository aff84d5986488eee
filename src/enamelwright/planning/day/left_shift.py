"""The same order, every block as early as it can be: a pass or two, and the first answer to a disturbance."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.crew import Crew
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.problem import Problem, Ref

#: Passes in which what would lie too long before the next step is held back, at most.
HOLDS = 2


def left_shift(problem: Problem, order: Iterable[Item], keep_people: bool = False) -> DayPlan:
    """Time blocks anew in the order given.

    For people who can do the same this loses nothing: no block of a plan sorted by its starts gets later. A block
    that stands before something it needs is put off until that is done. A coat is not laid so early that it would lie
    too long before it is fired: where a pass comes to that it is held, other work goes before it, and the rest is timed
    once more.

    Parameters
    ----------
    problem : Problem
        What the blocks belong to.
    order : iterable of Item
        Their members, kiln and family are kept; start, people and cleaning are found anew.
    keep_people : bool
        Whether each block stays with its person.

    Raises
    ------
    OutOfReach
        When the calendar ends before the work does, or no order of these blocks keeps the orders between pieces.
    """
    plan = _timed(problem, order, keep_people, {})
    held: dict[Ref, int] = {}
    for _ in range(HOLDS):
        if not plan.score.broken:
            break
        held |= _held(plan)
        turn = sorted(plan.items, key=lambda item: max(item.start, *(held.get(ref, 0) for ref in item.members)))
        try:
            plan = min(plan, _timed(problem, turn, keep_people, held), key=lambda each: each.score)
        except OutOfReach:
            break
    return plan


def _held(plan: DayPlan) -> dict[Ref, int]:
    """Return the steps that were done too long before the next, and when on the axis they are soon enough for it."""
    calendar, begin = plan.problem.calendar, {}
    for ref in plan.waits_too_long:
        item, following = plan.placed[ref], plan.placed[(ref[0], ref[1] + 1)]
        by = calendar.to_clock(following.start + following.washing) - (plan.problem.step(ref).longest or 0)
        begin[ref] = calendar.to_axis(by - item.length)
    return begin


def _timed(problem: Problem, order: Iterable[Item], keep_people: bool, held: Mapping[Ref, int]) -> DayPlan:
    """Time blocks in one pass, none that is held before its time."""
    calendar, crew = problem.calendar, Crew(problem)
    begin = calendar.to_axis(problem.now)
    ready: dict[Ref, int] = {}
    kilns = [
        [max(calendar.to_axis(k.free), begin), k.last, k.free // calendar.day_length if k.free > 0 else -1]
        for k in problem.kilns
    ]
    for number, piece in enumerate(problem.pieces):
        ready[(number, piece.first)] = max(calendar.to_axis(piece.release), begin)
    stations: list[list[tuple[int, int, int]]] = [[] for _ in problem.stations]
    done: list[Item] = []
    for item in _in_turn(problem, order):
        at = max(max(ready.get(ref, begin), calendar.to_axis(problem.step(ref).earliest), held.get(ref, 0))
                 for ref in item.members)  # fmt: skip
        if item.kiln >= 0:
            new = _load(problem, crew, kilns[item.kiln], item, at, keep_people)
        else:
            new = _bench(problem, crew, stations, item, at, keep_people)
        done.append(new)
        for number, place in new.members:
            following = (number, place + 1)
            wait = problem.step((number, place)).wait
            ready[following] = max(ready.get(following, 0), calendar.after(new.end, wait))
            for later, lag in problem.followers.get((number, place), ()):
                ready[later] = max(ready.get(later, 0), calendar.after(new.end, lag))
    return DayPlan.of(problem, done)


def _in_turn(problem: Problem, order: Iterable[Item]) -> Iterator[Item]:
    """Yield blocks in their order, each after all that it needs."""
    needs: dict[Ref, list[Ref]] = {}
    for earlier, later, _ in problem.after:
        if earlier[1] >= problem.pieces[earlier[0]].first:
            needs.setdefault(later, []).append(earlier)
    done: set[Ref] = set()

    def can(item: Item) -> bool:
        for number, place in item.members:
            if place > problem.pieces[number].first and (number, place - 1) not in done:
                return False
            if any(ref not in done for ref in needs.get((number, place), ())):
                return False
        return True

    put_off: list[Item] = []
    for item in order:
        put_off.append(item)
        moved = True
        while moved and put_off:
            moved = False
            for number, waiting in enumerate(put_off):
                if can(waiting):
                    yield put_off.pop(number)
                    done.update(waiting.members)
                    moved = True
                    break
    if put_off:
        raise OutOfReach("the orders between pieces cannot be kept with these loads.", "Take a load apart.")


def _able(problem: Problem, skill: str, item: Item, keep: bool) -> list[int]:
    if keep and item.people:
        return [item.people[0]]
    return [n for n, person in enumerate(problem.people) if person.can(skill)]


def _load(problem: Problem, crew: Crew, kiln: list[int], item: Item, at: int, keep: bool) -> Item:
    """Put one load in as early as kiln and people allow."""
    calendar, family, told = problem.calendar, problem.families[item.family], problem.kilns[item.kiln]
    length = max(problem.step(ref).length for ref in item.members)

    def ready(when: int) -> int:
        free, last, day = kiln
        if calendar.day_at(when) != day:
            return max(calendar.hot_from(calendar.day_at(when), told.cold), free)
        return free + told.recovery + problem.change(told, last, item.family)

    def place(person: int | None) -> int:
        start = at
        while True:
            if person is None:
                start = calendar.fit(start, length)
            elif family.attention == "whole":
                start = crew.fit(person, start, length)
            else:
                start = crew.fit_ends(person, start, length, family)
            if ready(start) <= start:
                return start
            start = ready(start)

    able = _able(problem, family.skill, item, keep)
    needs = any(problem.step(ref).hands for ref in item.members)
    start, _, who = min((place(n), crew.free[n], n) for n in able) if needs else (place(None), 0, None)
    if who is not None:
        if family.attention == "whole":
            crew.take(who, start, length)
        else:
            crew.take(who, start, family.putting)
            crew.promise(who, start + length - family.taking, family.taking)
    kiln[:] = [start + length, item.family, calendar.day_at(start)]
    return Item(start, length, item.members, () if who is None else (who, who), item.kiln, item.family)


def _bench(
    problem: Problem, crew: Crew, stations: list[list[tuple[int, int, int]]], item: Item, at: int, keep: bool
) -> Item:
    """Do one bench step as early as people and stations allow."""
    calendar, step = problem.calendar, problem.step(item.members[0])
    if not step.hands:
        start = _stations(problem, stations, step.stations, at, step.length, None)
        _hold(stations, step.stations, start, step.length)
        return Item(start, step.length, item.members)

    def place(person: int) -> tuple[int, int]:
        start, wash = at, 0
        while True:
            day = calendar.day_at(start)
            wash = crew.wash(person, step.setup, day)
            found = crew.fit(person, start, step.length + wash)
            if step.stations:
                found = _stations(problem, stations, step.stations, found, step.length + wash, (crew, person))
            if calendar.day_at(found) == day:
                return found, wash
            start = found

    able = _able(problem, step.skill, item, keep)
    found = [(*place(n), crew.free[n], n) for n in able]
    start, wash, _, who = min(found, key=lambda one: (one[0] + one[1], *one[2:]))
    crew.take(who, start, step.length + wash)
    crew.use(who, step.setup, calendar.day_at(start))
    _hold(stations, step.stations, start, step.length + wash)
    return Item(start, step.length + wash, item.members, (who,), washing=wash)


def _hold(
    stations: list[list[tuple[int, int, int]]], needs: tuple[tuple[int, int], ...], start: int, length: int
) -> None:
    for number, amount in needs:
        stations[number].append((start, start + length, amount))


def _stations(
    problem: Problem,
    stations: list[list[tuple[int, int, int]]],
    needs: tuple[tuple[int, int], ...],
    at: int,
    length: int,
    worker: tuple[Crew, int] | None,
) -> int:
    """Return the first place where the stations have room, and the worker is free."""
    while True:
        at = problem.calendar.fit(at, length) if worker is None else worker[0].fit(worker[1], at, length)
        later = at
        for number, amount in needs:
            over = [span for span in stations[number] if span[0] < at + length and span[1] > at]
            moments = {at, *(a for a, _, _ in over if a > at)}
            for moment in moments:
                held = sum(n for a, b, n in over if a <= moment < b)
                if held + amount > problem.stations[number].capacity:
                    later = max(later, min(b for a, b, n in over if a <= moment < b))
        if later == at:
            return at
        at = later


def one_by_one(problem: Problem) -> DayPlan:
    """Return a plan that takes steps in any order that respects the routes, every firing alone: a place to begin.

    Parameters
    ----------
    problem : Problem
        Checked before.
    """
    before = {ref: int(ref[1] > problem.pieces[ref[0]].first) for ref in problem.refs()}
    for earlier, later, _ in problem.after:
        if earlier in before and later in before:
            before[later] += 1
    free = sorted((ref for ref, count in before.items() if not count), reverse=True)
    order: list[Item] = []
    while free:
        ref = free.pop()
        step = problem.step(ref)
        kiln = next((n for n, k in enumerate(problem.kilns) if step.fires and k.fires(step.family)
                     and k.sizes[step.shape] <= k.rack), -1)  # fmt: skip
        order.append(Item(0, step.length, (ref,), (), kiln, step.family))
        following = [later for later, _ in problem.followers.get(ref, ())]
        if (ref[0], ref[1] + 1) in before:
            following.append((ref[0], ref[1] + 1))
        for later in following:
            if later in before:
                before[later] -= 1
                if not before[later]:
                    free.append(later)
    return left_shift(problem, order)
