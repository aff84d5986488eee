"""How kiln and jars are learned from records: the most likely state, jumps nobody declared, and how a hand scatters.

Laplace's approximation about the most likely state of the parts of :mod:`enamelwright.learning.kiln_parts`; stages are
an ordered probit. What is not known of a hand (its scatter, how fast the kiln drifts, which coat it notes) is weighed
by the evidence instead of chosen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.few_parts import Rows
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_parts import Spreads, hand, moves, prior
from enamelwright.learning.seen_stages import Seen
from enamelwright.learning.several_coats import Several
from enamelwright.learning.stage_records import StageRecord

Array = npt.NDArray[np.float64]
ITERATIONS, STOP = 60, 1e-5
"""Newton's steps, and how small the last one is [decades]."""
SURPRISE, MOST_HINTS = 1.6, 8
"""A record this many standard deviations off what the others say hints at a jump of the kiln; so many are tried."""
WORTH = 3.0
"""By how much a jump must raise the logarithm of the evidence to be believed: odds of twenty to one."""
MOST_JUMPS = 3
SHORTEST = 1 / 64
"""Shortest part of a Newton step."""
BLUR = (4.0, 2.0, 1.0)
"""Factors on what is taken of eye and repeat, one round after the other."""
SCATTER, SCATTER_SD, STEADY, FEWEST_FOR_SCATTER = (0.3, 0.5, 0.75, 1.0, 1.5, 2.25, 3.4, 5.1), 0.5, 8.0, 4
"""Factors on the usual repeat that are weighed, how far its logarithm may be off beforehand above the usual, how much
less each unit of it below is believed, and records it takes. A few firings that happen to lie close must not pass for a
steady hand: that is believed less beforehand than a hand that scatters, and only many records say it."""
HOPELESS = 8.0
"""Scatters beyond one that is so much less believed (as a logarithm) than the best are not tried."""
DRIFTS, DRIFT_SD = (0.3, 2.0), 0.5
"""Factors on the usual drift that are weighed, and how far its logarithm may be off beforehand."""
NOTES = (0.1, 0.9)
"""Weights of the last coat that are weighed beside the usual one: a maker who always notes the first coat that glosses,
or always the last, shows it."""


def kiln_clock(
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, *, look_for_jumps: bool = True
) -> KilnClock:
    """Learn from records, all kilns and jars at once.

    Parameters
    ----------
    records : sequence of StageRecord
        In any order; a load of equal pieces is one record.
    jar_sd : dict
        First spread of each jar [decades], by code.
    spreads : Spreads
        Of everything else.
    look_for_jumps : bool
        Whether jumps nobody declared are looked for.

    Raises
    ------
    InputError
        Without a record, or for a jar without a spread.
    """
    if not records:
        raise InputError("there is no firing to learn from", "Record one with its stage and its time.")
    missing = sorted({jar for one in records for jar in one.jars} - set(jar_sd))
    if missing:
        raise InputError(f"nothing is known of jar {missing[0]}", "Keep the jar first.")
    best = _with_jumps(records, jar_sd, spreads) if look_for_jumps else _fit(records, jar_sd, spreads, ())
    if len(records) < FEWEST_FOR_SCATTER:
        return best
    # A hand that scatters more than is usual shows in its own record, though never surely: each scatter counts by how
    # well it is believed. What looked like a jump may then be chance.
    mixed = [_mixed(records, jar_sd, spreads, jumps, best) for jumps in {(), best.jumps}]
    return max(mixed, key=lambda one: one.evidence - WORTH * len(one.jumps))


def _mixed(
    records: Sequence[StageRecord],
    jar_sd: dict[str, float],
    spreads: Spreads,
    jumps: tuple[tuple[str, float], ...],
    near: KilnClock,
) -> KilnClock:
    """Return mean and covariance over every scatter, drift and way of noting, each by how well it is believed.

    That is by its evidence and by what is believed beforehand. Drifts and ways of noting are weighed under the scatter
    that is believed most: they hardly depend on each other.
    """
    logs = np.log(SCATTER)
    doubts = np.where(logs < 0, -STEADY * logs, (logs / SCATTER_SD) ** 2 / 2)
    fits, believed = [], []
    usual = SCATTER.index(1.0)
    for way in (range(usual, len(SCATTER)), range(usual - 1, -1, -1)):
        for k in way:
            fit = _fit(records, jar_sd, replace(spreads, repeat=spreads.repeat * SCATTER[k]), jumps, near)
            fits.append(fit)
            believed.append(fit.evidence - float(doubts[k]))
            if believed[-1] < max(believed) - HOPELESS:
                break
    whole = float(np.logaddexp.reduce(believed) - np.logaddexp.reduce(-doubts))
    best = int(np.argmax(believed))
    taken = fits[best].spreads
    others = [
        (replace(taken, drift=spreads.drift * one), (np.log(one) / DRIFT_SD) ** 2 / 2)
        for one in DRIFTS
        if spreads.drift
    ]
    others += [(replace(taken, last=one), 0.0) for one in NOTES if any(record.beside for record in records)]
    for other, doubt in others:
        # Whoever notes the other coat may mean quite another state: it is looked for anew.
        anew = other.last != taken.last
        fit = _fit(records, jar_sd, other, jumps, None if anew else fits[best])
        fits.append(fit)
        believed.append(believed[best] + fit.evidence - fits[best].evidence - doubt)
    beliefs = np.asarray(believed)
    share = np.exp(beliefs - np.logaddexp.reduce(beliefs))
    means = np.asarray([one.mean for one in fits])
    mean = share @ means
    between = (means - mean).T @ (share[:, np.newaxis] * (means - mean))
    repeat, drift = (
        float(np.sqrt(share @ np.asarray([getattr(one.spreads, name) ** 2 for one in fits])))
        for name in ("repeat", "drift")
    )
    return replace(
        fits[best],
        mean=mean,
        covariance=np.tensordot(share, np.asarray([one.covariance for one in fits]), 1) + between,
        spreads=replace(spreads, repeat=repeat, drift=drift),
        evidence=whole,
    )


