"""Annealing of a hardened metal while it is heated."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.physics.schedule import Schedule

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Recovery:
    """How annealing wipes out the hardening of the metal on heating (assumption).

    Attributes
    ----------
    onset : float
        Temperature above which the plastic strain fades [K].
    fade : float
        Kelvin of heating that leave 1/e of it.
    full : float
        A hold that ends at or above this temperature leaves none [K].
    """

    onset: float
    fade: float
    full: float

    def memory(self, schedule: Schedule) -> Array:
        """Share of the plastic strain that survives each step of a schedule.

        Parameters
        ----------
        schedule : Schedule
            The history.

        Returns
        -------
        ndarray, shape (n_step,)
        """
        kelvin = schedule.temperature
        kept = np.ones(schedule.step_count)
        for marks in schedule.firings:
            heating = slice(marks.start, marks.cooling)
            rise = np.diff(kelvin[marks.start : marks.cooling + 1])
            warm = kelvin[marks.start + 1 : marks.cooling + 1] > self.onset
            kept[heating] = np.where(warm, np.exp(-np.maximum(rise, 0.0) / self.fade), 1.0)
            if marks.cooling > marks.start and kelvin[marks.cooling] >= self.full:
                kept[marks.cooling - 1] = 0.0
        return kept
