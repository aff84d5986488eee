"""The exact solver on a whole day: first lateness, then finish, then attended ticks, each from the plan before."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any

from enamelwright.planning.day.bound import bound
from enamelwright.planning.day.cp_model import DayModel, Scope, kilns_before
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.problem import Ref


@dataclass(frozen=True)
class Effort:
    """How long one solve may take.

    Parameters
    ----------
    seconds : float or None
        By the clock; not reproducible.
    counted : float or None
        By the solver's own count of work; reproducible with one worker.
    workers, seed : int
        Threads and seed of the draws.
    still : float or None
        Stop after so many seconds without a better plan.
    """

    seconds: float | None = None
    counted: float | None = None
    workers: int = 1
    seed: int = 1
    still: float | None = None


@dataclass(frozen=True)
class Solved:
    """What the solver found.

    Parameters
    ----------
    plan : DayPlan
        Never worse than the hint.
    proven : frozenset of str
        Which of ``late``, ``finish`` and ``attended`` are proven to be the least, each given those before it.
    least_finish : int
        Proven bound of the finish on the axis; that of the work content where the solver knows no better.
    """

    plan: DayPlan
    proven: frozenset[str]
    least_finish: int


def whole(plan: DayPlan) -> Scope:
    """Free a whole plan."""
    problem, calendar = plan.problem, plan.problem.calendar
    begin = calendar.to_axis(problem.now)
    ready = {
        (number, piece.first): max(calendar.to_axis(piece.release), begin)
        for number, piece in enumerate(problem.pieces)
        if piece.first < len(piece.steps)
    }
    return Scope(plan.items, (), ready, kilns_before(problem, ()), whole=True)


def relabel(plan: DayPlan) -> DayPlan:
    """Let interchangeable pieces go through every stage in the same order; the plan is as good as before."""
    problem = plan.problem
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, piece in enumerate(problem.pieces):
        groups.setdefault((piece.group, piece.steps), []).append(number)
    names: dict[Ref, Ref] = {}
    for members in groups.values():
        for place in range(problem.pieces[members[0]].first, len(problem.pieces[members[0]].steps)):
            refs = sorted(((n, place) for n in members), key=lambda ref: (plan.placed[ref].start, ref))
            names.update({old: (new, place) for old, new in zip(refs, members, strict=True)})
    return DayPlan.of(
        problem,
        [
            Item(i.start, i.length, tuple(sorted(names[r] for r in i.members)), i.people, i.kiln, i.family, i.washing)
            for i in plan.items
        ],
    )


def minimise(model: DayModel, goal: Any, effort: Effort, hints: list[tuple[Any, int]]) -> tuple[str, Any]:
    """Minimise one goal from a hint and return (status, solver).

    Parameters
    ----------
    model : DayModel
        Of a scope.
    goal : linear expression
        What to make small.
    effort : Effort
        How long.
    hints : list of (variable, value)
        Where to begin.
    """
    model.model.clear_hints()  # type: ignore[no-untyped-call]
    for variable, number in hints:
        model.model.add_hint(variable, number)
    model.model.minimize(goal)
    solver = model.cp.CpSolver()
    solver.parameters.num_workers = effort.workers
    solver.parameters.random_seed = effort.seed
    if effort.seconds is not None:
        solver.parameters.max_time_in_seconds = effort.seconds
    if effort.counted is not None:
        solver.parameters.max_deterministic_time = effort.counted
    watch = _watch(model.cp, effort.still) if effort.still is not None else None
    status = solver.solve(model.model, watch)
    if watch is not None:
        watch.end()
    return str(solver.status_name(status)), solver


def _watch(cp: Any, still: float) -> Any:
    """Return a callback that stops the solver once it has found nothing better for a while."""

    class Watch(cp.CpSolverSolutionCallback):  # type: ignore[misc]
        """Starts its clock again at every better plan."""

        def __init__(self) -> None:
            super().__init__()
            self.clock: threading.Timer | None = None

        def on_solution_callback(self) -> None:
            """Begin to wait again."""
            self.end()
            self.clock = threading.Timer(still, self.stop_search)
            self.clock.daemon = True
            self.clock.start()

        def end(self) -> None:
            """Wait no longer."""
            if self.clock is not None:
                self.clock.cancel()

    return Watch()


def solve_whole(plan: DayPlan, effort: Effort, fewer_loads: bool = True) -> Solved:
    """Improve a whole plan: first lateness, then finish, then attended ticks.

    Parameters
    ----------
    plan : DayPlan
        Where to begin.
    effort : Effort
        For each of the three.
    fewer_loads : bool
        Whether the third is asked at all.

    Returns
    -------
    Solved
        Its plan is timed anew, and never worse than the one given.
    """
    problem = plan.problem
    best, proven = plan, set[str]()
    hint = relabel(plan) if not problem.after and plan.score.broken == 0 else plan
    model = DayModel(problem, whole(hint), alike=hint is not plan)
    least = bound(problem).finish
    model.model.add(model.finish >= least)
    hints: list[tuple[Any, int]] = list(model.hints)
    goals: list[tuple[str, Any]] = [("late", model.late), ("finish", model.finish)]
    if fewer_loads and model.positions:
        goals.append(("attended", model.attended))
    for name, goal in goals:
        if name == "late" and plan.score.late == 0:
            model.model.add(model.late <= 0)
            proven.add(name)
            continue
        status, solver = minimise(model, goal, effort, hints)
        if status not in {"OPTIMAL", "FEASIBLE"}:
            break
        reached = round(solver.objective_value)
        if status == "OPTIMAL":
            proven.add(name)
        if name == "finish":
            least = max(least, round(solver.best_objective_bound)) if "late" in proven else least
        model.model.add(goal <= reached)
        hints = [(variable, solver.value(variable)) for variable, _ in model.hints]
        found = left_shift(problem, model.read(solver.value))
        if found.score <= best.score:
            best = found
    return Solved(best, frozenset(proven), least)
