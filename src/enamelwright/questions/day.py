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
from enamelwright.errors import InputError, OutOfReach
from enamelwright.planning.day.bound import bound
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.dates import WEEKDAYS, Dates, read_class, read_date, read_hours
from enamelwright.planning.day.join_loads import join_loads, moves_for
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policy_search import LATE_ALIKE, Progress, Search, go_on, sticky
from enamelwright.planning.day.problem import Person, Problem, Station
from enamelwright.planning.day.rates import DAY, TICK, ticks, ticks_of
from enamelwright.planning.day.refill import refill
from enamelwright.planning.day.replan import Frozen, replan
from enamelwright.planning.day.routes import pace_of
from enamelwright.planning.day.studio import Chore, KilnOfDay, Studio, Wanted, studio
from enamelwright.questions.answer import Answer
from enamelwright.questions.day_forms import (
    DayAnswer,
    DayInput,
)
from enamelwright.questions.day_told import Told, because_of, chance_of, key, payload_of, seconds_of
from enamelwright.questions.question import Question, engine

#: Days of a calendar: more than any plan of a thousand pieces needs.
DAYS = 400
#: Draws behind the bands of a plan that is made only for its steps.
FEW_DRAWS = 16
#: Most pieces of one plan; above this lots are planned one after the other.
MOST_PIECES = 600
#: Classes that are planned for; after those a student may come whenever the workshop is open.
LESSONS = 60
#: Seconds of a minute.
MINUTE = 60
#: For so many days tried out one load is taken apart.
REFILLS = 4


@lru_cache(maxsize=64)
def _planned(text: str, bench: Bench) -> tuple[Plan, Layup]:
    piece = Piece.model_validate_json(text)
    return make_plan(piece, bench, draws=FEW_DRAWS), lay_up(piece, bench)


def planned(piece: Piece, bench: Bench) -> tuple[Plan, Layup]:
    """Plan one design for its steps; the same design is asked for again and again.

    Parameters
    ----------
    piece : Piece
        As described; how many copies are wanted does not matter.
    bench : Bench
        Jars and kilns.
    """
    return _planned(piece.model_copy(update={"copies": 1}).model_dump_json(), bench)


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
    told = Told(dates, place, problem)
    if not any(True for _ in problem.refs()):
        words = f"Nothing can be planned: {left_out[0][0]}: {left_out[0][1]}" if left_out else _DONE
        return _reply(asked, bench, told, _empty(left_out, words), ())
    going = sticky(progress)
    try:
        least = bound(problem)
        plan, search, offer, offered = _plan(asked, told, going)
    except OutOfReach as error:
        raise OutOfReach(
            f"this work does not end within {DAYS} days.",
            "Look at who is away and until when, when the kiln is free, what may not begin before, and the hours.",
        ) from error
    payload = payload_of(told, plan, search, least, left_out, helps=asked.tries > 0)
    sure = chance_of(told, plan, asked, lambda share, words: going(0.99, words))
    extra = {"offer": offer, "offered": told.blocks(offered) if offered is not None else (), "chance": sure}
    because = because_of(told, plan, search, least, asked.windows)
    return _reply(asked, bench, told, payload.model_copy(update=extra), because)


def _studio(asked: DayInput, bench: Bench, dates: Dates) -> Studio:
    """Read dates, hours and kilns, plan every design, and state the problem."""
    count = sum(one.piece.copies for one in asked.pieces)
    if count > MOST_PIECES:
        raise InputError(f"{count} pieces are more than one plan can hold.", f"Plan at most {MOST_PIECES}.", "pieces")
    hours = sorted(read_hours(text) for text in asked.hours)
    off = frozenset(dates.day(text) for text in asked.days_off)
    rest = dates.resting(frozenset(asked.rest), off, DAYS)
    if len(rest) == DAYS:
        raise InputError("every day is a day of rest.", f"Leave one of {', '.join(WEEKDAYS)} out of rest.", "rest")
    calendar = Calendar.daily(hours, DAYS, ticks_of("longest_gap"), DAY, rest)
    end = hours[-1][1]
    now = max(dates.clock(asked.now, 0), 0) if asked.now else 0
    lessons = _lessons(asked, dates, hours, rest, now)
    wanted = []
    for number, one in enumerate(asked.pieces, 1):
        where = f"pieces[{number}]"
        try:
            plan, layup = planned(one.piece, bench)
            due = dates.clock(one.due, end) if one.due else None
            release = dates.clock(one.not_before, 0) if one.not_before else 0
        except InputError as error:
            raise error.at(where) from error
        if one.owner and lessons:
            release = max(release, lessons[0][0])
        wanted.append(
            Wanted(
                plan, layup, one.label or one.piece.name, one.piece.copies, max(release, 0), due, one.weight, one.done,
                one.owner, one.after, one.names, pace_of(plan, one.hand),
            )
        )  # fmt: skip
    chores = [
        Chore(
            each.label,
            ticks(each.hand),
            max(dates.clock(each.not_before, 0), 0) if each.not_before else 0,
            dates.clock(each.due, end) if each.due else None,
            ticks(each.drying),
            each.after,
        )
        for each in asked.chores
    ]
    people = [Person(each.name, away=tuple(_away(text, dates) for text in each.away)) for each in asked.people]
    stations = (Station("place to lay powder", asked.laying_places),) if asked.laying_places else ()
    place = studio(wanted, calendar, people, _kilns(asked, bench), stations, now, chores, _between(lessons))
    place = replace(place, problem=_kilns_busy(place.problem, asked, dates))
    return replace(place, problem=_pinned(place.problem, asked, dates)) if asked.pins else place


