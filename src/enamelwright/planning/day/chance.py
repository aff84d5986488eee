"""How likely a plan keeps its dates when hands are slower or quicker than planned and pieces fail.

The order of the plan is kept. In each draw every piece of work takes its likely time by a factor common to all
(somebody's pace that day) and one of its own; a piece that fails is found at one of its firings and begun again from
its first step, put in where it can be done first, as often as it takes. Each firing is as likely to spoil a piece as
any other of its route, so that one half done fails less often than one not begun. Pieces fail one by one: a load that
is lost as a whole is not drawn. Firings, waits and people are as planned.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, sqrt
from random import Random

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, go_on
from enamelwright.planning.day.problem import Piece, Problem, Ref, Step
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
        Chance that a piece comes out good in one go, all its firings passed.
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
        With the usual spread; the range from the least to the most that the usual, the widest and the narrowest give,
        each with what so many draws can be wrong by. It has no coverage of its own: the assumptions have none.
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
    # Each piece has luck of its own, so that one more go of it leaves the others as they were.
    fates = [
        _fate(problem, piece, spread, pace, Random(luck.getrandbits(SEED_BITS)))
        if piece.first < len(piece.steps)
        else _Fate(piece.steps)
        for piece in problem.pieces
    ]
    shaken = replace(
        problem, pieces=tuple(replace(piece, steps=one.steps) for piece, one in zip(problem.pieces, fates, strict=True))
    )
    fails = {number: one for number, one in enumerate(fates) if one.fails is not None}
    try:
        shaken, order = _again(shaken, plan, fails) if fails else (shaken, plan.items)
        found = {number for number, _ in left_shift(shaken, order).late_pieces}
    except OutOfReach:
        return [number for number, piece in enumerate(problem.pieces) if piece.due is not None]
    lost = {number for number, one in fails.items() if one.lost and problem.pieces[number].due is not None}
    return sorted(found | lost)


#: Goes of one piece that are drawn at most: no calendar has room for so many.
MOST_GOES = 100
#: Of the seed of one piece.
SEED_BITS = 64


@dataclass(frozen=True)
class _Fate:
    """What becomes of a piece: all its steps, where its first go fails, steps before the last go, too late for one."""

    steps: tuple[Step, ...]
    fails: int | None = None
    before: int = 0
    lost: bool = False


def _fate(problem: Problem, piece: Piece, spread: Spread, pace: float, luck: Random) -> _Fate:
    """Draw go after go until one is good, or until by the bare work alone no other can begin before the date.

    Of a piece without a date none begins after the last date of all.
    """
    calendar = problem.calendar
    due = piece.due if piece.due is not None else max(one.due for one in problem.pieces if one.due is not None)
    end, at = calendar.to_axis(due), calendar.to_axis(max(piece.release, problem.now))
    steps: list[Step] = []
    first, fails = piece.first, None
    for _ in range(MOST_GOES):
        before, go = len(steps), [_shaken(step, calendar.longest, spread, pace, luck) for step in piece.steps]
        spoiled = _spoiled(piece, first, spread.good, luck)
        if spoiled is None:
            return _Fate((*steps, *go), fails, before)
        fails = spoiled if fails is None else fails
        steps += go[: spoiled + 1]
        try:
            for step in go[first : spoiled + 1]:
                at = calendar.after(calendar.fit(at, step.length) + step.length, step.wait)
        except OutOfReach:
            break
        if at >= end:
            break
        first = 0
    return _Fate(tuple(steps), fails, before, lost=True)


def _shaken(step: Step, longest: int, spread: Spread, pace: float, luck: Random) -> Step:
    """Return a piece of work as long as it takes this time; a firing as it is."""
    own = luck.gauss(0.0, 1.0)
    if step.fires or not step.hands:
        return step
    return replace(step, length=min(max(round(step.length * pace * exp(own * spread.step)), 1), longest))


def _spoiled(piece: Piece, first: int, good: float, luck: Random) -> int | None:
    """Return the firing at which a piece fails that has come so far; None when it comes out good.

    Of n firings each leaves it good with the n-th root of the chance of a whole go.
    """
    firings = [place for place, step in enumerate(piece.steps) if step.fires]
    fate = luck.random()
    left = (place for place in firings if place >= first)
    return next((place for nth, place in enumerate(left, 1) if fate >= good ** (nth / len(firings))), None)


def _again(problem: Problem, plan: DayPlan, fails: dict[int, _Fate]) -> tuple[Problem, tuple[Item, ...]]:
    """Put further goes of pieces into the order, each piece's after the firing at which its first go fails."""

    def moved(ref: Ref) -> Ref:
        """Return where a step stands in the last go."""
        return (ref[0], ref[1] + fails[ref[0]].before) if ref[0] in fails else ref

    known = replace(problem, after=tuple((moved(one), moved(other), wait) for one, other, wait in problem.after))
    order: tuple[Item, ...] = tuple(
        replace(item, members=kept)
        for item in plan.items
        if (kept := tuple(ref for ref in item.members if ref[0] not in fails or ref[1] <= (fails[ref[0]].fails or 0)))
    )
    pieces = list(problem.pieces)
    for number, one in fails.items():
        place = one.fails or 0
        out = problem.calendar.to_clock(plan.placed[(number, place)].end) + one.steps[place].wait
        pieces[number] = replace(pieces[number], first=place + 1, release=max(out, pieces[number].release))
    begun = replace(known, pieces=tuple(pieces))
    for number in fails:
        order = insert(begun, order, number)
    return known, order
