"""How many to start of a design, pieces that are begun as pairs, and pairs among those that are there."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.outline_mirror import own_mirror
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question
from enamelwright.web import series_asked, series_view
from enamelwright.web.posting import Form, Written, address, is_row, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import (
    cut_designs,
    designs,
    series_pairs,
    series_sides,
    series_work,
    stock_plan,
)
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import read_quantity

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

#: Confidences offered, in per cent; pieces of a set that are matched, at most.
SURE, MOST_SET = (80, 90, 95, 99), 12
#: What pairs of two different pieces are called.
LEFT_RIGHT = "left and right"
_HUNDRED = 100


@router.get("/series")
def series(request: Request) -> HTMLResponse:
    """Answer how many to start of a design."""
    studio, asked = studio_of(request), request.query_params
    known = cut_designs.cut_designs(studio)
    rows = designs.designs(studio)
    chosen = int(asked["design"]) if is_row(asked.get("design", "")) else 0
    design = next((one for one in rows if one.id == chosen), None)
    answer = trouble = short = None
    kinds = len(series_sides.SIDES) if asked.get("sides") == LEFT_RIGHT else 1
    if design is not None:
        try:
            wanted, sure = (
                series_asked.number(asked.get("wanted", ""), "wanted", 12),
                series_asked.number(asked.get("sure", ""), "sure", 95),
            )
            input_ = series_work.series_asked(
                studio, chosen, wanted, sure / _HUNDRED,
                per_load=series_asked.number(asked["per_load"], "per_load") if asked.get("per_load") else None,
                kinds=kinds,
                in_a_set=2 if asked.get("sides") == "any two" else 1,
            )  # fmt: skip
            answer = question("series").answer(input_, bench_of(request))
            if answer.payload.start.pieces:
                version = designs.version_row(studio, design.name)
                short = stock_plan.shortages(studio, {int(version.of): answer.payload.start.pieces * kinds})
        except EnamelwrightError as error:
            trouble = error
    return show_page(
        request, "series.html", status=200 if trouble is None else 422, tab="start", designs=rows, design=design,
        can_cut={one.row for one in known}, answer=answer, error=trouble, short=short, sure=SURE, asked=asked,
        waiting=_waiting(studio), sides=("any two", LEFT_RIGHT), kinds=kinds,
        alike=kinds > 1 and any(one.row == chosen and own_mirror(one.shape) for one in known),
    )  # fmt: skip


@router.post("/series")
def start(request: Request, form: Form) -> RedirectResponse:
    """Start the pieces of a series."""
    studio = studio_of(request)

    def work() -> str:
        design = designs.design_row(studio, form.whole("design"))
        count = form.whole("count")
        if not 0 < count <= series_asked.MOST:
            raise InputError(f"{count} pieces are not started at once.", f"Between 1 and {series_asked.MOST}.", "count")
        version = designs.version_row(studio, design.name)
        sides = form.text("sides") == LEFT_RIGHT
        if sides and count % len(series_sides.SIDES):
            raise InputError(f"{count} pieces are not as many left as right.", "Start an even number.", "count")
        called = series_sides.labels(count) if sides else ()
        made = start_pieces(studio, count, int(version.of), labels=called, batch=form.text("batch"))
        wrote: list[Written] = [("piece", int(one.id), int(one.version)) for one in made]
        return address("/pieces", "started" if count == 1 else "started-many", wrote)

    return once(request, form, work)


@router.get("/series/pairs")
def matches(request: Request) -> HTMLResponse:
    """Offer pairs and sets of pieces that are there, and name the odd one."""
    studio, asked = studio_of(request), request.query_params
    rows = designs.designs(studio)
    chosen = int(asked["design"]) if is_row(asked.get("design", "")) else 0
    design = next((one for one in rows if one.id == chosen), None)
    found = trouble = None
    if design is not None:
        try:
            size = series_asked.number(asked.get("size", ""), "size", 2)
            if not 2 <= size <= MOST_SET:
                raise InputError(f"a set of {size} is not offered.", f"Between 2 and {MOST_SET} pieces.", "size")
            told = {name: read_quantity(asked[name], "length") for name in ("width",) if asked.get(name)}
            found = series_pairs.pairs(studio, chosen, size, asked.get("begun") == "yes", told)
        except EnamelwrightError as error:
            trouble = error
    return show_page(
        request, "series_pairs.html", status=200 if trouble is None else 422, tab="pairs", designs=rows, design=design,
        found=found, error=trouble, asked=asked, forgiven=series_view.forgiven,
    )  # fmt: skip


def _waiting(studio: Studio) -> list[tuple[Any, Any, int]]:
    """List (order, design, pieces not yet started) of what is ordered."""
    names = {one.id: one for one in designs.designs(studio)}
    ordered = series_work.ordered_not_started(studio)
    return [(order, names[design], left) for order, design, left in ordered if design in names]
