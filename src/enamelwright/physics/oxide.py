"""Growth of an oxide layer by diffusion through itself, and what it takes from the metal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.constants import GAS_CONSTANT

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class ParabolicLaw:
    """``d(x^2)/dt = 2 K``, with K rising with temperature by one activation energy.

    Holds while the layer sticks and is dense, and its two faces keep their oxygen pressures; a layer that
    cracks or flakes grows faster than this.

    Attributes
    ----------
    rate : float
        K at `reference` [m2/s].
    activation : float
        Activation energy [J/mol].
    reference : float
        Temperature the rate is stated at [K].

    Notes
    -----
    Source: C. Wagner's parabolic law (Z. Phys. Chem. B 21 (1933) 25), from memory.
    """

    rate: float
    activation: float
    reference: float

    def __post_init__(self) -> None:
        """Refuse laws that are not finite or fall with temperature."""
        numbers = (self.rate, self.activation, self.reference)
        if not all(np.isfinite(one) for one in numbers) or self.rate <= 0 or self.activation < 0 or self.reference <= 0:
            raise InputError("a parabolic law needs a rate and a temperature above zero")

    def rate_at(self, temperature: npt.ArrayLike) -> Array:
        """K at any temperature [m2/s].

        Parameters
        ----------
        temperature : array_like
            [K].
        """
        kelvin = np.asarray(temperature, dtype=np.float64)
        if not np.all(np.isfinite(kelvin)) or np.any(kelvin <= 0):
            raise InputError("temperatures are absolute: above 0 K")
        return np.asarray(self.rate * np.exp(-self.activation / GAS_CONSTANT * (1 / kelvin - 1 / self.reference)))


def growth(law: ParabolicLaw, times: npt.ArrayLike, temperature: npt.ArrayLike, start: npt.ArrayLike = 0.0) -> Array:
    """Thickness of the layer along a temperature history [m].

    Exposures add as squares: heating a second time continues the same parabola.

    Parameters
    ----------
    law : ParabolicLaw
        Of the oxide.
    times : array_like, shape (n,)
        Never falling [s].
    temperature : array_like, shape (..., n)
        One history a row [K]; straight between the times, taken by the trapezoid rule.
    start : array_like, shape (...)
        Thickness at the first time [m].

    Returns
    -------
    ndarray, shape (..., n)

    Raises
    ------
    InputError
        When times and temperatures do not fit each other.
    """
    at, kelvin = np.asarray(times, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    before = np.asarray(start, dtype=np.float64)
    if at.ndim != 1 or at.size < 1 or kelvin.shape[-1:] != at.shape:
        raise InputError("a history needs one temperature for each time")
    if not np.all(np.isfinite(at)) or np.any(np.diff(at) < 0) or np.any(before < 0):
        raise InputError("times must not run backwards, and a layer is not thinner than nothing")
    rate = law.rate_at(kelvin)
    pieces = np.diff(at) * (rate[..., 1:] + rate[..., :-1]) / 2
    squares = np.concatenate([np.zeros((*kelvin.shape[:-1], 1)), 2 * np.cumsum(pieces, axis=-1)], axis=-1)
    return np.asarray(np.sqrt(before[..., np.newaxis] ** 2 + squares))


def isothermal(
    law: ParabolicLaw, temperature: npt.ArrayLike, duration: npt.ArrayLike, start: npt.ArrayLike = 0.0
) -> Array:
    """Thickness after a time at one temperature [m].

    Parameters
    ----------
    law : ParabolicLaw
        Of the oxide.
    temperature : array_like
        [K].
    duration : array_like
        [s], not negative.
    start : array_like
        Thickness before [m].
    """
    time, before = np.asarray(duration, dtype=np.float64), np.asarray(start, dtype=np.float64)
    if not np.all(np.isfinite(time)) or np.any(time < 0) or np.any(before < 0):
        raise InputError("a time and a thickness are not less than nothing")
    return np.asarray(np.sqrt(before**2 + 2 * law.rate_at(temperature) * time))


def added(thicknesses: npt.ArrayLike) -> float:
    """Thickness of one layer after several exposures, each told by what it would grow on clean metal [m].

    Parameters
    ----------
    thicknesses : array_like, shape (n,)
        [m].
    """
    return float(np.sqrt(np.sum(np.square(np.asarray(thicknesses, dtype=np.float64)))))


def metal_lost(thickness: npt.ArrayLike, oxide_density: float, metal_share: float, metal_density: float) -> Array:
    """Depth of metal turned into a layer of oxide [m].

    Parameters
    ----------
    thickness : array_like
        Of the oxide [m].
    oxide_density : float
        [kg/m3].
    metal_share : float
        Mass of metal in a mass of oxide.
    metal_density : float
        [kg/m3].
    """
    return np.asarray(np.asarray(thickness, dtype=np.float64) * oxide_density * metal_share / metal_density)


def volume_ratio(
    oxide_molar: float, oxide_density: float, metal_molar: float, metal_density: float, atoms: int
) -> float:
    """Volume of oxide over volume of the metal it was made from (Pilling and Bedworth).

    Parameters
    ----------
    oxide_molar, oxide_density : float
        Molar mass [kg/mol] and density [kg/m3] of the oxide.
    metal_molar, metal_density : float
        The same of the metal.
    atoms : int
        Atoms of metal in one formula of the oxide.

    Notes
    -----
    Source: N. B. Pilling, R. E. Bedworth, J. Inst. Met. 29 (1923) 529, from memory.
    """
    return (oxide_molar / oxide_density) / (atoms * metal_molar / metal_density)


def flaking_thickness(toughness: float, modulus: float, poisson: float, strain: float) -> float:
    """Thickness beyond which a strained layer holds enough energy to peel itself off [m].

    The energy held by a layer in equal biaxial strain, ``x E eps^2 / (1 - nu)``, against what parting costs.
    It says where flaking can begin, not how much comes off.

    Parameters
    ----------
    toughness : float
        Energy to part a unit of the interface [J/m2].
    modulus : float
        Young's modulus of the oxide [Pa].
    poisson : float
        Its Poisson's ratio.
    strain : float
        Strain it is held in after cooling.
    """
    return toughness * (1 - poisson) / (modulus * strain**2)
