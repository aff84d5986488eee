"""What an archive looks like, the same for writing and reading.

An archive is a folder, or a ZIP file, of plain files: ``manifest.json`` with a hash of every other
file, ``tables/NAME.csv`` for every table (RFC 4180, UTF-8, rows in the order of their keys), and
``photos/HASH.jpg`` or ``.png``. Nothing in it depends on the machine, the database or the day.

A cell holds the value as the database has it: SI numbers, moments in UTC, JSON as text. An empty
cell is "don't know"; text that is empty or begins with a backslash has one more backslash in front.
"""

from __future__ import annotations

import math
import re
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from sqlalchemy import Table

from enamelwright.records.errors import ForeignRecord
from enamelwright.units import SI_UNITS

MANIFEST, READ_ME = "manifest.json", "read-me.txt"
#: Raised when an older reader could no longer understand the form.
FORM = 1
#: Largest table [bytes] an archive may hold: fifty times the size that 10,000 firings take.
LARGEST_TABLE = 1 << 31
#: Largest manifest [bytes]: a hundred thousand photos.
LARGEST_MANIFEST = 1 << 26
#: Longest line [characters]; a frozen plan is the longest text the record keeps.
LONGEST_LINE = 1 << 24
#: Whole numbers a database holds; the largest ones it refuses itself.
_WHOLE = re.compile(r"-?\d{1,18}")
_SHA = re.compile(r"[0-9a-f]{64}")

Kind = Literal["whole", "number", "text"]
Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,62}$")]
PhotoName = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}\.(jpg|png)$")]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ColumnPart(_Part):
    """One column: its name, what it holds, and the unit of its numbers where it has one."""

    name: Name
    kind: Kind
    unit: str = Field(default="", max_length=40)


class TablePart(_Part):
    """One table: its columns, how many rows, and the size and hash of its file."""

    columns: tuple[ColumnPart, ...]
    rows: int = Field(ge=0)
    bytes: int = Field(ge=0, le=LARGEST_TABLE)
    sha256: Hash


class Manifest(_Part):
    """Everything an archive holds.

    Attributes
    ----------
    archive : str
        Says what this is.
    form : int
        Version of the form of archives.
    record : str
        Version of the record the tables are of.
    tables : mapping
        By name.
    photos : mapping
        Size [bytes] by name; the name is the hash.
    photos_missing : tuple of str
        Hashes the record names and the studio's folder did not have whole.
    photos_left_out : bool
        Whether photos were left out on purpose.
    """

    archive: Literal["enamelwright studio record"] = "enamelwright studio record"
    form: int = Field(default=FORM, ge=1)
    record: str = Field(max_length=40)
    tables: dict[Name, TablePart]
    photos: dict[PhotoName, int]
    photos_missing: tuple[Hash, ...] = ()
    photos_left_out: bool = False

    @property
    def names(self) -> set[str]:
        """Every file the archive may hold."""
        listed = {f"tables/{name}.csv" for name in self.tables} | {f"photos/{name}" for name in self.photos}
        return listed | {MANIFEST, READ_ME}


READ_ME_TEXT = """\
This is the record of an enamel studio as plain files.

manifest.json   every other file with its SHA-256, and the unit of every column
tables/*.csv    one file a table: RFC 4180, UTF-8; the first line names the columns
photos/*        pictures; each is named by its SHA-256

Numbers are in SI units: kelvin, metres, kilograms, seconds. Moments are in UTC. Money is in the smallest coin.
An empty cell is "don't know". Text that is empty or begins with a backslash has one more backslash in front.
A row whose "corrects" names another row replaces it; a row with "withdrawn" = 1 says it never happened.
A column named like a table holds the id of a row of that table.

A spreadsheet may take a text that begins with = + - or @ for a formula: import such columns as text.
"""


def kind_of(table: Table, column: str) -> Kind:
    """Return what a column holds, from its type in the database."""
    python = table.c[column].type.python_type
    return "whole" if python is int else "text" if python is str else "number"


def columns_of(table: Table) -> tuple[ColumnPart, ...]:
    """Return the columns of a table as the manifest writes them.

    Parameters
    ----------
    table : Table
        As the database has it; units come from the table of the same name that this version declares.
    """
    from enamelwright.records.kinds import metadata

    declared = metadata.tables.get(table.name)
    parts = []
    for column in table.c:
        info = declared.c[column.name].info if declared is not None and column.name in declared.c else {}
        unit = SI_UNITS.get(info.get("dimension", ""), "")
        parts.append(ColumnPart(name=column.name, kind=kind_of(table, column.name), unit=unit))
    return tuple(parts)


def to_cell(value: object) -> str:
    """Write one value as a cell."""
    if value is None:
        return ""
    if isinstance(value, str):
        return "\\" + value if value == "" or value[0] == "\\" else value
    if value == 0.0:
        return repr(value).lstrip("-")  # SQLite does not keep the sign of a zero, PostgreSQL does
    return repr(value)


def from_cell(cell: str, kind: Kind) -> str | int | float | None:
    """Read one cell.

    Raises
    ------
    ValueError
        When it is no number where one belongs, is too long, or is not finite.
    """
    if cell == "":
        return None
    if kind == "text":
        return cell[1:] if cell[0] == "\\" else cell
    if kind == "whole":
        if _WHOLE.fullmatch(cell) is None:
            raise ValueError(cell[:40])
        return int(cell)
    value = float(cell)
    if not math.isfinite(value) or "_" in cell:
        raise ValueError(cell[:40])
    return value


def is_hash(text: str) -> bool:
    """Whether a text is a SHA-256 in hexadecimal."""
    return _SHA.fullmatch(text) is not None


def refuse(words: str, where: str, remedy: str = "Use another archive.") -> ForeignRecord:
    """Return the error for an archive that cannot be trusted."""
    return ForeignRecord(words, remedy, where)
