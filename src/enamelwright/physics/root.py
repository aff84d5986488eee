"""Where a continuous function of one number passes zero."""

from __future__ import annotations

from collections.abc import Callable
from math import isnan, sqrt

#: More steps than any function takes: halving alone reaches the last digit of a number in half as many.
MOST_STEPS = 200
HALF = 0.5
ROUNDING = 2.0**-52
"""Of a float, relative."""


def root(
    function: Callable[[float], float], low: float, high: float, relative: float = 0.0, near: float = 0.0
) -> float:
    """Return where a function passes zero between two numbers at which its signs differ.

    Inverse quadratic interpolation where it is to be trusted, halving elsewhere, so that it never takes much longer
    than halving alone. It is here, and not a library's, because that one is large and a server holds it for good.

    Parameters
    ----------
    function : callable
        Of one float; continuous.
    low, high : float
        The two ends.
    relative, near : float
        The answer lies within `near` + `relative` times itself, or within the rounding of a float.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        When the function has the same sign at both ends, or is no number somewhere.

    References
    ----------
    T. R. Chandrupatla, Advances in Engineering Software 28 (1997) 145.
    """
    newest, other = high, low
    at_newest, at_other = function(high), function(low)
    if at_newest == 0 or at_other == 0:
        return newest if at_newest == 0 else other
    # Their product may be too small for a float.
    if isnan(at_newest) or isnan(at_other) or (at_newest > 0) == (at_other > 0):
        raise ValueError("the function does not change its sign between the two ends")
    share = HALF
    for _ in range(MOST_STEPS):
        tried = newest + share * (other - newest)
        at_tried = function(tried)
        if isnan(at_tried):
            raise ValueError(f"the function is no number at {tried:g}")
        if (at_tried > 0) == (at_newest > 0):
            last, at_last = newest, at_newest
        else:
            last, at_last = other, at_other
            other, at_other = newest, at_newest
        newest, at_newest = tried, at_tried
        best, at_best = (newest, at_newest) if abs(at_newest) < abs(at_other) else (other, at_other)
        least = (near / 2 + relative / 2 * abs(best) + ROUNDING * abs(best)) / abs(other - newest)
        if least > HALF or at_best == 0:
            return best
        across = (newest - other) / (last - other)
        up = (at_newest - at_other) / (at_last - at_other)
        if 1 - sqrt(1 - across) < up < sqrt(across):
            share = at_newest / (at_other - at_newest) * at_last / (at_other - at_last)
            more = at_newest / (at_last - at_newest) * at_other / (at_last - at_other)
            share += (last - newest) / (other - newest) * more
        else:
            share = HALF
        share = min(max(share, least), 1 - least)
    return best
