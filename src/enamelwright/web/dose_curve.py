"""Copper that stays dissolved against the dose of soda, drawn as the range it lies in over the models."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from enamelwright import units
from enamelwright.figure import Figure

#: Field of the drawing, and room round it for words [drawing units].
WIDE, HIGH, LEFT, RIGHT, OVER, BELOW = 600, 280, 74, 16, 14, 44
#: Doses between two marks below the drawing.
DOSE_STEP = 0.1


@dataclass(frozen=True)
class DoseCurve:
    """A band over doses, ready to be drawn.

    Attributes
    ----------
    band : str
        Points of its outline.
    chosen : float
        Place of the dose that was worked out.
    copper, doses : tuple of (float, str)
        Lines across [mg/L, ten times apart] and marks below.
    words : str
        The same for those who do not see it.
    """

    band: str
    chosen: float
    copper: tuple[tuple[float, str], ...]
    doses: tuple[tuple[float, str], ...]
    words: str


def dose_curve(doses: Sequence[tuple[float, Figure]], chosen: float) -> DoseCurve | None:
    """Place what stays dissolved over the doses; None for a bath without copper.

    Parameters
    ----------
    doses : sequence of (float, Figure)
        Times what answers the acid, and copper that stays [kg/m3]; two at least, in order.
    chosen : float
        The dose that was worked out.
    """
    if any(left.low <= 0 for _, left in doses):
        return None
    ends = [
        (times, *(log10(units.from_si(end, "mg/L", "concentration")) for end in (left.low, left.high)))
        for times, left in doses
    ]
    least = floor(min(low for _, low, _ in ends))
    most = max(ceil(max(high for _, _, high in ends)), least + 1)  # one decade at least
    first, last = ends[0][0], ends[-1][0]

    def x(times: float) -> float:
        return round(LEFT + (WIDE - LEFT - RIGHT) * (times - first) / (last - first), 1)

    def y(decade: float) -> float:
        return round(OVER + (HIGH - OVER - BELOW) * (most - decade) / (most - least), 1)

    outline = [(x(times), y(high)) for times, _, high in ends] + [(x(times), y(low)) for times, low, _ in ends[::-1]]
    marks = range(ceil(first / DOSE_STEP - 1e-9), floor(last / DOSE_STEP + 1e-9) + 1)
    return DoseCurve(
        " ".join(f"{across},{down}" for across, down in outline),
        x(min(max(chosen, first), last)),
        tuple((y(decade), f"{10.0**decade:g}") for decade in range(least, most + 1)),
        tuple((x(mark * DOSE_STEP), f"{mark * DOSE_STEP:.1f}") for mark in marks),
        f"Copper that stays dissolved, in mg/L, for doses from {first:g} to {last:g} times what answers the acid",
    )
