"""Read a window off the batch: when its coats reach their stages, what the piece peaks at, what it grows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Window
from enamelwright.craft.oxide_growth import oxide_band
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.practice import OWN_SECONDS, own_setting
from enamelwright.craft.window.aims import CLOCKED, begins, mark_sd
from enamelwright.craft.window.case import Case
from enamelwright.craft.window.course import clock_of, course_of, courses_of
from enamelwright.craft.window.energy import firing_energy
from enamelwright.craft.window.facts import number, window_fact
from enamelwright.craft.window.likeness import Standing, standing_of
from enamelwright.craft.window.look_cost import look_cost
from enamelwright.craft.window.look_plan import look_plan
from enamelwright.craft.window.members import Batch
from enamelwright.craft.window.powders import powder_of
from enamelwright.craft.window.spoken import assumptions, display_words, judged_time, kept_reasons, later_than, reasons
from enamelwright.craft.window.stage_bands import open_ended, stage_band, time_figure
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
from enamelwright.craft.window.taught import done_sd_of, taught_of, taught_work
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
    case: Case,
    trace: Trace,
    members: slice,
    times: Array,
    layup: Layup,
    weights: Sequence[CoatWeight],
    pieces: int,
) -> tuple[list[CoatClock], list[Standing]]:
    point = case.window.set_point.value if case.window.set_point is not None else 0.0
    found, stands = [], []
    for row, (layer, melt) in enumerate(zip(case.coats, case.melts, strict=True)):
        powder = powder_of(layer, case.firing, layup, weights, point)
        standing = standing_of(layer, case.firing, layup, powder, melt, point, pieces)
        taught = taught_of(layer, layup, melt, standing)
        moved = thresholds_of(powder).moved(melt.shift if taught is None else taught.shift)
        work = log_work(trace, row, members, times)
        sd = math.hypot(
            melt.sd, powder.sd, powder.law_sd, number("repeat_sd"), 0.0 if melt.learned else number("laws_sd")
        )
        if melt.learned:
            # How far this kiln is off, and how well that is known, is in the learned clock already.
            work = np.broadcast_to(work[0], work.shape)
        done, done_sd = moved.done, None
        if taught is not None:
            work, sd = taught_work(work, times, taught), taught.sd
            if taught.done is not None:
                done, done_sd = min(moved.gloss + taught.done, (moved.gloss + moved.over) / 2), taught.done_sd
        if taught is not None:
            standing = replace(standing, learned=taught.shift - melt.before, pace=taught.pace)
        stands.append(standing)
        found.append(
            CoatClock(
                coat=layer.number,
                jar=layer.jar.id,
                work=work,
                marks={stage: begins(stage, moved) for stage in CLOCKED}
                | {"neck": moved.neck, "dense": moved.dense, "done": done},
                sd=sd,
                learned=melt.learned,
                done_sd=done_sd,
            )
        )
    return found, stands


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
    clocks, stands = _clocks(case, trace, members, times, layup, weights, batch.pieces)
    pieces = at_times(trace, trace.piece[members], times)
    energy = np.full(len(pieces), number("turning_energy"))
    turned = turning_work(times, pieces, energy, number("turning_reference"))
    longest = float(times[-1])
    shift = _recovered(batch) if case.window.start == "recovered" else 0.0
    aim = case.aim

    def goal(one: CoatClock) -> float:
        return one.marks[aim.mark] + aim.shift

    def over(one: CoatClock) -> float:
        return one.marks["over-fired"]

    learned = all(one.learned for one in clocks)
    unsure = math.hypot(aim.sd, done_sd_of(clocks)) if aim.mark == "done" else aim.sd
    ready, nominal, cleared = chance(clocks, goal, unsure), nominal_time(times, clocks, goal), None
    if aim.clears:
        cleared, when = _clearing(turned, times)
        ready, nominal = ready * cleared, max(nominal, when)
    low, high = band(times, ready)
    over_nominal = nominal_time(times, clocks, over, every=False)
    origin = _origin(case)
    because = [*kept_reasons(case.window.because), *reasons(case, batch, nominal, low, high, longest)]
    seconds = time_figure(nominal, low, high, longest, origin, shift) if math.isfinite(nominal) else None
    over_low, over_high = band(times, any_chance(clocks, over, mark_sd("over-fired")))
    looks = None
    if seconds is not None:
        shows, latest = seconds.low, seconds.high
        if aim.mark == "done":
            # Looked for is gloss that shows: from its early end, until it must have come.
            early, late = band(times, chance(clocks, lambda one: one.marks["gloss"], mark_sd("gloss", learned)))
            shows = min(shows, max(early - shift, 0.0))
            latest = max(seconds.value, min(latest, late - shift))
        too_far = _too_far(case, times, clocks, over_nominal) - shift
        if case.window.seconds is not None and case.firing.target != "sugar":
            latest = max(latest, case.window.seconds.high)
            because += later_than(case.window.seconds, too_far, case.firing.target)
        looks = look_plan(
            shows,
            seconds.value,
            latest,
            too_far,
            case.firing.target,
            look_cost(kiln, case.piece, batch.set_point, batch.laws),
        )
        # One latest time: the band ends where the piece must be out, what the looks cost counted.
        seconds = seconds.model_copy(update={"low": min(seconds.low, looks.out_by), "high": looks.out_by})
    end = looks.out_by + shift if looks is not None else longest
    pulled = min(nominal, longest)
    told, own = seconds, own_setting(case.firing, layup)[1]
    if own is not None:
        told, end, pulled = case.window.seconds, own + OWN_SECONDS + shift, own + shift
        if seconds is not None:
            because.append(judged_time(own, seconds))
    best, odds = _unwatched(times, clocks, goal, _spoilt(case), cleared, looks.out_by + shift if looks else longest)
    return case.window.model_copy(
        update={
            "target": case.firing.target,
            "status": "own" if case.window.status == "own" else "model",
            "seconds": told,
            "open_ended": own is None and seconds is not None and seconds.high + shift >= longest,
            "stages": tuple(stage_band(stage, times, clocks, shift) for stage in CLOCKED),
            "over": time_figure(over_nominal, over_low, over_high, longest, origin, shift),
            "over_open": math.isfinite(over_low) and open_ended(over_nominal, over_high, longest),
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
            "energy": firing_energy(
                kiln, case.piece, batch.set_point, pulled, end, looks.looks if looks else 0, batch.pieces
            ),
            "display": display_words(kiln),
            "assumptions": tuple(assumptions(case, kiln)),
            "course": course_of(batch, times, pieces, clocks, end),
            "clock": clock_of(times, clocks, shift),
            "coats": courses_of(times, clocks, stands, shift) if case.fresh else (),
        }
    )


def _origin(case: Case) -> Origin:
    learned = all(melt.learned for melt in case.melts)
    return Origin(
        kind="computed",
        source="heating of the piece and gloss clock of its coats",
        status="jar learned from your own firings" if learned else "jar not calibrated",
    )


def _clearing(turned: Array, times: Array) -> tuple[Array, float]:
    """Return the chance that red oxide has dissolved (members, n), and when it nominally has."""
    from scipy.special import ndtr

    need = window_fact("cleared_seconds")
    sd = math.log(need.high / need.low) / (2 * Z95)
    done = ndtr(np.log(np.maximum(turned, NOT_BEGUN) / need.value) / sd)
    return np.asarray(done), crossing(times, turned[0], need.value)


def _unwatched(
    times: Array, clocks: list[CoatClock], goal: Mark, over: Mark, cleared: Array | None, end: float
) -> tuple[float | None, float | None]:
    """Return the single time up to some end that serves best without a look, and its chance; None when too low."""
    odds = between_chance(clocks, goal, over)
    if cleared is not None:
        odds = np.minimum(odds, drawn(cleared).mean(axis=0))
    odds = odds[times <= end]
    if odds.max() < number("unwatched_least"):
        return None, None
    # The chance often stays flat for long: the earliest of nearly equal times spares metal and colour.
    best = int(np.nonzero(odds >= NEARLY * odds.max())[0][0])
    return float(times[best]), float(odds[best])


def _spoilt(case: Case) -> Mark:
    """Return the mark that a piece left alone must not pass: over-firing, or gloss where sugar is wanted."""
    before = "gloss" if case.firing.target == "sugar" else "over-fired"
    if case.firing.target == "over-fired":
        return lambda one: math.inf
    return lambda one: one.marks[before]


def _too_far(case: Case, times: Array, clocks: list[CoatClock], over: float) -> float:
    """Return when a piece has likely gone further than it should [s]; infinite where it cannot."""
    if case.firing.target == "over-fired":
        return math.inf
    if case.firing.target in {"sugar", "orange peel"}:
        # What must stop before gloss is out before the first of its coats is likely glossy.
        return min(over, nominal_time(times, clocks, lambda one: one.marks["gloss"], every=False))
    return over


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
