"""What a fault goes with, from few pieces: logistic fits that stay finite when the data separate.

Firth's penalty and a weak normal prior both do. Neither gives a verdict: what is reported is the chance that an effect
has a sign, and how often the fault is to be expected, with its spread. Pieces of one load are no replicates of what
belongs to the load: count by load there.

Source: D. Firth, Biometrika 80 (1993) 27; G. Heinze, M. Schemper, Stat. Med. 21 (2002) 2409; A. Gelman et al., Ann.
Appl. Stat. 2 (2008) 1360 (weak priors on scaled inputs). Checked in tests/learning/test_rare_faults.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import comb

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach

Array = npt.NDArray[np.float64]

STOP, ITERATIONS, LONGEST_STEP = 1e-12, 200, 5.0
"""When a fit is done, how long it may take, and how far one step may go."""
WEAK = 2.5
"""Standard deviation of the weak prior on coefficients of inputs scaled to about one."""
GRID, WIDE = 201, 6.0
"""Points per coefficient of the grid, and how many standard deviations it reaches."""
CLOSER, NOTHING = 0.25, 1e-9
"""Share of the grid that must hold what is likely, and how much less likely than the likeliest nothing is."""
COUNTS = 4096
"""Counts that stay weighed; a record asks for the same ones again and again."""


@dataclass(frozen=True, eq=False)
class Effects:
    """Coefficients in log odds with their covariance.

    Attributes
    ----------
    coefficients : ndarray, shape (k,)
        Most likely ones.
    covariance : ndarray, shape (k, k)
        By the curvature there.
    """

    coefficients: Array
    covariance: Array

    @property
    def deviations(self) -> Array:
        """Standard deviations."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    def chance_positive(self) -> Array:
        """Chance of each coefficient to be above zero, by the curvature."""
        from scipy.special import ndtr

        return np.asarray(ndtr(self.coefficients / self.deviations))

    def probability(self, at: npt.ArrayLike) -> Array:
        """How often the fault is to be expected at given inputs, the spread of the coefficients counted in.

        Parameters
        ----------
        at : array_like, shape (..., k)
            Inputs.

        Source
        ------
        D. J. C. MacKay, Neural Comput. 4 (1992) 720: the logistic of a normal argument.
        """
        from scipy.special import expit

        x = np.asarray(at, dtype=np.float64)
        middle = x @ self.coefficients
        spread = np.einsum("...i,ij,...j->...", x, self.covariance, x)
        return np.asarray(expit(middle / np.sqrt(1 + np.pi * spread / 8)))


def firth(inputs: npt.ArrayLike, fault: npt.ArrayLike) -> Effects:
    """Logistic fit with Firth's penalty.

    Parameters
    ----------
    inputs : array_like, shape (n, k)
        One row a piece or load; a column of ones for the intercept.
    fault : array_like, shape (n,)
        1 where it was seen, else 0.

    Raises
    ------
    InputError
        When the columns repeat each other or the shapes differ.
    OutOfReach
        When the fit does not settle.
    """
    x, y = _data(inputs, fault)
    beta = np.zeros(x.shape[1])
    for _ in range(ITERATIONS):
        p = _logistic(x @ beta)
        weight = p * (1 - p)
        information = x.T @ (weight[:, np.newaxis] * x)
        root = np.sqrt(weight)[:, np.newaxis] * x
        hat = np.einsum("ij,jk,ik->i", root, np.linalg.inv(information), root)
        step = np.linalg.solve(information, x.T @ (y - p + hat * (0.5 - p)))
        longest = float(np.max(np.abs(step)))
        beta = beta + step * min(1.0, LONGEST_STEP / max(longest, STOP))
        if longest < STOP * max(1.0, float(np.max(np.abs(beta)))):
            return Effects(beta, np.asarray(np.linalg.inv(information), dtype=np.float64))
    raise OutOfReach("the fit of this fault does not settle", "Record a few more loads with and without it.")


