"""How often something happens, from few counts: intervals that stay honest at none and at all.

Source: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404; E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209;
H. Jeffreys, Theory of Probability, 3rd ed. (1961). Checked in tests/learning/test_proportions.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

from enamelwright.errors import InputError

Interval = tuple[float, float]

SURE = 0.95
"""Share of such intervals that hold the truth, when nothing else is asked."""


def exact(count: int, of: int, sure: float = SURE) -> Interval:
    """Interval that never holds the truth less often than it says (Clopper and Pearson).

    Parameters
    ----------
    count, of : int
        How often, out of how many; 0 <= count <= of, of > 0.
    sure : float
        Share of intervals that hold the truth, between 0 and 1.

    Returns
    -------
    tuple of float
        Low and high share.

    Raises
    ------
    InputError
        When the counts do not fit together.
    """
    from scipy.stats import beta

    _counts(count, of, sure)
    tail = (1 - sure) / 2
    low = float(beta.ppf(tail, count, of - count + 1)) if count else 0.0
    high = float(beta.ppf(1 - tail, count + 1, of - count)) if count < of else 1.0
    return low, high


def wilson(count: int, of: int, sure: float = SURE) -> Interval:
    """Interval by the score test (Wilson): right on average, shorter than the exact one.

    Parameters
    ----------
    count, of, sure
        As in `exact`.

    Raises
    ------
    InputError
        When the counts do not fit together.
    """
    from scipy.stats import norm

    _counts(count, of, sure)
    z = float(norm.ppf((1 + sure) / 2))
    share, room = count / of, 1 + z * z / of
    middle = (share + z * z / (2 * of)) / room
    half = z / room * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)


def in_groups(counts: Sequence[int], sizes: Sequence[int], sure: float = SURE) -> Interval:
    """Interval of a share whose cases came in groups that may go wrong together, as pieces of one load.

    The exact interval of as many tries as the groups are worth: pieces of a load that all failed at once are hardly
    more than one try, and such that fail each by itself count in full.

    Parameters
    ----------
    counts, sizes : sequence of int
        How often, out of how many, in each group that was tried.
    sure : float
        As in `exact`.

    Raises
    ------
    InputError
        When the counts do not fit together.

    Source
    ------
    E. L. Korn, B. I. Graubard, Survey Methodology 24 (1998) 193, without their factor for few groups.
    """
    from scipy.stats import beta

    count, of = sum(counts), sum(sizes)
    _counts(count, of, sure)
    for mine, all_of_it in zip(counts, sizes, strict=True):
        if not 0 <= mine <= all_of_it:
            raise InputError(f"{mine} of {all_of_it} cannot be", "Count again: the part cannot exceed the whole.")
    share, groups = count / of, len(sizes)
    off = sum((mine - share * all_of_it) ** 2 for mine, all_of_it in zip(counts, sizes, strict=True))
    if not 0 < count < of or groups < 2:  # nothing tells how they go together
        return exact(count, of, sure)
    variance = groups / (groups - 1) * off / of**2
    worth = min(float(of), share * (1 - share) / variance) if variance > 0 else float(of)
    tail, found = (1 - sure) / 2, share * worth
    low = float(beta.ppf(tail, found, worth - found + 1))
    high = float(beta.ppf(1 - tail, found + 1, worth - found))
    return low, high


def at_most(of: int, sure: float = SURE) -> float:
    """Largest share that still often gives none out of so many: "none seen" is not "never".

    Parameters
    ----------
    of : int
        Tries without a single case, at least 1.
    sure : float
        One-sided.

    Raises
    ------
    InputError
        When nothing was tried.
    """
    _counts(0, of, sure)
    return float(1 - (1 - sure) ** (1 / of))


def _counts(count: int, of: int, sure: float) -> None:
    if of < 1 or not 0 <= count <= of:
        raise InputError(f"{count} of {of} cannot be", "Count again: the part cannot exceed the whole.")
    if not 0 < sure < 1:
        raise InputError(
            f"an interval cannot hold a share of {sure:g}", "Ask for a share between 0 and 1, such as 0.9."
        )
