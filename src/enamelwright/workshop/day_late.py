"""How late the kept plan is with an order, in the words of the day."""

from __future__ import annotations

from enamelwright.workshop.day_kept import KeptPlan

_MINUTE, _HOUR, _DAY = 60, 3600, 86400
#: Hours from which lateness is told in hours, and in days.
_IN_HOURS, _IN_DAYS = 2, 48
#: Days from which parts of one are not worth a word.
_MANY = 10


def over_words(seconds: float) -> str:
    """Write how late something is, like ``45 min``, ``7 h``, ``2.5 days`` or ``12 days``.

    Parameters
    ----------
    seconds : float
        By how much [s].
    """
    if seconds >= _IN_DAYS * _HOUR:
        return f"{seconds / _DAY:.1f} days" if seconds < _MANY * _DAY else f"{seconds / _DAY:.0f} days"
    return f"{seconds / _MINUTE:.0f} min" if seconds < _IN_HOURS * _HOUR else f"{seconds / _HOUR:.0f} h"


def late_orders(plan: KeptPlan) -> dict[str, str]:
    """Return by how much the plan is late with each order it cannot keep, in words, by number: its latest piece.

    Parameters
    ----------
    plan : KeptPlan
        The plan.
    """
    found: dict[str, float] = {}
    for one in plan.answer["late"]:
        order = str(plan.about(one["piece"]).get("order", ""))
        if order:
            found[order] = max(found.get(order, 0.0), float(one["by"]["value"]))
    return {order: over_words(by) for order, by in found.items()}
