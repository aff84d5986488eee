"""What firings teach of a kiln and its jars: how much more of the gloss clock is needed than was foretold.

Each record says, in decades of the clock, how late or early its coat was. That sum is split into what belongs to the
jar, to the kiln on that day, to the kind of piece, and chance. Stages are classes between marks, some of them noted
wrongly; times of first gloss are numbers. The kiln drifts from day to day, and jumps where somebody changed it or where
its records say so.

What belongs to the kiln and what to the jar cannot be told apart by such records, however many: only their sum, and
what changes with the days. The sum is what windows on this kiln need. Degrees need an anchor.

Laplace's approximation about the most likely state, with expected information as curvature: for an ordered probit with
lapses it is stable and nearly exact. Source: the state-space view of R. E. Kalman, J. Basic Eng. 82 (1960) 35;
T. P. Minka (2001) for censored classes; all spreads are assumptions of `reference/` until the record is long enough.
Checked in tests/learning/test_kiln_clock.py by simulation and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.stage_records import Foretold, StageRecord

Array = npt.NDArray[np.float64]

ITERATIONS, STOP = 60, 1e-8
"""Newton's steps, and how small the last one is [decades]."""
LEARNED, PARTLY = 0.1, 0.8
"""Share of the first variance that is left: below the one it is learned, above the other it is not."""
SURPRISE, MOST_HINTS = 1.6, 8
"""A record this many standard deviations off what the others say hints at a jump of the kiln; so many are tried."""
WORTH = 3.0
"""By how much a jump must raise the logarithm of the evidence to be believed: odds of twenty to one."""
MOST_JUMPS = 3
LEAST_INFORMATION, LEAST_LEFT = 1e-6, 0.05
"""Curvature of a record that says next to nothing, and share of its variance that stays when it is left out."""
SHORTEST = 1 / 64
"""Shortest part of a Newton step."""
WILD = 5.0
"""A time noted wrongly is off by this many times as much."""
CLASSES = 5
"""Stages between which a wrong note chooses."""
LONG = 3.0
"""Stages without an end are taken to be this long when it is asked on which side a record lies [decades]."""
FAR = 1400.0
"""Squares beyond which a normal density is nought."""


@dataclass(frozen=True)
class Spreads:
    """How uncertain each part is beforehand, in decades of the clock.

    Attributes
    ----------
    kiln : float
        A kiln nobody has tested.
    drift : float
        Of the kiln from one day to the next, growing with the root of the days.
    kind : float
        Size, support and place of a kind of piece.
    repeat : float
        One firing to the next.
    eye : float
        Time of gloss as noted [s].
    lapse : float
        Share of stages noted wrongly, 0 to 1.
    jump : float
        Of the kiln when somebody changed it, or when it jumped.
    """

    kiln: float
    drift: float
    kind: float
    repeat: float
    eye: float
    lapse: float
    jump: float


