"""Series and blanks: how many to start, what is cut from which sheet, what stands on the shelf, what is short."""

from __future__ import annotations

import math
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright import units
from enamelwright.cards import true_size
from enamelwright.cards.press import press
from enamelwright.craft.outline_mirror import own_mirror
from enamelwright.craft.weights import Hand
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.figure import Figure
from enamelwright.files import cut_lines
from enamelwright.questions.blanks import BlanksInput
from enamelwright.questions.question import question
from enamelwright.questions.shelf import ShelfInput, Spot
from enamelwright.web import series_view
from enamelwright.web.posting import Form, Written, address, is_row, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import (
    asking,
    designs,
    jobs,
    metal_needs,
    series_pairs,
    series_sides,
    series_work,
    stock_plan,
)
from enamelwright.workshop.day_lots import needed_first
from enamelwright.workshop.metals import add_sheet, sheet_row
from enamelwright.workshop.money import read_money
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import read_quantity

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

#: Confidences offered, in per cent; good pieces asked for at most; seconds of a closer search; spots of a shelf.
SURE, MOST, SECONDS, SPOTS = (80, 90, 95, 99), 500, 10, 3
#: Pieces of a set that are matched, at most.
MOST_SET = 12
TURNINGS = ("free", "along", "quarters", "not")
CUTS = ("saw", "shears", "other")
SUPPORTS = ("mesh", "trivet", "plate", "mica", "fork")
OVER = ("done", "failed", "stopped")
#: What pairs of two different pieces are called.
LEFT_RIGHT = "left and right"
_HUNDRED = 100
_NOTHING = "Say how many of at least one design."


