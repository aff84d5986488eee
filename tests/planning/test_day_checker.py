"""The checker finds nothing in a plan, and every fault that is put into one."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace

import pytest

from enamelwright.planning.day.checker import Block, check
from enamelwright.planning.day.drills import AREAS, DAY, ROUTES, drill, workshop
from enamelwright.planning.day.policies import Policy, rules
from enamelwright.planning.day.problem import Person, Piece, Problem, Station
from enamelwright.planning.day.simulator import simulate

PROBLEM = drill("12, one person")
BLOCKS = simulate(PROBLEM, Policy(fill=0.6)).on_clock()
LOADS = [n for n, block in enumerate(BLOCKS) if block.kiln >= 0]
FULL = next(n for n in LOADS if len(BLOCKS[n].members) > 2)

Change = Callable[[list[Block]], None]


def kinds(blocks: list[Block], problem: Problem = PROBLEM) -> set[str]:
    return {fault.kind for fault in check(problem, blocks)}


def moved(block: Block, ticks: int) -> Block:
    return replace(block, start=block.start + ticks, end=block.end + ticks)


def early(blocks: list[Block]) -> None:
    at = next(n for n, block in enumerate(blocks) if block.members[0][1] == 2)
    blocks[at] = moved(blocks[at], -40)


def dropped(blocks: list[Block]) -> None:
    blocks[FULL] = replace(blocks[FULL], members=blocks[FULL].members[1:])


def twice(blocks: list[Block]) -> None:
    blocks.append(moved(blocks[FULL], DAY))


def other_family(blocks: list[Block]) -> None:
    blocks[FULL] = replace(blocks[FULL], family=(blocks[FULL].family + 1) % 4)


def closed_up(blocks: list[Block]) -> None:
    pair = next((a, b) for a, b in itertools.pairwise(LOADS) if blocks[a].family != blocks[b].family)
    blocks[pair[1]] = moved(blocks[pair[1]], blocks[pair[0]].end - blocks[pair[1]].start)


def over_the_break(blocks: list[Block]) -> None:
    at = max((n for n, block in enumerate(blocks) if block.end <= 1500), key=lambda n: blocks[n].end)
    blocks[at] = moved(blocks[at], 1501 - blocks[at].end)


def cold(blocks: list[Block]) -> None:
    blocks[LOADS[0]] = moved(blocks[LOADS[0]], 1090 - blocks[LOADS[0]].start)


def two_places(blocks: list[Block]) -> None:
    blocks[1] = moved(blocks[1], blocks[0].start - blocks[1].start)


def too_short(blocks: list[Block]) -> None:
    blocks[0] = replace(blocks[0], end=blocks[0].end - 1)


def nobody(blocks: list[Block]) -> None:
    blocks[0] = replace(blocks[0], people=())


MUTATIONS = [
    (early, "wait"), (dropped, "once"), (twice, "once"), (other_family, "family"), (closed_up, "recovery"),
    (over_the_break, "hours"), (cold, "cold"), (two_places, "people"), (too_short, "length"), (nobody, "people"),
]  # fmt: skip


def test_a_plan_has_no_fault() -> None:
    assert check(PROBLEM, BLOCKS) == []


@pytest.mark.parametrize(("change", "kind"), MUTATIONS)
def test_a_fault_put_in_is_found(change: Change, kind: str) -> None:
    blocks = list(BLOCKS)
    change(blocks)
    assert kind in kinds(blocks)


def test_a_smaller_rack_is_too_small() -> None:
    kiln = replace(PROBLEM.kilns[0], rack=max(AREAS))
    assert "room" in kinds(list(BLOCKS), replace(PROBLEM, kilns=(kiln,)))


def test_room_can_be_judged_by_a_layout() -> None:
    """Area is not room: nine footprints of 45 mm fit where the area says eleven."""
    assert {f.kind for f in check(PROBLEM, BLOCKS, room=lambda kiln, shapes: len(shapes) < 2)} == {"room"}


def test_the_past_may_not_change() -> None:
    frozen = [moved(BLOCKS[0], 1)]
    assert {f.kind for f in check(PROBLEM, BLOCKS, frozen)} == {"past"}


def test_a_longest_wait_is_kept_on_the_clock() -> None:
    steps = list(ROUTES["disc25"])
    steps[3] = replace(steps[3], longest=30)
    problem = workshop([Piece("one", tuple(steps)), Piece("two", ROUTES["disc25"])])
    plan = simulate(problem, rules(problem)[-1].policy)
    assert check(problem, plan.on_clock()) == []
    late = [moved(b, DAY) if b.members[0] >= (0, 4) and b.members[0][0] == 0 else b for b in plan.on_clock()]
    assert "longest wait" in kinds(late, problem)


def test_skills_absence_and_stations() -> None:
    problem = workshop([Piece("one", ROUTES["disc25"]), Piece("two", ROUTES["disc25"])], people=2)
    plan = simulate(problem, Policy())
    steps = tuple(
        replace(step, skill="" if step.fires else "hand", stations=() if step.fires else ((0, 1),))
        for step in ROUTES["disc25"]
    )
    asked = replace(
        problem,
        pieces=tuple(Piece(name, steps) for name in ("one", "two")),
        people=(Person("a"), Person("b", frozenset({"hand"}), away=((1080, 1100),))),
        stations=(Station("bench"),),
    )
    assert {"skill", "away", "station"} <= kinds(list(plan.on_clock()), asked)
    assert check(asked, simulate(asked, Policy()).on_clock()) == []


def test_tools_are_cleaned_between_colours() -> None:
    dark = tuple(replace(step, setup=2) if n == 1 else step for n, step in enumerate(ROUTES["disc25"]))
    light = tuple(replace(step, setup=1) if n == 1 else step for n, step in enumerate(ROUTES["disc25"]))
    problem = replace(
        workshop([Piece("dark", dark), Piece("light", light), Piece("dark too", dark)]),
        washing=((0, 0, 0), (0, 0, 2), (0, 9, 0)),
    )
    plan = simulate(problem, Policy())
    assert check(problem, plan.on_clock()) == []
    layings = [item for item in plan.items if item.members[0][1] == 1]
    assert sum(item.washing for item in layings) == 2, "light first, then both dark ones with one cleaning between"
    dirty = [replace(b, end=b.end - 2) if b.end - b.start == 5 else b for b in plan.on_clock()]
    assert "length" in kinds(dirty, problem)
