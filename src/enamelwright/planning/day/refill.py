"""Fewer, fuller loads: take one with room left apart, put its pieces in again elsewhere, keep what is better."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import REPORT, Progress, go_on
from enamelwright.planning.day.problem import Problem
from enamelwright.planning.day.replan import insert

#: Of so many loads drawn, the one with most room left is taken apart.
DRAWN = 4


def refill(plan: DayPlan, tries: int, progress: Progress = go_on, seed: int = 1) -> DayPlan:
    """Take loads apart and put their pieces in again, so many times.

    Parameters
    ----------
    plan : DayPlan
        Where to begin.
    tries : int
        How many.
    progress : callable
        Told now and then; stops by answering False.
    seed : int
        Of the draws.

    Returns
    -------
    DayPlan
        Never worse than the one given.
    """
    chance, problem = Random(seed), plan.problem
    best = plan
    for number in range(tries):
        if number % REPORT == 0 and not progress(number / tries, f"{number} loads taken apart"):
            break
        if not best.loads:
            break
        drawn = [chance.choice(best.loads) for _ in range(DRAWN)]
        load = max(drawn, key=lambda item: _room_left(problem, item))
        pieces = [piece for piece, _ in load.members]
        chance.shuffle(pieces)
        found = _again(best, load, pieces)
        if found is not None and found.score <= best.score:
            best = found
    return best


def _room_left(problem: Problem, item: Item) -> int:
    kiln = problem.kilns[item.kiln]
    return kiln.rack - sum(kiln.sizes[problem.step(ref).shape] for ref in item.members)


def _again(plan: DayPlan, load: Item, pieces: list[int]) -> DayPlan | None:
    """Take the steps of these pieces out, from the last firing before the load on, and put them in again."""
    problem = plan.problem
    at = dict(load.members)
    begun: dict[int, int] = {}
    shorter = list(problem.pieces)
    for piece in pieces:
        told = problem.pieces[piece]
        fired = [n for n in range(told.first, at[piece]) if told.steps[n].fires]
        begun[piece] = fired[-1] + 1 if fired else told.first
        release = told.release
        if fired:
            before = plan.placed[(piece, fired[-1])]
            wait = told.steps[fired[-1]].wait
            release = max(release, problem.calendar.to_clock(before.end) + wait)
        shorter[piece] = replace(told, first=begun[piece], release=release)
    order = []
    for item in plan.items:
        kept = tuple(ref for ref in item.members if ref[1] < begun.get(ref[0], len(problem.pieces[ref[0]].steps)))
        if kept:
            order.append(item if len(kept) == len(item.members) else replace(item, members=kept))
    row = tuple(order)
    part = replace(problem, pieces=tuple(shorter))
    for piece in pieces:
        row = insert(part, row, piece)
    try:
        return left_shift(problem, row)
    except OutOfReach:
        return None
