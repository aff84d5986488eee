"""What the firings of a record teach of kilns and jars, as windows use it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

import numpy as np
from sqlalchemy import func, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.learned_clock import ANY_JAR, AXES, MOST_DECADES, MOST_OPEN, MOST_OTHERS, LearnedClock
from enamelwright.craft.window.facts import band_sd, number
from enamelwright.craft.window.gloss_spread import unfired_sd
from enamelwright.craft.window.likeness import law_all_sd
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.habit import Habit, habit
from enamelwright.learning.kiln_clock import KilnClock, Needed
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import Melting, StageRecord
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.writing import current
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.bench import bench
from enamelwright.workshop.firing_records import day_of, stage_records
from enamelwright.workshop.learned_hands import uneven
from enamelwright.workshop.studio import Studio

#: A record so many standard deviations off tells nothing of the hand.
WRONG_BY = 3.0
#: No hand pulls its pieces at random over more than that [decades].
MOST_PULLED = 1.0
#: What stays open of a clock however steady a record is [decades].
LEAST_OPEN = 0.03
#: Seconds of a day.
DAY = 86400.0
#: Decimals of what is kept, and of covariances, which are small.
KEPT, FINE = 4, 9
#: Why firings of a jar teach nothing when most of them are far from anything foretold.
STRANGE = "not the jar, the kiln or the start that was foretold"


@dataclass(frozen=True)
class Learned:
    """What came out.

    Attributes
    ----------
    clock : KilnClock or None
        None while no firing teaches anything.
    clocks : tuple of LearnedClock
        One a kiln and jar, as windows use them, and one a kiln for the jars never fired in it.
    records : tuple of StageRecord
        What it stands on.
    left_out : dict of str to int
        Why firings were left out, and how many.
    """

    clock: KilnClock | None
    clocks: tuple[LearnedClock, ...]
    records: tuple[StageRecord, ...]
    left_out: dict[str, int]


def spreads() -> Spreads:
    """Return what is taken of every spread before a record speaks."""
    facts = facts_of("heat/learning")
    names = (
        "kiln",
        "drift",
        "trend",
        "pace",
        "kind",
        "eye",
        "lapse",
        "jump",
        "haste",
        "early",
        "heat",
        "heat_jar",
        "last",
        "last_of_load",
        "lot",
    )
    return Spreads(
        **{name: facts[f"heat/learn_{name}"].value for name in names},
        repeat=number("repeat_sd"), law=law_all_sd(), rest=facts["heat/learn_rest"].value / DAY,
    )  # fmt: skip


def learn(studio: Studio) -> Learned:
    """Work out what the firings of this studio teach; reads only.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading():
        plain = bench(studio).model_copy(update={"learned_clocks": ()})
        records, left_out = stage_records(studio)
        epochs = kiln_epochs(studio)
        today = day_of(studio.now())
    if not records:
        return Learned(None, (), (), left_out)
    jar_sd = {code: _first_spread(plain, code) for code in {jar for one in records for jar in one.jars}}
    known = kiln_clock(records, jar_sd, spreads())
    clocks: list[LearnedClock] = []
    pulls = pulled_after(records, known)
    for kiln in sorted({one.kiln for one in records}):
        mine = [one for one in records if one.kiln == kiln]
        believed = []
        for jar in sorted({jar for one in mine for jar in one.jars}):
            if not known.strange(records, kiln, jar):
                believed.append(jar)
        if believed:
            fired = [one for one in mine if one.jars & set(believed)]
            clocks += _clocks_of(known, kiln, fired, believed, (today, epochs.get(kiln, 0)), pulls)
        told = {one.jar for one in clocks if one.kiln == kiln}
        for jar in {jar for one in mine for jar in one.jars} - told:
            left_out[STRANGE] = left_out.get(STRANGE, 0) + sum(jar in one.jars for one in mine)
    return Learned(known, tuple(clocks), tuple(records), left_out)


def _clocks_of(
    known: KilnClock,
    kiln: str,
    records: list[StageRecord],
    jars: list[str],
    now: tuple[float, int],
    pulls: Habit | None,
) -> list[LearnedClock]:
    """Return what is known of one kiln on a day and after so many changes: of jars, of coats fired, and of any jar."""
    today, epoch = now
    fired = [(one, coat) for one in records for coat in one.melting if coat.jar in jars]
    by_jar = {jar: [pair for pair in fired if pair[1].jar == jar] for jar in jars}
    shared = _shared(known, kiln, by_jar, now)
    # What a window adds of its own is left out here: the kind of piece is not known, the hand scatters once more.
    open_still = {"kind": known.spreads.kind**2, "hand": known.spreads.repeat**2}
    found: list[LearnedClock | None] = []
    for jar, mine in by_jar.items():
        for lot in (None, *known.lots(jar)):
            needed = known.needed(kiln, jar, "", today, epoch=epoch, lot=lot)
            of_lot = [pair for pair in mine if lot in (None, pair[1].lot)]
            found.append(
                _clock(needed, kiln, jar, of_lot or mine, sum(open_still.values()), shared[jar], pulls, lot=lot)
            )
    for name in sorted({coat.coat for _, coat in fired if f"coat {coat.coat}" in known.names}):
        mine = [pair for pair in fired if pair[1].coat == name]
        jar, kind = mine[-1][1].jar, _most_often([coat.kind or one.kind for one, coat in mine])
        for lot in (None, *known.lots(jar)):
            needed = known.needed(kiln, jar, kind, today, name, epoch, lot)
            found.append(_clock(needed, kiln, jar, mine, open_still["hand"], shared[jar], pulls, name, lot))
    needed = known.needed(kiln, None, "", today, epoch=epoch)
    found.append(_clock(needed, kiln, ANY_JAR, fired, sum(open_still.values()), max(shared.values()), pulls))
    return [one for one in found if one is not None]


