"""How much a hand scatters from one weighing to the next, and wanders: what is believed of it, and what its own tell.

Hands scatter differently. The logarithm of a hand's scatter is taken to lie about that of its bench, and the bench
about what is usual (a location-scale model: D. Hedeker, R. J. Mermelstein, H. Demirtas, Biometrics 64 (2008) 627).
About its bench a hand follows Student's t, as how far hands differ is itself an assumption: one that scatters three
times as much as the others must be possible. Hands also learn: what they do wanders from weighing to weighing, or does
not (a local level: A. C. Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), section 2.3).
Nothing is chosen: each way a hand may be counts by how well it is believed, so that the next weighing follows a mixture
of normal laws (A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), sections 3.2 and 10.1).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

LEAST, MOST, STRIDE = -2.0, 3.0, 0.125
"""Logarithms of a scatter over the usual one between which it is looked for, a seventh and twenty times as much, and in
which strides: from sixty weighings it is told to 0.09."""
LOGS = np.arange(LEAST, MOST + STRIDE / 2, STRIDE)
TAILS = 4.0
"""Degrees of freedom of hands about their bench: few, as how far they differ is not known well."""
WANDERS, BELIEVED = np.array([0.0, 0.1, 0.3]), np.array([0.6, 0.2, 0.2])
"""Steps from one weighing to the next over the scatter that are weighed, and how well each is believed beforehand. An
assumption: who loses a fifth, and a tenth some thirty weighings later, goes a tenth of the scatter at each."""
WAYS = len(WANDERS) * len(LOGS)
SURE = 0.9
"""Share of the next ones inside a band."""
HALVINGS = 16
"""Of the reach of a band: to less than a ten thousandth of it."""
NEGLIGIBLE = 1e-6
"""Share below which a way is left out of a band."""
ENOUGH = 3.0
"""Of the widest law of a mixture, in standard deviations: beyond its own, a band of 90 % never reaches further."""


@dataclass(frozen=True)
class Uneven:
    """How far scatters of hands lie apart, as standard deviations of their logarithms, before any was told.

    Attributes
    ----------
    person : float
        Of one hand from its bench, in the middle of a law with wider tails.
    bench : float
        Of a bench from what is usual.
    """

    person: float
    bench: float


@dataclass(frozen=True, eq=False)
class Series:
    """What values of one hand that follow each other say of where it is now, for each way it may wander.

    Attributes
    ----------
    means : ndarray, shape (n_wander,)
        Likely, in the unit of the values.
    counts : ndarray, shape (n_wander,)
        Values that would tell as much of a hand that does not wander.
    squares : ndarray, shape (n_wander,)
        What they scatter by, summed up: the variance times `freedom`, if all is as taken.
    freedom : int
        Values less one.
    logs : ndarray, shape (n_wander,)
        Logarithm of what the likelihood has besides.
    """

    means: Array
    counts: Array
    squares: Array
    freedom: int
    logs: Array

    @classmethod
    def of(cls, values: Array, inside: Array) -> Series:
        """Sum up values.

        Parameters
        ----------
        values, inside : ndarray, shape (n,)
            As they were, the oldest first, and drawn in where they lie far off: for the means.
        """
        weights, counts, inverses, logs = _wandering(len(values))
        off = values - (weights @ values)[:, np.newaxis]
        squares = np.einsum("wi,wij,wj->w", off, inverses, off)
        return cls(weights @ inside, counts, squares, len(values) - 1, logs)


def ways(usual: float) -> tuple[Array, Array]:
    """Return every way a hand may be: its scatter, and variance of its next value about where it is now.

    Parameters
    ----------
    usual : float
        Usual scatter of one hand, above 0.

    Returns
    -------
    tuple of ndarray, shape (n_way,)
        In the unit of the scatter, and squared.
    """
    every = usual * np.exp(LOGS)
    next_one = np.multiply.outer(1 + WANDERS**2, every**2)
    return np.tile(every, len(WANDERS)), next_one.ravel()


def shown(told: Sequence[Series], usual: float) -> Array:
    """Return how well each way fits values about levels of which nothing is known, as logarithms, shape (n_way,).

    Parameters
    ----------
    told : sequence of Series
        One a level. They share the way.
    usual : float
        As for :func:`ways`.
    """
    squares = sum((one.squares for one in told), np.zeros(len(WANDERS)))
    logs = sum((one.logs for one in told), np.log(BELIEVED))
    freedom = sum(one.freedom for one in told)
    every = usual * np.exp(LOGS)
    found = logs[:, np.newaxis] - freedom * np.log(every) - squares[:, np.newaxis] / (2 * every**2)
    return np.asarray(found.ravel())


def expected(shows: Mapping[str, Array], uneven: Uneven) -> dict[str, Array]:
    """Return how well each scatter of each hand is believed by what all the others showed, for each way.

    Parameters
    ----------
    shows : mapping
        What each hand showed, by name: :func:`shown`.
    uneven : Uneven
        How far scatters lie apart.

    Returns
    -------
    dict
        Logarithms, shape (n_way,) each.
    """
    bench, hand = _beforehand(uneven)
    by_bench = {}
    for who, one in shows.items():
        top = one.max()
        scatter = np.exp(one - top).reshape(len(WANDERS), len(LOGS)).sum(axis=0)
        by_bench[who] = np.log(hand @ scatter) + top
    whole = bench + np.sum(list(by_bench.values()), axis=0)
    return {who: np.tile(np.log(shares(whole - own) @ hand), len(WANDERS)) for who, own in by_bench.items()}


def shares(logs: Array) -> Array:
    """Return shares that sum to one from logarithms that are right but for a constant.

    Parameters
    ----------
    logs : ndarray, shape (n,)
        One each.
    """
    found = np.exp(logs - logs.max())
    return np.asarray(found / found.sum())


def middling(share: Array, usual: float) -> float:
    """Return the variance of a hand in the middle of what is believed of it: the geometric mean.

    Parameters
    ----------
    share : ndarray, shape (n_way,)
        How well each way is believed.
    usual : float
        As for :func:`ways`.
    """
    return float(usual**2 * np.exp(2 * share @ np.tile(LOGS, len(WANDERS))))


def reach(share: Array, off: Array, sd: Array) -> Array:
    """Return how far a band about nought reaches that holds nine in ten of mixtures of normal laws, shape (n,).

    Parameters
    ----------
    share : ndarray, shape (n_way,)
        Of each law.
    off, sd : ndarray, shape (n_way, n)
        Middle and standard deviation of each law, of each of n mixtures.
    """
    from scipy.special import ndtr

    weighty = share > NEGLIGIBLE
    share, off, sd = share[weighty], off[weighty], sd[weighty]
    low = np.zeros(off.shape[1])
    high = np.max(np.abs(off) + ENOUGH * sd, axis=0)
    for _ in range(HALVINGS):
        half = (low + high) / 2
        held = share @ (ndtr((half - off) / sd) - ndtr((-half - off) / sd))
        low, high = np.where(held < SURE, half, low), np.where(held < SURE, high, half)
    return np.asarray(high)


@lru_cache(maxsize=8)
def _beforehand(uneven: Uneven) -> tuple[Array, Array]:
    """Return how well each bench is believed, as logarithms, and each hand at each bench, as shares."""
    off = (LOGS - LOGS[:, np.newaxis]) / uneven.person
    hand = (1 + off**2 / TAILS) ** (-(TAILS + 1) / 2)
    return -((LOGS / uneven.bench) ** 2) / 2, hand / hand.sum(axis=1, keepdims=True)


@lru_cache(maxsize=128)
def _wandering(count: int) -> tuple[Array, Array, Array, Array]:
    """Return weights of values in where a hand is now, what they count, their inverse covariance, and what remains.

    Seen from now, a value has what the hand has wandered since, which it shares with those before it.
    """
    since = np.arange(count, dtype=np.float64)[::-1]
    walk = np.minimum.outer(since, since)
    inverses = np.linalg.inv(np.eye(count) + WANDERS[:, np.newaxis, np.newaxis] ** 2 * walk)
    pulls = inverses.sum(axis=1)
    counts = pulls.sum(axis=1)
    logs = (np.linalg.slogdet(inverses)[1] - np.log(counts)) / 2
    return pulls / counts[:, np.newaxis], counts, inverses, logs
