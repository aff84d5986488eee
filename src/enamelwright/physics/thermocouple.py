"""The voltage of a thermocouple against temperature, back again, and what a cold junction does to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.constants import ZERO_CELSIUS

Array = npt.NDArray[np.float64]

NEWTON_LIMIT = 60
"""Steps of the inversion; 4 to 8 are taken, more only near the flat cold end."""
NEWTON_TOLERANCE = 1e-10
"""Kelvin of the last step: far below any instrument, above the rounding of the polynomial."""


@dataclass(frozen=True)
class ReferenceFunction:
    """Voltage of a pair of wires with its reference junction at 0 degrees Celsius.

    ``E = sum c_i t^i``, with ``a0 exp(a1 (t - a2)^2)`` added from 0 degrees Celsius up, t in degrees
    Celsius: the form in which the reference functions are published.

    Attributes
    ----------
    cold, warm : tuple of float
        Coefficients c_i below and above 0 degrees Celsius [V per degree to the i].
    exponential : tuple of float
        a0 [V], a1 [1/K2], a2 [degrees Celsius].
    reach : tuple of float
        Lowest and highest temperature it is stated for [K].

    Notes
    -----
    Source: NIST Monograph 175 (1993), the functions of IEC 60584-1. Checked in
    ``tests/published/test_nist175_type_k.py``.
    """

    cold: tuple[float, ...]
    warm: tuple[float, ...]
    exponential: tuple[float, float, float]
    reach: tuple[float, float]

    def emf(self, temperature: npt.ArrayLike) -> Array:
        """Voltage with the reference junction at 0 degrees Celsius [V].

        Parameters
        ----------
        temperature : array_like
            [K], inside `reach`.

        Raises
        ------
        OutOfReach
            Outside the reach; the polynomials run away there.
        """
        return self._emf(self._checked(temperature))

    def slope(self, temperature: npt.ArrayLike) -> Array:
        """Rise of the voltage with temperature (Seebeck coefficient) [V/K].

        Parameters
        ----------
        temperature : array_like
            [K], inside `reach`.

        Raises
        ------
        OutOfReach
            Outside the reach.
        """
        return self._slope(self._checked(temperature))

    def temperature(self, emf: npt.ArrayLike) -> Array:
        """Temperature that gives a voltage, reference junction at 0 degrees Celsius [K].

        Newton on the function itself, so the two can never disagree.

        Parameters
        ----------
        emf : array_like
            [V], between the voltages at the ends of `reach`.

        Raises
        ------
        OutOfReach
            When no temperature inside the reach gives that voltage.
        """
        wanted = np.asarray(emf, dtype=np.float64)
        low, high = (end - ZERO_CELSIUS for end in self.reach)
        ends = self._emf(np.array([low, high]))
        # A volt or two of the last digit past an end is the rounding of the caller.
        slack = NEWTON_TOLERANCE * float(self._slope(np.array([high]))[0])
        if not np.all(np.isfinite(wanted)) or np.any(wanted < ends[0] - slack) or np.any(wanted > ends[1] + slack):
            raise OutOfReach("the voltage lies outside what this pair of wires can give.", "Check the wires.")
        at = np.clip(wanted / float(self._slope(np.array([0.0]))[0]), low, high)
        for _ in range(NEWTON_LIMIT):
            # Convex below 0 and nearly straight above: from the warm side each step stays above the root.
            step = (self._emf(at) - wanted) / self._slope(at)
            at = np.clip(at - step, low, high)
            if np.all(np.abs(step) < NEWTON_TOLERANCE):
                break
        return np.asarray(at + ZERO_CELSIUS)

    def behind(self, voltage: npt.ArrayLike, junction: npt.ArrayLike) -> Array:
        """Temperature behind a voltage measured with the reference junction at some other temperature [K].

        The voltages add, the temperatures do not: ``t = E^-1(V + E(t_junction))``.

        Parameters
        ----------
        voltage : array_like
            As measured at the terminals [V].
        junction : array_like
            Temperature of the terminals [K].
        """
        return self.temperature(np.asarray(voltage, dtype=np.float64) + self.emf(junction))

    def shown_uncompensated(self, temperature: npt.ArrayLike, junction: npt.ArrayLike) -> Array:
        """Temperature that a meter shows which takes its terminals to be at 0 degrees Celsius [K].

        Parameters
        ----------
        temperature, junction : array_like
            Of the hot end and of the terminals [K].
        """
        return self.temperature(self.emf(temperature) - self.emf(junction))

    def _checked(self, temperature: npt.ArrayLike) -> Array:
        kelvin = np.asarray(temperature, dtype=np.float64)
        if not np.all(np.isfinite(kelvin)):
            raise InputError("a temperature must be a finite number")
        if np.any(kelvin < self.reach[0] - NEWTON_TOLERANCE) or np.any(kelvin > self.reach[1] + NEWTON_TOLERANCE):
            raise OutOfReach(
                "the temperature lies outside what this pair of wires is stated for.", "Check the number and its unit."
            )
        return kelvin - ZERO_CELSIUS

    def _emf(self, t: Array) -> Array:
        a0, a1, a2 = self.exponential
        above = np.polynomial.polynomial.polyval(t, self.warm) + a0 * np.exp(a1 * (t - a2) ** 2)
        below = np.polynomial.polynomial.polyval(t, self.cold)
        return np.asarray(np.where(t < 0, below, above))

    def _slope(self, t: Array) -> Array:
        a0, a1, a2 = self.exponential
        bell = 2 * a0 * a1 * (t - a2) * np.exp(a1 * (t - a2) ** 2)
        derivative = np.polynomial.polynomial.polyder
        above = np.polynomial.polynomial.polyval(t, derivative(np.array(self.warm))) + bell
        below = np.polynomial.polynomial.polyval(t, derivative(np.array(self.cold)))
        return np.asarray(np.where(t < 0, below, above))


def tolerance(temperature: npt.ArrayLike, floor: float, share: float) -> Array:
    """Limit of error of new wire: the larger of a floor and a share of degrees Celsius [K].

    Parameters
    ----------
    temperature : array_like
        [K].
    floor : float
        [K].
    share : float
        Of the number of degrees Celsius, whatever its sign.

    Notes
    -----
    Source: the form of the tolerance classes of IEC 60584-1.
    """
    return np.maximum(floor, share * np.abs(np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS))
