"""Finish of published job shops, projects and batches, solved to the end by the planner of the day.

H. Fisher, G. L. Thompson in Muth and Thompson (eds.), Industrial Scheduling, 1963 (ft06); S. Lawrence, Resource
constrained project scheduling (Supplement), 1984 (la); R. Kolisch, A. Sprecher, PSPLIB, Eur. J. Oper. Res. 96
(1996) 205-216 (j30). Data and optima stand in benchmarks/data with their citations. The batching theorem (sort
longest first, cut into full loads) is classical: from memory, agreed with brute force.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import batches, job_shop, project
from enamelwright.planning.day.left_shift import one_by_one
from enamelwright.planning.day.problem import Problem
from enamelwright.planning.day.solve import Effort, solve_whole

DATA = Path(__file__).parents[2] / "benchmarks" / "data"

#: Least finish of each.
JOB_SHOPS = [("ft06", 55), ("la01", 666), ("la02", 655), ("la05", 593)]
PROJECTS = [("j301_1", 43), ("j301_2", 47), ("j301_3", 47), ("j301_4", 62), ("j301_5", 39), ("j301_6", 48)]
#: Times of the pieces, how many share a load, least finish.
BATCHES = [([9, 8, 7, 5, 4, 4, 2, 1], 3, 16), ([5, 5, 5], 1, 15), ([3, 9, 1, 7], 4, 9), ([6, 2, 6, 2], 2, 8)]


def solved(problem: Problem) -> int:
    """Solve to the end, from a poor plan, counted so that it repeats."""
    problem.check()
    found = solve_whole(one_by_one(problem), Effort(counted=20), fewer_loads=False)
    assert "finish" in found.proven
    assert check(problem, found.plan.on_clock()) == []
    return found.plan.finish


@pytest.mark.parametrize(("name", "finish"), JOB_SHOPS)
def test_job_shop(name: str, finish: int) -> None:
    case = json.loads((DATA / "job_shops.json").read_text(encoding="utf-8"))["instances"][name]
    assert solved(job_shop(case["jobs"])) == finish == case["optimum"]


@pytest.mark.parametrize(("name", "finish"), PROJECTS)
def test_project(name: str, finish: int) -> None:
    case = json.loads((DATA / "projects.json").read_text(encoding="utf-8"))["instances"][name]
    assert solved(project(case["means"], case["activities"])) == finish == case["optimum"]


@pytest.mark.parametrize(("times", "room", "finish"), BATCHES)
def test_batches(times: list[int], room: int, finish: int) -> None:
    assert solved(batches(times, room)) == finish
    assert sum(sorted(times, reverse=True)[::room]) == finish
