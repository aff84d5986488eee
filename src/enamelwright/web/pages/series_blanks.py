"""Blanks: laid out on what is in stock, cut, printed at true size, and what is left of a sheet kept."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.cards import true_size
from enamelwright.cards.press import press
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files import cut_lines
from enamelwright.questions.blanks import BlanksInput
from enamelwright.questions.question import question
from enamelwright.web import series_asked, series_view
from enamelwright.web.posting import Form, address, is_row, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import (
    asking,
    cut_designs,
    jobs,
    metal_needs,
    series_work,
)
from enamelwright.workshop.metals import add_sheet, sheet_row
from enamelwright.workshop.money import read_money
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

#: Seconds of a closer search.
SECONDS = 10
TURNINGS = ("free", "along", "quarters", "not")
CUTS = ("saw", "shears", "other")
OVER = ("done", "failed", "stopped")


@router.get("/series/blanks")
def blanks(request: Request) -> HTMLResponse:
    """Lay blanks on what is in stock."""
    studio, asked = studio_of(request), request.query_params
    known = cut_designs.cut_designs(studio)
    wanted = series_asked.wanted(asked)
    told: dict[str, Any] = {"sheets": [], "answer": None, "job": None, "laid": None}
    trouble = None
    if any(wanted.values()):
        try:
            input_, payload, job = _blanks(studio, request)
            told.update(answer=payload, job=job, laid=input_)
            if payload is not None:
                told["sheets"] = [
                    (sheet, series_view.sheet_picture(input_, sheet, f"sheet-{n}"), series_asked.counts(sheet))
                    for n, sheet in enumerate(payload["payload"]["sheets"])
                ]
        except EnamelwrightError as error:
            trouble = error
    kinds: dict[str, list[Any]] = {}
    for one in known:
        kinds.setdefault(one.sheet, []).append(one)
    return show_page(
        request, "series_blanks.html", status=200 if trouble is None else 422, tab="blanks", kinds=kinds, wanted=wanted,
        turnings=TURNINGS, cuts=CUTS, asked=asked, error=trouble, seconds=SECONDS, over=OVER,
        numbers_of=series_view.numbers_of,
        query=series_asked.query(asked), mirrored=series_asked.wanted(asked, "m"),
        stock={
            name: len(series_work.sheets_for(studio, found[0].piece.metal.kind, found[0].thickness))
            for name, found in kinds.items()
        }, **told,
    )  # fmt: skip


@router.post("/series/blanks")
def cut(request: Request, form: Form) -> RedirectResponse:
    """Look for a closer layout, stop looking, or say that a sheet is cut and keep what is left of it."""
    studio, asked = studio_of(request), request.query_params
    back = f"/series/blanks?{series_asked.query(asked)}"
    if form.text("do") == "closer":
        input_ = _asked(studio, asked, SECONDS)
        row = asking.ask_later(studio, "blanks", input_.to_outside())
        request.app.state.worker.wake()
        return RedirectResponse(f"{back}&job={row}#laid", 303)
    if form.text("do") == "stop":
        jobs.stop(studio, form.whole("job"))
        return RedirectResponse(f"{back}#laid", 303)

    def work() -> str:
        if form.text("do") == "sheet":
            told = {name: form.text(name) for name in ("label", "metal", "thickness", "width", "length")}
            if not all(told.values()):
                raise InputError("a sheet has a name, a metal, a thickness and two sizes.", "Fill in all five.")
            more: dict[str, Any] = dict(form.given("lot"))
            if form.text("price"):
                more["price_minor"], more["currency"] = read_money(studio, form.text("price"))
            row = add_sheet(
                studio, told["label"], told["metal"], told["thickness"], width=told["width"], length=told["length"],
                **more,
            )  # fmt: skip
            return address(back, "words", [("sheet", row, 1)])
        _, payload, _ = _blanks(studio, request)
        label = form.text("sheet")
        sheet = next((one for one in payload["payload"]["sheets"] if one["label"] == label), None) if payload else None
        if sheet is None:
            raise InputError("this sheet is not laid out.", "Lay the blanks out again.")
        rows = series_work.keep_what_is_left(studio, label, sheet["kept"])
        cut_up = sheet_row(studio, label)
        pieces = metal_needs.blanks_cut(studio, label, dict(series_asked.counts(sheet)))
        wrote = [
            ("sheet", int(cut_up.id), int(cut_up.version)), *(("sheet", row, 1) for row in rows),
            *(("piece", int(one.id), int(one.version)) for one in pieces),
        ]  # fmt: skip
        return address("/series/blanks", "cut", wrote)

    return once(request, form, work)


@router.get("/series/blanks.{kind}")
def cutting_sheet(request: Request, kind: str) -> Response:
    """Return the cutting sheet at true size: PDF to print, DXF or SVG for a machine."""
    studio, asked = studio_of(request), request.query_params
    input_, payload, _ = _blanks(studio, request)
    if payload is None or kind not in {"pdf", "dxf", "svg"}:
        raise InputError("this layout is not ready.", "Wait until it is done, or lay the blanks out again.")
    sheets = payload["payload"]["sheets"]
    which = series_asked.number(asked.get("sheet", "") or "1", "sheet") - 1
    if not sheets or not 0 <= which < len(sheets):
        raise InputError("there is no such sheet in this layout.", "Choose one from the list.")
    if kind == "pdf":
        drawings = [series_view.sheet_true(input_, sheet, n) for n, sheet in enumerate(sheets)]
        data = true_size.true_size_data(drawings, "Cutting sheet", bool(setting(studio, INVENTED)))
        return series_asked.file(press(true_size.TEMPLATE, data), "cutting-sheet.pdf", "application/pdf")
    lines = series_view.cut_lines(input_, sheets[which])
    name = f"cutting-sheet-{which + 1}.{kind}"
    if kind == "dxf":
        return series_asked.file(cut_lines.dxf(lines).encode(), name, "image/vnd.dxf")
    return series_asked.file(cut_lines.svg(lines, sheets[which]["label"]).encode(), name, "image/svg+xml")


def _asked(studio: Studio, asked: Any, seconds: int = 0) -> BlanksInput:
    turning, how = asked.get("turning", "free"), asked.get("cut", "saw")
    if turning not in TURNINGS or how not in CUTS:
        raise InputError("this is not on the list.", "Choose one from the list.")
    return series_work.blanks_asked(
        studio,
        series_asked.wanted(asked),
        turning=turning,
        seconds=seconds,
        cut=how,
        mirrored=series_asked.wanted(asked, "m"),
    )


def _blanks(studio: Studio, request: Request) -> tuple[BlanksInput, dict[str, Any] | None, Any]:
    """Return what is asked, its answer as JSON, and the job it comes from; no answer while that is not done."""
    asked = request.query_params
    if is_row(asked.get("job", "")):
        job = jobs.job(studio, int(asked["job"]))
        if job.kind != asking.KIND or (job.asked or {}).get("name") != "blanks":
            raise InputError("this is no layout of blanks.", "Lay the blanks out again.")
        input_ = BlanksInput.from_outside(job.asked["data"])
        return input_, job.result if job.state == "done" else None, job
    input_ = _asked(studio, asked)
    return input_, question("blanks").answer(input_, bench_of(request)).to_json(), None
