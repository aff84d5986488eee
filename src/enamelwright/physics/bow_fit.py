"""Strength and mismatch read back from measured bows: a small maximum-a-posteriori fit.

Two one-sided strips of one metal and one glass, one thin and one thick, tell the two main unknowns
apart: the thin coat answers to the yield stress, the thick one to the mismatch.  The unknowns are
logarithms of scales on both, zero meaning "as tabulated".
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import OutOfReach

Array = npt.NDArray[np.float64]

DIFFERENCE = 1e-3
"""Step of the central differences, in logarithms."""
LARGEST_STEP = 0.5
"""Longest step of one iteration, in logarithms."""
STOP = 1e-8
ITERATIONS = 60
SHARES = np.array([1.0, 0.5, 0.25, 0.1, 0.02])
"""Shares of a step that are tried at once; the best one is taken, so that a fit does not swing to and fro."""

BowsOf = Callable[[Array], Array]
"""Bows [m], (n_point, n_piece), for logarithms of the scales, (n_point, n_unknown)."""


@dataclass(frozen=True, eq=False)
class BowFit:
    """Result of a fit.

    Attributes
    ----------
    logarithms : ndarray, shape (n_unknown,)
        Logarithms of the scales.
    covariance : ndarray, shape (n_unknown, n_unknown)
        Their covariance; the new spread of the materials.
    residuals : ndarray, shape (n_piece,)
        Measured minus fitted bow [m].
    """

    logarithms: Array
    covariance: Array
    residuals: Array

    @property
    def scales(self) -> Array:
        """Factors on the tabulated values."""
        return np.asarray(np.exp(self.logarithms))

    @property
    def deviations(self) -> Array:
        """Standard deviations of the logarithms."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))


def fit_bows(
    bows_of: BowsOf,
    measured: npt.ArrayLike,
    deviation: npt.ArrayLike,
    prior_deviation: npt.ArrayLike,
) -> BowFit:
    """Fit scales to measured bows by Gauss-Newton with a normal prior about zero.

    Parameters
    ----------
    bows_of : callable
        Linear bows [m] of the measured pieces; called with 2 n + 1 points at once.
    measured : array_like, shape (n_piece,)
        Measured bows, reduced to small deflection [m].
    deviation : array_like, shape () or (n_piece,)
        Standard deviation of each [m].
    prior_deviation : array_like, shape (n_unknown,)
        Standard deviation of each logarithm beforehand; infinite for no prior.

    Returns
    -------
    BowFit

    Raises
    ------
    OutOfReach
        If the bows do not determine the unknowns or the fit does not settle.
    """
    wanted = np.asarray(measured, dtype=np.float64)
    weight = np.broadcast_to(1 / np.asarray(deviation, dtype=np.float64) ** 2, wanted.shape)
    prior = np.diag(1 / np.asarray(prior_deviation, dtype=np.float64) ** 2)
    unknowns = prior.shape[0]
    offsets = np.vstack([np.zeros(unknowns), np.eye(unknowns), -np.eye(unknowns)]) * DIFFERENCE
    x = np.zeros(unknowns)
    for _ in range(ITERATIONS):
        found = np.asarray(bows_of(x + offsets), dtype=np.float64)
        residual = wanted - found[0]
        slope = (found[1 : unknowns + 1] - found[unknowns + 1 :]).T / (2 * DIFFERENCE)
        normal = slope.T @ (weight[:, np.newaxis] * slope) + prior
        try:
            covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
        except np.linalg.LinAlgError:
            break
        step = covariance @ (slope.T @ (weight * residual) - prior @ x)
        step = np.clip(step, -LARGEST_STEP, LARGEST_STEP)
        if np.abs(step).max() < STOP:
            return BowFit(x + step, covariance, residual)
        tried = x + SHARES[:, np.newaxis] * step
        misfits = ((wanted - np.asarray(bows_of(tried), dtype=np.float64)) ** 2) @ weight
        costs = misfits + np.einsum("ij,jk,ik->i", tried, prior, tried)
        best = int(np.argmin(costs))
        if not costs[best] < residual**2 @ weight + x @ prior @ x:
            return BowFit(x, covariance, residual)  # no way down from here that the differences can tell
        x = tried[best]
    raise OutOfReach(
        "the measured bows do not settle on one strength and one mismatch.",
        "Measure one more strip with another coat thickness, and check the readings.",
    )
