"""Firings in which several coats melted together: what one time or one stage says of all of them.

Nobody notes which coat was looked at. A piece is glossy all over when the last of its coats is; the first gloss that is
seen may as well be that of the first. So each note counts as both: as of the last coat with some weight, as of the
first with the rest; the first gloss of a load of unlike pieces is mostly that of the first. Which coat is the last is
not taken as known either: each coat scatters on its own, so that the chance of a time is the sum over coats of "this
one now, the others before", and what a record teaches falls to the coats by how likely each of them was the one. Coats
far from governing learn next to nothing, as is right.

The chance of the largest or smallest of independent values is elementary; stages are an ordered probit on the coat that
governs. Slopes of the times are exact; their curvature is that of the mixture, cut off where it would be negative.
Stages take the curvature that is to be expected (Fisher's information), which cannot overstate a lucky stage. Checked
against direct summing and by simulation in tests/learning/test_several_coats.py.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from enamelwright.learning.few_parts import Blocks
from enamelwright.learning.foretold_clocks import ForetoldClocks
from enamelwright.learning.governing_coats import GlossTimes, StagesSeen
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.seen_stages import LEAST_INFORMATION, LEAST_LEFT
from enamelwright.learning.stage_records import ORDER, StageRecord

Array = npt.NDArray[np.float64]

MOST_COATS = 6
"""Coats told apart in one firing: the three that are due first and last each; those between them govern nothing."""


@dataclass(frozen=True, eq=False)
class Several:
    """What such records say; arrays of shape (records, coats), padded where a record has fewer coats.

    Attributes
    ----------
    clocks : ForetoldClocks
        As they were foretold, of one coat after the other.
    there : ndarray of bool
        Which are coats.
    stage : ndarray of int, shape (records,)
        Place of the stage seen; below nought where gloss was timed.
    marks : ndarray, shape (records, coats, 4)
        Sugar, orange peel, gloss and over-firing of each coat [decades].
    rows : Blocks
        What moves the earlier marks of each coat, then what moves gloss and later ones of each; the pace once.
    chance, eye, lapse : ndarray, float and float
        What each coat brings, how well a time is noted, and the share of slips.
    of_load : ndarray of bool, shape (records,)
        Which are first glosses noted once of a load of unlike pieces.
    last : ndarray, shape (records,)
        Weight of the last coat against the first.
    clock, moved, fixed : ndarray, Blocks and ndarray
        Where clocks stood, what moves the marks, and what scatters besides the hand, at the pace that is taken.
    sd : ndarray
        What scatters of one coat, with the hand.
    """

    clocks: ForetoldClocks
    there: npt.NDArray[np.bool_]
    stage: npt.NDArray[np.int64]
    marks: Array
    rows: Blocks
    chance: Array
    eye: float
    lapse: float
    of_load: npt.NDArray[np.bool_]
    last: Array
    clock: Array
    moved: Blocks
    fixed: Array
    sd: Array

    @classmethod
    def of(
        cls,
        records: Sequence[StageRecord],
        chance: Sequence[Sequence[float]],
        eye: float,
        lapse: float,
        gloss: Sequence[Sequence[Mapping[int, float]]],
        early: Sequence[Sequence[Mapping[int, float]]],
        size: int,
    ) -> Several:
        """Gather records; what they say waits for :meth:`about` and :meth:`by_hand`.

        Parameters
        ----------
        records : sequence of StageRecord
            Each with several coats.
        chance : sequence of sequence of float
            What each coat of each record brings without a part of its own [decades].
        eye, lapse : float
            As for :meth:`enamelwright.learning.seen_stages.Seen.of`.
        gloss, early : sequence of sequence of mapping
            What moves gloss and what comes before it, a row a coat of each record; a pace once.
        size : int
            How many parts there are.
        """
        most = max(len(one.melting) for one in records)
        there = np.arange(most) < np.asarray([len(one.melting) for one in records])[:, np.newaxis]
        told = [coat.foretold for one in records for coat in one.melting]
        clocks = ForetoldClocks.of(told, [one.noted for one in records for _ in one.melting])
        stage = [-1 if one.to_gloss is not None or not one.stage else ORDER.index(one.stage) for one in records]
        marks, brought, nothing = np.zeros((*there.shape, len(ORDER) - 1)), np.zeros(there.shape), np.zeros(there.shape)
        marks[there] = [one.marks for one in told]
        # What comes before gloss was told from the gloss foretold; what was learned stands in that already.
        marks[there, : ORDER.index("gloss") - 1] += clocks.learned[:, np.newaxis]
        brought[there] = [one for mine in chance for one in mine]
        none: list[Mapping[int, float]] = [{}]
        padded = [[[*mine, *none * (most - len(mine))] for mine in rows] for rows in (early, gloss)]
        rows = Blocks.of([[*soon, *late] for soon, late in zip(*padded, strict=True)], size)
        of_load = np.asarray([one.of_load and one.to_gloss is not None for one in records])
        even = np.full(len(records), 0.5)
        several = cls(
            clocks, there, np.asarray(stage), marks, rows, brought, eye, lapse, of_load, even, nothing, rows, nothing,
            nothing,
        )  # fmt: skip
        return several.about(np.zeros(len(records)), ())

    def about(self, pace: Array, places: Collection[int]) -> Several:
        """Return the same along the straight lines that clocks run by near a pace.

        Parameters
        ----------
        pace, places
            As for :meth:`enamelwright.learning.seen_stages.Seen.about`.
        """
        clock, gain, slope = np.zeros((3, *self.there.shape))
        told = self.clocks.told(np.broadcast_to(pace[:, np.newaxis], self.there.shape)[self.there])
        clock[self.there], gain[self.there], slope[self.there] = told
        moved = self.rows.stretched(places, np.concatenate((gain, gain), axis=1))
        reading = np.where(self.stage[:, np.newaxis] < 0, slope * self.eye, 0.0)
        fixed = np.where(self.there, np.hypot(self.chance, reading), 1.0)
        return replace(self, clock=clock, moved=moved, fixed=fixed, sd=fixed)

    def by_hand(self, spreads: Spreads) -> Several:
        """Return the same of a hand that scatters by so much and notes the last coat so often."""
        last = np.where(self.of_load, spreads.last_of_load, spreads.last)
        return replace(self, sd=np.hypot(self.fixed, spreads.repeat), last=last)

    def blurred(self, factor: float) -> Several:
        """Return the same as seen with eyes that are so many times worse."""
        return replace(self, sd=self.sd * factor)

    def at(self, state: Array) -> SeveralAt:
        """Return how it stands at one state."""
        return SeveralAt(self, state)


@dataclass(frozen=True, eq=False)
class SeveralAt:
    """What such records say of one state; what its chance and its slopes share is worked out once."""

    several: Several
    state: Array

    def logs(self) -> Array:
        """Return the logarithm of each record's chance."""
        timed = self.several.stage < 0
        result = np.empty(len(timed))
        result[timed], result[~timed] = self._times.logs, np.log(self._stages.chance)
        return result

    def curve(self) -> tuple[Array, Array]:
        """Return slope and curvature of the sum of the logarithms; the curvature is never negative."""
        timed = self.several.stage < 0
        count, coats = self.several.there.shape
        # A slope for each coat's early marks and each coat's late ones, then how they bend together.
        slopes, bends = np.zeros((count, 2 * coats)), np.zeros((count, 2 * coats, 2 * coats))
        if timed.any():
            slopes[timed, coats:], bends[timed, coats:, coats:] = self._times.curve()
        if not timed.all():
            slopes[~timed], bends[~timed] = self._stages.curve()
        return self.several.moved.gather(slopes, bends)

    def surprises(self, covariance: Array) -> Array:
        """Return by how many standard deviations each record stands off, as for one coat.

        For a time it is the distance of the coat that most likely governs.
        """
        from scipy.special import ndtri

        several, coats = self.several, self.several.there.shape[1]
        timed = several.stage < 0
        off = np.where(several.there, (several.clock - self._needed[:, coats:]) / several.sd, np.nan)
        known = several.moved.spread(covariance)[:, coats:] / several.sd**2
        found = np.where(np.nanmean(off, axis=1) > 0, 1.0, -1.0)
        found[~timed] *= -ndtri(np.maximum(self._stages.chance, LEAST_INFORMATION) / 2)
        governs = np.nanargmin(np.abs(off), axis=1)[:, np.newaxis]
        nearest, told = (np.take_along_axis(one, governs, axis=1)[timed, 0] for one in (off, known))
        found[timed] = nearest / np.sqrt(np.maximum(1 - told, LEAST_LEFT))
        return found

    @cached_property
    def _needed(self) -> Array:
        """What moves the earlier marks of each coat, then the later ones [decades]."""
        return self.several.moved.times(self.state)

    @cached_property
    def _times(self) -> GlossTimes:
        several, timed = self.several, self.several.stage < 0
        there, sd = several.there[timed], several.sd[timed]
        needed = self._needed[timed, several.there.shape[1] :]
        off = np.where(there, (several.clock[timed] - needed) / sd, 0.0)
        return GlossTimes(there, off, sd, several.lapse, several.last[timed])

    @cached_property
    def _stages(self) -> StagesSeen:
        several, staged = self.several, self.several.stage >= 0
        early, late = np.split(self._needed[staged], 2, axis=1)
        over = (
            several.clock[staged, :, np.newaxis] - several.marks[staged] - np.stack((early, early, late, late), axis=-1)
        )
        return StagesSeen(
            several.there[staged], over, several.sd[staged], several.stage[staged], several.lapse, several.last[staged]
        )
