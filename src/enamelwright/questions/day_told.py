"""A plan of the day in words and dates: from numbers of the problem back to names, hours and pieces."""

from __future__ import annotations

from dataclasses import replace

from enamelwright.figure import Figure, Origin
from enamelwright.planning.day.bound import Bound, promises, too_soon
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.chance import chance, spreads, yields
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.dates import Dates
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, Search
from enamelwright.planning.day.problem import Person, Piece, Problem, Ref
from enamelwright.planning.day.rates import DAY, TICK, rate
from enamelwright.planning.day.replan import insert
from enamelwright.planning.day.studio import Studio
from enamelwright.questions.day_forms import (
    DayAnswer,
    DayBlock,
    DayChance,
    DayInput,
    DayLate,
    DayPromise,
    DayRule,
    KeptBlock,
)

#: Loads shown as next.
NEXT = 2


def seconds_of(seconds: float) -> Figure:
    """Return a time of the plan as a figure [s]."""
    origin = Origin(kind="computed", source="played through step by step", status="times of the hand are likely ones")
    return Figure.exact(seconds, "time", origin)


def key(piece: Piece, place: int) -> str:
    """Name one step of one piece, as blocks, kept orders and pins do."""
    return f"{piece.name} / {place + 1}"


class Told:
    """Turns numbers of the problem back into names and dates."""

    def __init__(self, dates: Dates, place: Studio, problem: Problem) -> None:
        self.dates, self.place, self.problem = dates, place, problem

    def key(self, ref: Ref) -> str:
        """Name one step of one piece."""
        return key(self.problem.pieces[ref[0]], ref[1])

    def blocks(self, plan: DayPlan) -> tuple[DayBlock, ...]:
        """Return the plan in words."""
        return tuple(
            self._block(item, block.start, block.end) for item, block in zip(plan.items, plan.on_clock(), strict=True)
        )

    def _block(self, item: Item, start: int, end: int) -> DayBlock:
        problem = self.problem
        step = problem.step(item.members[0])
        return DayBlock(
            start=self.dates.text(start),
            end=self.dates.text(end),
            who=tuple(dict.fromkeys(problem.people[n].name for n in item.people)),
            work=step.words,
            pieces=tuple(problem.pieces[number].name for number, _ in item.members),
            members=tuple(self.key(ref) for ref in item.members),
            kiln=problem.kilns[item.kiln].name if item.kiln >= 0 else "",
            heat=problem.families[item.family].name if item.family >= 0 else "",
            washing=seconds_of(float(item.washing * TICK)) if item.washing else None,
        )

    def order(self, kept: tuple[KeptBlock, ...]) -> tuple[Item, ...]:
        """Return the order of an earlier plan, less what is done, with what is new put in."""
        problem = self.problem
        left = {self.key(ref): ref for ref in problem.refs()}
        kilns = {kiln.name: number for number, kiln in enumerate(problem.kilns)}
        items, seen = [], set[Ref]()
        for block in sorted(kept, key=lambda one: one.start):
            members = tuple(left[name] for name in block.members if name in left and left[name] not in seen)
            if not members:
                continue
            step = problem.step(members[0])
            members = self._together(members, kilns.get(block.kiln, 0))
            seen.update(members)
            start = problem.calendar.to_axis(max(self.dates.clock(block.start, 0), 0))
            kiln = kilns.get(block.kiln, 0) if step.fires else -1
            if members:
                items.append(Item(start, step.length, members, (), kiln, step.family))
        missing = sorted({ref[0] for ref in left.values() if ref not in seen})
        order = tuple(
            Item(i.start, i.length, tuple(r for r in i.members if r[0] not in missing), (), i.kiln, i.family)
            for i in items
            if any(r[0] not in missing for r in i.members)
        )
        for piece in missing:
            order = insert(problem, order, piece)
        return order

    def _together(self, members: tuple[Ref, ...], kiln: int) -> tuple[Ref, ...]:
        """Return those of a kept block that can be one block still: one step, or a load that fits."""
        problem = self.problem
        family, told = problem.step(members[0]).family, problem.kilns[kiln]
        if family < 0:
            return members[:1]
        kept, room, pieces = [], told.rack, set[int]()
        for ref in members if told.fires(family) else ():
            step = problem.step(ref)
            if step.family == family and told.sizes[step.shape] <= room and ref[0] not in pieces:
                kept.append(ref)
                pieces.add(ref[0])
                room -= told.sizes[step.shape]
        return tuple(kept)


