"""Every step of the day stands in the plan once: begun or over, or still to do, whatever happened meanwhile."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from random import Random

import pytest

from enamelwright.errors import EnamelwrightError
from enamelwright.questions.question import question
from enamelwright.workshop import day, day_asked, day_habits, day_kept, day_search, day_waits, jobs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING


@pytest.fixture
def begun(studio: Studio, disc: Path) -> Studio:
    """Two discs begun and three more ordered."""
    keep_design(studio, disc)
    order = take_order(studio, "discs", state="agreed", due_on=MORNING.date() + timedelta(days=3))
    add_line(studio, order.id, design="Test disc", count=3)
    start_pieces(studio, 2, "Test disc")
    return studio


def later(studio: Studio, minutes: float) -> Studio:
    return studio.at(MORNING + timedelta(minutes=minutes))


def line_of(studio: Studio) -> int:
    """The order line of the discs that nobody began."""
    return next(one.line for one in day_waits.waits(studio).pieces if not one.number)


def once(studio: Studio, plan: day_kept.KeptPlan) -> None:
    """Nothing twice; what is left of each piece is planned, and follows on what lies behind it."""
    past = [member for block in plan.past for member in block.members]
    coming = [member for block in plan.blocks for member in block.members]
    twice = [member for member, count in Counter([*past, *coming]).items() if count > 1]
    assert not twice, f"listed twice: {twice}"
    now = day.now_of(studio, day_waits.waits(studio), plan)
    left = {f"{one.name} / {n + 1}" for one in now.found.pieces for n in range(one.done, len(one.steps))}
    assert set(coming) == left, "all that is left, and nothing else"


def searched(studio: Studio, tries: int = 2) -> int:
    """A longer search as the worker does it, without the exact model; asked at this moment, and done."""
    row = day_search.look_longer(studio)
    told = {**jobs.job(studio, row).asked["data"], "windows": 0, "tries": tries, "draws": 0}
    result = question("day").ask(told, bench(studio)).to_json()
    jobs.claim(studio)
    jobs._end(studio, row, state="done", fraction=1.0, result=result, words="")
    return row


def test_a_search_that_ends_after_work_has_begun_is_timed_from_then(begun: Studio) -> None:
    plan = day.plan_day(begun)
    row = searched(begun)
    there = later(begun, 40)
    over = [one for one in plan.blocks if day_kept.clock(one.end) <= there.clock()]
    assert over
    taken = day_search.take_job(there, row)
    once(there, taken)
    assert {one.name for one in over} & {one.name for one in taken.past}, "what is over is told as over"
    assert all(day_kept.clock(one.start) >= there.clock() - timedelta(minutes=1) for one in taken.blocks)


def test_a_search_that_is_over_at_once_is_taken_as_it_was_found(begun: Studio) -> None:
    day.plan_day(begun)
    row = searched(begun)
    found = jobs.job(begun, row).result["payload"]["blocks"]
    taken = day_search.take_job(begun, row)
    assert [(one.start, one.members) for one in taken.blocks] == [
        (one["start"], tuple(one["members"])) for one in found
    ]


def test_a_better_plan_is_held_against_the_first_as_the_day_stands_now(begun: Studio) -> None:
    """The search was asked at nine and ends when work by the first plan has begun: either plan is timed from then."""
    first = day.plan_day(begun, 0)
    asked = jobs.job(begun, day_search.look_longer(begun, replaces=True)).asked
    little = {**asked["data"], "windows": 0, "tries": 40, "draws": 0}
    poor = {**first.answer, "late": [{"piece": "all", "by": {"value": 1e9}}] * 9}  # so that it is worth looking at
    first = day_kept.change(begun, first, answer=poor)
    there = later(begun, 40)
    told = day_search._replace(there, {**asked, "data": little, "plan": first.row}, lambda share, words: True)
    kept = day_kept.the_plan(there)
    better = day_search._worth(told["payload"]) < day_search._worth(told["was"])
    assert told["kept"]
    assert (kept.row != first.row) == better
    assert {one["end"] for one in told["payload"]["blocks"]}, "something is left"
    assert all(day_kept.clock(one["start"]) >= there.clock() for one in told["payload"]["blocks"])
    if better:
        once(there, kept)


def test_a_search_that_ends_when_all_is_done_leaves_the_plan(begun: Studio) -> None:
    """Nothing is left to plan: what was found is told, and nothing takes the place of the plan."""
    from enamelwright.workshop.orders import change_order, open_orders

    first = day.plan_day(begun, 0)
    asked = jobs.job(begun, day_search.look_longer(begun, replaces=True)).asked
    little = {**asked, "data": {**asked["data"], "windows": 0, "tries": 2, "draws": 0}}
    poor = {**first.answer, "late": [{"piece": "all", "by": {"value": 1e9}}] * 9}  # so that it is worth looking at
    first = day_kept.change(begun, first, answer=poor)
    there = later(begun, 40)
    for one in day_waits.waits(there).pieces:
        if one.number:
            finish_piece(there, one.number)
    for order in open_orders(there):
        change_order(there, order.id, state="cancelled")
    assert day_asked.day_asked(there, day_waits.waits(there)) is None
    told = day_search._replace(there, {**little, "plan": first.row}, lambda share, words: True)
    assert told["payload"]["blocks"]
    assert day_kept.the_plan(there).row == first.row


AWAY = [
    ([("08:00", "10:00")], "10:00"),
    ([("08:00", "10:00"), ("10:00", "15:00")], "15:00"),
    ([("09:30", "15:00"), ("08:00", "10:00")], "15:00"),
    ([("08:00", "15:00"), ("08:30", "10:00"), ("15:00", "16:00")], "16:00"),
    ([("08:00", "10:00"), ("12:00", "15:00")], "10:00"),
    ([("12:00", "15:00")], None),
    ([("07:00", "08:00")], None),
]


@pytest.mark.parametrize(("told", "until"), AWAY)
def test_a_kiln_away_twice_in_a_row_is_away_until_the_last(
    begun: Studio, told: list[tuple[str, str]], until: str | None
) -> None:
    today = begun.today()
    away = tuple(day_habits.Away(who="small kiln", start=f"{today} {a}", end=f"{today} {b}") for a, b in told)
    asked = day_asked.day_asked(begun, day_waits.waits(begun), day_habits.DayHabits(away=away))
    assert asked is not None
    (kiln,) = asked.kilns
    assert kiln.not_before == (None if until is None else f"{today} {until}")


def test_days_away_follow_on_one_another(begun: Studio) -> None:
    """Told as dates, a day lasts until midnight, where the next begins."""
    today = begun.today()
    days = [(today + timedelta(days=n)).isoformat() for n in range(4)]
    away = (day_habits.Away(who="small kiln", start=days[0], end=days[0]),
            day_habits.Away(who="small kiln", start=days[1], end=days[2]))  # fmt: skip
    asked = day_asked.day_asked(begun, day_waits.waits(begun), day_habits.DayHabits(away=away))
    assert asked is not None
    assert asked.kilns[0].not_before == f"{days[3]} 00:00"
    assert day_asked.away_later(begun, day_habits.DayHabits(away=away)) == ()
    later_on = day_habits.DayHabits(away=(day_habits.Away(who="small kiln", start=days[2], end=days[3]),))
    assert day_asked.away_later(begun, later_on) == later_on.away, "a plan does not know of it yet"
    gone = day_habits.DayHabits(away=(day_habits.Away(who="M", start=days[2], end=days[3]),))
    assert day_asked.away_later(begun, gone) == (), "a person's hours are planned round"


def test_pieces_begun_take_the_places_that_are_furthest_on(begun: Studio) -> None:
    """Metal was cut for some of the ordered pieces before anybody gave them numbers."""
    plan = day.plan_day(begun)
    ordered = {name for name, about in plan.content["pieces"].items() if not about["number"]}
    cut = next(one for one in plan.blocks if set(one.pieces) & ordered and not one.kiln)
    there = begun.at(day_kept.clock(cut.end) + timedelta(minutes=1))
    again = day.replan_day(there)
    once(there, again)
    done = {name for block in again.past for name in block.pieces} & ordered
    assert done
    (number,) = (one.number for one in start_pieces(there, 1, "Test disc", order_line=line_of(there)))
    third = day.replan_day(there)
    once(there, third)
    assert not day.stand(there, third).otherwise
    before = Counter(day_kept.step_of(m)[1] for block in again.blocks for m in block.members)
    after = Counter(day_kept.step_of(m)[1] for block in third.blocks for m in block.members)
    assert after == before, "no work is asked for again"
    begun_now = [name for name in third.content["pieces"] if name.startswith(str(number))]
    assert {name for block in third.past for name in block.pieces} >= set(begun_now), "what was cut is its metal"


def test_a_load_that_went_in_without_one_piece_is_told_in_two_parts(begun: Studio) -> None:
    plan = day.plan_day(begun)
    load = next(
        one for one in plan.blocks if one.kiln and sum(bool(plan.about(name)["number"]) for name in one.pieces) > 1
    )
    numbers = [str(plan.about(name)["number"]) for name in load.pieces if plan.about(name)["number"]]
    there = begun.at(day_kept.clock(load.start))
    lay_coat(there.at(there.clock() - timedelta(minutes=20)), numbers[0], "J21", face="back")
    put = begin_load(there, numbers[:1])
    close_load(there.at(there.clock() + timedelta(minutes=3)), put.load)
    after = there.at(there.clock() + timedelta(minutes=5))
    again = day.replan_day(after)
    once(after, again)
    over = [one for one in again.past if one.kiln]
    assert [len(one.members) for one in over] == [1]
    assert over[0].pieces[0].startswith(numbers[0])


@pytest.mark.parametrize("seed", range(3))
def test_whatever_happens_in_a_day(begun: Studio, monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Ten things at random: planned anew or from here, searched, pinned, ticked, late, fired, begun, lost."""
    monkeypatch.setattr(day, "_draws", lambda now, tries: 0)
    monkeypatch.setattr(day, "_tries", lambda now: 0)
    luck, minutes = Random(seed), 0.0
    day.plan_day(begun, 0)
    searches: list[int] = []

    def coming(kiln: bool) -> list[day_kept.Block]:
        return [one for one in day_kept.the_plan(there).blocks if bool(one.kiln) == kiln]

    def fire() -> None:
        block = coming(True)[0]
        plan = day_kept.the_plan(there)
        numbers = [str(plan.about(name)["number"]) for name in block.pieces if plan.about(name).get("number")]
        for number in numbers:
            lay_coat(there.at(there.clock() - timedelta(minutes=2)), number, luck.choice(("J21", "J04")), face="front")
        if numbers:
            put = begin_load(there, numbers)
            if luck.random() < 0.7:
                close_load(there.at(there.clock() + timedelta(minutes=3)), put.load)

    def take() -> None:
        if searches:
            day_search.take_job(there, searches.pop())

    what: list[Callable[[], object]] = [
        lambda: day.plan_day(there, 0),
        lambda: day.replan_day(there, 0),
        lambda: searches.append(searched(there, 0)),
        take,
        take,
        lambda: day.pin(there, coming(True)[-1].name, "16:30"),
        lambda: day.tick(there, coming(False)[0].name),
        lambda: day.takes_longer(there, coming(False)[0].name, 20),
        fire,
        fire,
        lambda: start_pieces(there, 1, "Test disc", order_line=line_of(there)),
        lambda: finish_piece(there, luck.choice([one.number for one in day_waits.waits(there).pieces if one.number]), "lost"),
    ]  # fmt: skip
    for _ in range(10):
        minutes += luck.choice((1, 7, 25, 60))
        there = later(begun, minutes)
        try:
            luck.choice(what)()
        except (EnamelwrightError, StopIteration, IndexError):
            continue
        again = day.replan_day(later(begun, minutes + 4), 0)
        once(later(begun, minutes + 4), again)
