"""Designs: what has been designed, and beginning another from a technique."""

from __future__ import annotations

from collections import OrderedDict
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.craft.bench import Bench
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.craft.technique import custom
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.records.store import Store
from enamelwright.web import drawings
from enamelwright.web.coat_forms import in_millimetres
from enamelwright.web.render import show
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import designs as kept
from enamelwright.workshop import editing, starters, trying
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Line:
    """One design in the list.

    Parameters
    ----------
    id : int
        Row.
    name, technique : str
        What it is called, and how it is made.
    versions : int
        How many are kept.
    changed : bool
        Whether changes lie on its board.
    picture : Markup or None
        The section; None where it cannot be drawn.
    """

    id: int
    name: str
    technique: str
    versions: int
    changed: bool
    picture: Markup | None


@dataclass(frozen=True)
class Technique:
    """One technique to begin with."""

    id: str
    name: str
    metals: str
    stack: str


@router.get("/designs")
def designs(request: Request) -> HTMLResponse:
    """List the designs, each with its section."""
    studio = studio_of(request)
    bench, marks = bench_of(request), editing.marks(studio)
    lines = []
    for row in kept.designs(studio):
        if row.id in marks:
            changed, picture = _drawn(studio, row.id, marks[row.id], bench)
            lines.append(Line(row.id, row.name, _called(row.technique), row.versions, changed, picture))
    return show(request, "designs.html", designs=lines)


#: Pictures of the list, by design, its mark and the bench; nothing of them can be out of date.
_PICTURES: OrderedDict[tuple[Store, int, tuple[int, int], str], tuple[bool, Markup | None]] = OrderedDict()
MOST_PICTURES = 1000


def _drawn(studio: Studio, design: int, mark: tuple[int, int], bench: Bench) -> tuple[bool, Markup | None]:
    """Return whether a design differs from what is kept, and its section; None where it cannot be drawn."""
    key = (studio.store, design, mark, bench.revision)
    found = _PICTURES.get(key)
    if found is None:
        changed, picture = False, None
        with suppress(EnamelwrightError):  # one that cannot be read or drawn says so on its own page
            board = editing.of_design(studio, design)
            changed = board.changed
            plan = trying.sketched(studio, board.subject, board.piece, board.shape(), bench)
            picture = drawings.thumbnail(plan, bench, key=f"d{design}")
        found = _PICTURES[key] = changed, picture
        while len(_PICTURES) > MOST_PICTURES:
            _PICTURES.popitem(last=False)
    return found


def _called(technique: str | None) -> str:
    try:
        return custom(technique).name if technique else ""
    except EnamelwrightError:
        return technique or ""


@router.get("/designs/new")
def new(request: Request) -> HTMLResponse:
    """Ask what the new design is."""
    return _ask(request, {}, None)


def _ask(request: Request, filled: dict[str, str], error: EnamelwrightError | None) -> HTMLResponse:
    found = [custom(one) for one in starters.techniques()]
    rows = [Technique(one.id, one.name, ", ".join(one.metals), one.stack) for one in found]
    return show(
        request, "design_new.html", status=200 if error is None else 422, techniques=rows, filled=filled, error=error,
        metals=[(one, metal(one).name) for one in metal_ids()],
    )  # fmt: skip


@router.post("/designs/new")
async def begin(request: Request) -> Response:
    """Keep a first version, and go on to its coats."""
    form = await request.form()
    return await run_in_threadpool(_begin, request, form)


def _begin(request: Request, form: FormData) -> Response:
    filled = {key: str(value) for key, value in form.items()}
    studio = studio_of(request)
    try:
        name = filled.get("name", "").strip()
        if not name:
            raise InputError("the design has no name.", "Give it one you will find it by.", "name")
        if any(row.name.casefold() == name.casefold() for row in kept.designs(studio)):
            raise InputError(f"there is a design '{name[:60]}' already.", "Open it, or choose another name.", "name")
        piece = starters.begin(filled.get("technique", ""), name, bench_of(request), _known(filled))
        trying.settle(studio, f"new:{name}", piece, None)
        design = kept.keep_design(studio, piece, name).design
    except EnamelwrightError as error:
        return _ask(request, filled, error)
    return RedirectResponse(f"/designs/{design}/coats?said=begun", 303)


def _known(filled: dict[str, str]) -> dict[str, Any]:
    """Return what the form says of metal and outline, in the outside form; nothing where it is left empty."""
    changes: dict[str, Any] = {}
    thickness = filled.get("thickness", "").strip()
    if filled.get("metal") and thickness:
        changes["metal"] = {"kind": filled["metal"], **in_millimetres("thickness", thickness)}
    elif filled.get("metal") or thickness:
        raise InputError("metal and thickness belong together.", "Give both, or leave both to the technique.", "metal")
    across = filled.get("across", "").strip()
    if across:
        changes["outline"] = {"shape": "circle", **in_millimetres("diameter", across)}
    return changes
