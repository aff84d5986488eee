"""The clocks of many coats, each read at the one time that was noted of it, at whatever pace pieces heat up.

As :class:`enamelwright.learning.stage_records.Foretold` reads one, but all at once: records are looked at again about
every pace that is tried, and one by one that took as long as all the rest of learning.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.learning.stage_records import SHORTER, STRIDE, Foretold

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class ForetoldClocks:
    """Clocks of coats, and when each is read.

    Attributes
    ----------
    seconds : ndarray, shape (coats,)
        Times that were noted [s].
    learned : ndarray, shape (coats,)
        What had been learned of each by then [decades].
    logs, clock : ndarray, shape (coats, points)
        Logarithms of times and decades of the clock; rows with fewer points end in infinity and nought.
    rise : ndarray, shape (coats, points + 1)
        Decades a unit of the logarithm before the first point, between all points, and after the last.
    """

    seconds: Array
    learned: Array
    logs: Array
    clock: Array
    rise: Array

    @classmethod
    def of(cls, foretold: Sequence[Foretold], seconds: Sequence[float]) -> ForetoldClocks:
        """Gather clocks.

        Parameters
        ----------
        foretold : sequence of Foretold
            One a coat.
        seconds : sequence of float
            When each is read [s].
        """
        most = max((len(one.clock) for one in foretold), default=0)
        logs, clock = np.full((len(foretold), most), np.inf), np.zeros((len(foretold), most))
        rise = np.zeros((len(foretold), most + 1))
        for k, one in enumerate(foretold):
            points = len(one.clock)
            logs[k, :points], clock[k, :points], rise[k, : points + 1] = one.logs, one.clock, one.rises
        return cls(np.asarray(seconds), np.asarray([one.learned for one in foretold]), logs, clock, rise)

    def told(self, pace: Array) -> tuple[Array, Array, Array]:
        """Return where each clock stands, how much faster it would by a pace, and how fast it rises.

        Parameters
        ----------
        pace : ndarray, shape (coats,)
            Logarithm of how many times faster than foretold pieces heat up.

        Returns
        -------
        tuple of ndarray, shape (coats,)
            Where clocks stand along the straight lines that the pace moves them by, what was learned added [decades];
            decades they rise by for each unit of the pace; and in one second.
        """
        step = STRIDE * self.seconds
        slope = (self._at(self.seconds + step, pace) - self._at(self.seconds - step, pace)) / (2 * step)
        gain = slope * self.seconds - SHORTER
        # The line is drawn about the pace that is taken; its part itself counts from nought.
        return self._at(self.seconds, pace) - gain * pace + self.learned, gain, slope

    def _at(self, seconds: Array, pace: Array) -> Array:
        x = np.log(seconds) + pace
        rows, passed = np.arange(len(x)), np.sum(self.logs <= x[:, np.newaxis], axis=1)
        point = np.maximum(passed - 1, 0)
        return np.asarray(
            self.clock[rows, point] + self.rise[rows, passed] * (x - self.logs[rows, point]) - SHORTER * pace
        )
