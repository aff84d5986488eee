"""Which coats lie where on a planned piece, and how thick each is after a firing."""

from __future__ import annotations

from enamelwright.craft.coat import Coat
from enamelwright.craft.plan import CoatWeight, Plan


def covers(coat: Coat, cell: str) -> bool:
    """Whether a coat lies in a cell; one that names no cells lies everywhere.

    Parameters
    ----------
    coat : Coat
        As described.
    cell : str
        Name of the cell; empty for the ground outside all cells.
    """
    return not coat.cells or cell in coat.cells


def thickness_after(plan: Plan, weight: CoatWeight, firing: int | None) -> float:
    """Return the fired thickness of one coat after a firing [m]; 0 before it is first fired.

    Parameters
    ----------
    plan : Plan
        The plan.
    weight : CoatWeight
        The coat's amounts. A fill to level carries its final glass, any other coat that of one laying.
    firing : int or None
        Number of the firing; None for the finished piece.
    """
    coat = plan.piece.coats[weight.coat]
    whole = weight.fired_thickness.value * (1 if coat.fill == "to level" else max(1, weight.layings))
    if firing is None or coat.fired:
        return whole
    rounds = {step.number for step in plan.firings if weight.coat in step.fuses}
    rounds |= {work.firing for work in plan.operations if work.work == "lay" and weight.coat in work.coats}
    rounds &= {step.number for step in plan.firings}
    if not rounds:
        return 0.0
    return whole * sum(1 for number in rounds if number <= firing) / len(rounds)
