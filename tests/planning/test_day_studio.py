"""The workshop as a problem of the day: routes from real plans, shelves, colours, a class."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import HazardFacet, Jar, OpticsFacet
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan
from enamelwright.files.piece_file import read_piece
from enamelwright.planning.day.bound import bound
from enamelwright.planning.day.calendar import Calendar
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import CUT, HOURS
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Person, Station
from enamelwright.planning.day.rates import DAY, TICK, ticks
from enamelwright.planning.day.routes import Setup, route_of, washing
from enamelwright.planning.day.studio import RACK, KilnOfDay, Studio, Wanted, holds, shelf_of, studio
from enamelwright.planning.shelf.discs import Shelf

EXAMPLES = Path(__file__).parents[2] / "examples"
CALENDAR = Calendar.daily(HOURS, 100, CUT, DAY)
KILN = Kiln(name="small", shelf_width=0.15, shelf_depth=0.15)


@cache
def planned(name: str) -> tuple[Plan, Layup]:
    piece = read_piece(EXAMPLES / f"{name}.toml").piece
    return make_plan(piece, draws=16), lay_up(piece, Bench.starter())


def workshop(*orders: tuple[str, int], people: int = 1, **more: object) -> Studio:
    wanted = [Wanted(*planned(name), name, count) for name, count in orders]
    crew = [Person(f"person {n}") for n in range(people)]
    return studio(wanted, CALENDAR, crew, [KilnOfDay(KILN)], **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["sifted-pendant", "fern-pendant", "clear-over-flux", "one-firing-disc", "torch-disc"])
def test_a_route_holds_all_the_work_of_its_plan(name: str) -> None:
    plan, layup = planned(name)
    route = route_of(plan, layup)
    kiln = [firing for firing in plan.firings if firing.support != "torch ring"]
    assert sum(step.fires for step in route.steps) == len(kiln)
    timed = [op for op in plan.operations if op.hand is not None and op.work != "fire"]
    hand = sum(step.length for step in route.steps if not step.fires) * TICK
    bench = sum(op.hand.value for op in timed if op.hand is not None)
    if kiln:
        assert bench <= hand <= bench + TICK * len(timed)
    waits = sum(ticks(op.wait.value) for op in plan.operations if op.wait is not None)
    assert sum(step.wait for step in route.steps) + route.first_wait == waits


def test_moist_powder_is_fired_the_same_day() -> None:
    route = route_of(*planned("fern-pendant"))
    moist = [step for step in route.steps if step.longest is not None]
    assert moist
    assert all(step.wait <= (step.longest or 0) < 8 * 3600 / TICK for step in moist)


def test_firings_alike_share_a_family_over_designs() -> None:
    one = workshop(("sifted-pendant", 1))
    both = workshop(("sifted-pendant", 1), ("sifted-pendant", 2))
    assert both.problem.families == one.problem.families
    mixed = workshop(("sifted-pendant", 1), ("clear-over-flux", 1))
    assert len(mixed.heats) < len(one.heats) + len(workshop(("clear-over-flux", 1)).heats)


def test_a_real_day_is_planned_and_checked() -> None:
    place = workshop(("sifted-pendant", 5), ("fern-pendant", 2), ("clear-over-flux", 3))
    problem = place.problem
    problem.check()
    plan = Search(problem).run(10)
    assert check(problem, plan.on_clock()) == []
    assert plan.finish >= bound(problem).finish
    assert plan.score.broken == 0


def test_no_load_holds_more_than_fits() -> None:
    place = workshop(("sifted-pendant", 30))
    plan = Search(place.problem).run(5)
    counts = [place.capacities[(0, place.problem.step(item.members[0]).shape)] for item in plan.loads]
    assert all(len(item.members) <= count for item, count in zip(plan.loads, counts, strict=True))
    assert max(len(item.members) for item in plan.loads) == max(counts)


@pytest.mark.parametrize(("across", "discs", "squares"), [(45, 9, 9), (55, 6, 4)])
def test_area_is_not_capacity(across: float, discs: int, squares: int) -> None:
    """Published packings (Specht): a rack 150 mm square has the area of 11.1 and 7.4 squares of that side."""
    shelf = Shelf(0.150, 0.150, 0.0, 0.0)
    assert holds(shelf, across / 1000, across / 1000, True) == discs
    assert holds(shelf, across / 1000, across / 1000, False) == squares


def test_oblong_footprints_stand_either_way_round() -> None:
    shelf = Shelf(0.100, 0.060, 0.0, 0.0)
    assert holds(shelf, 0.060, 0.020, False) == 5
    assert holds(shelf, 0.061, 0.020, False) == 3
    assert holds(shelf, 0.101, 0.020, False) == 0


def test_shares_of_a_rack_are_whole_units_that_fit() -> None:
    for count in range(1, 101):
        size = RACK // count
        assert count * size <= RACK < (count + 1) * size
    assert shelf_of(KILN).inside[0] < 0.15


def jar(name: str, family: str, lead: str = "no", cadmium: str = "no") -> Jar:
    optics, hazards = OpticsFacet(family=family), HazardFacet(lead=lead, cadmium=cadmium)  # type: ignore[arg-type]
    return Jar(id=name, name=name, kind="opaque", optics=optics, hazards=hazards)


def test_dark_colours_last_and_harmful_ones_together() -> None:
    jars = [jar("black", "black"), jar("white", "white"), jar("red", "red", cadmium="yes"), jar("blue", "blue", lead="yes"),
            jar("sky", "blue")]  # fmt: skip
    setups = sorted(Setup.of(each) for each in jars)
    assert [setup.jar for setup in setups] == ["white", "sky", "black", "blue", "red"]
    table = washing(setups)
    place = {setup.jar: n for n, setup in enumerate(setups, 1)}

    def cost(one: str, other: str) -> int:
        return table[place[one]][place[other]]

    assert cost("white", "white") == 0
    assert cost("white", "black") < cost("black", "white") < cost("blue", "white")
    assert cost("red", "white") == cost("red", "blue") == max(max(row) for row in table)
    in_order = sum(table[n][n + 1] for n in range(1, len(setups)))
    backwards = sum(table[n + 1][n] for n in range(1, len(setups)))
    assert in_order < backwards


def test_a_class_around_one_kiln() -> None:
    plan, layup = planned("sifted-pendant")
    wanted = [Wanted(plan, layup, f"piece {n}", owner=f"place {n}") for n in range(1, 9)]
    wanted.append(Wanted(plan, layup, "for the shop"))
    place = studio(wanted, CALENDAR, [Person("teacher")], [KilnOfDay(KILN)], [Station("sifting place", 3)])
    problem = place.problem
    problem.check()
    made = Search(problem).run(10)
    blocks = made.on_clock()
    assert check(problem, blocks) == []
    assert {problem.people[block.people[0]].name for block in blocks if block.kiln >= 0} == {"teacher"}
    assert max(len(item.members) for item in made.loads) > 1, "pieces of several people share a load"
    ours = [block for block in blocks if block.kiln < 0 and block.members[0][0] == len(wanted) - 1]
    assert ours
    assert {problem.people[block.people[0]].name for block in ours} == {"teacher"}, "no student works at it"


def test_a_pinned_step_does_not_start_before_its_time() -> None:
    from dataclasses import replace

    place = workshop(("sifted-pendant", 2))
    noon = HOURS[1][0]
    piece = place.problem.pieces[0]
    steps = (*piece.steps[:2], replace(piece.steps[2], earliest=noon), *piece.steps[3:])
    problem = replace(place.problem, pieces=(replace(piece, steps=steps), *place.problem.pieces[1:]))
    plan = Search(problem).run(5)
    assert check(problem, plan.on_clock()) == []
    assert min(block.start for block in plan.on_clock() if block.members == ((0, 2),)) >= noon


def test_what_is_too_large_is_put_aside_and_the_rest_planned() -> None:
    plan, layup = planned("sifted-pendant")
    tiny = Kiln(name="thimble", shelf_width=0.05, shelf_depth=0.05)
    place = studio([Wanted(plan, layup, "disc", 2)], CALENDAR, [Person("me")], [KilnOfDay(tiny)])
    problem, left_out = place.problem.without_the_impossible()
    assert [name for name, _ in left_out] == ["disc 1", "disc 2"]
    assert all("larger than the shelf" in words for _, words in left_out)
    assert not list(problem.refs())
