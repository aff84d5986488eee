"""Firings in which several coats melted together: what one time or one stage says of all of them.

Nobody notes which coat was looked at. A piece is glossy all over when the last of its coats is; the first gloss that is
seen may as well be that of the first. So each note counts as both: as of the last coat with some weight, as of the
first with the rest. Which coat is the last is not taken as known either: each coat scatters on its own, so that the
chance of a time is the sum over coats of "this one now, the others before", and what a record teaches falls to the
coats by how likely each of them was the one. Coats far from governing learn next to nothing, as is right.

The chance of the largest or smallest of independent values is elementary; stages are an ordered probit on the coat that
governs. Slopes of the times are exact; their curvature is that of the mixture, cut off where it would be negative.
Stages take the curvature that is to be expected (Fisher's information), which cannot overstate a lucky stage. Checked
against direct summing and by simulation in tests/learning/test_several_coats.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.learning.few_parts import Blocks, Rows
from enamelwright.learning.seen_stages import CLASSES, LEAST_INFORMATION, LEAST_LEFT, WILD, told_clock
from enamelwright.learning.stage_records import ORDER, StageRecord

Array = npt.NDArray[np.float64]

NUDGE = 1e-4
"""Standard deviations over which the slope of a chance is taken."""
LEAST_CHANCE = 1e-12
"""Chances below this count as this much."""
MOST_COATS = 6
"""Coats told apart in one firing: the three that are due first and last each; those between them govern nothing."""


@dataclass(frozen=True, eq=False)
class Several:
    """What such records say; arrays of shape (records, coats), padded where a record has fewer coats.

    Attributes
    ----------
    clock : ndarray
        Where each coat's clock stood, what was learned of it added [decades].
    marks : ndarray, shape (records, coats, 4)
        Sugar, orange peel, gloss and over-firing of each coat [decades].
    there : ndarray of bool
        Which are coats.
    gloss, early : Rows
        What moves gloss and later marks, and earlier ones; a row a record and coat.
    stage : ndarray of int, shape (records,)
        Place of the stage seen; below nought where gloss was timed.
    blocks : Blocks
        The same, gathered a record.
    fixed, sd : ndarray
        What scatters of one coat without the hand, and with it.
    lapse, last : float
        Share of wrong notes, and weight of the last coat against the first.
    """

    clock: Array
    marks: Array
    there: npt.NDArray[np.bool_]
    gloss: Rows
    early: Rows
    stage: npt.NDArray[np.int64]
    blocks: Blocks
    fixed: Array
    sd: Array
    lapse: float
    last: float

    @classmethod
    def of(
        cls,
        records: Sequence[StageRecord],
        chance: Sequence[Sequence[float]],
        eye: float,
        lapse: float,
        last: float,
        gloss: Sequence[Sequence[dict[int, float]]],
        early: Sequence[Sequence[dict[int, float]]],
        size: int,
        paces: Mapping[str, float] | None = None,
    ) -> Several:
        """Gather records.

        Parameters
        ----------
        records : sequence of StageRecord
            Each with several coats.
        chance : sequence of sequence of float
            What each coat of each record brings without a part of its own [decades].
        eye, lapse : float
            As for :meth:`enamelwright.learning.seen_stages.Seen.of`.
        last : float
            Weight of the last coat.
        gloss, early : sequence of sequence of dict
            What moves gloss and what comes before it, a row a coat of each record.
        size : int
            Length of a whole row.
        paces : mapping of str to float, optional
            As for :meth:`enamelwright.learning.seen_stages.Seen.of`.
        """
        known = paces or {}
        most = max(len(one.melting) for one in records)
        shape = (len(records), most)
        clock, fixed, there = np.zeros(shape), np.ones(shape), np.zeros(shape, dtype=bool)
        marks = np.zeros((*shape, len(ORDER) - 1))
        stage = np.empty(len(records), dtype=np.int64)
        for k, one in enumerate(records):
            seconds = one.to_gloss if one.to_gloss is not None else one.seconds
            assert seconds is not None  # a record without a time is refused
            stage[k] = -1 if one.to_gloss is not None else ORDER.index(one.stage)
            for c, coat in enumerate(one.melting):
                told = coat.foretold
                pace = known.get(one.kiln, 0.0)
                clock[k, c] = told_clock(told, seconds, pace)
                sugar, orange, at_gloss, over = told.marks
                # What comes before gloss was told from the gloss foretold; what was learned stands in that already.
                marks[k, c] = sugar + told.learned, orange + told.learned, at_gloss, over
                reading = told.slope_at(seconds, pace) * eye if stage[k] < 0 else 0.0
                fixed[k, c], there[k, c] = np.hypot(chance[k][c], reading), True
        nothing: list[dict[int, float]] = [{}]
        whole = [[row for mine in rows for row in (*mine, *nothing * (most - len(mine)))] for rows in (gloss, early)]
        late, soon = (Rows.of(rows, size) for rows in whole)
        blocks = Blocks.of((soon, late), len(records))
        return cls(clock, marks, there, late, soon, stage, blocks, fixed, fixed, lapse, last)

    def by_hand(self, repeat: float, last: float) -> Several:
        """Return the same of a hand that scatters by so much [decades] and notes the last coat so often."""
        return replace(self, sd=np.hypot(self.fixed, repeat), last=last)

    def blurred(self, factor: float) -> Several:
        """Return the same as seen with eyes that are so many times worse."""
        return replace(self, sd=self.sd * factor)

    def _reach(self, rows: Rows, state: Array) -> Array:
        return rows.times(state).reshape(self.clock.shape)

    def logs(self, state: Array) -> Array:
        """Return the logarithm of each record's chance."""
        timed = self.stage < 0
        result = np.empty(len(self.stage))
        result[timed] = self._times(state, timed)[0]
        early, late = (self._reach(rows, state)[~timed] for rows in (self.early, self.gloss))
        chances = self._stages(early, late, ~timed)
        result[~timed] = np.log(_seen(chances, self.stage[~timed]))
        return result

    def curve(self, state: Array) -> tuple[Array, Array]:
        """Return slope and curvature of the sum of the logarithms; the curvature is never negative."""
        timed = self.stage < 0
        count, coats = self.clock.shape
        # A slope for each coat's early marks and each coat's late ones, then how they bend together.
        slopes, bends = np.zeros((count, 2 * coats)), np.zeros((count, 2 * coats, 2 * coats))
        if timed.any():
            _, pull, bend = self._times(state, timed)
            slopes[timed, coats:] = pull
            bends[np.ix_(timed, np.arange(coats, 2 * coats), np.arange(coats, 2 * coats))] = bend
        if not timed.all():
            slopes[~timed], bends[~timed] = self._pulled(state, ~timed)
        return self.blocks.gather(slopes, bends)

    def _times(self, state: Array, which: npt.NDArray[np.bool_]) -> tuple[Array, Array, Array]:
        """Return logarithm, slopes and curvature of times of gloss, by what moves the gloss of each coat."""
        from scipy.special import log_ndtr

        there, sd = self.there[which], self.sd[which]
        off = np.where(there, (self.clock - self._reach(self.gloss, state))[which] / sd, 0.0)
        coats = off.shape[1]
        own = np.eye(coats, dtype=bool)[np.newaxis]
        logs, pulls, bends = [], [], []
        for wide, share in ((1.0, 1 - self.lapse), (WILD, self.lapse)):
            for side, weight in ((1.0, self.last), (-1.0, 1 - self.last)):
                # This coat glosses now; the others have before it, or will after it.
                at = off / wide
                now = -(at**2) / 2 - np.log(sd * wide)
                others = np.where(there, log_ndtr(side * at), 0.0)
                log = now + (others.sum(axis=1, keepdims=True) - others)
                log = np.where(there, log + np.log(max(share * weight, LEAST_CHANCE)), -np.inf)
                mills = np.where(there, np.exp(-(at**2) / 2 - others) / np.sqrt(2 * np.pi), 0.0)
                falls = np.where(there, mills * (side * at + mills), 0.0)
                pulls.append(np.where(own, -at[:, np.newaxis], side * mills[:, np.newaxis]) / wide)
                bends.append(np.where(own, 1.0, falls[:, np.newaxis]) / wide**2)
                logs.append(log)
        log = np.concatenate(logs, axis=1)
        whole = np.logaddexp.reduce(log, axis=1)
        belief = np.exp(log - whole[:, np.newaxis])
        pull, bend = np.concatenate(pulls, axis=1), np.concatenate(bends, axis=1)
        slope = np.einsum("mg,mgc->mc", belief, pull)
        apart = pull - slope[:, np.newaxis]
        curved = np.einsum("mg,mgc->mc", belief, bend)[:, :, np.newaxis] * np.eye(coats)
        curved = curved - np.einsum("mg,mgc,mgd->mcd", belief, apart, apart)
        size, turn = np.linalg.eigh(curved)
        curved = np.einsum("mci,mi,mdi->mcd", turn, np.maximum(size, 0.0), turn)
        # What moves a coat's gloss up leaves less of the clock over it.
        return whole, -slope * there / sd, curved / (sd[:, :, np.newaxis] * sd[:, np.newaxis])

    def _pulled(self, state: Array, which: npt.NDArray[np.bool_]) -> tuple[Array, Array]:
        """Return slopes and expected curvature of stages, by what moves early and late marks of each coat."""
        early, late = self._reach(self.early, state)[which], self._reach(self.gloss, state)[which]
        coats = early.shape[1]
        # Every mark of every coat a little up, then a little down, all at once.
        step = NUDGE * self.sd[which]
        nudged = np.eye(2 * coats)[:, np.newaxis] * np.concatenate((step, step), axis=1)
        moved = np.concatenate((early, late), axis=1) + np.concatenate((nudged, -nudged, np.zeros_like(nudged[:1])))
        every = self._stages(moved[..., :coats], moved[..., coats:], which)
        middle, ahead, back = every[-1], every[: 2 * coats], every[2 * coats : -1]
        width = 2 * np.moveaxis(np.concatenate((step, step), axis=1), 0, 1)[:, :, np.newaxis]
        slopes = np.moveaxis((ahead - back) / width, 0, -1)
        chance = _seen(middle, self.stage[which])
        mine = np.take_along_axis(slopes, self.stage[which][:, np.newaxis, np.newaxis], axis=1)[:, 0]
        bend = np.einsum("mk,mki,mkj->mij", 1 / np.maximum(middle, LEAST_CHANCE), slopes, slopes)
        return mine / chance[:, np.newaxis], bend

    def _stages(self, early: Array, late: Array, which: npt.NDArray[np.bool_]) -> Array:
        """Return the chance of every stage that may have been noted, shape (..., records, stages).

        Parameters
        ----------
        early, late : ndarray, shape (..., records, coats)
            What moves the marks before gloss and from there on, of the records asked for.
        which : ndarray of bool
            Records asked for.
        """
        from scipy.special import ndtr

        there = self.there[which][..., np.newaxis]
        moved = np.stack((early, early, late, late), axis=-1)
        passed = ndtr((self.clock[which, :, np.newaxis] - self.marks[which] - moved) / self.sd[which, :, np.newaxis])
        # A coat that glosses before what precedes gloss was never seen in between.
        passed = np.minimum.accumulate(passed, axis=-1)
        over = passed[..., -1:]
        # By the coat furthest behind, none of them over-fired.
        start = np.concatenate((np.ones_like(over), passed[..., :-1]), axis=-1) - over
        behind = np.prod(np.where(there, start, 1.0), axis=-2)
        # By the coat furthest ahead.
        left = np.prod(np.where(there, 1 - passed, 1.0), axis=-2)
        last = behind.copy()
        last[..., :-1] -= behind[..., 1:]
        first = left.copy()
        first[..., 1:] -= left[..., :-1]
        seen = np.concatenate((self.last * last + (1 - self.last) * first, 1 - left[..., -1:]), axis=-1)
        return np.asarray((1 - self.lapse) * np.maximum(seen, 0.0) + self.lapse / CLASSES)

    def surprises(self, records: Sequence[StageRecord], state: Array, covariance: Array) -> list[tuple[int, float]]:
        """Return by how many standard deviations each record stands off, as for one coat.

        For a time it is the distance of the coat that most likely governs.
        """
        from scipy.special import ndtri

        gloss = self._reach(self.gloss, state)
        off = np.where(self.there, (self.clock - gloss) / self.sd, np.nan)
        chances = np.ones(len(self.stage))
        staged = self.stage >= 0
        early = self._reach(self.early, state)
        chances[staged] = _seen(self._stages(early[staged], gloss[staged], staged), self.stage[staged])
        known = self.gloss.spread(covariance).reshape(self.clock.shape) / self.sd**2
        found = []
        for k, one in enumerate(records):
            if staged[k]:
                side = 1.0 if np.nanmean(off[k]) > 0 else -1.0
                found.append((one.record, side * -float(ndtri(max(float(chances[k]), LEAST_INFORMATION) / 2))))
                continue
            place = int(np.nanargmin(np.abs(off[k])))
            found.append((one.record, float(off[k, place] / np.sqrt(max(1 - known[k, place], LEAST_LEFT)))))
        return found


def _seen(chances: Array, stage: npt.NDArray[np.int64]) -> Array:
    """Return the chance of what was seen, of all that may have been."""
    return np.maximum(np.take_along_axis(chances, stage[:, np.newaxis], axis=1)[:, 0], LEAST_CHANCE)
