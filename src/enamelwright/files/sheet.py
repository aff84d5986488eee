"""Reads a table somebody else's program wrote as CSV: any usual encoding, separator and decimal sign.

RFC 4180 is what such files should be; spreadsheets in half of Europe write semicolons between cells
and commas in numbers, some write a mark of the encoding in front or UTF-16, and a cell may hold a
formula. Nothing is evaluated here: a cell is text.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from enamelwright.files.errors import FileError

#: Largest file [bytes], most rows and columns, and longest cell [characters]: a notebook of thirty years.
MOST_BYTES = 20_000_000
MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 100_000, 200, 20_000
#: What stands between cells, in the order of trial where counts are equal.
SEPARATORS = (";", "\t", ",", "|")
#: Lines looked at to find the separator and the row of headings.
_LOOK = 60
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
#: What old programs of Western Europe write when they write no Unicode.
_OLD = "cp1252"
_COMMA = re.compile(r"^\s*[+-]?\d+,(\d{1,2}|\d{4,})(\D.*)?$|^\s*[+-]?0,\d+(\D.*)?$")
_POINT = re.compile(r"^\s*[+-]?\d*\.(\d{1,2}|\d{4,})([^\d.].*)?$|^\s*[+-]?0?\.\d+([^\d.].*)?$")
_FORMULA = re.compile(r"^\s*[=@]|^\s*[+-]\s*[A-Za-z(]")


@dataclass(frozen=True)
class Sheet:
    """A table as text.

    Attributes
    ----------
    headings : tuple of str
        One a column, each different; a nameless column is called by its number.
    rows : tuple of (int, tuple of str)
        Line in the file, and one cell a column.
    encoding, separator, decimal : str
        How it was read; `decimal` is ``.``, ``,`` or empty when no number tells.
    complaints : tuple of (int, str)
        Lines that are not as wide as the headings, and what is wrong.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    encoding: str
    separator: str
    decimal: str
    complaints: tuple[tuple[int, str], ...] = ()


def read_sheet(path: Path) -> Sheet:
    """Read a CSV file.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    FileError
        When it cannot be read, is too large or holds no table.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise FileError(f"it has more than {MOST_BYTES // 1_000_000} megabytes.", "Cut it up.", str(path))
        data = path.read_bytes()
    except OSError as error:
        raise FileError(f"it cannot be read ({error.strerror}).", "Check the name.", str(path)) from error
    return parse_sheet(data, str(path))


def parse_sheet(data: bytes, where: str = "") -> Sheet:
    """Read the bytes of a CSV file.

    Parameters
    ----------
    data : bytes
        The whole file.
    where : str
        Its name, for messages.

    Raises
    ------
    FileError
        When it is too large or holds no table.
    """
    if len(data) > MOST_BYTES:
        raise FileError(f"it has more than {MOST_BYTES // 1_000_000} megabytes.", "Cut it up.", where)
    text, encoding = _text(data, where)
    told = re.match(r'"?sep=(.)"?\r?\n', text)  # some spreadsheets say it in the first line
    skipped = 1 if told else 0
    body = text[told.end() :] if told else text
    separator = told[1] if told else _separator(body)
    lines = _cells(body, separator, skipped, where)
    top = _heading(lines, where)
    headings = _names(lines[top][1])
    width = len(headings)
    rows, complaints = [], []
    for line, cells in lines[top + 1 :]:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > width and any(cell.strip() for cell in cells[width:]):
            complaints.append((line, f"{len(cells)} cells under {width} headings; what is beyond them was left out"))
        rows.append((line, tuple(cell.strip() for cell in (*cells, *[""] * width)[:width])))
    return Sheet(headings, tuple(rows), encoding, separator, _decimal(rows, separator), tuple(complaints))


def is_formula(cell: str) -> bool:
    """Whether a spreadsheet would calculate a cell instead of showing it."""
    return _FORMULA.match(cell) is not None


def _text(data: bytes, where: str) -> tuple[str, str]:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode(encoding), encoding
            except UnicodeDecodeError as error:
                raise FileError("its text is damaged.", "Save it again as CSV, UTF-8.", where) from error
    if b"\x00" in data:
        raise FileError("this is no text.", "Save it as CSV from the program it is of.", where)
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode(_OLD, errors="replace"), _OLD


def _separator(text: str) -> str:
    """Return the sign that cuts most lines into the same number of cells, and into the most."""
    best, rank = ",", (0, 0)
    for separator in SEPARATORS:
        widths: Counter[int] = Counter()
        try:
            for cells in csv.reader(io.StringIO(text), delimiter=separator):
                if len(cells) > 1:
                    widths[len(cells)] += 1
                if widths.total() >= _LOOK:
                    break
        except csv.Error:
            continue
        if widths:
            width, times = widths.most_common(1)[0]
            if (times, width) > rank:
                best, rank = separator, (times, width)
    return best


def _cells(text: str, separator: str, skipped: int, where: str) -> list[tuple[int, list[str]]]:
    lines: list[tuple[int, list[str]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    begins = skipped + 1
    try:
        for cells in reader:
            if len(lines) > MOST_ROWS or len(cells) > MOST_COLUMNS or any(len(cell) > LONGEST_CELL for cell in cells):
                raise FileError(
                    f"it has more than {MOST_ROWS} rows, {MOST_COLUMNS} columns or {LONGEST_CELL} signs in a cell.",
                    "Cut it up.", f"{where}, line {begins}",
                )  # fmt: skip
            lines.append((begins, cells))
            begins = skipped + reader.line_num + 1
    except csv.Error as error:
        raise FileError("it cannot be read as a table.", "Save it again as CSV.", f"{where}, line {begins}") from error
    return lines


def _heading(lines: list[tuple[int, list[str]]], where: str) -> int:
    """Return which row names the columns: the first that is about as full as the fullest."""
    filled = [sum(1 for cell in cells if cell.strip()) for _, cells in lines[:_LOOK]]
    if not filled or max(filled) < 2:
        raise FileError("it holds no table.", "Save it as CSV with a row of headings.", where)
    return next(n for n, count in enumerate(filled) if count >= 2 and 2 * count >= max(filled))


def _names(cells: list[str]) -> tuple[str, ...]:
    """Return the headings; one that stands there twice is told apart by a number."""
    names: list[str] = []
    for n, cell in enumerate(cells, 1):
        name, again = cell.strip() or f"column {n}", 1
        while (name if again == 1 else f"{name} ({again})") in names:
            again += 1
        names.append(name if again == 1 else f"{name} ({again})")
    return tuple(names)


def _decimal(rows: list[tuple[int, tuple[str, ...]]], separator: str) -> str:
    """Return the decimal sign the numbers of a table use."""
    commas = sum(1 for _, cells in rows for cell in cells if _COMMA.match(cell))
    points = sum(1 for _, cells in rows for cell in cells if _POINT.match(cell))
    if commas == points == 0:
        return "," if separator == ";" else ""
    return "," if commas > points else "."
