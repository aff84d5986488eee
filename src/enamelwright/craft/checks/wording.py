"""Numbers as the checks say them: few digits, no more than the model deserves."""

from __future__ import annotations

from enamelwright import units
from enamelwright.figure import Figure

#: Decimals of a millimetre worth saying.
MM_DECIMALS = 2
#: Figures of a ratio worth saying.
RATIO_FIGURES = 2


def mm(length: float) -> str:
    """Say a length to a hundredth of a millimetre, trailing zeros left out."""
    return f"{round(units.from_si(length, 'mm', 'length'), MM_DECIMALS):g} mm"


def at_most(length: float) -> str:
    """Say the upper end of a length; one that would round to nothing is under a hundredth of a millimetre."""
    hundredth = units.to_si(10.0**-MM_DECIMALS, "mm", "length")
    return f"at most {mm(length)}" if length >= hundredth / 2 else f"under {mm(hundredth)}"


def side(bow: float) -> str:
    """Say a bow and which face is the high one; positive when the front is convex."""
    size = mm(abs(bow))
    if size == mm(0.0):
        return "flat"
    return f"{size} {'front' if bow > 0 else 'back'} high"


def sided(bow: Figure) -> str:
    """Say a bow and its band in millimetres, each end with its side."""
    ends = [side(bow.low), side(bow.high)]
    if ends[0] == ends[1]:
        return side(bow.value)
    return f"{side(bow.value)} ({ends[0]} to {ends[1]})"


def times(ratio: float) -> str:
    """Say a ratio with two figures."""
    return f"{float(f'{ratio:.{RATIO_FIGURES}g}'):g}"


def across(length: float) -> str:
    """Say a measure across in whole millimetres."""
    return f"{units.from_si(length, 'mm', 'length'):.0f} mm"


def mpa(stress: float) -> str:
    """Say a stress in whole megapascals."""
    return f"{units.from_si(stress, 'MPa', 'stress'):.0f} MPa"


def celsius(kelvin: float) -> str:
    """Say a temperature to ten degrees."""
    return f"{round(units.from_si(kelvin, '°C', 'temperature'), -1):.0f} °C"
