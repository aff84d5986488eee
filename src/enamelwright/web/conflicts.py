"""Two people changed the same thing: what was sent and what stands there now, side by side in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Table, select

from enamelwright import units
from enamelwright.records.errors import Conflict
from enamelwright.records.kinds import tables
from enamelwright.workshop.studio import Studio

#: Columns kept by the product itself: no person wrote them.
OWN = frozenset(
    {"id", "entry", "first", "corrects", "withdrawn", "why", "recorded_at", "who", "typed", "version", "made_at",
     "changed_at", "changed_by"}
)  # fmt: skip
#: Plain words for columns whose name is short.
_WORDS = {
    "at": "When", "words": "Note", "on_piece": "On the piece", "to_gloss": "Time to first gloss",
    "set_point": "Set to", "seconds": "In the kiln for", "stage_seen": "Came out at", "target": "Meant to stop at",
    "shown_at_load": "Display when it went in", "shown_lowest": "Lowest the display fell",
    "idle_before": "Pause before", "place_on_piece": "Where on the piece", "minor": "Sum, in the smallest coin",
    "ph": "pH", "do_not_learn": "Leave out when learning", "length": "Length", "mass": "Weight",
    "over": "Measured over",
}  # fmt: skip


#: Units that end the names of what is described as a whole.
_UNITS = {"mm": "mm", "c": "°C", "k": "K", "min": "min", "s": "s", "w": "W", "g": "g"}


def column_words(column: str) -> str:
    """Return what a column is called on a page."""
    return _WORDS.get(column, column.replace("_", " ").capitalize())


def differences(error: Conflict) -> list[tuple[str, str, str]]:
    """Return what differs as (what it is, as it was sent, as it stands there now), in words.

    Parameters
    ----------
    error : Conflict
        Carries both.
    """
    table = next((one for one in tables() if one.name == error.where.partition(" ")[0]), None)
    found: list[tuple[str, str, str]] = []
    for name, mine in error.mine.items():
        theirs = error.theirs.get(name)
        if name in OWN or mine == theirs:
            continue
        if isinstance(mine, Mapping) and isinstance(theirs, Mapping):
            found += _inside(mine, theirs)
        else:
            sides = (_words(table, name, mine, error.mine), _words(table, name, theirs, error.theirs))
            found.append((column_words(name), *sides))
    return found


def same_version(studio: Studio, table: Table, row: int, shown: int | None, **mine: Any) -> None:
    """Refuse to change what has moved on since it was shown.

    Parameters
    ----------
    studio : Studio
        The studio, inside the transaction that changes it.
    table : Table
        Of the kind *kept*.
    row : int
        Its id.
    shown : int or None
        The version that was shown; None lets it pass.
    **mine
        What it is to be changed into.

    Raises
    ------
    Conflict
        Carries what was sent and what stands there.
    """
    if shown is None:
        return
    with studio.writing() as work:
        present = work.one(table, row)
    if present.version != shown:
        raise Conflict(
            "somebody changed this first.", "Look at both, open the page again and say it anew if it still holds.",
            f"{table.name} {row}", mine=mine, theirs=dict(present._mapping),
        )  # fmt: skip


def same_entry(studio: Studio, table: Table, row: int, seen: int | None, mine: Mapping[str, Any]) -> None:
    """Refuse to correct an entry that was corrected since it was shown.

    Parameters
    ----------
    studio : Studio
        The studio, inside the transaction that corrects it.
    table : Table
        Of the kind *happened*.
    row : int
        Any row of its chain.
    seen : int or None
        The newest row that was shown; None lets it pass.
    mine : mapping
        What it is to be corrected into.

    Raises
    ------
    Conflict
        Carries what was sent and what stands there.
    """
    newest = studio.newest(table, row)
    if seen is None or seen == newest:
        return
    with studio.reading() as view:
        present = view.execute(select(table).where(table.c.id == newest)).one()
        shown = view.execute(select(table).where(table.c.id == seen)).one_or_none()
    told = dict(mine)
    if shown is not None and not told:  # nothing was typed: show what the other one changed
        told = {name: value for name, value in shown._mapping.items() if value != present._mapping[name]}
    raise Conflict(
        "somebody took this entry out first." if present.withdrawn else "somebody corrected this entry first.",
        "Look at both, open the entry again and correct what still is wrong.", f"{table.name} {row}", mine=told,
        theirs=dict(present._mapping),
    )  # fmt: skip


def _inside(mine: Mapping[str, Any], theirs: Mapping[str, Any], before: str = "") -> list[tuple[str, str, str]]:
    """Return what differs inside something described as a whole."""
    found: list[tuple[str, str, str]] = []
    for name in dict.fromkeys([*mine, *theirs]):
        one, other = mine.get(name), theirs.get(name)
        if one == other:
            continue
        if isinstance(one, Mapping) and isinstance(other, Mapping):
            found += _inside(one, other, f"{before}{name} ")
        else:
            what, unit = _unit(name)
            found.append((column_words(f"{before}{what}"), _plain(one, unit), _plain(other, unit)))
    return found


def _words(table: Table | None, name: str, value: Any, row: Mapping[str, Any]) -> str:
    typed = (row.get("typed") or {}).get(name)
    if typed:
        return str(typed)
    info = table.c[name].info if table is not None and name in table.c else {}
    if "dimension" in info and isinstance(value, int | float):
        return units.show(value, info["dimension"])
    return _plain(value)


def _unit(name: str) -> tuple[str, str]:
    """Return the name of something described without the unit it is told in, and that unit."""
    what, _, last = name.rpartition("_")
    return (what, _UNITS[last]) if what and last in _UNITS else (name, "")


def _plain(value: Any, unit: str = "") -> str:
    if value is None or value == "":
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g} {unit}".strip()
    if isinstance(value, Mapping):
        return ", ".join(f"{column_words(str(key)).lower()} {_plain(one)}" for key, one in value.items())
    if isinstance(value, list | tuple):
        return ", ".join(_plain(one) for one in value)
    return str(value)
