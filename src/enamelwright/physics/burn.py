"""Skin against something hot: the temperature where they meet, how it goes down, and the damage done.

A screening model: two half-spaces in ideal contact, blood flow, sweat and the coolness of the surface of a
thin thing left out. It is too lenient for poor conductors and for long touches.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.constants import GAS_CONSTANT

Array = npt.NDArray[np.float64]

#: Points of the history of the skin, during the touch and after it, and of the depth at its end; twice as many
#: move the temperature of a burn by less than 0.1 K.
POINTS, DEPTHS = 120, 50
#: The time watched after the touch, in times of the touch and in diffusion times of the depth that counts: the
#: skin has cooled below any damage long before.
AFTER_TOUCH, AFTER_DEPTH = 3.0, 400.0
#: Reach of the heat at the end of a touch, in diffusion lengths: erfc of it is nothing to six digits.
REACH = 3.6
#: Bisection steps on the temperature; each halves an interval of some hundred kelvin.
HALVINGS = 40


def effusivity(conductivity: npt.ArrayLike, density: npt.ArrayLike, heat: npt.ArrayLike) -> Array:
    """How strongly a body holds its own temperature at a touch, ``sqrt(k rho c)`` [W s^0.5/m2/K].

    Parameters
    ----------
    conductivity : array_like
        [W/m/K].
    density : array_like
        [kg/m3].
    heat : array_like
        Specific heat [J/kg/K].
    """
    k, rho, c = (np.asarray(one, dtype=np.float64) for one in (conductivity, density, heat))
    return np.asarray(np.sqrt(k * rho * c))


def meeting_temperature(first: npt.ArrayLike, own: npt.ArrayLike, second: npt.ArrayLike, other: npt.ArrayLike) -> Array:
    """Temperature where two deep bodies touch, from the first moment on [K].

    Parameters
    ----------
    first, own : array_like
        Temperature of one before [K], and its effusivity.
    second, other : array_like
        The same of the other.
    """
    a, b = np.asarray(own, dtype=np.float64), np.asarray(other, dtype=np.float64)
    return np.asarray((a * np.asarray(first) + b * np.asarray(second)) / (a + b))


def surface_rise(flux: npt.ArrayLike, time: npt.ArrayLike, own: npt.ArrayLike) -> Array:
    """Rise of the surface of a deep body under a steady flux, ``2 q sqrt(t / pi) / e`` [K].

    Parameters
    ----------
    flux : array_like
        [W/m2].
    time : array_like
        [s].
    own : array_like
        Its effusivity.
    """
    return np.asarray(2 * np.asarray(flux) * np.sqrt(np.asarray(time) / np.pi) / np.asarray(own))


@dataclass(frozen=True)
class Skin:
    """Skin as a uniform half-space, with the law of its damage.

    Attributes
    ----------
    conductivity, density, heat : float
        [W/m/K], [kg/m3], [J/kg/K].
    temperature : float
        Before the touch [K].
    depth : float
        Of the living layer that counts [m].
    rate : float
        Frequency factor of the damage [1/s].
    activation : float
        Its activation energy [J/mol].
    least : float
        Below this no damage adds up [K].

    Notes
    -----
    Source: F. C. Henriques, Arch. Pathol. 43 (1947) 489; A. R. Moritz, F. C. Henriques, Am. J. Pathol. 23 (1947)
    695, constants as quoted by handbooks of fire protection.
    """

    conductivity: float
    density: float
    heat: float
    temperature: float
    depth: float
    rate: float
    activation: float
    least: float

    @property
    def effusivity(self) -> float:
        """Of the skin."""
        return float(effusivity(self.conductivity, self.density, self.heat))

    def course(self, touch: float) -> tuple[Array, Array]:
        """Times [s] and rise at the depth that counts, as a share of the rise of the surface during the touch.

        Parameters
        ----------
        touch : float
            How long the surface is held hot [s]. Afterwards no heat leaves through it: the cautious end of what
            air and water do.

        Raises
        ------
        InputError
            When the touch is no time.
        """
        if not touch > 0 or not np.isfinite(touch):
            raise InputError("a touch lasts some time")
        from scipy.special import erfc

        spread = self.conductivity / (self.density * self.heat)
        late = touch * AFTER_TOUCH + self.depth**2 / spread * AFTER_DEPTH
        ramp = np.linspace(0.0, 1.0, POINTS) ** 2  # dense near the beginning of each stretch
        during, after = touch * ramp[1:], late * ramp[1:]
        held = erfc(self.depth / (2 * np.sqrt(spread * during)))
        # What the touch left in the skin, spread by the kernel of a half-space whose surface lets nothing through.
        edges = np.linspace(0.0, 2 * REACH * np.sqrt(spread * touch), DEPTHS + 1)
        left = erfc((edges[1:] + edges[:-1]) / (4 * np.sqrt(spread * touch)))
        width = 2 * np.sqrt(spread * after)[:, None]
        near = erfc((edges[None, :] - self.depth) / width) + erfc((edges[None, :] + self.depth) / width)
        freed = -np.diff(near, axis=1) @ left / 2
        return np.concatenate([[0.0], during, touch + after]), np.concatenate([[0.0], held, freed])

    def damage(self, surface: npt.ArrayLike, touch: float) -> Array:
        """Damage at the depth that counts when the surface was held at a temperature; 1 is a burn.

        Parameters
        ----------
        surface : array_like
            Temperature where skin and thing meet [K].
        touch : float
            How long [s].
        """
        return self._damage(np.asarray(surface, dtype=np.float64), *self.course(touch))

    def _damage(self, surface: Array, times: Array, shape: Array) -> Array:
        kelvin = self.temperature + (surface[..., None] - self.temperature) * shape
        speed = np.where(kelvin > self.least, self.rate * np.exp(-self.activation / (GAS_CONSTANT * kelvin)), 0.0)
        return np.asarray(np.sum((speed[..., 1:] + speed[..., :-1]) / 2 * np.diff(times), axis=-1))

    def burning_temperature(self, own: float, touch: float, hottest: float) -> float:
        """Temperature of a thing at which a touch just burns [K]; `hottest` when even that does not.

        Parameters
        ----------
        own : float
            Effusivity of the thing, taken as deep.
        touch : float
            [s].
        hottest : float
            Where the search ends [K].
        """
        times, shape = self.course(touch)
        low, high = self.least, hottest
        for _ in range(HALVINGS):
            middle = (low + high) / 2
            met = meeting_temperature(self.temperature, self.effusivity, middle, own)
            if float(self._damage(met, times, shape)) < 1:
                low = middle
            else:
                high = middle
        return high