def _lessons(
    asked: DayInput, dates: Dates, hours: list[tuple[int, int]], rest: frozenset[int], now: int
) -> list[tuple[int, int]]:
    """Return the classes that are not over, on the clock; none where no class is told or nobody is a student."""
    if not asked.class_hours or not any(one.owner for one in asked.pieces):
        return []
    begin, end = read_class(asked.class_hours, hours)
    on = [day for day in range(DAYS) if day not in rest and (not asked.class_days or dates.weekday(day) in
          asked.class_days)]  # fmt: skip
    found = [(day * DAY + begin, day * DAY + end) for day in on if day * DAY + end > now]
    if not found:
        raise InputError("no day of the class is a day of work.", "Take one of its days out of rest.", "class_days")
    return found[:LESSONS]


def _between(lessons: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the time between classes."""
    ends = [0, *(end for _, end in lessons)]
    return [(gone, back) for gone, (back, _) in zip(ends, lessons, strict=False) if back > gone]


def _kilns_busy(problem: Problem, asked: DayInput, dates: Dates) -> Problem:
    """Keep a kiln that holds a load from taking another before it comes out."""
    until = [dates.clock(each.not_before, 0) if each.not_before else 0 for each in asked.kilns]
    if not any(until):
        return problem
    kilns = tuple(replace(kiln, free=max(free, 0)) for kiln, free in zip(problem.kilns, until, strict=True))
    return replace(problem, kilns=kilns)


def _pinned(problem: Problem, asked: DayInput, dates: Dates) -> Problem:
    """Keep pinned steps from starting early."""
    pins = {pin.member: dates.clock(pin.not_before, 0) for pin in asked.pins}
    pieces = []
    for piece in problem.pieces:
        steps = tuple(
            replace(step, earliest=max(pins.pop(key(piece, place), 0), 0)) for place, step in enumerate(piece.steps)
        )
        pieces.append(replace(piece, steps=steps))
    if pins:
        raise InputError(f"no step is called '{next(iter(pins))[:60]}'.", "Name it as the plan does.", "pins")
    return replace(problem, pieces=tuple(pieces))


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


def _plan(asked: DayInput, told: Told, progress: Progress) -> tuple[DayPlan, Search, str, DayPlan | None]:
    """Search for a plan, or keep the order of an earlier one."""
    problem = told.problem
    share = 0.3 if asked.windows else 1.0
    search = Search(problem)
    search.start()
    if asked.kept:
        found = replan(Frozen(problem, (), told.order(asked.kept)), asked.tries, asked.windows, progress)
        return found.kept, search, found.why if found.offered else "", found.offered
    plan = search.run(asked.tries, lambda part, words: progress(part * share, words))
    moves = moves_for(problem, asked.tries)
    plan = refill(plan, asked.tries // REFILLS, lambda part, words: progress(share, words))
    plan = join_loads(plan, moves, lambda part, words: progress(share, words), LATE_ALIKE)
    if asked.windows:
        from enamelwright.planning.day.window_search import improve

        plan = improve(plan, asked.windows, progress=lambda part, words: progress(share + part * (1 - share), words))
        plan = join_loads(plan, max(moves, asked.windows), lambda part, words: progress(1.0, words), LATE_ALIKE)
    return plan, search, "", None


_DONE = "Nothing is left to do."


def _empty(left_out: tuple[tuple[str, str], ...], words: str = _DONE) -> DayAnswer:
    return DayAnswer(
        words=words, next_loads=(), blocks=(), finish="", work=None, least_work=None, above_least=None, loads=0,
        least_loads=0, late=(), promises=(), compared=(), left_out=left_out,
    )  # fmt: skip


def _nobody(asked: DayInput, bench: Bench, dates: Dates, place: Studio) -> Answer[DayAnswer]:
    """Nobody works: say what there would be to do."""
    from enamelwright.planning.day.bound import person_ticks

    needed, loads = person_ticks(place.problem, list(place.problem.refs()))
    payload = _empty((), "There is nobody to do the work: name at least one person.")
    payload = payload.model_copy(update={"least_work": seconds_of(float(needed * TICK)), "least_loads": sum(loads)})
    return _reply(asked, bench, Told(dates, place, place.problem), payload, ())


def _reply(
    asked: DayInput, bench: Bench, told: Told, payload: DayAnswer, because: tuple[str, ...]
) -> Answer[DayAnswer]:
    assumptions = ["times of the hand are the likely ones of ordinary practice, or of the piece file"]
    if not asked.kilns and not bench.kilns:
        assumptions.append("a kiln of usual size, 47 min from cold; tell your own")
    if any(kiln.recovery is None for kiln in asked.kilns) or not asked.kilns:
        assumptions.append("2 min from load to load, 10 min to go 100 K higher, 20 min to fall by as much")
    assumptions.append("a load of several kinds is filled by shares of the rack; lay it out before you promise it")
    assumptions += _by_the_record(asked, told.place)
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


def _by_the_record(asked: DayInput, place: Studio) -> list[str]:
    """Say which designs take the hand time of the record, and what was planned for them."""
    found = []
    for one, wanted in zip(asked.pieces, place.wanted, strict=False):
        if one.hand and wanted.plan.hand_time is not None:
            own, planned = (f"{each / MINUTE:.0f}" for each in (one.hand, wanted.plan.hand_time.value))
            if own != planned:
                found.append(f"{wanted.label}: {own} min of hand time by your record, not {planned}")
    return list(dict.fromkeys(found))


QUESTION = Question(
    name="day",
    words="What goes in next, and when?",
    input=DayInput,
    output=DayAnswer,
    answer=answer,
    long=True,
    apart=lambda asked: asked.windows > 0,
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
