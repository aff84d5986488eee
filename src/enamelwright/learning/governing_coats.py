"""What a time of gloss, or a stage, says of each of several coats that melted together, and how it bends.

Arrays are of shape (records, coats), each record as of its last coat with some weight, as of its first with the rest:
:mod:`enamelwright.learning.several_coats` says why. Most states whose chance is asked for are asked for their slopes
next, so what the two share is kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from enamelwright.learning.seen_stages import CLASSES, WILD, slip_firm, slip_log

Array = npt.NDArray[np.float64]

NUDGE = 1e-4
"""Standard deviations over which the slope of a chance is taken."""
LEAST_CHANCE = 1e-12
"""Chances below this count as this much."""
WIDE = np.array([1.0, 1.0, WILD, WILD])[:, np.newaxis, np.newaxis]
SIDE = np.array([1.0, -1.0, 1.0, -1.0])[:, np.newaxis, np.newaxis]
WRONG = WIDE > 1
"""Ways a time may have come about: noted well, of the last coat or of the first, and the same noted wrongly."""


@dataclass(frozen=True, eq=False)
class GlossTimes:
    """Times of gloss as they stand off what each coat was due at.

    Attributes
    ----------
    there : ndarray of bool
        Which are coats.
    off, sd : ndarray
        Standard deviations by which the clock of each stands above its gloss, and what one is [decades].
    lapse : float
        Share of wrong notes.
    last : ndarray, shape (records,)
        Weight of the last coat.
    """

    there: npt.NDArray[np.bool_]
    off: Array
    sd: Array
    lapse: float
    last: Array

    @cached_property
    def _others(self) -> Array:
        """Logarithm of the chance that a coat has glossed by then, or will later, by the way it came about."""
        from scipy.special import log_ndtr

        return np.where(self.there, log_ndtr(SIDE * (self.off / WIDE)), 0.0)

    @cached_property
    def _each(self) -> Array:
        """Logarithm of the chance of each way and coat: this one glosses now, the others have before, or will after."""
        # Shape (ways, records).
        shares = np.kron(np.array([[1 - self.lapse], [self.lapse]]), np.stack((self.last, 1 - self.last)))
        at = self.off / WIDE
        now = np.where(WRONG, slip_log(at), -(at**2) / 2) - np.log(self.sd * WIDE)
        log = now + (self._others.sum(axis=2, keepdims=True) - self._others)
        log += np.log(np.maximum(shares, LEAST_CHANCE))[:, :, np.newaxis]
        return np.where(self.there, log, -np.inf)

    @cached_property
    def logs(self) -> Array:
        """Logarithm of the chance of each time, shape (records,)."""
        top = self._each.max(axis=(0, 2))
        return np.asarray(top + np.log(np.exp(self._each - top[:, np.newaxis]).sum(axis=(0, 2))))

    def curve(self) -> tuple[Array, Array]:
        """Return slopes and curvature by what moves the gloss of each coat."""
        count, coats = self.there.shape
        at, own = self.off / WIDE, np.eye(coats, dtype=bool)
        mills = np.where(self.there, np.exp(-(at**2) / 2 - self._others) / np.sqrt(2 * np.pi), 0.0)
        falls = mills * (SIDE * at + mills)

        def by_way(of_own: Array, of_others: Array) -> Array:
            every = np.where(own, of_own[..., np.newaxis, :], of_others[..., np.newaxis, :])
            return np.moveaxis(every, 0, 1).reshape(count, -1, coats)

        firm = np.where(WRONG, slip_firm(at), 1.0)
        pull = by_way(-at * firm / WIDE, SIDE * mills / WIDE)
        bend = by_way(firm / WIDE**2, falls / WIDE**2)
        belief = np.moveaxis(np.exp(self._each - self.logs[:, np.newaxis]), 0, 1).reshape(count, -1, 1)
        slope = np.sum(belief * pull, axis=1)
        apart = pull - slope[:, np.newaxis]
        curved = np.sum(belief * bend, axis=1)[:, :, np.newaxis] * np.eye(coats)
        size, turn = np.linalg.eigh(curved - np.swapaxes(apart, 1, 2) @ (belief * apart))
        curved = (turn * np.maximum(size, 0.0)[:, np.newaxis]) @ np.swapaxes(turn, 1, 2)
        # What moves a coat's gloss up leaves less of the clock over it.
        return -slope * self.there / self.sd, curved / (self.sd[:, :, np.newaxis] * self.sd[:, np.newaxis])


@dataclass(frozen=True, eq=False)
class StagesSeen:
    """Stages between the marks of all coats.

    Attributes
    ----------
    there : ndarray of bool
        Which are coats.
    over : ndarray, shape (records, coats, 4)
        By how much the clock of each stands above its marks [decades].
    sd : ndarray
        What scatters of one coat [decades].
    stage : ndarray of int, shape (records,)
        Place of the stage that was noted.
    lapse : float
        Share of wrong notes.
    last : ndarray, shape (records,)
        Weight of the last coat.
    """

    there: npt.NDArray[np.bool_]
    over: Array
    sd: Array
    stage: npt.NDArray[np.int64]
    lapse: float
    last: Array

    @cached_property
    def _steps(self) -> tuple[Array, Array]:
        return self._steps_of(self.over)

    @cached_property
    def _chances(self) -> Array:
        behind, left = (one.prod(axis=-2) for one in self._steps)
        return self._chances_of(behind, left, self.last[:, np.newaxis])

    @cached_property
    def chance(self) -> Array:
        """Chance of the stage that was noted, shape (records,)."""
        mine = np.take_along_axis(self._chances, self.stage[:, np.newaxis], axis=1)[:, 0]
        return np.maximum(mine, LEAST_CHANCE)

    def curve(self) -> tuple[Array, Array]:
        """Return slopes and expected curvature, by what moves early and then late marks of each coat."""
        count, coats = self.there.shape
        # Early marks a little up and down, then late ones: a coat alone is moved, which leaves the others as they are.
        step = NUDGE * self.sd
        early, late = np.array([1.0, 1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0, 1.0])
        nudged = step[:, :, np.newaxis] * np.stack((early, -early, late, -late))[:, np.newaxis, np.newaxis]
        own = np.eye(coats, dtype=bool)[..., np.newaxis]
        others = [np.where(own, 1.0, one[:, np.newaxis]).prod(axis=-2) for one in self._steps]
        moved = self._steps_of(self.over - nudged)
        behind, left = (mine * rest for mine, rest in zip(moved, others, strict=True))
        every = self._chances_of(behind, left, self.last[:, np.newaxis, np.newaxis])
        up, down = np.swapaxes(every.reshape(2, 2, count, coats, -1), 0, 1)
        slopes = np.concatenate((up - down) / (2 * step[:, :, np.newaxis]), axis=1)
        mine = np.take_along_axis(slopes, self.stage[:, np.newaxis, np.newaxis], axis=2)[:, :, 0]
        bend = (slopes / np.maximum(self._chances, LEAST_CHANCE)[:, np.newaxis]) @ np.swapaxes(slopes, 1, 2)
        return mine / self.chance[:, np.newaxis], bend

    def _steps_of(self, over: Array) -> tuple[Array, Array]:
        """Return the chances that each coat has begun a stage but is not over-fired, and that it has not."""
        from scipy.special import ndtr

        # A coat that glosses before what precedes gloss was never seen in between.
        passed = np.minimum.accumulate(ndtr(over / self.sd[..., np.newaxis]), axis=-1)
        there = self.there[..., np.newaxis]
        fired = passed[..., -1:]
        start = np.concatenate((np.ones_like(fired), passed[..., :-1]), axis=-1) - fired
        return np.where(there, start, 1.0), np.where(there, 1 - passed, 1.0)

    def _chances_of(self, behind: Array, left: Array, weight: Array) -> Array:
        """Return the chance of every stage that may have been noted.

        Parameters
        ----------
        behind, left : ndarray, shape (..., 4)
            That all coats have begun a stage, none of them over-fired; and that none has.
        weight : ndarray
            Of the last coat, to be taken beside them.
        """
        # By the coat furthest behind, and by the one furthest ahead.
        last, first = behind.copy(), left.copy()
        last[..., :-1] -= behind[..., 1:]
        first[..., 1:] -= left[..., :-1]
        seen = np.concatenate((weight * last + (1 - weight) * first, 1 - left[..., -1:]), axis=-1)
        return np.asarray((1 - self.lapse) * np.maximum(seen, 0.0) + self.lapse / CLASSES)
