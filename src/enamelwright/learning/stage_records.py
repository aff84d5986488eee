"""One coat's firing as a record to learn from: when each stage was foretold, and what was seen when.

Times become decades of the gloss clock: at the foretold time of gloss the clock stands at nought, at that of
over-firing so many decades above. A coat that glossed later than foretold needed more of the clock than was taken
of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, log
from typing import Literal

import numpy as np

from enamelwright.errors import InputError

Stage = Literal["powder", "sugar", "orange peel", "gloss", "over-fired"]

#: In the order in which they come.
ORDER: tuple[Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "over-fired")
#: Marks nearer than this in the logarithm of time are one mark.
APART = 1e-3
#: Decades the clock rises while the time doubles, beyond the outermost marks: at constant heat it rises with the time.
STEADY = 1.0


@dataclass(frozen=True)
class Foretold:
    """When each stage was foretold to begin.

    Attributes
    ----------
    seconds : tuple of float
        Likely beginning of sugar, orange peel, gloss and over-firing [s]; rising.
    clock : tuple of float
        Decades of the gloss clock there, gloss at 0; rising.
    learned : float
        Decades of what had been learned of the jar by then and is contained in those times.
    """

    seconds: tuple[float, ...]
    clock: tuple[float, ...]
    learned: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no course of a firing."""
        rising = all(a < b for a, b in zip(self.seconds, self.seconds[1:], strict=False))
        climbing = all(a < b for a, b in zip(self.clock, self.clock[1:], strict=False))
        positive = all(isfinite(t) and t > 0 for t in self.seconds)
        if len(self.seconds) < 2 or len(self.seconds) != len(self.clock) or not (rising and climbing and positive):
            raise InputError("what was foretold is no course of a firing", "Leave this firing out of what is learned.")

    def clock_at(self, seconds: float) -> float:
        """Return where the nominal clock stands at a time [decades from gloss].

        Parameters
        ----------
        seconds : float
            From where the firing counts [s], above 0.
        """
        x, marks = log(seconds), [log(t) for t in self.seconds]
        if x < marks[0]:
            steep = max(STEADY / log(10), (self.clock[1] - self.clock[0]) / max(marks[1] - marks[0], APART))
            return self.clock[0] - steep * (marks[0] - x)
        if x > marks[-1]:
            return self.clock[-1] + STEADY / log(10) * (x - marks[-1])
        return float(np.interp(x, marks, self.clock))

    def slope_at(self, seconds: float) -> float:
        """Return by how many decades the clock rises in one second there.

        Parameters
        ----------
        seconds : float
            [s], above 0.
        """
        step = 0.02 * seconds
        return (self.clock_at(seconds + step) - self.clock_at(seconds - step)) / (2 * step)

    def seconds_at(self, clock: float) -> float:
        """Return when the nominal clock stands at so many decades from gloss [s].

        Parameters
        ----------
        clock : float
            Decades from gloss.
        """
        marks = [log(t) for t in self.seconds]
        if clock < self.clock[0]:
            steep = max(STEADY / log(10), (self.clock[1] - self.clock[0]) / max(marks[1] - marks[0], APART))
            return float(np.exp(marks[0] - (self.clock[0] - clock) / steep))
        if clock > self.clock[-1]:
            return float(np.exp(marks[-1] + (clock - self.clock[-1]) * log(10) / STEADY))
        return float(np.exp(np.interp(clock, self.clock, marks)))


@dataclass(frozen=True)
class StageRecord:
    """A firing of one jar as it was seen.

    Attributes
    ----------
    record : int
        Row it comes from.
    kiln : str
        Name.
    epoch : int
        Counts what was changed about the kiln: a new thermocouple begins a new one.
    day : float
        Days since any fixed date.
    jar : str
        Its code.
    kind : str
        Pieces of one kind share what is not known of their size and support.
    foretold : Foretold
        Before the firing.
    stage : str
        Stage seen at `seconds`; empty when only the time of gloss was noted.
    seconds : float or None
        When it was pulled, or looked at [s].
    to_gloss : float or None
        When gloss was first seen [s].
    """

    record: int
    kiln: str
    epoch: int
    day: float
    jar: str
    kind: str
    foretold: Foretold
    stage: Stage | Literal[""] = ""
    seconds: float | None = None
    to_gloss: float | None = None

    def __post_init__(self) -> None:
        """Refuse a record that tells nothing."""
        for name, seconds in (("seconds", self.seconds), ("to_gloss", self.to_gloss)):
            if seconds is not None and not (isfinite(seconds) and seconds > 0):
                raise InputError(f"a firing cannot be {seconds:g} s long", f"Write {name} again or leave it out.")
        if self.to_gloss is None and (self.seconds is None or not self.stage):
            raise InputError("a firing without a stage and a time teaches nothing", "Note what was seen, and when.")
        if self.stage and self.stage not in ORDER:
            raise InputError(f"'{self.stage}' is no stage", f"Say one of {', '.join(ORDER)}.")

    @property
    def ends(self) -> tuple[float, float]:
        """Between which marks the stage seen lies [decades from gloss]; infinite where it has no end."""
        marks = dict(zip(ORDER[1:], _marks(self.foretold.clock), strict=True))
        at = ORDER.index(self.stage) if self.stage else 0
        low = marks[ORDER[at]] if at else -np.inf
        high = marks[ORDER[at + 1]] if at + 1 < len(ORDER) else np.inf
        return float(low), float(high)


def _marks(clock: tuple[float, ...]) -> tuple[float, ...]:
    """Return the four marks; those a course lacks at its late end are endlessly far."""
    return clock + (np.inf,) * (len(ORDER) - 1 - len(clock))
