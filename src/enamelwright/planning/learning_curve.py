"""How hand time falls with practice: two published forms that are easily mixed up, and a fit that needs a record.

*Unit form*: the n-th piece takes T1 n^b. *Cumulative average form*: the mean of the first n pieces is T1 n^b, so
their total is T1 n^(1+b). In both b = log2(rate), where the rate is what is left of the time at each doubling.
They differ much: at 80 % ten pieces take 6.32 T1 in the first and 4.77 T1 in the second.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

#: Logged pieces below which no learning is read out of a record.
FEWEST_LOGGED = 8


def exponent(rate: float) -> float:
    """Return b = log2(rate), at most 0.

    Parameters
    ----------
    rate : float
        Share of the time left at each doubling of the number made; 1 for no learning.

    Raises
    ------
    InputError
        Outside (0.5, 1]: a rate of a half would mean that all later pieces together take no longer than the first.
    """
    if not 0.5 < rate <= 1:
        raise InputError("a learning rate lies above a half and at most at 1.", "0.9 is a tenth less at each doubling.")
    return math.log2(rate)


def unit_time(first: float, rate: float, number: int) -> float:
    """Return the time of the `number`-th piece in the unit form.

    Parameters
    ----------
    first : float
        Time of the first piece [s].
    rate : float
        Share left at each doubling.
    number : int
        From 1.

    Notes
    -----
    W. B. Hogan et al. name both forms: Forecasting 2 (2020) 429, doi 10.3390/forecast2040023.
    """
    return first * float(number ** exponent(rate))


def unit_total(first: float, rate: float, last: int, after: int = 0) -> float:
    """Return the time of pieces `after` + 1 to `last` in the unit form, added up one by one.

    Parameters
    ----------
    first : float
        Time of the first piece ever made [s].
    rate : float
        Share left at each doubling.
    last : int
        Number of the last piece.
    after : int
        Pieces made before.
    """
    b = exponent(rate)
    return first * math.fsum(number**b for number in range(after + 1, last + 1))


def average_total(first: float, rate: float, last: int) -> float:
    """Return the time of the first `last` pieces in the cumulative average form.

    Parameters
    ----------
    first : float
        Time of the first piece [s].
    rate : float
        Share left at each doubling.
    last : int
        Number of the last piece.
    """
    return first * float(last ** (1 + exponent(rate)))


@dataclass(frozen=True)
class Learnt:
    """What a record of times says of learning.

    Parameters
    ----------
    first : float
        Time of the first piece of the fitted line [s].
    rate, low, high : float
        Share left at each doubling, with its 5-95 % band.
    logged : int
        Pieces it rests on.
    supported : bool
        Whether the band leaves no room for "no learning"; without that, plan with the mean.
    """

    first: float
    rate: float
    low: float
    high: float
    logged: int
    supported: bool


@dataclass(frozen=True)
class Line:
    """A straight line through points by least squares.

    Parameters
    ----------
    start, slope : float
        Of the line.
    slope_sd : float
        Standard deviation of the slope.
    """

    start: float
    slope: float
    slope_sd: float


def straight_line(x: Array, y: Array) -> Line:
    """Fit a straight line by least squares.

    Parameters
    ----------
    x, y : ndarray, shape (n,)
        At least three points, not all above each other.

    Notes
    -----
    Checked in tests/published/test_nist_regression.py.
    """
    across = x - x.mean()
    slope = float(across @ y / (across @ across))
    start = float(y.mean() - slope * x.mean())
    left = y - start - slope * x
    return Line(start, slope, math.sqrt(float(left @ left) / (len(x) - 2) / float(across @ across)))


def learnt(times: Sequence[float]) -> Learnt | None:
    """Fit the unit form to logged times of piece 1, 2, 3 ...; None below eight of them.

    Parameters
    ----------
    times : sequence of float
        In the order made, above 0 [s].

    Raises
    ------
    InputError
        For a time that is not larger than nothing.

    Notes
    -----
    Straight line of log time on log number by least squares; the band is Student's.
    """
    if any(not (math.isfinite(one) and one > 0) for one in times):
        raise InputError("a logged time is not larger than nothing.", "Leave it out, or correct it.", "times")
    count = len(times)
    if count < FEWEST_LOGGED:
        return None
    from scipy.special import stdtrit

    line = straight_line(np.log2(np.arange(1, count + 1)), np.log2(np.asarray(times, dtype=float)))
    reach = float(stdtrit(count - 2, BAND)) * line.slope_sd
    low, middle, high = (2.0 ** (line.slope + step) for step in (-reach, 0.0, reach))
    return Learnt(2.0**line.start, middle, low, high, count, high < 1)


#: Upper end of every band: a twentieth lies above.
BAND = 0.95
