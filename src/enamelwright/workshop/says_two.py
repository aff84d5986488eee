"""Firings that say two things: out before the first gloss, glossed and not glossed, melting backwards.

Glass that is hot only goes on: powder, sugar, orange peel, gloss, too much. Whoever tells it otherwise has slipped in a
time or a stage, and nobody but the one who was there knows in which. So it is asked back before it is written down, and
what stands in the record all the same teaches nothing until it is put right.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from sqlalchemy import Connection, Row, Table, select

from enamelwright.errors import InputError
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look
from enamelwright.records.writing import current
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.firings import load_row, looks_of, open_load_of, pieces_in
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, fields

#: Why such a firing teaches nothing.
TWO_THINGS = "says two things"
#: Stages as hot glass runs through them; clear glass is glossy glass.
RANK = {"powder": 0, "sugar": 1, "orange peel": 2, "gloss": 3, "cleared": 3, "over-fired": 4}
#: Times are read off a clock that shows whole seconds [s].
SAME = 1.0
#: What of a load, of a piece in it and of a look bears on it.
TELLING = frozenset({"seconds", "to_gloss", "stage_seen"})


class AskedBack(InputError):
    """Something is asked back before it is written down; told again as really meant, it is kept."""


@dataclass(frozen=True)
class Outcome:
    """How one piece came out: when it was pulled [s], at which stage, and when it first glossed [s]."""

    seconds: float | None
    stage: str
    to_gloss: float | None


@dataclass(frozen=True)
class Look:
    """One look at which a stage was seen [s]; `piece` is None where nobody said at which piece."""

    seconds: float
    stage: str
    piece: int | None = None


@dataclass(frozen=True)
class SaysTwo:
    """A load that says two things: its number, and which."""

    load: int
    number: str
    words: str


#: Asked by every page that lists what is left out.
_standing = AtHand[tuple[SaysTwo, ...]](load_table, load_piece, look)


def outcome_of(load: Any, piece: Any) -> Outcome:
    """Return how one piece of a load came out.

    The first gloss of the load is not that of a piece that stayed below gloss, or was out before.

    Parameters
    ----------
    load, piece : Row
        Of the load, and of the piece in it; both have `seconds`, `stage_seen` and `to_gloss`.
    """
    seconds = piece.seconds if piece.seconds is not None else load.seconds
    to_gloss = piece.to_gloss
    below = piece.stage_seen in RANK and RANK[piece.stage_seen] < RANK["gloss"]
    before = piece.seconds is not None and load.to_gloss is not None and piece.seconds + SAME < load.to_gloss
    if to_gloss is None and not below and not before:
        to_gloss = load.to_gloss
    stage = piece.stage_seen or load.stage_seen or ""
    return Outcome(seconds, stage if stage in RANK else "", to_gloss)  # an unknown stage is refused elsewhere


def two_things(told: Outcome, looks: Iterable[Look] = ()) -> str:
    """Say which two things a firing says that cannot both be; empty when it says one.

    Parameters
    ----------
    told : Outcome
        How it came out.
    looks : iterable of Look
        What was seen of it before.
    """
    if told.to_gloss is not None and told.seconds is not None and told.to_gloss > told.seconds + SAME:
        return f"first gloss at {told.to_gloss:.0f} s, but out after {told.seconds:.0f} s"
    if told.to_gloss is not None and told.stage and RANK[told.stage] < RANK["gloss"]:
        return f"first gloss at {told.to_gloss:.0f} s, but it came out at {told.stage}"
    seen = sorted(looks, key=lambda one: one.seconds)
    for one, after in pairwise(seen):
        if RANK[after.stage] < RANK[one.stage] and after.seconds > one.seconds:
            return f"{one.stage} at {one.seconds:.0f} s, and then {after.stage} at {after.seconds:.0f} s"
    if told.seconds is not None:
        for one in seen:
            if one.seconds > told.seconds + SAME:
                return f"seen in the kiln at {one.seconds:.0f} s, but out after {told.seconds:.0f} s"
            if told.stage and RANK[told.stage] < RANK[one.stage]:
                return f"{one.stage} at {one.seconds:.0f} s, but it came out at {told.stage}"
    return ""


def looks_at(looks: Sequence[Look], piece: int, among: int, own_stage: bool) -> list[Look]:
    """Return the looks that tell of one piece.

    Parameters
    ----------
    looks : sequence of Look
        Of its load.
    piece : int
        Row of the piece.
    among : int
        How many pieces the load has.
    own_stage : bool
        Whether it is told by itself how it came out: then a look at the load may have been at another.
    """
    mine = [one for one in looks if one.piece == piece]
    if among > 1 and (mine or own_stage):
        return mine
    return [one for one in looks if one.piece in (None, piece)]


def stage_looks(connection: Connection) -> dict[int, list[Look]]:
    """Return by load the looks at which a stage was seen.

    Parameters
    ----------
    connection : Connection
        To read with.
    """
    found: dict[int, list[Look]] = defaultdict(list)
    rows = current(look, look.c.load, look.c.piece, look.c.seconds, look.c.stage_seen)
    for row in connection.execute(rows.where(look.c.stage_seen.is_not(None), look.c.seconds.is_not(None))):
        found[row.load].append(Look(float(row.seconds), row.stage_seen, row.piece))
    return dict(found)


def says_two(studio: Studio) -> tuple[SaysTwo, ...]:
    """List the loads that stand in the record and say two things, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return _standing.get(studio, lambda: _all(studio))


