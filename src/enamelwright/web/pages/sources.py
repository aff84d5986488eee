"""Sources: every number the product stands on, and where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.errors import InputError
from enamelwright.reference import loader
from enamelwright.web.render import show

router = APIRouter(include_in_schema=False)

#: The fields of the tables as the bench calls them.
NOUNS: Mapping[str, str] = {
    "glass": "Glass", "colour": "Colour", "heat": "Kiln and heat", "health": "Health", "metals": "Metals",
    "trade": "Practice",
}  # fmt: skip
#: Rows of one table shown at once; the file holds all.
MOST_ROWS = 300
_ENDING = ".csv"


@dataclass(frozen=True)
class Number:
    """One constant in the list.

    Parameters
    ----------
    words : str
        What it is.
    value : str
        With its band.
    source, locator, note : str
        Where it comes from, where in it, and a remark.
    status : str
        How far it can be trusted.
    """

    words: str
    value: str
    source: str
    locator: str
    note: str
    status: str


@router.get("/sources")
def sources(request: Request) -> HTMLResponse:
    """Show every constant with its band, source and status."""
    known = loader.sources()
    groups: dict[str, list[Number]] = {}
    for key, fact in sorted(loader.all_facts().items()):
        field, _, name = key.partition("/")
        groups.setdefault(NOUNS.get(field, field), []).append(_number(name, fact, known))
    works = sorted(
        (one for one in known.values() if one.author or one.published), key=lambda one: one.words().casefold()
    )
    names = [name.removesuffix(_ENDING) for name in loader.tables() if name.endswith(_ENDING)]
    tables = [(name, _plain(name)) for name in names if not name.endswith("/facts")]
    return show(request, "sources.html", groups=groups, works=works, tables=tables)


@router.get("/sources/{field}/{name}")
def table(request: Request, field: str, name: str) -> HTMLResponse:
    """Show one table as it stands."""
    full = f"{field}/{name}"
    if f"{full}{_ENDING}" not in loader.tables():
        raise InputError("there is no such table.", "Choose one from the list of sources.")
    rows, known = loader.rows(full), loader.sources()
    cited = dict.fromkeys(key for row in rows for key in loader.source_keys(row.get("source", "")))
    return show(
        request, "sources_table.html", name=_plain(full), columns=list(rows[0]), rows=rows[:MOST_ROWS], count=len(rows),
        cited=[(key, known[key].words()) for key in cited if key in known],
    )  # fmt: skip


def _number(name: str, fact: loader.Fact, known: Mapping[str, loader.Source]) -> Number:
    cited = "; ".join(known[key].words() for key in fact.source)
    words = name.replace("_", " ").replace("/", ", ")
    return Number(words, fact.figure().shown(fact.unit or None), cited, fact.locator, fact.note, fact.status)


def _plain(table: str) -> str:
    field, _, name = table.partition("/")
    return f"{NOUNS.get(field, field)}: {name.replace('_', ' ')}"
