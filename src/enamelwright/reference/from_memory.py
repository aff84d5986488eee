"""Write the page of every value of the health tables that is still from memory, and what was tried to source it.

``python -m enamelwright.reference.from_memory > docs/look-up/from-memory.md`` makes it anew; a test fails when
the page is older than the tables.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

from enamelwright.reference import loader

#: The field the page speaks of, the status it looks for, and the table of what was tried.
FIELD, STATUS, TRIED = "health", "from memory, verify", "health/tried"
#: Columns that name a row, the first that a table has.
_NAMES = ("key", "name", "id", "material", "kind", "species", "surface")
#: Columns that hold its number, the first that a table has; the rest is told by all columns that hold one.
_VALUES = ("value", "number", "celsius")
#: Said of a value for which nothing is written down.
NOTHING = "Not searched for yet."


def rows_from_memory() -> Iterator[tuple[str, str, str, str]]:
    """Yield (table, name, value with its unit, what was tried) of every such row.

    Yields
    ------
    tuple of str
        In the order of the tables.
    """
    tried = loader.document(TRIED)
    for name in loader.tables():
        table, _, ending = name.rpartition(".")
        if ending != "csv" or not table.startswith(f"{FIELD}/"):
            continue
        for row in loader.rows(table):
            if row.get("status") == STATUS:
                key = next((row[column] for column in _NAMES if row.get(column)), "")
                yield table, _named(row, key), _value(row), _tried(tried.get(table, {}), key)


def _named(row: loader.Row, key: str) -> str:
    touch = f", {row['seconds']} s" if row.get("seconds") else ""
    return key.replace("_", " ").replace("/", ", ") + touch


def _value(row: loader.Row) -> str:
    for column in _VALUES:
        if row.get(column):
            unit = row.get("unit", "") or ("°C" if column == "celsius" else "")
            return f"{row[column]} {unit}".strip()
    numbers = [f"{column.replace('_', ' ')} {text}" for column, text in row.items() if _is_number(text)]
    return ", ".join(numbers)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _tried(told: dict[str, str], key: str) -> str:
    """Return what is written of a row: the longest beginning of its name that the list holds."""
    found = [start for start in told if key.startswith(start)]
    return told[max(found, key=len)] if found else NOTHING


def from_memory_page() -> str:
    """Return the page as Markdown; the same tables always give the same text."""
    lines = [
        "# Still from memory",
        "",
        "Every value of the tables on baths, dust, glare, burns and sale that was written down from memory, with",
        "what was tried to find it in print. Generated from the tables: do not edit. A measurement, a data sheet or",
        "the text of a rule replaces any of them.",
        "",
    ]
    before = ""
    count = 0
    for table, name, value, tried in rows_from_memory():
        if table != before:
            lines += ["", f"## {table}", "", "| what | value | what was tried |", "|---|---|---|"]
            before = table
        lines.append("| " + " | ".join(text.replace("|", "\\|") for text in (name, value, tried)) + " |")
        count += 1
    lines[5:5] = ["", f"{count} values."]
    return "\n".join(lines).replace("\n\n\n", "\n\n").rstrip() + "\n"


if __name__ == "__main__":
    sys.stdout.write(from_memory_page())
