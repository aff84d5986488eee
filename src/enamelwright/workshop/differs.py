"""What differs today against the last good firing of the same kind: lot, weight, sieve, drying, kiln, support, hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, alias, exists, func, select, union_all

from enamelwright.learning.fault_signs import span_words
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.schema.pieces import fault_seen, mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.firings import firing_rows
from enamelwright.workshop.kilns import epoch_of, kiln_row
from enamelwright.workshop.named import Which, in_use
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed

#: Amounts that agree within this share are told as the same; the hand scatters about as much (judgement).
SAME_AMOUNT = 0.1
#: A pause since the load before is told when it is this many times as long or short (judgement).
OTHER_PAUSE = 2.0
#: States of a piece that goes into the kiln again.
TO_COME = frozenset({"planned", "in work"})
#: A kiln that rested longer is cold, and colder it does not get [s] (judgement).
RESTED = 12 * 3600.0
#: Firings of one number that are looked through for a good one, the newest first.
LOOK_BACK = 200
#: Stages in their order.
_STAGES = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")


@dataclass(frozen=True)
class Differing:
    """One thing that differs.

    Attributes
    ----------
    what : str
        What it is, e.g. ``lot of J21`` or ``kiln``.
    then, now : str
        How it was, and how it is; a dash where it is not known.
    """

    what: str
    then: str
    now: str


@dataclass(frozen=True)
class Comparison:
    """A firing against the last good one of its kind.

    Attributes
    ----------
    piece : str
        Number of the piece.
    firing : int
        Which firing of the piece it is.
    good_load, good_piece, good_at : str
        The last good one; empty when there is none.
    differs : tuple of Differing
        What differs.
    same : tuple of str
        What is the same.
    not_known : tuple of str
        What is not known of one of them.
    why_none : str
        Why there is nothing to compare with.
    """

    piece: str
    firing: int
    good_load: str = ""
    good_piece: str = ""
    good_at: str = ""
    differs: tuple[Differing, ...] = ()
    same: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    why_none: str = ""


@dataclass
class _Firing:
    """What is known of one firing of one piece."""

    piece: Row[Any]
    number: int
    load: Row[Any] | None
    coats: list[Row[Any]]
    at: str
    pause: float | None = None
    person: str = ""
    kiln: str = ""
    kiln_id: int | None = None
    epoch: str = ""
    seen: dict[str, str] = field(default_factory=dict)


def what_differs(studio: Studio, piece: Which, firing: int | None = None) -> Comparison:
    """Compare a firing of a piece with the last good one of the same design and number.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    firing : int, optional
        Which firing; the one it is in, else the one that comes next, when left out. Of a piece that is no longer in
        work the last one counts.
    """
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        done = firing_rows(connection, row.id)
        if firing is None:
            still_in = next((one for one in done if one.closed_at is None), None)
            over = row.state not in TO_COME and bool(done) and done[-1].firing is not None
            firing = int(done[-1].firing) if over else _coming(studio, row, still_in)
        if row.design_version is None:
            why = "this piece has no design, so there is none of its kind"
            if row.kind == "control tile":
                why = "a control tile is compared with the control tiles before it: tile control"
            return Comparison(row.number, firing, why_none=why)
        design = version_row(studio, row.design_version).design
        good = _last_good(connection, design, firing, row.id)
        if good is None:
            return Comparison(row.number, firing, why_none=f"no firing {firing} of this design was good so far")
        now = _of(studio, connection, row, firing, done)
        other = piece_row(studio, good.piece)
        then = _of(studio, connection, other, firing, firing_rows(connection, other.id))
    faces = [{coat.face for coat in one.coats if coat.face} for one in (then, now)]
    if all(faces) and not faces[0] & faces[1]:
        why = f"firing {firing} of the last good one was of the other face, which is not the same kind"
        return Comparison(row.number, firing, why_none=why)
    differs, same, unknown = _compare(then, now)
    return Comparison(
        row.number, firing, good.number, then.piece.number, good.at, tuple(differs), tuple(same), tuple(unknown)
    )


def _coming(studio: Studio, piece: Row[Any], still_in: Row[Any] | None) -> int:
    """Return the firing a piece is in, else the one it comes to."""
    if still_in is not None and still_in.firing is not None:
        return int(still_in.firing)
    return next_firings(studio, [piece.id])[piece.id].number


def _last_good(connection: Connection, design: int, firing: int, other_than: int) -> Row[Any] | None:
    """Return the last firing of that number of this design that reached its stage and left no fault."""
    inside, loads = load_piece.c, load_table.c
    newer = alias(load_piece)
    made = current(design_version).where(design_version.c.design == design).subquery()
    rows = connection.execute(
        current(
            load_table, loads.number, loads.at, loads.stage_seen, loads.target, inside.piece,
            inside.stage_seen.label("piece_stage"),
        )
        .join(load_piece, inside.load == first_of(load_table))
        .join(piece_table, piece_table.c.id == inside.piece)
        .where(
            inside.withdrawn == False, ~exists().where(newer.c.corrects == inside.id),  # noqa: E712 - SQL, not Python
            inside.firing == firing, inside.piece != other_than, func.coalesce(inside.do_not_learn, 0) == 0,
            piece_table.c.design_version.in_(select(made.c.of)), piece_table.c.state.not_in(("spoilt", "study")),
            loads.closed_at.is_not(None), func.coalesce(loads.interrupted, 0) == 0,
        )
        .order_by(loads.at.desc(), loads.id.desc())
        .limit(LOOK_BACK)
    ).all()  # fmt: skip
    for row in rows:
        stage = row.piece_stage or row.stage_seen
        if not stage or not _reached(stage, row.target or _foretold_target(connection, row.of, row.piece)):
            continue
        if not _left_a_mark(connection, row.of, row.piece):
            return row
    return None


def _reached(stage: str, target: str | None) -> bool:
    """Whether the stage seen is the one aimed at; with no aim, anything that is bonded and not over-fired."""
    if target:
        at, aim = _STAGES.index(stage), _STAGES.index(target)
        return at == aim or (target == "gloss" and stage == "cleared")
    return stage not in {"powder", "over-fired"}


def _foretold_target(connection: Connection, load: int, piece: int) -> str | None:
    row = connection.execute(
        current(prediction, prediction.c.figures).where(prediction.c.load == load, prediction.c.piece == piece).limit(1)
    ).one_or_none()
    target = (row.figures.get("firing") or {}).get("target") if row is not None else None
    return target if target in _STAGES else None


def _left_a_mark(connection: Connection, load: int, piece: int) -> bool:
    """Whether a fault came of it or something went wrong in the hand."""
    marks = [
        current(table, table.c.id).where(table.c.load == load, (table.c.piece == piece) | table.c.piece.is_(None))
        for table in (fault_seen, mishap)
    ]
    return connection.execute(union_all(*marks).limit(1)).first() is not None


def _of(studio: Studio, connection: Connection, piece: Row[Any], number: int, done: list[Row[Any]]) -> _Firing:
    """Gather what is known of one of the firings of a piece; of one to come, how things stand now."""
    load = next((one for one in reversed(done) if one.firing == number), None)
    before = [one.at for one in done if one.firing is not None and one.firing < number]
    at = load.at if load is not None else studio.now()
    laid = current(coat_laid).where(coat_laid.c.piece == piece.id, coat_laid.c.at <= at).subquery()
    coats = select(
        laid, jar_table.c.code, lot_table.c.label.label("lot_label"), person_table.c.label.label("laid_by")
    ).select_from(
        laid.outerjoin(jar_table, jar_table.c.id == laid.c.jar)
        .outerjoin(lot_table, lot_table.c.id == laid.c.lot)
        .outerjoin(person_table, person_table.c.id == laid.c.who)
    )
    if before:
        coats = coats.where(laid.c.at > max(before))
    result = _Firing(piece, number, load, list(connection.execute(coats.order_by(laid.c.at))), at)
    if load is not None:
        result.kiln_id, who = load.kiln, load.who
    else:
        kilns = connection.execute(select(kiln_table.c.id).where(in_use(kiln_table)).limit(2)).scalars().all()
        result.kiln_id, who = (kilns[0] if len(kilns) == 1 else None), studio.person
    if result.kiln_id is not None:
        row = kiln_row(studio, result.kiln_id)
        result.kiln = row.name if row is not None else ""
        result.epoch = epoch_of(studio, result.kiln_id, at)
        result.pause = _pause(connection, result.kiln_id, at, load.idle_before if load is not None else None)
    if who is not None:
        label = connection.execute(select(person_table.c.label).where(person_table.c.id == who)).scalar()
        result.person = str(label or "")
    return result


def _pause(connection: Connection, kiln: int, at: str, told: float | None) -> float | None:
    """Return the time since the load before came out [s]; as told, when somebody told it."""
    if told is not None:
        return told
    recent = connection.execute(
        current(load_table, load_table.c.kiln, load_table.c.closed_at)
        .where(load_table.c.at < at)
        .order_by(load_table.c.at.desc())
        .limit(LOOK_BACK)
    )
    out = next((row.closed_at for row in recent.all() if row.kiln == kiln and row.closed_at), None)
    if out is None:
        return None
    return max(0.0, (datetime.fromisoformat(at) - datetime.fromisoformat(out)).total_seconds())


def _compare(then: _Firing, now: _Firing) -> tuple[list[Differing], list[str], list[str]]:
    differs: list[Differing] = []
    same: list[str] = []
    unknown: list[str] = []

    def tell(what: str, before: str, after: str, equal: bool | None = None) -> None:
        if not before or not after:
            unknown.append(what)
        elif before == after if equal is None else equal:
            same.append(what)
        else:
            differs.append(Differing(what, before, after))

    if now.piece.design_version != then.piece.design_version:
        differs.append(Differing("design version", str(then.piece.design_version), str(now.piece.design_version)))
    for what, before, after in _coats(then, now):
        tell(what, before[1], after[1], _equal(before, after))
    tell("kiln", then.kiln, now.kiln)
    if then.kiln_id is not None and then.kiln_id == now.kiln_id:
        tell("state of the kiln", _epoch_words(then.epoch), _epoch_words(now.epoch))
    # How long the kiln will have rested when the next load goes in is not known, unless one came out a while ago.
    if now.load is not None or (now.pause is not None and now.pause < RESTED):
        tell("pause since the load before", _rest(then.pause), _rest(now.pause), _same_pause(then.pause, now.pause))
    tell("person", then.person, now.person)
    if now.load is not None and then.load is not None:
        for column, what in (("set_point", "setting"), ("seconds", "seconds")):
            a, b = then.load._mapping[column], now.load._mapping[column]
            if now.load.closed_at is not None or b is not None:
                tell(what, _show(then.load, column), _show(now.load, column), equal=None if None in (a, b) else a == b)
        tell("counted from", then.load.start or "", now.load.start or "")
        tell("support", _support(then.load), _support(now.load))
        tell(
            "face up",
            then.load.piece_face_up or then.load.face_up or "",
            now.load.piece_face_up or now.load.face_up or "",
        )
        tell("place in the kiln", then.load.position or "", now.load.position or "")
    return differs, same, unknown


#: A coat's value as number or words, with how it is shown.
_Value = tuple[Any, str]


def _equal(before: _Value, after: _Value) -> bool | None:
    a, b = before[0], after[0]
    if a is None or b is None:
        return None
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= SAME_AMOUNT * max(abs(a), abs(b))
    return bool(a == b)


def _coats(then: _Firing, now: _Firing) -> Iterator[tuple[str, _Value, _Value]]:
    """Yield (what, then, now) of the coats of two firings, matched by number in the plan, else by face and jar."""
    olds = {_coat_key(coat): coat for coat in then.coats}
    news = {_coat_key(coat): coat for coat in now.coats}
    for key in dict.fromkeys((*olds, *news)):
        old, new = olds.get(key), news.get(key)
        there = old if old is not None else new
        name = f"{there.code or 'powder'} on the {there.face}" if there.face else there.code or "powder"  # type: ignore[union-attr]
        if old is None or new is None:
            told = "laid", "not written down"
            yield (
                f"coat of {name}",
                *(((True, told[0]), (False, told[1])) if new is None else ((False, told[1]), (True, told[0]))),
            )
            continue
        yield f"jar of {name}", (old.jar, old.code or ""), (new.jar, new.code or "")
        yield f"lot of {name}", (old.lot, old.lot_label or ""), (new.lot, new.lot_label or "")
        for column, what, unit in (
            ("on_piece", "weight", "g"), ("weighed_out", "weighed out", "g"), ("powder_depth", "depth", "mm"),
            ("dried", "drying", "min"),
        ):  # fmt: skip
            a, b = old._mapping[column], new._mapping[column]
            if a is not None or b is not None:
                yield f"{what} of {name}", (a, _show(old, column, unit)), (b, _show(new, column, unit))
        for column, what in (
            ("mesh", "sieve"),
            ("holding_agent", "holding agent"),
            ("gum_ratio", "gum"),
            ("method", "way"),
        ):
            a, b = old._mapping[column], new._mapping[column]
            if a is not None or b is not None:
                yield f"{what} of {name}", (a, _plain(a)), (b, _plain(b))
        yield f"hand that laid {name}", (old.who, old.laid_by or ""), (new.who, new.laid_by or "")


def _coat_key(coat: Row[Any]) -> tuple[Any, ...]:
    return ("coat", coat.coat, coat.cell) if coat.coat is not None else (coat.face, coat.jar, coat.cell)


def _show(row: Row[Any], column: str, unit: str | None = None) -> str:
    shown = as_typed(row, column, unit)
    return "" if shown == "-" else shown


def _plain(value: Any) -> str:
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def _support(load: Row[Any]) -> str:
    return load.piece_support or load.support or ""


def _epoch_words(epoch: str) -> str:
    return f"since {epoch[:10]}" if epoch else "as it was kept first"


def _rest(pause: float | None) -> str:
    return "" if pause is None else span_words(pause)


def _same_pause(then: float | None, now: float | None) -> bool | None:
    if then is None or now is None:
        return None
    then, now = min(then, RESTED), min(now, RESTED)
    long, short = max(then, now), min(then, now)
    return long <= OTHER_PAUSE * short if short > 0 else long == 0
