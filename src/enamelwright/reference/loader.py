"""Read the reference tables: rows, facts in SI, sources, and one hash of them all.

The only place of the package that opens its own data files. Everything is read once and cached;
what is returned cannot be changed by the caller.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from enamelwright import units
from enamelwright.errors import HouseError, QuantityError
from enamelwright.figure import Figure, Kind, Origin

Row = Mapping[str, str]

#: What may stand in a ``status`` column: how far a number can be trusted.
STATUSES: tuple[str, ...] = (
    "definition",
    "published",
    "published, via a transcription",
    "secondary source",
    "materials database, web",
    "trade web page, unverified",
    "from memory, verify",
    "common practice, no source",
    "computed",
    "assumption",
)

#: Name of the table of single constants that each field may hold.
FACTS = "facts"

_SOURCES = "sources.toml"
_TABLE_ENDINGS = (".csv", ".json", ".toml", ".dat")


@dataclass(frozen=True)
class Source:
    """Where numbers come from.

    Parameters
    ----------
    key : str
        Name used in the ``source`` columns.
    title : str
        Title of the work, or what kind of thing it is.
    author, published, read, licence, url, note : str
        Author; where and when published; what was actually read when it was not the original;
        licence or required notice; address; remark. Empty when unknown.
    field : str
        Folder that declares it; empty for those common to all fields.
    """

    key: str
    title: str
    author: str = ""
    published: str = ""
    read: str = ""
    licence: str = ""
    url: str = ""
    note: str = ""
    field: str = ""

    def words(self) -> str:
        """Cite it on one line."""
        return ", ".join(part for part in (self.author, self.title, self.published) if part)


@dataclass(frozen=True)
class Fact:
    """One constant of a table of facts, in SI.

    Parameters
    ----------
    key : str
        ``"field/name"``, e.g. ``"metals/copper/density"``.
    value, low, high : float
        SI; `low` and `high` are the 5 and 95 % points, equal to `value` when none are given.
    dimension : str
        A dimension of :mod:`enamelwright.units`.
    source : tuple of str
        Source keys.
    locator, status, note : str
        Place in the source, one of :data:`STATUSES`, remark.
    unit : str
        Unit in which the table states it.
    """

    key: str
    value: float
    low: float
    high: float
    dimension: str
    source: tuple[str, ...]
    locator: str
    status: str
    note: str = ""
    unit: str = ""

    def figure(self) -> Figure:
        """Return it as a Figure whose origin names source and status."""
        return Figure(value=self.value, low=self.low, high=self.high, dimension=self.dimension, origin=self.origin())

    def origin(self) -> Origin:
        """Return its origin alone."""
        kind: Kind = "assumption" if self.status == "assumption" else "reference"
        return Origin(kind=kind, source=f"{self.key} [{', '.join(self.source)}]", status=self.status)


def _root() -> Traversable:
    return files(__package__)


@lru_cache(maxsize=1)
def _fields() -> tuple[str, ...]:
    """Return the folders that declare sources, in alphabetical order."""
    return tuple(sorted(entry.name for entry in _root().iterdir() if entry.is_dir() and (entry / _SOURCES).is_file()))


def _open(name: str, ending: str) -> bytes:
    path = _root()
    for part in f"{name}{ending}".split("/"):
        path = path / part
    try:
        return path.read_bytes()
    except OSError as error:
        raise HouseError(f"the reference table '{name}' is missing.", "Install the program again.") from error


@cache
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of one CSV table, as text.

    Parameters
    ----------
    name : str
        Field and table, e.g. ``"trade/rules"``.

    Raises
    ------
    HouseError
        When the table is missing or a row is ragged.
    """
    text = _open(name, ".csv").decode("utf-8")
    reader = csv.DictReader(io.StringIO(text), strict=True)
    result: list[Row] = []
    for row in reader:
        if None in row or None in row.values():
            raise HouseError(f"line {reader.line_num} of the reference table '{name}' is ragged.")
        result.append(MappingProxyType(dict(row)))
    return tuple(result)


@cache
def document(name: str) -> Any:
    """Return one JSON table; treat it as read-only.

    Parameters
    ----------
    name : str
        Field and table, e.g. ``"glass/regression_meta"``.
    """
    return json.loads(_open(name, ".json"))