@dataclass(frozen=True, eq=False)
class KilnClock:
    """What is known after the records.

    Attributes
    ----------
    names : tuple of str
        One a part: ``jar J04``, ``kind ...``, ``kiln ...#epoch@day``.
    mean : ndarray, shape (n,)
        Decades.
    covariance, before : ndarray, shape (n, n)
        After and before the records.
    spreads : Spreads
        Taken.
    evidence : float
        Logarithm of the probability of the records.
    jumps : tuple of (kiln, day)
        Found in the records, not declared.
    surprises : tuple of (record, float)
        Records by how many standard deviations they stand off, the worst first.
    last_day : dict
        Of each kiln: its latest epoch and the last day of it.
    """

    names: tuple[str, ...]
    mean: Array
    covariance: Array
    before: Array
    spreads: Spreads
    evidence: float
    jumps: tuple[tuple[str, float], ...]
    surprises: tuple[tuple[int, float], ...]
    last_day: dict[str, tuple[int, float]]

    def part(self, name: str) -> tuple[float, float, float]:
        """Return mean, standard deviation and the share of the first variance that is left.

        Parameters
        ----------
        name : str
            One of `names`.

        Raises
        ------
        InputError
            For an unknown name.
        """
        if name not in self.names:
            raise InputError(f"nothing was recorded of '{name}'", "Record a firing with it.")
        k = self.names.index(name)
        return (
            float(self.mean[k]),
            float(np.sqrt(self.covariance[k, k])),
            float(self.covariance[k, k] / self.before[k, k]),
        )

    def kiln_on(self, kiln: str, day: float | None = None) -> str | None:
        """Return the part that stands for a kiln on the last recorded day up to then, None when never used.

        Parameters
        ----------
        kiln : str
            Name.
        day : float, optional
            Today when left out.
        """
        if kiln not in self.last_day:
            return None
        days = [float(n.rsplit("@", 1)[1]) for n in self.names if n.startswith(f"kiln {kiln}#")]
        upto = [d for d in days if day is None or d <= day]
        chosen = max(upto) if upto else min(days)
        return next(n for n in self.names if n.startswith(f"kiln {kiln}#") and float(n.rsplit("@", 1)[1]) == chosen)

    def together(self, kiln: str, jar: str, kind: str = "", day: float | None = None) -> tuple[float, float]:
        """Return how much more of the clock this jar needs in this kiln: mean and standard deviation [decades].

        Parameters
        ----------
        kiln, jar, kind : str
            Parts that were never recorded count with their first spread; an empty kind is left out.
        day : float, optional
            For which day; the kiln goes on drifting after its last record.
        """
        weights = np.zeros(len(self.names))
        extra = 0.0
        for name, spread in ((f"jar {jar}", None), (f"kind {kind}" if kind else "", self.spreads.kind)):
            if name and name in self.names:
                weights[self.names.index(name)] = 1.0
            elif name and spread is not None:
                extra += spread**2
        at = self.kiln_on(kiln, day)
        if at is None:
            extra += self.spreads.kiln**2
        else:
            weights[self.names.index(at)] = 1.0
            if day is not None:
                # However long nobody looked: it is no further off than after somebody moved the thermocouple.
                idle = max(0.0, day - float(at.rsplit("@", 1)[1]))
                extra += min(self.spreads.drift**2 * idle, self.spreads.jump**2)
        return float(weights @ self.mean), float(np.sqrt(weights @ self.covariance @ weights + extra))

    def gloss_time(self, foretold: Foretold, kiln: str, jar: str, kind: str, day: float) -> tuple[float, float, float]:
        """Return when gloss is to be expected: 5 %, likely and 95 % [s].

        Parameters
        ----------
        foretold : Foretold
            Of the coming firing, without or with what was learned before.
        kiln, jar, kind : str
            Whose.
        day : float
            When.
        """
        from scipy.special import ndtri

        mean, sd = self.together(kiln, jar, kind, day)
        shift = mean - foretold.learned
        near = foretold.seconds_at(shift)
        reading = foretold.slope_at(max(near, 1.0)) * self.spreads.eye
        whole = float(np.hypot(np.hypot(sd, self.spreads.repeat), reading))
        reach = float(ndtri(0.95)) * whole
        low, middle, high = (foretold.seconds_at(shift + x) for x in (-reach, 0.0, reach))
        return low, middle, high


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
    missing = sorted({one.jar for one in records} - set(jar_sd))
    if missing:
        raise InputError(f"nothing is known of jar {missing[0]}", "Keep the jar first.")
    jumps: tuple[tuple[str, float], ...] = ()
    best = _fit(records, jar_sd, spreads, jumps)
    while look_for_jumps and len(jumps) < MOST_JUMPS:
        hints = _hints(records, best) - set(jumps)
        tried = [_fit(records, jar_sd, spreads, (*jumps, hint)) for hint in sorted(hints)]
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
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> KilnClock:
    names, prior, last = _prior(records, jar_sd, spreads, jumps)
    place = {name: k for k, name in enumerate(names)}
    design = np.zeros((len(records), len(names)))
    for row, one in zip(design, records, strict=True):
        for name in (f"jar {one.jar}", f"kind {one.kind}", _day_name(one.kiln, one.epoch, one.day)):
            row[place[name]] = 1.0
    seen = _Seen.of(records, spreads)
    precision = np.linalg.inv(prior)

    def worth(state: Array) -> float:
        return float(np.sum(seen.at(design @ state)[0]) - state @ precision @ state / 2)

    state = np.zeros(len(names))
    value = worth(state)
    for _ in range(ITERATIONS):
        _, slope, weight = seen.at(design @ state)
        curvature = precision + design.T @ (weight[:, np.newaxis] * design)
        move = np.linalg.solve(curvature, design.T @ slope - precision @ state)
        part = 1.0
        while worth(state + part * move) < value and part > SHORTEST:
            part /= 2
        state = state + part * move
        value = worth(state)
        if float(np.max(np.abs(part * move))) < STOP:
            break
    _, _, weight = seen.at(design @ state)
    curvature = precision + design.T @ (weight[:, np.newaxis] * design)
    covariance = np.asarray(np.linalg.inv(curvature), dtype=np.float64)
    evidence = value - (np.linalg.slogdet(curvature)[1] + np.linalg.slogdet(prior)[1]) / 2
    return KilnClock(
        names=tuple(names),
        mean=state,
        covariance=np.asarray((covariance + covariance.T) / 2),
        before=prior,
        spreads=spreads,
        evidence=float(evidence),
        jumps=jumps,
        surprises=_surprises(records, seen, design, state, covariance),
        last_day=last,
    )