def payload_of(
    told: Told, plan: DayPlan, search: Search, least: Bound, left_out: tuple[tuple[str, str], ...], helps: bool = True
) -> DayAnswer:
    """Return the whole answer: the plan, how good it is, and what stands beside it.

    Parameters
    ----------
    told : Told
        Names and dates.
    plan : DayPlan
        The plan.
    search : Search
        With the rules of thumb beside it.
    least : Bound
        What no plan is shorter than.
    left_out : tuple of (str, str)
        What cannot be planned, and why.
    helps : bool
        Whether what would help against lateness is tried out, which takes as long as all rules of thumb, twice.
    """
    problem, calendar, dates = told.problem, told.problem.calendar, told.dates
    blocks = told.blocks(plan)
    hopeless = {number for number, _ in too_soon(problem)}
    begun = calendar.worked_by(problem.now)
    work, fewest = plan.working_ticks() - begun, calendar.worked_by(calendar.to_clock(least.finish)) - begun
    ratio = Origin(kind="computed", source="work content, kiln and longest route", status="no plan is shorter than it")
    return DayAnswer(
        words=_words(told, plan),
        next_loads=tuple(block for block in blocks if block.kiln)[:NEXT],
        blocks=blocks,
        finish=dates.text(calendar.to_clock(plan.finish)),
        work=seconds_of(float(work * TICK)),
        least_work=seconds_of(float(fewest * TICK)),
        above_least=Figure.exact(max(work / fewest - 1, 0.0) if fewest > 0 else 0.0, "ratio", ratio),
        loads=len(plan.loads),
        least_loads=sum(least.loads),
        late=tuple(
            DayLate(
                piece=problem.pieces[number].name,
                due=dates.text(problem.pieces[number].due or 0),
                by=seconds_of(float(over * TICK)),
                whatever_is_done=number in hopeless,
            )
            for number, over in plan.late_pieces
        ),
        promises=_promises(told),
        compared=tuple(
            DayRule(
                name=name,
                work=seconds_of(float((each.working_ticks() - begun) * TICK)),
                finish=dates.text(calendar.to_clock(each.finish)),
                loads=len(each.loads),
                late=len(each.late_pieces),
                too_long=each.score.broken,
            )
            for name, each in search.baselines
        ),
        left_out=left_out,
        too_long=_too_long(told, plan),
        would_help=_would_help(problem, plan) if helps else (),
    )


def _promises(told: Told) -> tuple[DayPromise, ...]:
    return tuple(
        DayPromise(
            due=told.dates.text(each.due),
            pieces=each.pieces,
            needed=seconds_of(float(each.needed * TICK)),
            offered=seconds_of(float(each.offered * TICK)),
            missing=seconds_of(float(each.missing * TICK)) if each.missing else None,
        )
        for each in promises(told.problem)
    )


#: Pieces named that miss their date most often, and from how often on.
FIRST, OFTEN = 3, 0.1


def chance_of(told: Told, plan: DayPlan, asked: DayInput, progress: Progress) -> DayChance | None:
    """Say how sure the dates are, with what is assumed."""
    good = yields(min(asked.good, asked.fired), asked.fired)
    found = chance(plan, spreads(*good), asked.draws, progress)
    if found is None:
        return None
    pace, step = rate("pace_spread"), rate("step_spread")
    source = f"{found.draws} days played through, and as many at either end of what is assumed"
    origin = Origin(kind="computed", source=source, status="as good as its assumptions")
    record = f"{min(asked.good, asked.fired)} of {asked.fired} on record" if asked.fired else "no record yet"
    named = [told.problem.pieces[piece].name for piece, share in found.first[:FIRST] if share >= OFTEN]
    low, usual, high = (round(10 * share) for share in (found.low, found.kept, found.high))
    band = f"{usual} ({low} to {high})" if low < high else str(usual)
    return DayChance(
        kept=Figure(value=found.kept, low=min(found.low, found.kept), high=max(found.high, found.kept),
                    dimension="ratio", origin=origin),
        words=f"All dates are kept in about {band} of 10 such days, as hands and luck go",
        first=tuple(named),
        assumptions=(
            f"{good[0]:.0%} of pieces come out good ({good[1]:.0%} to {good[2]:.0%}; {record}); one that fails is "
            "found at a firing and begun again at once, as often as it takes; pieces fail one by one, so a load lost "
            "as a whole is not counted",
            f"the pace of a day varies by {pace.value:.0%} ({pace.low or 0:.0%} to {pace.high or 0:.0%}), one piece of "
            f"work by {step.value:.0%} ({step.low or 0:.0%} to {step.high or 0:.0%}); firings, waits and hands are as "
            "planned and the order is kept; in brackets stands the range from the worst of all this to the best",
        ),
    )  # fmt: skip


