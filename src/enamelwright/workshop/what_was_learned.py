"""What the firings have taught, in words of the bench: how much time a coat needs here, since when, and what next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import hypot, isfinite
from statistics import fmean, median
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.learned_clock import ANY_JAR
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.fusing import melt_of
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_moves import Moved, moves_of
from enamelwright.learning.kiln_parts import lot_name
from enamelwright.learning.stage_records import Melting, StageRecord
from enamelwright.learning.worth_recording import HOW_FAR, how_far, worth_recording
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.workshop.bench import bench
from enamelwright.workshop.firing_records import day_of
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kilns import anchors, kiln_events
from enamelwright.workshop.learned_clocks import Learned, spreads
from enamelwright.workshop.new_lots import lot_key
from enamelwright.workshop.odd_loads import OddLoad, odd_loads
from enamelwright.workshop.studio import Studio

#: Times differing by less than this share are told as the same.
SAME_TIME = 0.05
#: Kelvin to either side by which the worth of one kelvin is told.
BESIDE = 5.0
#: Jars that are named as worth a record.
MOST_NEXT = 3
#: Firings that came out alike and untimed, from which it is said that they teach little.
MANY_ALIKE = 5


@dataclass(frozen=True)
class LotLearned:
    """What a lot of a jar needs against the jar at large.

    Attributes
    ----------
    label : str
        Of the lot.
    less, likely, more : float
        Time to gloss over what the lots of its jar have alike: 5 %, likely, 95 %.
    """

    label: str
    less: float
    likely: float
    more: float

    @property
    def words(self) -> str:
        """How much more or less time, in words."""
        return time_words(self.less, self.likely, self.more)


@dataclass(frozen=True)
class JarLearned:
    """What a jar needs in a kiln.

    Attributes
    ----------
    jar : str
        Code.
    firings : int
        It stands on.
    less, likely, more : float
        Time to gloss over what a window without the record takes: 5 %, likely, 95 %.
    how_far : str
        Of :data:`enamelwright.learning.worth_recording.HOW_FAR`.
    lots : tuple of LotLearned
        Where it was fired from several.
    """

    jar: str
    firings: int
    less: float
    likely: float
    more: float
    how_far: str
    lots: tuple[LotLearned, ...] = ()

    @property
    def words(self) -> str:
        """How much more or less time, in words."""
        return time_words(self.less, self.likely, self.more)


@dataclass(frozen=True)
class KilnDay:
    """When a coat would have glossed on one day: 5 %, likely, 95 % [s]."""

    day: date
    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class KilnMove:
    """One drift between two changes of a kiln, or the step at one of them.

    Attributes
    ----------
    moved : Moved
        By how much, and between which days.
    why : str
        What was done at a change; empty where nobody wrote it down, and for a drift.
    """

    moved: Moved
    why: str = ""

    @property
    def words(self) -> str:
        """By how many kelvin, in one sentence a maker understands."""
        one = self.moved
        first, last = (date.fromordinal(int(day)) for day in (one.first, one.last))
        till = f"{last.day} {last:%B}"
        if one.step:
            when, how = f"On {till} ({self.why or 'nobody wrote down why'})", "it became"
        else:
            since = f"{first.day}" + (f" {first:%B}" if first.month != last.month else "")
            when, how = f"From {since} to {till}", "it came to run"
        if not one.told:
            what = "step" if one.step else "drift"
            return f"{when} no {what} is told ({_kelvin(one.low)} to {_kelvin(one.high)} at the same display)."
        low, high = sorted((abs(one.low), abs(one.high)))
        sense = "hotter" if one.likely > 0 else "colder"
        return f"{when} {how} about {abs(one.likely):.0f} K {sense} at the same display ({low:.0f} to {high:.0f} K)."


def _kelvin(kelvin: float) -> str:
    return f"{abs(kelvin):.0f} K {'hotter' if kelvin > 0 else 'colder'}" if isfinite(kelvin) else "anything"


@dataclass(frozen=True)
class KilnLearned:
    """What is known of one kiln.

    Attributes
    ----------
    kiln : str
        Name.
    firings : int
        It stands on.
    less, likely, more : float
        As in :class:`JarLearned`, over the jars fired in it.
    anchored : bool
        Whether its display was ever checked.
    jar : str
        Jar the days are told of: the one fired most.
    days : tuple of KilnDay
        In order.
    changed : tuple of date
        When somebody changed it, or when the record shows a jump.
    found : tuple of date
        Jumps nobody told of.
    odd : tuple of OddLoad
        Loads that stand far off the others, the furthest first: number, and in ready words the likeliest reason.
    jars : tuple of JarLearned
        The best known first.
    next_record : tuple of str
        Codes of jars of which a timed first gloss would teach most.
    alike : tuple of (str, int)
        Jars of which all firings came out alike and none was timed, and how many those are: they teach little.
    moves : tuple of KilnMove
        Its drifts and steps in kelvin, in order; empty where no kelvin can be told.
    """

    kiln: str
    firings: int
    less: float
    likely: float
    more: float
    anchored: bool
    jar: str
    days: tuple[KilnDay, ...]
    changed: tuple[date, ...]
    found: tuple[date, ...]
    odd: tuple[OddLoad, ...]
    jars: tuple[JarLearned, ...]
    next_record: tuple[str, ...]
    alike: tuple[tuple[str, int], ...]
    moves: tuple[KilnMove, ...] = ()

    @property
    def jars_known(self) -> tuple[tuple[str, int], ...]:
        """How many of its jars are known how far, the best known first."""
        count = Counter(one.how_far for one in self.jars)
        return tuple((far, count[far]) for far in HOW_FAR if count[far])

    @property
    def words(self) -> str:
        """How much more or less time coats need here, in words."""
        return time_words(self.less, self.likely, self.more)

    @property
    def moved(self) -> str:
        """How the kiln has moved since its first day, in one sentence; empty with one day."""
        if len(self.days) < 2:
            return ""
        first, last = self.days[0], self.days[-1]
        furthest = max(self.days, key=lambda one: abs(one.likely - first.likely))
        told = [first] + ([furthest] if furthest not in (first, last) else []) + [last]
        times = ", ".join(f"{round(one.likely)} s on {one.day.day} {one.day:%B}" for one in told)
        return f"A coat of {self.jar} would have glossed after {times}."


def time_words(less: float, likely: float, more: float) -> str:
    """Say a ratio of times in words, as they go before "as": ``2.2 times as long (1.6 to 3.1)``.

    Parameters
    ----------
    less, likely, more : float
        5 %, likely and 95 %.
    """
    band = f"{less:.1f} to {more:.1f}"
    if abs(likely - 1) < SAME_TIME:
        return f"about as long ({band} times)"
    return f"{likely:.1f} times as long ({band})"


def kilns_learned(studio: Studio, learned: Learned) -> list[KilnLearned]:
    """Say what is known of every kiln that was fired, the one fired last first.

    Parameters
    ----------
    studio : Studio
        The studio.
    learned : Learned
        Of :func:`enamelwright.workshop.learned_clocks.learn`.
    """
    known = learned.clock
    if known is None:
        return []
    today = day_of(studio.now())
    shelf = _shelf(studio)
    with studio.reading() as connection:
        every = connection.execute(select(lot_table.c.id, lot_table.c.label))
        labels = {lot_key(row.id): str(row.label) for row in every}
    found = []
    for kiln in sorted(known.last_day, key=lambda name: -known.last_day[name][1]):
        records = [one for one in learned.records if one.kiln == kiln]
        told = [
            JarLearned(
                clock.jar, clock.firings, *_ratios(known, records, kiln, clock.jar, today),
                how_far(known, kiln, clock.jar, number("repeat_sd"), _latest(records, clock.jar), today),
                _lots(known, labels, records, clock.jar),
            )
            for clock in learned.clocks
            if clock.kiln == kiln and clock.jar != ANY_JAR and not (clock.coat or clock.lot)
        ]  # fmt: skip
        if not told:  # whatever was fired in it is not what was foretold
            continue
        most = max(told, key=lambda one: one.firings)
        events = [one for one in kiln_events(studio, kiln) if one.new_epoch]
        worth = worth_recording(known, kiln, shelf, number("repeat_sd"), today)
        jumps = tuple(date.fromordinal(int(day)) for name, day in known.jumps if name == kiln)
        found.append(
            KilnLearned(
                kiln=kiln, firings=len(records), less=median(one.less for one in told),
                likely=median(one.likely for one in told), more=median(one.more for one in told),
                anchored=bool(anchors(studio, kiln)), jar=most.jar, days=_days(known, records, kiln, most.jar),
                changed=tuple(sorted({*(date.fromisoformat(one.at[:10]) for one in events), *jumps})), found=jumps,
                odd=odd_loads(studio, known, learned.records, kiln),
                jars=tuple(sorted(told, key=lambda one: -one.firings)),
                next_record=tuple(one.jar for one in worth[:MOST_NEXT]), alike=_alike(records),
                moves=_moves(studio, known, kiln, _coats(records, most.jar), events),
            )
        )  # fmt: skip
    return found


def _moves(
    studio: Studio, known: KilnClock, kiln: str, coats: list[Melting], events: Sequence[Row[Any]]
) -> tuple[KilnMove, ...]:
    """Return drifts and steps, told in kelvin by the glass of the jar that was fired most, at its usual setting."""
    try:
        melt = melt_of(bench(studio).model_copy(update={"learned_clocks": ()}).jar(coats[-1].jar))
    except EnamelwrightError:
        return ()
    at = melt.stated + fmean(one.hotter for one in coats)
    slope = float(melt.law.log_viscosity(at - BESIDE) - melt.law.log_viscosity(at + BESIDE)) / (2 * BESIDE)
    spread = hypot(known.spreads.heat, known.spreads.heat_jar)
    what = {date.fromisoformat(one.at[:10]): one.what for one in reversed(events)}
    found = []
    for one in moves_of(known, kiln, slope, spread):
        days = (date.fromordinal(int(day)) for day in (one.last, one.first))
        after, before = next(days), next(days)
        done = [words for day, words in what.items() if before <= day <= after]
        found.append(KilnMove(one, done[-1] if one.step and done else ""))
    return tuple(found)


def _latest(records: list[StageRecord], jar: str) -> list[tuple[str, Melting]]:
    """Return the newest coat of each likeness of a jar, with the kind of its piece."""
    newest = {
        coat.coat: (one.kind, coat) for one in records for coat in one.melting if coat.jar == jar
    }  # fmt: skip
    return list(newest.values())


def _alike(records: list[StageRecord]) -> tuple[tuple[str, int], ...]:
    """Return jars of which many firings all ended at one stage, none timed, with their number."""
    mine: dict[str, list[StageRecord]] = {}
    for one in records:
        for jar in one.jars:
            mine.setdefault(jar, []).append(one)
    return tuple(
        (jar, len(found))
        for jar, found in sorted(mine.items())
        if len(found) >= MANY_ALIKE
        and len({one.stage for one in found}) == 1
        and all(one.to_gloss is None for one in found)
    )


def _ratios(
    known: KilnClock, records: list[StageRecord], kiln: str, jar: str, today: float
) -> tuple[float, float, float]:
    """Return the time to gloss over that of a window without the record, by the jar's own firings."""
    coats = _coats(records, jar)
    needed = known.needed(kiln, jar, "", today)
    hotter, law = fmean(one.hotter for one in coats), fmean(one.law for one in coats)
    plain = [one.foretold for one in coats]
    times = [needed.seconds(one, hotter, law) for one in plain]
    low, likely, high = (
        median(mine[end] / one.seconds_at(-one.learned) for mine, one in zip(times, plain, strict=True))
        for end in range(3)
    )
    return low, likely, high


