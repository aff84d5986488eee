"""When a stage begins, as a figure: with an open end where it may lie beyond the time worked out."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from enamelwright.craft.coat import Stage
from enamelwright.craft.operation import StageBand
from enamelwright.craft.window.aims import mark_sd
from enamelwright.craft.window.stages import CoatClock, any_chance, band, chance, nominal_time
from enamelwright.figure import Figure, Origin

Array = npt.NDArray[np.float64]
_CLOCK = Origin(kind="computed", source="gloss clock", status="assumption")


def time_figure(
    middle: float, low: float, high: float, longest: float, origin: Origin, shift: float = 0.0
) -> Figure | None:
    """Return a time with its band, cut at the longest time looked at; None where not even its early end comes.

    Parameters
    ----------
    middle, low, high : float
        Likely, early and late time from closing the door [s]; infinite when not in the time looked at.
    longest : float
        Time looked at [s].
    origin : Origin
        Of the figure.
    shift : float
        Taken off all of them [s].
    """
    early = min(low, middle)
    if not math.isfinite(early):
        return None
    likely = min(middle, longest)
    ends = (early, likely, max(likely, min(high, longest)))
    moved = [max(end - shift, 0.0) for end in ends]
    return Figure(value=moved[1], low=moved[0], high=moved[2], dimension="time", origin=origin)


def open_ended(middle: float, high: float, longest: float) -> bool:
    """Tell whether the late end of a time lies beyond the time looked at.

    Parameters
    ----------
    middle, high : float
        Likely and late time [s].
    longest : float
        Time looked at [s].
    """
    return max(middle, high) > longest


def stage_band(stage: Stage, times: Array, clocks: list[CoatClock], shift: float = 0.0) -> StageBand:
    """Return when the last of the coats comes to a stage, or the first to over-firing.

    Parameters
    ----------
    stage : str
        As the eye sees it.
    times : ndarray, shape (n,)
        Looked at [s].
    clocks : list of CoatClock
        Of the coats judged.
    shift : float
        Seconds from closing the door to where the window counts from.
    """

    def mark(one: CoatClock) -> float:
        return one.marks[stage]

    last = stage != "over-fired"
    more = mark_sd(stage, all(one.learned for one in clocks))
    chances = chance(clocks, mark, more) if last else any_chance(clocks, mark, more)
    low, high = band(times, chances)
    middle, longest = nominal_time(times, clocks, mark, every=last), float(times[-1])
    begins = time_figure(middle, low, high, longest, _CLOCK, shift)
    clock = float(np.mean([one.marks[stage] - one.marks["gloss"] for one in clocks])) if clocks else None
    return StageBand(
        stage=stage,
        begins=begins,
        open_ended=begins is not None and open_ended(middle, high, longest),
        clock=clock,
    )
