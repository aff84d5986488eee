"""What is told at the kiln: put in, looked, out, how it came out; and taking the last thing back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, Table, select

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look, prediction
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import mishap as mishap_table
from enamelwright.records.writing import current
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.firings import load_row, looks_of, pieces_in
from enamelwright.workshop.loads import begin_load, close_load, look_in, mishap
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.says_two import ask_outcome
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: Words of the look that says the kiln is back up to heat, from which the seconds of such a load count.
BACK_UP = "back up to heat"
#: Said in the history when something told at the kiln is taken back on the spot.
TAKEN_BACK = "taken back at the kiln"
#: Said in the history when a load that came out is described piece by piece.
HOW_IT_CAME_OUT = "how it came out"
#: Everything that closing a load filled in, for taking that back.
_CLOSING = ("closed_at", "seconds", "to_gloss", "stage_seen", "shown_lowest", "cooled", "interrupted")
#: What may be told of one piece.
_EACH = ("stage_seen", "seconds", "to_gloss", "position", "do_not_learn")


@dataclass(frozen=True)
class Told:
    """What one entry wrote.

    Attributes
    ----------
    words : str
        What happened, in one line.
    load : str
        Number of the load.
    rows : tuple of (str, int)
        Table and first row of what was written, for taking it back.
    """

    words: str
    load: str
    rows: tuple[tuple[str, int], ...]


def put_in(studio: Studio, pieces: Iterable[Which], each: Mapping[Which, Mapping[str, Any]], **settings: Any) -> Told:
    """Put a load into the kiln.

    Parameters
    ----------
    studio : Studio
        At the moment the door closed.
    pieces : iterable of int or str
        Rows, numbers or labels.
    each : mapping
        Piece to what differs for it.
    **settings
        As :func:`enamelwright.workshop.loads.begin_load` knows them, `kiln` and `support_owned` included.
    """
    begun = begin_load(studio, list(pieces), each=each, **settings)
    return Told(f"{begun.number} is in.", begun.number, (("load", begun.load),))


def looked(
    studio: Studio,
    load: Which,
    *,
    seconds: Quantity = None,
    stage_seen: str | None = None,
    shown: Quantity = None,
    door_open: Quantity = None,
    back_in: bool | None = None,
    words: str | None = None,
) -> Told:
    """Record a look, or with :data:`BACK_UP` as words the moment from which the seconds count.

    Parameters
    ----------
    studio : Studio
        At the moment of the look.
    load : int or str
        Row or number.
    seconds, stage_seen, shown, door_open, back_in, words
        As :func:`enamelwright.workshop.loads.look_in` knows them.
    """
    number = load_row(studio, load).number
    row = look_in(
        studio, load, seconds=seconds, stage_seen=stage_seen, shown=shown, door_open=door_open, back_in=back_in,
        words=words,
    )  # fmt: skip
    return Told(f"{number}: {stage_seen or words or 'looked'}.", number, (("look", row),))


def out(studio: Studio, load: Which, **outcome: Any) -> Told:
    """Say that a load came out.

    Parameters
    ----------
    studio : Studio
        At the moment it came out.
    load : int or str
        Row or number of a load that is open.
    **outcome
        As :func:`enamelwright.workshop.loads.close_load` knows it.
    """
    row = load_row(studio, load)
    close_load(studio, row.of, closed_at=studio.clock(), **outcome)
    return Told(f"{row.number} is out.", row.number, (("load out", row.of),))


def came_out(
    studio: Studio,
    load: Which,
    *,
    whole: Mapping[str, Any],
    each: Mapping[Which, Mapping[str, Any]],
    faults: Mapping[Which, Iterable[str]],
    mishaps: Mapping[Which, str],
    really: bool = False,
) -> Told:
    """Say how a load that is out came out: alike for all, and what differs piece by piece.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number of a load that is closed.
    whole : mapping
        `stage_seen`, `seconds`, `to_gloss`, `cooled`, `interrupted`, `words` of the load; what is None stays.
    each : mapping
        Piece to `stage_seen`, `seconds`, `to_gloss` or `do_not_learn` where it differs.
    faults : mapping
        Piece to faults that were seen on it in this load.
    mishaps : mapping
        Piece to what happened to it in the hand.
    really : bool
        Whether a firing that says two things is meant.

    Raises
    ------
    AskedBack
        When it says two things, and nobody said that it is meant. With the door open nobody is asked; here there is
        time.
    RecordError
        When the load is still in the kiln.
    """
    with studio.writing():
        row = load_row(studio, load)
        if row.closed_at is None:
            raise RecordError(f"load {row.number} is still in the kiln.", "Say first that it is out.", row.number)
        inside = {one.piece: one for one in pieces_in(studio, row.of)}
        told = {name: value for name, value in whole.items() if value is not None}
        ask_outcome(studio, row.of, told, each, really=really)
        if told:
            studio.correct(load_table, row.of, HOW_IT_CAME_OUT, **told)
        rows: list[tuple[str, int]] = []
        for which, differs in each.items():
            piece = _inside(studio, inside, which)
            known = {name: value for name, value in differs.items() if name in _EACH and value is not None}
            if known:
                studio.correct(load_piece, inside[piece].of, HOW_IT_CAME_OUT, **known)
        for which, names in faults.items():
            piece = _inside(studio, inside, which)
            for name in names:
                fault = see_fault(studio, piece, name, load=row.of, when_seen="first minute", severity="seen")
                rows.append(("fault_seen", fault))
        for which, what in mishaps.items():
            piece = _inside(studio, inside, which)
            rows.append(("mishap", mishap(studio, what, piece=piece, load=row.of)))
        return Told(f"{row.number} is written down.", row.number, (("load after", row.of), *rows))


def take_back(studio: Studio, rows: Iterable[tuple[str, int]]) -> str:
    """Take back what one entry wrote, and say so in one line; every row stays readable in the history.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : iterable of (str, int)
        Of :class:`Told`.
    """
    with studio.writing():
        for name, row in rows:
            if name == "load":
                _never_in(studio, row)
            elif name == "load out":
                studio.correct(load_table, row, TAKEN_BACK, **dict.fromkeys(_CLOSING))
            elif name == "load after":
                _not_described(studio, row)
            elif name == "coat_laid":
                from enamelwright.workshop.coats import withdraw_coat

                withdraw_coat(studio, row, TAKEN_BACK)
            elif name in _ROWS:
                studio.withdraw(_ROWS[name], row, TAKEN_BACK)
            else:
                raise InputError("this cannot be taken back here.", "Correct it on the page of the piece.")
    return "Taken back."


def back_up_at(studio: Studio, load: int) -> float | None:
    """Return the seconds from closing the door to being back up to heat; None when nobody said so.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int
        First row of the load.
    """
    told = [one.seconds for one in looks_of(studio, load) if one.words == BACK_UP and one.seconds is not None]
    return float(told[-1]) if told else None


_ROWS: dict[str, Table] = {"look": look, "fault_seen": fault_seen, "mishap": mishap_table}


def _inside(studio: Studio, inside: Mapping[int, Row[Any]], which: Which) -> int:
    row = piece_row(studio, which)
    if row.id not in inside:
        raise InputError(f"{row.number} is not in this load.", "Name a piece that is.")
    return int(row.id)


def _never_in(studio: Studio, row: int) -> None:
    """Withdraw a load with its places and what was foretold; a load that was looked into stays."""
    if looks_of(studio, row):
        raise RecordError("somebody has looked into this load since.", "Take the look back first.")
    for table in (load_piece, prediction):
        with studio.reading() as connection:
            found = connection.execute(current(table, table.c.id).where(table.c.load == row)).scalars().all()
        for one in found:
            studio.withdraw(table, one, TAKEN_BACK)
    studio.withdraw(load_table, row, TAKEN_BACK)


def _not_described(studio: Studio, row: int) -> None:
    """Go back to how a load stood when it came out."""
    with studio.reading() as connection:
        before = connection.execute(
            select(load_table)
            .where((load_table.c.first == row) | (load_table.c.id == row), load_table.c.closed_at.is_not(None))
            .where((load_table.c.why != HOW_IT_CAME_OUT) | load_table.c.why.is_(None))
            .order_by(load_table.c.id.desc())
            .limit(1)
        ).one_or_none()
        parts = connection.execute(current(load_piece).where(load_piece.c.load == row)).all()
    if before is not None:
        kept = ("stage_seen", "seconds", "to_gloss", "cooled", "interrupted", "words")
        studio.correct(load_table, row, TAKEN_BACK, **{name: getattr(before, name) for name in kept})
    for part in parts:
        if part.why in {HOW_IT_CAME_OUT, "what was seen of it"}:
            studio.correct(
                load_piece, part.of, TAKEN_BACK, stage_seen=None, seconds=None, to_gloss=None, do_not_learn=None
            )
