"""Write the sources page: every number of the tables with its unit, source and status.

``python -m enamelwright.reference.pages > docs/look-up/sources.md`` makes it anew; a test fails when the
page is older than the tables.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Sequence

from enamelwright.reference import loader

#: Tables of words rather than numbers: the page only counts their rows.
WORDS = ("trade/rules", "trade/techniques", "trade/faults")
#: Columns repeated on every row that the page says once.
_SAID_ONCE = frozenset({"licence"})
_FACT_COLUMNS = ("key", "value", "low", "high", "unit", "source", "locator", "status", "note")


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ").replace("<", "&lt;")


def _table(columns: Sequence[str], lines: Iterable[Sequence[str]]) -> list[str]:
    return [
        "| " + " | ".join(column.replace("_", " ") for column in columns) + " |",
        "|" + "---|" * len(columns),
        *("| " + " | ".join(_cell(text) for text in line) + " |" for line in lines),
        "",
    ]


def _sources() -> list[str]:
    lines = []
    for key, source in loader.sources().items():
        extra = "; ".join(
            part
            for part in (source.url, f"read as {source.read}" if source.read else "", source.licence, source.note)
            if part
        )
        lines.append((key, source.words(), extra))
    return ["## Sources", "", *_table(("key", "work", "remarks"), lines)]


def _statuses() -> list[str]:
    count = Counter(entry.status for entry in loader.all_facts().values())
    lines = [(status, str(count[status])) for status in loader.STATUSES]
    return ["## How far the constants can be trusted", "", *_table(("status", "constants"), lines)]


def _one(name: str) -> list[str]:
    rows = loader.rows(name)
    head = [f"## {name}", ""]
    if not rows:
        return head
    licences = sorted({row["licence"] for row in rows if row.get("licence")})
    for licence in licences:
        head += [licence + ".", ""]
    if name in WORDS:
        return [*head, f"{len(rows)} rows of words; see the table itself.", ""]
    columns = [column for column in rows[0] if column not in _SAID_ONCE]
    if name.endswith(f"/{loader.FACTS}"):
        columns = [column for column in _FACT_COLUMNS if column in rows[0]]
    filled = [column for column in columns if any(row[column] for row in rows)]
    return [*head, *_table(filled, ([row[column] for column in filled] for row in rows))]


def sources_page() -> str:
    """Return the page as Markdown; the same tables always give the same text."""
    lines = [
        "# Sources",
        "",
        "Every number the program did not get from its user. Generated from the reference tables: do not edit.",
        f"State of the tables: `{loader.engine_hash()}`.",
        "",
        *_statuses(),
        *_sources(),
    ]
    for name in loader.tables():
        stem, _, ending = name.rpartition(".")
        if ending == "csv":
            lines += _one(stem)
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    sys.stdout.write(sources_page())