def _words(told: Told, plan: DayPlan) -> str:
    """Say in one line what goes in next, and when; that dates are kept is said of a plan that was looked over."""
    dates, calendar = told.dates, told.problem.calendar
    late = len(plan.late_pieces)
    kept = "every date is kept" if not late else f"{late} late"
    if not late and any(fault.kind != "longest wait" for fault in check(told.problem, plan.on_clock())):
        kept = "no date is sure to be kept"
    if not any(piece.due is not None for piece in told.problem.pieces):
        kept = "no date was given"
    if plan.score.broken:
        kept += f"; {_coats(plan.score.broken)} longer than moist powder keeps"
    if plan.loads:
        load = plan.loads[0]
        pieces = f"{len(load.members)} piece{'s' if len(load.members) > 1 else ''}"
        heat = told.problem.families[load.family].name
        return f"Next in: {pieces} at {dates.text(calendar.to_clock(load.start)).replace('T', ' ')}, {heat}; {kept}."
    return f"Nothing more to fire; {kept}."


def _coats(count: int) -> str:
    return f"{count} wet coat{' lies' if count == 1 else 's lie'}"


def _long(count: int) -> str:
    """Write ticks as a person does."""
    minutes = count * TICK // 60
    return f"{minutes} min" if minutes < 120 else f"{minutes / 60:.0f} h"


def _too_long(told: Told, plan: DayPlan) -> str:
    """Name the coats that lie longer than they keep, the longest first, and by how much; empty when all keep."""
    problem = told.problem
    if not plan.score.broken:
        return ""
    found = []
    for (number, place), item in plan.placed.items():
        longest, following = problem.step((number, place)).longest, plan.placed.get((number, place + 1))
        if longest is not None and following is not None:
            clock = problem.calendar.to_clock
            found.append((clock(following.start + following.washing) - clock(item.end) - longest, number))
    over = sorted(((-ticks, number) for ticks, number in found if ticks > 0))
    named = "; ".join(f"{problem.pieces[n].name} by {_long(-ticks)}" for ticks, n in over[:FIRST])
    more = f"; and {len(over) - FIRST} more" if len(over) > FIRST else ""
    return f"{_coats(len(over))} longer than moist powder keeps: {named}{more}; keep it moist, or lay it later"


def _would_help(problem: Problem, plan: DayPlan) -> tuple[str, ...]:
    """Try what would help when something is late: one more pair of hands, one more hour a day."""
    late = len(plan.late_pieces)
    if not late or any(step.skill for piece in problem.pieces for step in piece.steps):
        return ()
    found = []
    hours = 3600 // TICK
    windows = tuple(
        (a, b + hours) if n + 1 == len(problem.calendar.days) or problem.calendar.days[n + 1] != day else (a, b)
        for n, ((a, b), day) in enumerate(zip(problem.calendar.windows, problem.calendar.days, strict=True))
    )
    changed = {
        "one more pair of hands": replace(problem, people=(*problem.people, Person("another"))),
        "one more hour at the end of each day": replace(problem, calendar=Calendar(windows, problem.calendar.cut, DAY)),
    }
    for words, update in changed.items():
        search = Search(update)
        search.start()
        assert search.best is not None
        left = len(search.best.late_pieces)
        if left < late:
            found.append(f"With {words}: {f'{left} late' if left else 'every date is kept'}.")
    return tuple(found)


def because_of(told: Told, plan: DayPlan, search: Search, least: Bound, windows: int = 0) -> tuple[str, ...]:
    """Return what limits the plan, what batching gains, and how it was found."""
    ways = {"work": "the hours of work there are", "kiln": "the kiln", "chain": "the longest route of one piece",
            "tail": "work that must come before a night of settling"}  # fmt: skip
    lines = [f"what limits the plan: {ways[least.binding]}"]
    single = next((each for name, each in search.baselines if name == "piece by piece"), None)
    if single is not None and plan.working_ticks() > 0:
        lines.append(
            f"one piece after the other would take {single.working_ticks() / plan.working_ticks():.1f} times the hours"
        )
    lines.append(f"{search.tried + len(search.baselines)} ways to order the work were tried out")
    if windows:
        lines.append(f"up to {windows} stretches of it were worked over by the exact model")
    faults = [fault for fault in check(told.problem, plan.on_clock()) if fault.kind != "longest wait"]
    nothing = "nothing else" if plan.score.broken else "nothing"
    lines.append(
        f"a second reckoning, on the clock, finds {nothing} wrong with it" if not faults
        else f"a second reckoning, on the clock, complains: {faults[0].words}"
    )  # fmt: skip
    washed = sum(item.washing for item in plan.items)
    if washed:
        lines.append(f"{washed * TICK // 60} min of cleaning sieves, brushes and the place between colours is planned")
    return tuple(lines)
