"""What the record has taught of kilns and jars, kept so that the next window goes by it.

It is worked out anew from all firings whenever asked, and what comes out replaces what was there: nothing that happened
depends on it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import exp
from statistics import fmean
from typing import Any, Literal

import numpy as np
from sqlalchemy import Row, delete, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.craft.learned_clock import ANY_JAR, LearnedClock
from enamelwright.craft.window.facts import band_sd, number
from enamelwright.craft.window.gloss_spread import unfired_sd
from enamelwright.craft.window.likeness import law_all_sd
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.learning.habit import Habit, habit
from enamelwright.learning.kiln_clock import KilnClock, Needed
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.several_coats import MOST_COATS
from enamelwright.learning.stage_records import ORDER, Foretold, Melting, Stage, StageRecord
from enamelwright.questions.question import engine
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.learned import posterior
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.writing import current, first_of
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.bench import bench
from enamelwright.workshop.kept_learned import BOW, GLOSS_CLOCK, HAND, Taught, kept_bows, kept_clocks, kept_hands
from enamelwright.workshop.learned_bows import learned_bows
from enamelwright.workshop.learned_hands import learned_hands
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.studio import Studio

#: Stages as they are learned from: clear glass is glossy glass.
_STAGES: dict[str, Stage | Literal[""]] = {**{one: one for one in ORDER}, "cleared": "gloss"}


#: What stays open of a clock however steady a record is [decades].
LEAST_OPEN = 0.03
#: Seconds of a day.
DAY = 86400.0
#: Decimals of what is kept, and of covariances, which are small.
KEPT, FINE = 4, 9


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
    names = ("kiln", "drift", "kind", "eye", "lapse", "jump", "haste", "early", "heat", "heat_jar", "last")
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
        today = day_of(studio.now())
    if not records:
        return Learned(None, (), (), left_out)
    jar_sd = {code: _first_spread(plain, code) for code in {jar for one in records for jar in one.jars}}
    known = kiln_clock(records, jar_sd, spreads())
    clocks: list[LearnedClock] = []
    pulls = pulled_after(records)
    for kiln in sorted({one.kiln for one in records}):
        mine = [one for one in records if one.kiln == kiln]
        believed = []
        for jar in sorted({jar for one in mine for jar in one.jars}):
            if known.strange(records, kiln, jar):
                left_out[STRANGE] = left_out.get(STRANGE, 0) + sum(jar in one.jars for one in mine)
            else:
                believed.append(jar)
        if believed:
            clocks += _clocks_of(known, kiln, [one for one in mine if one.jars & set(believed)], believed, today, pulls)
    return Learned(known, tuple(clocks), tuple(records), left_out)


def _clocks_of(
    known: KilnClock, kiln: str, records: list[StageRecord], jars: list[str], today: float, pulls: Habit | None
) -> list[LearnedClock]:
    """Return what is known of one kiln: of each jar, of each coat that was fired, and of any jar."""
    fired = [(one, coat) for one in records for coat in one.melting if coat.jar in jars]
    by_jar = {jar: [pair for pair in fired if pair[1].jar == jar] for jar in jars}
    shared = _shared(known, kiln, by_jar, today)
    # What a window adds of its own is left out here: the kind of piece is not known, the hand scatters once more.
    open_still = {"kind": known.spreads.kind**2, "hand": known.spreads.repeat**2}
    found = []
    for jar, mine in by_jar.items():
        needed = known.needed(kiln, jar, "", today)
        found.append(_clock(needed, kiln, jar, mine, sum(open_still.values()), shared[jar], pulls))
    for name in sorted({coat.coat for _, coat in fired if f"coat {coat.coat}" in known.names}):
        mine = [pair for pair in fired if pair[1].coat == name]
        jar = mine[-1][1].jar
        needed = known.needed(kiln, jar, mine[-1][0].kind, today, name)
        found.append(_clock(needed, kiln, jar, mine, open_still["hand"], shared[jar], pulls, name))
    needed = known.needed(kiln, None, "", today)
    found.append(_clock(needed, kiln, ANY_JAR, fired, sum(open_still.values()), max(shared.values()), pulls))
    return found


def _clock(
    needed: Needed, kiln: str, jar: str, fired: list[tuple[StageRecord, Melting]], more: float, shared: float,
    pulls: Habit | None, coat: str = "",
) -> LearnedClock:  # fmt: skip
    """Return one clock as it is kept, told at the middle of the settings and coats it was learned from."""
    hotter, law = fmean(one.hotter for _, one in fired), fmean(one.law for _, one in fired)
    to_middle = np.array([[1.0, hotter, law], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    mean, covariance = to_middle @ needed.mean, to_middle @ needed.covariance @ to_middle.T
    sd = max(float(covariance[0, 0]) + more, LEAST_OPEN**2) ** 0.5
    return LearnedClock(
        kiln=kiln, jar=jar, decades=round(float(mean[0]), KEPT), sd=round(sd, KEPT),
        firings=len({one.record for one, _ in fired}), coat=coat, hotter=round(hotter, 1), law=round(law, KEPT),
        by_heat=round(float(mean[1]), KEPT + 2), by_law=round(float(mean[2]), KEPT),
        spread=tuple(round(float(covariance[at]), FINE) for at in ((0, 1), (0, 2), (1, 1), (1, 2), (2, 2))),
        shared=round(shared, KEPT), done=None if pulls is None else round(max(pulls.mean, 0.0), KEPT),
        done_sd=0.0 if pulls is None else round(pulls.sd, KEPT),
    )  # fmt: skip


def _shared(
    known: KilnClock, kiln: str, by_jar: Mapping[str, list[tuple[StageRecord, Melting]]], today: float
) -> dict[str, float]:
    """Return how much of what is not known of each jar it shares with the others in this kiln [decades].

    That is the kiln of today, as far as the jars do not make up for it: their covariance, on the average.
    """
    at = known.kiln_on(kiln, today)
    idle = known.idle(at, today) if at is not None else 0.0
    place = {name: k for k, name in enumerate(known.names)}
    rows = np.zeros((len(by_jar), len(place)))
    for row, jar in zip(rows, by_jar, strict=True):
        row[[place[name] for name in (f"jar {jar}", at) if name in place]] = 1.0
    both = rows @ known.covariance @ rows.T
    others = max(len(both) - 1, 1)
    common = (both.sum(axis=1) - np.diag(both)) / others
    return {jar: float(max(one, 0.0) + idle) ** 0.5 for jar, one in zip(by_jar, common, strict=True)}


def pulled_after(records: Sequence[StageRecord]) -> Habit | None:
    """Return how long after the first gloss pieces are taken out here [decades]; None where no record tells.

    When a coat is done is for its maker to say. A record that tells both times tells it, and what makers at large do
    counts as little as a few such records. Where both times are one and the same, only one of them was noted.

    Parameters
    ----------
    records : sequence of StageRecord
        In order.
    """
    told = [
        fmean(coat.foretold.clock_at(one.seconds) - coat.foretold.clock_at(one.to_gloss) for coat in one.melting)
        for one in records
        if one.aimed == one.stage == "gloss" and one.seconds and one.to_gloss and one.seconds > one.to_gloss
    ]
    if not told:
        return None
    scatter = facts_of("heat/learning")["heat/learn_pull_scatter"].value
    return habit(told, number("done_decades"), band_sd("done_decades"), scatter)


def relearn(studio: Studio) -> Learned:
    """Learn anew and keep what came out in place of what was there.

    Parameters
    ----------
    studio : Studio
        The studio, not within a transaction of its own.
    """
    found = learn(studio)
    _keep_work(studio)
    if kept_clocks(studio) == found.clocks:
        return found
    with studio.writing() as work:
        kilns = {row.name: row.id for row in work.connection.execute(select(kiln_table.c.name, kiln_table.c.id))}
        jars = {row.code: row.id for row in work.connection.execute(select(jar_table.c.code, jar_table.c.id))}
        work.connection.execute(delete(posterior).where(posterior.c.quantity == GLOSS_CLOCK))
        for one in found.clocks:
            work.derive(
                posterior, engine(), of_table="jar", of_id=jars.get(one.jar), quantity=GLOSS_CLOCK,
                figures={**one.model_dump(), "kiln_row": kilns.get(one.kiln)},
                from_records=[r.record for r in found.records if _stands_on(one, r)],
            )  # fmt: skip
    return found


def _stands_on(clock: LearnedClock, record: StageRecord) -> bool:
    """Whether a clock stands on a record."""
    mine = [one for one in record.melting if clock.jar in (one.jar, ANY_JAR) and clock.coat in (one.coat, "")]
    return clock.kiln == record.kiln and bool(mine)


def _keep_work(studio: Studio) -> None:
    """Keep what strips and weighings teach in place of what they taught."""
    with studio.reading():
        plain = bench(studio).model_copy(update={"learned_bows": (), "learned_hands": ()})
        bows, hands = learned_bows(studio, plain), learned_hands(studio, plain)
    work_kept: tuple[tuple[str, tuple[Described, ...], Taught[Any]], ...] = (
        (BOW, kept_bows(studio), bows), (HAND, kept_hands(studio), hands),
    )  # fmt: skip
    for quantity, before, after in work_kept:
        if before == after.found:
            continue
        with studio.writing() as work:
            work.connection.execute(delete(posterior).where(posterior.c.quantity == quantity))
            for one, records in zip(after.found, after.records, strict=True):
                work.derive(
                    posterior, engine(), of_table=quantity, of_id=None, quantity=quantity, figures=one.model_dump(),
                    from_records=list(records),
                )  # fmt: skip


#: Why firings of a jar teach nothing when most of them are far from anything foretold.
STRANGE = "not the jar, the kiln or the start that was foretold"
#: Why a firing in which something went wrong in the hand teaches nothing of kiln and jar.
MISHAP = "something went wrong in the hand"


def stage_records(studio: Studio) -> tuple[list[StageRecord], dict[str, int]]:
    """Return the firings that teach something, and why the others do not.

    A load of equal pieces that came out alike is one record: they were one try of kiln and setting.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading() as connection:
        loads = {row.of: row for row in connection.execute(_loads())}
        inside = {(row.load, row.piece): row for row in connection.execute(current(load_piece))}
        names = {row.id: row.name for row in connection.execute(select(kiln_table.c.id, kiln_table.c.name))}
        epochs: dict[int, list[str]] = {}
        for event in connection.execute(current(kiln_event).where(kiln_event.c.new_epoch == True)):  # noqa: E712 - SQL
            epochs.setdefault(event.kiln, []).append(event.at)
        told = list(connection.execute(current(prediction).order_by(prediction.c.id)))
    haste = _haste(loads)
    found: dict[tuple[Any, ...], StageRecord] = {}
    left_out: dict[str, int] = {}
    spoiled = spoiled_firings(studio)
    for one in told:
        if {(one.load, one.piece), (one.load, None)} & spoiled:
            left_out[MISHAP] = left_out.get(MISHAP, 0) + 1
            continue
        load, piece = loads.get(one.load), inside.get((one.load, one.piece))
        try:
            record = _record(one, load, piece, names, epochs, haste.get(one.load, 0.0))
        except InputError as error:
            left_out[error.message] = left_out.get(error.message, 0) + 1
            continue
        key = (
            one.load,
            tuple(coat.jar for coat in record.melting),
            record.kind,
            record.stage,
            record.to_gloss,
            record.seconds,
        )
        found.setdefault(key, record)
    return sorted(found.values(), key=lambda record: (record.day, record.record)), left_out


