"""What became of a record: every state it was in, the story of a piece, and corrections that say why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any

from sqlalchemy import Connection, Row, Select, Table, bindparam, select

from enamelwright import units
from enamelwright.errors import InputError
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.orders import payment
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.schema.pieces import fault_seen, finish, hand_time, measure, mishap
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.records.states import history, table_named
from enamelwright.records.writing import current
from enamelwright.workshop.coats import correct_coat, withdraw_coat
from enamelwright.workshop.faults import fault_name
from enamelwright.workshop.firings import firing_rows, load_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.says_two import ask_correction
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed

#: What people call a table that has another name.
NOUNS = {
    "coat": "coat_laid", "firing": "load", "fault": "fault_seen", "stock": "stock_movement", "order": "customer_order",
    "time": "hand_time", "colour": "colour_reading", "event": "kiln_event", "fact": "jar_fact",
    "washing": "powder_work", "payment": "payment",
}  # fmt: skip
#: What happened to a piece besides its firings.
OF_A_PIECE = {
    "coat": coat_laid, "fault": fault_seen, "measure": measure, "finish": finish, "mishap": mishap, "time": hand_time,
    "colour": colour_reading, "whereabouts": whereabouts, "payment": payment,
}  # fmt: skip
#: What is written of a load in the ordinary course of it; none of this puts anything right.
ORDINARY = frozenset({"closed", "how it came out", "taken back at the kiln"})
#: Names the commands have for what a column is called otherwise.
SAID = {
    "stage": "stage_seen", "set": "set_point", "shown": "shown_at_load", "from": "start", "gloss": "to_gloss",
    "before": "weighed_before", "after": "weighed_after", "grams": "on_piece", "note": "words", "gum": "gum_ratio",
    "weight": "metal_mass", "as": "state",
}  # fmt: skip
#: Units of bare numbers, as the commands take them.
BARE = {"time": "s", "mass": "g"}
#: Columns that say how a row was written, not what it says.
_OWN = frozenset(
    {"id", "entry", "first", "corrects", "withdrawn", "why", "recorded_at", "version", "made_at", "changed_at",
     "changed_by", "typed", "who", "of"}
)  # fmt: skip


@dataclass(frozen=True)
class State:
    """One state of one record.

    Attributes
    ----------
    row : int
        Its row; for what is kept, its version.
    written_at : str
        When it was written.
    who : str
        Label of who wrote it.
    why : str
        Why it was corrected.
    withdrawn : bool
        Whether it says that this never happened.
    changed : dict
        Column to (before, after) against the state before it; empty for the first.
    """

    row: int
    written_at: str
    who: str
    why: str
    withdrawn: bool
    changed: dict[str, tuple[Any, Any]]


@dataclass(frozen=True)
class Told:
    """One thing that happened to a piece.

    Attributes
    ----------
    at : str
        When.
    what : str
        Noun to correct it by: ``coat``, ``load``, ``fault`` ...
    row : int
        First row of its chain.
    words : str
        One line.
    corrected : bool
        Whether there are earlier states of it.
    """

    at: str
    what: str
    row: int
    words: str
    corrected: bool


def noun_table(noun: str) -> Table:
    """Return the table of a noun as people say it.

    Parameters
    ----------
    noun : str
        ``coat``, ``load``, ``fault``, ``bath entry`` ...
    """
    name = noun.strip().casefold().replace(" ", "_").replace("-", "_")
    return table_named(NOUNS.get(name, name))


def states(studio: Studio, noun: str, which: Which) -> list[State]:
    """List every state one record was in, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    noun : str
        As for :func:`noun_table`.
    which : int or str
        Row; a load or a piece also by its number.
    """
    table = noun_table(noun)
    row = row_of(studio, table, which)
    with studio.reading() as connection:
        found = history(connection, table, row)
        labels = _labels(connection)
    result: list[State] = []
    before: dict[str, Any] = {}
    for now in found:
        changed = {
            name: (before[name], value)
            for name, value in now.items()
            if before and name not in _OWN and before.get(name) != value
        }
        kept = table.info["kind"] == "kept"
        written = (now["changed_at"] if kept else now["recorded_at"]) or ""
        who = labels.get(now["changed_by"] if kept else now["who"], "")
        number = int(now["version"] if kept else now["id"])
        result.append(State(number, written, who, now.get("why") or "", bool(now.get("withdrawn")), changed))
        before = now
    return result


def value_words(noun: str, column: str, value: Any) -> str:
    """Show a column's value for people; a dash when it is not known.

    Parameters
    ----------
    noun : str
        As for :func:`noun_table`.
    column : str
        Its name.
    value : object
        What stands there.
    """
    if value is None:
        return "-"
    info = noun_table(noun).c[column].info
    if "dimension" in info:
        return units.show(value, info["dimension"])
    if "yes_no" in info:
        return "yes" if value else "no"
    if "instant" in info:
        return f"{datetime.fromisoformat(value).astimezone():%Y-%m-%d %H:%M}"
    return str(value)


def correct(
    studio: Studio, noun: str, which: Which, why: str, *, seen: int | None = None, really: bool = False, **changes: Any
) -> int:
    """Correct what happened, or change what is kept, and return the new row or version.

    A coat takes its stock movement along.

    Parameters
    ----------
    studio : Studio
        The studio.
    noun : str
        As for :func:`noun_table`.
    which : int or str
        Row; a load or a piece also by its number.
    why : str
        Said in the history; needed for what happened.
    seen : int, optional
        What was the newest when somebody was shown it: a row of what happened, a version of what is kept.
    really : bool
        Whether a firing that says two things afterwards is meant.
    **changes
        Columns that differ.

    Raises
    ------
    Conflict
        When somebody corrected or changed it since `seen`; carries both values.
    AskedBack
        When a firing would say two things afterwards, and nobody said that it is meant.
    InputError
        When nothing changes, or no reason is given.
    """
    table = noun_table(noun)
    if not changes:
        raise InputError("nothing was said that differs.", "Name a field and what it should say.")
    changes = _as_columns(table, changes)
    row = row_of(studio, table, which)
    if table.info["kind"] == "kept":
        return studio.change(table, row, seen, **changes)
    _expect_reason(why)
    if table is coat_laid:
        return correct_coat(studio, row, why, seen=seen, **changes)
    ask_correction(studio, table.name, row, changes, really=really)
    return studio.correct(table, row, why, seen=seen, **changes)


def withdraw(studio: Studio, noun: str, which: Which, why: str, *, seen: int | None = None) -> int:
    """Say that something never happened, and return the new row; it stays in the history.

    What is kept rather than happened is put away instead, and a piece only while nothing was done to it.

    Parameters
    ----------
    studio : Studio
        The studio.
    noun : str
        As for :func:`noun_table`.
    which : int or str
        Row; a load also by its number.
    why : str
        Said in the history.
    seen : int, optional
        The row that was the newest when somebody was shown it.
    """
    table = noun_table(noun)
    row = row_of(studio, table, which)
    if table.info["kind"] == "kept":
        return _put_away(studio, table, row, noun, seen)
    _expect_reason(why)
    if table is coat_laid:
        return withdraw_coat(studio, row, why, seen=seen)
    with studio.writing() as work:
        if table.name == "load":
            _withdraw_parts(studio, work.connection, row, why)
        return studio.withdraw(table, row, why, seen=seen)


def _as_columns(table: Table, changes: dict[str, Any]) -> dict[str, Any]:
    """Return changes by column: options of the commands are known too, and bare numbers get their unit."""
    result: dict[str, Any] = {}
    for name, value in changes.items():
        column = name if name in table.c else SAID.get(name, name)
        if column not in table.c:
            noun = table.name.replace("_", " ")
            known = sorted(one.name.replace("_", " ") for one in table.c if one.name not in _OWN)
            raise InputError(f"a {noun} has no '{name[:40]}'.", f"It has: {', '.join(known)}.")
        unit = "min" if column == "dried" else BARE.get(table.c[column].info.get("dimension", ""))
        bare = isinstance(value, str) and value.strip()[-1:].isdigit() and value.strip().replace(".", "").isdecimal()
        result[column] = f"{value.strip()} {unit}" if unit and bare else value
    return result


def _put_away(studio: Studio, table: Table, row: int, noun: str, version: int | None) -> int:
    """Take what is kept off the lists; a piece something was done to ends in its own way."""
    if "put_away" not in table.c:
        raise InputError(f"a {noun} is kept and cannot be withdrawn.", "Change what it says instead.")
    if table.name == "piece" and story(studio, row):
        raise InputError(
            "something was done to this piece, so it stays.",
            "Withdraw what never happened first, or say what became of it: piece finish NUMBER --as spoilt.",
        )
    return studio.change(table, row, version, put_away=True)


def row_of(studio: Studio, table: Table, which: Which) -> int:
    """Return the row people mean: of a load or piece by number, else by its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    table : Table
        Of :func:`noun_table`.
    which : int or str
        Row or number.
    """
    if isinstance(which, int):
        return which
    text = which.strip()
    if table.name == "load" and not text.isdecimal():
        return int(load_row(studio, text).of)
    if table.name == "piece":
        return int(piece_row(studio, text).id)
    if text.isdecimal():
        return int(text)
    for column in ("number", "code", "label", "name", "key"):
        if column in table.c:
            with studio.reading() as connection:
                found = connection.execute(select(table.c.id).where(table.c[column] == text).limit(1)).one_or_none()
            if found is not None:
                return int(found.id)
    raise InputError(f"there is no {table.name.replace('_', ' ')} '{text[:60]}'.", "Name it by its row.")


def story(studio: Studio, piece: Which) -> list[Told]:
    """Tell what happened to a piece, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    """
    told: list[Told] = []
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        jars = {one.id: one.code for one in connection.execute(select(jar_table.c.id, jar_table.c.code))}
        for fired in firing_rows(connection, row.id):
            put_right = fired.first is not None and fired.why not in ORDINARY
            words = firing_words(fired, planned=row.design_version is not None)
            told.append(Told(fired.at, "load", fired.of, words, put_right))
        there = connection.execute(_what_there_is(), {"piece_row": row.id}).one()
        for noun, table in OF_A_PIECE.items():
            if there._mapping[noun] is None:
                continue
            for one in connection.execute(current(table).where(table.c.piece == row.id)):
                told.append(Told(one.at, noun, one.of, _words(noun, one, jars), one.first is not None))
    return sorted(told, key=lambda one: (one.at, one.row))


@cache
def _what_there_is() -> Select[Any]:
    """Select, for each noun, some row that hangs on a piece: most pieces have few of them."""
    found = []
    for noun, table in OF_A_PIECE.items():
        some = select(table.c.id).where(table.c.piece == bindparam("piece_row")).limit(1)
        found.append(some.scalar_subquery().label(noun))
    return select(*found)


def firing_words(fired: Row[Any], *, planned: bool = False) -> str:
    """Say a firing on one line.

    Parameters
    ----------
    fired : Row
        A load, or a firing of a piece of :func:`enamelwright.workshop.firings.firings_of`.
    planned : bool
        Whether its number is one of a plan.
    """
    of_piece = "firing" in fired._mapping
    stage = (fired.piece_stage if of_piece else None) or fired.stage_seen
    of_plan = " of the plan" if planned else ""
    parts = [f"firing {fired.firing}{of_plan} in {fired.number}"] if of_piece else []
    if fired.set_point is not None:
        parts.append(f"set {as_typed(fired, 'set_point')}")
    if fired.seconds is not None:
        start = " once recovered" if fired.start == "recovered" else ""
        parts.append(f"{as_typed(fired, 'seconds')}{start}")
    gloss = (fired.piece_to_gloss if of_piece else None) or fired.to_gloss
    if gloss is not None:
        parts.append(f"first gloss after {units.show(gloss, 'time')}")
    if fired.closed_at is None:
        parts.append("still in the kiln")
    elif fired.interrupted:
        parts.append("interrupted")
    if stage:
        parts.append(stage)
    return (", ".join(parts) or "nothing told") + (f": {fired.words}" if fired.words else "")


def _words(noun: str, one: Any, jars: dict[int, str]) -> str:
    if noun == "coat":
        parts = [
            jars.get(one.jar, "powder"), one.face, one.cell,
            f"{as_typed(one, 'weighed_out', 'g')} weighed out" if one.weighed_out is not None else None,
            f"{as_typed(one, 'on_piece', 'g')}{' on it' if one.weighed_out is not None else ''}"
            if one.on_piece is not None
            else None,
            f"through {one.mesh} mesh" if one.mesh else None,
            f"dried {as_typed(one, 'dried', 'min')}" if one.dried is not None else None,
        ]  # fmt: skip
    elif noun == "fault":
        healed = {True: "healed", False: "not healed", None: None}[one.healed]
        parts = [fault_name(one.fault), one.place_on_piece, one.when_seen, one.severity, one.remedy_tried, healed]
    elif noun == "measure":
        value = as_typed(one, "mass", "g") if one.mass is not None else as_typed(one, "length", "mm")
        parts = [one.what, value, f"over {as_typed(one, 'over', 'mm')}" if one.over is not None else None]
    elif noun in {"finish", "time"}:
        grit = one.grit if noun == "finish" else None
        parts = [one.work, grit, as_typed(one, "duration", "min") if one.duration is not None else None]
    elif noun == "mishap":
        parts = [one.what]
    elif noun == "colour":
        lab = None if one.lightness is None else f"L {one.lightness:.0f} a {one.a or 0:.0f} b {one.b or 0:.0f}"
        parts = [one.spot, lab, one.read_by]
    elif noun == "whereabouts":
        parts = [one.place]
    else:
        parts = [one.kind, one.how]
    line = ", ".join(str(part) for part in parts if part)
    return f"{line}: {one.words}" if one.words else line


def _labels(connection: Connection) -> dict[int | None, str]:
    return {one.id: one.label for one in connection.execute(select(person_table.c.id, person_table.c.label))}


def _withdraw_parts(studio: Studio, connection: Connection, load: int, why: str) -> None:
    """A load that never happened takes along what only it can have: its pieces, looks and predictions."""
    for name in ("load_piece", "look", "prediction"):
        table = table_named(name)
        first = table.c.load == load
        for part in connection.execute(current(table).where(first)).all():
            studio.withdraw(table, part.of, why)


def _expect_reason(why: str) -> None:
    if not why.strip():
        raise InputError("a correction needs its reason.", "Say in a few words why.")
