"""A firing as a record to learn from: when each stage of each coat was foretold, and what was seen when.

Times become decades of the gloss clock: at the foretold time of gloss the clock stands at nought, at that of
over-firing so many decades above. A coat that glossed later than foretold needed more of the clock than was taken
of it.

How fast pieces heat up here is told by a pace: the logarithm of how many times sooner a piece gets as hot as it was
foretold to. A body that takes up its heat so many times faster is as hot that much sooner, and has then been hot for
that much shorter, so that its clock at a time is the foretold one at the later time, less the pace. Long after the
heating up hardly anything is left of it; soon after loading, where the clock rises steeply, it counts for nearly all.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property
from math import e, exp, isfinite, log, log10
from typing import Literal

import numpy as np

from enamelwright.errors import InputError

Stage = Literal["powder", "sugar", "orange peel", "gloss", "over-fired"]

#: Decades of the clock a pace takes off, for each unit of its logarithm.
SHORTER = log10(e)
#: In the order in which they come.
ORDER: tuple[Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "over-fired")
#: Share of a time over which its slope is taken.
STRIDE = 0.02
#: Decades the clock rises while the time doubles, beyond the outermost marks: at constant heat it rises with the time.
STEADY = 1.0


@dataclass(frozen=True)
class Foretold:
    """How the gloss clock was foretold to run, and where on it each stage begins.

    Attributes
    ----------
    seconds, clock : tuple of float
        Times [s] and decades of the nominal clock from gloss; both rising.
    marks : tuple of float
        Decades from gloss at which sugar, orange peel, gloss and over-firing begin; never falling, gloss at 0.
    learned : float
        Decades of what had been learned of the jar by then, by which its gloss stands later.
    """

    seconds: tuple[float, ...]
    clock: tuple[float, ...]
    marks: tuple[float, float, float, float]
    learned: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no course of a firing."""
        rising = all(a < b for a, b in zip(self.seconds, self.seconds[1:], strict=False))
        climbing = all(a < b for a, b in zip(self.clock, self.clock[1:], strict=False))
        ordered = all(a <= b for a, b in zip(self.marks, self.marks[1:], strict=False))
        finite = all(isfinite(t) and t > 0 for t in self.seconds)
        if (
            len(self.seconds) < 2
            or len(self.seconds) != len(self.clock)
            or not (rising and climbing and finite and ordered)
        ):
            raise InputError("what was foretold is no course of a firing", "Leave this firing out of what is learned.")

    @classmethod
    def at_pace(
        cls,
        seconds: tuple[float, ...],
        clock: tuple[float, ...],
        marks: tuple[float, float, float, float],
        learned: float,
        pace: float,
    ) -> Foretold:
        """Return what was foretold without the pace that had been learned by then.

        Parameters
        ----------
        seconds, clock, marks, learned
            As of the class, the clock at that pace.
        pace : float
            Logarithm of how many times faster than the heat balance has it pieces were taken to heat up.
        """
        return cls(tuple(t * exp(pace) for t in seconds), tuple(c + SHORTER * pace for c in clock), marks, learned)

    def clock_at(self, seconds: float, pace: float = 0.0) -> float:
        """Return where the nominal clock stands at a time [decades from gloss].

        Parameters
        ----------
        seconds : float
            From where the firing counts [s], above 0.
        pace : float
            Logarithm of how many times faster than foretold pieces heat up.
        """
        if pace:
            return self.clock_at(seconds * exp(pace)) - SHORTER * pace
        x, at = log(seconds), self.logs
        if x < at[0]:
            return self.clock[0] - self._early() * (at[0] - x)
        if x > at[-1]:
            return self.clock[-1] + STEADY / log(10) * (x - at[-1])
        k = min(bisect_right(at, x), len(at) - 1)
        return self.clock[k - 1] + (self.clock[k] - self.clock[k - 1]) * (x - at[k - 1]) / (at[k] - at[k - 1])

    def slope_at(self, seconds: float, pace: float = 0.0) -> float:
        """Return by how many decades the clock rises in one second there.

        Parameters
        ----------
        seconds : float
            [s], above 0.
        pace : float
            As for :meth:`clock_at`.
        """
        step = STRIDE * seconds
        return (self.clock_at(seconds + step, pace) - self.clock_at(seconds - step, pace)) / (2 * step)

    def gain_at(self, seconds: float, pace: float = 0.0) -> float:
        """Return by how many decades the clock at a time rises for each unit of the pace.

        Parameters
        ----------
        seconds : float
            [s], above 0.
        pace : float
            As for :meth:`clock_at`.
        """
        return self.slope_at(seconds, pace) * seconds - SHORTER

    def seconds_at(self, clock: float, pace: float = 0.0) -> float:
        """Return when the nominal clock stands at so many decades from gloss [s].

        Parameters
        ----------
        clock : float
            Decades from gloss.
        pace : float
            As for :meth:`clock_at`.
        """
        if pace:
            return self.seconds_at(clock + SHORTER * pace) * exp(-pace)
        at = self.logs
        if clock < self.clock[0]:
            return float(np.exp(at[0] - (self.clock[0] - clock) / self._early()))
        if clock > self.clock[-1]:
            return float(np.exp(at[-1] + (clock - self.clock[-1]) * log(10) / STEADY))
        return float(np.exp(np.interp(clock, self.clock, at)))

    @cached_property
    def logs(self) -> tuple[float, ...]:
        """Logarithms of the times."""
        return tuple(log(t) for t in self.seconds)

    @property
    def rises(self) -> tuple[float, ...]:
        """Decades per unit of the logarithm of time before the first point, between all points, and after the last."""
        x, y = self.logs, self.clock
        inner = ((y[k + 1] - y[k]) / (x[k + 1] - x[k]) for k in range(len(x) - 1))
        return (self._early(), *inner, STEADY / log(10))

    def _early(self) -> float:
        """Decades per unit of the logarithm of time before the first point: as between the first two."""
        return max(STEADY / log(10), (self.clock[1] - self.clock[0]) / log(self.seconds[1] / self.seconds[0]))


