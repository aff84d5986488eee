"""Loads that can go together do: two near ones of one kind become one wherever that costs nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import REPORT, Progress, go_on
from enamelwright.planning.day.problem import Problem, Ref

#: A load is held against so many of those that follow it in its kiln; farther ones hardly ever go with it.
NEAR = 4
#: Plans timed anew for each day that is tried out: so many join nearly all that can be, in a small share of the time.
MOVES_A_TRY = 2
#: Steps timed anew for a plan that is shown at once, at most: a breath on a large day.
STEPS_AT_ONCE = 30_000


def join_loads(plan: DayPlan, moves: int, progress: Progress = go_on, later: float = 0.0) -> DayPlan:
    """Put near loads of one kiln and family together, for as long as that makes nothing worse.

    Two ways are tried for each pair whose members fit the rack: the earlier load waits for the later one, or the bench
    work that the later one's pieces still need is done first and they go in with the earlier. Nothing is drawn and
    moves are counted, so the same plan gets the same answer. What is pinned starts no later than it did.

    Parameters
    ----------
    plan : DayPlan
        Where to begin.
    moves : int
        How many plans may be timed anew.
    progress : callable
        Told now and then; stops by answering False.
    later : float
        Of the lateness of a plan that is late, this share may be added for fewer loads, all of them together; no date
        that was kept is missed for it, and nothing ends later.

    Returns
    -------
    DayPlan
        The one given, or one with fewer loads whose score is no worse and with which the checker finds no more wrong.
    """
    best, left = plan, moves
    latest = plan.score.late + int(later * plan.score.late)
    pinned = _pinned(plan)
    faults: int | None = None
    for reach in (1, NEAR):  # what the next load of its kind does not join, a farther one seldom does
        more = True
        while more and left:
            more, number = False, 0
            while number < len(best.loads) and left:
                joined = None
                for order in _ways(best, number, reach):
                    done = moves - left
                    words = f"{done} ways to put loads together tried"
                    if not left or (done % REPORT == 0 and not progress(done / moves, words)):
                        return best
                    left -= 1
                    joined = _timed(best, order, pinned, latest)
                    if joined is not None:
                        faults = len(check(plan.problem, plan.on_clock())) if faults is None else faults
                        if len(check(plan.problem, joined.on_clock())) <= faults:
                            break
                        joined = None
                if joined is None:
                    number += 1
                else:
                    best, more = joined, True
    return best


def _pinned(plan: DayPlan) -> tuple[Ref, ...]:
    problem = plan.problem
    return tuple(ref for ref in plan.placed if problem.step(ref).earliest > problem.now)


def _timed(plan: DayPlan, order: list[Item], pinned: tuple[Ref, ...], latest: int) -> DayPlan | None:
    """Time an order with a load less; None when it is worse, or moves what is pinned."""
    try:
        found = left_shift(plan.problem, order)
    except OutOfReach:
        return None
    if len(found.loads) >= len(plan.loads) or (found.score > plan.score and not _hardly_later(found, plan, latest)):
        return None
    moved = any(found.placed[ref].start > plan.placed[ref].start for ref in pinned)
    return None if moved else found


def _hardly_later(found: DayPlan, plan: DayPlan, latest: int) -> bool:
    """Whether nothing but the lateness of what is late anyway is worse, and that by no more than it may."""
    new, old = found.score, plan.score
    if new.late > latest or new.broken > old.broken or new.finish > old.finish:
        return False
    return {piece for piece, _ in found.late_pieces} <= {piece for piece, _ in plan.late_pieces}


def _ways(plan: DayPlan, number: int, reach: int) -> Iterator[list[Item]]:
    """Yield orders in which one load is together with another that follows it."""
    load, problem = plan.loads[number], plan.problem
    kiln = problem.kilns[load.kiln]
    room = kiln.rack - sum(kiln.sizes[problem.step(ref).shape] for ref in load.members)
    if room < min(kiln.sizes):
        return
    pieces = {piece for piece, _ in load.members}
    following = [item for item in plan.loads[number + 1 :] if item.kiln == load.kiln][:reach]
    for other in following:
        if other.family != load.family or any(piece in pieces for piece, _ in other.members):
            continue
        if sum(kiln.sizes[problem.step(ref).shape] for ref in other.members) <= room:
            ways = _together(plan, load, other)
            yield from islice(ways, 1) if reach == 1 else ways


def _together(plan: DayPlan, load: Item, other: Item) -> Iterator[list[Item]]:
    """Yield the ways to put two loads together."""
    items = list(plan.items)
    first, second = items.index(load), items.index(other)
    both = replace(load, members=(*load.members, *other.members))
    between = items[first + 1 : second]
    yield [*items[:first], *between, both, *items[second + 1 :]]
    due = dict(other.members)
    needed = [item for item in between if any(place < due.get(piece, 0) for piece, place in item.members)]
    if all(item.kiln < 0 for item in needed):
        rest = [item for item in between if item not in needed]
        yield [*items[:first], *needed, both, *rest, *items[second + 1 :]]


def moves_for(problem: Problem, tries: int) -> int:
    """Return how many ways to put loads together are worth their time.

    Parameters
    ----------
    problem : Problem
        Of the plan.
    tries : int
        Days that are tried out for it; with none the plan is wanted at once.
    """
    steps = sum(len(piece.steps) - piece.first for piece in problem.pieces)
    return MOVES_A_TRY * tries or min(STEPS_AT_ONCE // max(steps, 1), steps)
