"""How likely a plan keeps its dates when hands are slower or quicker than planned and pieces fail.

The order of the plan is kept. In each draw every piece of work takes its likely time by a factor common to all
(somebody's pace that day) and one of its own; a piece that fails is found at one of its firings and begun again from
its first step, put in where it can be done first. Firings, waits and people are as planned.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import exp, sqrt
from random import Random

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, go_on
from enamelwright.planning.day.problem import Problem, Ref
from enamelwright.planning.day.rates import rate
from enamelwright.planning.day.replan import insert
from enamelwright.reference.loader import facts_of

#: Half-width of a band of 90 % in standard deviations.
Z90 = 1.6448536269514722


@dataclass(frozen=True)
class Spread:
    """How far a day may go otherwise.

    Parameters
    ----------
    pace, step : float
        Standard deviations of the logarithm of the factor common to all work of the hand, and of each piece of work.
    good : float
        Chance that a piece comes out good.
    """

    pace: float
    step: float
    good: float


@dataclass(frozen=True)
class Chance:
    """How likely all dates are kept.

    Parameters
    ----------
    kept, low, high : float
        With the usual spread; with the widest and the narrowest, and what so many draws can be wrong by.
    draws : int
        How many days were played through, for each.
    first : tuple of (int, float)
        Pieces that miss their date most often, and how often, with the usual spread.
    """

    kept: float
    low: float
    high: float
    draws: int
    first: tuple[tuple[int, float], ...]


def yields(good: int, fired: int, draws: int = 400) -> tuple[float, float, float]:
    """Return the chance that a piece comes out good with its band of 90 %, from what came out.

    Parameters
    ----------
    good, fired : int
        How many were good, and how many are decided; with none the table of the trade answers.
    draws : int
        Of the Beta distribution that knows nothing at first (half a piece of either).
    """
    if not fired:
        fact = facts_of("trade/laying_out")["trade/part_yield"]
        return fact.value, fact.low or fact.value, fact.high or fact.value
    luck = Random(1)
    found = sorted(luck.betavariate(good + 0.5, fired - good + 0.5) for _ in range(draws))
    tail = draws // 20
    return (good + 0.5) / (fired + 1), found[tail], found[-1 - tail]


def spreads(good: float, low: float, high: float) -> tuple[Spread, Spread, Spread]:
    """Return the usual, the widest and the narrowest spread with these chances of a good piece."""
    pace, step = rate("pace_spread"), rate("step_spread")
    return (
        Spread(pace.value, step.value, good),
        Spread(pace.high or pace.value, step.high or step.value, low),
        Spread(pace.low or 0.0, step.low or 0.0, high),
    )


def chance(
    plan: DayPlan, told: tuple[Spread, Spread, Spread], draws: int, progress: Progress = go_on, seed: int = 1
) -> Chance | None:
    """Play a plan through so many times.

    Parameters
    ----------
    plan : DayPlan
        With dates.
    told : tuple of Spread
        The usual, the widest, the narrowest.
    draws : int
        For each of the three, with the same draws.
    progress : callable
        Told now and then; stops by answering False.
    seed : int
        Of the draws.

    Returns
    -------
    Chance or None
        None when no piece has a date, or it was stopped.
    """
    if not draws or all(piece.due is None or piece.first >= len(piece.steps) for piece in plan.problem.pieces):
        return None
    shares, missed = [], dict[int, int]()
    for number, spread in enumerate(told):
        kept = 0
        for draw in range(draws):
            if draw % REPORT == 0 and not progress(number / len(told), "how sure the dates are"):
                return None
            late = _late(plan, spread, Random(seed * draws + draw))
            kept += not late
            for piece in late if number == 0 else ():
                missed[piece] = missed.get(piece, 0) + 1
        shares.append(kept)
    usual, widest, narrowest = shares
    ends = [*_wilson(usual, draws), *_wilson(widest, draws), *_wilson(narrowest, draws)]
    first = sorted(missed.items(), key=lambda pair: (-pair[1], pair[0]))
    return Chance(usual / draws, min(ends), max(ends), draws, tuple((piece, n / draws) for piece, n in first))


#: Progress is told this often.
REPORT = 16


def _wilson(hits: int, of: int) -> tuple[float, float]:
    """Return the band of 90 % of a share that was counted."""
    share, z2 = hits / of, Z90**2
    middle, half = share + z2 / (2 * of), Z90 * sqrt(share * (1 - share) / of + z2 / (4 * of * of))
    return max((middle - half) / (1 + z2 / of), 0.0), min((middle + half) / (1 + z2 / of), 1.0)


def _late(plan: DayPlan, spread: Spread, luck: Random) -> list[int]:
    """Return the pieces that miss their date in one draw; all of them when the calendar ends before the work."""
    problem = plan.problem
    pace = exp(luck.gauss(0.0, 1.0) * spread.pace)
    pieces, fails = [], dict[int, int]()
    longest = problem.calendar.longest
    for number, piece in enumerate(problem.pieces):
        steps = list(piece.steps)
        for place in range(piece.first, len(steps)):
            own = luck.gauss(0.0, 1.0)
            if not steps[place].fires and steps[place].hands:
                length = steps[place].length * pace * exp(own * spread.step)
                steps[place] = replace(steps[place], length=min(max(round(length), 1), longest))
        fate, where = luck.random(), luck.random()
        firings = [place for place in range(piece.first, len(steps)) if steps[place].fires]
        if firings and fate >= spread.good:
            fails[number] = firings[int(where * len(firings))]
        pieces.append(replace(piece, steps=tuple(steps)))
    shaken = replace(problem, pieces=tuple(pieces))
    try:
        shaken, order = _again(shaken, plan.items, fails, plan) if fails else (shaken, plan.items)
        return [number for number, _ in left_shift(shaken, order).late_pieces]
    except OutOfReach:
        return [number for number, piece in enumerate(problem.pieces) if piece.due is not None]


def _again(
    problem: Problem, items: Iterable[Item], fails: dict[int, int], plan: DayPlan
) -> tuple[Problem, tuple[Item, ...]]:
    """Begin pieces again after the firing at which they fail."""
    pieces = list(problem.pieces)
    for number, place in fails.items():
        piece = pieces[number]
        pieces[number] = replace(piece, steps=(*piece.steps[: place + 1], *piece.steps))
    after = tuple((_second(earlier, fails), later, wait) for earlier, later, wait in problem.after)
    order: tuple[Item, ...] = tuple(
        replace(item, members=kept)
        for item in items
        if (
            kept := tuple(ref for ref in item.members if ref[1] <= fails.get(ref[0], len(problem.pieces[ref[0]].steps)))
        )
    )
    known = replace(problem, pieces=tuple(pieces), after=after)
    part = list(pieces)
    for number, place in fails.items():
        out = plan.problem.calendar.to_clock(plan.placed[(number, place)].end) + pieces[number].steps[place].wait
        part[number] = replace(pieces[number], first=place + 1, release=max(out, pieces[number].release))
    begun = replace(known, pieces=tuple(part))
    for number in fails:
        order = insert(begun, order, number)
    return known, order


def _second(ref: Ref, fails: dict[int, int]) -> Ref:
    """Return where a step stands in a piece that is begun again: its second time."""
    return (ref[0], ref[1] + fails[ref[0]] + 1) if ref[0] in fails else ref