def _lots(known: KilnClock, labels: Mapping[str, str], records: list[StageRecord], jar: str) -> tuple[LotLearned, ...]:
    """Return how much longer each lot of a jar takes than the jar at large, by the jar's own firings."""
    from scipy.special import ndtri

    coats = _coats(records, jar)
    found = []
    for lot in known.lots(jar):
        mean, sd, _ = known.part(lot_name(jar, lot))
        reach = float(ndtri(0.95)) * sd
        ends = (
            median(one.foretold.seconds_at(off) / one.foretold.seconds_at(0.0) for one in coats)
            for off in (mean - reach, mean, mean + reach)
        )
        found.append(LotLearned(labels.get(lot, f"lot {lot}"), *ends))
    return tuple(found)


def _days(known: KilnClock, records: list[StageRecord], kiln: str, jar: str) -> tuple[KilnDay, ...]:
    """Return when a coat of one jar would have glossed on each day the kiln was fired."""
    coat = _coats(records, jar)[-1]
    found = []
    for day in sorted({one.day for one in records}):
        low, likely, high = known.needed(kiln, jar, "", day).seconds(coat.foretold, coat.hotter, coat.law)
        found.append(KilnDay(date.fromordinal(int(day)), low, likely, high))
    return tuple(found)


def _coats(records: list[StageRecord], jar: str) -> list[Melting]:
    """Return every coat of a jar that melted in them, in order."""
    return [coat for one in records for coat in one.melting if coat.jar == jar]


def _shelf(studio: Studio) -> dict[str, float]:
    """Return the jars of the shelf with the spread of one that was never fired [decades]."""
    plain = bench(studio).model_copy(update={"learned_clocks": ()})
    found = {}
    for row in jars(studio):
        try:
            found[row.code] = melt_of(plain.jar(row.code)).sd
        except EnamelwrightError:
            found[row.code] = spreads().kiln
    return found
