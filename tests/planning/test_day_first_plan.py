"""The first plan is there at once and keeps every longest wait where a rule of thumb, fired sooner, can."""

from __future__ import annotations

from dataclasses import replace

import pytest

from enamelwright.errors import InputError
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import COLD, DAY, HOURS, ROUTES, drill, workshop
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policies import Policy, due_buckets, quickest_first, rules
from enamelwright.planning.day.policy_search import LATE_ALIKE, Search, gains
from enamelwright.planning.day.problem import Piece, Problem, Step
from enamelwright.planning.day.rates import ticks_of
from enamelwright.planning.day.simulator import simulate


def moist(problem: Problem, longest: int, *designs: str) -> Problem:
    """The same work, with coats that must not lie longer before they are fired; of these designs, or of all."""
    pieces = []
    for piece in problem.pieces:
        steps = list(piece.steps)
        for n, following in enumerate(steps[1:]):
            if following.fires and not steps[n].fires and (not designs or piece.design in designs):
                steps[n] = replace(steps[n], longest=max(longest, steps[n].wait))
        pieces.append(replace(piece, steps=tuple(steps)))
    return replace(problem, pieces=tuple(pieces))


def day_of(designs: list[str], people: int = 1) -> Problem:
    """Pieces of the drills, wanted the same evening."""
    pieces = [Piece(f"{each} {n}", ROUTES[each], due=HOURS[-1][1], design=each) for n, each in enumerate(designs)]
    return workshop(pieces, people)


def second_kiln(problem: Problem) -> Problem:
    return replace(problem, kilns=(problem.kilns[0], replace(problem.kilns[0], name="second")))


def first(problem: Problem) -> tuple[Search, DayPlan]:
    problem.check()
    search = Search(problem)
    search.start()
    assert search.best is not None
    return search, search.best


def only_waits(problem: Problem, plan: DayPlan) -> bool:
    """Whether the checker has nothing against a plan but waits that are too long, as many as its score counts."""
    faults = check(problem, plan.on_clock())
    return {fault.kind for fault in faults} <= {"longest wait"} and len(faults) == plan.score.broken


#: Two people lay for one kiln or two, and every rule of thumb as it stands lets some coat lie too long.
TIGHT = [
    moist(day_of(["disc25", "disc32", "disc25", "disc25", "wet40", "wet40"], 2), 24, "wet40", "disc32"),
    moist(day_of(["wet40", "disc25", "wet40", "wet40", "disc25", "disc25"], 2), 30),
    moist(day_of(["wet40", "wet40", "disc32", "disc25", "disc25", "disc32"], 2), 32, "wet40"),
]  # fmt: skip


@pytest.mark.parametrize("problem", TIGHT)
def test_a_rule_that_lets_coats_lie_too_long_fires_sooner(problem: Problem) -> None:
    assert all(simulate(problem, rule.policy).score.broken for rule in rules(problem)), "no rule as it stands will do"
    search, plan = first(problem)
    assert plan.score.broken == 0
    assert check(problem, plan.on_clock()) == []
    assert search.tried == 0, "nothing was drawn for it"
    plain = {rule.name: simulate(problem, rule.policy).score for rule in rules(problem)}
    for name, each in search.baselines:
        assert each.score <= plain[name]
        assert only_waits(problem, each)
    again = Search(problem).run(4)
    assert again.score <= plan.score, "the search goes on from it"


def test_waits_that_are_kept_anyway_change_no_rule() -> None:
    problem = moist(drill("12, one person"), DAY)
    search, _ = first(problem)
    plain = {rule.name: simulate(problem, rule.policy).items for rule in rules(problem)}
    assert {name: plan.items for name, plan in search.baselines} == plain


@pytest.mark.parametrize("name", ["12, one person", "12, two people", "36, one person", "100, two people"])
@pytest.mark.parametrize("share", [1.0, 0.5, 0.25])
def test_moist_powder_is_fired_in_time_by_the_first_plan(name: str, share: float) -> None:
    """As long as moist powder keeps, half and a quarter of it."""
    problem = moist(drill(name), int(share * ticks_of("moist")))
    _, plan = first(problem)
    assert check(problem, plan.on_clock()) == []


def test_nothing_is_laid_for_a_kiln_that_is_still_cold() -> None:
    lay = Step(10, 10, longest=30)
    problem = workshop([Piece("moist", (lay, Step(6, 12, family=0))), Piece("dry", (Step(40),))])
    plan = simulate(problem, Policy())
    assert plan.score.broken == 0
    blocks = {block.members[0]: block for block in plan.on_clock()}
    assert blocks[(0, 1)].start == HOURS[0][0] + COLD
    assert blocks[(0, 0)].end >= blocks[(0, 1)].start - 30
    assert blocks[(1, 0)].start == HOURS[0][0], "other work goes on meanwhile"


def test_a_coat_that_lies_ready_when_the_plan_begins_is_fired_first() -> None:
    """What was laid before is as wet as what is laid in the plan."""
    laid = moist(workshop([Piece("laid", ROUTES["wet40"], design="a")]), 60).pieces[0]
    others = tuple(Piece(f"n{n}", ROUTES["wet40"], design="b") for n in range(3))
    problem = workshop([*others, replace(laid, first=2)])
    problem = replace(problem, kilns=(replace(problem.kilns[0], cold=0),))
    plan = simulate(problem, Policy(fill=0.9, mix=4))
    assert plan.loads[0].members[0] == (3, 2)
    assert plan.loads[0].start == 0


