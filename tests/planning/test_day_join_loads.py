"""Loads that can go together do, and nothing gets worse by it."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import DAY, HOURS, ROUTES, drill, workshop
from enamelwright.planning.day.join_loads import join_loads
from enamelwright.planning.day.left_shift import left_shift, one_by_one
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Piece, Problem, Step
from enamelwright.planning.day.refill import refill
from enamelwright.planning.day.replan import Frozen, failed, freeze, replan

#: More than any plan here needs.
ALL = 10_000
FIRE, BENCH = Step(6, 12, family=1), Step(20)


def apart(first: Piece, second: Piece) -> DayPlan:
    """Two pieces of one firing each, fired one right after the other."""
    problem = workshop([first, second])
    problem.check()
    return left_shift(problem, [Item(0, 6, ((n, 0),), (), 0, 1) for n in range(2)])


def two() -> DayPlan:
    return apart(Piece("one", (FIRE, BENCH)), Piece("other", (FIRE, BENCH)))


def members(plan: DayPlan) -> list[set[int]]:
    return [{piece for piece, _ in load.members} for load in plan.loads]


def with_bench(plan: DayPlan) -> DayPlan:
    """The same loads, with the work at the bench after them."""
    return left_shift(plan.problem, [*plan.items, *(Item(0, 20, ((n, 1),)) for n in range(2))])


def test_two_singles_of_one_family_go_in_together() -> None:
    plan = with_bench(two())
    assert members(plan) == [{0}, {1}]
    joined = join_loads(plan, ALL)
    assert members(joined) == [{0, 1}]
    assert joined.score < plan.score
    assert check(joined.problem, joined.on_clock()) == []


def test_bench_work_in_between_is_done_first() -> None:
    """The second piece is laid between the two loads; laid before, it goes in with the first."""
    problem = workshop([Piece("one", (FIRE,)), Piece("other", (BENCH, FIRE))])
    problem = replace(problem, kilns=(replace(problem.kilns[0], cold=0),))
    plan = left_shift(
        problem, [Item(0, 6, ((0, 0),), (), 0, 1), Item(0, 20, ((1, 0),)), Item(0, 6, ((1, 1),), (), 0, 1)]
    )
    joined = join_loads(plan, ALL)
    assert (len(plan.loads), len(joined.loads)) == (2, 1)
    assert joined.finish <= plan.finish
    assert check(problem, joined.on_clock()) == []


def stays(plan: DayPlan) -> bool:
    plan = with_bench(plan)
    return len(join_loads(plan, ALL).loads) == len(plan.loads) == 2


def test_what_may_not_go_together_stays_apart() -> None:
    """Another family, no room, a release, a pin or a date in the way."""
    plain = Piece("one", (FIRE, BENCH))
    noon = HOURS[0][1]
    due = replace(plain, due=HOURS[0][0] + 94 + 6 + 12 + 20)
    assert stays(apart(due, replace(plain, release=noon)))
    assert stays(apart(due, replace(plain, steps=(replace(FIRE, earliest=noon), BENCH))))
    full = two()
    kiln = replace(full.problem.kilns[0], rack=full.problem.kilns[0].sizes[0])
    assert stays(DayPlan(replace(full.problem, kilns=(kiln,)), full.items))
    other = workshop([plain, replace(plain, steps=(replace(FIRE, family=0), BENCH))])
    assert stays(left_shift(other, [Item(0, 6, ((0, 0),), (), 0, 1), Item(0, 6, ((1, 0),), (), 0, 0)]))


def test_a_moist_coat_does_not_wait_for_company() -> None:
    moist = Piece("moist", (replace(BENCH, longest=10), FIRE, BENCH))
    problem = workshop([moist, Piece("late", (FIRE, BENCH), release=HOURS[1][0])])
    plan = Search(problem).run(0)
    assert plan.score.broken == 0
    joined = join_loads(plan, ALL)
    assert joined.score.broken == 0
    assert check(problem, joined.on_clock()) == []


def random_day(seed: int) -> Problem:
    """Pieces of the drills with dates, releases, pins, moist coats and one or two people."""
    chance = Random(seed)
    pieces = []
    for number in range(chance.randint(4, 14)):
        design = chance.choice(sorted(ROUTES))
        steps = list(ROUTES[design])
        for n, following in enumerate(steps[1:]):
            if following.fires and chance.random() < 0.2:
                steps[n] = replace(steps[n], longest=steps[n].wait + chance.randint(60, 300))
        if chance.random() < 0.3:
            n = chance.randrange(len(steps))
            steps[n] = replace(steps[n], earliest=HOURS[0][0] + chance.randrange(2 * DAY))
        due = (chance.randint(0, 3)) * DAY + HOURS[-1][1] if chance.random() < 0.8 else None
        release = chance.choice((0, 0, HOURS[0][1], DAY))
        pieces.append(Piece(f"{design} {number}", tuple(steps), release, due, chance.choice((1, 1, 3)), f"{number}"))
    problem = workshop(pieces, chance.choice((1, 2)), table=chance.random() < 0.5)
    if chance.random() < 0.4:
        a, b = chance.sample(range(len(pieces)), 2)
        problem = replace(problem, after=(((a, 2), (b, 2), chance.choice((0, 20))),))
    problem.check()
    return problem


@pytest.mark.parametrize("seed", range(12))
def test_random_days_get_no_worse(seed: int) -> None:
    problem = random_day(seed)
    search = Search(problem)
    found = search.run(4)
    for plan in (found, one_by_one(problem), refill(found, 4), *(each for _, each in search.baselines)):
        joined = join_loads(plan, 60)
        assert joined.score <= plan.score
        assert len(joined.loads) <= len(plan.loads)
        assert joined is plan or len(joined.loads) < len(plan.loads)
        faults = check(problem, joined.on_clock())
        assert {fault.kind for fault in faults} <= {"longest wait"}
        assert len(faults) <= len(check(problem, plan.on_clock()))
        for ref, item in joined.placed.items():
            if problem.step(ref).earliest > problem.now:
                assert item.start <= plan.placed[ref].start
        assert join_loads(plan, 60).items == joined.items


def test_moves_are_counted_and_the_stop_is_heard() -> None:
    plan = Search(drill("36, one person")).run(0)
    assert join_loads(plan, 0) is plan
    assert join_loads(plan, ALL, lambda share, words: False) is plan
    some, more = join_loads(plan, 6), join_loads(plan, ALL)
    assert len(more.loads) <= len(some.loads) <= len(plan.loads)
    assert len(more.loads) < len(plan.loads)
    assert join_loads(more, ALL).items == more.items, "nothing is left to join"


def test_loads_of_what_is_left_go_together_and_the_past_stays() -> None:
    plan = with_bench(two())
    frozen = freeze(plan, HOURS[0][0] + 10)
    found = replan(frozen, tries=2)
    assert members(found.kept) == [{0}, {1}], "the order that was is still there to keep"
    assert found.offered is not None
    assert members(found.offered) == [{0, 1}]
    begun = freeze(plan, plan.problem.calendar.to_clock(plan.loads[0].start) + 1)
    after = replan(begun, tries=2)
    assert members(after.kept) == [{1}]
    assert check(plan.problem, (*begun.blocks, *after.kept.on_clock()), begun.blocks) == []


@pytest.mark.parametrize("name", ["12, one person", "12, two people"])
def test_a_disturbed_day_is_offered_nothing_worse(name: str) -> None:
    plan = Search(drill(name)).run(10)
    cut: Frozen = freeze(plan, HOURS[0][0] + 300)
    piece = next(n for n, told in enumerate(cut.problem.pieces) if 3 <= told.first < len(told.steps))
    for frozen in (cut, failed(cut, piece, 1)):
        found = replan(frozen, tries=6)
        if found.offered is not None:
            assert found.offered.score <= found.kept.score
            assert check(frozen.problem, found.offered.on_clock()) == []
        assert replan(frozen, tries=6).offered == found.offered
