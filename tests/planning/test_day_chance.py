"""How sure the dates of a plan are, against closed forms: a lognormal step, and pieces that fail."""

from __future__ import annotations

from dataclasses import replace
from math import erf, log, sqrt

import pytest

from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.chance import Spread, chance, spreads, yields
from enamelwright.planning.day.drills import drill
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Family, Kiln, Person, Piece, Problem, Step

#: One long day, in ticks.
DAY = Calendar.daily([(0, 2000)], 3, 100, 2880)
DRAWS = 2000
ALONE = Spread(0.0, 0.0, 1.0)


def plan_of(*pieces: Piece, people: int = 1) -> DayPlan:
    problem = Problem(
        DAY, pieces, (Family("hot"),), (Kiln(sizes=(1,), rack=len(pieces)),),
        tuple(Person(f"p{n}") for n in range(people)),
    )  # fmt: skip
    return Search(problem).run(5)


def share(plan: DayPlan, usual: Spread, draws: int = DRAWS) -> float:
    found = chance(plan, (usual, ALONE, ALONE), draws)
    assert found is not None
    assert found.low <= found.kept <= found.high
    return found.kept


@pytest.mark.parametrize(("due", "pace", "step"), [(120, 0.2, 0.0), (90, 0.0, 0.3), (110, 0.15, 0.25)])
def test_one_step_is_late_as_the_lognormal_says(due: int, pace: float, step: float) -> None:
    """P(L exp(s Z) <= D) = Phi(ln(D/L)/s), the two spreads added as squares (closed form)."""
    plan = plan_of(Piece("a", (Step(100),), due=due))
    s = sqrt(pace**2 + step**2)
    exact = (1 + erf(log((due + 0.5) / 100) / s / sqrt(2))) / 2
    assert share(plan, Spread(pace, step, 1.0)) == pytest.approx(exact, abs=4 * sqrt(exact * (1 - exact) / DRAWS))


@pytest.mark.parametrize("count", [1, 3])
def test_with_no_time_for_a_second_go_all_must_come_out_good(count: int) -> None:
    """Y^n, as the trials are independent (binomial, closed form)."""
    steps = (Step(10), Step(20, family=0), Step(5))
    pieces = [Piece(f"p{n}", steps) for n in range(count)]
    free = plan_of(*pieces, people=count)
    end = free.problem.calendar.to_clock(free.finish)
    plan = plan_of(*(replace(piece, due=end) for piece in pieces), people=count)
    exact = 0.9**count
    assert share(plan, Spread(0.0, 0.0, 0.9)) == pytest.approx(exact, abs=4 * sqrt(exact * (1 - exact) / DRAWS))


@pytest.mark.parametrize(("due", "goes"), [(35, 1), (75, 2), (110, 3)])
@pytest.mark.parametrize("good", [0.5, 0.9])
def test_a_piece_may_fail_again_and_is_in_time_when_one_of_the_goes_is_good(due: int, goes: int, good: float) -> None:
    """1 - (1 - Y)^k, as the goes are independent (geometric law, closed form): k goes fit, 30 ticks to the next one."""
    plan = plan_of(Piece("a", (Step(10), Step(20, family=0), Step(5)), due=due))
    exact = 1 - (1 - good) ** goes
    assert share(plan, Spread(0.0, 0.0, good)) == pytest.approx(exact, abs=4 * sqrt(exact * (1 - exact) / DRAWS))


@pytest.mark.parametrize("behind", [0, 2, 3, 4])
def test_a_piece_half_done_has_the_chance_of_the_firings_left(behind: int) -> None:
    """Y^(left/all): each of n firings keeps Y^(1/n), so that all of them keep Y."""
    steps = (Step(10), Step(20, family=0), Step(5), Step(20, family=0), Step(5))
    free = plan_of(Piece("a", steps, first=behind))
    plan = plan_of(Piece("a", steps, first=behind, due=free.problem.calendar.to_clock(free.finish)))
    exact = 0.5 ** (sum(step.fires for step in steps[behind:]) / 2)
    assert share(plan, Spread(0.0, 0.0, 0.5)) == pytest.approx(exact, abs=4 * sqrt(exact * (1 - exact) / DRAWS))


def test_what_never_comes_out_good_is_late_and_ends() -> None:
    steps = (Step(10), Step(20, family=0), Step(5))
    plan = plan_of(Piece("a", steps, due=2000), Piece("b", steps), people=2)
    assert share(plan, Spread(0.0, 0.0, 0.0), 4) == 0.0
    assert share(plan_of(Piece("a", (Step(10),), due=50), Piece("b", steps), people=2), Spread(0.0, 0.0, 0.0), 4) == 1.0


def test_steady_hands_and_luck_keep_what_the_plan_keeps() -> None:
    plan = Search(drill("12, one person")).run(40)
    assert not plan.late_pieces
    assert share(plan, ALONE, 10) == 1.0
    usual = chance(plan, spreads(0.9, 0.7, 0.98), 60)
    assert usual is not None
    assert usual.low < usual.kept < usual.high < 1
    assert usual == chance(plan, spreads(0.9, 0.7, 0.98), 60), "the same question gets the same answer"
    assert chance(plan, spreads(0.9, 0.7, 0.98), 60, lambda share, words: False) is None
    undated = replace(plan.problem, pieces=tuple(replace(one, due=None) for one in plan.problem.pieces))
    assert chance(DayPlan.of(undated, plan.items), spreads(0.9, 0.7, 0.98), 60) is None


def test_a_yield_of_the_record_has_the_band_of_its_beta() -> None:
    """Beta(18.5, 2.5): 5 % 0.7498, 95 % 0.9707 (scipy.stats.beta), to the draws' own scatter."""
    middle, low, high = yields(18, 20, 4000)
    assert middle == pytest.approx(18.5 / 21)
    assert (low, high) == (pytest.approx(0.7498, abs=0.02), pytest.approx(0.9707, abs=0.01))
    assert yields(0, 0)[0] == 0.9
