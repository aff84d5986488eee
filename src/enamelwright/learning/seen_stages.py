"""Stages and times of gloss of one coat as they were seen: how likely they are all together, and which way they pull.

Every class is an ordered probit with lapses, every time a normal law with a wide one of heavy tails for slips: a time
or a setting that was mistyped may be off by anything, and must pull the less the further off it is. Firings in which
several coats melted are :mod:`enamelwright.learning.several_coats`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from enamelwright.learning.few_parts import Blocks
from enamelwright.learning.foretold_clocks import ForetoldClocks
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import StageRecord

Array = npt.NDArray[np.float64]

LEAST_INFORMATION, LEAST_LEFT = 1e-6, 0.05
"""Curvature of a record that says next to nothing, and share of its variance that stays when it is left out."""
WILD = 5.0
"""A time noted wrongly is off by this many times as much, by the law of Cauchy."""
TAIL = float(np.log(2 / np.pi) / 2)
"""Logarithm of the density of that law at its middle, against that of the normal one."""
CLASSES = 5
"""Stages between which a wrong note chooses."""
FAR = 1400.0
"""Squares beyond which a normal density is nought."""


def slip_log(off: Array) -> Array:
    """Return how likely a slip is, as a logarithm against a normal law of the same width at its middle.

    Parameters
    ----------
    off : ndarray
        How far off, in widths of slips.
    """
    return TAIL - np.log1p(off**2)


def slip_firm(off: Array) -> Array:
    """Return how firmly a slip pulls, as a share of how a normal law of the same width would: less, the further off.

    Parameters
    ----------
    off : ndarray
        How far off, in widths of slips.
    """
    return 2 / (1 + off**2)


@dataclass(frozen=True, eq=False)
class Seen:
    """What all records say.

    A time of gloss is a number: the clock stood at `clock`, where so much more was needed. A stage lies between two
    marks, each of which moves with kiln, kind and haste; from gloss on with the jar as well, before it with the eye.

    Attributes
    ----------
    clocks : ForetoldClocks
        As they were foretold.
    timed : ndarray of bool, shape (records,)
        Whether gloss was timed.
    marks : ndarray, shape (records, 2)
        Between which the clock stood [decades]; both nought where gloss was timed.
    rows : Blocks
        What moves them, the pace once.
    chance, eye, lapse : ndarray, float and float
        What each coat brings, how well a time is noted, and the share of slips.
    clock, moved, fixed : ndarray, Blocks and ndarray
        Where clocks stood, what moves the marks, and what scatters besides the hand, at the pace that is taken.
    sd : ndarray
        What scatters, with the hand.
    """

    clocks: ForetoldClocks
    timed: npt.NDArray[np.bool_]
    marks: Array
    rows: Blocks
    chance: Array
    eye: float
    lapse: float
    clock: Array
    moved: Blocks
    fixed: Array
    sd: Array

    @classmethod
    def of(
        cls,
        records: Sequence[StageRecord],
        chance: Sequence[float],
        eye: float,
        lapse: float,
        gloss: Sequence[Mapping[int, float]],
        early: Sequence[Mapping[int, float]],
        size: int,
    ) -> Seen:
        """Gather records; what they say waits for :meth:`about` and :meth:`by_hand`.

        Parameters
        ----------
        records : sequence of StageRecord
            In any order.
        chance : sequence of float
            What the coat of each record brings without a part of its own [decades].
        eye, lapse : float
            Spread of a time noted [s], and share of slips.
        gloss, early : sequence of mapping
            Which parts move gloss and what follows, and which what comes before gloss; a pace once.
        size : int
            How many parts there are.
        """
        clocks = ForetoldClocks.of([one.foretold for one in records], [one.noted for one in records])
        timed = np.asarray([one.to_gloss is not None for one in records])
        ends = np.asarray([(0.0, 0.0) if one.to_gloss is not None else one.ends for one in records])
        rows = [
            [late if end >= 0 else soon for end in mine] for mine, late, soon in zip(ends, gloss, early, strict=True)
        ]
        # Marks are told from the gloss foretold; what was learned of the jar stands in that already. From gloss on, a
        # jar moves the mark away from where it stands without what was learned of it.
        marks = ends + np.where(ends >= 0, 0.0, clocks.learned[:, np.newaxis])
        blocks, nothing = Blocks.of(rows, size), np.zeros(len(records))
        seen = cls(clocks, timed, marks, blocks, np.asarray(chance), eye, lapse, nothing, blocks, nothing, nothing)
        return seen.about(nothing, ())

    def about(self, pace: Array, places: Collection[int]) -> Seen:
        """Return the same along the straight lines that clocks run by near a pace.

        Parameters
        ----------
        pace : ndarray, shape (records,)
            That is taken, of each record's kiln.
        places : collection of int
            Of the parts that stand for paces.
        """
        clock, gain, slope = self.clocks.told(pace)
        moved = self.rows.stretched(places, np.repeat(gain[:, np.newaxis], 2, axis=1))
        fixed = np.hypot(self.chance, np.where(self.timed, slope * self.eye, 0.0))
        return replace(self, clock=clock, moved=moved, fixed=fixed, sd=fixed)

    def by_hand(self, spreads: Spreads) -> Seen:
        """Return the same of a hand whose firings scatter by so much; of one coat any note is of the last."""
        return replace(self, sd=np.hypot(self.fixed, spreads.repeat))

    def blurred(self, factor: float) -> Seen:
        """Return the same as seen with eyes that are so many times worse."""
        return replace(self, sd=self.sd * factor)

    def at(self, state: Array) -> SeenAt:
        """Return how it stands at one state."""
        return SeenAt(self, state)


@dataclass(frozen=True, eq=False)
class SeenAt:
    """What all records say of one state; what its chance and its slopes share is worked out once."""

    seen: Seen
    state: Array

    @cached_property
    def _ends(self) -> tuple[Array, Array]:
        """By how many standard deviations each mark lies above the clock that was seen."""
        seen = self.seen
        low, high = ((seen.marks + seen.moved.times(self.state) - seen.clock[:, np.newaxis]) / seen.sd[:, np.newaxis]).T
        return low, np.where(seen.timed, low + 1, high)

    @cached_property
    def _classes(self) -> Array:
        """The chance of each stage; where a jar's gloss comes before what precedes it, only a slip is left."""
        from scipy.special import ndtr

        low, high = self._ends
        lapse = self.seen.lapse
        return np.asarray((1 - lapse) * np.maximum(ndtr(high) - ndtr(low), 0.0) + lapse / CLASSES)

    @cached_property
    def _times(self) -> tuple[Array, Array]:
        """A normal law with that of slips for times noted wrongly: logarithms, and how firmly each is believed."""
        lapse, sd = self.seen.lapse, self.seen.sd
        off = np.where(self.seen.timed, self._ends[0], 0.0)
        good = np.log((1 - lapse) / sd) - off**2 / 2
        wild = np.log(lapse / (sd * WILD)) + slip_log(off / WILD)
        logs = np.logaddexp(good, wild)
        share = np.exp(good - logs)
        return logs, share + (1 - share) * slip_firm(off / WILD) / WILD**2

    def logs(self) -> Array:
        """Return the logarithm of each record's chance."""
        return np.where(self.seen.timed, self._times[0], np.log(self._classes))

    def curve(self) -> tuple[Array, Array]:
        """Return slope and curvature of the sum of the logarithms; the curvature is never negative."""
        timed, sd = self.seen.timed, self.seen.sd
        low, high = self._ends
        inside = self._classes
        right = np.where(high > low, 1 - self.seen.lapse, 0.0)
        dense = [np.exp(-np.minimum(z * z, FAR) / 2) / np.sqrt(2 * np.pi) for z in (low, high)]
        pull_low, pull_high = -right * dense[0] / sd / inside, right * dense[1] / sd / inside
        bend_low = pull_low**2 + right * np.where(np.isfinite(low), -low, 0) * dense[0] / sd**2 / inside
        bend_high = pull_high**2 + right * np.where(np.isfinite(high), high, 0) * dense[1] / sd**2 / inside
        cross = pull_low * pull_high
        # Two by two a record; lapses can bend it the wrong way, which is cut off.
        half, spread = (bend_low + bend_high) / 2, np.hypot((bend_low - bend_high) / 2, cross)
        short = np.maximum(spread - half, 0.0) + LEAST_INFORMATION
        firm = self._times[1]
        slopes = np.stack((np.where(timed, -low * firm / sd, pull_low), np.where(timed, 0.0, pull_high)), axis=1)
        bends = np.empty((len(sd), 2, 2))
        bends[:, 0, 0] = np.where(timed, firm / sd**2, bend_low + short)
        bends[:, 1, 1] = np.where(timed, 0.0, bend_high + short)
        bends[:, 0, 1] = bends[:, 1, 0] = np.where(timed, 0.0, cross)
        return self.seen.moved.gather(slopes, bends)

    def surprises(self, covariance: Array) -> Array:
        """Return by how many standard deviations each record stands off.

        For a stage it is the normal deviate of its chance: one chance in twenty counts as two deviations. Positive
        where more of the clock was needed than all records together say.
        """
        from scipy.special import ndtr, ndtri

        low, high = self._ends
        known = self.seen.moved.spread(covariance)[:, 0] / self.seen.sd**2
        # A time is seen beside itself: without it the middle lies further off.
        off = -low / np.sqrt(np.maximum(1 - known, LEAST_LEFT))
        whole = np.sqrt(1 + known)
        chance = ndtr(high / whole) - ndtr(low / whole)
        side = np.where(low > -high, 1.0, -1.0)
        return np.where(self.seen.timed, off, side * -ndtri(np.maximum(chance, LEAST_INFORMATION) / 2))
