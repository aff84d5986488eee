"""Read a window off the batch: when its coats reach their stages, what the piece peaks at, what it grows."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from enamelwright.craft.coat import Stage
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import StageBand, Window
from enamelwright.craft.oxide_growth import oxide_band
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.practice import OWN_SECONDS, own_setting
from enamelwright.craft.window.aims import CLOCKED, begins
from enamelwright.craft.window.base_piece import base_gloss
from enamelwright.craft.window.case import Case
from enamelwright.craft.window.course import course_of
from enamelwright.craft.window.energy import firing_energy
from enamelwright.craft.window.facts import number, window_fact
from enamelwright.craft.window.look_plan import look_plan
from enamelwright.craft.window.members import Batch
from enamelwright.craft.window.powders import powder_of
from enamelwright.craft.window.spoken import assumptions, display_words, judged_time, kept_reasons, reasons
from enamelwright.craft.window.stages import (
    HIGH,
    LOW,
    CoatClock,
    Mark,
    any_chance,
    at_times,
    band,
    between_chance,
    chance,
    crossing,
    drawn,
    log_work,
    nominal_time,
)
from enamelwright.craft.window.thresholds import thresholds_of
from enamelwright.figure import Z95, Figure, Origin
from enamelwright.physics.gloss_clock import turning_work
from enamelwright.physics.piece_heating import Trace
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]

#: Chances within this share of the best count as equally good.
NEARLY = 0.98
#: A second clock that has not begun reads as this [s].
NOT_BEGUN = 1e-12
#: The model's own name among the sources of a window.
SOURCE = (
    "computed: heating of the piece in this kiln, levelling by Orchard, Appl. Sci. Res. A 11 (1962), sintering by "
    "Mackenzie and Shuttleworth, Proc. Phys. Soc. B 62 (1949)"
)


def _clocks(
    case: Case, trace: Trace, members: slice, times: Array, layup: Layup, weights: Sequence[CoatWeight]
) -> list[CoatClock]:
    found = []
    for row, (layer, melt) in enumerate(zip(case.coats, case.melts, strict=True)):
        powder = powder_of(layer, case.firing, layup, weights)
        marks = thresholds_of(powder)
        moved = marks.moved(melt.shift)
        away = number("law_share_sd") * (marks.gloss - base_gloss())
        sd = math.sqrt(melt.sd**2 + powder.sd**2 + away**2 + number("repeat_sd") ** 2)
        found.append(
            CoatClock(
                coat=layer.number,
                jar=layer.jar.id,
                work=log_work(trace, row, members, times),
                marks={stage: begins(stage, moved) for stage in CLOCKED} | {"neck": moved.neck, "dense": moved.dense},
                sd=sd,
            )
        )
    return found


def read_window(
    case: Case,
    batch: Batch,
    trace: Trace,
    members: slice,
    times: Array,
    layup: Layup,
    weights: Sequence[CoatWeight],
    kiln: Kiln,
) -> Window:
    """Return the window of one firing of a batch that has been heated.

    Parameters
    ----------
    case : Case
        The firing.
    batch : Batch
        What was heated for it.
    trace : Trace
        Of the whole batch.
    members : slice
        Rows of this firing; its first is the nominal kiln.
    times : ndarray, shape (n,)
        Looked at [s].
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    kiln : Kiln
        As its owner knows it.
    """
    clocks = _clocks(case, trace, members, times, layup, weights)
    pieces = at_times(trace, trace.piece[members], times)
    energy = np.full(len(pieces), number("turning_energy"))
    turned = turning_work(times, pieces, energy, number("turning_reference"))
    longest = float(times[-1])
    shift = _recovered(batch) if case.window.start == "recovered" else 0.0
    aim = case.aim

    def goal(one: CoatClock) -> float:
        return one.marks[aim.stage] + aim.shift

    def over(one: CoatClock) -> float:
        return one.marks["over-fired"]

    ready, nominal, cleared = chance(clocks, goal), nominal_time(times, clocks, goal), None
    if aim.clears:
        cleared, when = _clearing(turned, times)
        ready, nominal = ready * cleared, max(nominal, when)
    low, high = band(times, ready)
    over_nominal = nominal_time(times, clocks, over, every=False)
    origin = _origin(case)
    because = [*kept_reasons(case.window.because), *reasons(case, batch, nominal, low, high, longest)]
    seconds = _figure(nominal, low, high, longest, origin, shift)
    looks = None
    if seconds is not None:
        looks = look_plan(seconds.low, seconds.value, seconds.high, over_nominal - shift, case.firing.target)
    end = looks.out_by + shift if looks is not None else longest
    pulled = min(nominal, longest)
    told, own = seconds, own_setting(case.firing, layup)[1]
    if own is not None:
        told, end, pulled = case.window.seconds, own + OWN_SECONDS + shift, own + shift
        if seconds is not None:
            because.append(judged_time(own, seconds))
    best, odds = _unwatched(times, clocks, goal, over, cleared)
    return case.window.model_copy(
        update={
            "target": case.firing.target,
            "status": "own" if case.window.status == "own" else "model",
            "seconds": told,
            "stages": tuple(_moved(_stage(stage, times, clocks), shift) for stage in CLOCKED),
            "over": _figure(over_nominal, *band(times, any_chance(clocks, over)), longest, origin, shift),
            "practice": case.window.model_copy(update={"status": "practice"}),
            "because": tuple(because),
            "sources": (SOURCE, *case.window.sources),
            "looks": looks,
            "first_look": looks.first if looks is not None else None,
            "look_every": looks.every if looks is not None else None,
            "unwatched": best - shift if best is not None else None,
            "odds": odds,
            "peak": _peak(times, pieces, end),
            "oxide": _oxide(case, times, pieces, pulled),
            "turning": _spent(turned, times, pulled, end),
            "energy": firing_energy(kiln, case.piece, batch.set_point, pulled, end, looks.looks if looks else 0),
            "display": display_words(kiln),
            "assumptions": tuple(assumptions(case, kiln)),
            "course": course_of(batch, times, pieces, clocks, end),
        }
    )


def _origin(case: Case) -> Origin:
    learned = all(melt.learned for melt in case.melts)
    return Origin(
        kind="computed",
        source="heating of the piece and gloss clock of its coats",
        status="jar learned from your own firings" if learned else "jar not calibrated",
    )


def _figure(
    middle: float, low: float, high: float, longest: float, origin: Origin, shift: float = 0.0
) -> Figure | None:
    """Return a time with its band; None where it is not likely to come in the time looked at."""
    if not math.isfinite(middle):
        return None
    ends = (min(low, middle), middle, max(middle, min(high, longest)))
    moved = [max(end - shift, 0.0) for end in ends]
    return Figure(value=moved[1], low=moved[0], high=moved[2], dimension="time", origin=origin)


def _stage(stage: Stage, times: Array, clocks: list[CoatClock]) -> StageBand:
    """Return when the last of the coats comes to a stage, or the first to over-firing."""

    def mark(one: CoatClock) -> float:
        return one.marks[stage]

    last = stage != "over-fired"
    chances = chance(clocks, mark) if last else any_chance(clocks, mark)
    low, high = band(times, chances)
    middle = nominal_time(times, clocks, mark, every=last)
    origin = Origin(kind="computed", source="gloss clock", status="assumption")
    return StageBand(stage=stage, begins=_figure(middle, low, high, float(times[-1]), origin))


def _moved(stage: StageBand, shift: float) -> StageBand:
    if not shift or stage.begins is None:
        return stage
    old = stage.begins
    return StageBand(
        stage=stage.stage,
        begins=old.model_copy(update={end: max(getattr(old, end) - shift, 0.0) for end in ("low", "value", "high")}),
    )


def _clearing(turned: Array, times: Array) -> tuple[Array, float]:
    """Return the chance that red oxide has dissolved (members, n), and when it nominally has."""
    from scipy.special import ndtr

    need = window_fact("cleared_seconds")
    sd = math.log(need.high / need.low) / (2 * Z95)
    done = ndtr(np.log(np.maximum(turned, NOT_BEGUN) / need.value) / sd)
    return np.asarray(done), crossing(times, turned[0], need.value)


def _unwatched(
    times: Array, clocks: list[CoatClock], goal: Mark, over: Mark, cleared: Array | None
) -> tuple[float | None, float | None]:
    """Return the single time that serves best without a look, and its chance."""
    odds = between_chance(clocks, goal, over)
    if cleared is not None:
        odds = np.minimum(odds, drawn(cleared).mean(axis=0))
    if odds.max() <= 0.0:
        return None, None
    # The chance often stays flat for long: the earliest of nearly equal times spares metal and colour.
    best = int(np.nonzero(odds >= NEARLY * odds.max())[0][0])
    return float(times[best]), float(odds[best])


def _recovered(batch: Batch) -> float:
    """Return seconds from closing the door until the chamber is back within a few kelvin."""
    response = batch.response
    near = np.nonzero(response.radiant >= -loader.value("heat/kiln_overshoot"))[0]
    return float(response.times[near[0]]) if len(near) else 0.0


def _peak(times: Array, pieces: Array, end: float) -> Figure:
    """Return the hottest of the piece until it is out [K]."""
    inside = times <= max(end, times[1])
    hottest = pieces[:, inside].max(axis=1)
    return Figure.of_draws(
        drawn(hottest),
        "temperature",
        Origin(kind="computed", source="heating of the piece, overshoot of the kiln included", status="computed"),
        value=float(hottest[0]),
    )


def _oxide(case: Case, times: Array, pieces: Array, pulled: float) -> Figure | None:
    """Return the oxide a bare face grows until the piece is pulled [m]; None where nothing grows."""
    if not case.piece.grows:
        return None
    until = np.append(times[times < pulled], pulled)
    ends = [0, *_extremes(pieces)]
    rows = np.asarray([np.interp(until, times, pieces[row]) for row in ends])
    return oxide_band(until, rows)


def _extremes(pieces: Array) -> tuple[int, int]:
    """Return the members at the 5 and 95 % of heat."""
    order = np.argsort(pieces.mean(axis=1))
    edge = int(LOW * len(order))
    return int(order[edge]), int(order[-1 - edge])


def _spent(turned: Array, times: Array, pulled: float, end: float) -> Figure:
    """Return what the second clock runs until the piece is out [s at 800 °C]."""
    rows = [np.interp((pulled, end), times, row) for row in turned]
    middle = float(rows[0][0])
    high = float(np.quantile([row[1] for row in rows], HIGH))
    low = float(np.quantile([row[0] for row in rows], LOW))
    origin = Origin(kind="assumption", source="heat/turning_energy", status="assumption")
    return Figure(value=middle, low=min(low, middle), high=max(high, middle), dimension="time", origin=origin)
