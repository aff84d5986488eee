"""What firings teach of a kiln and its jars: how much more of the gloss clock is needed than was foretold.

Each record says, in decades of the clock, how late or early its coat was. That sum is split into what belongs to the
jar, to the kiln on that day, to the kind of piece, to haste, and chance. A jar moves only where gloss and what follows
begin; a kiln, a kind of piece and haste move every stage. How long before gloss the eye sees sugar turn into orange
peel is nearly open: eyes and laws differ most there. Stages are classes between marks, some of them noted wrongly;
times of first gloss are numbers. The kiln drifts from day to day, and jumps where somebody changed it or where
its records say so.

What belongs to the kiln and what to the jar cannot be told apart by such records, however many: only their sum, and
what changes with the days. The sum is what windows on this kiln need. Degrees need an anchor.

Laplace's approximation about the most likely state. The kiln's part is a random walk, as in R. E. Kalman, J. Basic Eng.
82 (1960) 35; stages are an ordered probit. All spreads are assumptions of `reference/heat/learning`. Checked in
tests/learning/test_kiln_clock.py and test_bands_of_one_jar.py by simulation and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.seen_stages import Seen
from enamelwright.learning.stage_records import Foretold, StageRecord

Array = npt.NDArray[np.float64]

ITERATIONS, STOP = 60, 1e-5
"""Newton's steps, and how small the last one is [decades]."""
LEARNED, PARTLY = 0.1, 0.8
"""Share of the first variance that is left: below the one it is learned, above the other it is not."""
SURPRISE, MOST_HINTS = 1.6, 8
"""A record this many standard deviations off what the others say hints at a jump of the kiln; so many are tried."""
WORTH = 3.0
"""By how much a jump must raise the logarithm of the evidence to be believed: odds of twenty to one."""
MOST_JUMPS = 3
SHORTEST = 1 / 64
"""Shortest part of a Newton step."""
BLUR = (4.0, 2.0, 1.0)
"""Factors on what is taken of eye and repeat, one round after the other."""
SCATTER, SCATTER_SD, FEWEST_FOR_SCATTER = (1.0, 1.5, 2.25, 3.4, 5.1), 0.5, 4
"""Factors on the usual repeat that are weighed, how far its logarithm may be off beforehand, and records it takes. None
below one: a few firings that happen to lie close would pass for a steady hand, and bands would hold too seldom."""
STRANGE = 2.6
"""So many standard deviations off, a record does not belong with what was foretold."""
HASTE, EARLY = "haste", "early stages"
"""Parts that stand for loads following each other at once, and for what the eye calls sugar and orange peel."""


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
    haste : float
        Of a load that follows another at once.
    early : float
        Of the marks before gloss against gloss, as this eye names them.
    """

    kiln: float
    drift: float
    kind: float
    repeat: float
    eye: float
    lapse: float
    jump: float
    haste: float
    early: float


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

    def strange(self, records: Sequence[StageRecord], kiln: str, jar: str) -> bool:
        """Tell whether most firings of a jar in a kiln do not belong with what was foretold of them.

        Then nothing can be learned: another jar was used, the time counted from elsewhere, or the display is far off.

        Parameters
        ----------
        records : sequence of StageRecord
            Those it was learned from.
        kiln, jar : str
            Whose.
        """
        off = dict(self.surprises)
        mine = [abs(off[one.record]) > STRANGE for one in records if (one.kiln, one.jar) == (kiln, jar)]
        return len(mine) > 1 and sum(mine) * 2 > len(mine)

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
    """Return mean and covariance over every scatter, each by its evidence and how well it is believed beforehand."""
    fits = [_fit(records, jar_sd, replace(spreads, repeat=spreads.repeat * factor), jumps, near) for factor in SCATTER]
    doubts = (np.log(SCATTER) / SCATTER_SD) ** 2 / 2
    beliefs = np.asarray([one.evidence for one in fits]) - doubts
    best = fits[int(np.argmax(beliefs))]
    whole = float(np.logaddexp.reduce(beliefs) - np.logaddexp.reduce(-doubts))
    share = np.exp(beliefs - np.logaddexp.reduce(beliefs))
    means = np.asarray([one.mean for one in fits])
    mean = share @ means
    between = (means - mean).T @ (share[:, np.newaxis] * (means - mean))
    return replace(
        best,
        mean=mean,
        covariance=np.tensordot(share, np.asarray([one.covariance for one in fits]), 1) + between,
        spreads=replace(spreads, repeat=float(np.sqrt(share @ np.asarray([one.spreads.repeat**2 for one in fits])))),
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
    names, prior, last = _prior(records, jar_sd, spreads, jumps)
    place = {name: k for k, name in enumerate(names)}
    moves = np.zeros((len(records), len(names)))
    jars, early = np.zeros_like(moves), np.zeros_like(moves)
    for row, jar, one in zip(moves, jars, records, strict=True):
        row[place[f"kind {one.kind}"]] = row[place[_day_name(one.kiln, one.epoch, one.day)]] = 1.0
        row[place[HASTE]] = one.haste
        jar[place[f"jar {one.jar}"]] = 1.0
    early[:, place[EARLY]] = 1.0
    seen = Seen.of(records, spreads.repeat, spreads.eye, spreads.lapse, moves, jars, early)
    precision = np.asarray(np.linalg.inv(prior), dtype=np.float64)

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
    evidence = value - (np.linalg.slogdet(curvature)[1] + np.linalg.slogdet(prior)[1]) / 2
    return KilnClock(
        names=tuple(names),
        mean=state,
        covariance=np.asarray((covariance + covariance.T) / 2),
        before=prior,
        spreads=spreads,
        evidence=float(evidence),
        jumps=jumps,
        surprises=seen.surprises(records, state, covariance),
        last_day=last,
    )


def _most_likely(seen: Seen, precision: Array, state: Array) -> Array:
    """Return the state at the top, by Newton's steps cut short where they lead down."""
    value = seen.worth(precision, state)
    for _ in range(ITERATIONS):
        slope, bend = seen.curve(state)
        move = np.asarray(np.linalg.solve(precision + bend, slope - precision @ state))
        part = 1.0
        while seen.worth(precision, state + part * move) < value and part > SHORTEST:
            part /= 2
        state = state + part * move
        value = seen.worth(precision, state)
        if float(np.max(np.abs(part * move))) < STOP:
            break
    return state


def _day_name(kiln: str, epoch: int, day: float) -> str:
    return f"kiln {kiln}#{epoch}@{day!r}"


def _prior(
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> tuple[list[str], Array, dict[str, tuple[int, float]]]:
    """Return the parts, their covariance beforehand, and the last day of each kiln."""
    names = [f"jar {code}" for code in sorted({one.jar for one in records})]
    variances = [jar_sd[name[4:]] ** 2 for name in names]
    kinds = [f"kind {kind}" for kind in sorted({one.kind for one in records})]
    names += [*kinds, HASTE, EARLY]
    variances += [*[spreads.kind**2] * len(kinds), spreads.haste**2, spreads.early**2]
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
