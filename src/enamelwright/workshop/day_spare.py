"""What a plan has to spare: days to its tightest date, and pieces to start besides so that enough come out good."""

from __future__ import annotations

from datetime import date

from enamelwright.errors import EnamelwrightError
from enamelwright.planning.day.chance import yields
from enamelwright.planning.series import Yield, to_start
from enamelwright.workshop import designs
from enamelwright.workshop.day_asked import came_out
from enamelwright.workshop.day_kept import KeptPlan
from enamelwright.workshop.studio import Studio

#: How sure enough good pieces are made, and how many are worth working out.
SURE, MOST = 0.9, 200


def spare_words(studio: Studio, plan: KeptPlan) -> str:
    """Say how many days the tightest date leaves, and how many more pieces of each design would make it sure.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan; its pieces without a date count for nothing.
    """
    due: dict[str, str] = {}
    wanted: dict[int, int] = {}
    for name, about in plan.content["pieces"].items():
        if about["due"] and int(about["version"]) > 0:
            due[name] = str(about["due"])
            wanted[int(about["version"])] = wanted.get(int(about["version"]), 0) + 1
    ends: dict[str, str] = {}
    for block in plan.blocks:
        for name in block.pieces:
            if name in due:
                ends[name] = max(ends.get(name, ""), block.end)
    if not ends:
        return ""
    days = min((date.fromisoformat(due[name][:10]) - date.fromisoformat(end[:10])).days for name, end in ends.items())
    words = []
    if days >= 0:
        left = "on its last day" if not days else f"with {days} day{'' if days == 1 else 's'} to spare"
        words.append(f"By this plan the tightest date is kept {left}.")
    record = came_out(studio)
    good = yields(record["good"], record["fired"])[0]
    more = [told for version, count in wanted.items() if (told := _more(studio, version, count, good))]
    if more:
        words.append(f"To have enough good ones nine times in ten, start {', '.join(more)} besides.")
    return " ".join(words)


def _more(studio: Studio, version: int, count: int, good: float) -> str:
    """Return how many pieces of a design to start besides, with its name; empty for none."""
    if count > MOST:
        return ""
    try:
        design = designs.design_row(studio, int(designs.version_row(studio, version).design))
        extra = to_start(count, Yield.known(good), SURE) - count
    except EnamelwrightError:
        return ""
    return f"{extra} more {design.name}" if extra else ""
