"""Questions turned round: the setting that gives a stage in a wanted time, and the stage after a given one."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Stage
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.practice import practice_window
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.window import windows_at
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader

#: Rungs of the ladder of set points tried at once.
RUNGS = 16
#: Stages in the order of the clock, as they are told.
ORDER: tuple[Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "over-fired")


def set_point_for(
    seconds: float,
    firing: Firing,
    layup: Layup,
    bench: Bench,
    weights: Sequence[CoatWeight],
    extra: float = 0.0,
    pieces: int = 1,
) -> Figure:
    """Return the set point at which a stage shows after a wanted time [K].

    Parameters
    ----------
    seconds : float
        Wanted [s], from closing the door.
    firing : Firing
        With its target.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight
        One a coat, in file order.
    extra : float
        Kelvin by which the kiln is taken hotter than known.
    pieces : int
        How many such pieces go in together.

    Returns
    -------
    Figure
        `low` and `high` are the set points at which the time would be that of the quickest and the slowest
        piece; they stop at the ends of what was tried.

    Raises
    ------
    OutOfReach
        When no setting below the melting of the metal gives it, or the piece is not worked out.
    """
    top = min(layup.metal.solidus.low - loader.value("trade/solder_margin"), number("ladder_top"))
    points = np.linspace(number("ladder_foot"), top, RUNGS)
    # A stage that comes at the wanted time must be seen to come, its late end included.
    longest = seconds * number("out_by_most")
    found = windows_at([float(point) for point in points], firing, layup, bench, weights, extra, pieces, longest)
    told = [window.seconds for window in found]
    if all(one is None for one in told):
        raise OutOfReach(
            f"{firing.target} is not reached below the melting of {layup.metal.name}.", "Ask for another target."
        )
    ends = {end: [math.inf if one is None else getattr(one, end) for one in told] for end in ("low", "value", "high")}
    likely = _where(points, ends["value"], seconds)
    if likely is None:
        quickest = min(ends["value"])
        raise OutOfReach(
            f"{firing.target} in {seconds:.0f} s would need more than {layup.metal.name} stands; "
            f"the quickest is about {quickest:.0f} s."
            if quickest > seconds
            else f"{firing.target} comes sooner than {seconds:.0f} s at every setting worth trying.",
            "Ask for another time.",
        )
    quick = _where(points, ends["low"], seconds)
    slow = _where(points, ends["high"], seconds)
    origin = Origin(kind="computed", source="heating of the piece and gloss clock of its coats", status="computed")
    low = min(likely, quick if quick is not None else float(points[0]))
    high = max(likely, slow if slow is not None else float(points[-1]))
    return Figure(value=likely, low=low, high=high, dimension="temperature", origin=origin)


def _where(points: np.ndarray[tuple[int], np.dtype[np.float64]], times: list[float], wanted: float) -> float | None:
    """Return the set point at which times that fall with it reach the one wanted; None when they do not."""
    for n in range(1, len(times)):
        before, after = times[n - 1], times[n]
        if after <= wanted <= before:
            if math.isinf(before):
                return float(points[n])
            # Times fall about as the exponential of the setting.
            share = math.log(before / wanted) / math.log(before / after) if before > after else 0.0
            return float(points[n - 1] + share * (points[n] - points[n - 1]))
    return None


def stage_after(window: Window, seconds: float) -> tuple[Stage, Stage, Stage]:
    """Return the (earliest, likely, latest) stage a piece may be at after so many seconds.

    Parameters
    ----------
    window : Window
        Worked out.
    seconds : float
        In the kiln [s].
    """
    earliest = likely = latest = ORDER[0]
    for one in window.stages:
        if one.begins is None:
            continue
        earliest = one.stage if one.latest <= seconds else earliest
        likely = one.stage if one.likely <= seconds else likely
        latest = one.stage if one.begins.low <= seconds else latest
    return earliest, likely, latest


def usual_setting(firing: Firing, layup: Layup, bench: Bench, weights: Sequence[CoatWeight]) -> Figure | None:
    """Return the setting of custom for a firing [K]; None where no thermometer rules.

    Parameters
    ----------
    firing : Firing
        With its target.
    layup : Layup
        The piece.
    bench : Bench
        House rules and kiln.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    return practice_window(firing, layup, bench, weights).set_point
