"""A metal sheet as the stress solvers need it: curves against temperature."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.schedule import Schedule

Array = npt.NDArray[np.float64]

_CURVES = ("free_strain", "young", "yield_stress", "hardening")


@dataclass(frozen=True, eq=False)
class SheetMetal:
    """Isotropic metal that stretches, softens and yields with temperature.

    Straight lines join the tabulated points; nothing is extrapolated.

    Attributes
    ----------
    temperature : ndarray, shape (n,)
        Rising, [K].
    free_strain : ndarray, shape (n,)
        Thermal strain from any fixed reference (293.15 K by custom).
    young : ndarray, shape (n,)
        Young's modulus [Pa].
    yield_stress : ndarray, shape (n,)
        Yield stress of the annealed metal [Pa].
    hardening : ndarray, shape (n,)
        Rise of the yield stress with equivalent plastic strain [Pa].
    poisson : float
        Poisson's ratio.
    """

    temperature: Array
    free_strain: Array
    young: Array
    yield_stress: Array
    hardening: Array
    poisson: float

    def __post_init__(self) -> None:
        """Check the curves and freeze them."""
        for name in ("temperature", *_CURVES):
            values = np.array(getattr(self, name), dtype=np.float64)
            values.flags.writeable = False
            object.__setattr__(self, name, values)
            if values.ndim != 1 or values.shape != self.temperature.shape:
                raise InputError(f"{name} must have one value for each temperature")
            if not np.all(np.isfinite(values)):
                raise InputError(f"{name} must be finite")
        if self.temperature.size < 2 or np.any(np.diff(self.temperature) <= 0):
            raise InputError("the temperatures of the curves must rise")
        if min(self.young.min(), self.yield_stress.min(), self.hardening.min()) <= 0:
            raise InputError("modulus, yield stress and hardening must be positive")
        if not 0 <= self.poisson < 0.5:
            raise InputError("Poisson's ratio must lie between 0 and 0.5")

    @cached_property
    def reach(self) -> tuple[float, float]:
        """Lowest and highest temperature of the curves [K]."""
        return float(self.temperature[0]), float(self.temperature[-1])

    def at(self, curve: str, temperature: npt.ArrayLike) -> Array:
        """Read one curve.

        Parameters
        ----------
        curve : {"free_strain", "young", "yield_stress", "hardening"}
            Which one.
        temperature : array_like
            [K], inside the reach of the curves.

        Returns
        -------
        ndarray
            In the unit of the curve.

        Raises
        ------
        OutOfReach
            Outside the reach of the curves.
        """
        wanted = np.asarray(temperature, dtype=np.float64)
        low, high = self.reach
        if wanted.size and (wanted.min() < low or wanted.max() > high):
            raise OutOfReach(
                f"the metal's curves reach from {low:g} K to {high:g} K, not "
                f"{float(wanted.min()):g} K to {float(wanted.max()):g} K"
            )
        return np.asarray(np.interp(wanted, self.temperature, getattr(self, curve)))

    def modulus(self, temperature: npt.ArrayLike) -> Array:
        """Biaxial modulus ``E / (1 - nu)`` [Pa].

        Parameters
        ----------
        temperature : array_like
            [K].

        Returns
        -------
        ndarray
        """
        return self.at("young", temperature) / (1 - self.poisson)

    def scaled(self, *, yield_stress: float = 1.0, free_strain: float = 1.0) -> SheetMetal:
        """Return the same metal with its yield stress or its expansion multiplied.

        Parameters
        ----------
        yield_stress, free_strain : float
            Positive factors.

        Returns
        -------
        SheetMetal
        """
        return replace(
            self,
            yield_stress=self.yield_stress * yield_stress,
            free_strain=self.free_strain * free_strain,
        )

    def table(self, schedule: Schedule) -> SheetTable:
        """Tabulate the metal along a schedule.

        Parameters
        ----------
        schedule : Schedule
            Temperatures of the nodes.

        Returns
        -------
        SheetTable
        """
        kelvin = schedule.temperature
        return SheetTable(
            np.diff(self.at("free_strain", kelvin)),
            self.modulus(kelvin),
            self.at("yield_stress", kelvin),
            self.at("hardening", kelvin),
        )


@dataclass(frozen=True, eq=False)
class SheetTable:
    """A metal along one schedule.

    Attributes
    ----------
    free_strain : ndarray, shape (n_step,)
        Increment of free strain in each step.
    modulus, yield_stress, hardening : ndarray, shape (n_step + 1,)
        Values at the nodes [Pa].
    """

    free_strain: Array
    modulus: Array
    yield_stress: Array
    hardening: Array