def _all(studio: Studio) -> tuple[SaysTwo, ...]:
    with studio.reading() as connection:
        looks = stage_looks(connection)
        inside: dict[int, list[Row[Any]]] = defaultdict(list)
        for row in connection.execute(current(load_piece)):
            inside[row.load].append(row)
        closed = current(load_table).where(load_table.c.closed_at.is_not(None)).order_by(load_table.c.at.desc())
        loads = [row for row in connection.execute(closed) if not row.interrupted]
    found = []
    for row in loads:
        if words := _of_load(row, inside.get(row.of, []), looks.get(row.of, [])):
            found.append(SaysTwo(row.of, row.number, words))
    return tuple(found)


def says_two_of(studio: Studio, load: Which) -> str:
    """Say which two things one load says; empty when it says one.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number.
    """
    row = load_row(studio, load)
    if row.closed_at is None or row.interrupted:
        return ""
    return _of_load(row, pieces_in(studio, row.of), _looks(studio, row.of))


# --- asking back ---------------------------------------------------------------------------------


def ask_fired(studio: Studio, pieces: Sequence[Which], told: Mapping[str, Any], *, really: bool = False) -> None:
    """Ask back before a whole firing is written down in one breath, or a load that is open closed by it.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int or str
        Rows, numbers or labels.
    told : mapping
        What is said of it, as for :func:`enamelwright.workshop.loads.fired`.
    really : bool
        Whether it was asked and is meant.

    Raises
    ------
    AskedBack
        When it says two things.
    """
    if really or told.get("interrupted"):
        return
    for which in pieces:
        still_in = open_load_of(studio, piece_row(studio, which).id)
        if still_in is not None:
            ask_outcome(studio, still_in.of, told)
            return
    given = fields(load_table, {name: told.get(name) for name in TELLING})
    stage = given["stage_seen"] if given["stage_seen"] in RANK else ""
    _ask(two_things(Outcome(given["seconds"], stage, given["to_gloss"])), "this firing")


