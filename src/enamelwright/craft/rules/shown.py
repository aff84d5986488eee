"""How the facts of a rule are printed."""

from __future__ import annotations

from enamelwright import units


def mm(metres: float) -> str:
    """Print a length in millimetres."""
    return units.show(metres, "length", "mm")


def degrees(kelvin: float) -> str:
    """Print a temperature to the degree."""
    return f"{units.from_si(kelvin, '°C', 'temperature'):.0f} °C"


def minutes(seconds: float) -> str:
    """Print a time in minutes."""
    return f"{units.from_si(seconds, 'min', 'time'):g} min"


def percent(share: float) -> str:
    """Print a share in per cent."""
    return f"{units.from_si(share, '%', 'ratio'):g} %"
