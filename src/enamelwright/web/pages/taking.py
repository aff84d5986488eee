"""Undo, the small sections that come later, and the history of one entry with its correction."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from sqlalchemy import Table
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import InputError
from enamelwright.web import sections
from enamelwright.web.page import Page
from enamelwright.web.posting import Form, address, once, show_page, written
from enamelwright.web.visit import studio_of
from enamelwright.workshop import history
from enamelwright.workshop.taking_back import take_back
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

#: Things whose history can be read and corrected here, and what they are called.
ENTRIES: dict[str, str] = {
    "coat": "Coat",
    "load": "Firing",
    "fault": "Fault",
    "measure": "Measure",
    "finish": "Work after the kiln",
    "mishap": "Mishap",
    "time": "Hand time",
    "colour": "Colour",
    "whereabouts": "Where it is",
    "payment": "Payment",
    "stock": "Stock",
    "washing": "Powder work",
    "fact": "Fact about a jar",
    "bath entry": "Bath",
    "look": "Look",
}
#: Columns that are numbers of other rows, or kept by the product itself: not for typing.
_NOT_TYPED = frozenset(
    {"id", "entry", "first", "corrects", "withdrawn", "why", "recorded_at", "who", "typed", "number", "closed_at"}
)
#: Most small sections asked for at once.
MOST_SECTIONS = 60
#: Plain words for columns whose name is short.
_WORDS = {
    "at": "When", "words": "Note", "on_piece": "On the piece", "to_gloss": "Time to first gloss",
    "set_point": "Set to", "seconds": "In the kiln for", "stage_seen": "Came out at", "target": "Meant to stop at",
    "shown_at_load": "Display when it went in", "shown_lowest": "Lowest the display fell",
    "idle_before": "Pause before",
    "place_on_piece": "Where on the piece", "minor": "Sum, in the smallest coin", "ph": "pH",
    "do_not_learn": "Leave out when learning", "length": "Length", "mass": "Weight", "over": "Measured over",
}  # fmt: skip


def local_address(text: str) -> str:
    """Return an address of this app; the first page for anything else."""
    return text if text.startswith("/") and not text.startswith("//") and "\\" not in text else "/"


@router.post("/take-back")
def undo(request: Request, form: Form) -> RedirectResponse:
    """Take back what one tap wrote."""
    take_back(studio_of(request), written(form.text("what")))
    return RedirectResponse(address(local_address(form.text("back")), "back"), 303)


@router.get("/sections")
def later(request: Request, of: str = "") -> HTMLResponse:
    """Draw small sections whose plans were not at hand when the page was drawn."""
    wanted = []
    for word in of.split(",")[:MOST_SECTIONS]:
        version, _, firing = word.partition(".")
        if version.isdecimal() and firing.isdecimal():
            wanted.append(sections.Shown(int(version), int(firing)))
    drawn = sections.sheet(studio_of(request), wanted, wait=True)
    return HTMLResponse(
        Markup('<svg class="symbols" aria-hidden="true">') + Markup("").join(drawn.symbols) + Markup("</svg>")
    )


@router.get("/record/{noun}/{row:int}")
def entry(request: Request, noun: str, row: int) -> HTMLResponse:
    """Show every state an entry was in, and the form that corrects it."""
    table = _table(noun)
    studio = studio_of(request)
    states = history.states(studio, noun, row)
    with studio.reading() as connection:
        newest = connection.execute(table.select().where(table.c.id == studio.newest(table, row))).one()
    back = local_address(request.query_params.get("back", "/"))
    return show_page(
        request, "entry.html", noun=noun, row=row, name=ENTRIES[noun], states=states, back=back,
        fields=_fields(table, newest), words=_words, withdrawn=bool(newest.withdrawn),
        said=lambda column, value: history.value_words(noun, column, value),
    )  # fmt: skip


@router.post("/record/{noun}/{row:int}")
def correct(request: Request, noun: str, row: int, form: Form) -> RedirectResponse:
    """Correct an entry, or say that it never happened."""
    table, studio = _table(noun), studio_of(request)
    back = local_address(form.text("back"))

    def work() -> str:
        if form.text("do") == "withdraw":
            history.withdraw(studio, noun, row, form.text("why"))
            return address(back, "withdrawn")
        with studio.reading() as connection:
            newest = connection.execute(table.select().where(table.c.id == studio.newest(table, row))).one()
        changes: dict[str, Any] = {}
        for field in _fields(table, newest):
            told = form.text(f"to-{field['name']}")
            if told != field["value"]:
                changes[field["name"]] = told if told or field["read"] else None
        history.correct(studio, noun, row, form.text("why"), **changes)
        return address(back, "corrected")

    return once(request, form, work)


def _table(noun: str) -> Table:
    if noun not in ENTRIES:
        raise InputError("there is no such entry.", "Open it from the page of its piece.")
    return history.noun_table(noun)


def _words(column: str) -> str:
    return _WORDS.get(column, column.replace("_", " ").capitalize())


def _fields(table: Table, row: Any) -> list[dict[str, Any]]:
    """Return the columns a person may correct, with what stands in them as typed."""
    found = []
    for column in table.c:
        info = column.info
        if column.name in _NOT_TYPED or column.foreign_keys or "json" in info:
            continue
        read = "dimension" in info or "yes_no" in info or "instant" in info or "day" in info
        value = row._mapping[column.name]
        text = "" if value is None else as_typed(row, column.name)
        if "yes_no" in info and value is not None:
            text = "yes" if value else "no"
        choices = ("yes", "no") if "yes_no" in info else tuple(info.get("words", ()))
        found.append(
            {"name": column.name, "words": _words(column.name), "value": text, "choices": choices, "read": read}
        )
    return found


PAGE = Page("/record", "Record", "What stood in an entry, and its correction", router, listed=False)
