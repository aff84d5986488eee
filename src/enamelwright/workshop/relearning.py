"""What the record has taught of kilns, jars, strips and hands, kept so that the next window goes by it.

It is worked out anew from all of the record, and what comes out replaces what was there: nothing that happened depends
on it. Firings take a second or two to learn from, so it is done once for every state of the record, whoever asks: the
thread beside the pages, a page, or a command of the terminal.
"""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from hashlib import sha256
from typing import Any
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, delete, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_clock import ANY_JAR, LearnedClock
from enamelwright.craft.learned_hand import LearnedHand
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.stage_records import StageRecord
from enamelwright.questions.question import engine
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.learned import posterior
from enamelwright.records.store import Store
from enamelwright.workshop.bench import bench
from enamelwright.workshop.firing_records import stage_records
from enamelwright.workshop.kept_learned import (
    BOW,
    GLOSS_CLOCK,
    HAND,
    ODD_LOAD,
    Taught,
    kept_bows,
    kept_hands,
    unreadable,
)
from enamelwright.workshop.learned_bows import learned_bows
from enamelwright.workshop.learned_clocks import STRANGE, Learned, learn
from enamelwright.workshop.learned_hands import learned_hands
from enamelwright.workshop.odd_loads import ODD
from enamelwright.workshop.standing import FIRINGS, MARKS, WORK, Standing, Trouble, noting, stand, standing, trouble
from enamelwright.workshop.studio import Studio

#: What each part keeps.
KEEPS = {FIRINGS: (GLOSS_CLOCK, ODD_LOAD), WORK: (BOW, HAND)}


#: Marks of a record, the day, and the engine.
_Key = tuple[tuple[int, ...], str, str]


@dataclass
class _Held:
    """What this process has learned of one record.

    Attributes
    ----------
    at_it : Lock
        Held by whoever is learning.
    learned : Learned or None
        What came out last.
    source : str
        Digest of what it was learned from.
    seen : dict
        By part marks, day and engine of the record that was learned last, by whichever process.
    of : tuple, optional
        The same of what is held here.
    looked : bool
        Whether it was looked whether all that is kept can be read.
    """

    at_it: threading.Lock = field(default_factory=threading.Lock)
    learned: Learned | None = None
    source: str = ""
    seen: dict[str, _Key] = field(default_factory=dict)
    of: _Key | None = None
    looked: bool = False


#: One row as it is kept: what it is of, its figures, and the rows it stands on.
_Kept = tuple[str, str, int | None, dict[str, Any], list[int]]

_all: WeakKeyDictionary[Store, _Held] = WeakKeyDictionary()
_door = threading.Lock()


class _Moved(Exception):
    """The record moved on while it was learned from."""


def relearn(studio: Studio) -> Learned:
    """Learn anew whatever is at hand, and keep what came out in place of what was there.

    Parameters
    ----------
    studio : Studio
        The studio, not within a transaction of its own.
    """
    held, there = _of(studio)
    with held.at_it:
        _learn_part(there, held, WORK, again=True)
        _learn_part(there, held, FIRINGS, again=True)
        assert held.learned is not None
        return held.learned


def catch_up(studio: Studio, *, wait: bool = False, hold: bool = False) -> bool:
    """Learn if the record is newer than what was learned from it, and return whether firings were learned from.

    What fails is written to the log and told by :func:`enamelwright.workshop.standing.trouble`; it is tried again when
    what is learned from has changed, and else after a pause that grows.

    Parameters
    ----------
    studio : Studio
        The studio. Within a transaction of its own nothing is done.
    wait : bool
        Wait for somebody who is learning of this record already, instead of leaving it to them.
    hold : bool
        Learn too when nothing was learned in this process yet, for the pages that show more than is kept.

    Raises
    ------
    RecordError
        When what was learned cannot be kept.
    """
    if studio.is_writing:
        return False
    held, there = _of(studio)
    if not held.at_it.acquire(blocking=wait):
        return False
    try:
        _try_part(there, held, WORK)
        return _try_part(there, held, FIRINGS, hold=hold)
    finally:
        held.at_it.release()


def learned_now(studio: Studio) -> tuple[Learned | None, Trouble | None]:
    """Return what the firings of the record teach, worked out once for each state of it, and since when that fails.

    Parameters
    ----------
    studio : Studio
        The studio, not within a transaction of its own.

    Returns
    -------
    tuple
        What was learned last in this process; None when nothing could be. And the trouble, if there is any.
    """
    try:
        catch_up(studio, wait=True, hold=True)
    except RecordError as error:  # it could not be kept, and is at hand all the same
        logging.getLogger(__name__).info("learning: %s", error)
    return _of(studio)[0].learned, trouble(studio)


