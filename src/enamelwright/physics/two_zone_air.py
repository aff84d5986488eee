"""Dust in two well-stirred zones of a room: the air round the hands, and the rest.

``Vn dCn/dt = G + b (Cf - Cn) - kn Vn Cn`` and ``Vf dCf/dt = b (Cn - Cf) - Q Cf - kf Vf Cf``.

Source: the two-zone model of occupational hygiene as given by M. Nicas, Ann. Work Expo. Health 68 (2024) 78
(abstract); solved here in closed form, since both equations are linear.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class TwoZones:
    """A room with a source in its near zone.

    Attributes
    ----------
    near, far : float
        Volumes [m3].
    exchange : float
        Air that passes from either zone into the other [m3/s].
    supply : float
        Fresh air into the far zone and out of it [m3/s]; 0 for a shut room.
    """

    near: float
    far: float
    exchange: float
    supply: float

    def __post_init__(self) -> None:
        """Refuse rooms without air, or whose zones do not mix."""
        numbers = (self.near, self.far, self.exchange, self.supply)
        if not all(np.isfinite(one) for one in numbers) or min(numbers[:3]) <= 0 or self.supply < 0:
            raise InputError("both zones need a volume, some air moves between them, and no supply is negative")

    def steady(
        self, source: npt.ArrayLike, near_loss: npt.ArrayLike = 0.0, far_loss: npt.ArrayLike = 0.0
    ) -> tuple[Array, Array]:
        """Concentrations (near, far) of a source that has gone on for long [kg/m3].

        Parameters
        ----------
        source : array_like
            [kg/s].
        near_loss, far_loss : array_like
            Rate at which dust settles out of the zones [1/s].

        Raises
        ------
        InputError
            When nothing ever carries the dust away.
        """
        g, kn, kf = (np.asarray(one, dtype=np.float64) for one in (source, near_loss, far_loss))
        out = self.supply + kf * self.far
        passed = self.exchange * out / (self.exchange + out)  # leaves the near zone and does not come back
        if np.any(kn * self.near + passed <= 0):
            raise InputError("without fresh air and without settling the dust has no end")
        near = g / (kn * self.near + passed)
        return np.asarray(near), np.asarray(near * self.exchange / (self.exchange + out))

    def course(
        self, source: float, times: npt.ArrayLike, near_loss: float = 0.0, far_loss: float = 0.0
    ) -> tuple[Array, Array]:
        """Concentrations (near, far) after a steady source sets in, in clean air [kg/m3].

        Parameters
        ----------
        source : float
            [kg/s].
        times : array_like
            Since it began [s].
        near_loss, far_loss : float
            Settling [1/s].

        Returns
        -------
        tuple of ndarray
            In the shape of the times.
        """
        t = np.asarray(times, dtype=np.float64)
        matrix = np.array(
            [
                [-self.exchange / self.near - near_loss, self.exchange / self.near],
                [self.exchange / self.far, -(self.exchange + self.supply) / self.far - far_loss],
            ]
        )
        rates, modes = np.linalg.eig(matrix)
        # Both rates are real and not positive: the matrix is similar to a symmetric one.
        rates = np.minimum(np.real(rates), 0.0)
        start = np.linalg.solve(np.real(modes), np.array([source / self.near, 0.0]))
        grown = [np.where(rate == 0, t, -np.expm1(rate * t) / -np.where(rate == 0, 1.0, rate)) for rate in rates]
        both = np.real(modes) @ (start[:, None] * np.stack([one.ravel() for one in grown]))
        return both[0].reshape(t.shape), both[1].reshape(t.shape)


def hemisphere_volume(radius: float) -> float:
    """Volume of half a ball on a bench [m3].

    Parameters
    ----------
    radius : float
        [m].
    """
    return float(2 / 3 * np.pi * radius**3)


def hemisphere_exchange(radius: float, air_speed: float) -> float:
    """Air that passes through the surface of half a ball on a bench, half of it inward [m3/s].

    Parameters
    ----------
    radius : float
        [m].
    air_speed : float
        Of the random currents of a room [m/s].
    """
    return float(np.pi * radius**2 * air_speed)  # half of 2 pi r2 times the speed


def purge_time(changes: float, left: float) -> float:
    """Time until a share of what floats in a well-stirred room is left [s]; settling left out.

    Parameters
    ----------
    changes : float
        Air changes [1/s].
    left : float
        Between 0 and 1.

    Raises
    ------
    InputError
        When nothing changes the air.
    """
    if not (changes > 0 and 0 < left < 1):
        raise InputError("the air of a room must change for it to clear, and a share lies between 0 and 1")
    return float(-np.log(left) / changes)
