"""A plan turned to what was really fired: the same glass in the order it came, and nothing that was never laid."""

from __future__ import annotations

from collections.abc import Collection

from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.plan import FiringState, Plan
from enamelwright.figure import Figure

#: Why no bow is worked out for it.
OTHERWISE = "it was not fired as the plan has it"


def as_fired(
    plan: Plan, done: Collection[int], coats: Collection[int], *, over: bool, bow: Figure | None = None
) -> tuple[Plan, int]:
    """Return a plan for drawing a piece as its record has it, and the firing of it to draw.

    The firings that were done stand first, in the order of the plan; verdicts and the foretold bow, which hold for
    the plan as it was meant, are left out.

    Parameters
    ----------
    plan : Plan
        Of the piece.
    done : collection of int
        Numbers of the firings behind it.
    coats : collection of int
        Coats that were laid and fired, from 0.
    over : bool
        Whether nothing more is to come: a coat that was laid is then drawn whole, however many rounds it took.
    bow : Figure, optional
        As measured [m].
    """
    behind = [one for one in plan.firings if one.number in done]
    turned = [_kept(one, coats) for one in behind]
    if not over:
        turned += [one for one in plan.firings if one.number not in done]
    numbers = {one.number: place for place, one in enumerate(turned, 1)}
    told = {n for one in turned[: len(behind)] for n in one.fuses}
    told |= {n for step in plan.operations if step.work == "lay" and step.firing in done for n in step.coats}
    extra = tuple(sorted(set(coats) - told))
    if extra and behind:  # laid when the plan had something else
        turned[0] = turned[0].model_copy(update={"fuses": (*turned[0].fuses, *extra)})
    firings = tuple(one.model_copy(update={"number": numbers[one.number]}) for one in turned)
    steps = tuple(_step(one, numbers, done, coats) for one in plan.operations if one.firing in numbers)
    last = len(behind)
    states = (FiringState(firing=last, bow=bow, bow_hot=bow, coats=()),) if bow is not None else ()
    flatness = plan.flatness.model_copy(update={"states": states, "why": OTHERWISE, "counter": None})
    told_plan = plan.model_copy(
        update={"firings": firings, "operations": steps, "flatness": flatness, "verdicts": (), "advice": ()}
    )
    return told_plan, last


def _kept(firing: Firing, coats: Collection[int]) -> Firing:
    return firing.model_copy(
        update={name: tuple(n for n in getattr(firing, name) if n in coats) for name in ("fuses", "lays")}
    )


def _step(step: Operation, numbers: dict[int, int], done: Collection[int], coats: Collection[int]) -> Operation:
    kept = tuple(n for n in step.coats if n in coats) if step.firing in done else step.coats
    return step.model_copy(update={"firing": numbers[step.firing], "coats": kept})