def _with_jumps(records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads) -> KilnClock:
    jumps: tuple[tuple[str, float], ...] = ()
    best = _fit(records, jar_sd, spreads, jumps)
    while len(jumps) < MOST_JUMPS:
        hints = _hints(records, best) - set(jumps)
        tried = [_fit(records, jar_sd, spreads, (*jumps, hint), best) for hint in sorted(hints)]
        better = max(tried, key=lambda one: one.evidence, default=None)
        if better is None or better.evidence < best.evidence + WORTH:
            break
        best, jumps = better, better.jumps
    return best


def _hints(records: Sequence[StageRecord], known: KilnClock) -> set[tuple[str, float]]:
    """Return days on which a kiln may have jumped: those of the worst records, and the day after each.

    A walk that is pulled both ways at a jump is off on either side of it.
    """
    worst = {number for number, off in known.surprises[:MOST_HINTS] if abs(off) > SURPRISE}
    hints: set[tuple[str, float]] = set()
    for one in records:
        if one.record in worst:
            later = [other.day for other in records if other.kiln == one.kiln and other.day > one.day]
            hints |= {(one.kiln, one.day)} | ({(one.kiln, min(later))} if later else set())
    return hints


def _fit(
    records: Sequence[StageRecord],
    jar_sd: dict[str, float],
    spreads: Spreads,
    jumps: tuple[tuple[str, float], ...],
    near: KilnClock | None = None,
) -> KilnClock:
    """Find the most likely state; `near` is a fit of the same records under other spreads or jumps to begin from."""
    names, before, last = prior(records, jar_sd, spreads, jumps)
    seen = _Whole.of(records, spreads, {name: k for k, name in enumerate(names)})
    precision = np.asarray(np.linalg.inv(before), dtype=np.float64)

    # A stage far off what is expected pulls little, as it may be a slip; many of them must. So it begins with blurred
    # eyes and sharpens them.
    if near is not None:
        tops = [_most_likely(seen, precision, near.mean)]
    else:
        blurred = np.zeros(len(names))
        for blur in BLUR:
            blurred = _most_likely(seen.blurred(blur), precision, blurred)
        tops = [blurred, _most_likely(seen, precision, np.zeros(len(names)))]
    value, state = max(((seen.worth(precision, top), top) for top in tops), key=lambda pair: pair[0])
    curvature = precision + seen.curve(state)[1]
    covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    evidence = value - (np.linalg.slogdet(curvature)[1] + np.linalg.slogdet(before)[1]) / 2
    return KilnClock(
        names=tuple(names),
        mean=state,
        covariance=np.asarray((covariance + covariance.T) / 2),
        before=before,
        spreads=spreads,
        evidence=float(evidence),
        jumps=jumps,
        surprises=seen.surprises(state, covariance),
        last_day=last,
    )


@dataclass(frozen=True, eq=False)
class _Whole:
    """All records: those of one coat, and those of several."""

    alone: tuple[StageRecord, ...]
    together: tuple[StageRecord, ...]
    parts: tuple[Seen | Several, ...]

    @classmethod
    def of(cls, records: Sequence[StageRecord], spreads: Spreads, place: dict[str, int]) -> _Whole:
        alone = tuple(one for one in records if not one.beside)
        together = tuple(one for one in records if one.beside)
        parts: list[Seen | Several] = []
        if alone:
            gloss, early = (
                Rows.of([moves(one, one.melting[0], place, late) for one in alone], len(place))
                for late in (True, False)
            )
            hands = [hand(one.melting[0], spreads, place) for one in alone]
            parts.append(Seen.of(alone, hands, spreads.eye, spreads.lapse, gloss, early))
        if together:
            late, soon = (
                [[moves(one, coat, place, side) for coat in one.melting] for one in together] for side in (True, False)
            )
            each = [[hand(coat, spreads, place) for coat in one.melting] for one in together]
            told = (spreads.eye, spreads.lapse, spreads.last)
            parts.append(Several.of(together, each, *told, late, soon, len(place)))
        return cls(alone, together, tuple(parts))

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


def _most_likely(seen: _Whole, precision: Array, state: Array) -> Array:
    """Return the state at the top, by Newton's steps cut short where they lead down."""
    value = seen.worth(precision, state)
    for _ in range(ITERATIONS):
        slope, bend = seen.curve(state)
        move = np.asarray(np.linalg.solve(precision + bend, slope - precision @ state))
        part = 1.0
        while (tried := seen.worth(precision, state + part * move)) < value and part > SHORTEST:
            part /= 2
        state = state + part * move
        value = tried
        if float(np.max(np.abs(part * move))) < STOP:
            break
    return state
