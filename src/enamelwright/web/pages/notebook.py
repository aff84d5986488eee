"""An old notebook: its table sent, looked at as it would be read, and brought in when that is right."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import HTMLResponse, Response

from enamelwright import units
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.notebook import Notebook, changed, preview, read_notebook
from enamelwright.files.notebook_cells import Column
from enamelwright.files.notebook_fields import FIELDS, FOR_ALL
from enamelwright.files.sheet import Sheet, parse_sheet
from enamelwright.web.piece_view import minutes
from enamelwright.web.posting import Filled, Form, show_page
from enamelwright.web.viewer import degrees
from enamelwright.web.visit import studio_of
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.notebook_in import bring_in, teaches_nothing, undated

router = APIRouter(include_in_schema=False)

#: Largest table that is taken here [bytes]; a larger one is brought in on the terminal.
LARGEST = 1_000_000
#: Longest name of a file that is kept.
LONGEST_NAME = 120
#: Rows and complaints that are shown.
ROWS, COMPLAINTS = 5, 12
#: Units a column of bare numbers may have, by dimension.
_UNITS = {"temperature": ("°C", "°F"), "time": ("s", "min"), "length": ("mm", "in", "B&S", "SWG"), "mass": ("g",)}
#: What is asked besides the columns.
_ASKED = (*FOR_ALL, "order", "leave_undated")
#: What is shown of a row: field and heading.
_SHOWN = (
    ("date", "Day"), ("piece", "Piece"), ("jar", "Enamel"), ("metal", "Metal"), ("thickness", "Thickness"),
    ("set_point", "Set to"), ("seconds", "In the kiln"), ("to_gloss", "First gloss"), ("stage_seen", "Came out at"),
)  # fmt: skip


@dataclass(frozen=True)
class _Table:
    """A table that was sent."""

    name: str
    data: bytes
    sheet: Sheet

    @property
    def text(self) -> str:
        """Its bytes as a form carries them on."""
        return base64.b64encode(self.data).decode()


@router.get("/notebook")
def ask(request: Request) -> HTMLResponse:
    """Ask for the table."""
    return show_page(request, "notebook.html", table=None, done=None)


@router.post("/notebook")
async def look(request: Request) -> Response:
    """Show how a table that was sent would be read; nothing is written."""
    form = await request.form()
    sent = form.get("table")
    if not isinstance(sent, UploadFile) or not sent.filename:
        raise InputError("no table arrived.", "Save the notebook as CSV, choose it and send it again.", "table")
    data, name = await sent.read(LARGEST + 1), sent.filename[:LONGEST_NAME]
    return await run_in_threadpool(_look, request, name, data)


def _look(request: Request, name: str, data: bytes) -> Response:
    table = _table(name, data)
    return _show(request, table, read_notebook(table.sheet, preview(table.sheet)), dict.fromkeys(_ASKED, ""))


@router.post("/notebook/read")
def read(request: Request, form: Form) -> Response:
    """Read it again as somebody wants it, and bring it in when that is asked."""
    try:
        data = base64.b64decode(form.text("content"), validate=True)
    except (binascii.Error, ValueError) as error:
        raise InputError("the table did not arrive whole.", "Choose it again.", "table") from error
    table = _table(form.text("name")[:LONGEST_NAME], data)
    filled = {key: form.text(key) for key in _ASKED}
    columns = preview(table.sheet)
    try:
        columns = changed(columns, _wishes(form, columns))
        order: Any = filled["order"] or None
        notebook = read_notebook(table.sheet, columns, order, {name: filled[name] for name in FOR_ALL if filled[name]})
        if form.text("do") != "write":
            return _show(request, table, notebook, filled)
        leave = bool(filled["leave_undated"])
        done = bring_in(studio_of(request), notebook, table.name, table.data, leave_undated=leave)
    except EnamelwrightError as error:  # what was chosen stays on the page
        return _show(request, table, read_notebook(table.sheet, columns), filled, error)
    complaints = [*notebook.complaints, *done.complaints]
    return show_page(request, "notebook.html", table=None, done=done, complaints=complaints, most=COMPLAINTS)


def _table(name: str, data: bytes) -> _Table:
    if len(data) > LARGEST:
        most = LARGEST // 1_000_000
        raise InputError(f"the table has more than {most} megabyte.", "Bring it in on the terminal: notebook FILE.")
    return _Table(name or "notebook.csv", data, parse_sheet(data, name))


def _wishes(form: Filled, columns: tuple[Column, ...]) -> dict[str, str]:
    """Return what somebody wants otherwise than it was proposed."""
    wishes = {}
    for n, column in enumerate(columns):
        field, unit = form.text(f"field-{n}") or "-", form.text(f"unit-{n}")
        if field == "-" and not column.field:
            continue
        if (field, unit) != (column.field, column.unit):
            wishes[column.heading] = f"{field}:{unit}" if unit and field != "-" and _dimension(field) else field
    return wishes


def _dimension(field: str) -> str:
    return FIELDS[field].dimension if field in FIELDS else ""


def _show(
    request: Request, table: _Table, notebook: Notebook, filled: Mapping[str, str],
    error: EnamelwrightError | None = None,
) -> HTMLResponse:  # fmt: skip
    """Show how a table is read."""
    columns = [(column, _UNITS.get(_dimension(column.field), ())) for column in notebook.columns]
    shown = [(name, words) for name, words in _SHOWN if any(name in one.values for one in notebook.entries)]
    nothing = teaches_nothing(notebook)
    mine = kilns(studio_of(request))
    return show_page(
        request, "notebook.html", table=table, done=None, notebook=notebook, columns=columns, fields=tuple(FIELDS),
        heads=[words for _, words in shown], filled=filled, error=error, most=COMPLAINTS, nothing=nothing,
        rows=[[_said(one.values.get(name), name) for name, _ in shown] for one in notebook.entries[:ROWS]],
        undated=[one.line for one in undated(notebook)], metals=[(one, metal(one).name) for one in metal_ids()],
        kilns=mine, teaches=len(notebook.entries) - sum(nothing.values()),
        several=len(mine) > 1 or not mine,
    )  # fmt: skip


def _said(value: Any, field: str) -> str:
    """Say one cell as it was read."""
    if value is None:
        return ""
    dimension = _dimension(field)
    if dimension == "temperature":
        return degrees(value)
    if dimension == "time":
        return minutes(value)
    return units.show(value, dimension, "mm" if dimension == "length" else "g") if dimension else str(value)
