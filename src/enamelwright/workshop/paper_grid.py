"""The grid a day on paper is typed into: its headings, its marks, and what a cell may say."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from enamelwright import units
from enamelwright.errors import InputError, UnknownName
from enamelwright.files.errors import FileError
from enamelwright.files.sheet import MOST_BYTES, Sheet, parse_sheet

#: Most loads of one day.
MOST_LOADS = 200
#: Marks that mean "the same as above".
DITTO = frozenset({'"', "''", "″", "〃", "do", "do.", "ditto"})
#: field -> (headings it goes by, dimension, unit of a bare number)
COLUMNS: dict[str, tuple[tuple[str, ...], str, str]] = {
    "time": (("time", "clock", "at"), "", ""),
    "pieces": (("piece", "pieces", "number", "what"), "", ""),
    "new": (("new", "no number"), "", ""),
    "set_point": (
        ("set", "set point", "setting", "temperature", "temp", "heat", "degrees", "c", "f", "°c", "°f"),
        "temperature",
        "°C",
    ),
    "seconds": (("seconds", "sec", "secs", "s", "time in", "minutes", "min", "mins"), "time", "s"),
    "stage_seen": (("stage", "seen", "stage seen"), "", ""),
    "start": (("from", "start", "counted from"), "", ""),
    "face_up": (("face", "face up"), "", ""),
    "support": (("support", "on"), "", ""),
    "to_gloss": (("to gloss", "gloss at", "seconds to gloss"), "time", "s"),
    "shown_at_load": (("shown", "shown at load"), "temperature", "°C"),
    "shown_lowest": (("lowest", "shown lowest"), "temperature", "°C"),
    "kiln": (("kiln",), "", ""),
    "who": (("who", "person", "by"), "", ""),
    "jar": (("jar", "enamel"), "", ""),
    "grams": (("grams", "g", "weight"), "mass", "g"),
    "dried": (("dried", "dry"), "time", "min"),
    "fault": (("fault", "faults"), "", ""),
    "words": (("note", "notes", "words", "remark"), "", ""),
}
#: At the beginning of a cell: a mark that stands alone, else a whole quoted cell.
_MARK_OR_QUOTED = re.compile(rb'(?:(?<=[;,\t|\n])|\A)(?:[ ]*"[ ]*(?=[;,\t|\r\n]|\Z)|"(?:[^"]|"")*")')
#: Headings that name the unit themselves.
_UNIT_HEADINGS = {"minutes": "min", "min": "min", "mins": "min", "c": "°C", "f": "°F", "°c": "°C", "°f": "°F"}


def read_grid(path: Path) -> Sheet:
    """Read the grid of a day from a file.

    Parameters
    ----------
    path : Path
        A table as CSV.

    Raises
    ------
    FileError
        When it cannot be read, is too large or holds no table.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise FileError("this is more than a day.", "Is it the right file?", str(path))
        return grid(path.read_bytes(), str(path))
    except OSError as error:
        raise FileError(f"it cannot be read ({error.strerror}).", "Check the name.", str(path)) from error


def grid(data: bytes, where: str = "") -> Sheet:
    """Read the grid of a day from bytes; a cell with a lone quotation mark says the same as the one above.

    Parameters
    ----------
    data : bytes
        A table as CSV.
    where : str
        Its name, for messages.
    """
    return parse_sheet(_spelled_out(data), where)


def _spelled_out(data: bytes) -> bytes:
    """Turn lone quotation marks that mean "as above" into signs a table can hold; quoted cells are left alone."""
    return _MARK_OR_QUOTED.sub(lambda found: b"''" if found[0].strip() == b'"' else found[0], data)


def columns_of(sheet: Sheet) -> tuple[dict[str, tuple[str, str]], tuple[str, ...]]:
    """Return heading -> (field, unit named in it), and the headings nobody understood.

    Parameters
    ----------
    sheet : Sheet
        The grid.
    """
    known: dict[str, tuple[str, str]] = {}
    ignored = []
    for heading in sheet.headings:
        found = _heading(heading)
        if found is None or found[0] in {field for field, _ in known.values()}:
            ignored.append(heading)
        else:
            known[heading] = found
    return known, tuple(ignored)


