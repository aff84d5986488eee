"""What firings teach of a kiln and its jars: how much more of the gloss clock is needed than was foretold.

Each record says, in decades of the clock, how late or early its coats were. That sum is split into what belongs to the
jar, to the kiln on that day, to the kind of piece, to this very coat laid and fired again, to haste, and chance. How
wrong the laws behind the window may be is part of it: by how much they move a coat from the ordinary one, and a setting
from the heat its jar is told by. So whoever asks of a setting or a coat unlike those fired gets a wider band, in
proportion, and who asks of the same piece again is not charged for powder and laws its own firings have spoken of.

A jar moves only where gloss and what follows begin; a kiln, a kind of piece and haste move every stage. How long before
gloss the eye sees sugar turn into orange peel is nearly open: eyes and laws differ most there. Stages are classes
between marks, some of them noted wrongly; times of first gloss are numbers. Where several coats melted, each counts by
how likely it governed (:mod:`enamelwright.learning.several_coats`). The kiln drifts from day to day, and jumps where
somebody changed it or where its records say so. How fast it drifts, and how much a hand scatters, is weighed by the
record itself. A kiln that stands cold does not go on drifting for long: what ages a thermocouple is heat (T. G. Kollie
et al., ORNL-TM-4862, 1975).

What belongs to the kiln and what to the jar cannot be told apart by such records, however many: only their sum, and
what changes with the days. The sum is what windows on this kiln need. Degrees need an anchor.

Laplace's approximation about the most likely state. The kiln's part is a random walk, as in R. E. Kalman, J. Basic Eng.
82 (1960) 35; stages are an ordered probit. All spreads are assumptions of `reference/heat/learning`. Checked in
tests/learning/test_kiln_clock.py, test_bands_of_one_jar.py and test_same_piece_again.py by simulation and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.few_parts import Rows
from enamelwright.learning.seen_stages import Seen
from enamelwright.learning.several_coats import Several
from enamelwright.learning.stage_records import Foretold, Melting, StageRecord

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
STRANGE = 2.6
"""So many standard deviations off, a record does not belong with what was foretold."""
HASTE, EARLY, HEAT, LAW = "haste", "early stages", "heat", "law"
"""Parts that stand for loads following each other at once, for what the eye calls sugar and orange peel, for how
settings differ from what the viscosity says, and for how coats do from what the law of gloss says."""
COATS_TOLD = 80
"""So many coats, those fired last, have a part of their own: the work grows with the cube of the parts. What the others
bring counts as chance."""
KELVINS = 100.0
"""Kelvins that parts of the setting are told by, so that all parts are of like size."""


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
    heat, heat_jar : float
        Of a setting, for each kelvin it lies off the heat a jar is told by: alike for all jars, and of each.
    law : float
        Of a coat, for each decade the law of gloss moves it off the ordinary one: alike for all coats.
    rest : float
        A kiln that was not fired for longer than this drifts no further [days].
    last : float
        Weight of the last coat, against the first, in what is noted of several.
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
    heat: float = 0.0
    heat_jar: float = 0.0
    law: float = 0.0
    rest: float = float("inf")
    last: float = 0.5


@dataclass(frozen=True, eq=False)
class Needed:
    """How much more of the clock a coat needs, as it depends on setting and coat.

    Attributes
    ----------
    mean : ndarray, shape (3,)
        Decades, decades a kelvin, and decades a decade of the law.
    covariance : ndarray, shape (3, 3)
        Of these.
    """

    mean: Array
    covariance: Array

    def at(self, hotter: float = 0.0, law: float = 0.0) -> tuple[float, float]:
        """Return mean and standard deviation at a setting and for a coat [decades].

        Parameters
        ----------
        hotter : float
            Than the heat the jar is told by [K].
        law : float
            Decades by which the law of gloss moves the coat.
        """
        row = np.array([1.0, hotter, law])
        return float(row @ self.mean), float(np.sqrt(max(row @ self.covariance @ row, 0.0)))


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

    def needed(self, kiln: str, jar: str | None, kind: str = "", day: float | None = None, coat: str = "") -> Needed:
        """Return how much more of the clock a coat needs here, at any setting.

        Parameters
        ----------
        kiln : str
            Name; one that was never recorded counts with its first spread.
        jar : str or None
            None for any jar that was never recorded, itself left out.
        kind : str
            As for the kiln; left out when empty.
        day : float, optional
            For which day; the kiln goes on drifting after its last record.
        coat : str
            The very coat, where it was fired before; what it brings is left out otherwise.
        """
        place = {name: k for k, name in enumerate(self.names)}
        weights, extra = np.zeros((3, len(self.names))), np.zeros(3)
        for row, name, spread in (
            (0, f"jar {jar}" if jar is not None else "", 0.0),
            (0, f"coat {coat}" if coat else "", 0.0),
            (0, f"kind {kind}" if kind else "", self.spreads.kind),
            (1, HEAT, self.spreads.heat),
            (1, f"{HEAT} {jar}", self.spreads.heat_jar),
            (2, LAW, self.spreads.law),
        ):
            if name in place:
                weights[row, place[name]] = 1 / KELVINS if row == 1 else 1.0
            elif name:
                extra[row] += spread**2
        at = self.kiln_on(kiln, day)
        if at is None:
            extra[0] += self.spreads.kiln**2
        else:
            weights[0, place[at]] = 1.0
            extra[0] += self.idle(at, day)
        return Needed(weights @ self.mean, weights @ self.covariance @ weights.T + np.diag(extra))

    def idle(self, at: str, day: float | None) -> float:
        """Return the variance that drifting since its last record adds to a kiln [decades squared].

        However long nobody looked: it is no further off than after somebody moved the thermocouple.

        Parameters
        ----------
        at : str
            Part of the kiln, of :meth:`kiln_on`.
        day : float or None
            For which day.
        """
        if day is None:
            return 0.0
        rested = min(max(0.0, day - float(at.rsplit("@", 1)[1])), self.spreads.rest)
        return float(min(self.spreads.drift**2 * rested, self.spreads.jump**2))

    def together(
        self, kiln: str, jar: str, kind: str = "", day: float | None = None, coat: str = "", hotter: float = 0.0,
        law: float = 0.0,
    ) -> tuple[float, float]:  # fmt: skip
        """Return how much more of the clock this jar needs in this kiln: mean and standard deviation [decades].

        Parameters
        ----------
        kiln, jar, kind, day, coat
            As for :meth:`needed`.
        hotter, law : float
            As for :meth:`Needed.at`.
        """
        return self.needed(kiln, jar, kind, day, coat).at(hotter, law)

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
        mine = [abs(off[one.record]) > STRANGE for one in records if one.kiln == kiln and jar in one.jars]
        return len(mine) > 1 and sum(mine) * 2 > len(mine)

    def gloss_time(
        self, foretold: Foretold, kiln: str, jar: str, kind: str, day: float, coat: str = "", hotter: float = 0.0,
        law: float = 0.0,
    ) -> tuple[float, float, float]:  # fmt: skip
        """Return when gloss is to be expected: 5 %, likely and 95 % [s].

        Parameters
        ----------
        foretold : Foretold
            Of the coming firing, without or with what was learned before.
        kiln, jar, kind : str
            Whose.
        day : float
            When.
        coat, hotter, law
            As for :meth:`together`.
        """
        from scipy.special import ndtri

        mean, sd = self.together(kiln, jar, kind, day, coat, hotter, law)
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
    names, prior, last = _prior(records, jar_sd, spreads, jumps)
    seen = _Whole.of(records, spreads, {name: k for k, name in enumerate(names)})
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
                Rows.of([_moves(one, one.melting[0], place, late) for one in alone], len(place))
                for late in (True, False)
            )
            hands = [_hand(one.melting[0], spreads, place) for one in alone]
            parts.append(Seen.of(alone, hands, spreads.eye, spreads.lapse, gloss, early))
        if together:
            late, soon = (
                [[_moves(one, coat, place, side) for coat in one.melting] for one in together] for side in (True, False)
            )
            each = [[_hand(coat, spreads, place) for coat in one.melting] for one in together]
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


def _hand(coat: Melting, spreads: Spreads, place: dict[str, int]) -> float:
    """Return the spread of a coat from firing to firing; what it brings itself is chance where it has no part."""
    told = not coat.coat or f"coat {coat.coat}" in place
    return float(np.hypot(spreads.repeat, 0.0 if told else coat.coat_sd))


def _moves(record: StageRecord, coat: Melting, place: dict[str, int], late: bool) -> dict[int, float]:
    """Return which parts move the marks of one coat, and how much: from gloss on, or those before it."""
    told = [
        (f"kind {record.kind}", 1.0),
        (_day_name(record.kiln, record.epoch, record.day), 1.0),
        (HASTE, record.haste),
    ]
    if late:
        hot = coat.hotter / KELVINS
        told += [(f"jar {coat.jar}", 1.0), (f"coat {coat.coat}", 1.0), (LAW, coat.law)]
        told += [(HEAT, hot), (f"{HEAT} {coat.jar}", hot)]
    else:
        told.append((EARLY, 1.0))
    return {place[name]: share for name, share in told if share and name in place}


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


def _day_name(kiln: str, epoch: int, day: float) -> str:
    return f"kiln {kiln}#{epoch}@{day!r}"


def _prior(
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> tuple[list[str], Array, dict[str, tuple[int, float]]]:
    """Return the parts, their covariance beforehand, and the last day of each kiln."""
    every = [coat for one in records for coat in one.melting]
    names = [f"jar {code}" for code in sorted({one.jar for one in every})]
    variances = [jar_sd[name[4:]] ** 2 for name in names]
    kinds = [f"kind {kind}" for kind in sorted({one.kind for one in records})]
    names += [*kinds, HASTE, EARLY]
    variances += [*[spreads.kind**2] * len(kinds), spreads.haste**2, spreads.early**2]
    coats: dict[str, float] = {}
    newest: dict[str, float] = {}
    for record in records:
        for one in record.melting:
            if one.coat and one.coat_sd > 0:
                coats[one.coat] = max(one.coat_sd, coats.get(one.coat, 0.0))
                newest[one.coat] = max(record.day, newest.get(one.coat, record.day))
    told = sorted(sorted(coats, key=lambda coat: (-newest[coat], coat))[:COATS_TOLD])
    names += [f"coat {coat}" for coat in told]
    variances += [coats[coat] ** 2 for coat in told]
    if spreads.law and any(one.law for one in every):
        names, variances = [*names, LAW], [*variances, spreads.law**2]
    for name, spread, jars in ((HEAT, spreads.heat, [""]), (HEAT, spreads.heat_jar, sorted({j.jar for j in every}))):
        for jar in jars:
            if spread and any(one.hotter and jar in ("", one.jar) for one in every):
                names.append(f"{name} {jar}".strip())
                variances.append((spread * KELVINS) ** 2)
    blocks: list[tuple[int, Array]] = []
    last: dict[str, tuple[int, float]] = {}
    for kiln in sorted({one.kiln for one in records}):
        days = sorted({(one.epoch, one.day) for one in records if one.kiln == kiln})
        # Of a walk with jumps each day shares with every later one what it had then.
        walk = np.zeros((len(days), len(days)))
        known = spreads.kiln**2
        for k, (epoch, day) in enumerate(days):
            if k:
                known += spreads.drift**2 * min(max(0.0, day - days[k - 1][1]), spreads.rest)
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
