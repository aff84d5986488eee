"""Plans of invented days: nothing wrong with them, never under the bound, never worse than a rule of thumb."""

from __future__ import annotations

from dataclasses import replace

import pytest

from enamelwright.errors import InputError, OutOfReach
from enamelwright.planning.day.bound import bound, promises, too_soon
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import COLD, CUT, DAY, HOURS, ORDERS, ROUTES, drill, workshop
from enamelwright.planning.day.left_shift import left_shift, one_by_one
from enamelwright.planning.day.policies import Policy, rules
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Family, Person, Piece, Problem, Station, Step
from enamelwright.planning.day.refill import refill
from enamelwright.planning.day.simulator import simulate
from enamelwright.planning.day.solve import Effort, relabel, solve_whole
from enamelwright.planning.day.window_search import improve

#: drill, W person-ticks for each person, bound on the axis, least loads by area: worked out apart from this code.
BOUNDS = [
    ("12, one person", 770, 830, (2, 2, 1, 1)),
    ("36, one person", 2347, 2767, (4, 5, 2, 1)),
    ("100, one person", 6549, 7809, (11, 14, 4, 3)),
]
#: The same by counts that fit the rack.
BY_TABLE = [
    ("12, one person", (2, 2, 1, 1), 770), ("36, one person", (5, 7, 2, 2), 2368), ("100, one person", (13, 17, 4, 4), 6582),
]  # fmt: skip


@pytest.mark.parametrize(("name", "work", "finish", "loads"), BOUNDS)
def test_what_no_plan_can_beat(name: str, work: int, finish: int, loads: tuple[int, ...]) -> None:
    found = bound(drill(name))
    assert (found.person_ticks, found.finish, found.loads) == (work, finish, loads)
    assert found.binding == "work"


@pytest.mark.parametrize(("name", "loads", "work"), BY_TABLE)
def test_the_same_by_counts_that_fit(name: str, loads: tuple[int, ...], work: int) -> None:
    found = bound(drill(name, table=True))
    assert (found.loads, found.person_ticks) == (loads, work)


def test_promises() -> None:
    told = [(p.due, p.needed, p.offered) for p in promises(drill("12, one person"))]
    assert told == [(2040, 654, 900), (2040 + DAY, 770, 1800)]


def test_a_date_that_cannot_be_kept_is_named_before_any_search() -> None:
    problem = workshop([Piece(f"n{n}", ROUTES["wet40"], due=HOURS[0][1]) for n in range(6)])
    (promise,) = promises(problem)
    assert promise.missing == promise.needed - (HOURS[0][1] - HOURS[0][0]) > 0
    alone = workshop([Piece("hasty", ROUTES["wet40"], due=HOURS[0][0] + 100)])
    assert [number for number, over in too_soon(alone) if over > 0] == [0]


@pytest.mark.parametrize("name", ["12, one person", "12, two people", "36, one person", "100, two people"])
def test_rules_search_and_left_shift(name: str) -> None:
    problem = drill(name)
    search = Search(problem)
    best = search.run(12)
    least = bound(problem).finish
    for _, plan in search.baselines:
        assert check(problem, plan.on_clock()) == []
        assert plan.finish >= least
        assert best.score <= plan.score
    assert best.late_pieces == ()
    assert check(problem, best.on_clock()) == []
    again = left_shift(problem, best.items)
    assert check(problem, again.on_clock()) == []
    assert again.score <= best.score


def test_batching_is_the_gain() -> None:
    """One at a time takes more than twice the time of a good plan; so does no rule that batches."""
    search = Search(drill("36, one person"))
    best = search.run(0)
    times = {name: plan.working_ticks() / best.working_ticks() for name, plan in search.baselines}
    assert times["piece by piece"] > 2
    assert max(ratio for name, ratio in times.items() if name != "piece by piece") < 1.5


def test_the_search_repeats() -> None:
    problem = drill("12, one person")
    assert Search(problem, 3).run(40).items == Search(problem, 3).run(40).items


def test_the_search_stops_when_told() -> None:
    asked: list[float] = []
    Search(drill("12, one person")).run(100, lambda share, words: len(asked) < 2 and not asked.append(share))
    assert len(asked) == 2


def hot(names: list[str], people: int = 1) -> Problem:
    problem = workshop([Piece(f"{name} {n}", ROUTES[name], design=name) for n, name in enumerate(names)], people)
    return replace(problem, kilns=(replace(problem.kilns[0], cold=0),), calendar=Calendar(((0, 3000),), CUT, DAY))


#: designs, people, least finish, fewest loads at it: exhaustive search and a solver's proof agree, made apart from this code.
TINY = [
    (["disc25"], 1, 99, 2), (["disc25"] * 2, 1, 122, 4), (["disc25"] * 3, 1, 165, 4), (["disc25"] * 4, 1, 198, 4),
    (["disc25", "disc32"], 1, 154, 5), (["disc32"] * 2, 1, 169, 6), (["disc25"] * 2, 2, 99, 2),
]  # fmt: skip


@pytest.mark.parametrize(("names", "people", "finish", "loads"), TINY)
def test_tiny_days_are_solved_to_the_end(names: list[str], people: int, finish: int, loads: int) -> None:
    problem = hot(names, people)
    solved = solve_whole(Search(problem).run(30), Effort(counted=20))
    assert (solved.plan.finish, len(solved.plan.loads)) == (finish, loads)
    assert solved.proven == {"late", "finish", "attended"}
    assert check(problem, solved.plan.on_clock()) == []