@router.get("/series")
def series(request: Request) -> HTMLResponse:
    """Answer how many to start of a design."""
    studio, asked = studio_of(request), request.query_params
    known = series_work.cut_designs(studio)
    rows = designs.designs(studio)
    chosen = int(asked["design"]) if is_row(asked.get("design", "")) else 0
    design = next((one for one in rows if one.id == chosen), None)
    answer = trouble = short = None
    kinds = len(series_sides.SIDES) if asked.get("sides") == LEFT_RIGHT else 1
    if design is not None:
        try:
            wanted, sure = _number(asked.get("wanted", ""), "wanted", 12), _number(asked.get("sure", ""), "sure", 95)
            input_ = series_work.series_asked(
                studio, chosen, wanted, sure / _HUNDRED,
                per_load=_number(asked["per_load"], "per_load") if asked.get("per_load") else None,
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
        if not 0 < count <= MOST:
            raise InputError(f"{count} pieces are not started at once.", f"Between 1 and {MOST}.", "count")
        version = designs.version_row(studio, design.name)
        sides = form.text("sides") == LEFT_RIGHT
        if sides and count % len(series_sides.SIDES):
            raise InputError(f"{count} pieces are not as many left as right.", "Start an even number.", "count")
        called = series_sides.labels(count) if sides else ()
        made = start_pieces(studio, count, int(version.of), labels=called, batch=form.text("batch"))
        wrote: list[Written] = [("piece", int(one.id), int(one.version)) for one in made]
        return address("/pieces", "started" if count == 1 else "started-many", wrote)

    return once(request, form, work)


@router.get("/series/blanks")
def blanks(request: Request) -> HTMLResponse:
    """Lay blanks on what is in stock."""
    studio, asked = studio_of(request), request.query_params
    known = series_work.cut_designs(studio)
    wanted = _wanted(asked)
    told: dict[str, Any] = {"sheets": [], "answer": None, "job": None, "laid": None}
    trouble = None
    if any(wanted.values()):
        try:
            input_, payload, job = _blanks(studio, request)
            told.update(answer=payload, job=job, laid=input_)
            if payload is not None:
                told["sheets"] = [
                    (sheet, series_view.sheet_picture(input_, sheet, f"sheet-{n}"), _counts(sheet))
                    for n, sheet in enumerate(payload["payload"]["sheets"])
                ]
        except EnamelwrightError as error:
            trouble = error
    kinds: dict[str, list[Any]] = {}
    for one in known:
        kinds.setdefault(one.sheet, []).append(one)
    return show_page(
        request, "series_blanks.html", status=200 if trouble is None else 422, tab="blanks", kinds=kinds, wanted=wanted,
        turnings=TURNINGS, cuts=CUTS, asked=asked, error=trouble, query=_query(asked), seconds=SECONDS, over=OVER,
        mirrored=_wanted(asked, "m"),
        stock={
            name: len(series_work.sheets_for(studio, found[0].piece.metal.kind, found[0].thickness))
            for name, found in kinds.items()
        }, **told,
    )  # fmt: skip


@router.post("/series/blanks")
def cut(request: Request, form: Form) -> RedirectResponse:
    """Look for a closer layout, stop looking, or say that a sheet is cut and keep what is left of it."""
    studio, asked = studio_of(request), request.query_params
    back = f"/series/blanks?{_query(asked)}"
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
        names = [one.name for one in series_work.cut_designs(studio)]
        pieces = metal_needs.blanks_cut(studio, label, series_sides.by_design(dict(_counts(sheet)), names))
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
    which = _number(asked.get("sheet", "") or "1", "sheet") - 1
    if not sheets or not 0 <= which < len(sheets):
        raise InputError("there is no such sheet in this layout.", "Choose one from the list.")
    if kind == "pdf":
        drawings = [series_view.sheet_true(input_, sheet, n) for n, sheet in enumerate(sheets)]
        data = true_size.true_size_data(drawings, "Cutting sheet", bool(setting(studio, INVENTED)))
        return _file(press(true_size.TEMPLATE, data), "cutting-sheet.pdf", "application/pdf")
    lines = series_view.cut_lines(input_, sheets[which])
    name = f"cutting-sheet-{which + 1}.{kind}"
    if kind == "dxf":
        return _file(cut_lines.dxf(lines).encode(), name, "image/vnd.dxf")
    return _file(cut_lines.svg(lines, sheets[which]["label"]).encode(), name, "image/svg+xml")


@router.get("/series/shelf")
def shelf(request: Request) -> HTMLResponse:
    """Lay a load out on the shelf of a kiln."""
    studio, asked = studio_of(request), request.query_params
    known, bench = series_work.cut_designs(studio), bench_of(request)
    wanted = _wanted(asked)
    kiln = asked.get("kiln", "") or (bench.kilns[0].name if bench.kilns else "")
    answer = trouble = input_ = None
    if any(wanted.values()):
        try:
            input_ = _shelf(studio, asked, kiln)
            answer = question("shelf").answer(input_, bench).to_json()
        except EnamelwrightError as error:
            trouble = error
    loads = []
    if answer is not None and input_ is not None:
        payload = answer["payload"]
        loads = [
            (load, series_view.load_picture(input_, payload, n), _counts({"blanks": load["pieces"]}))
            for n, load in enumerate(payload["loads"])
        ]
    spots = [*series_work.spots_of(studio, kiln), *({} for _ in range(SPOTS))][:SPOTS]
    return show_page(
        request, "series_shelf.html", status=200 if trouble is None else 422, tab="shelf", known=known, wanted=wanted,
        kilns=bench.kilns, kiln=kiln, answer=answer, loads=loads, error=trouble, asked=asked, query=_query(asked),
        spots=spots, supports=SUPPORTS, mirrored=_wanted(asked, "m"),
    )  # fmt: skip


@router.post("/series/shelf")
def keep_spots(request: Request, form: Form) -> RedirectResponse:
    """Keep the spots of a shelf that are kept free."""
    studio = studio_of(request)

    def work() -> str:
        spots = []
        for n in range(SPOTS):
            told = [form.text(f"{name}{n}") for name in ("x", "y", "size")]
            if not any(told):
                continue
            x, y, size = (_mm(one) for one in told)
            spots.append({"x": x, "y": y, "size": size, "why": form.text(f"why{n}") or "hot"})
        series_work.keep_spots(studio, form.text("kiln"), spots)
        return address(f"/series/shelf?{_query(request.query_params)}", "words")

    return once(request, form, work)


@router.get("/series/shelf.pdf")
def placing_sheet(request: Request) -> Response:
    """Return the placing sheet at true size, to lay under the pieces."""
    studio, asked = studio_of(request), request.query_params
    bench = bench_of(request)
    kiln = asked.get("kiln", "") or (bench.kilns[0].name if bench.kilns else "")
    input_ = _shelf(studio, asked, kiln)
    payload = question("shelf").answer(input_, bench).to_json()["payload"]
    drawings = [series_view.load_true(input_, payload, n) for n in range(len(payload["loads"]))]
    if not drawings:
        raise InputError("nothing stands on this shelf.", "Take smaller pieces, or a larger shelf.")
    data = true_size.true_size_data(drawings, "Placing sheet", bool(setting(studio, INVENTED)))
    return _file(press(true_size.TEMPLATE, data), "placing-sheet.pdf", "application/pdf")


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
            size = _number(asked.get("size", ""), "size", 2)
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


@router.get("/series/stock")
def stock(request: Request) -> HTMLResponse:
    """Say what planned and begun pieces need of each jar, and what is bought."""
    studio = studio_of(request)
    answer = stock_plan.shortages(studio, stock_plan.ordered_versions(studio))
    known = bench_of(request)
    names = {jar.id: jar.name for jar in known.jars}
    laid = needed_first(studio)
    lines = [
        (one, laid.get(one.jar.casefold(), ""))
        for one in answer.payload.lines if one.need.value > 0 or one.short.value > 0 or one.buy
    ]  # fmt: skip
    lines.sort(key=lambda told: (told[0].short.value <= 0, not told[1], told[1]))
    metals, step = metal_needs.metal_needs(studio), Hand.of(known).balance_step
    return show_page(
        request, "series_stock.html", tab="stock", answer=answer, names=names, lines=lines,
        weighed=lambda figure: as_weighed(figure, step),
        metals=metals, planned=any(moment for _, moment in lines),
        to_buy=any(one.buy for one, _ in lines) or any(one.short or one.perhaps for one in metals),
        grams=lambda mass: f"{units.from_si(mass, 'g', 'mass'):.0f} g",
    )  # fmt: skip


@router.get("/series/short")
def short(request: Request) -> HTMLResponse:
    """Say in one line which jars will not last, for the page of the jars."""
    studio = studio_of(request)
    return show_page(
        request, "series_short.html", answer=stock_plan.shortages(studio, stock_plan.ordered_versions(studio))
    )


#: From here on the bench reads tenths of a gram, then whole ones [g].
_TENTHS, _WHOLE = 10, 100


def as_weighed(figure: Figure, step: float) -> str:
    """Write powder with the digits the balance shows, and fewer of a large amount.

    Parameters
    ----------
    figure : Figure
        The powder [kg].
    step : float
        Smallest step of the balance [kg].
    """
    grams, smallest = (units.from_si(one, "g", "mass") for one in (figure.value, step))
    places = max(0, math.ceil(-math.log10(smallest) - _SLACK)) if smallest > 0 else 1
    places = min(places, 0 if grams >= _WHOLE else 1 if grams >= _TENTHS else places)
    if 0 < grams < smallest / 2:
        return f"under {smallest:.{places}f} g"
    return f"{grams:.{places}f} g"


#: Rounding of a step that is a power of ten.
_SLACK = 1e-9


def _waiting(studio: Studio) -> list[tuple[Any, Any, int]]:
    """List (order, design, pieces not yet started) of what is ordered."""
    names = {one.id: one for one in designs.designs(studio)}
    ordered = series_work.ordered_not_started(studio)
    return [(order, names[design], left) for order, design, left in ordered if design in names]


def _wanted(asked: Any, letter: str = "n") -> dict[int, int]:
    """Return how many of each design are asked for; those for the other side with the letter m."""
    found = {}
    for key, value in asked.items():
        if key.startswith(letter) and is_row(key[1:]) and is_row(value.strip()):
            found[int(key[1:])] = min(int(value.strip()), MOST)
    return found


def _query(asked: Any) -> str:
    return urlencode(
        [(key, value) for key, value in asked.items() if value and key not in {"job", "said", "undo", "sheet"}]
    )


def _asked(studio: Studio, asked: Any, seconds: int = 0) -> BlanksInput:
    turning, how = asked.get("turning", "free"), asked.get("cut", "saw")
    if turning not in TURNINGS or how not in CUTS:
        raise InputError("this is not on the list.", "Choose one from the list.")
    return series_work.blanks_asked(
        studio, _wanted(asked), turning=turning, seconds=seconds, cut=how, mirrored=_wanted(asked, "m")
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


def _shelf(studio: Studio, asked: Any, kiln: str) -> ShelfInput:
    support = asked.get("support", "")
    if support and support not in SUPPORTS:
        raise InputError("this is not on the list.", "Choose one from the list.")
    pieces = series_work.standing(studio, _wanted(asked), support, _wanted(asked, "m"))
    if not pieces:
        raise InputError("nothing is put on the shelf.", _NOTHING)
    sizes = {name: read_quantity(asked[name], "length") for name in ("width", "depth", "gap") if asked.get(name)}
    spots = tuple(
        Spot(x=one["x"] / 1000, y=one["y"] / 1000, diameter=one["size"] / 1000, why=str(one["why"])[:60])
        for one in series_work.spots_of(studio, kiln)
    )
    return ShelfInput(kiln=kiln, pieces=pieces, spots=spots, **sizes)


def _counts(sheet: Any) -> list[tuple[str, int]]:
    found: dict[str, int] = {}
    for one in sheet["blanks"]:
        found[one["name"]] = found.get(one["name"], 0) + 1
    return list(found.items())


def _number(text: str, field: str, default: int | None = None) -> int:
    if not text.strip() and default is not None:
        return default
    if not is_row(text.strip()) or not 0 < int(text) <= MOST:
        raise InputError(f"'{text[:20]}' is no count.", f"A whole number up to {MOST}.", field)
    return int(text)


def _mm(text: str) -> float:
    size = text.replace(",", ".").removesuffix("mm").strip()
    try:
        value = float(size)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1500:
        raise InputError(f"'{text[:20]}' is no distance in mm.", "Write three numbers for each spot, like 90, 150, 40.")
    return value


def _file(data: bytes, name: str, kind: str) -> Response:
    return Response(data, media_type=kind, headers={"Content-Disposition": f'inline; filename="{name}"'})
