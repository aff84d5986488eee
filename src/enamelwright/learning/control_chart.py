"""Does the kiln still do what it did? Charts of single values and of their slow drift, with two run rules.

A chart has few rules on purpose: each further one adds false alarms. The limits come from a stretch that is taken as
good (`base`), never from the values that are being judged.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals) and 6.3.2.4 (EWMA); ISO 7870-2:2023.
Checked in tests/published/test_nist_control_charts.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi, sqrt
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]
Rule = Literal["beyond the limits", "eight on one side", "drifting"]

RUN = 8
"""So many values in a row on one side of the middle are no chance: 2 (1/2)^8 = 0.8 %."""
MEMORY = 0.3
"""Weight of the newest value in the drifting mean; 0.2 to 0.3 is customary."""
LIMIT = 3.0
"""Limits in standard deviations."""
RANGE_OF_TWO = 2 / sqrt(pi)
"""Mean range of two standard normal values; that of any number by quadrature is in `chart_constants`."""
FEWEST = 3
"""Values a base needs; with three the limits are wide of the mark by a third, and the chart says so."""


@dataclass(frozen=True)
class Signal:
    """One alarm: what kind, and at which value (0 = the first) it was raised."""

    rule: Rule
    at: int


@dataclass(frozen=True, eq=False)
class ControlChart:
    """Values in order with their limits and alarms.

    Attributes
    ----------
    values : ndarray
        In order of time, any unit.
    middle, sd : float
        Mean of the base, and the standard deviation the newest value is judged by; from moving ranges, so that a slow
        drift does not widen it.
    drift, drift_half : ndarray
        Drifting mean after each value, and half the width of its limits.
    base : int
        How many of the first values the limits come from.
    signals : tuple of Signal
        The first of each kind, in order.
    sds : ndarray
        Standard deviation each value is judged by.
    limit : float
        Limits in standard deviations.
    """

    values: Array
    middle: float
    sd: float
    drift: Array
    drift_half: Array
    base: int
    signals: tuple[Signal, ...]
    sds: Array
    limit: float = LIMIT

    @property
    def half(self) -> float:
        """Half the width between the limits of the newest value; wider while the middle stands on few."""
        return float(self.halves[-1])

    @property
    def halves(self) -> Array:
        """Half the width between the limits each value is judged by; after the base they go by all before it."""
        return self.limit * self.sds * sqrt(1 + (1 / self.base if self.base < len(self.values) else 0))

    @property
    def trouble(self) -> npt.NDArray[np.bool_]:
        """Which values lie beyond the limits, or end a drift that does; the base is never in trouble."""
        after = np.arange(len(self.values)) >= (self.base if self.base < len(self.values) else 0)
        off = np.abs(self.drift - self.middle) > self.drift_half
        return np.asarray(after & ((np.abs(self.values - self.middle) > self.halves) | off))

    def lasting(self, lapses: int) -> int | None:
        """Return where the trouble began that still lasts; None once so many values in a row were in order again.

        Parameters
        ----------
        lapses : int
            Values in order, one after the other, that end it.
        """
        trouble = self.trouble
        if not trouble[-lapses:].any():
            return None
        begin = int(np.flatnonzero(trouble)[-1])
        while begin > 0 and trouble[max(0, begin - lapses) : begin].any():
            begin = int(np.flatnonzero(trouble[:begin])[-1])
        return begin

    @property
    def limits(self) -> tuple[float, float]:
        """Limits of the newest value."""
        return self.middle - self.half, self.middle + self.half


def moving_range_sd(values: Sequence[float] | Array, known: float | None = None, worth: float = 0.0) -> float:
    """Standard deviation from the mean moving range of two neighbours.

    Parameters
    ----------
    values : sequence of float
        At least two.
    known : float, optional
        Standard deviation expected beforehand, such as the person's own repeatability.
    worth : float
        How many moving ranges that expectation is worth; both are mixed as variances.

    Raises
    ------
    InputError
        With fewer than two values and nothing expected.
    """
    x = np.asarray(values, dtype=np.float64)
    ranges = np.abs(np.diff(x))
    if not len(ranges) and known is None:
        raise InputError("one value tells no spread", "Record at least two.")
    own = float(np.mean(ranges)) / RANGE_OF_TWO if len(ranges) else 0.0
    if known is None or worth <= 0:
        return own
    return float(np.sqrt((len(ranges) * own**2 + worth * known**2) / (len(ranges) + worth)))


def drifting_mean(values: Sequence[float] | Array, start: float, memory: float = MEMORY) -> Array:
    """Exponentially weighted mean after each value.

    Parameters
    ----------
    values : sequence of float
        In order.
    start : float
        Where it begins.
    memory : float
        Weight of the newest, 0 to 1.
    """
    mean, out = start, []
    for value in np.asarray(values, dtype=np.float64):
        mean = memory * float(value) + (1 - memory) * mean
        out.append(mean)
    return np.asarray(out)


def drift_limits(count: int, sd: float | Array, memory: float = MEMORY, limit: float = LIMIT) -> Array:
    """Half the width of the drifting mean's limits after 1 .. count values.

    Parameters
    ----------
    count : int
        Values.
    sd : float or ndarray
        Standard deviation of one, or of each.
    memory : float
        As in `drifting_mean`.
    limit : float
        In standard deviations.
    """
    after = np.arange(1, count + 1)
    return np.asarray(limit * sd * np.sqrt(memory / (2 - memory) * (1 - (1 - memory) ** (2 * after))))


def control_chart(
    values: Sequence[float] | Array,
    base: int | None = None,
    *,
    known_sd: float | None = None,
    worth: float = 0.0,
    memory: float = MEMORY,
    limit: float = LIMIT,
    grows: bool = False,
) -> ControlChart:
    """Judge values in order of time.

    Parameters
    ----------
    values : sequence of float
        At least `base` of them.
    base : int, optional
        How many of the first are taken as good; all when left out (limits of a past stretch).
    known_sd, worth
        What was expected of the spread, and how many moving ranges that is worth.
    memory : float
        Weight of the newest value in the drifting mean.
    limit : float
        Limits in standard deviations.
    grows : bool
        Each value is judged by the spread of all before it, not of the base alone: a short base knows its spread badly.
        What was judged once stays so.

    Returns
    -------
    ControlChart
        Alarms are only raised on values after the base, unless all values are the base.

    Raises
    ------
    InputError
        When the base is too short or a value is no number.
    """
    x = np.asarray(values, dtype=np.float64)
    first = len(x) if base is None else base
    if not np.all(np.isfinite(x)):
        raise InputError("a value of the chart is no number", "Leave it out or write it again.")
    if first < FEWEST or len(x) < first:
        raise InputError(f"{min(len(x), first)} values are too few for a chart", f"Record at least {FEWEST}.")
    middle = float(np.mean(x[:first]))
    begin = 0 if first == len(x) else first
    sds = np.full(len(x), moving_range_sd(x[:first], known_sd, worth))
    if grows:
        sds[begin + 1 :] = [moving_range_sd(x[:at], known_sd, worth) for at in range(begin + 1, len(x))]
    judged = x[begin:]
    drift = np.full(len(x), middle)
    half = np.zeros(len(x))
    doubt = 1 / first if begin else 0.0  # the middle itself is known from so many values only
    drift[begin:] = drifting_mean(judged, middle, memory)
    judging = sds[begin:]
    half[begin:] = np.sqrt(drift_limits(len(judged), judging, memory, limit) ** 2 + doubt * (limit * judging) ** 2)
    signals: list[Signal] = []
    out = np.abs(judged - middle) > limit * judging * sqrt(1 + doubt)
    if np.any(out):
        signals.append(Signal("beyond the limits", begin + int(np.argmax(out))))
    # A middle from few values may itself lie to one side: the rule waits until it is known as well as a run of eight.
    run = _run(judged - middle) if not begin or first >= RUN else None
    if run is not None:
        signals.append(Signal("eight on one side", begin + run))
    off = np.abs(drift[begin:] - middle) > half[begin:]
    if np.any(off):
        signals.append(Signal("drifting", begin + int(np.argmax(off))))
    found = tuple(sorted(signals, key=lambda one: one.at))
    return ControlChart(x, middle, float(sds[-1]), drift, half, first, found, sds, limit)


def _run(offsets: Array) -> int | None:
    """Where the first run of `RUN` values on one side is complete; a value on the middle breaks it."""
    length, side = 0, 0.0
    for at, sign in enumerate(np.sign(offsets)):
        length = length + 1 if sign == side and sign != 0 else int(sign != 0)
        side = float(sign)
        if length >= RUN:
            return at
    return None