def agreed(
    columns: Mapping[str, tuple[str, str]], ignored: tuple[str, ...], wishes: Mapping[str, str]
) -> tuple[dict[str, tuple[str, str]], tuple[str, ...]]:
    """Return columns and headings nobody understood, as a person wants them.

    Parameters
    ----------
    columns : mapping
        Of :func:`columns_of`.
    ignored : tuple of str
        Of :func:`columns_of`.
    wishes : mapping of str to str
        Heading to a field, a field and a unit such as ``"seconds:min"``, or ``"-"`` to keep it as words.

    Raises
    ------
    UnknownName
        For a heading, a field or a unit that is not there.
    """
    known = dict(columns)
    for heading, wish in wishes.items():
        if heading not in columns and heading not in ignored:
            raise UnknownName.among("column", heading, [*columns, *ignored])
        field, _, unit = wish.strip().partition(":")
        known.pop(heading, None)
        if field == "-":
            continue
        field = field.strip().replace(" ", "_")
        if field not in COLUMNS:
            named = next((one for one, (names, _, _) in COLUMNS.items() if field.replace("_", " ") in names), None)
            if named is None:
                raise UnknownName.among("field", field, [names[0] for names, _, _ in COLUMNS.values()])
            field = named
        dimension = COLUMNS[field][1]
        if unit and unit not in units.UNITS.get(dimension, {}):
            raise UnknownName.among(f"unit for {field}", unit, units.UNITS.get(dimension, {}))
        known = {other: taken for other, taken in known.items() if taken[0] != field}
        known[heading] = (field, unit)
    return known, tuple(one for one in ignored if one not in known and one not in wishes)


def _heading(heading: str) -> tuple[str, str] | None:
    plain = " ".join(re.sub(r"[()\[\],]", " ", heading).casefold().split())
    for field, (names, dimension, _) in COLUMNS.items():
        if plain in names:
            return field, _UNIT_HEADINGS.get(plain, "")
        if not dimension:
            continue
        head, _, tail = plain.rpartition(" ")
        if head in names:
            for unit in units.UNITS[dimension]:
                if unit.casefold() == tail:
                    return field, unit
    return None


def names_in(text: str) -> Iterator[str]:
    """Yield piece names: "A-01, 02", "A-01..A-06".

    Parameters
    ----------
    text : str
        A cell.
    """
    stem = ""
    for part in re.split(r"[,;\s]+", text.strip()):
        if not part:
            continue
        if ".." in part:
            first, _, last = part.partition("..")
            yield from _range(first, last)
            continue
        if stem and part.isdecimal():
            part = stem + part
        found = re.fullmatch(r"(.*\D)\d+", part)
        stem = found[1] if found else ""
        yield part


def _range(first: str, last: str) -> Iterator[str]:
    begin, end = (re.fullmatch(r"(.*?)(\d+)", name) for name in (first, last))
    if begin is None or end is None or (end[1] and end[1] != begin[1]) or int(end[2]) - int(begin[2]) > MOST_LOADS:
        yield f"{first}..{last}"  # no piece is called so, and the complaint says it
        return
    for number in range(int(begin[2]), int(end[2]) + 1):
        yield f"{begin[1]}{number:0{len(begin[2])}d}"


def one_of(text: str, known: Mapping[str, tuple[str, ...]], what: str) -> str:
    """Return the word a cell means.

    Parameters
    ----------
    text : str
        The cell.
    known : mapping of str to tuple of str
        Each word with its short forms.
    what : str
        What it is, for the complaint.

    Raises
    ------
    InputError
        When it is none of them, or the beginning of several.
    """
    folded = text.strip().casefold()
    for word, others in known.items():
        if folded == word or folded in others:
            return word
    near = [word for word in known if word.startswith(folded)]
    if len(near) == 1:
        return near[0]
    raise InputError(f"'{text[:30]}' is no {what}.", f"Write {', '.join(known)}.")