def work_now(studio: Studio, known: Bench) -> tuple[Taught[LearnedBow], Taught[LearnedHand], Trouble | None]:
    """Return what strips and weighings teach, and since when that fails; then what was kept of them stands in.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        Its bench, without what they taught.
    """
    try:
        return learned_bows(studio, known), learned_hands(studio, known), trouble(studio)
    except RecordError:
        raise
    except Exception:  # a fault of ours must not take the page away
        logging.getLogger(__name__).exception("learning from work broke")
        fails = trouble(studio) or Trouble(studio.now(), standing(studio, WORK).learned)
        return Taught(kept_bows(studio)), Taught(kept_hands(studio)), fails


def _of(studio: Studio) -> tuple[_Held, Studio]:
    """Return what is held of a record, and the studio at the moment things are written down."""
    with _door:
        return _all.setdefault(studio.store, _Held()), replace(studio, clock=studio.recorded, before_bench=None)


def _try_part(studio: Studio, held: _Held, part: str, hold: bool = False) -> bool:
    """Learn one part if it is due; what fails is noted and not raised."""
    try:
        return _learn_part(studio, held, part, hold=hold)
    except RecordError:  # busy, full or gone: whoever asked says so, and it is tried again at the next look
        raise
    except Exception as error:  # a fault of ours must keep nobody from what was learned before
        if isinstance(error, EnamelwrightError):
            logging.getLogger(__name__).info("learning from %s: %s", part, error)
        else:
            logging.getLogger(__name__).exception("learning from %s broke", part)
        with noting(studio) as connection:
            failed = standing(studio, part).failed(_source_or_none(studio, part), studio.now())
            stand(connection, part, replace(failed, engine=engine()), studio.now())
        return False


def _learn_part(studio: Studio, held: _Held, part: str, *, hold: bool = False, again: bool = False) -> bool:
    """Learn one part if it is due, and return whether that took learning."""
    hold = hold and part == FIRINGS
    known = (held.of if hold else held.seen.get(part)) if held.looked else None
    if not again and known is not None and known == _key(MARKS[part].of(studio), studio):
        return False
    broken = _broken(studio, held, part)
    with studio.reading() as connection:  # one view: what is learned from is what the marks are of
        marks, before = MARKS[part].on(connection), standing(studio, part)
        missing = hold and (held.learned is None or held.source != before.source)
        if not (again or missing or broken) and before.is_of(marks, _day(studio)):
            _note(held, part, _key(marks, studio), before.source)
            return False
        source = _source(studio, part, held)
        if not again and before.rests(source, studio.clock()):
            return False
        if before.source == source and not (before.since or broken or again or missing):
            fresh, rows = False, None  # something was written that teaches nothing
        else:
            fresh, rows = _worked_out(studio, held, part, source, again)
    learned = before.learned if rows is None else studio.now() if rows else ""
    told = Standing(marks, _day(studio), source, learned, engine=engine())
    try:
        _keep(studio, part, rows, told)
        _note(held, part, _key(marks, studio), source)
    except _Moved:
        logging.getLogger(__name__).info("learning: the record moved on meanwhile; again at the next look")
    return fresh


def _day(studio: Studio) -> str:
    """Return the day as learning sees it."""
    return studio.now()[: len("2026-03-02")]


def _key(marks: tuple[int, ...], studio: Studio) -> _Key:
    return marks, _day(studio), engine()


def _note(held: _Held, part: str, key: _Key, source: str) -> None:
    """Remember that the record of these marks was learned from, and whether what is held is of it."""
    held.seen[part] = key
    if part == FIRINGS:
        held.of = key if held.source == source else None


def _broken(studio: Studio, held: _Held, part: str) -> bool:
    """Whether something kept of a part cannot be read; looked once, for it is written by us alone."""
    if held.looked:
        return False
    held.looked = part == FIRINGS  # which comes last
    return unreadable(studio, KEEPS[part])


def _worked_out(studio: Studio, held: _Held, part: str, source: str, again: bool) -> tuple[bool, list[_Kept]]:
    """Return whether it took learning from firings, and the rows to keep."""
    if part == WORK:
        return False, _of_work(studio)
    fresh = again or held.learned is None or held.source != source
    if fresh:
        found = learn(studio)
        held.learned, held.source = found, source
    assert held.learned is not None
    return fresh, _of_firings(studio, held.learned)


# --- what is learned from ------------------------------------------------------------------------


