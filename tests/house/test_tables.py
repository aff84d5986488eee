"""Every row of every reference table says where it comes from and how far it can be trusted.

Read with csv and tomllib directly, so that a fault of the loader cannot hide a fault of a table.
"""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from pathlib import Path

import pytest

from enamelwright.reference.loader import STATUSES
from enamelwright.units import UNITS
from tree import PACKAGE, name_of, package_files, text_of

REFERENCE = PACKAGE / "reference"
TABLES = package_files("reference", ending=".csv")


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a table; a row with more cells than the head has is told by the key None."""
    return list(csv.DictReader(io.StringIO(text_of(path))))


def declared() -> set[str]:
    """Every source key a table may cite; a key is declared once, in the folder it belongs to."""
    lists = [p for p in package_files("reference", ending=".toml") if p.name == "sources.toml"]
    return {key for p in lists for key in tomllib.loads(text_of(p))}


@pytest.mark.parametrize("path", TABLES, ids=name_of)
def test_rows_cite_declared_sources_with_a_status(path: Path) -> None:
    rows, known = rows_of(path), declared()
    assert rows
    bad = []
    for line, row in enumerate(rows, 2):
        for name in [n for n in row if n == "source" or (n or "").endswith("_source")]:
            keys = [k.strip() for k in (row[name] or "").split(";") if k.strip()]
            if set(keys) - known or (name == "source" and not keys):
                bad.append(f"row {line}, {name}: {row[name]!r} is not declared in any sources.toml")
        if row.get("status") not in STATUSES:
            bad.append(f"row {line}: status {row.get('status')!r}")
        if None in row or None in row.values():
            bad.append(f"row {line}: the number of cells differs from the head")
    assert not bad


@pytest.mark.parametrize("path", [p for p in TABLES if p.name in {"facts.csv", "judgement.csv"}], ids=name_of)
def test_facts_have_an_ordered_band_and_a_known_unit(path: Path) -> None:
    bad = []
    for row in rows_of(path):
        value = float(row["value"])
        low, high = (float(row[end]) if row[end] else value for end in ("low", "high"))
        if not (low <= value <= high and all(map(math.isfinite, (low, value, high)))):
            bad.append(f"{row['key']}: {low} .. {value} .. {high}")
        if row["dimension"] not in UNITS or row["unit"] not in UNITS[row["dimension"]]:
            bad.append(f"{row['key']}: {row['unit']!r} is no unit of {row['dimension']!r}")
    assert not bad


def test_every_declared_source_is_cited() -> None:
    """A source nobody cites is a leftover; one of the code's docstrings counts as a citation."""
    cited: dict[Path, str] = {}
    for path in TABLES + package_files("reference", ending=".json"):
        cited[path.parent] = cited.get(path.parent, "") + text_of(path)
    everything = "".join(cited.values()) + "".join(text_of(p) for p in package_files())
    unused = []
    for path in package_files("reference", ending=".toml"):
        if path.name == "sources.toml" and path.parent != REFERENCE:
            unused += [
                f"{name_of(path)}: {key}"
                for key in tomllib.loads(text_of(path))
                if not re.search(rf"(?<!\w){re.escape(key)}(?!\w)", everything)
            ]
    assert not unused


def test_sources_say_what_they_are() -> None:
    bad = []
    for path in package_files("reference", ending=".toml"):
        if path.name == "sources.toml":
            bad += [
                f"{name_of(path)}: {k}" for k, entry in tomllib.loads(text_of(path)).items() if not entry.get("title")
            ]
    assert not bad
