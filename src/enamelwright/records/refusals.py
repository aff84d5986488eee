"""What a database says when it refuses, turned into one sentence of ours.

PostgreSQL is understood by its SQLSTATE codes (its documentation, appendix A), SQLite by the names
of its result codes: the words of either may be in another language or change.
"""

from __future__ import annotations

import re

from sqlalchemy.exc import DataError, DBAPIError, IntegrityError, OperationalError

from enamelwright.records.errors import ForeignRecord, NoRoom, RecordError

#: What the two databases say when there is no room; SQLite and PostgreSQL name it by text alone.
_NO_ROOM_SIGNS = ("disk is full", "disk i/o error", "no space left", "could not extend", "readonly database")
_DAMAGE_SIGNS = ("malformed", "not a database", "corrupt")
#: Lock not available, deadlock, serialization failure.
_BUSY = frozenset({"55P03", "40P01", "40001"})
_ONLY_ADDED = "only ever added to"
#: SQLite names table and column after its message: "UNIQUE constraint failed: jar.code, jar.name".
_NAMED = re.compile(r"constraint failed: (.+)")
#: The kinds of broken rule by what either database calls them.
_RULES = {
    "23502": "needed", "SQLITE_CONSTRAINT_NOTNULL": "needed",
    "23503": "refers", "SQLITE_CONSTRAINT_FOREIGNKEY": "refers",
    "23505": "twice", "SQLITE_CONSTRAINT_UNIQUE": "twice", "SQLITE_CONSTRAINT_PRIMARYKEY": "twice",
    "23514": "value", "SQLITE_CONSTRAINT_CHECK": "value", "SQLITE_CONSTRAINT_DATATYPE": "value",
}  # fmt: skip
TRY_AGAIN = "Try again in a moment."


def refusal(error: DBAPIError, place: str, *, on_sqlite: bool) -> RecordError | None:
    """Return what to say in place of an error of the database; None when it is a mistake of this program.

    Parameters
    ----------
    error : DBAPIError
        As it was raised.
    place : str
        Where the record is.
    on_sqlite : bool
        Whether it is a file.
    """
    said = str(error.orig if error.orig is not None else error).lower()
    if any(sign in said for sign in _NO_ROOM_SIGNS):
        return NoRoom("there is no room to write; nothing was changed.", "Free some space and try again.", place)
    if any(sign in said for sign in _DAMAGE_SIGNS):
        return ForeignRecord("the database is damaged.", "Restore the newest snapshot.", place)
    if _code(error) in _BUSY or "locked" in said:
        return RecordError("another bench is writing; nothing was changed.", TRY_AGAIN, place)
    if _ONLY_ADDED in said:
        return RecordError(
            "what happened is never changed, replaced or taken out; nothing was changed.", "Correct it by a new entry."
        )
    if isinstance(error, IntegrityError):
        return _rule(error)
    if isinstance(error, DataError):
        return beyond()
    if isinstance(error, OperationalError) and not on_sqlite:
        return RecordError("the database does not answer; nothing was changed.", "Start it, or check its URL.", place)
    return None


def beyond() -> RecordError:
    """Return what is said of a number or a sign no database can hold."""
    return RecordError(
        "a number is too large, or a text holds a sign that cannot be kept; nothing was changed.",
        "Look at what was given.",
    )


def _code(error: DBAPIError) -> str:
    """Return the code of an error: PostgreSQL's SQLSTATE, or the name of SQLite's result."""
    return str(getattr(error.orig, "sqlstate", None) or getattr(error.orig, "sqlite_errorname", None) or "")


def _rule(error: IntegrityError) -> RecordError:
    """Say which rule was broken, and by what where the database tells."""
    rule, named = _RULES.get(_code(error), ""), _columns(error)
    if rule == "needed":
        return RecordError(f"{_words(named, 'a value')} is needed; nothing was changed.", "Say what it is.")
    if rule == "twice":
        return RecordError(
            f"there is one of this {_words(named, 'kind')} already; nothing was changed.", "Choose another one."
        )
    if rule == "refers":
        return RecordError(
            "it refers to something that is not in this record, or that others refer to; nothing was changed.",
            "Look whether it is still there.",
        )
    if rule == "value":
        return RecordError("a value is none the record can hold; nothing was changed.", "Look at what was given.")
    return RecordError("it breaks a rule of the record; nothing was changed.", "Look at what was given.")


def _columns(error: IntegrityError) -> list[str]:
    tells = getattr(error.orig, "diag", None)
    if tells is not None:
        if tells.column_name:
            return [str(tells.column_name)]
        # The naming rule of kinds.py: uq_TABLE_COLUMN
        table, constraint = str(tells.table_name or ""), str(tells.constraint_name or "")
        return [constraint.removeprefix(f"uq_{table}_")] if constraint.startswith(f"uq_{table}_") else []
    match = _NAMED.search(str(error.orig))
    return [one.rpartition(".")[2] for one in match[1].split(", ")] if match and "." in match[1] else []


def _words(columns: list[str], otherwise: str) -> str:
    return " and ".join(name.replace("_", " ") for name in columns) or otherwise
