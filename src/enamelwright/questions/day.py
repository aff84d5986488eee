"""What goes in next, and when? Many pieces, few hands, one kiln or several, and dates to keep."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.planning.day.bound import Bound, bound, promises, too_soon
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.dates import WEEKDAYS, Dates, read_date, read_hours
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, Search, go_on, sticky
from enamelwright.planning.day.problem import Person, Problem, Ref, Station
from enamelwright.planning.day.rates import DAY, TICK, ticks, ticks_of
from enamelwright.planning.day.refill import refill
from enamelwright.planning.day.replan import Frozen, insert, replan
from enamelwright.planning.day.studio import KilnOfDay, Studio, Wanted, studio
from enamelwright.questions.answer import Answer
from enamelwright.questions.day_forms import (
    DayAnswer,
    DayBlock,
    DayInput,
    DayLate,
    DayPromise,
    DayRule,
    KeptBlock,
)
from enamelwright.questions.question import Question, engine

#: Days of a calendar: more than any plan of a thousand pieces needs.
DAYS = 400
#: Draws behind the bands of a plan that is made only for its steps.
FEW_DRAWS = 16
#: For so many days tried out one load is taken apart.
REFILLS = 4
#: Loads shown as next.
NEXT = 2


@lru_cache(maxsize=64)
def _planned(text: str, bench: Bench) -> tuple[Plan, Layup]:
    """Plan one design; the same design is asked for again and again."""
    piece = Piece.model_validate_json(text)
    return make_plan(piece, bench, draws=FEW_DRAWS), lay_up(piece, bench)


def answer(asked: DayInput, bench: Bench, progress: Progress = go_on) -> Answer[DayAnswer]:
    """Plan the day.

    Parameters
    ----------
    asked : DayInput
        Pieces, people, hours.
    bench : Bench
        Jars and kilns.
    progress : callable
        Told (share, words) now and then; stops the search by answering False.

    Raises
    ------
    InputError
        One sentence, when nothing can be planned.
    """
    dates = Dates(read_date(asked.first_day))
    place = _studio(asked, bench, dates)
    if not place.problem.people:
        return _nobody(asked, bench, dates, place)
    problem, left_out = place.problem.without_the_impossible()
    told = _Told(dates, place, problem)
    if not any(True for _ in problem.refs()):
        return _reply(asked, bench, told, _empty(left_out), ())
    least = bound(problem)
    plan, search, offer, offered = _plan(asked, told, sticky(progress))
    payload = _payload(told, plan, search, least, left_out)
    extra = {"offer": offer, "offered": told.blocks(offered) if offered is not None else ()}
    return _reply(asked, bench, told, payload.model_copy(update=extra), _because(told, plan, search, least))


def _studio(asked: DayInput, bench: Bench, dates: Dates) -> Studio:
    """Read dates, hours and kilns, plan every design, and state the problem."""
    hours = sorted(read_hours(text) for text in asked.hours)
    off = frozenset(dates.day(text) for text in asked.days_off)
    rest = dates.resting(frozenset(asked.rest), off, DAYS)
    if len(rest) == DAYS:
        raise InputError("every day is a day of rest.", f"Leave one of {', '.join(WEEKDAYS)} out of rest.", "rest")
    calendar = Calendar.daily(hours, DAYS, ticks_of("longest_gap"), DAY, rest)
    end = hours[-1][1]
    wanted = []
    for number, one in enumerate(asked.pieces, 1):
        where = f"pieces[{number}]"
        try:
            plan, layup = _planned(one.piece.model_dump_json(), bench)
            due = dates.clock(one.due, end) if one.due else None
            release = dates.clock(one.not_before, 0) if one.not_before else 0
        except InputError as error:
            raise error.at(where) from error
        label = one.label or one.piece.name
        wanted.append(
            Wanted(plan, layup, label, one.piece.copies, max(release, 0), due, one.weight, one.done, one.owner)
        )
    people = [Person(each.name, away=tuple(_away(text, dates) for text in each.away)) for each in asked.people]
    now = max(dates.clock(asked.now, 0), 0) if asked.now else 0
    stations = (Station("place to lay powder", asked.laying_places),) if asked.laying_places else ()
    return studio(wanted, calendar, people, _kilns(asked, bench), stations, now)


def _away(text: str, dates: Dates) -> tuple[int, int]:
    parts = text.split(" to ")
    if len(parts) != 2:
        raise InputError(f"'{text[:40]}' is no absence.", "Write it as 2026-03-02 09:00 to 2026-03-02 11:00.", "away")
    begin, end = dates.clock(parts[0], 0), dates.clock(parts[1], DAY)
    if end <= begin:
        raise InputError(f"'{text[:40]}' ends before it begins.", where="away")
    return begin, end


def _kilns(asked: DayInput, bench: Bench) -> list[KilnOfDay]:
    """Return the kilns told, those of the bench, or a usual one."""
    if not asked.kilns:
        told = [kiln for kiln in bench.kilns if kiln.kind != "torch"] or [Kiln(name="kiln")]
        return [KilnOfDay(kiln) for kiln in told[:1]]
    found = []
    for each in asked.kilns:
        kiln = each.kiln or (bench.kiln(each.name) if bench.kilns else None) or Kiln(name=each.name or "kiln")
        kiln.must_hold_work()
        found.append(
            KilnOfDay(
                kiln,
                None if each.recovery is None else ticks(each.recovery),
                None if each.cold is None else ticks(each.cold),
            )
        )
    return found


def _plan(asked: DayInput, told: _Told, progress: Progress) -> tuple[DayPlan, Search, str, DayPlan | None]:
    """Search for a plan, or keep the order of an earlier one."""
    problem = told.problem
    share = 0.3 if asked.windows else 1.0
    search = Search(problem)
    search.start()
    if asked.kept:
        found = replan(Frozen(problem, (), told.order(asked.kept)), asked.tries, asked.windows, progress)
        return found.kept, search, found.why if found.offered else "", found.offered
    plan = search.run(asked.tries, lambda part, words: progress(part * share, words))
    plan = refill(plan, asked.tries // REFILLS, lambda part, words: progress(share, words))
    if asked.windows:
        from enamelwright.planning.day.window_search import improve

        plan = improve(plan, asked.windows, progress=lambda part, words: progress(share + part * (1 - share), words))
    return plan, search, "", None


def _figure(seconds: float) -> Figure:
    origin = Origin(kind="computed", source="played through step by step", status="times of the hand are likely ones")
    return Figure.exact(seconds, "time", origin)


class _Told:
    """Turns numbers of the problem back into names and dates."""

    def __init__(self, dates: Dates, place: Studio, problem: Problem) -> None:
        self.dates, self.place, self.problem = dates, place, problem

    def key(self, ref: Ref) -> str:
        """Name one step of one piece."""
        return f"{self.problem.pieces[ref[0]].name} / {ref[1] + 1}"

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
            washing=_figure(float(item.washing * TICK)) if item.washing else None,
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
            seen.update(members)
            step = problem.step(members[0])
            start = problem.calendar.to_axis(max(self.dates.clock(block.start, 0), 0))
            kiln = kilns.get(block.kiln, 0) if step.fires else -1
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


def _payload(
    told: _Told, plan: DayPlan, search: Search, least: Bound, left_out: tuple[tuple[str, str], ...]
) -> DayAnswer:
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
        work=_figure(float(work * TICK)),
        least_work=_figure(float(fewest * TICK)),
        above_least=Figure.exact(max(work / fewest - 1, 0.0) if fewest > 0 else 0.0, "ratio", ratio),
        loads=len(plan.loads),
        least_loads=sum(least.loads),
        late=tuple(
            DayLate(
                piece=problem.pieces[number].name,
                due=dates.text(problem.pieces[number].due or 0),
                by=_figure(float(over * TICK)),
                whatever_is_done=number in hopeless,
            )
            for number, over in plan.late_pieces
        ),
        promises=_promises(told),
        compared=tuple(
            DayRule(
                name=name,
                work=_figure(float((each.working_ticks() - begun) * TICK)),
                finish=dates.text(calendar.to_clock(each.finish)),
                loads=len(each.loads),
                late=len(each.late_pieces),
            )
            for name, each in search.baselines
        ),
        left_out=left_out,
        would_help=_would_help(problem, plan),
    )


def _promises(told: _Told) -> tuple[DayPromise, ...]:
    return tuple(
        DayPromise(
            due=told.dates.text(each.due),
            pieces=each.pieces,
            needed=_figure(float(each.needed * TICK)),
            offered=_figure(float(each.offered * TICK)),
            missing=_figure(float(each.missing * TICK)) if each.missing else None,
        )
        for each in promises(told.problem)
    )


def _words(told: _Told, plan: DayPlan) -> str:
    """Say in one line what goes in next, and when."""
    dates, calendar = told.dates, told.problem.calendar
    late = len(plan.late_pieces)
    kept = "every date is kept" if not late else f"{late} late"
    if not any(piece.due is not None for piece in told.problem.pieces):
        kept = "no date was given"
    if plan.loads:
        load = plan.loads[0]
        pieces = f"{len(load.members)} piece{'s' if len(load.members) > 1 else ''}"
        heat = told.problem.families[load.family].name
        return f"Next in: {pieces} at {dates.text(calendar.to_clock(load.start)).replace('T', ' ')}, {heat}; {kept}."
    return f"Nothing more to fire; {kept}."


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


def _because(told: _Told, plan: DayPlan, search: Search, least: Bound) -> tuple[str, ...]:
    ways = {"work": "the hours of work there are", "kiln": "the kiln", "chain": "the longest route of one piece",
            "tail": "work that must come before a night of settling"}  # fmt: skip
    lines = [f"what limits the plan: {ways[least.binding]}"]
    single = next((each for name, each in search.baselines if name == "piece by piece"), None)
    if single is not None and plan.working_ticks() > 0:
        lines.append(
            f"one piece after the other would take {single.working_ticks() / plan.working_ticks():.1f} times the hours"
        )
    lines.append(f"{search.tried + len(search.baselines)} days were tried out")
    washed = sum(item.washing for item in plan.items)
    if washed:
        lines.append(f"{washed * TICK // 60} min of cleaning sieves, brushes and the place between colours is planned")
    return tuple(lines)


def _empty(left_out: tuple[tuple[str, str], ...], words: str = "Nothing is left to do.") -> DayAnswer:
    return DayAnswer(
        words=words, next_loads=(), blocks=(), finish="", work=None, least_work=None, above_least=None, loads=0,
        least_loads=0, late=(), promises=(), compared=(), left_out=left_out,
    )  # fmt: skip


def _nobody(asked: DayInput, bench: Bench, dates: Dates, place: Studio) -> Answer[DayAnswer]:
    """Nobody works: say what there would be to do."""
    from enamelwright.planning.day.bound import person_ticks

    needed, loads = person_ticks(place.problem, list(place.problem.refs()))
    payload = _empty((), "There is nobody to do the work: name at least one person.")
    payload = payload.model_copy(update={"least_work": _figure(float(needed * TICK)), "least_loads": sum(loads)})
    return _reply(asked, bench, _Told(dates, place, place.problem), payload, ())


def _reply(
    asked: DayInput, bench: Bench, told: _Told, payload: DayAnswer, because: tuple[str, ...]
) -> Answer[DayAnswer]:
    assumptions = ["times of the hand are the likely ones of ordinary practice, or of the piece file"]
    if not asked.kilns and not bench.kilns:
        assumptions.append("a kiln of usual size, 47 min from cold; tell your own")
    if any(kiln.recovery is None for kiln in asked.kilns) or not asked.kilns:
        assumptions.append("2 min from load to load, 10 min to go 100 K higher, 20 min to fall by as much")
    assumptions.append("a load of several kinds is filled by shares of the rack; lay it out before you promise it")
    cautions = tuple(
        dict.fromkeys(
            words for one in told.place.wanted for words in one.plan.cautions if "ead" in words or "admium" in words
        )
    )
    return Answer[DayAnswer](
        question="day",
        payload=payload,
        because=because,
        sources=("trade/planning", "trade/hand_minutes"),
        assumptions=tuple(assumptions),
        cautions=cautions,
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="day",
    words="What goes in next, and when?",
    input=DayInput,
    output=DayAnswer,
    answer=answer,
    long=True,
    example={
        "first_day": "2026-03-02",
        "people": [{"name": "me"}],
        "pieces": [
            {
                "label": "disc",
                "due": "2026-03-04",
                "piece": {
                    "name": "copper disc",
                    "technique": "sift_opaque",
                    "metal": {"kind": "copper", "thickness_mm": 1.0},
                    "outline": {"shape": "circle", "diameter_mm": 25},
                    "coats": [
                        {"face": "back", "jar": "lead_free_opaque_titania_medium", "powder_depth_mm": 0.5},
                        {"face": "front", "jar": "lead_free_opaque_titania_medium", "powder_depth_mm": 0.5},
                    ],
                    "copies": 6,
                },
            }
        ],
    },
)
