"""Plans of a day: distance from the least possible, rules of thumb beside them, and published problems beside a peer.

First the invented days of 12 to 300 pieces: a plan by search over policies, then by freeing stretches with the
exact model, in a stated time on two cores; every plan is looked at by the checker. Beside it the rules of thumb
of the same run. Then published job shops and projects, solved by the same engine and by PyJobShop with the same
solver, time and cores. `python benchmarks/day.py days` or `... published` runs one half; `quick` takes a
tenth of the time; a number of pieces runs those days alone. A whole run takes ten to fifteen minutes on a quiet machine;
`--keep` writes it to day.json, which `python tests/planning/plans_page.py` shows in the documents.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from yardstick import yardstick

from enamelwright.planning.day.bound import bound
from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import drill, job_shop, project
from enamelwright.planning.day.join_loads import join_loads
from enamelwright.planning.day.left_shift import one_by_one
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Problem
from enamelwright.planning.day.refill import refill
from enamelwright.planning.day.replan import Changes, failed, freeze, replan
from enamelwright.planning.day.solve import Effort, solve_whole
from enamelwright.planning.day.window_search import improve

DATA = Path(__file__).parent / "data"
KEPT = Path(__file__).with_name("day.json")
WORKERS = 2
#: drill, seconds in all, distance from the bound that is promised.
DAYS = [
    ("12, one person", 30, None), ("12, two people", 30, None), ("36, one person", 30, 0.02), ("100, one person", 60, 0.04),
    ("100, two people", 60, 0.04), ("300, one person", 180, 0.05),
]  # fmt: skip
#: Shares of the time up to which policies are searched, loads taken apart and put together; small days go to the
#: exact model whole.
SEARCH, REFILL, JOIN, WHOLE = 0.35, 0.5, 0.6, 12
#: Plans timed anew to put near loads together, each time: as many as the workshop's own longer search takes.
JOINS = 600
#: Seconds for one published problem.
LIMIT = 30.0
TICKS_AN_HOUR = 120


def until(moment: float) -> Callable[[float, str], bool]:
    return lambda share, words: time.perf_counter() < moment


def told(name: str, plan: DayPlan, least: int, seconds: float) -> dict[str, Any]:
    work = plan.working_ticks()
    print(
        f"  {name:38s} {work / TICKS_AN_HOUR:8.2f} h {work / least - 1:8.1%} {len(plan.loads):6d} loads"
        f" {len(plan.late_pieces):4d} late {seconds:7.2f} s",
        flush=True,
    )
    return {
        "what": name, "hours": work / TICKS_AN_HOUR, "gap": work / least - 1, "loads": len(plan.loads),
        "late": len(plan.late_pieces), "seconds": seconds,
    }  # fmt: skip


def one_day(name: str, seconds: float, promised: float | None) -> dict[str, Any]:
    problem = drill(name)
    calendar = problem.calendar
    least = calendar.worked_by(calendar.to_clock(bound(problem).finish))
    print(f"\n{name}: no plan is shorter than {least / TICKS_AN_HOUR:.2f} h of work")
    begun = time.perf_counter()
    search = Search(problem)
    search.start()
    first = time.perf_counter() - begun
    rows = [told(rule, plan, least, first / len(search.baselines)) for rule, plan in search.baselines]
    plan = search.run(10**6, until(begun + seconds * SEARCH))
    told(f"search over policies ({search.tried} days)", plan, least, time.perf_counter() - begun)
    if len(problem.pieces) <= WHOLE:
        solved = solve_whole(plan, Effort(seconds=seconds * (1 - SEARCH) / 3, workers=WORKERS))
        plan = solved.plan
        proven = ", ".join(sorted(solved.proven)) or "nothing"
        told(f"exact model; proven least: {proven}", plan, least, time.perf_counter() - begun)
    plan = refill(plan, 10**6, until(begun + seconds * REFILL))
    told("loads taken apart", plan, least, time.perf_counter() - begun)
    plan = join_loads(plan, JOINS, until(begun + seconds * JOIN))
    told("near loads put together", plan, least, time.perf_counter() - begun)
    plan = improve(plan, 10**6, Effort(seconds=4.0, workers=WORKERS, still=1.0), until(begun + seconds))
    told("stretches freed", plan, least, time.perf_counter() - begun)
    plan = join_loads(plan, JOINS)
    faults = check(problem, plan.on_clock())
    last = told("near loads put together", plan, least, time.perf_counter() - begun)
    gap = plan.working_ticks() / least - 1
    print(f"  faults found: {len(faults)}; first plan after {first:.2f} s; {gap:.2%} above the bound", end="")
    print(f"; promised {promised:.0%}: {'kept' if gap <= promised else 'NOT KEPT'}" if promised is not None else "")
    best = min(each.score for _, each in search.baselines)
    print(f"  never worse than a rule of thumb: {plan.score <= best}")
    return {
        "name": name, "steps": sum(1 for _ in problem.refs()), "bound": least / TICKS_AN_HOUR, "rules": rows,
        "first": first, "found": last, "promised": promised, "faults": len(faults), "no_worse": plan.score <= best,
    }  # fmt: skip


def days_table(rows: list[dict[str, Any]]) -> None:
    """All days in one table: bound, value, the best rule of thumb and piece by piece, and the first plan."""
    print(
        f"\n{'':18s} {'steps':>5s} {'least h':>8s} {'found h':>8s} {'above':>6s} {'asked':>6s} {'loads':>5s} {'late':>4s}"
        f" {'first s':>7s} {'best rule h':>11s} {'late':>4s} {'one by one h':>12s} {'faults':>6s}"
    )
    for row in rows:
        found, rule, single = row["found"], best_rule(row), row["rules"][0]
        asked = "" if row["promised"] is None else f"{row['promised']:.0%}"
        print(
            f"{row['name']:18s} {row['steps']:5d} {row['bound']:8.2f} {found['hours']:8.2f} {found['gap']:6.1%} {asked:>6s}"
            f" {found['loads']:5d} {found['late']:4d} {row['first']:7.2f} {rule['hours']:11.2f} {rule['late']:4d}"
            f" {single['hours']:12.2f} {row['faults']:6d}"
        )


def best_rule(row: dict[str, Any]) -> dict[str, Any]:
    """The rule of thumb with fewest late, then shortest."""
    return min(row["rules"], key=lambda one: (one["late"], one["hours"]))


def disturbed() -> None:
    """One day disturbed twice: a step takes a quarter of an hour longer, then a piece goes back to its first firing."""
    plan = Search(drill("12, one person")).run(200)
    print("\n12 pieces, one person, disturbed twice")
    told_change("as planned", plan, None)
    now = plan.problem.calendar.windows[0][0] + 300
    running = next(block for block in plan.on_clock() if block.start < now <= block.end)
    first = replan(freeze(plan, now, {running.members[0]: 30}), tries=200)
    told_change("a step 15 min longer: order kept", first.kept, first.kept_changes)
    if first.offered is not None and first.offered_changes is not None:
        told_change("  offered", first.offered, first.offered_changes)
    later = freeze(first.kept, now + 200)
    piece = next(n for n, told in enumerate(later.problem.pieces) if 3 <= told.first < len(told.steps))
    second = replan(failed(later, piece, 2), tries=200)
    told_change("a piece goes back: order kept", second.kept, second.kept_changes)
    if second.offered is not None and second.offered_changes is not None:
        told_change("  offered", second.offered, second.offered_changes)
    faults = check(first.kept.problem, first.kept.on_clock()) + check(second.kept.problem, second.kept.on_clock())
    print(f"  faults found: {len(faults)}")


def told_change(name: str, plan: DayPlan, changed: Changes | None) -> None:
    words = "" if changed is None else f"  {changed.words()}; {changed.moved} steps moved over 15 min"
    print(f"  {name:34s} ends {plan.finish:5d}, {len(plan.loads):2d} loads, {len(plan.late_pieces)} late{words}")


def ours(problem: Problem, limit: float) -> tuple[int, bool, float]:
    begun = time.perf_counter()
    found = solve_whole(one_by_one(problem), Effort(seconds=limit, workers=WORKERS), fewer_loads=False)
    assert check(problem, found.plan.on_clock()) == []
    return found.plan.finish, "finish" in found.proven, time.perf_counter() - begun


def peer_job_shop(jobs: list[list[list[int]]], limit: float) -> tuple[int, bool, float]:
    from pyjobshop import Model

    model = Model()
    machines = [model.add_machine() for _ in range(1 + max(m for job in jobs for m, _ in job))]
    for operations in jobs:
        job = model.add_job()
        before = None
        for machine, length in operations:
            task = model.add_task(job=job)
            model.add_mode(task, machines[machine], length)
            if before is not None:
                model.add_end_before_start(before, task)
            before = task
    return peer(model, limit)


def peer_project(means: list[int], activities: list[list[object]], limit: float) -> tuple[int, bool, float]:
    from pyjobshop import Model

    model = Model()
    resources = [model.add_renewable(capacity=capacity) for capacity in means]
    tasks = [model.add_task() for _ in activities]
    for task, (length, uses, _) in zip(tasks, activities, strict=True):
        model.add_mode(task, resources, length, demands=uses)
    for task, (_, _, followers) in zip(tasks, activities, strict=True):
        for later in followers:  # type: ignore[attr-defined]
            model.add_end_before_start(task, tasks[later])
    return peer(model, limit)


def peer(model: object, limit: float) -> tuple[int, bool, float]:
    begun = time.perf_counter()
    result = model.solve(time_limit=limit, num_workers=WORKERS, display=False)  # type: ignore[attr-defined]
    return round(result.objective), result.status.value == "Optimal", time.perf_counter() - begun


def published(limit: float) -> list[dict[str, Any]]:
    shops = json.loads((DATA / "job_shops.json").read_text(encoding="utf-8"))["instances"]
    projects = json.loads((DATA / "projects.json").read_text(encoding="utf-8"))["instances"]
    print(f"\npublished problems, {WORKERS} cores, at most {limit:.0f} s each: finish, * where proven, seconds")
    print(f"  {'':8s} {'published':>9s} {'ours':>16s} {'PyJobShop':>18s}")
    reached = solved = 0
    rows = []
    cases: list[tuple[str, int, Problem, Callable[[], tuple[int, bool, float]]]] = [
        (name, case["optimum"], job_shop(case["jobs"]), lambda case=case: peer_job_shop(case["jobs"], limit))
        for name, case in shops.items()
    ]
    cases += [
        (
            name,
            case["optimum"],
            project(case["means"], case["activities"]),
            lambda case=case: peer_project(case["means"], case["activities"], limit),
        )
        for name, case in projects.items()
    ]
    for name, optimum, problem, beside in cases:
        mine, theirs = ours(problem, limit), beside()
        reached += mine[0] == optimum
        solved += mine[1]
        rows.append(
            {"name": name, "optimum": optimum, "ours": list(mine), "peer": list(theirs)}
        )  # fmt: skip
        row = "".join(f"{f:9d}{'*' if p else ' '} {s:6.2f} s" for f, p, s in (mine, theirs))
        print(f"  {name:8s} {optimum:9d} {row}", flush=True)
    print(f"  {len(cases)} problems: {reached} at the published least finish, {solved} of them proven")
    return rows


def main(words: list[str]) -> None:
    stick, begun = yardstick(), time.perf_counter()
    print(f"yardstick {stick * 1000:.0f} ms")
    share = 0.1 if "quick" in words else 1.0
    numbers = [word for word in words if word[0].isdigit()]
    days, problems = [], []
    if "published" not in words:
        disturbed()
        days = [
            one_day(name, seconds * share, promised)
            for name, seconds, promised in DAYS
            if not numbers or name.split(",")[0] in numbers
        ]
        days_table(days)
    if "days" not in words:
        problems = published(LIMIT * share)
    took = time.perf_counter() - begun
    print(f"\n{took / 60:.1f} min in all")
    if "--keep" in words:
        before = json.loads(KEPT.read_text(encoding="utf-8")) if KEPT.exists() else {}
        kept = {
            "yardstick": stick, "cores": WORKERS, "minutes": took / 60, "days": days or before.get("days", []),
            "published": problems or before.get("published", []),
        }  # fmt: skip
        KEPT.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
