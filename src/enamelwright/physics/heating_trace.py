"""What a batch of pieces went through in the kiln."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import OutOfReach
from enamelwright.physics.gloss_clock import stage_time

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Trace:
    """What a batch went through.

    Attributes
    ----------
    times : ndarray, shape (n,)
        Seconds after the door closed; the last one is the dwell. Equal steps up to ``steady_from``.
    piece, support : ndarray, shape (members, n)
        Temperatures [K].
    clocks : ndarray, shape (coats, members, n)
        Fusion work of each coat, the integral of 1 / viscosity [1/Pa].
    oxide : ndarray, shape (members, n)
        Oxide on bare faces [m].
    peak : ndarray, shape (members,)
        Hottest the piece gets [K].
    steady_from : float
        Time from which temperatures stand still and clocks run evenly [s]; infinite when never reached.
    """

    times: Array
    piece: Array
    support: Array
    clocks: Array
    oxide: Array
    peak: Array
    steady_from: float

    def clock_at(self, time: float, coat: int = 0) -> Array:
        """Return the fusion work of a coat at a time [1/Pa], shape (members,)."""
        return _at(self.times, self.clocks[coat], time)

    def piece_at(self, time: float) -> Array:
        """Return the temperature of the piece at a time [K], shape (members,)."""
        return _at(self.times, self.piece, time)

    def oxide_at(self, time: float) -> Array:
        """Return the oxide at a time [m], shape (members,)."""
        # Parabolic growth runs evenly in the square.
        return np.sqrt(_at(self.times, self.oxide**2, time))

    def reaches(self, kelvin: float) -> Array:
        """Return when the piece first reaches a temperature [s], shape (members,); infinite if never."""
        reached = self.piece >= kelvin
        last = np.argmax(reached, axis=1)
        row = np.arange(len(last))
        before = np.maximum(last - 1, 0)
        low, high = self.piece[row, before], self.piece[row, last]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(last > 0, (kelvin - low) / (high - low), 1.0)
        found = self.times[before] + share * (self.times[last] - self.times[before])
        return np.where(reached.any(axis=1), found, np.inf)

    def when(self, threshold: npt.ArrayLike, coat: int = 0, before: npt.ArrayLike = 0.0) -> Array:
        """Return when a coat has done so much fusion work [s], shape (members,); infinite if never.

        Parameters
        ----------
        threshold : array_like, shape (members,) or scalar
            Fusion work [1/Pa].
        coat : int
            Which clock.
        before : array_like
            Work of earlier firings, which counts [1/Pa].
        """
        work = self.clocks[coat] + np.asarray(before, dtype=np.float64).reshape(-1, 1)
        return stage_time(self.times, work, threshold, steady_from=self.steady_from)


def _at(times: Array, values: Array, time: float) -> Array:
    if not 0.0 <= time <= times[-1]:
        raise OutOfReach(f"the firing was followed for {times[-1]:.0f} s only.", "Ask for a longer dwell.")
    after = int(np.clip(np.searchsorted(times, time), 1, len(times) - 1))
    share = (time - times[after - 1]) / (times[after] - times[after - 1])
    return np.asarray(values[..., after - 1] + share * (values[..., after] - values[..., after - 1]))
