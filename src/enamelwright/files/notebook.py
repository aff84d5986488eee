"""Reads the firings of somebody's own notebook from a table: which column is what, and what was not understood.

First a preview: for each column the field it is taken for, its unit, and why. The person confirms or
changes that; only then are the rows read. A cell that cannot be read without guessing is left out of
its row and told, never guessed; the text of every cell is kept as it was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from enamelwright.craft.gauge import looks_like_gauge
from enamelwright.errors import InputError, UnknownName
from enamelwright.files.notebook_cells import TWO_DAYS, Column, Order, plain_words, stage_of, value_of
from enamelwright.files.notebook_fields import FIELDS, FOR_ALL
from enamelwright.files.sheet import Sheet
from enamelwright.units import UNITS

#: Share of the cells of a column that must be stages before it is taken for what was seen.
_MOST_STAGES = 0.5
#: Why a column is left alone on purpose; nobody need be told of it.
_LEFT = "left as words, as you said"


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
    common : mapping
        Field to value of what was told for all rows.
    """

    columns: tuple[Column, ...]
    order: Order | None
    entries: tuple[Entry, ...] = ()
    complaints: tuple[Complaint, ...] = ()
    common: Mapping[str, Any] = field(default_factory=dict)

    @property
    def two_days(self) -> bool:
        """Whether a date may be of two days, and nobody said which part comes first."""
        return any(TWO_DAYS in one.why for one in self.complaints)


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
    if all(column.field != "stage_seen" for column in columns):
        for n, column in enumerate(columns):
            if column.field in {"", "words"} and _are_stages([cells[n] for _, cells in sheet.rows]):
                columns[n] = Column(column.heading, "stage_seen", because="its cells are stages of a firing")
                break
    taken: dict[str, str] = {}
    for n, column in enumerate(columns):
        if column.field and column.field in taken:
            columns[n] = Column(column.heading, because=f"'{taken[column.field]}' is taken for {column.field} already")
        elif column.field:
            taken[column.field] = column.heading
    return tuple(columns)


def _are_stages(cells: list[str]) -> bool:
    said = [cell for cell in cells if cell]
    return bool(said) and sum(stage_of(cell) is not None for cell in said) > _MOST_STAGES * len(said)


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


def read_notebook(
    sheet: Sheet, columns: Iterable[Column], order: Order | None = None, for_all: Mapping[str, str] | None = None
) -> Notebook:
    """Read every row with the columns as they were agreed.

    Parameters
    ----------
    sheet : Sheet
        The table.
    columns : iterable of Column
        From :func:`preview` or :func:`changed`.
    order : str, optional
        Which part of a date such as 3/4/2024 comes first; told by the dates themselves when left out.
    for_all : mapping, optional
        Field of :data:`FOR_ALL` to what holds for every row that does not say it itself, such as ``"0.9 mm"``.

    Raises
    ------
    InputError
        For something that cannot hold for all rows, or cannot be read.
    """
    common = _common(for_all or {})
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
                entry.values[column.field] = value_of(cell, column, sheet.decimal, order)
                bare = column.unit and re.fullmatch(r"[+-]?[\d.,]+", cell)
                entry.typed[column.field] = f"{cell} {column.unit}" if bare else cell
            except InputError as error:
                entry.rest[column.heading] = cell
                complaints.append(Complaint(line, column.heading, cell, f"{error.message} {error.remedy}".strip()))
        if entry.values:
            for name, (value, text) in common.items():
                if name not in entry.values:
                    entry.values[name] = value
                    entry.typed[name] = text
                    entry.rest[f"{name.replace('_', ' ')}, told for all rows"] = text
            entries.append(entry)
        else:
            complaints.append(Complaint(line, "", "", "nothing in this row was understood, so it is left out"))
    unknown = tuple(column for _, column in used if not column.field)
    for column in unknown:
        if column.because != _LEFT:
            complaints.append(Complaint(0, column.heading, "", f"this column is kept as words: {column.because}"))
    return Notebook(tuple(column for _, column in used), order, tuple(entries), tuple(complaints),
        {name: value for name, (value, _) in common.items()},
    )  # fmt: skip


def _common(for_all: Mapping[str, str]) -> dict[str, tuple[Any, str]]:
    """Read what holds for all rows: field to value and text."""
    found = {}
    for name, text in for_all.items():
        if name not in FOR_ALL:
            raise UnknownName.among("field that can be told for all rows", name, FOR_ALL)
        if not text.strip():
            continue
        try:
            found[name] = (value_of(text.strip(), Column("", name), ".", None), text.strip())
        except InputError as error:
            raise error.at(f"{name.replace('_', ' ')} for all rows") from error
    return found


def _propose(heading: str) -> Column:
    plain = plain_words(heading)
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
        if FIELDS[name].dimension == "time":
            why += ", or be minutes and seconds like 2:30"
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


def _order(cells: Iterable[str]) -> Order | None:
    """Tell from all dates of a column which part comes first; None when none of them tells."""
    first, second = False, False
    for cell in cells:
        parts = re.match(r"\s*(\d{1,2})[./-](\d{1,2})[./-]\d{2,4}", cell)
        if parts is not None:
            first, second = first or int(parts[1]) > 12, second or int(parts[2]) > 12
    return "day first" if first and not second else "month first" if second and not first else None
