"""The firings of a plan as lines: what is set, how long as a range, when to look."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.craft.plan import Plan
from enamelwright.web.viewer import degrees

#: Times are told to so many seconds, since nobody pulls more exactly.
STEP = 5


@dataclass(frozen=True)
class WindowLine:
    """One firing of the plan as a line.

    Parameters
    ----------
    number : int
        Of the firing.
    words : str
        What it is for.
    target : str
        Stage to stop at.
    heat, time, start : str
        What is set, how long, likely and as a range, and counted from when.
    looks : str
        When to look.
    """

    number: int
    words: str
    target: str
    heat: str
    time: str
    start: str
    looks: str


def window_lines(plan: Plan) -> tuple[WindowLine, ...]:
    """Return every firing of a plan as a line.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    lines = []
    for firing in plan.firings:
        window = firing.window
        heat = time = looks = start = ""
        if window is not None:
            if window.set_point is not None:
                heat = degrees(window.set_point.value)
            if window.seconds is not None:
                time = f"{clock(window.seconds.low)} to {clock(window.seconds.high)}"
                if window.status == "model":
                    time = f"likely {clock(window.seconds.value)} ({time})"
            start = "from closing the door" if window.start == "load" else "from back up to heat"
            plan_of_looks = getattr(window, "looks", None)
            looks = plan_of_looks.words if plan_of_looks is not None else ""
        lines.append(WindowLine(firing.number, firing.words, firing.target, heat, time, start, looks))
    return tuple(lines)


def clock(seconds: float) -> str:
    """Print a time as the kiln's clock shows it, to five seconds."""
    whole = STEP * round(seconds / STEP)
    return f"{whole // 60}:{whole % 60:02d}"