def weak_prior(
    inputs: npt.ArrayLike, fault: npt.ArrayLike, sd: npt.ArrayLike = WEAK, about: npt.ArrayLike = 0.0
) -> Effects:
    """Logistic fit under independent normal priors, with the curvature at the top as its spread.

    Parameters
    ----------
    inputs, fault
        As in `firth`; inputs scaled to about one.
    sd : array_like
        Standard deviation of each prior, one for all or one a column.
    about : array_like
        Its mean, likewise.

    Raises
    ------
    InputError, OutOfReach
        As in `firth`; a single row is enough here.
    """
    x, y = _data(inputs, fault, ranked=False)
    precision = np.diag(1 / np.broadcast_to(np.asarray(sd, dtype=np.float64), x.shape[1]) ** 2)
    middle = np.array(np.broadcast_to(np.asarray(about, dtype=np.float64), x.shape[1]))
    beta = middle.copy()
    for _ in range(ITERATIONS):
        p = _logistic(x @ beta)
        curvature = x.T @ ((p * (1 - p))[:, np.newaxis] * x) + precision
        step = np.linalg.solve(curvature, x.T @ (y - p) - precision @ (beta - middle))
        longest = float(np.max(np.abs(step)))
        part, here = min(1.0, LONGEST_STEP / max(longest, STOP)), _worth(x, y, beta, precision, middle)
        while part * longest > STOP and _worth(x, y, beta + part * step, precision, middle) < here:
            part /= 2  # it leads past the top
        beta = beta + part * step
        if part * longest < STOP * max(1.0, float(np.max(np.abs(beta)))):
            return Effects(beta, np.asarray(np.linalg.inv(curvature), dtype=np.float64))
    raise OutOfReach("the fit of this fault does not settle", "Record a few more loads with and without it.")


@dataclass(frozen=True, eq=False)
class GridEffect:
    """One effect and an intercept by direct summing: no bell shape assumed.

    Attributes
    ----------
    mean, sd : float
        Of the effect in log odds.
    chance_positive : float
        That it makes the fault more frequent.
    without, with_it : float
        How often the fault is to be expected at input 0 and at input 1.
    """

    mean: float
    sd: float
    chance_positive: float
    without: float
    with_it: float


def one_effect(
    inputs: npt.ArrayLike, fault: npt.ArrayLike, sd: float = WEAK, times: npt.ArrayLike | None = None
) -> GridEffect:
    """Weigh one input by summing over intercept and slope.

    Parameters
    ----------
    inputs : array_like, shape (n,)
        0 and 1, or scaled to about one.
    fault : array_like, shape (n,)
        1 where seen.
    sd : float
        Of the normal priors on both.
    times : array_like, shape (n,), optional
        How often each row came; once when left out.

    Raises
    ------
    InputError
        When the shapes differ.
    """
    column = np.asarray(inputs, dtype=np.float64).reshape(-1, 1)
    x, y = _data(np.hstack([np.ones_like(column), column]), fault, ranked=False)
    alike = np.column_stack([x[:, 1], y])
    if times is None:
        alike, times = np.unique(alike, axis=0, return_counts=True)
    counted = [(*row, count) for row, count in zip(alike, np.asarray(times, dtype=np.float64), strict=True)]
    ends = [(-WIDE * sd, WIDE * sd)] * 2
    while True:
        first, second = (np.linspace(*one, GRID) for one in ends)
        weight = _weights(first, second, counted, sd)
        seen = [_span(first, weight.sum(axis=1)), _span(second, weight.sum(axis=0))]
        # Many counts know it so well that hardly a point of the grid is left: then a finer one is laid over what is.
        if all(one[1] - one[0] > CLOSER * (end[1] - end[0]) for one, end in zip(seen, ends, strict=True)):
            break
        ends = seen
    over_b = np.sum(weight, axis=0)
    mean = float(np.sum(over_b * second))
    spread = float(np.sqrt(np.sum(over_b * (second - mean) ** 2)))
    a, b = first[:, np.newaxis], second[np.newaxis, :]
    return GridEffect(
        mean,
        spread,
        _above(second, over_b),
        float(np.sum(weight * _logistic(a + 0 * b))),
        float(np.sum(weight * _logistic(a + b))),
    )


