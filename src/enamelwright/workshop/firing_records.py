"""Firings of the record that tell how kiln and jars are: what was foretold of each, and what was seen when."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from math import exp
from typing import Any, Literal

from sqlalchemy import Connection, Row, select

from enamelwright.errors import InputError
from enamelwright.learning.several_coats import MOST_COATS
from enamelwright.learning.stage_records import ORDER, Foretold, Melting, Stage, StageRecord
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.writing import current, first_of
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.foretold_for import of_another_heat
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.new_lots import lot_key
from enamelwright.workshop.pauses import known_by_day, pauses
from enamelwright.workshop.places import MIDDLE
from enamelwright.workshop.says_two import TWO_THINGS, Look, looks_at, outcome_of, stage_looks, two_things
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.unforetold import why_unforetold

#: Stages as they are learned from: clear glass is glossy glass.
_STAGES: dict[str, Stage | Literal[""]] = {**{one: one for one in ORDER}, "cleared": "gloss"}

#: Why a firing in which something went wrong in the hand teaches nothing of kiln and jar.
MISHAP = "something went wrong in the hand"
#: Why a firing teaches nothing whose setting was put right after it was foretold.
ANOTHER_HEAT = "its setting was corrected after it was foretold"


def stage_records(studio: Studio) -> tuple[list[StageRecord], dict[str, int]]:
    """Return the firings that teach something, and why the others do not.

    A load of equal pieces that came out alike is one record: they were one try of kiln and setting. So are unlike
    pieces for which one time or one stage was noted of the whole load: nobody says at which of them it was seen, and
    what the load had of its own, kiln and door, they share.

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
        looks = stage_looks(connection)
        lots = _lots(connection)
        haste = _haste(pauses(loads, known_by_day(connection)))
    among = Counter(load for load, _ in inside)
    found: dict[tuple[Any, ...], tuple[StageRecord, bool]] = {}
    left_out: Counter[str] = Counter()
    spoiled = spoiled_firings(studio)
    for one in told:
        if {(one.load, one.piece), (one.load, None)} & spoiled:
            left_out[MISHAP] += 1
            continue
        load, piece = loads.get(one.load), inside.get((one.load, one.piece))
        own = piece is not None and piece.stage_seen is not None
        seen = looks_at(looks.get(one.load, ()), one.piece, among[one.load], own)
        try:
            record = _record(one, load, piece, names, epochs, haste.get(one.load, 0.0), seen, among[one.load] - 1)
        except InputError as error:
            left_out[error.message] += 1
            continue
        record = _from_lots(record, lots.get(one.piece, ()), load.at)  # type: ignore[union-attr] # it has a record
        key = (
            one.load,
            tuple((coat.jar, coat.lot) for coat in record.melting),
            record.kind,
            record.stage,
            record.to_gloss,
            record.seconds,
        )
        noted = None if piece is None else piece.stage_seen if record.to_gloss is None else piece.to_gloss
        found.setdefault(key, (record, noted is None))
    foretold = {(one.load, one.piece) for one in told}
    silent = [
        (loads[load], row)
        for (load, piece), row in inside.items()
        if (load, piece) not in foretold and load in loads and not {(load, piece), (load, None)} & spoiled
    ]
    left_out.update(why_unforetold(studio, silent))
    return sorted(_as_noted(found.values()), key=lambda record: (record.day, record.record)), dict(left_out)


def _as_noted(found: Iterable[tuple[StageRecord, bool]]) -> list[StageRecord]:
    """Return one record of each note: of a piece by itself, or of all pieces of a load for which it was noted once.

    Parameters
    ----------
    found : iterable of (StageRecord, bool)
        Of single pieces, and whether what was noted was noted of the whole load.
    """
    notes: dict[tuple[Any, ...], list[StageRecord]] = {}
    for record, of_load in found:
        said = ("gloss", record.to_gloss) if record.to_gloss is not None else (record.stage, record.seconds)
        notes.setdefault((record.load, *said) if of_load else (record.record,), []).append(record)
    return [_together(same) for same in notes.values()]


def _together(same: Sequence[StageRecord]) -> StageRecord:
    """Return one record of pieces of one load, each coat with the kind of its piece."""
    first, *others = same
    if not others:
        return first
    own, *beside = _told_apart(dict.fromkeys(replace(coat, kind=one.kind) for one in same for coat in one.melting))
    return replace(
        first, jar=own.jar, kind=own.kind, foretold=own.foretold, coat=own.coat, coat_sd=own.coat_sd,
        hotter=own.hotter, law=own.law, lot=own.lot, beside=tuple(beside), of_load=True,
    )  # fmt: skip


