"""What decides how much of a kiln's power is on: a controller, a thermostat, a dial."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol


class Control(Protocol):
    """What decides how much of the power is on."""

    def duty(self, error: float, step: float) -> float:
        """Return the share of the power for the next step, from set point less display [K] and step [s]."""

    def copy(self) -> Control:
        """Return a controller in the same state that can go its own way."""


@dataclass
class ProportionalIntegral:
    """A controller with proportional and integral action that does not wind up.

    Attributes
    ----------
    gain : float
        Share of the power for each kelvin [1/K].
    rate : float
        Growth of the integral part for each kelvin [1/(K s)].
    lowest, highest : float
        Ends of the integral part.
    integral : float
        Integral part now.
    """

    gain: float
    rate: float
    lowest: float
    highest: float
    integral: float = 0.0

    def copy(self) -> ProportionalIntegral:
        """Return a controller in the same state that can go its own way."""
        return replace(self)

    def duty(self, error: float, step: float) -> float:
        """Return the share of the power for the next step.

        Parameters
        ----------
        error : float
            Set point less display [K].
        step : float
            [s].
        """
        wanted = self.gain * error + self.integral
        saturated = (wanted >= 1 and error > 0) or (wanted <= 0 and error < 0)
        if not saturated:
            self.integral = min(self.highest, max(self.lowest, self.integral + self.rate * error * step))
        return min(1.0, max(0.0, wanted))


@dataclass
class OnOff:
    """A thermostat that switches the whole power.

    Attributes
    ----------
    hysteresis : float
        Switches this far above and below the set point [K].
    on : bool
        Whether it is on now.
    """

    hysteresis: float
    on: bool = True

    def copy(self) -> OnOff:
        """Return a controller in the same state that can go its own way."""
        return replace(self)

    def duty(self, error: float, step: float) -> float:
        """Return 1 or 0.

        Parameters
        ----------
        error : float
            Set point less display [K].
        step : float
            Not used.
        """
        if abs(error) > self.hysteresis:
            self.on = error > 0
        return float(self.on)


@dataclass
class Fixed:
    """A dial without a thermostat: always the same share of the power.

    Attributes
    ----------
    share : float
        0 to 1.
    """

    share: float

    def copy(self) -> Fixed:
        """Return a controller in the same state that can go its own way."""
        return replace(self)

    def duty(self, error: float, step: float) -> float:
        """Return the share.

        Parameters
        ----------
        error, step : float
            Not used.
        """
        return self.share