def day_of(moment: str) -> float:
    """Return the day of a moment of the record, counted from any fixed day; firings of one day share a kiln's state.

    Parameters
    ----------
    moment : str
        ISO 8601, as the record writes it.
    """
    return float(datetime.fromisoformat(moment).toordinal())


def _loads() -> Any:
    alive = current(load_table, load_table.c.id).subquery()
    return select(first_of(load_table).label("of"), *load_table.c).where(load_table.c.id.in_(select(alive.c.id)))


def _haste(loads: Mapping[int, Row[Any]]) -> dict[int, float]:
    """Return how little each kiln had recovered when a load went in: 1 at once after another, 0 after a long rest."""
    recovery = facts_of("heat/learning")["heat/learn_recovery"].value
    found, came_out = {}, dict[int, datetime]()
    for row, load in sorted(loads.items(), key=lambda pair: pair[1].at):
        went_in, before = datetime.fromisoformat(load.at), came_out.get(load.kiln)
        if before is not None:
            found[row] = exp(-max(0.0, (went_in - before).total_seconds()) / recovery)
        if load.closed_at is not None:
            came_out[load.kiln] = datetime.fromisoformat(load.closed_at)
    return found


def _record(
    told: Row[Any],
    load: Row[Any] | None,
    piece: Row[Any] | None,
    names: Mapping[int, str],
    epochs: Mapping[int, list[str]],
    haste: float,
) -> StageRecord:
    """Make a record of one piece in one load; InputError says why it teaches nothing."""
    if load is None or piece is None or load.closed_at is None:
        raise InputError("not out of the kiln yet, or withdrawn")
    if load.kiln is None:
        raise InputError("nobody said which kiln")
    if load.interrupted or piece.do_not_learn:
        raise InputError("broken off, or not to be learned from")
    figures = told.figures or {}
    firing = figures.get("firing") or {}
    coats = ((told.asked or {}).get("piece") or {}).get("coats") or []
    jars = {str(coats[k].get("jar")) for k in firing.get("fuses") or [] if k < len(coats)}
    if firing.get("flash") or not jars:
        raise InputError("no fresh powder melted in it")
    window = firing.get("window") or {}
    melting = _melting(window)
    if not melting:
        if len(jars) > 1:
            raise InputError("several jars melted in it, foretold as one")
        jar = jars.pop()
        melting = (Melting(jar, _foretold(window, (figures.get("learned") or {}).get(jar, 0.0))),)
    own, *beside = melting
    stage = _STAGES.get(piece.stage_seen or load.stage_seen or "", "")
    start = window.get("start")
    if load.start is not None and start is not None and load.start != start:
        raise InputError("timed another way than it was foretold")
    return StageRecord(
        record=int(told.load),
        kiln=names.get(load.kiln, str(load.kiln)),
        epoch=bisect_right(sorted(epochs.get(load.kiln, [])), load.at),
        day=day_of(load.at),
        jar=own.jar,
        kind=" ".join((_shape_words(told), str(firing.get("loaded")), str(firing.get("support")))),
        foretold=own.foretold,
        stage=stage,
        seconds=piece.seconds if piece.seconds is not None else load.seconds,
        to_gloss=piece.to_gloss if piece.to_gloss is not None else load.to_gloss,
        haste=haste,
        aimed=_STAGES.get(firing.get("target") or "", ""),
        coat=own.coat,
        coat_sd=own.coat_sd,
        hotter=own.hotter,
        law=own.law,
        beside=tuple(beside),
    )