def _weights(first: Array, second: Array, counted: Sequence[tuple[float, float, float]], sd: float) -> Array:
    """Return how likely each pair of intercept and slope is, as shares of all."""
    a, b = first[:, np.newaxis], second[np.newaxis, :]
    logs = -(a**2 + b**2) / (2 * sd**2)
    for value, seen, count in counted:
        argument = a + b * value
        logs = logs - count * np.logaddexp(0.0, -argument if seen else argument)
    weight = np.exp(logs - np.max(logs))
    return np.asarray(weight / np.sum(weight))


def _above(axis: Array, share: Array) -> float:
    """Return how much lies above nought, whether or not a point of the axis does."""
    over = axis > 0
    points = np.concatenate(([0.0], axis[over]))
    density = np.interp(points, axis, share, left=0.0, right=0.0)
    return float(min(np.trapezoid(density, points) / np.trapezoid(share, axis), 1.0))


def _span(axis: Array, share: Array) -> tuple[float, float]:
    """Return between which points of an axis nearly all lies, with one more on either side."""
    held = np.flatnonzero(share > NOTHING * share.max())
    return float(axis[max(held[0] - 1, 0)]), float(axis[min(held[-1] + 1, len(axis) - 1)])


@lru_cache(maxsize=COUNTS)
def effect_of_counts(with_all: int, with_fault: int, without_all: int, without_fault: int) -> GridEffect:
    """Weigh one cause by counts alone, as `one_effect` does.

    Parameters
    ----------
    with_all, with_fault : int
        How many had the cause, and how many of those the fault.
    without_all, without_fault : int
        The same of those that did not have it.

    Raises
    ------
    InputError
        For more faults than loads, or fewer than none.
    """
    if not (0 <= with_fault <= with_all and 0 <= without_fault <= without_all):
        raise InputError("there cannot be more faults than loads, nor fewer than none", "Count again.")
    times = (with_fault, with_all - with_fault, without_fault, without_all - without_fault)
    return one_effect((1.0, 1.0, 0.0, 0.0), (1, 0, 1, 0), times=times)


def fisher_one_sided(with_fault: int, with_good: int, without_fault: int, without_good: int) -> float:
    """Chance of as many faults or more among those with the cause, if it made no difference.

    Parameters
    ----------
    with_fault, with_good, without_fault, without_good : int
        The four counts.

    Raises
    ------
    InputError
        For a negative count.

    Source
    ------
    R. A. Fisher, Statistical Methods for Research Workers (1934), the hypergeometric law.
    """
    if min(with_fault, with_good, without_fault, without_good) < 0:
        raise InputError("a count cannot be negative", "Count again.")
    with_all, faults = with_fault + with_good, with_fault + without_fault
    everything = with_all + without_fault + without_good
    ways = sum(
        comb(with_all, k) * comb(everything - with_all, faults - k)
        for k in range(with_fault, min(with_all, faults) + 1)
    )
    return ways / comb(everything, faults)


def _worth(x: Array, y: Array, beta: Array, precision: Array, middle: Array) -> float:
    """Return the logarithm of the chance of the data and of the coefficients, but for a constant."""
    score = x @ beta
    off = beta - middle
    return float(np.sum(y * score - np.logaddexp(0.0, score)) - off @ precision @ off / 2)


def _logistic(x: Array) -> Array:
    from scipy.special import expit

    return np.asarray(expit(x))


def _data(inputs: npt.ArrayLike, fault: npt.ArrayLike, *, ranked: bool = True) -> tuple[Array, Array]:
    x, y = np.asarray(inputs, dtype=np.float64), np.asarray(fault, dtype=np.float64)
    if x.ndim != 2 or y.shape != (len(x),) or not len(x):
        raise InputError("inputs and faults do not belong together", "Give one row of inputs for each piece.")
    if not (np.all(np.isfinite(x)) and np.all((y == 0) | (y == 1))):
        raise InputError("inputs must be numbers and faults 0 or 1", "Leave unknown rows out.")
    if ranked and np.linalg.matrix_rank(x) < x.shape[1]:
        raise InputError("two causes always came together", "Fire one with the one and without the other.")
    return x, y
