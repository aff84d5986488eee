"""A habit of the hand from few weighings: where the next one lies, never surer than they allow.

A normal mean with a normal prior, and a scatter that leans on the usual one while weighings are few. What lies far from
the middle of all is drawn in, so that one slip of the pen moves little.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from enamelwright.errors import InputError

RECENT = 20
"""The newest so many count: hands learn."""
WORTH = 4.0
"""Weighings the usual scatter is worth."""
FAR = 3.0
"""Values further from the median than this many scatters are drawn in to there."""
NORMAL = 1.4826
"""Standard deviation of a normal law over the median of its distances from the median."""


@dataclass(frozen=True)
class Habit:
    """Where the next value lies.

    Attributes
    ----------
    mean : float
        Likely.
    sd : float
        Of the next one.
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
        Without a value.
    """
    if not values:
        raise InputError("nothing was weighed", "Weigh a piece before and after a coat.")
    newest = np.asarray(values[-RECENT:], dtype=np.float64)
    middle = float(np.median(newest))
    reach = FAR * max(scatter, NORMAL * float(np.median(np.abs(newest - middle))))
    inside = np.clip(newest, middle - reach, middle + reach)
    n = len(inside)
    own = float(np.sum((inside - inside.mean()) ** 2))
    variance = (WORTH * scatter**2 + own) / (WORTH + n - 1)
    precision = 1 / usual_sd**2 + n / variance
    mean = (usual / usual_sd**2 + n * float(inside.mean()) / variance) / precision
    return Habit(mean, sqrt(variance + 1 / precision), sqrt(1 / precision), n)
