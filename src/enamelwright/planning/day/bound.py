"""What no plan can beat: the work there is, the kiln, and the longest route; and which dates cannot be kept.

A bound leaves out what it cannot see (the scraps at the end of a day, the last cooling, dates that force
half-empty loads), so part of the distance to it can never be closed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise, permutations
from math import ceil

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.problem import Kiln, Problem, Ref

#: Orders of families tried one by one for the least change of temperature; above this none is counted.
MOST_ORDERS = 7


@dataclass(frozen=True)
class Bound:
    """Earliest finishes on the axis, one for each reason; the latest of them holds.

    Parameters
    ----------
    work, kiln, chain, tail : int
        By the hours of work, by the kiln, by the longest route, and by the work that comes before the longest
        wait of every piece that has one over night.
    person_ticks : int
        Work there is, attended firings counted.
    loads : tuple of int
        Least number of loads of each family.
    """

    work: int
    kiln: int
    chain: int
    tail: int
    person_ticks: int
    loads: tuple[int, ...]

    @property
    def finish(self) -> int:
        """The bound that holds."""
        return max(self.work, self.kiln, self.chain, self.tail)

    @property
    def binding(self) -> str:
        """Which of them it is."""
        return max((self.work, "work"), (self.kiln, "kiln"), (self.chain, "chain"), (self.tail, "tail"))[1]


@dataclass(frozen=True)
class Promise:
    """Whether the work due by a date can be done by then at all.

    Parameters
    ----------
    due : int
        On the clock.
    needed, offered : int
        Person-ticks needed, and offered up to then.
    pieces : int
        How many are due by then.
    """

    due: int
    needed: int
    offered: int
    pieces: int

    @property
    def missing(self) -> int:
        """Person-ticks missing; something is bound to be late when this is above 0."""
        return max(self.needed - self.offered, 0)


def least_loads(problem: Problem, refs: Iterable[Ref]) -> tuple[int, ...]:
    """Return the least number of loads of each family.

    The units of all firings are divided by the rack, for the kiln that needs fewest. That is a bound for
    the rule of room the problem states.

    Parameters
    ----------
    problem : Problem
        With kilns.
    refs : iterable of Ref
        Steps to count; those at the bench are passed over.
    """
    counts: Counter[tuple[int, int]] = Counter()
    for ref in refs:
        step = problem.step(ref)
        if step.fires:
            counts[(step.family, step.shape)] += 1
    loads = []
    for family in range(len(problem.families)):
        shares: dict[int, list[tuple[int, int]]] = {}
        for (of, shape), count in counts.items():
            if of == family:
                for number, kiln in enumerate(problem.kilns):
                    if kiln.fires(family):
                        shares.setdefault(number, []).append((kiln.sizes[shape] * count, kiln.rack))
        if not shares:
            loads.append(0)
        elif len(shares) == 1:
            ((pairs),) = shares.values()
            loads.append(-(-sum(units for units, _ in pairs) // pairs[0][1]))
        else:  # each footprint in the kiln that holds most of it
            least = sum(min(units / rack for units, rack in zip_) for zip_ in zip(*shares.values(), strict=True))
            loads.append(ceil(least - 1e-9))
    return tuple(loads)


def person_ticks(problem: Problem, refs: list[Ref]) -> tuple[int, tuple[int, ...]]:
    """Return the person-ticks these steps need, and the least number of loads.

    Parameters
    ----------
    problem : Problem
        With families and kilns.
    refs : list of Ref
        Steps to count.
    """
    loads = least_loads(problem, refs)
    shortest: dict[int, int] = {}
    bench = 0
    for ref in refs:
        step = problem.step(ref)
        if step.fires:
            shortest[step.family] = min(shortest.get(step.family, step.length), step.length)
        elif step.hands:
            bench += step.length
    fired = sum(count * problem.families[f].attended(shortest[f]) for f, count in enumerate(loads) if count)
    return bench + fired, loads


def bound(problem: Problem) -> Bound:
    """Work out what no plan can beat.

    Parameters
    ----------
    problem : Problem
        Checked before.

    Raises
    ------
    OutOfReach
        When the calendar does not even offer the work.
    """
    refs = list(problem.refs())
    needed, loads = person_ticks(problem, refs)
    return Bound(
        _by_work(problem, needed),
        _by_kiln(problem, refs, loads),
        _by_chain(problem),
        _by_tail(problem),
        needed,
        loads,
    )


def _offered(problem: Problem, clock: int) -> int:
    """Person-ticks offered up to a time of the clock by everybody."""
    total = 0
    for person in problem.people:
        if person.gone:
            continue
        begin = max(person.free, problem.now)
        total += max(problem.calendar.worked_by(clock) - problem.calendar.worked_by(begin), 0)
        for a, b in person.away:
            inside = problem.calendar.worked_by(min(b, clock)) - problem.calendar.worked_by(max(a, begin))
            total -= max(inside, 0)
    return total


def _by_work(problem: Problem, needed: int) -> int:
    """Return the earliest end, on the axis, by which everybody together has offered the work."""
    calendar = problem.calendar
    begin = calendar.to_axis(problem.now)
    if not needed or not problem.people:
        return begin
    low, high = 0, calendar.windows[-1][1]
    if _offered(problem, high) < needed:
        raise OutOfReach("the calendar ends before the work does.", "Give more days or more people.")
    while low < high:
        middle = (low + high) // 2
        if _offered(problem, middle) >= needed:
            high = middle
        else:
            low = middle + 1
    return calendar.to_axis(low)


def _by_tail(problem: Problem) -> int:
    """Return the earliest end given that long waits, such as a night of settling, come after most of the work.

    Of all pieces with a wait longer than the cut, one is the last to begin it, and by then the work before
    it is done for all of them; what follows takes at least the least wait and the least work after it.
    """
    calendar = problem.calendar
    before: list[Ref] = []
    tails: list[tuple[int, int]] = []
    for number, piece in enumerate(problem.pieces):
        left = range(piece.first, len(piece.steps))
        long = max(left, key=lambda place: piece.steps[place].wait, default=None)
        if long is not None and piece.steps[long].wait > calendar.cut and long + 1 < len(piece.steps):
            before += [(number, place) for place in left if place <= long]
            tails.append((piece.steps[long].wait, max(step.length for step in piece.steps[long + 1 :])))
    begin = calendar.to_axis(problem.now)
    if not tails:
        return begin
    at = calendar.after(_by_work(problem, person_ticks(problem, before)[0]), min(wait for wait, _ in tails))
    last = min(length for _, length in tails)
    return calendar.fit(at, last) + last


def _least_change(problem: Problem, kiln: Kiln, families: list[int]) -> int:
    """Return the least total change over all orders of the families; 0 where there are too many orders."""
    if len(families) < 2 or len(families) > MOST_ORDERS:
        return 0
    return min(sum(problem.change(kiln, a, b) for a, b in pairwise(order)) for order in permutations(families))


def _by_kiln(problem: Problem, refs: list[Ref], loads: tuple[int, ...]) -> int:
    """Return the earliest end by which kilns that never stand idle while warm have fired every load.

    A recovery may hide in every gap, and a change of temperature too, so changes count only where all loads
    go into the first window. Several kilns share the firing time evenly, recovery left out.
    """
    calendar = problem.calendar
    begin = calendar.to_axis(problem.now)
    if not any(loads):
        return begin
    shortest: dict[int, int] = {}
    for ref in refs:
        step = problem.step(ref)
        if step.fires:
            shortest[step.family] = min(shortest.get(step.family, step.length), step.length)
    count, cold = len(problem.kilns), min(kiln.cold for kiln in problem.kilns)
    recovery, changes = 0, 0
    if count == 1:
        recovery = problem.kilns[0].recovery
        changes = _least_change(problem, problem.kilns[0], [f for f, n in enumerate(loads) if n])
    need = sum(n * (shortest[f] + recovery) for f, n in enumerate(loads) if n)
    for start, end, day in zip(calendar.starts, calendar.ends, calendar.days, strict=True):
        opens = max(start, begin, calendar.hot_from(day, cold))
        if opens >= end:
            continue
        last = -(-(need - recovery) // count)
        if last <= end - opens:
            return min(opens + last + changes, end)
        need -= count * (end - opens) + recovery
        changes = 0
    return calendar.horizon


def _by_chain(problem: Problem) -> int:
    """Return the latest end of any route taken by itself."""
    calendar = problem.calendar
    latest = begin = calendar.to_axis(problem.now)
    known: dict[tuple[int, int, tuple[int, ...]], int] = {}
    for piece in problem.pieces:
        left = piece.steps[piece.first :]
        at = max(calendar.to_axis(piece.release), begin)
        key = (at, piece.first, tuple(id(step) for step in left))
        if key not in known:
            for step in left:
                if step.fires and problem.kilns:
                    day = calendar.day_at(calendar.fit(at, step.length))
                    warm = min(k.cold for k in problem.kilns if k.fires(step.family))
                    at = max(at, calendar.hot_from(day, warm))
                at = calendar.fit(at, step.length)
                end = at + step.length
                at = calendar.after(end, step.wait)
                latest = max(latest, end)
            known[key] = at
    return latest


def promises(problem: Problem) -> tuple[Promise, ...]:
    """Check every date against the work due by it, in milliseconds and before any search.

    Parameters
    ----------
    problem : Problem
        With dates.

    Returns
    -------
    tuple of Promise
        One for each date, earliest first.
    """
    dates = sorted({piece.due for piece in problem.pieces if piece.due is not None})
    found = []
    for date in dates:
        due = [n for n, piece in enumerate(problem.pieces) if piece.due is not None and piece.due <= date]
        refs = [(n, s) for n in due for s in range(problem.pieces[n].first, len(problem.pieces[n].steps))]
        needed, _ = person_ticks(problem, refs)
        found.append(Promise(date, needed, _offered(problem, date), len(due)))
    return tuple(found)


def too_soon(problem: Problem) -> tuple[tuple[int, int], ...]:
    """Return (piece, clock ticks) of pieces whose own route ends after their date whatever else is done.

    Parameters
    ----------
    problem : Problem
        With dates.
    """
    found = []
    for number, piece in enumerate(problem.pieces):
        if piece.due is not None and piece.first < len(piece.steps):
            alone = _by_chain(
                Problem(problem.calendar, (piece,), problem.families, problem.kilns, problem.people, now=problem.now)
            )
            over = problem.calendar.to_clock(alone) - piece.due
            if alone > problem.calendar.to_axis(piece.due):
                found.append((number, over))
    return tuple(found)
