"""Stages and times of gloss of one coat as they were seen: how likely they are all together, and which way they pull.

Every class is an ordered probit with lapses, every time a normal law with a wide one for slips. Firings in which
several coats melted are :mod:`enamelwright.learning.several_coats`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.learning.few_parts import Rows
from enamelwright.learning.stage_records import Foretold, StageRecord

Array = npt.NDArray[np.float64]

LEAST_INFORMATION, LEAST_LEFT = 1e-6, 0.05
"""Curvature of a record that says next to nothing, and share of its variance that stays when it is left out."""
WILD = 5.0
"""A time noted wrongly is off by this many times as much."""
CLASSES = 5
"""Stages between which a wrong note chooses."""
FAR = 1400.0
"""Squares beyond which a normal density is nought."""


@dataclass(frozen=True, eq=False)
class Seen:
    """What all records say, one row a record.

    A time of gloss is a number: the clock stood at `clock`, where so much more was needed. A stage lies between two
    marks, each of which moves with kiln, kind and haste; from gloss on with the jar as well, before it with the eye.
    What scatters is `fixed`, and the hand.
    """

    clock: Array
    timed: npt.NDArray[np.bool_]
    marks: tuple[Array, Array]
    rows: tuple[Rows, Rows]
    fixed: Array
    sd: Array
    lapse: float

    @classmethod
    def of(
        cls,
        records: Sequence[StageRecord],
        chance: Sequence[float],
        eye: float,
        lapse: float,
        gloss: Rows,
        early: Rows,
        paces: Mapping[str, float] | None = None,
    ) -> Seen:
        """Gather records.

        Parameters
        ----------
        records : sequence of StageRecord
            In any order.
        chance : sequence of float
            What the coat of each record brings without a part of its own [decades].
        eye, lapse : float
            Spread of a time noted [s], and share of slips.
        gloss, early : Rows
            Which parts move gloss and what follows, and which what comes before gloss.
        paces : mapping of str to float, optional
            Of each kiln, about which its clocks are told.
        """
        clock, timed, ends, fixed, jar_moves = [], [], [], [], []
        known = paces or {}
        for one, brought in zip(records, chance, strict=True):
            seconds = one.to_gloss if one.to_gloss is not None else one.seconds
            assert seconds is not None  # a record without a time is refused
            is_timed = one.to_gloss is not None
            pace = known.get(one.kiln, 0.0)
            clock.append(told_clock(one.foretold, seconds, pace))
            timed.append(is_timed)
            low, high = (0.0, 0.0) if is_timed else one.ends
            # Marks are told from the gloss foretold; what was learned of the jar stands in that already.
            ends.append((low + one.foretold.learned, high + one.foretold.learned))
            jar_moves.append((is_timed or low >= 0, is_timed or high >= 0))
            reading = one.foretold.slope_at(seconds, pace) * eye if is_timed else 0.0
            fixed.append(float(np.hypot(brought, reading)))
        low, high = np.asarray(ends, dtype=np.float64).T
        for_low, for_high = np.asarray(jar_moves, dtype=np.float64).T
        # From gloss on, a jar moves the mark away from where it stands without what was learned of it.
        learned = np.asarray([one.foretold.learned for one in records])
        return cls(
            np.asarray(clock),
            np.asarray(timed),
            (low - learned * for_low, high - learned * for_high),
            (_moved(gloss, early, for_low), _moved(gloss, early, for_high)),
            np.asarray(fixed),
            np.asarray(fixed),
            lapse,
        )

    def by_hand(self, repeat: float, last: float) -> Seen:
        """Return the same of a hand whose firings scatter by so much [decades]; of one coat any note is of the last."""
        return replace(self, sd=np.hypot(self.fixed, repeat))

    def _ends(self, state: Array) -> tuple[Array, Array]:
        """Return how many standard deviations each mark lies above the clock that was seen."""
        low, high = (
            (m + rows.times(state) - self.clock) / self.sd for m, rows in zip(self.marks, self.rows, strict=True)
        )
        return low, high

    def _classes(self, low: Array, high: Array) -> Array:
        """Return the chance of each stage; where a jar's gloss comes before what precedes it, only a slip is left."""
        from scipy.special import ndtr

        return np.asarray((1 - self.lapse) * np.maximum(ndtr(high) - ndtr(low), 0.0) + self.lapse / CLASSES)

    def _times(self, off: Array) -> tuple[Array, Array]:
        """A normal law with a wide one for times noted wrongly: logarithms, and how firmly each is believed."""
        good = np.log((1 - self.lapse) / self.sd) - off**2 / 2
        wild = np.log(self.lapse / (self.sd * WILD)) - (off / WILD) ** 2 / 2
        logs = np.logaddexp(good, wild)
        share = np.exp(good - logs)
        return logs, share + (1 - share) / WILD**2

    def blurred(self, factor: float) -> Seen:
        """Return the same as seen with eyes that are so many times worse."""
        return replace(self, sd=self.sd * factor)

    def logs(self, state: Array) -> Array:
        """Return the logarithm of each record's chance."""
        low, high = self._ends(state)
        return np.where(
            self.timed, self._times(low)[0], np.log(self._classes(low, np.where(self.timed, low + 1, high)))
        )

    def curve(self, state: Array) -> tuple[Array, Array]:
        """Return slope and curvature of the sum of the logarithms; the curvature is never negative."""
        low, high = self._ends(state)
        high = np.where(self.timed, low + 1, high)
        inside = self._classes(low, high)
        right = np.where(high > low, 1 - self.lapse, 0.0)
        dense = [np.exp(-np.minimum(z * z, FAR) / 2) / np.sqrt(2 * np.pi) for z in (low, high)]
        pull_low, pull_high = -right * dense[0] / self.sd / inside, right * dense[1] / self.sd / inside
        bend_low = pull_low**2 + right * np.where(np.isfinite(low), -low, 0) * dense[0] / self.sd**2 / inside
        bend_high = pull_high**2 + right * np.where(np.isfinite(high), high, 0) * dense[1] / self.sd**2 / inside
        cross = pull_low * pull_high
        # Two by two a record; lapses can bend it the wrong way, which is cut off.
        half, spread = (bend_low + bend_high) / 2, np.hypot((bend_low - bend_high) / 2, cross)
        short = np.maximum(spread - half, 0.0) + LEAST_INFORMATION
        bend_low, bend_high = bend_low + short, bend_high + short
        at = np.where(self.timed, low, 0.0)
        firm = self._times(at)[1]
        pull_low = np.where(self.timed, -at * firm / self.sd, pull_low)
        bend_low = np.where(self.timed, firm / self.sd**2, bend_low)
        staged = ~self.timed
        first, early, late = self.rows[0], self.rows[0].take(staged), self.rows[1].take(staged)
        slope = first.back(pull_low) + late.back(pull_high[staged])
        mixed = early.against(cross[staged], late)
        bend = first.against(bend_low, first) + late.against(bend_high[staged], late)
        return slope, bend + mixed + mixed.T

    def surprises(self, records: Sequence[StageRecord], state: Array, covariance: Array) -> list[tuple[int, float]]:
        """Return by how many standard deviations each record stands off.

        For a stage it is the normal deviate of its chance: one chance in twenty counts as two deviations. Positive
        where more of the clock was needed than all records together say.
        """
        from scipy.special import ndtr, ndtri

        low, high = self._ends(state)
        known = self.rows[0].spread(covariance) / self.sd**2
        off = []
        for share, mark_low, mark_high, timed in zip(known, low, high, self.timed, strict=True):
            if timed:
                # Seen beside itself: without it the middle lies further off.
                off.append(float(-mark_low / np.sqrt(max(1 - share, LEAST_LEFT))))
                continue
            whole = float(np.sqrt(1 + share))
            chance = float(ndtr(mark_high / whole) - ndtr(mark_low / whole))
            side = 1.0 if mark_low > -mark_high else -1.0
            off.append(side * -float(ndtri(max(chance, LEAST_INFORMATION) / 2)))
        return [(one.record, gone) for one, gone in zip(records, off, strict=True)]


def told_clock(foretold: Foretold, seconds: float, pace: float) -> float:
    """Return where a clock stood, along the straight line that its pace moves it by, what was learned added [decades].

    Parameters
    ----------
    foretold : Foretold
        Of the coat.
    seconds : float
        When [s].
    pace : float
        About which the line is drawn; the part of the pace itself counts from nought.
    """
    gain = foretold.gain_at(seconds, pace) * pace if pace else 0.0
    return foretold.clock_at(seconds, pace) - gain + foretold.learned


def _moved(gloss: Rows, early: Rows, late: Array) -> Rows:
    """Return what moves the marks of all records, by whether each is gloss or later (1) or comes before it (0)."""
    share = late[:, np.newaxis]
    return Rows(
        np.concatenate((gloss.at, early.at), axis=1),
        np.concatenate((gloss.value * share, early.value * (1 - share)), axis=1),
        gloss.size,
    )