def _clock(
    needed: Needed, kiln: str, jar: str, fired: list[tuple[StageRecord, Melting]], more: float, shared: float,
    pulls: Habit | None, coat: str = "", lot: str | None = None,
) -> LearnedClock | None:  # fmt: skip
    """Return one clock as it is kept, told at the middle of the settings and coats it was learned from.

    None where that is so far from anything foretold, or so open, that no window can be told by it.
    """
    hotter, law = fmean(one.hotter for _, one in fired), fmean(one.law for _, one in fired)
    to_middle = np.eye(len(needed.mean))
    others = fmean(min(one.others, MOST_OTHERS) for one, _ in fired)
    to_middle[0, 1:4] = hotter, law, others
    mean, covariance = to_middle @ needed.mean, to_middle @ needed.covariance @ to_middle.T
    sd = max(float(covariance[0, 0]) + more, LEAST_OPEN**2) ** 0.5
    if abs(mean[0]) > MOST_DECADES or sd > MOST_OPEN:
        return None
    return LearnedClock(
        kiln=kiln, jar=jar, decades=round(float(mean[0]), KEPT), sd=round(sd, KEPT),
        firings=len({one.load or one.record for one, _ in fired}), coat=coat, lot=lot or "", hotter=round(hotter, 1),
        law=round(law, KEPT), others=round(others, 1), by_heat=round(float(mean[1]), KEPT + 2),
        by_law=round(float(mean[2]), KEPT), by_others=round(float(mean[3]), KEPT), pace=round(needed.pace, KEPT),
        spread=tuple(round(float(one), FINE) for one in covariance[np.triu_indices(AXES)][1:]),
        shared=round(shared, KEPT), done=None if pulls is None else round(max(pulls.mean, 0.0), KEPT),
        done_sd=0.0 if pulls is None else round(min(pulls.sd, MOST_PULLED), KEPT),
    )  # fmt: skip


def _shared(
    known: KilnClock, kiln: str, by_jar: Mapping[str, list[tuple[StageRecord, Melting]]], now: tuple[float, int]
) -> dict[str, float]:
    """Return how much of what is not known of each jar it shares with the others in this kiln [decades].

    That is the kiln of today, as far as the jars do not make up for it: their covariance, on the average.
    """
    of_kiln, wandered = known.kiln_row(kiln, *now)
    place = {name: k for k, name in enumerate(known.names)}
    rows = np.tile(of_kiln, (len(by_jar), 1))
    for row, jar in zip(rows, by_jar, strict=True):
        row[[place[name] for name in (f"jar {jar}",) if name in place]] += 1.0
    both = rows @ known.covariance @ rows.T
    others = max(len(both) - 1, 1)
    common = (both.sum(axis=1) - np.diag(both)) / others
    return {jar: float(max(one, 0.0) + wandered) ** 0.5 for jar, one in zip(by_jar, common, strict=True)}


def _most_often(kinds: list[str]) -> str:
    """Return the kind of piece fired most often, the latest of them."""
    return max(kinds, key=lambda kind: (kinds.count(kind), max(k for k, one in enumerate(kinds) if one == kind)))


def kiln_epochs(studio: Studio) -> dict[str, int]:
    """Return how often each kiln has been changed so that what its firings taught no longer holds for sure, by name.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    changed = current(kiln_event).where(kiln_event.c.new_epoch == True).subquery()  # noqa: E712 - SQL
    asked = select(kiln_table.c.name, func.count()).join(changed, changed.c.kiln == kiln_table.c.id)
    with studio.reading() as connection:
        return {name: int(count) for name, count in connection.execute(asked.group_by(kiln_table.c.name))}


def pulled_after(records: Sequence[StageRecord], known: KilnClock) -> Habit | None:
    """Return how long after the first gloss pieces are taken out here [decades]; None where no record tells.

    When a coat is done is for its maker to say. A record that tells both times tells it, unless it stands far off, and
    what makers at large do counts as little as a few such records. Where both times are one and the same, only one of
    them was noted.

    Parameters
    ----------
    records : sequence of StageRecord
        In order.
    known : KilnClock
        How fast their kilns heat up.
    """
    off = dict(known.surprises)

    def risen(one: StageRecord, first: float, last: float) -> float:
        pace = known.pace(one.kiln)
        return fmean(coat.foretold.clock_at(last, pace) - coat.foretold.clock_at(first, pace) for coat in one.melting)

    told = [
        risen(one, one.to_gloss, one.seconds)
        for one in records
        if one.aimed == one.stage == "gloss"
        and one.seconds
        and one.to_gloss
        and one.seconds > one.to_gloss
        and abs(off.get(one.record, 0.0)) < WRONG_BY
    ]
    if not told:
        return None
    scatter = facts_of("heat/learning")["heat/learn_pull_scatter"].value
    return habit(told, number("done_decades"), band_sd("done_decades"), scatter, uneven())


def _first_spread(plain: Bench, code: str) -> float:
    try:
        return unfired_sd(plain.jar(code))
    except EnamelwrightError:
        return number("gloss_sd_unknown")
