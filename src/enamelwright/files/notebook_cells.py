"""Reads one cell of a notebook's table: a day, a stage, a quantity with its unit, a time as a clock shows it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from enamelwright.craft.gauge import looks_like_gauge, thickness_from_gauge
from enamelwright.errors import QuantityError, UnknownName
from enamelwright.files.notebook_fields import FIELDS, MONTHS, STAGES
from enamelwright.files.sheet import is_formula
from enamelwright.units import parse

Order = Literal["day first", "month first"]

#: Days between these are what a spreadsheet counts from the end of 1899 (ECMA-376 part 1, 18.17.4.1).
_DAY_ZERO, _SERIAL_LOW, _SERIAL_HIGH = date(1899, 12, 30), 20_000, 80_000
#: Thicker than this [m] is no sheet for enamel: a gauge was taken for millimetres.
_THICKEST = 0.012


@dataclass(frozen=True)
class Column:
    """What one column is taken for.

    Attributes
    ----------
    heading : str
        As it stands in the table.
    field : str
        Name in :data:`FIELDS`; empty when it is not understood and only kept as words.
    unit : str
        Unit of bare numbers in it; empty when each cell must say its own.
    because : str
        Why.
    """

    heading: str
    field: str = ""
    unit: str = ""
    because: str = ""


def value_of(cell: str, column: Column, decimal: str, order: Order | None) -> Any:
    """Read one cell: SI floats, ISO days, whole numbers, text.

    Parameters
    ----------
    cell : str
        As typed.
    column : Column
        What its column is taken for.
    decimal : str
        Sign between whole and part in this table; empty when nothing tells.
    order : str or None
        Which part of a date comes first.

    Raises
    ------
    InputError
        When it cannot be read without guessing.
    """
    known = FIELDS[column.field]
    if is_formula(cell):
        raise QuantityError("this is a formula, not a value.", "Save the table with values.")
    if known.sort == "text":
        return cell
    if known.sort == "day":
        return _day(cell, order).isoformat()
    if known.sort == "stage":
        stage = stage_of(cell)
        if stage is not None:
            return stage
        raise UnknownName.among("stage", cell, STAGES)
    if known.sort == "whole":
        digits = re.fullmatch(r"(\d{1,6})(?:\.0+)?\s*(?:mesh|#)?", cell.lower())
        if digits is None:
            raise QuantityError("this is no whole number.", "")
        return int(digits[1])
    if column.field == "thickness":
        return _thickness(cell, column, decimal)
    return _quantity(cell, known.dimension, column.unit, decimal)


def _thickness(cell: str, column: Column, decimal: str) -> float:
    """Read a thickness or a gauge; a bare number under a heading that speaks of gauge is a gauge."""
    if looks_like_gauge(cell):
        return thickness_from_gauge(cell)
    if cell.strip().isdecimal():
        if looks_like_gauge(column.unit):
            return thickness_from_gauge(f"{cell} gauge {column.unit}")
        if not column.unit and "gauge" in column.heading.lower():
            return thickness_from_gauge(f"{cell} gauge")
    metres = _quantity(cell, "length", column.unit, decimal)
    if metres > _THICKEST:
        raise QuantityError("no sheet for enamel is so thick.", "If it is a gauge, say which: '18 gauge (B&S)'.")
    return metres


def _quantity(cell: str, dimension: str, unit: str, decimal: str) -> float:
    if dimension == "time":
        cell = " ".join(cell.lower().split())
        if hours := re.fullmatch(r"(\d{1,2}):(\d{2}):(\d{2})", cell):  # as spreadsheets write minutes and seconds
            if int(hours[1]):
                raise QuantityError("this reads as hours.", "Write minutes and seconds like 2:30.")
            return float(int(hours[2]) * 60 + int(hours[3]))
        clock = re.fullmatch(r"(\d{1,3})[:'′]([0-5]\d)(?:\"|''|″| ?(?:min|mins|minutes|m))?\.?", cell) or re.fullmatch(
            r"(\d{1,3}) ?(?:m|mins?|minutes?)\.? ?([0-5]?\d) ?(?:s|secs?|seconds?)?\.?", cell
        )
        if clock is not None:  # minutes and seconds; a firing of hours is no firing of enamel
            return float(int(clock[1]) * 60 + int(clock[2]))
    text = cell.strip()
    if decimal == ",":
        text = re.sub(r"(?<=\d)[.\u00a0\u202f' ](?=\d{3}(?:\D|$))", "", text)  # between thousands
        grouped = re.fullmatch(r"([+-]?\d{1,3}),(\d{3})(.*)", text)
        if grouped is not None:  # in this table the comma is the decimal sign, so this is no thousand
            text = f"{grouped[1]}.{grouped[2]}0{grouped[3]}"
    elif decimal == ".":
        text = re.sub(r"(?<=\d)[,\u00a0\u202f'](?=\d{3}(?:\D|$))", "", text)
    if unit and re.fullmatch(r"[+-]?[\d.,\s/]+", text):
        text = f"{text} {unit}"
    elif dimension == "temperature":
        text = re.sub(r"(?<=\d)\s*(?:deg\.?|degrees|º|°)\s*(?=[CFcf]\b)", " °", text)
        text = re.sub(r"(?<=\d)\s*(?:celsius)$", " °C", text, flags=re.IGNORECASE)
        text = re.sub(r"(?<=\d)\s*(?:fahrenheit)$", " °F", text, flags=re.IGNORECASE)
    elif dimension == "time":
        text = re.sub(r"(?<=\d)\s*(?:secs?|seconds?)\.?$", " s", text, flags=re.IGNORECASE)
        text = re.sub(r"(?<=\d)\s*(?:mins?|minutes?|')\.?$", " min", text, flags=re.IGNORECASE)
    return parse(text, dimension)


def _spelled_day(cell: str) -> date | None:
    """Read a day whose month is a word, such as 14 April 2024 or Apr. 14, 2024; None when it is none."""
    plain = " ".join(plain_words(cell).replace(",", " ").replace("/", " ").split())
    found = re.fullmatch(r"(?:[a-z]+ )?(\d{1,2})(?:st|nd|rd|th)? ([a-z]{3,}) (\d{4}|\d{2})", plain)
    day, month, year = (found[1], found[2], found[3]) if found else ("", "", "")
    turned = re.fullmatch(r"([a-z]{3,}) (\d{1,2})(?:st|nd|rd|th)? (\d{4}|\d{2})", plain)
    if turned:
        month, day, year = turned[1], turned[2], turned[3]
    number = MONTHS.get(month[:3]) if month else None
    if number is None:
        return None
    return date(int(year) + (2000 if len(year) == 2 else 0), number, int(day))


#: Why a date is not read that may be of two days.
TWO_DAYS = "this could be two days."


def _day(cell: str, order: Order | None) -> date:
    text = cell.strip().split("T")[0].split(" ")[0]
    try:
        if (spelled := _spelled_day(cell)) is not None:
            return spelled
        if re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", text) or re.fullmatch(r"\d{4}/\d{1,2}/\d{1,2}", text):
            return date(*(int(part) for part in re.split(r"[-/]", text)))
        if text.isdecimal() and _SERIAL_LOW <= int(text) <= _SERIAL_HIGH:
            return _DAY_ZERO + timedelta(days=int(text))
        parts = re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})[./-](\d{4}|\d{2})", text)
        if parts is None:
            raise ValueError(text)
        one, two, year = int(parts[1]), int(parts[3]), int(parts[4])
        year += 2000 if year < 100 else 0
        if parts[2] == "." or one == two:  # points between the parts: the day comes first everywhere
            return date(year, two, one)
        if order is None and one <= 12 and two <= 12:
            raise QuantityError(TWO_DAYS, "Say which part of a date comes first.")
        day_first = one > 12 if order is None else order == "day first"
        return date(year, two, one) if day_first else date(year, one, two)
    except ValueError as error:
        raise QuantityError("this is no date.", "Write it like 2026-03-14.") from error


def stage_of(cell: str) -> str | None:
    """Return the stage a cell names; None when it names none.

    Parameters
    ----------
    cell : str
        As typed.
    """
    plain = " ".join(cell.lower().split())
    return next((stage for stage, names in STAGES.items() if plain in names), None)


def plain_words(text: str) -> str:
    """Return small letters without accents, with single spaces.

    Parameters
    ----------
    text : str
        A heading or a cell.
    """
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[._:#-]+", " ", bare).split())
