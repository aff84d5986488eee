"""The most likely state of kilns and jars under given spreads and jumps, from records that are read once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, reduce

import numpy as np
import numpy.typing as npt

from enamelwright.craft.learned_clock import FASTEST
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_parts import Spreads, coat_chance, moves, pace_name, prior
from enamelwright.learning.seen_stages import Seen, SeenAt
from enamelwright.learning.several_coats import Several, SeveralAt
from enamelwright.learning.stage_records import StageRecord

Array = npt.NDArray[np.float64]
Jumps = tuple[tuple[str, float], ...]
ITERATIONS, COARSE, FINE = 60, 0.3, 0.01
"""Newton's steps, and how little the last one raises the logarithm of the evidence: while the pace is looked for, and
in the end, as a hundredth weighs nothing."""
SHORTEST = 1 / 64
"""Shortest part of a Newton step."""
BLUR = (4.0, 2.0, 1.0)
"""Factors on what is taken of eye and repeat, one round after the other."""
ROUNDS, STRIDE = 6, 0.05
"""A clock is no straight line in the pace: so often it is drawn anew about the pace that was found, in such strides."""


class RecordStates:
    """Records, and what is most likely behind them.

    Parameters
    ----------
    records : sequence of StageRecord
        In any order, at least one.
    jar_sd : dict
        First spread of each jar [decades], by code.
    spreads : Spreads
        Usual ones; which of them are nought decides which parts there are.
    """

    def __init__(self, records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads) -> None:
        self.records = tuple(records)
        self._jar_sd = jar_sd
        self.names, _, self._last = prior(records, jar_sd, spreads, ())
        self._place = {name: k for k, name in enumerate(self.names)}
        self._kilns = [kiln for kiln in self._last if pace_name(kiln) in self._place]
        self._whole = _Whole.of(self.records, spreads, self._place)
        self._about: dict[tuple[int, ...], _Whole] = {}
        self._priors: dict[tuple[Jumps, Spreads], tuple[Array, Array, float]] = {}

    @property
    def several(self) -> bool:
        """Whether several coats melted in some of them."""
        return any(one.beside for one in self.records)

    def fit(self, spreads: Spreads, jumps: Jumps = (), starts: Sequence[Array] = ()) -> KilnClock:
        """Find the most likely state.

        Parameters
        ----------
        spreads : Spreads
            Taken.
        jumps : tuple of (str, float)
            Kiln and day of every jump nobody declared.
        starts : sequence of ndarray
            States to begin from, those of other fits of these records; looked for anew without.
        """
        before, precision, log_before = self._prior(spreads, jumps)
        tops = [self._climbed(spreads, precision, start) for start in starts] or [self._anew(spreads, precision)]
        top = max(tops, key=lambda one: one.worth)
        covariance, log_after = _inverted(precision + top.curve[1])
        return KilnClock(
            names=tuple(self.names),
            mean=top.state,
            covariance=covariance,
            before=before,
            spreads=spreads,
            evidence=top.worth - log_after / 2 - log_before / 2,
            jumps=jumps,
            surprises=top.surprises(covariance),
            last_day=self._last,
        )

    def _prior(self, spreads: Spreads, jumps: Jumps) -> tuple[Array, Array, float]:
        """Return covariance beforehand, its inverse, and the logarithm of its determinant."""
        # What a hand scatters and notes is no part of it.
        key = (jumps, replace(spreads, repeat=0.0, last=0.0, last_of_load=0.0))
        if key not in self._priors:
            _, before, _ = prior(self.records, self._jar_sd, spreads, jumps)
            self._priors[key] = before, *_inverted(before)
        return self._priors[key]

    def _anew(self, spreads: Spreads, precision: Array) -> _There:
        # A stage far off what is expected pulls little, as it may be a slip; many of them must. So it begins with
        # blurred eyes and sharpens them.
        seen = self._seen(spreads, {})
        blurred = np.zeros(len(self.names))
        for blur in BLUR:
            blurred = _most_likely(_There(seen.blurred(blur), precision, blurred), COARSE).state
        tops = [self._climbed(spreads, precision, start, {}) for start in (blurred, np.zeros(len(self.names)))]
        return max(tops, key=lambda one: one.worth)

    def _climbed(
        self, spreads: Spreads, precision: Array, start: Array, paces: dict[str, float] | None = None
    ) -> _There:
        """Return the top that is reached from a state, and the records as seen from there."""
        paces = self._paces(start) if paces is None else paces
        gone = dict.fromkeys(self._kilns, 0.0)
        for _ in range(ROUNDS):
            top = _most_likely(_There(self._seen(spreads, paces), precision, start), COARSE)
            start, found = top.state, self._paces(top.state)
            ahead = {kiln: found[kiln] - paces.get(kiln, 0.0) for kiln in self._kilns}
            if all(abs(far) < STRIDE for far in ahead.values()):
                break
            # A pace that would turn back was overrun: the line that fits lies between the two.
            gone = {kiln: far / 2 if far * gone[kiln] < 0 else far for kiln, far in ahead.items()}
            paces = {kiln: paces.get(kiln, 0.0) + gone[kiln] for kiln in self._kilns}
        return _most_likely(top, FINE)

    def _paces(self, state: Array) -> dict[str, float]:
        return {kiln: float(np.clip(state[self._place[pace_name(kiln)]], -FASTEST, FASTEST)) for kiln in self._kilns}

    def _seen(self, spreads: Spreads, paces: dict[str, float]) -> _Whole:
        key = tuple(round(paces.get(kiln, 0.0) / STRIDE) for kiln in self._kilns)
        if key not in self._about:
            about = {kiln: STRIDE * steps for kiln, steps in zip(self._kilns, key, strict=True)}
            self._about[key] = self._whole.about(about, [self._place[pace_name(kiln)] for kiln in self._kilns])
        return self._about[key].by_hand(spreads)


@dataclass(frozen=True, eq=False)
class _Whole:
    """All records: those of one coat, and those of several."""

    groups: tuple[tuple[StageRecord, ...], ...]
    parts: tuple[Seen | Several, ...]

    @classmethod
    def of(cls, records: Sequence[StageRecord], spreads: Spreads, place: dict[str, int]) -> _Whole:
        alone = tuple(one for one in records if not one.beside)
        together = tuple(one for one in records if one.beside)
        parts: list[Seen | Several] = []
        # A pace counts by as much as the clock rises there, which is told by `about`: until then it counts once.
        if alone:
            late, soon = ([moves(one, one.melting[0], place, side, 1.0) for one in alone] for side in (True, False))
            chances = [coat_chance(one.melting[0], place) for one in alone]
            parts.append(Seen.of(alone, chances, spreads.eye, spreads.lapse, late, soon, len(place)))
        if together:
            lates, soons = (
                [[moves(one, coat, place, side, 1.0) for coat in one.melting] for one in together]
                for side in (True, False)
            )
            each = [[coat_chance(coat, place) for coat in one.melting] for one in together]
            parts.append(Several.of(together, each, spreads.eye, spreads.lapse, lates, soons, len(place)))
        return cls(tuple(group for group in (alone, together) if group), tuple(parts))

    def about(self, paces: dict[str, float], places: Sequence[int]) -> _Whole:
        """Return the same along the straight lines that clocks run by near these paces, whose parts are there."""
        each = [np.asarray([paces.get(one.kiln, 0.0) for one in group]) for group in self.groups]
        return replace(self, parts=tuple(one.about(pace, places) for one, pace in zip(self.parts, each, strict=True)))

    def by_hand(self, spreads: Spreads) -> _Whole:
        """Return the same by a hand that scatters and notes as told."""
        return replace(self, parts=tuple(one.by_hand(spreads) for one in self.parts))

    def blurred(self, factor: float) -> _Whole:
        return replace(self, parts=tuple(one.blurred(factor) for one in self.parts))


@dataclass(frozen=True, eq=False)
class _There:
    """All records and what was known beforehand, at one state; each thing is worked out once, when it is asked for."""

    whole: _Whole
    precision: Array
    state: Array

    @cached_property
    def _parts(self) -> tuple[SeenAt | SeveralAt, ...]:
        return tuple(one.at(self.state) for one in self.whole.parts)

    @cached_property
    def _held(self) -> Array:
        return self.precision @ self.state

    @cached_property
    def worth(self) -> float:
        """Logarithm of the chance of all records and of a state with a normal prior about nought."""
        return float(sum(np.sum(one.logs()) for one in self._parts) - self.state @ self._held / 2)

    @cached_property
    def curve(self) -> tuple[Array, Array]:
        """Slope of that logarithm, and the curvature of what the records say of it."""
        slopes, bends = zip(*(one.curve() for one in self._parts), strict=True)
        return reduce(np.add, slopes) - self._held, reduce(np.add, bends)

    def moved(self, move: Array) -> _There:
        return replace(self, state=self.state + move)

    def surprises(self, covariance: Array) -> tuple[tuple[int, float], ...]:
        """Return by how many standard deviations each record stands off, the worst first."""
        found = [
            (record.record, float(off))
            for group, one in zip(self.whole.groups, self._parts, strict=True)
            for record, off in zip(group, one.surprises(covariance), strict=True)
        ]
        return tuple(sorted(found, key=lambda pair: -abs(pair[1])))


def _most_likely(here: _There, least: float) -> _There:
    """Return the top that is reached by Newton's steps, cut short where they lead down."""
    from scipy.linalg import cho_factor, cho_solve

    for _ in range(ITERATIONS):
        slope, bend = here.curve
        factor = cho_factor(here.precision + bend, lower=True, overwrite_a=True, check_finite=False)
        move = np.asarray(cho_solve(factor, slope, check_finite=False))
        part = 1.0
        while (tried := here.moved(part * move)).worth < here.worth and part > SHORTEST:
            part /= 2
        if tried.worth < here.worth:
            break
        gained, here = tried.worth - here.worth, tried
        if gained < least:
            break
    return here


def _inverted(square: Array) -> tuple[Array, float]:
    """Return the inverse of a covariance or a curvature, and the logarithm of its determinant."""
    from scipy.linalg import cho_factor
    from scipy.linalg.lapack import dpotri

    low, _ = cho_factor(square, lower=True, check_finite=False)
    half = np.tril(dpotri(low, lower=True)[0])
    return half + np.tril(half, -1).T, 2 * float(np.log(np.diag(low)).sum())