def _day_name(kiln: str, epoch: int, day: float) -> str:
    return f"kiln {kiln}#{epoch}@{day!r}"


def _prior(
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> tuple[list[str], Array, dict[str, tuple[int, float]]]:
    """Return the parts, their covariance beforehand, and the last day of each kiln."""
    names = [f"jar {code}" for code in sorted({one.jar for one in records})]
    variances = [jar_sd[name[4:]] ** 2 for name in names]
    kinds = [f"kind {kind}" for kind in sorted({one.kind for one in records})]
    names += kinds
    variances += [spreads.kind**2] * len(kinds)
    blocks: list[tuple[int, Array]] = []
    last: dict[str, tuple[int, float]] = {}
    for kiln in sorted({one.kiln for one in records}):
        days = sorted({(one.epoch, one.day) for one in records if one.kiln == kiln})
        # Of a walk with jumps each day shares with every later one what it had then.
        walk = np.zeros((len(days), len(days)))
        known = spreads.kiln**2
        for k, (epoch, day) in enumerate(days):
            if k:
                known += spreads.drift**2 * max(0.0, day - days[k - 1][1])
                if epoch != days[k - 1][0] or (kiln, day) in jumps:
                    known += spreads.jump**2
            walk[k, k:] = walk[k:, k] = known
        blocks.append((len(names), walk))
        names += [_day_name(kiln, epoch, day) for epoch, day in days]
        variances += [0.0] * len(days)
        last[kiln] = days[-1]
    prior = np.diag(np.asarray(variances))
    for at, walk in blocks:
        prior[at : at + len(walk), at : at + len(walk)] = walk
    prior[np.diag_indices_from(prior)] += 1e-9  # two days of one epoch may be as good as one
    return names, prior, last


@dataclass(frozen=True, eq=False)
class _Seen:
    """What all records say of the decades needed beyond what was foretold, one entry a record.

    A time of gloss is a number (`low` and `high` are not used), a stage a class between two marks.
    """

    clock: Array
    timed: npt.NDArray[np.bool_]
    low: Array
    high: Array
    sd: Array
    lapse: float

    @classmethod
    def of(cls, records: Sequence[StageRecord], spreads: Spreads) -> _Seen:
        clock, timed, ends, sd = [], [], [], []
        for one in records:
            seconds = one.to_gloss if one.to_gloss is not None else one.seconds
            assert seconds is not None  # a record without a time is refused
            clock.append(one.foretold.clock_at(seconds) + one.foretold.learned)
            timed.append(one.to_gloss is not None)
            ends.append((-np.inf, np.inf) if one.to_gloss is not None else one.ends)
            reading = one.foretold.slope_at(seconds) * spreads.eye if one.to_gloss is not None else 0.0
            sd.append(float(np.hypot(spreads.repeat, reading)))
        low, high = np.asarray(ends, dtype=np.float64).T
        return cls(np.asarray(clock), np.asarray(timed), low, high, np.asarray(sd), spreads.lapse)

    def at(self, needed: Array) -> tuple[Array, Array, Array]:
        """Return log likelihoods, their slopes and curvatures (never negative) at so many decades needed."""
        logs, slope, weight = self._classes(needed)
        if np.any(self.timed):
            for whole, part in zip((logs, slope, weight), self._times(needed), strict=True):
                whole[self.timed] = part[self.timed]
        return logs, slope, np.maximum(weight, LEAST_INFORMATION)

    def _times(self, needed: Array) -> tuple[Array, Array, Array]:
        """A normal law, with a wide one for times noted wrongly."""
        off = (self.clock - needed) / self.sd
        good = np.log((1 - self.lapse) / self.sd) - off**2 / 2
        wild = np.log(self.lapse / (self.sd * WILD)) - (off / WILD) ** 2 / 2
        logs = np.logaddexp(good, wild)
        share = np.exp(good - logs)
        firm = share + (1 - share) / WILD**2
        return logs, off / self.sd * firm, firm / self.sd**2

    def _classes(self, needed: Array) -> tuple[Array, Array, Array]:
        """A class between two marks, or by mistake any."""
        from scipy.special import ndtr

        excess = self.clock - needed
        low, high = (self.low - excess) / self.sd, (self.high - excess) / self.sd
        at_low, at_high = (np.exp(-np.minimum(z * z, FAR) / 2) / np.sqrt(2 * np.pi) for z in (low, high))
        right = 1 - self.lapse
        inside = right * (ndtr(high) - ndtr(low)) + self.lapse / CLASSES
        slope = right * (at_high - at_low) / self.sd / inside
        bend = right * (np.where(np.isfinite(high), high, 0) * at_high - np.where(np.isfinite(low), low, 0) * at_low)
        return np.log(inside), slope, slope**2 + bend / self.sd**2 / inside


def _surprises(
    records: Sequence[StageRecord], seen: _Seen, design: Array, state: Array, covariance: Array
) -> tuple[tuple[int, float], ...]:
    """Return by how many standard deviations each record stands off what all the others say, the worst first.

    For a stage it is the normal deviate of its chance: a stage of one chance in twenty counts as two deviations.
    """
    from scipy.special import ndtr, ndtri

    fitted = design @ state
    _, slope, weight = seen.at(fitted)
    var = np.einsum("ij,jk,ik->i", design, covariance, design)
    # Without this record the variance is larger and the middle further off.
    left = np.maximum(1.0 - weight * var, LEAST_LEFT)
    without, middle = var / left, fitted - var / left * slope
    excess, whole = seen.clock - middle, np.sqrt(seen.sd**2 + without)
    chance = ndtr((seen.high - excess) / whole) - ndtr((seen.low - excess) / whole)
    side = np.where(excess > (np.maximum(seen.low, -LONG) + np.minimum(seen.high, LONG)) / 2, 1.0, -1.0)
    off = np.where(seen.timed, excess / whole, side * -ndtri(np.maximum(chance, LEAST_INFORMATION) / 2))
    order = np.argsort(-np.abs(off), kind="stable")
    return tuple((records[k].record, float(off[k])) for k in order)


def interval_score(low: float, high: float, happened: float, sure: float = 0.9) -> float:
    """Price of a band: its width, and what it misses by, dearer the surer it claimed to be; smaller is better.

    Parameters
    ----------
    low, high : float
        Ends of the band, in any unit.
    happened : float
        In the same unit.
    sure : float
        Share of bands that ought to hold.

    Source
    ------
    T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102 (2007) 359, eq. 43.
    """
    miss = max(low - happened, 0.0) + max(happened - high, 0.0)
    return (high - low) + 2 / (1 - sure) * miss