def test_two_kilns_and_waits_shorter_than_a_firing() -> None:
    """The wait is to the beginning of the firing, so that it may be shorter than one."""
    problem = moist(day_of(["disc25", "disc25", "disc32"]), 0)
    steps = [tuple(replace(s, wait=min(s.wait, 2), longest=None if s.longest is None else 4) for s in p.steps)
             for p in problem.pieces]  # fmt: skip
    problem = replace(problem, pieces=tuple(replace(p, steps=s) for p, s in zip(problem.pieces, steps, strict=True)))
    firing = min(s.length for p in problem.pieces for s in p.steps if s.fires)
    assert all(s.longest is None or s.longest < firing for p in problem.pieces for s in p.steps)
    for each in (problem, second_kiln(problem)):
        _, plan = first(each)
        assert only_waits(each, plan)
    _, one = first(problem)
    _, two = first(second_kiln(problem))
    assert one.score.broken == two.score.broken == 0


def test_what_no_hours_allow_is_done_all_the_same_and_counted() -> None:
    """Laid all afternoon and fired within minutes: no stretch of work holds both, and the break is too long."""
    hours = max(end - begin for begin, end in HOURS)
    steps = Step(hours - 10, 4, longest=8, words="lay"), Step(30, 12, family=0)
    problem = workshop([Piece("vast", steps), *(Piece(f"n{n}", ROUTES["disc25"], design="d") for n in range(3))])
    search, plan = first(problem)
    assert plan.score.broken == 1
    assert only_waits(problem, plan)
    assert {ref for item in plan.items for ref in item.members} == set(problem.refs()), "everything is planned"
    assert len(search.baselines) == len(rules(problem))


def test_where_no_order_keeps_all_waits_the_first_plan_is_whole_and_says_so() -> None:
    """Eight people end at once what must be fired within a minute, and one kiln takes one piece at a time."""
    steps = Step(60, 0, longest=2), Step(6, 12, family=0)
    problem = workshop([Piece(f"n{n}", steps, due=HOURS[0][1]) for n in range(8)], 8)
    problem = replace(problem, kilns=(replace(problem.kilns[0], rack=1, sizes=(1, 1, 1), cold=0),))
    _, plan = first(problem)
    assert only_waits(problem, plan)
    assert {ref for item in plan.items for ref in item.members} == set(problem.refs())


def test_a_wait_shorter_than_the_drying_is_refused_in_words() -> None:
    bad = Piece("hasty", (Step(10, 12, longest=6, words="lay"), Step(6, family=0)))
    problem = workshop([bad, Piece("good", ROUTES["disc25"])])
    with pytest.raises(InputError, match="'lay' has to wait longer"):
        problem.check()
    left, told = problem.without_the_impossible()
    assert [name for name, _ in told] == ["hasty"]
    _, plan = first(left)
    assert check(left, plan.on_clock()) == []


def test_a_moist_coat_waits_for_its_like_as_long_as_it_may() -> None:
    """Two pieces laid one after the other, and powder that keeps for hours: one load, not two."""
    lay, fire = Step(22, longest=480), Step(8, 12, family=0)
    problem = workshop([Piece(f"n{n}", (lay, fire), design="a") for n in range(4)])
    problem = replace(problem, kilns=(replace(problem.kilns[0], cold=0),))
    plain = simulate(problem, Policy(fill=0.9))
    patient = simulate(problem, Policy(fill=0.9, patient=True))
    assert len(plain.loads) > len(patient.loads) == 1
    assert patient.score.broken == 0
    short = [Piece(p.name, (replace(lay, longest=30), fire), design="a") for p in problem.pieces]
    hasty = simulate(replace(problem, pieces=tuple(short)), Policy(fill=0.9, patient=True))
    assert hasty.score.broken == 0, "what keeps no longer than one more laying is fired"
    assert len(hasty.loads) > 1


def test_missed_dates_are_one_date() -> None:
    """Each day more costs what is late as much, whichever date it missed: dates are no reason to part a load."""
    dues = (-20 * DAY, -3 * DAY, -DAY, HOURS[0][1], 3 * DAY, None)
    problem = workshop([Piece(f"n{n}", ROUTES["disc25"], due=due, design="d") for n, due in enumerate(dues)])
    buckets = due_buckets(problem)
    assert len(set(buckets[:4])) == 1, "what was due before today comes with what is due today"
    assert buckets[3] < buckets[4] < buckets[5]
    missed = replace(problem, pieces=problem.pieces[:3])
    free = replace(missed, pieces=tuple(replace(piece, due=None) for piece in missed.pieces))
    by_date = [Policy(buckets=due_buckets(each), fill=0.9) for each in (missed, free)]
    late, undated = (len(simulate(*each).loads) for each in zip((missed, free), by_date, strict=True))
    assert late == undated < 2 * len(missed.pieces), "they share loads as if none had a date"


def test_the_quickest_is_through_first_when_all_are_late() -> None:
    """The sum of the times at which jobs end is least with the shortest first (W. E. Smith 1956, one machine)."""
    pieces = [Piece("long", (Step(200),), due=-DAY, design="l"), Piece("short", (Step(20),), due=-DAY, design="s")]
    assert quickest_first(workshop(pieces)) == (1, 0)
    _, plan = first(workshop(pieces))
    assert plan.finish_of(1) < plan.finish_of(0)


def test_a_little_less_late_is_not_worth_much_more_time_at_the_kiln() -> None:
    problem = replace(day_of(["disc25"] * 4), now=0)
    problem = replace(problem, pieces=tuple(replace(piece, due=-30 * DAY) for piece in problem.pieces))
    together = simulate(problem, Policy(fill=0.9))
    alone = simulate(problem, Policy(single=True))
    assert together.score.attended < alone.score.attended
    assert gains(together, alone) == (together.score < alone.score)
    if alone.score < together.score:
        assert gains(alone, together) == (alone.score.late < (1 - LATE_ALIKE) * together.score.late)
    assert not gains(together, together)