def _lots(connection: Connection) -> dict[int, list[tuple[str, str, int]]]:
    """Return by piece when a coat was laid, the code of its jar, and from which lot, in order."""
    laid = current(coat_laid, coat_laid.c.piece, coat_laid.c.at, coat_laid.c.lot).where(coat_laid.c.lot.is_not(None))
    laid = laid.order_by(coat_laid.c.at, coat_laid.c.id)
    told = select(lot_table.c.id, jar_table.c.code).join(jar_table, jar_table.c.id == lot_table.c.jar)
    codes = {int(row.id): str(row.code).casefold() for row in connection.execute(told)}
    found: dict[int, list[tuple[str, str, int]]] = {}
    for row in connection.execute(laid):
        found.setdefault(int(row.piece), []).append((row.at, codes[row.lot], int(row.lot)))
    return found


def _from_lots(record: StageRecord, laid: Sequence[tuple[str, str, int]], at: str) -> StageRecord:
    """Return a record that tells from which lots its coats were laid: the last of each jar before the firing."""
    lots = {jar: lot_key(lot) for when, jar, lot in laid if when <= at}
    if not lots:
        return record
    beside = tuple(replace(coat, lot=lots.get(coat.jar.casefold(), "")) for coat in record.beside)
    return replace(record, lot=lots.get(record.jar.casefold(), ""), beside=beside)


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


def _haste(rested: Mapping[int, float]) -> dict[int, float]:
    """Return how little each kiln had recovered when a load went in: 1 at once after another, 0 after a long rest."""
    recovery = facts_of("heat/learning")["heat/learn_recovery"].value
    return {row: exp(-pause / recovery) for row, pause in rested.items()}


def _record(
    told: Row[Any],
    load: Row[Any] | None,
    piece: Row[Any] | None,
    names: Mapping[int, str],
    epochs: Mapping[int, list[str]],
    haste: float,
    looks: Sequence[Look],
    others: int,
) -> StageRecord:
    """Make a record of one piece in one load; InputError says why it teaches nothing."""
    if load is None or piece is None or load.closed_at is None:
        raise InputError("not out of the kiln yet, or withdrawn")
    if load.kiln is None:
        raise InputError("nobody said which kiln")
    if load.interrupted or piece.do_not_learn:
        raise InputError("broken off, or not to be learned from")
    out = outcome_of(load, piece)
    if two_things(out, looks):
        raise InputError(TWO_THINGS)
    figures = told.figures or {}
    if of_another_heat(load, figures):
        raise InputError(ANOTHER_HEAT)
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
    start = window.get("start")
    if load.start is not None and start is not None and load.start != start:
        raise InputError("timed another way than it was foretold")
    return StageRecord(
        record=int(told.id),
        load=int(told.load),
        kiln=names.get(load.kiln, str(load.kiln)),
        epoch=bisect_right(sorted(epochs.get(load.kiln, [])), load.at),
        day=day_of(load.at),
        jar=own.jar,
        kind=" ".join(
            (_shape_words(told), str(firing.get("loaded")), str(firing.get("support")), _place(piece.position))
        ),
        foretold=own.foretold,
        stage=_STAGES.get(out.stage, ""),
        seconds=out.seconds,
        to_gloss=out.to_gloss,
        haste=haste,
        aimed=_STAGES.get(firing.get("target") or "", ""),
        coat=own.coat,
        coat_sd=own.coat_sd,
        hotter=own.hotter,
        law=own.law,
        beside=tuple(beside),
        others=others,
    )


def _melting(window: Mapping[str, Any]) -> tuple[Melting, ...]:
    """Return every coat that was foretold by itself; none in what was frozen before they were told apart."""
    told = [one for one in window.get("coats") or [] if len(one.get("clock") or []) > 1]
    found = []
    for one in told:
        sugar, orange, gloss, over = one["marks"]
        orange = min(orange, gloss)
        foretold = Foretold.at_pace(
            tuple(float(pair[0]) for pair in one["clock"]),
            tuple(float(pair[1]) for pair in one["clock"]),
            (min(sugar, orange), orange, gloss, max(over, gloss)),
            float(one["learned"]),
            float(one.get("pace", 0.0)),
        )
        found.append(
            Melting(
                one["jar"], foretold, one["likeness"], float(one["own_sd"]), float(one["hotter"]), float(one["law"])
            )
        )
    return _told_apart(found)


def _told_apart(coats: Iterable[Melting]) -> tuple[Melting, ...]:
    """Return coats that may govern a firing: all, or those that are due first and last."""
    every = tuple(coats)
    if len(every) <= MOST_COATS:
        return every
    due = sorted(every, key=lambda one: one.foretold.seconds_at(0.0))
    return (*due[: MOST_COATS // 2], *due[-(MOST_COATS // 2) :])


def _place(position: str | None) -> str:
    """Return where in the kiln a piece stood; empty for its middle: a corner may be hotter than the kiln."""
    place = (position or "").strip().casefold()
    return "" if place in MIDDLE else place


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
