"""Reads the firings of somebody's own notebook from a table: which column is what, and what was not understood.

First a preview: for each column the field it is taken for, its unit, and why. The person confirms or
changes that; only then are the rows read. A cell that cannot be read without guessing is left out of
its row and told, never guessed; the text of every cell is kept as it was typed.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from enamelwright.craft.gauge import looks_like_gauge, thickness_from_gauge
from enamelwright.errors import InputError, QuantityError, UnknownName
from enamelwright.files.notebook_fields import FIELDS, MONTHS, STAGES
from enamelwright.files.sheet import Sheet, is_formula
from enamelwright.units import UNITS, parse

Order = Literal["day first", "month first"]

#: Days between these are what a spreadsheet counts from the end of 1899 (ECMA-376 part 1, 18.17.4.1).
_DAY_ZERO, _SERIAL_LOW, _SERIAL_HIGH = date(1899, 12, 30), 20_000, 80_000
#: Thicker than this [m] is no sheet for enamel: a gauge was taken for millimetres.
_THICKEST = 0.012
#: Share of the cells of a column that must be stages before it is taken for what was seen.
_MOST_STAGES = 0.5
#: Why a column is left alone on purpose; nobody need be told of it.
_LEFT = "left as words, as you said"


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


@dataclass(frozen=True)
class Complaint:
    """Something that was not understood.

    Attributes
    ----------
    line : int
        In the file.
    heading, cell : str
        Where it stands, and what it says.
    why : str
        What is wrong with it.
    """

    line: int
    heading: str
    cell: str
    why: str


@dataclass(frozen=True)
class Entry:
    """One row that was read.

    Attributes
    ----------
    line : int
        In the file.
    values : dict
        Field to value: SI floats, ISO days, text.
    typed : dict
        Field to the text of its cell, with the unit its heading gives a bare number.
    rest : dict
        Heading to text of every cell that was not understood, so that nothing is lost.
    """

    line: int
    values: dict[str, Any]
    typed: dict[str, str]
    rest: dict[str, str]


@dataclass(frozen=True)
class Notebook:
    """A notebook that was read.

    Attributes
    ----------
    columns : tuple of Column
        How it was read.
    order : str or None
        Which part of a date comes first; None when it need not, or cannot, be known.
    entries : tuple of Entry
        Rows of which at least one field was read.
    complaints : tuple of Complaint
        Everything that was not understood.
    """

    columns: tuple[Column, ...]
    order: Order | None
    entries: tuple[Entry, ...] = ()
    complaints: tuple[Complaint, ...] = ()


def preview(sheet: Sheet) -> tuple[Column, ...]:
    """Propose what each column is.

    Parameters
    ----------
    sheet : Sheet
        The table.

    Returns
    -------
    tuple of Column
        In the order of the table; no field twice.
    """
    columns = [_propose(heading) for heading in sheet.headings]
    taken: dict[str, str] = {}
    for n, column in enumerate(columns):
        if column.field and column.field in taken:
            columns[n] = Column(column.heading, because=f"'{taken[column.field]}' is taken for {column.field} already")
        elif column.field:
            taken[column.field] = column.heading
    if "stage_seen" not in taken:
        for n, column in enumerate(columns):
            if column.field in {"", "words"} and _are_stages([cells[n] for _, cells in sheet.rows]):
                columns[n] = Column(column.heading, "stage_seen", because="its cells are stages of a firing")
                break
    return tuple(columns)


def _are_stages(cells: list[str]) -> bool:
    said = [cell for cell in cells if cell]
    return bool(said) and sum(_stage(cell) is not None for cell in said) > _MOST_STAGES * len(said)


def _stage(cell: str) -> str | None:
    plain = " ".join(cell.lower().split())
    return next((stage for stage, names in STAGES.items() if plain in names), None)


def changed(columns: Iterable[Column], wishes: Mapping[str, str]) -> tuple[Column, ...]:
    """Return the columns as a person wants them.

    Parameters
    ----------
    columns : iterable of Column
        From :func:`preview`.
    wishes : mapping
        Heading to a field, a field and a unit such as ``"seconds:min"``, or ``"-"`` for "leave it".

    Raises
    ------
    UnknownName
        For a heading, field or unit that is not there.
    InputError
        When one field is asked for twice.
    """
    result = {column.heading: column for column in columns}
    for heading, wish in wishes.items():
        if heading not in result:
            raise UnknownName.among("column", heading, result)
        name, _, unit = wish.partition(":")
        if name in {"-", ""}:
            result[heading] = Column(heading, because=_LEFT)
            continue
        if name not in FIELDS:
            raise UnknownName.among("field", name, FIELDS)
        dimension = FIELDS[name].dimension
        if unit and unit not in UNITS.get(dimension, {}) and not (name == "thickness" and looks_like_gauge(unit)):
            raise UnknownName.among(f"unit for {name}", unit, UNITS.get(dimension, {}))
        result[heading] = Column(heading, name, unit or _unit_in(heading, dimension), "as you said")
        for other in result.values():  # what was only proposed gives way
            if other.heading not in {heading, *wishes} and other.field == name:
                result[other.heading] = Column(other.heading, because=f"'{heading}' is {name}, as you said")
    fields = [column.field for column in result.values() if column.field]
    if twice := sorted({name for name in fields if fields.count(name) > 1}):
        raise InputError(f"two columns cannot both be {twice[0]}.", "Leave one of them with '-'.")
    return tuple(result.values())


def read_notebook(sheet: Sheet, columns: Iterable[Column], order: Order | None = None) -> Notebook:
    """Read every row with the columns as they were agreed.

    Parameters
    ----------
    sheet : Sheet
        The table.
    columns : iterable of Column
        From :func:`preview` or :func:`changed`.
    order : str, optional
        Which part of a date such as 3/4/2024 comes first; told by the dates themselves when left out.
    """
    agreed = {column.heading: column for column in columns}
    used = [(n, agreed[heading]) for n, heading in enumerate(sheet.headings) if heading in agreed]
    if order is None:
        order = _order(cells[n] for _, cells in sheet.rows for n, column in used if column.field == "date")
    entries, complaints = [], [Complaint(line, "", "", why) for line, why in sheet.complaints]
    for line, cells in sheet.rows:
        entry = Entry(line, {}, {}, {})
        for n, column in used:
            cell = cells[n]
            if not cell:
                continue
            if not column.field:
                entry.rest[column.heading] = cell
                continue
            try:
                entry.values[column.field] = _value(cell, column, sheet.decimal, order)
                bare = column.unit and re.fullmatch(r"[+-]?[\d.,]+", cell)
                entry.typed[column.field] = f"{cell} {column.unit}" if bare else cell
            except InputError as error:
                entry.rest[column.heading] = cell
                complaints.append(Complaint(line, column.heading, cell, f"{error.message} {error.remedy}".strip()))
        if entry.values:
            entries.append(entry)
        else:
            complaints.append(Complaint(line, "", "", "nothing in this row was understood, so it is left out"))
    unknown = tuple(column for _, column in used if not column.field)
    for column in unknown:
        if column.because != _LEFT:
            complaints.append(Complaint(0, column.heading, "", f"this column is kept as words: {column.because}"))
    return Notebook(tuple(column for _, column in used), order, tuple(entries), tuple(complaints))


def _propose(heading: str) -> Column:
    plain = _plain(heading)
    units_out = re.sub(r"[(\[].*?[)\]]", " ", plain)
    words = " ".join(units_out.split())
    exact = [name for name, known in FIELDS.items() if words in known.names]
    if not exact:  # the unit may stand behind the name: "temp c", "time min"
        shorter = " ".join(words.split()[:-1])
        exact = [name for name, known in FIELDS.items() if shorter and shorter in known.names]
    if not exact:
        found = [
            (len(known), name)
            for name, one in FIELDS.items()
            for known in one.names
            if len(known) > 3 and re.search(rf"\b{re.escape(known)}\b", words)
        ]
        exact = [max(found)[1]] if found else []
    if not exact:
        return Column(heading, because="its heading says nothing we know")
    name = exact[0]
    unit = _unit_in(heading, FIELDS[name].dimension)
    why = f"its heading, in {unit}" if unit else "its heading"
    if FIELDS[name].dimension and not unit:
        why += "; no unit, so each cell must say its own"
    return Column(heading, name, unit, why)


def _unit_in(heading: str, dimension: str) -> str:
    """Return the unit a heading names, as the closed list of units writes it."""
    if not dimension:
        return ""
    known = {unit.lower(): unit for unit in UNITS[dimension] if unit}
    words = re.findall(r"[^\s()\[\],;:/_]+", heading.lower().replace("deg ", "deg").replace("° ", "°"))
    more = {"sec": "s", "secs": "s", "mins": "min", "minute": "min", "minuten": "min", "sekunden": "s", "grams": "g",
            "gramm": "g", "celsius": "°C", "fahrenheit": "°F", "hours": "h", "inches": "in"}  # fmt: skip
    for word in reversed(words):
        found = known.get(word) or more.get(word.rstrip("."))
        if found and (len(word) > 1 or len(words) > 1):  # a heading of one letter is hardly a unit
            return next(unit for unit, same in UNITS[dimension].items() if same == UNITS[dimension][found])
    return ""


def _plain(text: str) -> str:
    """Small letters without accents, with single spaces."""
    bare = "".join(sign for sign in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(sign))
    return " ".join(re.sub(r"[._:#-]+", " ", bare).split())


def _value(cell: str, column: Column, decimal: str, order: Order | None) -> Any:
    known = FIELDS[column.field]
    if is_formula(cell):
        raise QuantityError("this is a formula, not a value.", "Save the table with values.")
    if known.sort == "text":
        return cell
    if known.sort == "day":
        return _day(cell, order).isoformat()
    if known.sort == "stage":
        stage = _stage(cell)
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
        clock = re.fullmatch(r"(\d{1,3})[:'′](\d{2})(?:\"|''|″)?", cell) or re.fullmatch(
            r"(\d{1,3})\s*m(?:in)?\.?\s*(\d{1,2})\s*s(?:ec)?\.?", cell
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


def _order(cells: Iterable[str]) -> Order | None:
    """Tell from all dates of a column which part comes first; None when none of them tells."""
    first, second = False, False
    for cell in cells:
        parts = re.match(r"\s*(\d{1,2})[./-](\d{1,2})[./-]\d{2,4}", cell)
        if parts is not None:
            first, second = first or int(parts[1]) > 12, second or int(parts[2]) > 12
    return "day first" if first and not second else "month first" if second and not first else None


def _spelled_day(cell: str) -> date | None:
    """Read a day whose month is a word, such as 14 April 2024 or Apr. 14, 2024; None when it is none."""
    plain = " ".join(_plain(cell).replace(",", " ").replace("/", " ").split())
    found = re.fullmatch(r"(?:[a-z]+ )?(\d{1,2})(?:st|nd|rd|th)? ([a-z]{3,}) (\d{4}|\d{2})", plain)
    day, month, year = (found[1], found[2], found[3]) if found else ("", "", "")
    turned = re.fullmatch(r"([a-z]{3,}) (\d{1,2})(?:st|nd|rd|th)? (\d{4}|\d{2})", plain)
    if turned:
        month, day, year = turned[1], turned[2], turned[3]
    number = MONTHS.get(month[:3]) if month else None
    if number is None:
        return None
    return date(int(year) + (2000 if len(year) == 2 else 0), number, int(day))


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
            raise QuantityError("this could be two days.", "Say which part of a date comes first.")
        day_first = one > 12 if order is None else order == "day first"
        return date(year, two, one) if day_first else date(year, one, two)
    except ValueError as error:
        raise QuantityError("this is no date.", "Write it like 2026-03-14.") from error
