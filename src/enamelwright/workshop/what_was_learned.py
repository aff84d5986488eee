"""What the firings have taught, in words of the bench: how much time a coat needs here, since when, and what next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from statistics import fmean, median

from enamelwright.craft.learned_clock import ANY_JAR
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.fusing import melt_of
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.stage_records import Melting, StageRecord
from enamelwright.learning.worth_recording import how_far, worth_recording
from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kilns import anchors, kiln_events
from enamelwright.workshop.learning import Learned, day_of, spreads
from enamelwright.workshop.studio import Studio

#: Times differing by less than this share are told as the same.
SAME_TIME = 0.05
#: 5 and 95 % of a normal spread, in standard deviations.
REACH = 1.645
#: A record this many standard deviations off stands out.
ODD = 3.0
#: Jars that are named as worth a record.
MOST_NEXT = 3
#: Firings that came out alike and untimed, from which it is said that they teach little.
MANY_ALIKE = 5


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
        ``learned``, ``partly learned`` or ``not yet learned``.
    """

    jar: str
    firings: int
    less: float
    likely: float
    more: float
    how_far: str

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
    odd : tuple of str
        Numbers of loads that stand far off the others.
    jars : tuple of JarLearned
        The best known first.
    next_record : tuple of str
        Codes of jars of which a timed first gloss would teach most.
    alike : tuple of (str, int)
        Jars of which all firings came out alike and none was timed, and how many those are: they teach little.
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
    odd: tuple[str, ...]
    jars: tuple[JarLearned, ...]
    next_record: tuple[str, ...]
    alike: tuple[tuple[str, int], ...]

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
    """Say a ratio of times in words.

    Parameters
    ----------
    less, likely, more : float
        5 %, likely and 95 %.
    """
    low, high = (round(100 * (one - 1)) for one in (less, more))
    if abs(likely - 1) < SAME_TIME:
        return f"about the time it takes ({low:+d} to {high:+d} %)"
    more_or_less = "more" if likely > 1 else "less"
    middle = round(100 * abs(likely - 1))
    if low < 0 < high:
        return f"about {middle} % {more_or_less} time ({low:+d} to {high:+d} %)"
    ends = sorted((abs(low), abs(high)))
    return f"about {middle} % {more_or_less} time ({ends[0]} to {ends[1]} %)"


def kilns_learned(studio: Studio, learned: Learned) -> list[KilnLearned]:
    """Say what is known of every kiln that was fired, the one fired last first.

    Parameters
    ----------
    studio : Studio
        The studio.
    learned : Learned
        Of :func:`enamelwright.workshop.learning.learn`.
    """
    known = learned.clock
    if known is None:
        return []
    today = day_of(studio.now())
    shelf = _shelf(studio)
    numbers = _load_numbers(studio)
    found = []
    for kiln in sorted(known.last_day, key=lambda name: -known.last_day[name][1]):
        records = [one for one in learned.records if one.kiln == kiln]
        told = [
            JarLearned(
                clock.jar, clock.firings, *_ratios(known, records, kiln, clock.jar, today),
                how_far(known, kiln, clock.jar, today),
            )
            for clock in learned.clocks if clock.kiln == kiln and clock.jar != ANY_JAR and not clock.coat
        ]  # fmt: skip
        if not told:  # whatever was fired in it is not what was foretold
            continue
        most = max(told, key=lambda one: one.firings)
        events = [one for one in kiln_events(studio, kiln) if one.new_epoch]
        worth = worth_recording(known, kiln, shelf, number("repeat_sd"), today)
        odd = tuple(dict.fromkeys(numbers[n] for n, off in known.surprises if abs(off) > ODD and n in numbers))
        jumps = tuple(date.fromordinal(int(day)) for name, day in known.jumps if name == kiln)
        found.append(
            KilnLearned(
                kiln=kiln, firings=len(records), less=median(one.less for one in told),
                likely=median(one.likely for one in told), more=median(one.more for one in told),
                anchored=bool(anchors(studio, kiln)), jar=most.jar, days=_days(known, records, kiln, most.jar),
                changed=tuple(sorted({*(date.fromisoformat(one.at[:10]) for one in events), *jumps})), found=jumps,
                odd=tuple(number for number in odd if number in {numbers.get(one.record) for one in records}),
                jars=tuple(sorted(told, key=lambda one: -one.firings)),
                next_record=tuple(one.jar for one in worth[:MOST_NEXT]), alike=_alike(records),
            )
        )  # fmt: skip
    return found


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
    mean, sd = needed.at(fmean(one.hotter for one in coats), fmean(one.law for one in coats))
    mine = [one.foretold for one in coats]
    ends = [
        median(one.seconds_at(shift - one.learned) / one.seconds_at(-one.learned) for one in mine)
        for shift in (mean - REACH * sd, mean, mean + REACH * sd)
    ]
    return ends[0], ends[1], ends[2]


def _days(known: KilnClock, records: list[StageRecord], kiln: str, jar: str) -> tuple[KilnDay, ...]:
    """Return when a coat of one jar would have glossed on each day the kiln was fired."""
    coat = _coats(records, jar)[-1]
    last = coat.foretold
    found = []
    for day in sorted({one.day for one in records}):
        mean, sd = known.together(kiln, jar, "", day, hotter=coat.hotter, law=coat.law)
        low, likely, high = (
            last.seconds_at(shift - last.learned) for shift in (mean - REACH * sd, mean, mean + REACH * sd)
        )
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


def _load_numbers(studio: Studio) -> dict[int, str]:
    from sqlalchemy import select

    from enamelwright.records.schema.loads import load

    with studio.reading() as connection:
        return {row.id: row.number for row in connection.execute(select(load.c.id, load.c.number))}
