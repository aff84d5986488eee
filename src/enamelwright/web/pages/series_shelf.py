"""The shelf of a kiln: how a load stands on it, spots that are kept free, and a sheet to lay under the pieces."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.cards import true_size
from enamelwright.cards.press import press
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question
from enamelwright.questions.shelf import ShelfInput, Spot
from enamelwright.web import series_asked, series_view
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import (
    cut_designs,
    series_work,
)
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import read_quantity

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

#: Spots of a shelf.
SPOTS = 3
SUPPORTS = ("mesh", "trivet", "plate", "mica", "fork")


@router.get("/series/shelf")
def shelf(request: Request) -> HTMLResponse:
    """Lay a load out on the shelf of a kiln."""
    studio, asked = studio_of(request), request.query_params
    known, bench = cut_designs.cut_designs(studio), bench_of(request)
    wanted = series_asked.wanted(asked)
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
            (load, series_view.load_picture(input_, payload, n), series_asked.counts({"blanks": load["pieces"]}))
            for n, load in enumerate(payload["loads"])
        ]
    spots = [*series_work.spots_of(studio, kiln), *({} for _ in range(SPOTS))][:SPOTS]
    return show_page(
        request, "series_shelf.html", status=200 if trouble is None else 422, tab="shelf", known=known, wanted=wanted,
        kilns=bench.kilns, kiln=kiln, answer=answer, loads=loads, error=trouble, asked=asked,
        query=series_asked.query(asked), numbers_of=series_view.numbers_of, spots=spots, supports=SUPPORTS,
        mirrored=series_asked.wanted(asked, "m"),
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
        return address(f"/series/shelf?{series_asked.query(request.query_params)}", "words")

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
    return series_asked.file(press(true_size.TEMPLATE, data), "placing-sheet.pdf", "application/pdf")


def _shelf(studio: Studio, asked: Any, kiln: str) -> ShelfInput:
    support = asked.get("support", "")
    if support and support not in SUPPORTS:
        raise InputError("this is not on the list.", "Choose one from the list.")
    pieces = series_work.standing(studio, series_asked.wanted(asked), support, series_asked.wanted(asked, "m"))
    if not pieces:
        raise InputError("nothing is put on the shelf.", "Say how many of at least one design.")
    sizes = {name: read_quantity(asked[name], "length") for name in ("width", "depth", "gap") if asked.get(name)}
    spots = tuple(
        Spot(x=one["x"] / 1000, y=one["y"] / 1000, diameter=one["size"] / 1000, why=str(one["why"])[:60])
        for one in series_work.spots_of(studio, kiln)
    )
    return ShelfInput(kiln=kiln, pieces=pieces, spots=spots, **sizes)


def _mm(text: str) -> float:
    size = text.replace(",", ".").removesuffix("mm").strip()
    try:
        value = float(size)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1500:
        raise InputError(f"'{text[:20]}' is no distance in mm.", "Write three numbers for each spot, like 90, 150, 40.")
    return value
