"""What differs today against the last good firing of the same kind, that which may move the gloss most first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, Row, select

from enamelwright.craft.plan import Plan
from enamelwright.craft.window.spoken import new_lot_words
from enamelwright.learning.fault_signs import span_words
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.writing import current
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.differs_coats import Line, coat_lines, shown
from enamelwright.workshop.differs_kiln import days_between, jumps_between
from enamelwright.workshop.differs_matter import UNTOLD, Course, Matters, Models, longer
from enamelwright.workshop.firings import firing_rows
from enamelwright.workshop.kilns import epoch_of, kiln_row
from enamelwright.workshop.last_good import foretold_last, foretold_of, last_good
from enamelwright.workshop.named import Which, in_use
from enamelwright.workshop.new_lots import lots_timed
from enamelwright.workshop.pauses import pause_of
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.studio import Studio

#: A pause since the load before is told when it is this many times as long or short (judgement).
OTHER_PAUSE = 2.0
#: States of a piece that goes into the kiln again.
TO_COME = frozenset({"planned", "in work"})
#: A kiln that rested longer is cold, and colder it does not get [s] (judgement).
RESTED = 12 * 3600.0


@dataclass(frozen=True)
class Differing:
    """One thing that differs.

    Attributes
    ----------
    what : str
        What it is, e.g. ``lot of J21`` or ``kiln``.
    then, now : str
        How it was, and how it is.
    matters : Matters
        By how much it may move the first gloss, as far as a model tells.
    """

    what: str
    then: str
    now: str
    matters: Matters = UNTOLD


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
        What differs: first what may move the first gloss most, last what no model tells.
    same : tuple of str
        What is the same.
    not_known : tuple of str
        What is not known of one of them.
    why_none : str
        Why there is nothing to compare with.
    lots : tuple of str
        What is to say of new lots it was laid from.
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
    lots: tuple[str, ...] = ()


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
    foretold: Mapping[str, Any] = field(default_factory=dict)


def what_differs(studio: Studio, piece: Which, firing: int | None = None, plan: Plan | None = None) -> Comparison:
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
    plan : Plan, optional
        Of the piece as it stands now, where it is at hand: of a firing to come it tells when the first gloss is due.
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
        load = next((one for one in reversed(done) if one.firing == firing), None)
        good = last_good(connection, design, firing, row.id, load)
        if good is None:
            why = "so far" if load is None else "before it"
            return Comparison(row.number, firing, why_none=f"no firing {firing} of this design was good {why}")
        now = _of(studio, connection, row, firing, done, load)
        other = piece_row(studio, good.piece)
        past = firing_rows(connection, other.id)
        then = _of(studio, connection, other, firing, past, next(one for one in past if one.number == good.number))
        faces = [{coat.face for coat in one.coats if coat.face} for one in (then, now)]
        if all(faces) and not faces[0] & faces[1]:
            why = f"firing {firing} of the last good one was of the other face, which is not the same kind"
            return Comparison(row.number, firing, why_none=why)
        known = bench(studio)
        course = Course.of(now.foretold) if now.load is not None else Course.planned(plan, firing)
        course = course or Course.of(foretold_last(connection, design, firing)) or Course.of(then.foretold)
        differs, same, unknown = _compare(connection, then, now, Models(known), course)
        lots = _lots(connection, now, {one.jar.casefold() for one in known.learned_clocks})
    return Comparison(
        row.number, firing, good.number, then.piece.number, good.at, tuple(differs), tuple(same), tuple(unknown),
        lots=lots,
    )  # fmt: skip


def _coming(studio: Studio, piece: Row[Any], still_in: Row[Any] | None) -> int:
    """Return the firing a piece is in, else the one it comes to."""
    if still_in is not None and still_in.firing is not None:
        return int(still_in.firing)
    return next_firings(studio, [piece.id])[piece.id].number


def _of(
    studio: Studio, connection: Connection, piece: Row[Any], number: int, done: list[Row[Any]], load: Row[Any] | None
) -> _Firing:
    """Gather what is known of one of the firings of a piece; of one to come, how things stand now."""
    at = load.at if load is not None else studio.now()
    before = [one.at for one in done if one.closed_at is not None and one.at < at]
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
    result = _Firing(piece, number, load, list(connection.execute(coats.order_by(laid.c.at, laid.c.id))), at)
    if load is not None:
        result.foretold = foretold_of(connection, load.of, piece.id)
        result.kiln_id, who = load.kiln, load.who
    else:
        kilns = connection.execute(select(kiln_table.c.id).where(in_use(kiln_table)).limit(2)).scalars().all()
        result.kiln_id, who = (kilns[0] if len(kilns) == 1 else None), studio.person
    if result.kiln_id is not None:
        row = kiln_row(studio, result.kiln_id)
        result.kiln = row.name if row is not None else ""
        result.epoch = epoch_of(studio, result.kiln_id, at)
        result.pause = pause_of(connection, result.kiln_id, at, load.idle_before if load is not None else None)
    if who is not None:
        label = connection.execute(select(person_table.c.label).where(person_table.c.id == who)).scalar()
        result.person = str(label or "")
    return result


def _compare(
    connection: Connection, then: _Firing, now: _Firing, models: Models, course: Course
) -> tuple[list[Differing], list[str], list[str]]:
    """Return what differs, ranked by how much it matters, what is the same, and what is not known of one of them."""
    differs: list[Differing] = []
    same: list[str] = []
    unknown: list[str] = []
    for line in (*_of_coats(then, now, models), *_of_kiln(connection, then, now, models), *_of_load(then, now, models)):
        if not line.then or not line.now:
            unknown.append(line.what)
        elif line.then == line.now if line.equal is None else line.equal:
            same.append(line.what)
        else:
            differs.append(Differing(line.what, line.then, line.now, course.matters(line.effect)))
    if now.load is not None and then.load is not None:
        a, b = then.load.seconds, now.load.seconds
        if a is None or b is None:
            unknown += ["seconds"] if now.load.closed_at is not None else []
        elif a == b:
            same.append("seconds")
        else:
            differs.append(Differing("seconds", shown(then.load, "seconds"), shown(now.load, "seconds"), longer(a, b)))
    # Rows that matter as much stay in the order of the work.
    return sorted(differs, key=lambda one: -one.matters.size), same, unknown


def _of_coats(then: _Firing, now: _Firing, models: Models) -> Iterator[Line]:
    version = str(then.piece.design_version or ""), str(now.piece.design_version or "")
    if version[0] != version[1]:
        yield Line("design version", *version)
    yield from coat_lines(then.coats, now.coats, models, _setting(now) or _setting(then))


def _of_kiln(connection: Connection, then: _Firing, now: _Firing, models: Models) -> Iterator[Line]:
    jars = _jars(then, now)
    yield Line("kiln", then.kiln, now.kiln, effect=models.kilns(then.kiln, now.kiln, jars))
    if then.kiln_id is not None and then.kiln_id == now.kiln_id:
        jumps = jumps_between(connection, then.kiln_id, then.at, now.at)
        yield Line("state of the kiln", _epoch_words(then.epoch), _epoch_words(now.epoch), effect=models.jumps(jumps))
        days = days_between(connection, then.kiln_id, then.at, now.at)
        if days:
            yield Line("day", then.at[:10], now.at[:10], effect=models.days(days))
    # How long the kiln will have rested when the next load goes in is not known, unless one came out a while ago.
    if now.load is not None or (now.pause is not None and now.pause < RESTED):
        known = then.pause is not None and now.pause is not None
        yield Line(
            "pause since the load before", _rest(then.pause), _rest(now.pause), _same_pause(then.pause, now.pause),
            models.pauses(then.pause, now.pause) if known else None,  # type: ignore[arg-type] # both are told
        )  # fmt: skip
    yield Line("person", then.person, now.person, effect=models.eyes())


def _of_load(then: _Firing, now: _Firing, models: Models) -> Iterator[Line]:
    planned = _planned(then, now)
    if then.load is None or (now.load is None and not planned):
        return
    old, new = then.load, now.load
    if new is not None:
        a, b = _setting(then), _setting(now)
        equal = None if a is None or b is None else a == b
        effect = models.settings(a, b, _jars(then, now)) if a is not None and b is not None and not equal else None
        yield Line("setting", shown(old, "set_point"), shown(new, "set_point"), equal, effect)
        yield Line("counted from", old.start or "", new.start or "")
        yield Line("place in the kiln", old.position or "", new.position or "", effect=models.kinds())
    for name, what, effect in (
        ("target", "stage aimed at", None), ("support", "support", models.kinds()),
        ("face_up", "face up", models.kinds()),
    ):  # fmt: skip
        went = _went(now, name) if new is not None else str(planned.get(name) or "")
        equal = _went(then, name) == went if went else None
        coming = ", as planned" if new is None and went else ""
        yield Line(what, _went(then, name), went + coming, equal, effect)


def _planned(then: _Firing, now: _Firing) -> Mapping[str, Any]:
    """Return how the plan has a firing to come, as it was foretold of the other of the same version."""
    if now.load is not None or now.piece.design_version != then.piece.design_version:
        return {}
    planned: Mapping[str, Any] = then.foretold.get("planned") or {}
    return planned


def _went(one: _Firing, name: str) -> str:
    """Return support, face or stage of a firing: as told of the piece, of the load, or as the plan had it."""
    own = getattr(one.load, f"piece_{name}", None)
    told = own or one.load._mapping[name] or (one.foretold.get("firing") or {}).get(name)  # type: ignore[union-attr]
    return str(told or "")


def _setting(one: _Firing) -> float | None:
    """Return what a kiln was set to [K]; None where it is not known."""
    return None if one.load is None or one.load.set_point is None else float(one.load.set_point)


def _jars(then: _Firing, now: _Firing) -> list[str]:
    return [str(coat.code) for coat in (*now.coats, *then.coats) if coat.code]


def _lots(connection: Connection, now: _Firing, taught: set[str]) -> tuple[str, ...]:
    """Say of the new lots a piece was laid from that its window is wider."""
    new = lots_timed(connection).new
    if now.load is not None and now.load.closed_at is not None:
        return ()
    codes = dict.fromkeys(str(one.code) for one in now.coats if one.lot in new and str(one.code).casefold() in taught)
    return tuple(f"A{new_lot_words(code)[1:]}" for code in codes)


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
