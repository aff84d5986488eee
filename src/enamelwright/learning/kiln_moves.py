"""By how many kelvin a kiln moved: the drift of each stretch between two changes, and the step of each change.

What records tell is how much more or less of the gloss clock coats came to need, in decades; a kelvin is worth as many
decades as the viscosity of the jar says, and that is uncertain too. The band of the quotient is that of E. C. Fieller,
J. R. Stat. Soc. B 16 (1954) 175, the two taken as independent. Only differences are told: how far the display is off
altogether no record of gloss tells. Checked in tests/learning/test_kiln_moves.py by simulation and limits.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from enamelwright.figure import Z95
from enamelwright.learning.kiln_clock import KilnClock


@dataclass(frozen=True)
class Moved:
    """By how much a kiln came to be hotter than before at the same display.

    Attributes
    ----------
    first, last : float
        Between which days.
    step : bool
        At one change; else it drifted between two.
    low, likely, high : float
        5 %, likely and 95 % [K]; colder is negative.
    """

    first: float
    last: float
    step: bool
    low: float
    likely: float
    high: float

    @property
    def told(self) -> bool:
        """Whether the band leaves out that it did not move."""
        return self.low > 0 or self.high < 0


def moves_of(known: KilnClock, kiln: str, slope: float, slope_sd: float) -> tuple[Moved, ...]:
    """Return drifts and steps of a kiln in order of time; none of a kiln that was fired on one day.

    Parameters
    ----------
    known : KilnClock
        What is known after the records.
    kiln : str
        Its name.
    slope, slope_sd : float
        Decades of the clock that a kelvin is worth, and how well that is known.
    """
    parts = []
    for place, name in enumerate(known.names):
        if name.startswith(f"kiln {kiln}#"):
            epoch, _, day = name.rsplit("#", 1)[1].partition("@")
            parts.append((float(day), int(epoch), place))
    parts.sort()
    jumps = {day for name, day in known.jumps if name == kiln}
    stretches: list[list[tuple[float, int, int]]] = []
    for one in parts:
        if not stretches or one[1] != stretches[-1][-1][1] or one[0] in jumps:
            stretches.append([])
        stretches[-1].append(one)
    found = []
    for n, mine in enumerate(stretches):
        if n:
            found.append(_between(known, stretches[n - 1][-1], mine[0], True, slope, slope_sd))
        if mine[-1][0] > mine[0][0]:
            found.append(_between(known, mine[0], mine[-1], False, slope, slope_sd))
    return tuple(found)


def _between(
    known: KilnClock, first: tuple[float, int, int], last: tuple[float, int, int], step: bool, slope: float,
    slope_sd: float,
) -> Moved:  # fmt: skip
    row = np.zeros(len(known.names))
    row[last[2]], row[first[2]] = -1.0, 1.0  # a hotter kiln needs less of the clock
    sd = sqrt(max(float(row @ known.covariance @ row), 0.0))
    return Moved(first[0], last[0], step, *quotient(float(row @ known.mean), sd, slope, slope_sd))


def quotient(over: float, over_sd: float, under: float, under_sd: float) -> tuple[float, float, float]:
    """Return 5 %, likely and 95 % of the quotient of two normal numbers, by Fieller's theorem.

    Parameters
    ----------
    over, over_sd : float
        What is divided.
    under, under_sd : float
        What it is divided by. Where that is not told from nought, the band has no ends.
    """
    square = under**2 - (Z95 * under_sd) ** 2
    if square <= 0:
        return -inf, over / under if under else 0.0, inf
    half = over * under
    root = sqrt(max(half**2 - square * (over**2 - (Z95 * over_sd) ** 2), 0.0))
    return (half - root) / square, over / under, (half + root) / square