@cache
def text(name: str) -> str:
    """Return one table that is a text of its own form, such as constants written for an engine.

    Parameters
    ----------
    name : str
        Field and table, e.g. ``"health/bath_species"``.
    """
    return _open(name, ".dat").decode("utf-8")


@lru_cache(maxsize=1)
def sources() -> Mapping[str, Source]:
    """Return every declared source by key.

    Raises
    ------
    HouseError
        When two fields declare one key differently or a declaration cannot be read.
    """
    result: dict[str, Source] = {}
    for field in ("", *_fields()):
        text = _open(f"{field}/sources" if field else "sources", ".toml").decode("utf-8")
        for key, entry in tomllib.loads(text).items():
            try:
                source = Source(key=key, field=field, **entry)
            except TypeError as error:
                raise HouseError(f"the source '{key}' of '{field}' is not declared well.") from error
            if key in result:
                raise HouseError(f"the source '{key}' is declared twice.")
            result[key] = source
    return MappingProxyType(result)


def source_keys(text: str) -> tuple[str, ...]:
    """Split a ``source`` cell into its keys; they are separated by semicolons."""
    return tuple(part.strip() for part in text.split(";") if part.strip())


def _fact(field: str, row: Row) -> Fact:
    key = f"{field}/{row['key']}"
    try:
        value, low, high = (
            units.to_si(float(row[name] or row["value"]), row["unit"], row["dimension"])
            for name in ("value", "low", "high")
        )
    except (ValueError, KeyError, QuantityError) as error:
        raise HouseError(f"the fact '{key}' cannot be read: {error}") from error
    return Fact(
        key=key,
        value=value,
        low=low,
        high=high,
        dimension=row["dimension"],
        source=source_keys(row["source"]),
        locator=row["locator"],
        status=row["status"],
        note=row["note"],
        unit=row["unit"],
    )


@cache
def facts_of(name: str) -> Mapping[str, Fact]:
    """Return the facts of one table that has the columns of a table of facts, by key.

    Parameters
    ----------
    name : str
        Field and table, e.g. ``"trade/judgement"``; the keys of the facts begin with the field.

    Raises
    ------
    HouseError
        When a fact cannot be read or is stated twice.
    """
    result: dict[str, Fact] = {}
    for row in rows(name):
        found = _fact(name.partition("/")[0], row)
        if found.key in result:
            raise HouseError(f"the fact '{found.key}' is stated twice.")
        result[found.key] = found
    return MappingProxyType(result)


@lru_cache(maxsize=1)
def all_facts() -> Mapping[str, Fact]:
    """Return every fact of the tables named ``facts``, of all fields, by key."""
    tables_of_facts = [f"{field}/{FACTS}" for field in _fields() if (_root() / field / f"{FACTS}.csv").is_file()]
    return MappingProxyType({key: found for name in tables_of_facts for key, found in facts_of(name).items()})


def fact(key: str) -> Fact:
    """Return one constant in SI.

    Parameters
    ----------
    key : str
        e.g. ``"metals/copper/density"``.

    Raises
    ------
    HouseError
        When no table states it.
    """
    try:
        return all_facts()[key]
    except KeyError as error:
        raise HouseError(f"no reference table states '{key}'.", "Install the program again.") from error


def value(key: str) -> float:
    """Return the SI number of one fact."""
    return fact(key).value


@lru_cache(maxsize=1)
def tables() -> tuple[str, ...]:
    """Return the names of all tables and source lists with their endings, in order."""
    found: list[str] = [_SOURCES]
    for field in _fields():
        found += [
            f"{field}/{entry.name}" for entry in (_root() / field).iterdir() if entry.name.endswith(_TABLE_ENDINGS)
        ]
    return tuple(sorted(found))


@lru_cache(maxsize=1)
def engine_hash() -> str:
    """Return twelve hexadecimal digits that change when any table changes."""
    digest = hashlib.sha256()
    for name in tables():
        stem, dot, ending = name.rpartition(".")
        content = _open(stem, dot + ending).replace(b"\r\n", b"\n")
        digest.update(f"{name}:{len(content)}:".encode())
        digest.update(content)
    return digest.hexdigest()[:12]