def ask_outcome(
    studio: Studio,
    load: Which,
    whole: Mapping[str, Any],
    each: Mapping[Which, Mapping[str, Any]] | None = None,
    *,
    really: bool = False,
) -> None:
    """Ask back before it is written down how a load came out, or before that is corrected.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number.
    whole : mapping
        What is said of the load; what is not said stays.
    each : mapping, optional
        Piece to what differs for it.
    really : bool
        Whether it was asked and is meant.

    Raises
    ------
    AskedBack
        When the load would say two things.
    """
    told = {name: value for name, value in whole.items() if name in TELLING}
    own = {
        piece_row(studio, which).id: {name: value for name, value in differs.items() if name in TELLING}
        for which, differs in (each or {}).items()
    }
    if really or whole.get("interrupted") or not (told or any(own.values())):
        return
    row = load_row(studio, load)
    after = _With(row, fields(load_table, told, row.typed))
    inside = [_With(one, fields(load_piece, own.get(one.piece, {}), one.typed)) for one in pieces_in(studio, row.of)]
    _ask(_of_load(after, inside, _looks(studio, row.of)), f"load {row.number}")


def ask_look(
    studio: Studio,
    load: Which,
    seconds: Quantity,
    stage: str | None,
    piece: Which | None = None,
    *,
    instead_of: int | None = None,
    really: bool = False,
) -> None:
    """Ask back before a look is written down, or corrected.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int or str
        Row or number of its load.
    seconds : quantity
        When it was; a look without a time is not asked about.
    stage : str or None
        As the eye saw it.
    piece : int or str, optional
        Which piece was looked at.
    instead_of : int, optional
        First row of the look that is corrected.
    really : bool
        Whether it was asked and is meant.

    Raises
    ------
    AskedBack
        When the load would say two things.
    """
    at = fields(look, {"seconds": seconds})["seconds"]
    if really or at is None or not stage or stage not in RANK:
        return
    row = load_row(studio, load)
    seen = Look(float(at), stage, piece_row(studio, piece).id if piece is not None else None)
    looks = [*_looks(studio, row.of, instead_of), seen]
    _ask(_of_load(row, pieces_in(studio, row.of), looks), f"load {row.number}")


def ask_correction(studio: Studio, table: str, row: int, changes: Mapping[str, Any], *, really: bool = False) -> None:
    """Ask back before a load, a piece in it or a look is corrected into two things.

    Parameters
    ----------
    studio : Studio
        The studio.
    table : str
        Of what is corrected; any other than these is let pass.
    row : int
        Any row of its chain.
    changes : mapping
        Columns that differ.
    really : bool
        Whether it was asked and is meant.

    Raises
    ------
    AskedBack
        When the load would say two things.
    """
    if really or not TELLING & set(changes):
        return
    if table == "load":
        ask_outcome(studio, row, changes)
    elif table == "load_piece":
        told = _newest(studio, load_piece, row)
        ask_outcome(studio, told.load, {}, {told.piece: changes})
    elif table == "look":
        told = _newest(studio, look, row)
        seconds, stage = (changes.get(name, getattr(told, name)) for name in ("seconds", "stage_seen"))
        ask_look(studio, told.load, seconds, stage, told.piece, instead_of=told.first or told.id)


def _newest(studio: Studio, table: Table, row: int) -> Row[Any]:
    with studio.reading() as connection:
        return connection.execute(select(table).where(table.c.id == studio.newest(table, row))).one()


def _ask(words: str, where: str) -> None:
    if words:
        raise AskedBack(f"{where} says two things: {words}.", "Put right which is wrong, or keep it all the same.")


class _With:
    """A row with some columns said otherwise."""

    def __init__(self, row: Any, changes: Mapping[str, Any]) -> None:
        self._row, self._changes = row, changes

    def __getattr__(self, name: str) -> Any:
        return self._changes[name] if name in self._changes else getattr(self._row, name)


def _looks(studio: Studio, load: int, but: int | None = None) -> list[Look]:
    return [
        Look(float(one.seconds), one.stage_seen, one.piece)
        for one in looks_of(studio, load)
        if one.stage_seen and one.seconds is not None and one.of != but
    ]


def _of_load(load: Any, inside: Sequence[Any], looks: Sequence[Look]) -> str:
    """Return the first two things that a load says of any of its pieces."""
    for piece in inside:
        mine = looks_at(looks, piece.piece, len(inside), piece.stage_seen is not None)
        if words := two_things(outcome_of(load, piece), mine):
            return words
    return ""
