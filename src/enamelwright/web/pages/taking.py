"""Undo, the small sections that come later, and the history of one entry with its correction."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from sqlalchemy import Table, select
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.errors import InputError
from enamelwright.web import sections
from enamelwright.web.asked import ask_back, is_meant
from enamelwright.web.conflicts import column_words, same_entry
from enamelwright.web.guard import local_address
from enamelwright.web.posting import Filled, Form, address, once, show_page, written
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import history
from enamelwright.workshop.says_two import AskedBack
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.taking_back import take_back
from enamelwright.workshop.typed import as_typed, fields

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
#: Those that tell of money and of whoever bought, which no guest is shown.
OF_THE_SHOP = frozenset({"payment", "whereabouts"})
#: Columns that are numbers of other rows, or kept by the product itself: not for typing.
_NOT_TYPED = frozenset(
    {"id", "entry", "first", "corrects", "withdrawn", "why", "recorded_at", "who", "typed", "number", "closed_at"}
)
#: Most small sections asked for at once.
MOST_SECTIONS = 60


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
        asked = sections.Shown.read(word)
        if asked is not None:
            wanted.append(asked)
    drawn = sections.sheet(studio_of(request), wanted, wait=True)
    return HTMLResponse(
        Markup('<svg class="symbols" aria-hidden="true">') + Markup("").join(drawn.symbols) + Markup("</svg>")
    )


@router.get("/record/{noun}/{row:int}")
def entry(request: Request, noun: str, row: int) -> HTMLResponse:
    """Show every state an entry was in, and the form that corrects it."""
    table = _table(noun)
    if noun in OF_THE_SHOP:
        no_guests(request)
    studio = studio_of(request)
    states = history.states(studio, noun, row)
    with studio.reading() as connection:
        newest = connection.execute(table.select().where(table.c.id == studio.newest(table, row))).one()
    back = local_address(request.query_params.get("back", "/"))
    return show_page(
        request, "entry.html", noun=noun, row=row, name=ENTRIES[noun], states=states, back=back,
        fields=_fields(table, newest), words=column_words, seen=int(newest.id), withdrawn=bool(newest.withdrawn),
        said=lambda column, value: history.value_words(noun, column, value),
    )  # fmt: skip


@router.post("/record/{noun}/{row:int}")
def correct(request: Request, noun: str, row: int, form: Form) -> Response:
    """Correct an entry, or say that it never happened, unless somebody else corrected what was shown."""
    table, studio = _table(noun), studio_of(request)
    back = local_address(form.text("back"))

    def work() -> str:
        seen = form.version("seen")
        if form.text("do") == "withdraw":
            same_entry(studio, table, row, seen, {})
            history.withdraw(studio, noun, row, form.text("why"))
            return address(back, "withdrawn")
        changes = _changes(form, _fields(table, _shown(studio, table, row, seen)))
        same_entry(studio, table, row, seen, fields(table, changes))
        history.correct(studio, noun, row, form.text("why"), really=is_meant(form), **changes)
        return address(back, "corrected")

    try:
        return once(request, form, work)
    except AskedBack as error:
        return ask_back(request, form.items(), error)


def _shown(studio: Studio, table: Table, row: int, seen: int | None) -> Any:
    """Return the row the form was filled in from: what differs from it is what a person changed."""
    with studio.reading() as view:
        newest = view.execute(select(table).where(table.c.id == studio.newest(table, row))).one()
        told = view.execute(select(table).where(table.c.id == seen)).one_or_none()
    if told is None or (told.first or told.id) != (newest.first or newest.id):
        return newest
    return told


def _changes(form: Filled, asked: list[dict[str, Any]]) -> dict[str, Any]:
    """Return the fields that say something else than they were filled in with."""
    changes: dict[str, Any] = {}
    for field in asked:
        told = form.text(f"to-{field['name']}")
        if told != field["value"]:
            changes[field["name"]] = told if told or field["read"] else None
    return changes


def _table(noun: str) -> Table:
    if noun not in ENTRIES:
        raise InputError("there is no such entry.", "Open it from the page of its piece.")
    return history.noun_table(noun)


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
            {"name": column.name, "words": column_words(column.name), "value": text, "choices": choices, "read": read}
        )
    return found
