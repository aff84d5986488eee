"""How far the chamber strays from its set point after the door closes on a load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class KilnResponse:
    """Temperatures of the chamber less its set point, from the moment the door closes.

    Linear between the rows; the last row is held. One response belongs to one kiln, one load and one
    time of the door standing open; within some 80 K of the set point it was worked out at, it is shifted
    with the set point.

    Attributes
    ----------
    times : ndarray, shape (n,)
        Seconds after the door closed, rising from 0 [s].
    radiant : ndarray, shape (n,)
        What a small body sees, less the set point [K].
    air : ndarray, shape (n,)
        Air less the set point [K].
    """

    times: Array
    radiant: Array
    air: Array

    def __post_init__(self) -> None:
        """Refuse tables that are no response."""
        shapes = {np.shape(self.times), np.shape(self.radiant), np.shape(self.air)}
        if len(shapes) != 1 or np.ndim(self.times) != 1 or len(self.times) < 1:
            raise InputError("a kiln response needs three columns of one length")
        if not all(np.all(np.isfinite(column)) for column in (self.times, self.radiant, self.air)):
            raise InputError("a kiln response needs finite numbers")
        if self.times[0] != 0.0 or np.any(np.diff(self.times) <= 0):
            raise InputError("the times of a kiln response must rise from 0 s")

    @classmethod
    def steady(cls) -> KilnResponse:
        """Return the response of a chamber so large that neither door nor load disturbs it."""
        return cls(np.zeros(1), np.zeros(1), np.zeros(1))

    def at(self, times: npt.ArrayLike) -> tuple[Array, Array]:
        """Return (radiant, air) less the set point at any times [K].

        Parameters
        ----------
        times : array_like
            Seconds after the door closed [s].
        """
        wanted = np.asarray(times, dtype=np.float64)
        return np.interp(wanted, self.times, self.radiant), np.interp(wanted, self.times, self.air)

    def without_overshoot(self) -> KilnResponse:
        """Return the response cut off at the set point: the other end of what a controller may do."""
        return KilnResponse(self.times, np.minimum(self.radiant, 0.0), np.minimum(self.air, 0.0))
