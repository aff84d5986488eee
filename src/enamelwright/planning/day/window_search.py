"""Better plans by freeing a stretch at a time: what large days need, where one model for all finds nothing."""

from __future__ import annotations

from random import Random

from enamelwright.planning.day.cp_model import ATTEND, END, LATE, STAY, DayModel, Scope, kilns_before
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policy_search import Progress, go_on
from enamelwright.planning.day.problem import Ref
from enamelwright.planning.day.solve import Effort, minimise

#: Blocks freed together.
WIDTH = 70
#: One window.
PER_WINDOW = Effort(seconds=6.0, workers=2, still=2.0)


def window(plan: DayPlan, begin: int, width: int) -> Scope:
    """Free consecutive blocks of a plan.

    Parameters
    ----------
    plan : DayPlan
        Timed to the left.
    begin, width : int
        First block, and how many.
    """
    problem, calendar = plan.problem, plan.problem.calendar
    free = plan.items[begin : begin + width]
    before = plan.items[:begin]
    opens = free[0].start
    inside = {ref for item in free for ref in item.members}
    ready: dict[Ref, int] = {}
    for number, place in inside:
        piece = problem.pieces[number]
        at = max(calendar.to_axis(piece.release), calendar.to_axis(problem.now))
        earlier = plan.placed.get((number, place - 1))
        if earlier is not None and (number, place - 1) not in inside:
            at = max(at, calendar.after(earlier.end, problem.step((number, place - 1)).wait))
        ready[(number, place)] = at
    for early, late, wait in problem.after:
        if late in inside and early not in inside and early in plan.placed:
            ready[late] = max(ready[late], calendar.after(plan.placed[early].end, wait))
    return Scope(free, tuple(i for i in before if i.end > opens), ready, kilns_before(problem, before), whole=False)


def improve_window(plan: DayPlan, begin: int, width: int, effort: Effort, stay: bool = False) -> DayPlan:
    """Free one stretch, solve it, put it back and time everything to the left; the old plan when that is no better.

    Parameters
    ----------
    plan : DayPlan
        Timed to the left.
    begin, width : int
        First block, and how many.
    effort : Effort
        For the solver.
    stay : bool
        Whether, of plans alike, the one that moves fewest pieces to other loads is taken.
    """
    scope = window(plan, begin, width)
    model = DayModel(plan.problem, scope)
    goal = LATE * model.late + END * model.finish + ATTEND * model.attended
    if stay:
        goal = goal + STAY * model.moved_loads()
    status, solver = minimise(model, goal, effort, list(model.hints))
    if status not in {"OPTIMAL", "FEASIBLE"}:
        return plan
    new: list[Item] = [*plan.items[:begin], *model.read(solver.value), *plan.items[begin + width :]]
    found = left_shift(plan.problem, new)
    return found if found.score <= plan.score else plan


def improve(
    plan: DayPlan,
    windows: int,
    effort: Effort = PER_WINDOW,
    progress: Progress = go_on,
    seed: int = 1,
    width: int = WIDTH,
) -> DayPlan:
    """Free so many stretches, sliding from the end with half a stretch of overlap, then anywhere.

    Parameters
    ----------
    plan : DayPlan
        Where to begin.
    windows : int
        How many.
    effort : Effort
        For each.
    progress : callable
        Told before each; stops the search by answering False.
    seed, width : int
        Of the draws; blocks to a stretch.

    Returns
    -------
    DayPlan
        Never worse than the one given.
    """
    shifted = left_shift(plan.problem, plan.items)
    best, chance = (shifted if shifted.score <= plan.score else plan), Random(seed)
    place = len(best.items) - width
    for number in range(windows):
        if not progress(number / windows, f"{number} stretches of the day worked over"):
            break
        begin = max(place, 0) if place > -width // 2 else chance.randrange(max(len(best.items) - width, 0) + 1)
        best = improve_window(best, begin, width, effort)
        place -= width // 2
    return best
