"""How fast small grains fall through still air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.convection import GRAVITY

Array = npt.NDArray[np.float64]

#: Slip of a grain between the molecules of the air, ``1 + (2 l / d)(A + B exp(-C d / 2 l))``: A, B, C of the usual
#: fit (C. N. Davies, Proc. Phys. Soc. 57 (1945) 259, from memory).
SLIP = (1.257, 0.4, 1.1)
#: Drag beyond Stokes, ``1 + a Re^b``, to Reynolds numbers of some 800 (L. Schiller, A. Naumann, Z. Ver. Dtsch. Ing.
#: 77 (1933) 318, from memory).
DRAG = (0.15, 0.687)
#: Stokes: weight less lift, pi d^3 / 6, over the drag 3 pi mu d v.
STOKES = 18.0
#: Rounds of the iteration on the Reynolds number; each gains a digit or more below 1 mm.
ROUNDS = 40
#: Reynolds number beyond which the drag law no longer holds.
HIGHEST_REYNOLDS = 800.0


@dataclass(frozen=True)
class StillAir:
    """Air that grains fall through.

    Attributes
    ----------
    viscosity : float
        Dynamic [Pa s].
    density : float
        [kg/m3].
    free_path : float
        Mean free path of its molecules [m].
    """

    viscosity: float
    density: float
    free_path: float

    def __post_init__(self) -> None:
        """Refuse air without properties."""
        if not all(np.isfinite(one) and one > 0 for one in (self.viscosity, self.density, self.free_path)):
            raise InputError("air has a viscosity, a density and a free path above zero")

    def slip(self, diameter: npt.ArrayLike) -> Array:
        """Return by how much a grain falls faster than in a fluid without molecules.

        Parameters
        ----------
        diameter : array_like
            [m].
        """
        ratio = np.asarray(diameter, dtype=np.float64) / (2 * self.free_path)
        first, second, third = SLIP
        return np.asarray(1 + (first + second * np.exp(-third * ratio)) / ratio)

    def fall_speed(self, diameter: npt.ArrayLike, density: npt.ArrayLike) -> Array:
        """Return the speed at which a round grain falls [m/s].

        Parameters
        ----------
        diameter : array_like
            [m].
        density : array_like
            Of the grain [kg/m3].

        Raises
        ------
        InputError
            When a grain has no size or weighs less than air, or is too large for the law of its drag.
        """
        d, rho = np.asarray(diameter, dtype=np.float64), np.asarray(density, dtype=np.float64)
        if not np.all(np.isfinite(d)) or np.any(d <= 0) or np.any(rho <= self.density):
            raise InputError("a grain that falls has a size and is heavier than air")
        stokes = (rho - self.density) * GRAVITY * d**2 * self.slip(d) / (STOKES * self.viscosity)
        speed = stokes
        first, power = DRAG
        for _ in range(ROUNDS):
            reynolds = self.density * speed * d / self.viscosity
            speed = stokes / (1 + first * reynolds**power)
        if np.any(self.density * speed * d / self.viscosity > HIGHEST_REYNOLDS):
            raise InputError("the drag law holds for grains of a millimetre and less")
        return np.asarray(speed)