@dataclass(frozen=True)
class Melting:
    """One coat that melts in a firing, and how far it lies from what jars are told by.

    Attributes
    ----------
    jar : str
        Its code.
    foretold : Foretold
        Of this coat alone.
    coat : str
        Coats of one such name are the same again: one place of one design, laid and fired alike. Empty where nobody
        knows.
    coat_sd : float
        What depth of the powder and laws may bring to such a coat of their own [decades].
    hotter : float
        How much hotter it was fired than the heat its jar is told by [K].
    law : float
        By how many decades the law of gloss moves it from the ordinary coat.
    kind : str
        Of its piece, where that is another than the record's; empty else.
    lot : str
        Of its jar; empty where nobody says.
    """

    jar: str
    foretold: Foretold
    coat: str = ""
    coat_sd: float = 0.0
    hotter: float = 0.0
    law: float = 0.0
    kind: str = ""
    lot: str = ""


@dataclass(frozen=True)
class StageRecord:
    """A firing as it was seen: of one coat, or of several that melted in it together.

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
    haste : float
        1 when the load went in at once after another, falling to 0 for a kiln that had recovered.
    coat, coat_sd, hotter, law, lot
        As in :class:`Melting`.
    beside : tuple of Melting
        Other coats that melted in it, of the same piece or of others for which the same was noted: nobody says which of
        them was looked at.
    aimed : str
        Stage the firing went for; empty where nobody says.
    others : int
        Pieces in the load besides.
    load : int
        Row of the load it was in, which several records may share; 0 where nobody says.
    of_load : bool
        Whether it was noted once of a whole load of unlike pieces.
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
    haste: float = 0.0
    coat: str = ""
    coat_sd: float = 0.0
    hotter: float = 0.0
    law: float = 0.0
    beside: tuple[Melting, ...] = ()
    aimed: Stage | Literal[""] = ""
    others: int = 0
    load: int = 0
    of_load: bool = False
    lot: str = ""

    def __post_init__(self) -> None:
        """Refuse a record that tells nothing."""
        for name, seconds in (("seconds", self.seconds), ("to_gloss", self.to_gloss)):
            if seconds is not None and not (isfinite(seconds) and seconds > 0):
                raise InputError(f"a firing cannot be {seconds:g} s long", f"Write {name} again or leave it out.")
        if self.to_gloss is None and (self.seconds is None or not self.stage):
            raise InputError("a firing without a stage and a time teaches nothing", "Note what was seen, and when.")
        if self.stage and self.stage not in ORDER:
            raise InputError(f"'{self.stage}' is no stage", f"Say one of {', '.join(ORDER)}.")

    @cached_property
    def melting(self) -> tuple[Melting, ...]:
        """Every coat that melted, its own first."""
        own = Melting(self.jar, self.foretold, self.coat, self.coat_sd, self.hotter, self.law, lot=self.lot)
        return (own, *self.beside)

    @property
    def noted(self) -> float:
        """The time that was noted: of the first gloss, or else of the stage [s]."""
        seconds = self.to_gloss if self.to_gloss is not None else self.seconds
        assert seconds is not None  # a record without a time is refused
        return seconds

    @property
    def jars(self) -> frozenset[str]:
        """Jars that melted in it."""
        return frozenset(one.jar for one in self.melting)

    @property
    def ends(self) -> tuple[float, float]:
        """Between which marks the stage seen lies [decades from gloss]; infinite where it has no end."""
        marks = dict(zip(ORDER[1:], self.foretold.marks, strict=True))
        at = ORDER.index(self.stage) if self.stage else 0
        low = marks[ORDER[at]] if at else -np.inf
        high = marks[ORDER[at + 1]] if at + 1 < len(ORDER) else np.inf
        return float(low), float(high)
