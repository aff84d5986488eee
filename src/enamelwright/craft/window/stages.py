"""When a load reaches a stage, from the clocks of many draws of the kiln and what is not known of the jars.

The draws carry the kiln; what is not known of a jar is a normal number of decades on its threshold and is
added in closed form, so that a few dozen draws settle the ends of a band.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.figure import Z95
from enamelwright.physics.piece_heating import Trace

Array = npt.NDArray[np.float64]
Mark = Callable[["CoatClock"], float]

#: Ends of a band.
LOW, HIGH = 0.05, 0.95
#: Steps of the times looked at: [s] up to so many seconds.
GRID = ((2.0, 120.0), (5.0, 300.0), (20.0, 7200.0), (300.0, 86400.0))
#: A clock that has not begun reads as this [1/Pa]; far below the first necks.
NOTHING = 1e-30


@dataclass(frozen=True)
class CoatClock:
    """One coat's clock against time.

    Attributes
    ----------
    coat : int
        Number in the file.
    jar : str
        Its jar; two coats of one jar are early or late together.
    work : ndarray, shape (members, n)
        log10 of the clock [1/Pa]; member 0 is the nominal kiln.
    marks : mapping of str to float
        log10 of the clock [1/Pa] at which each stage begins.
    sd : float
        How well the marks are known [decades].
    learned : bool
        Whether they come from this kiln's own firings: those tell when gloss shows, not when a coat is done.
    done_sd : float or None
        How well it is known from own firings how long after that pieces are taken out [decades]; None when it is not.
    """

    coat: int
    jar: str
    work: Array
    marks: dict[str, float]
    sd: float
    learned: bool = False
    done_sd: float | None = None

    def sd_of(self, more: float = 0.0) -> float:
        """Return how well a mark is known that brings something of its own [decades]."""
        return math.hypot(self.sd, more)


def grid(longest: float) -> Array:
    """Return the times looked at [s], denser at the start."""
    parts, at = [np.zeros(1)], 0.0
    for step, until in GRID:
        end = min(until, longest)
        if end > at:
            parts.append(np.arange(at + step, end + step / 2, step))
            at = float(parts[-1][-1])
    return np.minimum(np.concatenate(parts), longest)


def log_work(trace: Trace, coat: int, members: slice, times: Array) -> Array:
    """Return log10 of a clock on other times, shape (members, n).

    Rising steeply it is read in its logarithm, once the temperature stands still along a straight line.

    Parameters
    ----------
    trace : Trace
        Of the batch.
    coat : int
        Row of the clocks.
    members : slice
        Those of one window.
    times : ndarray, shape (n,)
        [s].
    """
    after = np.clip(np.searchsorted(trace.times, times), 1, len(trace.times) - 1)
    before = after - 1
    share = (times - trace.times[before]) / (trace.times[after] - trace.times[before])
    clock = np.maximum(trace.clocks[coat, members], NOTHING)
    low, high = clock[:, before], clock[:, after]
    steep = np.log10(low) + share * (np.log10(high) - np.log10(low))
    return np.asarray(np.where(times > trace.steady_from, np.log10(low + share * (high - low)), steep))


def at_times(trace: Trace, values: Array, times: Array) -> Array:
    """Return any row of a trace on other times, straight between its own."""
    return np.asarray([np.interp(times, trace.times, row) for row in np.atleast_2d(values)])


def chance(coats: Sequence[CoatClock], mark: Mark, more: float = 0.0) -> Array:
    """Return the chance that every coat has passed a mark, over time and draws, shape (members, n).

    Parameters
    ----------
    coats : sequence of CoatClock
        Those judged.
    mark : callable
        Coat -> log10 of the clock it must have reached.
    more : float
        What is not known of the mark itself [decades].
    """
    from scipy.special import ndtr

    by_jar: dict[str, Array] = {}
    for one in coats:
        reached = ndtr((one.work - mark(one)) / one.sd_of(more))
        by_jar[one.jar] = np.minimum(by_jar[one.jar], reached) if one.jar in by_jar else reached
    result: Array = np.prod(list(by_jar.values()), axis=0)
    return result


def any_chance(coats: Sequence[CoatClock], mark: Mark, more: float = 0.0) -> Array:
    """Return the chance that some coat has passed a mark, shape (members, n)."""
    from scipy.special import ndtr

    by_jar: dict[str, Array] = {}
    for one in coats:
        reached = ndtr((one.work - mark(one)) / one.sd_of(more))
        by_jar[one.jar] = np.maximum(by_jar[one.jar], reached) if one.jar in by_jar else reached
    kept: Array = np.prod([1 - reached for reached in by_jar.values()], axis=0)
    return np.asarray(1 - kept)


def between_chance(coats: Sequence[CoatClock], low: Mark, high: Mark) -> Array:
    """Return the chance that every coat has passed one mark and none the other, over time, shape (n,)."""
    from scipy.special import ndtr

    by_jar: dict[str, Array] = {}
    for one in coats:
        inside = ndtr((one.work - low(one)) / one.sd) - ndtr((one.work - high(one)) / one.sd)
        by_jar[one.jar] = np.minimum(by_jar[one.jar], inside) if one.jar in by_jar else inside
    result: Array = np.prod(list(by_jar.values()), axis=0)
    return np.asarray(drawn(result).mean(axis=0))


def drawn(rows: Array) -> Array:
    """Return the draws without the nominal member, or the nominal one where it is alone."""
    return rows[1:] if len(rows) > 1 else rows


def nominal_time(times: Array, coats: Sequence[CoatClock], mark: Mark, every: bool = True) -> float:
    """Return when the nominal piece passes a mark [s]; infinite when never.

    Parameters
    ----------
    times : ndarray, shape (n,)
        [s].
    coats : sequence of CoatClock
        Those judged.
    mark : callable
        Coat -> log10 of the clock.
    every : bool
        Whether all coats must have passed it, or one is enough.
    """
    found = [crossing(times, one.work[0] - mark(one)) for one in coats]
    return max(found) if every else min(found)


def crossing(times: Array, rising: Array, level: float = 0.0) -> float:
    """Return when a rising row reaches a level; infinite when it does not."""
    above = np.nonzero(rising >= level)[0]
    if not len(above):
        return float("inf")
    at = int(above[0])
    if at == 0:
        return float(times[0])
    step = rising[at] - rising[at - 1]
    share = (level - rising[at - 1]) / step if step > 0 else 1.0
    return float(times[at - 1] + share * (times[at] - times[at - 1]))


def band(times: Array, chances: Array) -> tuple[float, float]:
    """Return the times at which a stage is reached with 5 and 95 % chance; infinite when not in the time looked at.

    Parameters
    ----------
    times : ndarray, shape (n,)
        [s].
    chances : ndarray, shape (members, n)
        Of each draw.
    """
    whole = np.maximum.accumulate(drawn(chances).mean(axis=0))
    return crossing(times, whole, LOW), crossing(times, whole, HIGH)


def work_band(coat: CoatClock) -> tuple[Array, Array, Array]:
    """Return a coat's clock less what is not known of its marks: 5 %, nominal, 95 %; each of shape (n,)."""
    rows = drawn(coat.work)
    spread = np.sqrt(rows.var(axis=0) + coat.sd**2) * Z95
    middle = coat.work[0]
    return middle - spread, middle, middle + spread
