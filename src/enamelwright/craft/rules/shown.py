"""How the facts of a rule are printed."""

from __future__ import annotations

from enamelwright import units

#: Digits of a ratio of two amounts: powder is not known to more.
DIGITS = 2


def mm(metres: float) -> str:
    """Print a length in millimetres."""
    return units.show(metres, "length", "mm")


def degrees(kelvin: float) -> str:
    """Print a temperature to the degree, in both scales."""
    return " (".join(f"{units.from_si(kelvin, scale, 'temperature'):.0f} {scale}" for scale in ("°C", "°F")) + ")"


def degrees_apart(kelvin: float) -> str:
    """Print a difference of temperature to the degree, in both scales."""
    celsius, fahrenheit = (
        f"{units.from_si(kelvin, scale, 'temperature_difference'):.0f} {scale}" for scale in ("°C", "°F")
    )
    return f"{celsius} ({fahrenheit})"


def two_digits(number: float) -> float:
    """Round a ratio to the two digits that a maker's amounts can carry."""
    return float(f"{number:.{DIGITS}g}")


def minutes(seconds: float) -> str:
    """Print a time in minutes."""
    return f"{units.from_si(seconds, 'min', 'time'):g} min"


def percent(share: float) -> str:
    """Print a share in per cent."""
    return f"{units.from_si(share, '%', 'ratio'):g} %"
