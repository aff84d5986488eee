"""Shape: the outline by numbers, from a drawing, traced over a photo or by the weight of the blank; metal and cells."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright import units
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Drawing, Piece
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.web import drawings
from enamelwright.web.boards import board_of, said
from enamelwright.web.cell_bands import in_bands
from enamelwright.web.coat_forms import plain_number
from enamelwright.web.render import environment, show
from enamelwright.web.visit import studio_of
from enamelwright.workshop import editing, kept_drawings, outlines, stack_edits
from enamelwright.workshop.editing import Board

router = APIRouter(include_in_schema=False)

#: The ways to give a shape, and their words.
WAYS: tuple[tuple[str, str], ...] = (
    ("numbers", "Numbers"), ("file", "A drawing"), ("photo", "Trace a photo"), ("weigh", "Weigh the blank"),
)  # fmt: skip
#: Room of the plan view [mm], and how finely sizes are told [m].
ROOM, TENTH = 84.0, 1e-3
#: Longest tracing that is read [characters], and largest drawing [bytes].
LONGEST_TRACING, LARGEST_DRAWING = 400_000, 16_000_000


@dataclass(frozen=True)
class Look:
    """What is shown of one outline.

    Parameters
    ----------
    picture : Markup
        The plan view.
    facts : tuple of (str, str)
        Its measures in words.
    cells : tuple of (str, str, str)
        Letter on the picture, name and area.
    holes : int
        How many.
    scale : str
        How the real size was found; empty when it was told in numbers.
    warnings : tuple of str
        What the reader of the drawing left out.
    in_bands : bool
        Whether the cells are drawn as bands of their size, since nobody drew where they lie.
    """

    picture: Markup
    facts: tuple[tuple[str, str], ...]
    cells: tuple[tuple[str, str, str], ...]
    holes: int
    scale: str = ""
    warnings: tuple[str, ...] = ()
    in_bands: bool = False


def _look(shape: Shape, name: str, scale: str = "", warnings: tuple[str, ...] = (), key: str = "shape") -> Look:
    wide, high, across, edge = (
        units.show(value, "length", "mm", TENTH) for value in (shape.width, shape.height, shape.chord, shape.all_edges)
    )
    facts = (
        ("Size", f"{wide} wide, {high} high"),
        ("Across, at most", across),
        ("Area of one face", _area(shape.area, "cm2")),
        ("Edge", edge),
    )
    cells = tuple(
        (chr(ord("a") + n), cell.name, _area(cell.area, "mm2")) for n, cell in enumerate(shape.cells.values())
    )
    picture = drawings.plan_view(shape, name, key=key, width=ROOM, height=ROOM)
    return Look(picture, facts, cells, len(shape.holes), scale, warnings)


def _area(value: float, unit: str) -> str:
    """Print an area with about the digits a cut edge keeps."""
    number, _, written = units.show(value, "area", unit, value / 20).rpartition(" ")
    return f"{number} {written.replace('2', '²')}"


@router.get("/designs/{design:int}/shape")
@router.get("/pieces/{number}/shape")
def shape(request: Request) -> HTMLResponse:
    """Show the shape, and one way to change it."""
    board = board_of(request)
    asked = request.query_params
    by = asked.get("by") or ("file" if isinstance(board.piece.outline, Drawing) else "numbers")
    if by == "numbers" and board.piece.outline.shape == "weighed":
        by = "weigh" if "by" not in asked else by
    trial: Look | None = None
    trouble: EnamelwrightError | None = None
    if by == "file" and asked.get("drawing"):
        try:
            trial = _trial(request, board, asked["drawing"], asked.get("width", ""))
        except EnamelwrightError as error:
            trouble = error
    try:
        now: Look | None = _now(board)
    except EnamelwrightError as error:
        now, trouble = None, trouble or error
    return show(
        request, "shape.html", status=200 if trouble is None else 422,
        board=board, by=by, ways=WAYS, now=now, trial=trial, error=trouble, said=said(request),
        drawing=asked.get("drawing", ""), width=asked.get("width", ""), outline=_outline_words(board.piece),
        metals=[(one, metal(one).name) for one in metal_ids()], metal_now=_metal_now(board.piece),
        metal_words=_metal_words(board.piece),
        millimetres=_millimetres, can_again=editing.can_do_again(studio_of(request), board),
    )  # fmt: skip


def _metal_words(piece: Piece) -> str:
    return ", ".join(part for part in (metal(piece.metal.kind).name, _metal_now(piece)["thickness"]) if part)


def _now(board: Board) -> Look:
    outline = kept_drawings.outline_of(board.piece, board.drawing)
    scale: str = ""
    warnings: tuple[str, ...] = ()
    if isinstance(board.piece.outline, Drawing) and board.drawing is not None:
        read = kept_drawings.read_kept(board.drawing["file"], board.drawing["base64"], board.piece.outline.width)
        scale, warnings = read.scale_words, read.warnings
    banded = outline if outline.cells else in_bands(outline, board.piece)
    return replace(_look(banded, board.name, scale, warnings), in_bands=banded is not outline)


def _trial(request: Request, board: Board, digest: str, width: str) -> Look:
    laid = kept_drawings.drawing_laid_by(studio_of(request), digest)
    read = kept_drawings.read_kept(laid["file"], laid["base64"], _length(width, "width"))
    return _look(read.shape(), board.name, read.scale_words, read.warnings, key="trial")


@router.post("/designs/{design:int}/shape/preview")
@router.post("/pieces/{number}/shape/preview")
async def preview(request: Request) -> Response:
    """Show the outline that is being typed."""
    form = await request.form()
    return await run_in_threadpool(_preview, request, form)


def _preview(request: Request, form: FormData) -> Response:
    board = board_of(request)
    piece, _, _ = _changed(board, form)
    look = _look(kept_drawings.outline_of(piece, board.drawing), board.name)
    return HTMLResponse(environment().get_template("shape_live.html").render(look=look))


@router.post("/designs/{design:int}/shape")
@router.post("/pieces/{number}/shape")
async def change(request: Request) -> Response:
    """Change the shape, the metal or the cells; kept as a draft."""
    form = await request.form()
    return await run_in_threadpool(_change, request, form)


def _change(request: Request, form: FormData) -> Response:
    board = board_of(request)
    if form.get("do") == "file":
        form_drawing = kept_drawings.drawing_laid_by(studio_of(request), str(form.get("drawing", "")))
        outline: dict[str, Any] = {"shape": "drawing", "file": form_drawing["file"]}
        width = _length(str(form.get("width", "")), "width")
        if width is not None:
            outline["width_mm"] = units.from_si(width, "mm", "length")
        read = kept_drawings.read_kept(form_drawing["file"], form_drawing["base64"], width)
        piece, gone = stack_edits.fit_cells(board.piece, outline, set(read.shape().cells), cells=None)
        drawing: dict[str, str] | None = form_drawing
    else:
        piece, gone, drawing = _changed(board, form)
    kept_drawings.outline_of(piece, drawing or board.drawing)
    editing.save(studio_of(request), board, piece, drawing=drawing)
    by = f"&by={form['by']}" if form.get("by") in dict(WAYS) else ""
    return RedirectResponse(f"{board.address}/shape?said={'cells' if gone else 'shape'}{by}", 303)


def _changed(board: Board, form: FormData) -> tuple[Piece, tuple[str, ...], dict[str, str] | None]:
    """Return the changed piece, cells that are gone, and a drawing that came with it."""
    do = str(form.get("do", ""))
    outside = board.piece.to_outside()
    names = set(board.shape().cells) if board.shape() is not None else set()  # type: ignore[union-attr]
    if do == "numbers":
        return (*stack_edits.fit_cells(board.piece, _numbers(form), set(), holes=_holes(form)), None)
    if do == "weigh":
        weighed = {"shape": "weighed", **_quantity(form, "mass", "g"), **_quantity(form, "across", "mm")}
        return (*stack_edits.fit_cells(board.piece, weighed, set(), holes=None), None)
    if do == "traced":
        lines, scale = _tracing(form)
        outline, drawing = outlines.traced_outline(lines, scale)
        named: set[str] = set()
        if drawing is not None:
            named = set(kept_drawings.read_kept(drawing["file"], drawing["base64"], None).shape().cells)
        return (*stack_edits.fit_cells(board.piece, outline, named, holes=None, cells=None), drawing)
    if do == "metal":
        return (*stack_edits.fit_cells(board.piece, outside["outline"], names, **_metal(board.piece, form)), None)
    if do == "cells":
        return (*stack_edits.fit_cells(board.piece, outside["outline"], names, cells=_cells(form) or None), None)
    raise InputError(f"'{do[:20]}' is nothing that can be done to a shape.", "Open the page again.")


@router.post("/drawings/designs/{design:int}")
@router.post("/drawings/pieces/{number}")
async def take_up(request: Request) -> Response:
    """Take up a drawing and show what is read from it; nothing changes until it is used."""
    form = await request.form()
    file = form.get("drawing")
    if not isinstance(file, UploadFile) or not file.filename:
        raise InputError("no drawing was chosen.", "Choose an SVG or DXF file.")
    data = await file.read(LARGEST_DRAWING + 1)
    if len(data) > LARGEST_DRAWING:
        raise InputError("this drawing is too large.", "Take pictures and spare layers out of it.")
    return await run_in_threadpool(_take_up, request, file.filename, data, str(form.get("width", "")))


def _take_up(request: Request, name: str, data: bytes, width: str) -> Response:
    studio, board = studio_of(request), board_of(request)
    drawing = kept_drawings.take_drawing(name, data)
    try:
        kept_drawings.read_kept(drawing["file"], drawing["base64"], _length(width, "width"))
    except InputError as error:
        # Only a size that is missing can be mended here; anything else is refused before it is laid by.
        if "no real units" not in error.message:
            raise
    digest = kept_drawings.put_drawing(studio, drawing)
    asked = {"by": "file", "drawing": digest} | ({"width": width.strip()} if width.strip() else {})
    return RedirectResponse(f"{board.address}/shape?{urlencode(asked)}#trial", 303)


# ---- what arrives -------------------------------------------------------------------------------


def _length(text: str, where: str) -> float | None:
    """Read a length; a bare number is millimetres. Returns metres, None for nothing."""
    text = text.strip().replace("−", "-")
    if not text:
        return None
    number = plain_number(text.removeprefix("-"))
    if number is not None and text.startswith("-"):
        number = -number
    try:
        return units.to_si(number, "mm", "length") if number is not None else units.parse(text, "length")
    except EnamelwrightError as error:
        raise error.at(where) from error


def _quantity(form: FormData, key: str, unit: str, field: str = "") -> dict[str, Any]:
    """Return one quantity of a form in the outside form; nothing for an empty line."""
    text = str(form.get(key, "")).strip()
    if not text:
        return {}
    number = plain_number(text.removeprefix("-"))
    name = field or key
    if number is None:
        return {name: text}
    return {f"{name}_{unit}": -number if text.startswith("-") else number}


def _numbers(form: FormData) -> dict[str, Any]:
    kind = str(form.get("shape", ""))
    fields = {
        "circle": ("diameter",), "ellipse": ("width", "height"), "rounded rectangle": ("width", "height", "corner"),
    }.get(kind)  # fmt: skip
    if fields is None:
        raise InputError(f"'{kind[:20]}' is no shape that is told in numbers.", "Choose one of the list.", "shape")
    outline: dict[str, Any] = {"shape": kind}
    for field in fields:
        outline |= _quantity(form, field, "mm")
    return outline


def _holes(form: FormData) -> list[dict[str, Any]] | None:
    """Return the round holes: diameter, and centre from the middle of the piece."""
    found = []
    columns = (form.getlist("hole"), form.getlist("hole_x"), form.getlist("hole_y"))
    for across, x, y in zip(*columns, strict=False):
        if str(across).strip():
            place = [_length(str(part), "hole") or 0.0 for part in (x, y)]
            wide = _length(str(across), "hole") or 0.0
            found.append({
                "diameter_mm": units.from_si(wide, "mm", "length"),
                "at_mm": [units.from_si(part, "mm", "length") for part in place],
            })  # fmt: skip
    return found or None


def _metal(piece: Piece, form: FormData) -> dict[str, Any]:
    sheet = {key: value for key, value in piece.metal.to_outside().items() if not key.startswith(("kind", "thickness"))}
    more: dict[str, Any] = {"metal": {**sheet, "kind": str(form.get("kind", "")), **_quantity(form, "thickness", "mm")}}
    more["dome_mm"] = more["turned_edge_mm"] = None
    more |= _quantity(form, "dome", "mm") | _quantity(form, "turned_edge", "mm")
    depth = _quantity(form, "recess", "mm", "depth")
    made = str(form.get("made", "")) or "etched"
    old = piece.recess.to_outside() if piece.recess is not None else {}
    old = {key: value for key, value in old.items() if not key.startswith("depth")}
    more["recess"] = {**old, **depth, "made": made} if depth else None
    return more


def _cells(form: FormData) -> list[dict[str, Any]]:
    """Return cells told without a drawing: name and part of the face in per cent."""
    whole = 100
    found = []
    for name, share in zip(form.getlist("cell"), form.getlist("cell_share"), strict=False):
        if str(name).strip():
            number = plain_number(str(share).strip().removesuffix("%"))
            if number is None or not 0 < number <= whole:
                raise InputError(f"the cell '{str(name)[:40]}' has no part of the face.", "Write per cent.", "cells")
            found.append({"name": str(name).strip(), "share": number / whole})
    return found


def _tracing(form: FormData) -> tuple[tuple[outlines.Traced, ...], float]:
    text = str(form.get("tracing", ""))
    if len(text) > LONGEST_TRACING:
        raise InputError("this tracing is too long.", "Use fewer points.")
    try:
        data = json.loads(text or "{}")
    except (ValueError, RecursionError) as error:
        raise InputError("the tracing did not arrive whole.", "Trace it again.") from error
    if not isinstance(data, dict):
        raise InputError("the tracing did not arrive whole.", "Trace it again.")
    apart = _length(str(form.get("apart", "")), "distance")
    if apart is None:
        raise InputError("the distance of the two points is missing.", "Measure it, and write it in mm.", "distance")
    scale = outlines.scale_of(data.get("ends"), units.from_si(apart, "mm", "length"))
    return outlines.traced_lines(data.get("lines")), scale


# ---- what is shown ------------------------------------------------------------------------------


def _millimetres(value: float | None) -> str:
    return "" if value is None else f"{units.from_si(value, 'mm', 'length'):.4g}"


def _outline_words(piece: Piece) -> dict[str, str]:
    """Return the numbers of the outline for the form, as text in the units of the form."""
    outline = piece.outline
    words: dict[str, str] = {"shape": outline.shape}
    for name in ("diameter", "width", "height", "corner", "across"):
        words[name] = _millimetres(getattr(outline, name, None))
    mass = getattr(outline, "mass", None)
    words["mass"] = "" if mass is None else f"{units.from_si(mass, 'g', 'mass'):.4g}"
    return words


def _metal_now(piece: Piece) -> dict[str, str]:
    from enamelwright.craft.metal import metal_id

    return {
        "kind": metal_id(piece.metal.kind),
        "thickness": _millimetres(piece.metal.thickness),
        "dome": _millimetres(piece.dome) if piece.dome else "",
        "turned_edge": _millimetres(piece.turned_edge) if piece.turned_edge else "",
        "recess": _millimetres(piece.recess.depth) if piece.recess else "",
        "made": piece.recess.made if piece.recess else "",
    }
