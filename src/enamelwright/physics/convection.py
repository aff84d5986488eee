"""Heat that still air gives to a small flat body, by natural convection and conduction."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

#: Standard acceleration of gravity [m/s2], exact by definition (CGPM 1901).
GRAVITY = 9.80665


@dataclass(frozen=True)
class AirFilm:
    """Film of air on both faces of a level plate, with a floor of pure conduction.

    ``h = (k / L) (c Ra^(1/4) + floor)``, L the area over the perimeter, properties at the mean of surface
    and air. The laminar laws of level plates are stated for Ra above some 10^4; small pieces lie below,
    where conduction into the room rules and the floor stands for it.

    Attributes
    ----------
    reference : float
        Temperature at which the two air properties are given [K].
    conductivity, conductivity_power : float
        Conductivity there [W/m/K] and the power of temperature it grows with.
    viscosity, viscosity_power : float
        Kinematic viscosity there [m2/s] and its power.
    prandtl : float
        Prandtl number of air, kinematic viscosity over thermal diffusivity.
    upper, lower : float
        Factor c of the face that drives the air freely and of the one that traps it.
    floor : float
        Nusselt number of still air.
    """

    reference: float
    conductivity: float
    conductivity_power: float
    viscosity: float
    viscosity_power: float
    prandtl: float
    upper: float
    lower: float
    floor: float

    def conductivity_at(self, film: npt.ArrayLike) -> Array:
        """Return the conductivity of air [W/m/K] at a film temperature [K]."""
        return np.asarray(self.conductivity * (np.asarray(film) / self.reference) ** self.conductivity_power)

    def buoyancy_at(self, film: npt.ArrayLike) -> Array:
        """Return Ra / (difference of temperature x length^3) [1/K/m3] at a film temperature [K]."""
        kelvin = np.asarray(film, dtype=np.float64)
        viscosity = self.viscosity * (kelvin / self.reference) ** self.viscosity_power
        return np.asarray(GRAVITY * self.prandtl / (kelvin * viscosity**2))

    def rayleigh(self, surface: npt.ArrayLike, air: npt.ArrayLike, length: npt.ArrayLike) -> Array:
        """Return the Rayleigh number.

        Parameters
        ----------
        surface, air : array_like
            Temperatures [K].
        length : array_like
            Area over perimeter [m].
        """
        hot, cool = np.asarray(surface, dtype=np.float64), np.asarray(air, dtype=np.float64)
        return np.asarray(self.buoyancy_at((hot + cool) / 2) * np.abs(hot - cool) * np.asarray(length) ** 3)

    def coefficients(self, surface: npt.ArrayLike, air: npt.ArrayLike, length: npt.ArrayLike) -> tuple[Array, Array]:
        """Return the heat-transfer coefficients of the (upper, lower) face of a hot plate [W/m2/K].

        For a plate colder than the air the two faces change places; their sum stays.

        Parameters
        ----------
        surface, air : array_like
            Temperatures [K].
        length : array_like
            Area over perimeter [m], a quarter of the diameter of a disc.
        """
        film = (np.asarray(surface, dtype=np.float64) + np.asarray(air, dtype=np.float64)) / 2
        root = self.rayleigh(surface, air, length) ** 0.25
        scale = self.conductivity_at(film) / np.asarray(length, dtype=np.float64)
        return np.asarray(scale * (self.upper * root + self.floor)), np.asarray(
            scale * (self.lower * root + self.floor)
        )
