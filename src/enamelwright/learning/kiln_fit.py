"""How kiln and jars are learned from records: the most likely state, jumps nobody declared, and how a hand scatters.

Laplace's approximation about the most likely state of the parts of :mod:`enamelwright.learning.kiln_parts`; stages are
an ordered probit. What is not known of a hand (its scatter, how fast the kiln drifts, which coat it notes), and whether
the kiln jumped, is weighed by the evidence instead of chosen: all of them count, each by how well it is believed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.record_states import RecordStates
from enamelwright.learning.stage_records import StageRecord

Array = npt.NDArray[np.float64]
Jumps = tuple[tuple[str, float], ...]
SURPRISE, MOST_HINTS = 1.6, 8
"""A record this many standard deviations off what the others say hints at a jump of the kiln; so many are tried."""
WORTH = 3.0
"""By how much a jump must raise the logarithm of the evidence to be believed as much as none: odds of one to twenty."""
LEAST_WORTH = 0.5
"""A single jump that raises it by less is not weighed: it would count one in thirteen at the most."""
MOST_JUMPS = 3
SCATTER, SCATTER_SD, FEWEST_FOR_SCATTER = (0.3, 0.5, 0.75, 1.0, 1.5, 2.25, 3.4, 5.1), 0.5, 4
"""Factors on the usual repeat that are weighed, how far its logarithm may be off beforehand above the usual, and
records it takes."""
STEADY, FADES = 12.0, 8
"""A few firings that happen to lie close must not pass for a steady hand: each unit of the logarithm below the usual is
believed so much less, which fades as records come: it is half of that after so many. With as many parts as records the
evidence of so few knows too little of it (tests/learning/test_bands_of_one_jar.py)."""
DRIFTS, TRENDS, DRIFT_SD = (0.3, 2.0), (3.0,), 0.5
"""Factors on the usual drift and on the usual trend that are weighed, and how far their logarithm may be off."""
NOTES = (0.1, 0.9)
"""Weights of the last coat that are weighed beside the usual one: a maker who always notes the first coat that glosses,
or always the last, shows it."""
HOPELESS = 8.0
"""Settings beyond one that is so much less believed (as a logarithm) than the best are not tried."""
LIKELY, MOST_LIKELY = 3.0, 3
"""Drifts and ways of noting are weighed under the scatters that are no more than so much less believed than the best,
and under no more than so many."""
RISEN, ROUNDS, STATES = 0.1, 3, 2
"""Settings are looked at again from the best states that any of them found, so many rounds and states, until no
evidence rises by as much: compared from unlike states they would be weighed wrongly."""


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
    states = RecordStates(records, jar_sd, spreads)
    without = states.fit(spreads)
    found = _with_jumps(states, without, spreads) if look_for_jumps else []
    if len(records) < FEWEST_FOR_SCATTER:
        return max([without, *found], key=lambda one: one.evidence - WORTH * len(one.jumps))
    # A hand that scatters more than is usual shows in its own record, though never surely. What looked like a jump may
    # then be chance, so jumps are weighed once each scatter has counted.
    mixed = [_weighed(states, spreads, fit) for fit in (without, *found)]
    return _blend(mixed, [one.evidence - WORTH * len(one.jumps) for one in mixed], spreads)


@dataclass(frozen=True)
class _Setting:
    """One way a hand and a kiln may be, and how much less it is believed beforehand (as a logarithm)."""

    spreads: Spreads
    doubt: float


def _weighed(states: RecordStates, usual: Spreads, near: KilnClock) -> KilnClock:
    """Return what comes out under every scatter, drift and way of noting, each by how well it is believed."""
    found: dict[_Setting, KilnClock] = {}

    def believed(setting: _Setting) -> float:
        return found[setting].evidence - setting.doubt

    def best() -> _Setting:
        return max(found, key=believed)

    middle = SCATTER.index(1.0)
    for way in (range(middle, len(SCATTER)), range(middle - 1, -1, -1)):
        for factor in (SCATTER[k] for k in way):
            log = float(np.log(factor))
            steady = STEADY * FADES / (FADES + len(states.records))
            doubt = -steady * log if log < 0 else (log / SCATTER_SD) ** 2 / 2
            setting = _Setting(replace(usual, repeat=usual.repeat * factor), doubt)
            found[setting] = states.fit(setting.spreads, near.jumps, [near.mean])
            if believed(setting) < believed(best()) - HOPELESS:
                break
    likely = sorted(found, key=believed, reverse=True)[:MOST_LIKELY]
    for scatter in [one for one in likely if believed(one) >= believed(best()) - LIKELY]:
        for setting in _others(states, scatter, usual):
            # Whoever notes the other coat may mean quite another state: it is looked for anew.
            starts = [] if setting.spreads.last != usual.last else [found[scatter].mean]
            found[setting] = states.fit(setting.spreads, near.jumps, starts)
    for _ in range(ROUNDS):
        before = dict(found)
        likely = sorted(found, key=believed, reverse=True)[:STATES]
        tried = [setting for setting in found if believed(setting) >= believed(best()) - HOPELESS]
        for setting in tried:
            starts = [before[one].mean for one in likely if before[one] is not before[setting]]
            other = states.fit(setting.spreads, near.jumps, starts) if starts else found[setting]
            found[setting] = max(found[setting], other, key=lambda one: one.evidence)
        if all(found[one].evidence < before[one].evidence + RISEN for one in tried):
            break
    return _blend(list(found.values()), [believed(one) for one in found], usual)


def _others(states: RecordStates, scatter: _Setting, usual: Spreads) -> list[_Setting]:
    """Return what is weighed beside the usual drift, trend and way of noting, at one scatter."""
    faster = [("drift", factor) for factor in DRIFTS] + [("trend", factor) for factor in TRENDS]
    found = [
        _Setting(
            replace(scatter.spreads, **{name: getattr(usual, name) * factor}),
            scatter.doubt + (float(np.log(factor)) / DRIFT_SD) ** 2 / 2,
        )
        for name, factor in faster
        if getattr(usual, name)
    ]
    if states.several:
        found += [_Setting(replace(scatter.spreads, last=one, last_of_load=one), scatter.doubt) for one in NOTES]
    return found


def _blend(fits: Sequence[KilnClock], believed: Sequence[float], usual: Spreads) -> KilnClock:
    """Return mean and covariance over all fits, each by how well it is believed; the rest is of the best of them."""
    beliefs = np.asarray(believed)
    whole = float(np.logaddexp.reduce(beliefs))
    share = np.exp(beliefs - whole)
    best = fits[int(np.argmax(beliefs))]
    mean = share @ np.asarray([one.mean for one in fits])
    apart = np.asarray([one.mean for one in fits]) - mean
    covariance = np.tensordot(share, np.asarray([one.covariance for one in fits]), 1)
    squares = {
        name: float(share @ np.asarray([getattr(one.spreads, name) ** 2 for one in fits]))
        for name in ("repeat", "drift", "trend")
    }
    return replace(
        best,
        mean=mean,
        covariance=covariance + apart.T @ (share[:, np.newaxis] * apart),
        spreads=replace(usual, **{name: float(np.sqrt(one)) for name, one in squares.items()}),
        evidence=whole,
    )


def _with_jumps(states: RecordStates, without: KilnClock, spreads: Spreads) -> list[KilnClock]:
    """Return the jumps that are worth weighing: the likeliest single one, and as many as each raise the evidence."""
    best, found = without, []
    while len(best.jumps) < MOST_JUMPS:
        hints = _hints(states.records, best) - set(best.jumps)
        tried = [states.fit(spreads, (*best.jumps, hint), [best.mean]) for hint in sorted(hints)]
        better = max(tried, key=lambda one: one.evidence, default=None)
        if better is None or better.evidence < best.evidence + (WORTH if best.jumps else LEAST_WORTH):
            break
        found.append(better)
        if better.evidence < best.evidence + WORTH:
            break
        best = better
    return found


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