def _source(studio: Studio, part: str, held: _Held | None = None) -> str:
    """Return a digest of all that a part is learned from; what is held is told anew why firings were left out."""
    known = bench(studio)
    digest = sha256(f"{engine()} {_day(studio)}".encode())
    if part == WORK:
        digest.update(repr(MARKS[WORK].of(studio)).encode())  # it is learned faster than it is read
        return digest.hexdigest()
    records, left_out = stage_records(studio)
    digest.update(repr(records).encode())
    for code in sorted({jar for one in records for jar in one.jars}):
        try:
            digest.update(known.jar(code).model_dump_json().encode())
        except EnamelwrightError:
            digest.update(code.encode())
    source = digest.hexdigest()
    if held is not None and held.learned is not None and held.source == source:
        strange = {why: count for why, count in held.learned.left_out.items() if why == STRANGE}
        held.learned = replace(held.learned, left_out={**left_out, **strange})
    return source


def _source_or_none(studio: Studio, part: str) -> str:
    try:
        return _source(studio, part)
    except Exception:  # what is learned from cannot be read at all
        return "unreadable"


# --- what is kept --------------------------------------------------------------------------------


def _of_firings(studio: Studio, found: Learned) -> list[_Kept]:
    with studio.reading() as connection:
        kilns = {row.name: row.id for row in connection.execute(select(kiln_table.c.name, kiln_table.c.id))}
        jars = {row.code: row.id for row in connection.execute(select(jar_table.c.code, jar_table.c.id))}
    clocks = [
        (
            GLOSS_CLOCK, "jar", jars.get(one.jar), {**one.model_dump(), "kiln_row": kilns.get(one.kiln)},
            sorted({r.load for r in found.records if _stands_on(one, r)}),
        )
        for one in found.clocks
    ]  # fmt: skip
    return [*clocks, *_odd(found)]


def _odd(found: Learned) -> list[_Kept]:
    """Return the loads that stand far off, so that who plans by what was fired can leave them out."""
    loads = {one.record: one.load for one in found.records}
    off = dict(found.clock.surprises) if found.clock is not None else {}
    worst = {loads[record]: gone for record, gone in reversed(off.items()) if record in loads and abs(gone) > ODD}
    return [
        (ODD_LOAD, "load", load, {"load": load, "off": round(float(gone), 1)}, [load])
        for load, gone in sorted(worst.items())
    ]


def _stands_on(clock: LearnedClock, record: StageRecord) -> bool:
    """Whether a clock stands on a record."""
    mine = [one for one in record.melting if clock.jar in (one.jar, ANY_JAR) and clock.coat in (one.coat, "")]
    return clock.kiln == record.kiln and any(clock.lot in (one.lot, "") or clock.coat for one in mine)


def _of_work(studio: Studio) -> list[_Kept]:
    """Learn what strips and weighings teach."""
    plain = bench(studio).model_copy(update={"learned_bows": (), "learned_hands": ()})
    return [
        (quantity, quantity, None, one.model_dump(), list(records))
        for quantity, told in ((BOW, learned_bows(studio, plain)), (HAND, learned_hands(studio, plain)))
        for one, records in zip(told.found, told.records, strict=True)
    ]


def _keep(studio: Studio, part: str, rows: list[_Kept] | None, told: Standing) -> None:
    """Keep rows in place of what is there, unless the record has moved on since it was learned from.

    Raises
    ------
    _Moved
        When it has.
    """
    with studio.reading() as connection:
        same = rows is None or _as_kept(connection, part) == _text(part, rows)
    if same:
        with noting(studio) as connection:
            _check(connection, part, told)
            stand(connection, part, told, studio.now())
        return
    with studio.writing() as work:
        _check(work.connection, part, told)
        work.connection.execute(delete(posterior).where(posterior.c.quantity.in_(KEEPS[part])))
        for quantity, table, row, figures, records in rows or ():
            work.derive(
                posterior, engine(), of_table=table, of_id=row, quantity=quantity, figures=figures, from_records=records
            )
        stand(work.connection, part, told, studio.now())


def _check(connection: Connection, part: str, told: Standing) -> None:
    if MARKS[part].on(connection) != told.marks:
        raise _Moved


def _as_kept(connection: Connection, part: str) -> list[str]:
    """Return what is kept of a part, in words that can be compared."""
    rows = select(posterior).where(posterior.c.quantity.in_(KEEPS[part])).order_by(posterior.c.id)
    return [
        _words(one.quantity, one.of_id, one.figures, one.from_records, one.engine) for one in connection.execute(rows)
    ]


def _text(part: str, rows: Iterable[_Kept]) -> list[str]:
    return [_words(quantity, row, figures, records, engine()) for quantity, _, row, figures, records in rows]


def _words(quantity: str, row: int | None, figures: Mapping[str, Any], records: list[int], by: str) -> str:
    return json.dumps([quantity, row, figures, records, by], sort_keys=True)
