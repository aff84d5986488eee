"""What a person types becomes columns: SI numbers with the text kept beside them, days, moments, yes and no."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Column, Integer, Table
from sqlalchemy.types import Double

from enamelwright import units
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.records.writing import moment

#: A quantity: an SI number, or text with its unit as somebody typed it; None is "don't know".
Quantity = float | str | None
#: What people write when they do not know.
UNKNOWN = frozenset({"", "?", "-", "–", "don't know", "dont know", "unknown", "n/a"})
#: Minutes and seconds as they are printed and said: 1:30, 1m30, 1m30s, 1 min 30 s.
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)(?:\s*(?:s|min))?|(\d{1,3})\s*m(?:in)?\s*([0-5]?\d)\s*s?")
YES, NO = frozenset({"yes", "y", "true", "1"}), frozenset({"no", "n", "false", "0"})


def fields(table: Table, values: Mapping[str, Any], typed_before: Mapping[str, str] | None = None) -> dict[str, Any]:
    """Turn what was given into columns of a table.

    Parameters
    ----------
    table : Table
        Whose columns they are.
    values : mapping
        Column to value. Text for a quantity is read with its unit; "?" and "don't know" are nothing known.
    typed_before : mapping, optional
        What had been typed for the row that is corrected; kept for columns not named now.

    Returns
    -------
    dict
        Columns, with `typed` holding the text as typed wherever it was read into something else.

    Raises
    ------
    InputError
        Naming the column and the remedy.
    """
    result: dict[str, Any] = {}
    typed = {name: text for name, text in (typed_before or {}).items() if name not in values}
    for name, value in values.items():
        column = table.c.get(name)
        if column is None or name == "typed":
            result[name] = value
            continue
        try:
            result[name] = _column_value(column, value)
        except EnamelwrightError as error:
            raise error.at(name.replace("_", " ")) from error
        if isinstance(value, str) and value.strip() and _is_read(column):
            typed[name] = value.strip()
    if typed or typed_before:
        result["typed"] = {**typed, **(values.get("typed") or {})} or None
    return result


def as_typed(row: Any, name: str, unit: str | None = None) -> str:
    """Show a column as it was typed, else its SI number in a unit; a dash when it is not known.

    Parameters
    ----------
    row : Row
        A row of the record.
    name : str
        Column.
    unit : str, optional
        Unit for a number that was not typed; the usual one when left out.
    """
    text = (row._mapping.get("typed") or {}).get(name)
    if text and text.casefold() not in UNKNOWN:
        return str(text)
    value = row._mapping.get(name)
    if value is None:
        return "-"
    dimension = _dimensions().get(name)
    return units.show(value, dimension, unit) if dimension else str(value)


@cache
def _dimensions() -> dict[str, str]:
    """Return column name -> dimension; a name has one dimension throughout the record."""
    from enamelwright.records.kinds import tables

    return {c.name: c.info["dimension"] for table in tables() for c in table.c if "dimension" in c.info}


def _is_read(column: Column[Any]) -> bool:
    return "dimension" in column.info or "yes_no" in column.info or isinstance(column.type, Integer | Double)


def _column_value(column: Column[Any], value: Any) -> Any:
    if isinstance(value, str) and value.strip().casefold() in UNKNOWN and _is_read(column):
        return None
    if isinstance(value, datetime):
        return moment(value) if "instant" in column.info else value.astimezone().date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, str):
        return value
    if "dimension" in column.info:
        return read_quantity(value, column.info["dimension"], gauge="thickness" in column.name)
    if "yes_no" in column.info:
        return read_yes_no(value)
    if "day" in column.info:
        return read_day(value)
    if "instant" in column.info:
        return read_moment(value)
    if isinstance(column.type, Integer):
        return read_whole(value)
    if isinstance(column.type, Double):
        return read_number(value)
    return value.strip() or None


def read_quantity(text: str, dimension: str, *, gauge: bool = False) -> float:
    """Read a quantity with its unit; a sheet's thickness may be a gauge with its system.

    Parameters
    ----------
    text : str
        As typed.
    dimension : str
        A dimension of :mod:`enamelwright.units`.
    gauge : bool
        Whether a gauge may stand for it.

    Returns
    -------
    float
        SI.
    """
    if gauge:
        from enamelwright.craft.gauge import parse_thickness

        return parse_thickness(text)
    if dimension == "time" and (clock := _CLOCK.fullmatch(text.strip().casefold())):
        minutes, seconds = clock[1] or clock[3], clock[2] or clock[4]
        # Read by the closed list of units, so that the minute is theirs.
        return units.parse(f"{minutes} min", dimension) + units.parse(f"{seconds} s", dimension)
    return units.parse(text, dimension)


def read_yes_no(text: str) -> bool:
    """Read yes or no."""
    folded = text.strip().casefold()
    if folded in YES | NO:
        return folded in YES
    raise InputError(f"'{text[:40]}' is neither yes nor no.", "Write yes, no or ?.")


def read_day(text: str) -> str | None:
    """Read a calendar day written year-month-day."""
    if text.strip().casefold() in UNKNOWN:
        return None
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is not a day.", "Write it like 2026-03-02.") from error


def read_moment(text: str) -> str | None:
    """Read a moment written like 2026-03-02 10:15; local time unless it names its zone."""
    if text.strip().casefold() in UNKNOWN:
        return None
    try:
        return moment(datetime.fromisoformat(text.strip()).astimezone())
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is not a moment.", "Write it like 2026-03-02 10:15.") from error


def read_whole(text: str) -> int:
    """Read a whole number."""
    try:
        return int(text.strip())
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is not a whole number.", "Write digits only.") from error


def read_number(text: str) -> float:
    """Read a plain number, with a decimal point or comma."""
    return units.parse(text, "ratio")
