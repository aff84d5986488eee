"""Reads colours from the text that measuring instruments exchange (CGATS.17; ISO 28178), from memory of the form.

Keywords stand one a line with their value; the names of the columns between BEGIN_DATA_FORMAT and
END_DATA_FORMAT, the readings between BEGIN_DATA and END_DATA, cut by tabs or spaces, text in quotation marks.
Some programs write decimal commas. Several tables may follow each other; the first that holds colours is read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from enamelwright.files.colour_csv import Measured, Told, measured_of
from enamelwright.files.errors import FileError

#: Largest file [bytes] and longest line [characters].
MOST_BYTES, LONGEST_LINE = 5_000_000, 20_000
_CELL = re.compile(r'"[^"]*"|[^\s"]+')
_LIGHT = re.compile(r"\b(D50|D65|A|FL?11|LED-B3)\b")
_OBSERVER = re.compile(r"\b(2|10)\s*(?:°|deg)")
_GEOMETRIES = ("45/0", "0/45", "sci", "sce", "specular included", "specular excluded")
_FORMAT, _DATA = "DATA_FORMAT", "DATA"


@dataclass
class _Table:
    columns: list[str] = field(default_factory=list)
    lines: list[tuple[str, list[str]]] = field(default_factory=list)
    sets: int | None = None
    told: dict[str, str] = field(default_factory=dict)


def is_cgats(data: bytes) -> bool:
    """Whether a file has the keywords of this form."""
    return b"BEGIN_DATA_FORMAT" in data[:MOST_BYTES] and b"BEGIN_DATA" in data


def read_cgats(data: bytes, where: str = "", told: Told | None = None) -> tuple[Measured, ...]:
    """Read the bytes of such a file.

    Parameters
    ----------
    data : bytes
        The whole file.
    where : str
        Its name, for messages.
    told : Told, optional
        Light, observer and geometry where the file does not say them; what the file says comes first.

    Raises
    ------
    FileError
        When it is no such file, is cut off, or holds no colours.
    """
    if len(data) > MOST_BYTES:
        raise FileError(f"it has more than {MOST_BYTES // 1_000_000} megabytes.", "Cut it up.", where)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    tables = _tables(text, where)
    chosen = next((table for table in tables if _has_colours(table)), None)
    if chosen is None:
        raise FileError("it holds no L*, a*, b* and no spectrum.", "Export one or the other.", where)
    if chosen.sets is not None and chosen.sets != len(chosen.lines):
        raise FileError(
            f"it says it has {chosen.sets} readings and has {len(chosen.lines)}.",
            "Export it again: it is cut off.",
            where,
        )
    outside = told or Told()
    return measured_of(
        chosen.columns, chosen.lines,
        Told(
            chosen.told.get("light") or outside.light,
            chosen.told.get("observer") or outside.observer,
            chosen.told.get("taken") or outside.taken,
        ),
        where,
    )  # fmt: skip


def _tables(text: str, where: str) -> list[_Table]:
    tables, table, inside = [], _Table(), ""
    for number, line in enumerate(text.splitlines(), 1):
        place = f"{where}, line {number}" if where else f"line {number}"
        if len(line) > LONGEST_LINE:
            raise FileError(f"this line has more than {LONGEST_LINE} signs.", "Export it again.", place)
        word, _, rest = line.strip().partition(" ") if "\t" not in line else line.strip().partition("\t")
        key = word.upper()
        if key in {f"BEGIN_{_FORMAT}", f"BEGIN_{_DATA}"}:
            if inside:
                raise FileError(f"'{word}' stands inside another part.", "Export it again.", place)
            inside = key.removeprefix("BEGIN_")
        elif key == f"END_{inside}" and inside:
            if inside == _DATA:
                tables.append(table)
                table = _Table(told=dict(table.told))
            inside = ""
        elif inside == _FORMAT:
            table.columns += [cell.strip('"') for cell in _CELL.findall(line)]
        elif inside == _DATA:
            _row(table, line, place)
        else:
            _keyword(table, key, rest.strip().strip('"'), line)
    if inside:
        raise FileError(
            f"it ends inside its {'readings' if inside == _DATA else 'columns'}.", "Export it again.", where
        )
    if not tables:
        raise FileError("it holds no readings.", "Export it as CGATS text, or as CSV.", where)
    return tables


def _row(table: _Table, line: str, place: str) -> None:
    width = len(table.columns)
    by_tab = [cell.strip().strip('"') for cell in line.rstrip("\t").split("\t")]
    # cells may be empty between tabs; where tabs do not fit the columns, any space cuts
    cells = by_tab if len(by_tab) == width else [cell.strip('"') for cell in _CELL.findall(line)]
    if not any(cells):
        return
    if len(cells) != width:
        raise FileError(f"{len(cells)} values under {width} columns.", "Export it again.", place)
    table.lines.append((place, cells))


def _keyword(table: _Table, key: str, value: str, line: str) -> None:
    if key == "NUMBER_OF_SETS" and value.isdigit():
        table.sets = int(value)
    if any(
        word in key for word in ("ILLUMINA", "WEIGHTING", "OBSERVER", "MEASUREMENT_SOURCE", "GEOMETRY", "COMPUTATION")
    ):
        found = _LIGHT.search(line.partition(key)[2] or value)
        if found and "SOURCE" not in key:
            table.told["light"] = found[1].replace("F11", "FL11")
        angle = _OBSERVER.search(value) or (re.search(r"\b(2|10)\b", value) if "OBSERVER" in key else None)
        if angle:
            table.told["observer"] = angle[1]
        way = next((one for one in _GEOMETRIES if one in value.lower()), None)
        if way:
            table.told["taken"] = way


def _has_colours(table: _Table) -> bool:
    low = {column.lower() for column in table.columns}
    spectral = sum(bool(re.search(r"\d{3}(?:nm)?$", column)) for column in low) > 1
    return bool(table.lines) and (spectral or "lab_l" in low)
