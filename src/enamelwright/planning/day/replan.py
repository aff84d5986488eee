"""When the day goes otherwise: freeze what is done, keep the order, and offer a better one only when it is worth it.

After a delay nearly every step starts at another time, so the clock says little about how much a person must
rearrange in the head. What counts is which pieces share a load, on which day a step falls, and the order of the
next twenty things.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.checker import Block
from enamelwright.planning.day.join_loads import MOVES_A_TRY, join_loads
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, Search, go_on
from enamelwright.planning.day.problem import Piece, Problem, Ref
from enamelwright.planning.day.rates import TICK, rate, ticks_of

#: How many of the next things are looked at for their order.
NEAR = 20


@dataclass(frozen=True)
class Frozen:
    """A plan cut at a moment.

    Parameters
    ----------
    problem : Problem
        What is left to do.
    blocks : tuple of Block
        What has begun, on the clock.
    order : tuple of Item
        What has not begun, in the order of the plan.
    """

    problem: Problem
    blocks: tuple[Block, ...]
    order: tuple[Item, ...]


def freeze(plan: DayPlan, now: int, longer: Mapping[Ref, int] | None = None) -> Frozen:
    """Cut a plan: what has begun by `now` is done or being done, the rest is left.

    Parameters
    ----------
    plan : DayPlan
        As it was.
    now : int
        On the clock.
    longer : mapping of Ref to int, optional
        Steps that have begun and take so many ticks more than planned.
    """
    problem, longer = plan.problem, longer or {}
    past, order = [], []
    for item, block in zip(plan.items, plan.on_clock(), strict=True):
        if block.start < now:
            more = max((longer.get(ref, 0) for ref in item.members), default=0)
            past.append(replace(block, end=block.end + more))
        else:
            order.append(item)
    pieces = list(problem.pieces)
    kilns, people = list(problem.kilns), list(problem.people)
    for block in past:
        for number, place in block.members:
            ready = block.end + problem.step((number, place)).wait
            pieces[number] = replace(pieces[number], first=place + 1, release=max(ready, now))
        if block.kiln >= 0 and block.end >= kilns[block.kiln].free:
            kilns[block.kiln] = replace(kilns[block.kiln], free=block.end, last=block.family)
        for person in block.people:
            people[person] = replace(people[person], free=max(people[person].free, block.end))
    after = tuple(each for each in problem.after if each[0][1] >= pieces[each[0][0]].first)
    for earlier, later, wait in problem.after:
        if earlier[1] < pieces[earlier[0]].first and later[1] == pieces[later[0]].first:
            ended = next((b.end for b in past if earlier in b.members), now)
            pieces[later[0]] = replace(pieces[later[0]], release=max(pieces[later[0]].release, ended + wait))
    left = replace(
        problem, pieces=tuple(pieces), kilns=tuple(kilns), people=tuple(people), after=after, now=max(now, problem.now)
    )
    return Frozen(left, tuple(past), tuple(order))


def failed(frozen: Frozen, piece: int, again_from: int) -> Frozen:
    """Take a piece back to an earlier step: what it needs again is put in where it can be done first.

    Parameters
    ----------
    frozen : Frozen
        What is left.
    piece : int
        Which one.
    again_from : int
        First step to be done again.
    """
    problem = frozen.problem
    pieces = list(problem.pieces)
    pieces[piece] = replace(pieces[piece], first=again_from, release=problem.now)
    problem = replace(problem, pieces=tuple(pieces))
    order = [_without(item, piece) for item in frozen.order]
    kept = tuple(item for item in order if item is not None)
    return Frozen(problem, frozen.blocks, insert(problem, kept, piece))


def rush(frozen: Frozen, piece: Piece) -> Frozen:
    """Add a piece, put in where it can be done first.

    Parameters
    ----------
    frozen : Frozen
        What is left.
    piece : Piece
        The new one.
    """
    problem = replace(frozen.problem, pieces=(*frozen.problem.pieces, replace(piece, release=frozen.problem.now)))
    return Frozen(problem, frozen.blocks, insert(problem, frozen.order, len(problem.pieces) - 1))


def leaves(frozen: Frozen, person: int, back: int | None = None) -> Frozen:
    """Let somebody go, for good or until they are back.

    Parameters
    ----------
    frozen : Frozen
        What is left.
    person : int
        Who.
    back : int or None
        On the clock.
    """
    problem, people = frozen.problem, list(frozen.problem.people)
    if back is None:
        people[person] = replace(people[person], gone=True)
    else:
        people[person] = replace(people[person], away=(*people[person].away, (problem.now, back)))
    return Frozen(replace(problem, people=tuple(people)), frozen.blocks, frozen.order)


def _without(item: Item, piece: int) -> Item | None:
    members = tuple(ref for ref in item.members if ref[0] != piece)
    return replace(item, members=members) if members else None


def insert(problem: Problem, order: tuple[Item, ...], piece: int) -> tuple[Item, ...]:
    """Put the steps of one piece into an order, as early as its waits allow; firings join loads with room.

    What others wait for, as the tile of a new lot, comes first: it joins a load only when that goes in at once.

    Parameters
    ----------
    problem : Problem
        With the piece.
    order : tuple of Item
        Of the others, with their old times.
    piece : int
        Which one.
    """
    calendar, rows = problem.calendar, list(order)
    told = problem.pieces[piece]
    at = max(calendar.to_axis(told.release), calendar.to_axis(problem.now))
    before = 0
    awaited = any((piece, place) in problem.followers for place in range(told.first, len(told.steps)))
    for place in range(told.first, len(told.steps)):
        step, ref = told.steps[place], (piece, place)
        if step.fires:
            joined = next(
                (n for n, item in enumerate(rows) if item.start >= at and _has_room(problem, item, ref)), None
            )
            if joined is not None and awaited and rows[joined].start > at + step.length:
                joined = None
            if joined is not None:
                rows[joined] = replace(rows[joined], members=(*rows[joined].members, ref))
                at = calendar.after(rows[joined].end, step.wait)
                before = joined + 1
                continue
        kiln = -1
        if step.fires:
            kiln = next(
                n for n, k in enumerate(problem.kilns) if k.fires(step.family) and k.sizes[step.shape] <= k.rack
            )
        place_in = before if awaited else next((n for n, item in enumerate(rows) if item.start >= at), len(rows))
        before = place_in + 1
        start = calendar.fit(at, step.length)
        rows.insert(place_in, Item(start, step.length, (ref,), (), kiln, step.family))
        at = calendar.after(start + step.length, step.wait)
    return tuple(rows)


def _has_room(problem: Problem, item: Item, ref: Ref) -> bool:
    step = problem.step(ref)
    if item.kiln < 0 or item.family != step.family:
        return False
    kiln = problem.kilns[item.kiln]
    used = sum(kiln.sizes[problem.step(other).shape] for other in item.members)
    return used + kiln.sizes[step.shape] <= kiln.rack


@dataclass(frozen=True)
class Changes:
    """How a new plan differs from the old one, over the steps both have.

    Parameters
    ----------
    load, day : int
        Pieces with another company in some load, and with a step on another day.
    turned_round : int
        Pairs among the next things whose order is turned round.
    moved : int
        Steps that start more than a quarter of an hour from where they were.
    """

    load: int
    day: int
    turned_round: int
    moved: int

    def words(self) -> str:
        """Say it in a line."""
        parts = []
        if self.load:
            parts.append(f"{_pieces(self.load)} in another load")
        if self.day:
            parts.append(f"{_pieces(self.day)} on another day")
        if self.turned_round:
            parts.append(f"{self.turned_round} of the next things in another order")
        return ", ".join(parts) if parts else "the same order, loads and days"


def _pieces(count: int) -> str:
    return f"{count} piece" if count == 1 else f"{count} pieces"


def changes(old: Iterable[Item], new: DayPlan) -> Changes:
    """Compare an order with a plan.

    Parameters
    ----------
    old : iterable of Item
        What was left, with its old times.
    new : DayPlan
        What is planned now.
    """
    calendar, before = new.problem.calendar, list(old)
    was = {ref: item for item in before for ref in item.members}
    both = [ref for ref in was if ref in new.placed]
    load, day, moved = set(), set(), 0
    for ref in both:
        one, other = was[ref], new.placed[ref]
        same = {r for r in one.members if r in new.placed} == {r for r in other.members if r in was}
        if one.kiln >= 0 and not same:
            load.add(ref[0])
        if calendar.day_at(one.start) != calendar.day_at(other.start):
            day.add(ref[0])
        moved += abs(calendar.to_clock(one.start) - calendar.to_clock(other.start)) > ticks_of("replan_saves")
    near = [item.members[0] for item in before if item.members[0] in new.placed][:NEAR]
    turned = sum(new.placed[a].start > new.placed[b].start for n, a in enumerate(near) for b in near[n + 1 :])
    return Changes(len(load), len(day), turned, moved)


@dataclass(frozen=True)
class Replanned:
    """What to do after a disturbance.

    Parameters
    ----------
    kept : DayPlan
        The same order, moved along.
    kept_changes : Changes
        What that moves.
    offered : DayPlan or None
        A better order, when it is worth the trouble.
    offered_changes : Changes or None
        What that moves.
    why : str
        Why the other is offered, or not.
    """

    kept: DayPlan
    kept_changes: Changes
    offered: DayPlan | None
    offered_changes: Changes | None
    why: str


def replan(frozen: Frozen, tries: int = 100, windows: int = 0, progress: Progress = go_on) -> Replanned:
    """Keep the order; look for a better one and offer it only when it keeps a date or saves enough.

    Parameters
    ----------
    frozen : Frozen
        What is left, and in which order.
    tries : int
        Simulated days in the search for another order.
    windows : int
        Stretches worked over by the exact model, nearest first; it needs its own process.
    progress : callable
        Told now and then; stops by answering False.

    Raises
    ------
    OutOfReach
        When the calendar ends before the work does.
    """
    problem = frozen.problem
    try:
        kept = left_shift(problem, frozen.order)
    except OutOfReach:  # orders between pieces can make the loads of an old plan impossible
        kept = Search(problem).run(tries, progress)
    best, moves = kept, MOVES_A_TRY * max(tries, windows)
    if windows:
        best = _near_windows(kept, windows, progress)
    best = join_loads(best, moves, progress)
    if tries:
        try:
            other = Search(problem).run(tries, progress)
        except OutOfReach:
            other = kept
        found = left_shift(problem, other.items)
        other = join_loads(min((other, found), key=lambda plan: plan.score), moves, progress)
        if _worth(best, other) or (other.score < best.score and not _worth(kept, best)):
            best = other
    moved = changes(frozen.order, kept)
    if best is kept or not _worth(kept, best):
        return Replanned(kept, moved, None, None, "no other order keeps a date more or saves enough to be worth it")
    other_moves = changes(frozen.order, best)
    return Replanned(kept, moved, best, other_moves, f"{_gain(kept, best)}: {other_moves.words()}")


def _near_windows(plan: DayPlan, windows: int, progress: Progress) -> DayPlan:
    """Work over stretches from now on, each half over the one before; stay near the order that was."""
    from enamelwright.planning.day.window_search import PER_WINDOW, WIDTH, improve_window

    for number in range(windows):
        if not progress(number / windows, f"{number} stretches of the day worked over"):
            break
        begin = number * WIDTH // 2
        if begin >= len(plan.items):
            break
        plan = improve_window(plan, begin, WIDTH, PER_WINDOW, stay=True)
    return plan


def _saved(kept: DayPlan, other: DayPlan) -> int:
    """Working ticks the other order saves."""
    return kept.working_ticks() - other.working_ticks()


def _worth(kept: DayPlan, other: DayPlan) -> bool:
    """Whether another order keeps a date, or saves enough of what is left or, with fewer loads, at the kiln."""
    if (other.score.broken, len(other.late_pieces)) < (kept.score.broken, len(kept.late_pieces)):
        return True
    if other.score.broken > kept.score.broken or other.score.late > kept.score.late:
        return False
    left = kept.working_ticks() - kept.problem.calendar.worked_by(kept.problem.now)
    enough = max(min(ticks_of("replan_saves"), rate("replan_share").value * left), 1)
    if other.score.late < kept.score.late or _saved(kept, other) >= enough:
        return True
    fewer = len(other.loads) < len(kept.loads) and other.score <= kept.score
    return fewer and _less_at_the_kiln(kept, other) >= enough


def _less_at_the_kiln(kept: DayPlan, other: DayPlan) -> int:
    """Person-ticks at the kiln the other order saves."""
    return kept.score.attended - other.score.attended


def _gain(kept: DayPlan, other: DayPlan) -> str:
    if len(other.late_pieces) < len(kept.late_pieces):
        return f"{_pieces(len(kept.late_pieces) - len(other.late_pieces))} fewer late"
    if other.score.late < kept.score.late:
        return "less late"
    fewer = len(kept.loads) - len(other.loads)
    if not _saved(kept, other) and fewer > 0:
        loads = f"{fewer} load" if fewer == 1 else f"{fewer} loads"
        return f"{loads} fewer, {_less_at_the_kiln(kept, other) * TICK // 60} min less at the kiln"
    return f"{_saved(kept, other) * TICK // 60} min earlier"
