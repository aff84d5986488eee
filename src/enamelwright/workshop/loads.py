"""Loads: what goes into the kiln at once, what is seen through the door, and how it came out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Row

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look
from enamelwright.records.schema.pieces import mishap as mishap_table
from enamelwright.records.writing import current, moment
from enamelwright.workshop.firings import load_row, open_load_of, pieces_in
from enamelwright.workshop.kilns import kiln_row, support_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.plan_firings import make_room
from enamelwright.workshop.predictions import Foretold, foretell, freeze
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, fields

#: What is known of a load before it comes out.
BEFORE = (
    "set_point", "shown_at_load", "start", "target", "face_up", "support", "idle_before", "programme", "words",
)  # fmt: skip
#: What is told when it comes out.
AFTER = ("seconds", "to_gloss", "stage_seen", "shown_lowest", "cooled", "interrupted")


@dataclass(frozen=True)
class Begun:
    """A load that went into the kiln.

    Attributes
    ----------
    load : int
        First row of the load.
    number : str
        Its permanent number.
    pieces : tuple of str
        Numbers of the pieces.
    foretold : int
        For how many of them a prediction was frozen.
    unforetold : dict of str to str
        Number of a piece to why nothing was foretold of it.
    again : dict of str to str
        Number of a piece to why this is a firing it has been through before.
    """

    load: int
    number: str
    pieces: tuple[str, ...]
    foretold: int
    unforetold: Mapping[str, str]
    again: Mapping[str, str] = field(default_factory=dict)


def begin_load(
    studio: Studio,
    pieces: Sequence[Which],
    *,
    kiln: Which = "",
    support_owned: Which | None = None,
    each: Mapping[Which, Mapping[str, Any]] | None = None,
    at: Any = None,
    **settings: Any,
) -> Begun:
    """Put pieces into the kiln; what the plan foretells of each is frozen before anything is seen.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int or str
        Rows, numbers or labels.
    kiln : int or str
        Row or name; the only one when left out.
    support_owned : int or str, optional
        Row or name of the support one owns.
    each : mapping, optional
        Piece to what differs for it: `position`, `face_up`, `support`.
    at : datetime, optional
        When it went in; now when left out.
    **settings
        `set_point`, `shown_at_load`, `idle_before` (quantities); `start` (``load`` or ``recovered``: what
        the seconds are counted from), `target`, `face_up`, `support`, `programme`, `words`.

    Raises
    ------
    InputError
        For no piece, a piece named twice, or a setting nobody knows.
    RecordError
        When a piece is in a load that is still open.
    """
    _only(settings, BEFORE)
    rows = _pieces(studio, pieces)
    _not_inside(studio, rows)
    told_at = _moment(studio, at) or studio.now()
    asked = _asked(studio, kiln, settings, support_owned)
    foretold = foretell(studio, rows, asked, _each_row(studio, each), told_at)
    return _begin(studio, rows, foretold, kiln, support_owned, each or {}, at, settings, told_at, with_outcome=False)


def look_in(
    studio: Studio,
    load: Which,
    *,
    seconds: Quantity = None,
    stage_seen: str | None = None,
    shown: Quantity = None,
    piece: Which | None = None,
    door_open: Quantity = None,
    back_in: bool | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record one look through the door and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number.
    seconds : quantity, optional
        Since it went in.
    stage_seen : str, optional
        As the eye saw it.
    shown : quantity, optional
        What the display showed.
    piece : int or str, optional
        Which piece was looked at.
    door_open : quantity, optional
        How long the door stood open.
    back_in : bool, optional
        Whether it went back in.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        row = load_row(studio, load)
        seen = piece_row(studio, piece).id if piece is not None else None
        return studio.add(
            look, load=row.of, piece=seen, seconds=seconds, shown=shown, stage_seen=stage_seen, door_open=door_open,
            back_in=back_in, at=at, words=words,
        )  # fmt: skip


def close_load(
    studio: Studio,
    load: Which,
    *,
    each: Mapping[Which, Mapping[str, Any]] | None = None,
    closed_at: Any = None,
    **outcome: Any,
) -> int:
    """Record how a load came out and return the load's new row.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number of a load that is open.
    each : mapping, optional
        Piece to what differs for it: `stage_seen`, `seconds`, `to_gloss`, `position`, `do_not_learn`.
    closed_at : datetime, optional
        When it came out; when it went in plus its seconds, else now, when left out.
    **outcome
        `seconds`, `to_gloss`, `shown_lowest` (quantities), `stage_seen`, `cooled`, `interrupted`; and
        anything :func:`begin_load` knows, to complete or put right what was said then.

    Raises
    ------
    RecordError
        When it was closed before: that is a correction.
    """
    _only(outcome, (*AFTER, *BEFORE))
    with studio.writing():
        row = load_row(studio, load)
        if row.closed_at is not None:
            raise RecordError(f"load {row.number} was closed before.", "Correct it instead.", row.number)
        given = fields(load_table, outcome, row.typed)
        out = _came_out(studio, row, given.get("seconds"), closed_at)
        for which, differs in (each or {}).items():
            _differs(studio, row.of, which, differs)
        return studio.correct(load_table, row.of, "closed", closed_at=out, **outcome)


def fired(
    studio: Studio,
    pieces: Sequence[Which],
    *,
    kiln: Which = "",
    support_owned: Which | None = None,
    each: Mapping[Which, Mapping[str, Any]] | None = None,
    at: Any = None,
    closed_at: Any = None,
    new: Sequence[str] = (),
    **told: Any,
) -> Begun:
    """Record a whole firing in one breath; one that is open for these pieces is closed instead.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int or str
        Rows, numbers or labels.
    kiln, support_owned, each, at
        As for :func:`begin_load`.
    closed_at : datetime, optional
        When it came out.
    new : sequence of str
        Labels of things without a plan or number; each gets its number here.
    **told
        Anything :func:`begin_load` and :func:`close_load` know.

    Raises
    ------
    InputError
        When the pieces are in different open loads.
    """
    _only(told, (*BEFORE, *AFTER))
    rows = _pieces(studio, pieces) if pieces or not new else []
    open_now = {row.id: open_load_of(studio, row.id) for row in rows}
    numbers = {row.number for row in open_now.values() if row is not None}
    if numbers:
        if len(numbers) > 1 or None in open_now.values() or new:
            raise InputError(
                f"some of these are in load {' and '.join(sorted(numbers))}, which is open.",
                "Close that one by itself.",
            )
        with studio.writing():
            row = next(row for row in open_now.values() if row is not None)
            close_load(studio, row.of, each=_after_part(each), closed_at=closed_at, **told)
            inside = [piece.number for piece in pieces_in(studio, row.of)]
            return Begun(row.of, row.number, tuple(inside), 0, {})
    told_at = _moment(studio, at)
    if at is None:  # told when it came out
        seconds = fields(load_table, {"seconds": told.get("seconds")})["seconds"]
        at = studio.clock() - timedelta(seconds=seconds or 0)
    before = {name: value for name, value in told.items() if name in BEFORE}
    after = {name: value for name, value in told.items() if name in AFTER}
    asked = _asked(studio, kiln, before, support_owned)
    foretold = foretell(studio, rows, asked, _each_row(studio, each), told_at, len(new))
    with studio.writing():
        for label in new:
            row = start_pieces(studio, 1, labels=[label])[0]
            rows.append(row)
            foretold.append(Foretold(row.id, None, 1, {}, None, why_not="it has no plan"))
        room = None if after.get("interrupted") else told_at
        begun = _begin(studio, rows, foretold, kiln, support_owned, each or {}, at, before, room, with_outcome=True)
        close_load(studio, begun.load, each=_after_part(each), closed_at=closed_at, **after)
        return begun


def mishap(
    studio: Studio,
    what: str,
    *,
    piece: Which | None = None,
    load: Which | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record that something went wrong in the hand, and return its row; the firing is not learned from.

    Parameters
    ----------
    studio : Studio
        The studio.
    what : str
        ``dropped``, ``slid off``, ``stuck``, ``touched``, ``powder lost``, ``knocked`` or ``other``.
    piece : int or str, optional
        Row, number or label.
    load : int or str, optional
        Row or number.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        hit = piece_row(studio, piece).id if piece is not None else None
        within = load_row(studio, load).of if load is not None else None
        if hit is not None and within is not None:
            _differs(studio, within, hit, {"do_not_learn": True})
        return studio.add(mishap_table, what=what, piece=hit, load=within, at=at, words=words)


def _begin(
    studio: Studio,
    rows: Sequence[Row[Any]],
    foretold: list[Foretold],
    kiln: Which,
    support_owned: Which | None,
    each: Mapping[Which, Mapping[str, Any]],
    at: Any,
    settings: Mapping[str, Any],
    told_at: str | None,
    *,
    with_outcome: bool,
) -> Begun:
    with studio.writing() as work:
        kiln_there = kiln_row(studio, kiln)
        owned = support_row(studio, support_owned) if support_owned is not None else None
        settings = dict(settings)
        if owned is not None and not settings.get("support"):
            settings["support"] = owned.kind
        number = work.number("load", _day(studio, at).year)
        load = studio.add(
            load_table, number=number, kiln=kiln_there.id if kiln_there is not None else None,
            support_owned=owned.id if owned is not None else None, at=at, **settings,
        )  # fmt: skip
        special = {piece_row(studio, which).id: differs for which, differs in each.items()}
        strangers = set(special) - {row.id for row in rows}
        if strangers:
            raise InputError("something is said of a piece that is not in this load.", "Take it out or add the piece.")
        for row, one in zip(rows, foretold, strict=True):
            own = {k: v for k, v in special.get(row.id, {}).items() if k in {"position", "face_up", "support", "words"}}
            if told_at is not None and not one.again:
                make_room(studio, row.id, one.firing, told_at)
            studio.add(load_piece, load=load, piece=row.id, firing=one.firing, at=at, **own)
        written = freeze(studio, load, foretold, with_outcome=with_outcome)
        names = {row.id: row.number for row in rows}
        return Begun(
            load, number, tuple(row.number for row in rows), written,
            {names[one.piece]: one.why_not for one in foretold if one.figures is None},
            {names[one.piece]: one.again for one in foretold if one.again},
        )  # fmt: skip


def _pieces(studio: Studio, pieces: Sequence[Which]) -> list[Row[Any]]:
    if not pieces:
        raise InputError("no piece was named.", "Name one by number or label, or give something new a label.")
    with studio.reading():
        rows = [piece_row(studio, which) for which in pieces]
    twice = [row.number for row in rows if sum(other.id == row.id for other in rows) > 1]
    if twice:
        raise InputError(f"{twice[0]} is named twice.", "Name every piece once.")
    return rows


def _asked(
    studio: Studio, kiln: Which, settings: Mapping[str, Any], support_owned: Which | None = None
) -> dict[str, Any]:
    """Return the settings a prediction was made under, in SI."""
    row = kiln_row(studio, kiln)
    given = {k: v for k, v in fields(load_table, settings).items() if v is not None and k not in {"typed", "words"}}
    if support_owned is not None and not given.get("support"):
        given["support"] = support_row(studio, support_owned).kind
    return {"kiln": row.name if row is not None else None, "settings": given}


def _not_inside(studio: Studio, rows: Sequence[Row[Any]]) -> None:
    """Refuse a piece that is in a kiln already."""
    for row in rows:
        inside = open_load_of(studio, row.id)
        if inside is not None:
            raise RecordError(
                f"{row.number} is in load {inside.number}, which is still open.",
                f"Close {inside.number} first, or withdraw it when it never went in.",
            )


def _each_row(studio: Studio, each: Mapping[Which, Mapping[str, Any]] | None) -> dict[int, dict[str, Any]]:
    """Return what differs for a piece beforehand and bears on its window, by row."""
    telling = {"face_up", "support"}
    own = {
        which: {k: v for k, v in differs.items() if k in telling and v} for which, differs in (each or {}).items()
    }  # fmt: skip
    return {piece_row(studio, which).id: differs for which, differs in own.items() if differs}


def _moment(studio: Studio, at: Any) -> str | None:
    """Return when a load goes in as the record writes moments; None for now."""
    return None if at is None else str(fields(load_table, {"at": at})["at"])


def _only(given: Mapping[str, Any], known: Sequence[str]) -> None:
    for name in given:
        if name not in known:
            raise InputError(f"a load knows no '{name}'.", f"Known: {', '.join(known)}.")


def _differs(studio: Studio, load: int, which: Which, differs: Mapping[str, Any]) -> None:
    """Write what differs for one piece of a load."""
    row = piece_row(studio, which)
    with studio.reading() as connection:
        inside = connection.execute(
            current(load_piece).where(load_piece.c.load == load, load_piece.c.piece == row.id)
        ).one_or_none()
    if inside is None:
        raise InputError(f"{row.number} is not in this load.", "Name a piece that is.")
    if differs:
        studio.correct(load_piece, inside.of, "what was seen of it", **differs)


def _after_part(each: Mapping[Which, Mapping[str, Any]] | None) -> dict[Which, dict[str, Any]]:
    """Return what is said of pieces after the firing; where they stood was written when they went in."""
    early = {"position", "face_up", "support", "words"}
    parts = {which: {k: v for k, v in differs.items() if k not in early} for which, differs in (each or {}).items()}
    return {which: part for which, part in parts.items() if part}


def _day(studio: Studio, at: Any) -> datetime:
    if isinstance(at, datetime):
        return at.astimezone()
    if isinstance(at, str) and at.strip():
        return datetime.fromisoformat(at.strip()).astimezone()
    return studio.clock().astimezone()


def _came_out(studio: Studio, row: Row[Any], seconds: float | None, closed_at: Any) -> str:
    """Return when a load came out: as told, else by its seconds, else now."""
    if closed_at is not None:
        return str(fields(load_table, {"closed_at": closed_at})["closed_at"])
    known = seconds if seconds is not None else row.seconds
    if known is not None and row.start != "recovered":
        return moment(datetime.fromisoformat(row.at) + timedelta(seconds=known))
    return studio.now()