def _melting(window: Mapping[str, Any]) -> tuple[Melting, ...]:
    """Return every coat that was foretold by itself; none in what was frozen before they were told apart."""
    told = [one for one in window.get("coats") or [] if len(one.get("clock") or []) > 1]
    found = []
    for one in told:
        sugar, orange, gloss, over = one["marks"]
        orange = min(orange, gloss)
        foretold = Foretold(
            tuple(float(pair[0]) for pair in one["clock"]),
            tuple(float(pair[1]) for pair in one["clock"]),
            (min(sugar, orange), orange, gloss, max(over, gloss)),
            float(one["learned"]),
        )
        found.append(
            Melting(
                one["jar"], foretold, one["likeness"], float(one["own_sd"]), float(one["hotter"]), float(one["law"])
            )
        )
    if len(found) <= MOST_COATS:
        return tuple(found)
    due = sorted(found, key=lambda one: one.foretold.seconds_at(0.0))
    return (*due[: MOST_COATS // 2], *due[-(MOST_COATS // 2) :])


def _shape_words(told: Row[Any]) -> str:
    """Return what makes pieces alike in the fire: their design, or without one metal and size."""
    if told.design_version is not None:
        return f"design {told.design_version}"
    piece = (told.asked or {}).get("piece") or {}
    return " ".join(
        f"{key} {value}" for part in ("metal", "outline") for key, value in sorted((piece.get(part) or {}).items())
    )


def _foretold(window: Mapping[str, Any], learned: float) -> Foretold:
    pairs = window.get("clock") or []
    by_name = {one.get("stage"): one.get("clock") for one in window.get("stages") or []}
    marks = [by_name.get(stage) for stage in ORDER[1:]]
    known = [float(mark) for mark in marks if mark is not None]
    if len(pairs) < 2 or len(known) < len(marks):
        raise InputError("no stages were foretold")
    sugar, orange, gloss, over = known
    orange = min(orange, gloss)
    return Foretold(
        tuple(float(pair[0]) for pair in pairs),
        tuple(float(pair[1]) for pair in pairs),
        (min(sugar, orange), orange, gloss, max(over, gloss)),
        learned,
    )


def _first_spread(plain: Bench, code: str) -> float:
    try:
        return unfired_sd(plain.jar(code))
    except EnamelwrightError:
        return number("gloss_sd_unknown")