def test_the_exact_model_and_windows_never_spoil_a_plan() -> None:
    problem = drill("12, one person")
    begin = Search(problem).run(30)
    least = bound(problem).finish
    solved = solve_whole(begin, Effort(counted=0.1))
    assert least <= solved.plan.finish <= begin.finish
    assert solved.plan.score <= begin.score
    assert check(problem, solved.plan.on_clock()) == []
    windows = improve(begin, 2, Effort(counted=0.2), width=30)
    assert windows.score <= begin.score
    assert check(problem, windows.on_clock()) == []


def test_loads_taken_apart_leave_fewer_and_nothing_later() -> None:
    problem = drill("36, one person")
    begin = Search(problem).run(0)
    fuller = refill(begin, 60)
    assert fuller.score <= begin.score
    assert len(fuller.loads) < len(begin.loads)
    assert check(problem, fuller.on_clock()) == []
    assert refill(begin, 60).items == fuller.items


def test_alike_pieces_can_change_names() -> None:
    plan = simulate(drill("12, two people"), Policy(fill=0.7))
    same = relabel(plan)
    assert same.score == plan.score
    assert check(plan.problem, same.on_clock()) == []


def test_a_person_is_free_while_a_timer_watches() -> None:
    """A load of twenty minutes that needs hands only at its ends leaves time for bench work."""
    long = Step(40, 12, family=0)
    routes = (Step(12), long, Step(10)), (Step(12), Step(24), Step(20), Step(8))
    base = workshop([Piece("fired", routes[0], design="a"), Piece("bench", routes[1], design="b")])
    base = replace(base, kilns=(replace(base.kilns[0], cold=0),))
    whole = replace(base, families=(Family("830 C", 1103.15),))
    ends = replace(base, families=(Family("830 C", 1103.15, "ends", 2, 2),))
    plans = {}
    for name, problem in (("whole", whole), ("ends", ends)):
        problem.check()
        plan = solve_whole(Search(problem).run(20), Effort(counted=5)).plan
        assert check(problem, plan.on_clock()) == []
        plans[name] = plan
    assert plans["ends"].score.attended == 4
    assert plans["ends"].finish < plans["whole"].finish


def test_the_exact_model_knows_who_is_there_and_what_they_can() -> None:
    """Skills, overlapping absences, somebody gone for good and a place for one: what it makes passes the checker."""
    steps = tuple(replace(s, skill="" if s.fires or s.length > 5 else "hand", stations=() if s.fires else ((0, 1),))
                  for s in ROUTES["disc25"])  # fmt: skip
    problem = hot(["disc25"] * 3, 2)
    people = (
        Person("a", away=((0, 20), (10, 30)), free=5), Person("b", frozenset({"hand"}), away=((60, 80),)),
        Person("c", gone=True),
    )  # fmt: skip
    pieces = tuple(replace(piece, steps=steps) for piece in problem.pieces)
    problem = replace(problem, people=people, pieces=pieces, stations=(Station("bench", 1),))
    problem.check()
    begin = Search(problem).run(10)
    solved = solve_whole(begin, Effort(counted=3))
    assert check(problem, begin.on_clock()) == []
    assert check(problem, solved.plan.on_clock()) == []
    assert solved.least_finish <= solved.plan.finish <= begin.finish
    near = improve(begin, 2, Effort(counted=1), width=10)
    assert check(problem, near.on_clock()) == []


def test_two_kilns_share_the_loads() -> None:
    problem = drill("12, two people")
    second = replace(problem.kilns[0], name="second", families=frozenset({1, 2, 3}))
    problem = replace(problem, kilns=(replace(problem.kilns[0], families=frozenset({0, 1})), second))
    plan = Search(problem).run(20)
    assert check(problem, plan.on_clock()) == []
    assert {item.kiln for item in plan.loads} == {0, 1}
    assert plan.finish >= bound(problem).finish


def test_a_wait_over_night_is_not_taken_for_two_days() -> None:
    steps = (Step(10, DAY), Step(10))
    plan = simulate(workshop([Piece("settles", steps)]), Policy())
    assert plan.on_clock()[1].start == HOURS[0][0] + 10 + DAY


REFUSED = [
    (lambda p: replace(p, people=()), "nobody"),
    (lambda p: replace(p, kilns=()), "no kiln"),
    (lambda p: replace(p, kilns=(replace(p.kilns[0], rack=10),)), "larger than the shelf"),
    (lambda p: replace(p, pieces=(Piece("long", (Step(1000),)),)), "longer than any stretch"),
    (lambda p: replace(p, pieces=(Piece("odd", (Step(1, skill="gilding"),)),)), "gilding"),
    (lambda p: replace(p, after=(((0, 6), (1, 0), 0), ((1, 6), (0, 0), 0))), "circle"),
]


@pytest.mark.parametrize(("spoil", "words"), REFUSED)
def test_what_no_plan_can_do_is_refused_in_words(spoil: object, words: str) -> None:
    assert callable(spoil)
    with pytest.raises(InputError, match=words):
        spoil(drill("12, one person")).check()


def test_orders_between_pieces_are_kept() -> None:
    problem = replace(drill("12, one person"), after=(((0, 6), (1, 0), 30),))
    problem.check()
    plan = Search(problem).run(5)
    assert check(problem, plan.on_clock()) == []
    assert check(problem, one_by_one(problem).on_clock()) == []


def test_a_calendar_that_ends_too_soon_is_told() -> None:
    problem = replace(drill("100, one person"), calendar=Calendar.daily(HOURS, 2, CUT, DAY))
    with pytest.raises(OutOfReach, match="calendar ends"):
        simulate(problem, rules(problem)[0].policy)


def test_the_drills_are_what_their_names_say() -> None:
    for name in ORDERS:
        assert len(drill(name).pieces) == int(name.split(",")[0])
    assert COLD > 0
