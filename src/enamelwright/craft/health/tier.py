"""How an estimate about health reads: low on this estimate, watch, or stop; never good, and never harmless."""

from __future__ import annotations

from typing import Literal

from enamelwright.craft.verdict import Level

Tier = Literal["low", "watch", "stop"]


def tier(level: Level) -> Tier:
    """Return how a level reads where it speaks of health: the best outcome is low on this estimate.

    Parameters
    ----------
    level : str
        As a rule or a check found it.
    """
    return "low" if level == "good" else level
