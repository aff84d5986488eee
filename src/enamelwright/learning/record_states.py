"""The most likely state of kilns and jars under given spreads and jumps, from records that are read once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.learning.few_parts import Rows
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_parts import Spreads, coat_chance, moves, pace_name, prior
from enamelwright.learning.seen_stages import Seen
from enamelwright.learning.several_coats import Several
from enamelwright.learning.stage_records import Melting, StageRecord

Array = npt.NDArray[np.float64]
Jumps = tuple[tuple[str, float], ...]
ITERATIONS, COARSE, FINE = 60, 0.3, 0.01
"""Newton's steps, and how little the last one raises the logarithm of the evidence: while the pace is looked for, and
in the end, as a hundredth weighs nothing."""
SHORTEST = 1 / 64
"""Shortest part of a Newton step."""
BLUR = (4.0, 2.0, 1.0)
"""Factors on what is taken of eye and repeat, one round after the other."""
ROUNDS, STRIDE, FASTEST = 6, 0.05, 1.0
"""A clock is no straight line in the pace: so often it is drawn anew about the pace that was found, in such strides;
beyond the last it is not followed."""


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
        self._read: dict[tuple[int, ...], _Whole] = {}
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
        value, state, seen = max(tops, key=lambda top: top[0])
        curvature = precision + seen.curve(state)[1]
        low = np.linalg.cholesky(curvature)
        covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
        return KilnClock(
            names=tuple(self.names),
            mean=state,
            covariance=np.asarray((covariance + covariance.T) / 2),
            before=before,
            spreads=spreads,
            evidence=value - float(np.log(np.diag(low)).sum()) - log_before / 2,
            jumps=jumps,
            surprises=seen.surprises(state, covariance),
            last_day=self._last,
        )

    def _prior(self, spreads: Spreads, jumps: Jumps) -> tuple[Array, Array, float]:
        """Return covariance beforehand, its inverse, and the logarithm of its determinant."""
        # What a hand scatters and notes is no part of it.
        key = (jumps, replace(spreads, repeat=0.0, last=0.0))
        if key not in self._priors:
            _, before, _ = prior(self.records, self._jar_sd, spreads, jumps)
            inverse = np.asarray(np.linalg.inv(before), dtype=np.float64)
            self._priors[key] = before, inverse, float(np.linalg.slogdet(before)[1])
        return self._priors[key]

    def _anew(self, spreads: Spreads, precision: Array) -> tuple[float, Array, _Whole]:
        # A stage far off what is expected pulls little, as it may be a slip; many of them must. So it begins with
        # blurred eyes and sharpens them.
        seen = self._seen(spreads, {})
        blurred = np.zeros(len(self.names))
        for blur in BLUR:
            blurred = _most_likely(seen.blurred(blur), precision, blurred, COARSE)[1]
        tops = [self._climbed(spreads, precision, start, {}) for start in (blurred, np.zeros(len(self.names)))]
        return max(tops, key=lambda top: top[0])

    def _climbed(
        self, spreads: Spreads, precision: Array, start: Array, paces: dict[str, float] | None = None
    ) -> tuple[float, Array, _Whole]:
        """Return value and state at the top that is reached from a state, and the records as seen from there."""
        paces = self._paces(start) if paces is None else paces
        for _ in range(ROUNDS):
            seen = self._seen(spreads, paces)
            _, start = _most_likely(seen, precision, start, COARSE)
            found = self._paces(start)
            if all(abs(found[kiln] - paces.get(kiln, 0.0)) < STRIDE for kiln in self._kilns):
                break
            paces = found
        return *_most_likely(seen, precision, start, FINE), seen

    def _paces(self, state: Array) -> dict[str, float]:
        return {kiln: float(np.clip(state[self._place[pace_name(kiln)]], -FASTEST, FASTEST)) for kiln in self._kilns}

    def _seen(self, spreads: Spreads, paces: dict[str, float]) -> _Whole:
        key = tuple(round(paces.get(kiln, 0.0) / STRIDE) for kiln in self._kilns)
        if key not in self._read:
            about = {kiln: STRIDE * steps for kiln, steps in zip(self._kilns, key, strict=True)}
            self._read[key] = _Whole.of(self.records, spreads, self._place, about)
        return self._read[key].by_hand(spreads)


@dataclass(frozen=True, eq=False)
class _Whole:
    """All records: those of one coat, and those of several."""

    alone: tuple[StageRecord, ...]
    together: tuple[StageRecord, ...]
    parts: tuple[Seen | Several, ...]

    @classmethod
    def of(
        cls, records: Sequence[StageRecord], spreads: Spreads, place: dict[str, int], paces: dict[str, float]
    ) -> _Whole:
        alone = tuple(one for one in records if not one.beside)
        together = tuple(one for one in records if one.beside)
        parts: list[Seen | Several] = []

        def told(one: StageRecord, coat: Melting, late: bool) -> dict[int, float]:
            seconds = one.to_gloss or one.seconds or 1.0
            quick = coat.foretold.gain_at(seconds, paces.get(one.kiln, 0.0)) if pace_name(one.kiln) in place else 0.0
            return moves(one, coat, place, late, quick)

        if alone:
            gloss, early = (
                Rows.of([told(one, one.melting[0], late) for one in alone], len(place)) for late in (True, False)
            )
            chances = [coat_chance(one.melting[0], place) for one in alone]
            parts.append(Seen.of(alone, chances, spreads.eye, spreads.lapse, gloss, early, paces))
        if together:
            late, soon = (
                [[told(one, coat, side) for coat in one.melting] for one in together] for side in (True, False)
            )
            each = [[coat_chance(coat, place) for coat in one.melting] for one in together]
            eyes = (spreads.eye, spreads.lapse, spreads.last)
            parts.append(Several.of(together, each, *eyes, late, soon, len(place), paces))
        return cls(alone, together, tuple(parts))

    def by_hand(self, spreads: Spreads) -> _Whole:
        """Return the same by a hand that scatters and notes as told."""
        return replace(self, parts=tuple(one.by_hand(spreads.repeat, spreads.last) for one in self.parts))

    def blurred(self, factor: float) -> _Whole:
        return replace(self, parts=tuple(one.blurred(factor) for one in self.parts))

    def worth(self, precision: Array, state: Array) -> float:
        """Return the logarithm of the chance of all records and of a state with a normal prior about nought."""
        return float(sum(np.sum(one.logs(state)) for one in self.parts) - state @ precision @ state / 2)

    def curve(self, state: Array) -> tuple[Array, Array]:
        found = [one.curve(state) for one in self.parts]
        return np.sum([slope for slope, _ in found], axis=0), np.sum([bend for _, bend in found], axis=0)

    def surprises(self, state: Array, covariance: Array) -> tuple[tuple[int, float], ...]:
        """Return by how many standard deviations each record stands off, the worst first."""
        groups = [group for group in (self.alone, self.together) if group]
        found = [
            pair
            for group, one in zip(groups, self.parts, strict=True)
            for pair in one.surprises(group, state, covariance)
        ]
        return tuple(sorted(found, key=lambda pair: -abs(pair[1])))


def _most_likely(seen: _Whole, precision: Array, state: Array, least: float) -> tuple[float, Array]:
    """Return value and state at the top, by Newton's steps cut short where they lead down."""
    from scipy.linalg import cho_factor, cho_solve

    value = seen.worth(precision, state)
    for _ in range(ITERATIONS):
        slope, bend = seen.curve(state)
        factor = cho_factor(precision + bend, lower=True, overwrite_a=True, check_finite=False)
        move = np.asarray(cho_solve(factor, slope - precision @ state, check_finite=False))
        part = 1.0
        while (tried := seen.worth(precision, state + part * move)) < value and part > SHORTEST:
            part /= 2
        if tried < value:
            break
        state, gained, value = state + part * move, tried - value, tried
        if gained < least:
            break
    return value, state
