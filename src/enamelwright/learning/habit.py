"""A habit of the hand from few weighings: where the next one lies, about as sure as they allow.

A normal mean with a normal prior, and a scatter that leans on the usual one while weighings are few, so that the next
one follows Student's t (A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), section 3.3). What lies far from the
middle of all is drawn in for the mean, so that one slip of the pen moves it little; the scatter counts it whole. Nine
next weighings in ten fall in the band of 90 % when a hand scatters as is usual; when it scatters two or three times as
much and was told from three weighings, still more than eight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from enamelwright.errors import InputError

RECENT = 20
"""The newest so many count: hands learn."""
WORTH = 1.0
"""Weighings the usual scatter is worth: one, as it is an assumption."""
FAR = 3.0
"""Values further from the median than this many scatters are drawn in to there."""
NORMAL = 1.4826
"""Standard deviation of a normal law over the median of its distances from the median."""
END = 0.95
"""Share of the next ones below the upper end of a band of 90 %."""


@dataclass(frozen=True)
class Habit:
    """Where the next value lies.

    Attributes
    ----------
    mean : float
        Likely.
    sd : float
        Of the normal law that has the 5-95 % band of the next one.
    mean_sd : float
        Of the mean.
    count : int
        Values it stands on.
    """

    mean: float
    sd: float
    mean_sd: float
    count: int


def habit(values: Sequence[float], usual: float, usual_sd: float, scatter: float) -> Habit:
    """Return the habit behind values, the oldest first.

    Parameters
    ----------
    values : sequence of float
        One a weighing.
    usual, usual_sd : float
        Of hands at large.
    scatter : float
        Usual scatter of one hand, from one weighing to the next.

    Raises
    ------
    InputError
        Without a value, or with one that is no number.
    """
    from scipy.special import ndtri, stdtrit

    if not values:
        raise InputError("nothing was weighed", "Weigh a piece before and after a coat.")
    newest = np.asarray(values[-RECENT:], dtype=np.float64)
    if not np.isfinite(newest).all():
        raise InputError("a weighing is no number", "Leave it out.")
    middle = float(np.median(newest))
    reach = FAR * max(scatter, NORMAL * float(np.median(np.abs(newest - middle))))
    inside = np.clip(newest, middle - reach, middle + reach)
    n = len(inside)
    own = float(np.sum((newest - newest.mean()) ** 2))
    freedom = WORTH + n - 1
    variance = (WORTH * scatter**2 + own) / freedom
    precision = 1 / usual_sd**2 + n / variance
    mean = (usual / usual_sd**2 + n * float(inside.mean()) / variance) / precision
    wide = float(stdtrit(freedom, END) / ndtri(END))
    return Habit(mean, wide * sqrt(variance + 1 / precision), sqrt(1 / precision), n)
