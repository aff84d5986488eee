"""Loads that stand far off the others of their kiln, each with the likeliest reason where the record tells one.

Reasons are tried in the order in which a bench finds them: a slip of the pen, a kiln that had not come back, a
thermocouple that moved, another jar. None is more than a hint: whoever was there decides.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import log
from typing import Any

from sqlalchemy import Row

from enamelwright import units
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.stage_records import ORDER, Melting, StageRecord
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.writing import current
from enamelwright.workshop.pauses import known_by_day, pauses
from enamelwright.workshop.studio import Studio

#: A record this many standard deviations off stands out.
ODD = 3.0
#: So many times sooner or later than likely stands out too, however badly so short a time can be read (judgement).
FAR = 3.0
#: A kiln entered so soon after the load before is taken for one that had not come back [s] (judgement).
COLD = 180.0
#: Settings that differ by no more are taken for the same [K] (judgement).
SAME_HEAT = 10.0
#: A time fits where it lies within the band, or this share beside it (judgement).
BESIDE = 0.1
#: Loads of the days after that are asked whether they stand off to the same side, how far at least in standard
#: deviations, how many at least, and which share of them (judgement).
AFTER_DAYS, AFTER_OFF, AFTER_FEWEST, AFTER_SHARE = 14.0, 1.0, 2, 2 / 3
#: Reasons that are told of one load.
MOST = 2
#: What to do where nothing speaks for one reason.
LOOK = "Look whether the stage or the time is written wrongly."
#: Where the setting is so far off that a coat would take longer than any firing of a bench lasts [s] (judgement).
TOO_LONG, LOOK_AT_SETTING = units.parse("6 h", "time"), "Look whether the setting is written wrongly."
#: Slips of the pen: by what the time would have to be multiplied, and how that is told.
_MINUTE = units.parse("1 min", "time")
_SLIPS = (
    (10.0, "a digit is missing: {right} would fit"),
    (1 / 10.0, "a digit is too many: {right} would fit"),
    (_MINUTE, "minutes were written down as seconds: {as_is:g} min would fit"),
    (1 / _MINUTE, "seconds were written down as minutes: {right} would fit"),
)


@dataclass(frozen=True)
class OddLoad:
    """A load that stands far off the others.

    Attributes
    ----------
    number : str
        Of the load; also what it is as text.
    words : str
        What was seen against what was likely, and the likeliest reasons, in ready sentences.
    """

    number: str
    words: str

    def __str__(self) -> str:
        """Return the number."""
        return self.number


@dataclass(frozen=True)
class _Window:
    """When a coat, or the last of several, is likely to gloss [s]; and its stage between which times."""

    low: float
    likely: float
    high: float
    begins: float
    ends: float

    def holds(self, seconds: float, timed: bool, beside: float = 0.0) -> bool:
        """Whether a first gloss, or else the stage, at that time is likely."""
        low, high = self.low, self.high
        if not timed:
            low, high = self.begins * self.low / self.likely, self.ends * self.high / self.likely
        return low * (1 - beside) <= seconds <= high * (1 + beside)


def odd_loads(studio: Studio, known: KilnClock, records: Sequence[StageRecord], kiln: str) -> tuple[OddLoad, ...]:
    """Return the loads of a kiln that stand far off the others, the furthest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : KilnClock
        What the records say together.
    records : sequence of StageRecord
        All records.
    kiln : str
        Name.
    """
    mine = {one.record: one for one in records if one.kiln == kiln}
    off = {number: gone for number, gone in known.surprises if number in mine}
    worst = [
        mine[number]
        for number, gone in known.surprises
        if number in mine and (abs(gone) > ODD or _far_out(known, mine[number]))
    ]
    if not worst:
        return ()
    with studio.reading() as connection:
        loads = {row.of: row for row in connection.execute(current(load_table))}
        rested = pauses(loads, known_by_day(connection))
    found: dict[str, OddLoad] = {}
    for one in worst:
        row = loads.get(one.load)
        if row is not None and row.number not in found:
            found[row.number] = OddLoad(row.number, _words(known, one, list(mine.values()), off, loads, rested))
    return tuple(found.values())


def _far_out(known: KilnClock, one: StageRecord) -> bool:
    """Whether a first gloss lies far outside of what was likely by its time alone."""
    if one.to_gloss is None:
        return False
    near = one.foretold.seconds_at(-one.foretold.learned)
    if near / FAR**0.5 <= one.to_gloss <= near * FAR**0.5:  # most are, and of those no window is worked out
        return False
    own = _window(known, one, one.melting)
    return not own.low / FAR <= one.to_gloss <= own.high * FAR


def _words(
    known: KilnClock,
    one: StageRecord,
    mine: Sequence[StageRecord],
    off: Mapping[int, float],
    loads: Mapping[int, Row[Any]],
    rested: Mapping[int, float],
) -> str:
    timed = one.to_gloss is not None
    seconds = one.to_gloss or one.seconds or 0.0
    own = _window(known, one, one.melting)
    jars = " with ".join(dict.fromkeys(coat.jar for coat in one.melting))
    seen = f"{jars} glossed at {seconds:.0f} s" if timed else f"{jars} was at {one.stage} after {seconds:.0f} s"
    if own.low > TOO_LONG:
        return f"{seen}; at that setting its first gloss would take hours. {LOOK_AT_SETTING}"
    likely = f"{own.low:.0f} to {own.high:.0f} s was likely" + ("" if timed else " for its first gloss")
    reasons = [
        *_slips(own, seconds, timed),
        *_cold(off[one.record], rested.get(one.load)),
        *_moved(known, one, mine, off),
        *_another_jar(known, one, mine, own, loads),
    ]
    if not reasons:
        return f"{seen}; {likely}. {LOOK}"
    first, *others = reasons[:MOST]
    return " ".join((f"{seen}; {likely}. Most likely {first}.", *(f"Or {other}." for other in others)))


def _slips(own: _Window, seconds: float, timed: bool) -> list[str]:
    if own.holds(seconds, timed, BESIDE):
        return []
    return [
        words.format(right=f"{seconds * factor:.0f} s", as_is=seconds)
        for factor, words in _SLIPS
        if own.holds(seconds * factor, timed, BESIDE)
    ]


def _cold(off: float, rested: float | None) -> list[str]:
    """Return a kiln that had not come back, where the load went in soon and was late."""
    if rested is None or rested > COLD or off < 0:
        return []
    minutes = round(rested / _MINUTE)
    when = "less than a minute" if rested < _MINUTE / 2 else f"{minutes} min"
    return [f"the kiln had not come back: it went in {when} after the load before came out"]


def _moved(known: KilnClock, one: StageRecord, mine: Iterable[StageRecord], off: Mapping[int, float]) -> list[str]:
    """Return a thermocouple that moved, where what came after stands off to the same side."""
    if any(kiln == one.kiln and abs(day - one.day) <= 1 for kiln, day in known.jumps):
        return ["the thermocouple moved: from about that day on all of them jump"]
    after = [
        off[other.record]
        for other in mine
        if other.load != one.load and 0 <= other.day - one.day <= AFTER_DAYS and other.record > one.record
    ]
    same = [gone for gone in after if gone * off[one.record] > 0 and abs(gone) > AFTER_OFF]
    if len(same) < AFTER_FEWEST or len(same) < AFTER_SHARE * len(after):
        return []
    return ["the thermocouple moved: the loads after it stand off to the same side"]


def _another_jar(
    known: KilnClock, one: StageRecord, mine: Sequence[StageRecord], own: _Window, loads: Mapping[int, Row[Any]]
) -> list[str]:
    """Return the jars whose usual time at this setting fits, the nearest first."""
    timed = one.to_gloss is not None
    seconds = one.to_gloss or one.seconds or 0.0
    if own.holds(seconds, timed) or len(one.melting) > 1:
        return []
    found: dict[str, tuple[float, str]] = {}
    for other in mine:
        if other.load == one.load or len(other.melting) > 1 or other.jar in one.jars or not _as_hot(one, other, loads):
            continue
        window = _window(known, one, other.melting, as_fired=other)
        if window.holds(seconds, timed):
            gone = abs(log(seconds / window.likely))
            told = f"it was {other.jar}, which glosses at about {window.likely:.0f} s here"
            if other.jar not in found or gone < found[other.jar][0]:
                found[other.jar] = (gone, told)
    return [told for _, told in sorted(found.values())]


def _as_hot(one: StageRecord, other: StageRecord, loads: Mapping[int, Row[Any]]) -> bool:
    heats = [loads[each.load].set_point if each.load in loads else None for each in (one, other)]
    if heats[0] is None or heats[1] is None:
        return False
    return bool(abs(heats[0] - heats[1]) <= SAME_HEAT)


def _window(
    known: KilnClock, one: StageRecord, coats: Sequence[Melting], as_fired: StageRecord | None = None
) -> _Window:
    """Return when coats would be seen as the record says, in its kiln on its day; of several the last glosses."""
    told = as_fired or one
    found = []
    for coat in coats:
        needed = known.needed(one.kiln, coat.jar, coat.kind or told.kind, one.day, coat.coat, lot=coat.lot or None)
        low, likely, high = needed.seconds(
            coat.foretold, hotter=coat.hotter, law=coat.law, others=told.others, scatter=known.spreads.repeat,
            eye=known.spreads.eye,
        )  # fmt: skip
        begins, ends = 0.0, float("inf")
        if one.stage:
            shift = coat.foretold.clock_at(likely, needed.pace)  # where the clock stands at gloss
            at = ORDER.index(one.stage)
            marks = coat.foretold.marks
            gloss = marks[ORDER.index("gloss") - 1]
            begins = coat.foretold.seconds_at(shift + marks[at - 1] - gloss, needed.pace) if at else 0.0
            ends = coat.foretold.seconds_at(shift + marks[at] - gloss, needed.pace) if at < len(marks) else float("inf")
        found.append(_Window(low, likely, high, begins, ends))
    return max(found, key=lambda window: window.likely)
