"""What we learned: the kiln and the jars, the control tile, foretold and happened, faults, and the next tile."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.learning.control_chart import FEWEST, RUN
from enamelwright.web import learned_view, next_tile_view
from enamelwright.web.colour_fared import colour_fared
from enamelwright.web.learned_control import control_histories
from enamelwright.web.learned_windows import before_after
from enamelwright.web.learned_work import work_learned
from enamelwright.web.pages.pieces import metals
from enamelwright.web.posting import Form, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop.control_tiles import control_series
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.without_record import both_words, without_record

router = APIRouter(include_in_schema=False)

#: Parts of the page, in order: address and name.
PARTS = (
    ("/learned", "Kiln and jars"),
    ("/learned/work", "Hands and strips"),
    ("/learned/control", "Control tile"),
    ("/learned/foretold", "Foretold and happened"),
    ("/learned/faults", "Faults"),
    ("/learned/tiles", "Next tile"),
)


@router.get("/learned")
def learned(request: Request) -> HTMLResponse:
    """Show how much time coats need in each kiln, and how far each jar is known."""
    studio = studio_of(request)
    now = learned_view.at_hand(studio)
    if now is None and "wait" in request.query_params:
        now = learned_view.worked_out(studio)
    return _page(request, "learned.html", known=now, kept=kept_clocks(studio), **_kilns(now))


@router.get("/learned/kilns")
def kilns(request: Request) -> HTMLResponse:
    """Work out what was learned of the kilns."""
    studio = studio_of(request)
    now = learned_view.worked_out(studio)
    return show_page(
        request, "learned_kilns.html", known=now, jar_rows=learned_view.jar_rows(studio), **_kilns(now)
    )  # fmt: skip


@router.get("/learned/window")
def window(request: Request) -> HTMLResponse:
    """Show a few windows without what the record taught and with it, then how both kinds did."""
    studio, known = studio_of(request), bench_of(request)
    whole = "wait" in request.query_params
    template = "learned_window_page.html" if whole else "learned_window.html"
    words = both_words(without_record(studio, known)) if whole else None
    return _page(request, template, found=before_after(studio, known), did=words)


@router.get("/learned/did")
def did(request: Request) -> HTMLResponse:
    """Say how windows without the record would have done."""
    said = both_words(without_record(studio_of(request), bench_of(request)))
    return show_page(request, "learned_did.html", did=said)


@router.get("/learned/work")
def work(request: Request) -> HTMLResponse:
    """Show what weighings and strips have taught."""
    return _page(request, "learned_work.html", told=work_learned(studio_of(request), bench_of(request)))


@router.get("/learned/control")
def control(request: Request) -> HTMLResponse:
    """Show the chart of the control tile."""
    told = control_histories(control_series(studio_of(request)))
    return _page(request, "learned_control.html", told=told, fewest=FEWEST + 1, run=RUN)


@router.get("/learned/foretold")
def foretold(request: Request) -> HTMLResponse:
    """Show how often bands held what happened."""
    studio, known = studio_of(request), bench_of(request)
    return _page(
        request, "learned_foretold.html", parts_of=learned_view.foretold(studio, known), names=learned_view.NAMES,
        colour=colour_fared(studio, known),
    )  # fmt: skip


@router.get("/learned/faults")
def faults(request: Request) -> HTMLResponse:
    """Show which faults cost most, and which jars they go with."""
    studio = studio_of(request)
    return _page(request, "learned_faults.html", told=learned_view.faults(studio, firing_facts(studio)))


@router.get("/learned/tiles")
def tiles(request: Request) -> HTMLResponse:
    """Show which tiles of a jar to fire next."""
    return _page(request, "learned_tiles.html", metals=metals(), **next_tile_view.shown(request))


@router.post("/learned/tiles")
def make_tiles(request: Request, form: Form) -> RedirectResponse:
    """Make the tiles of a ladder or of the next loads."""
    return next_tile_view.make(request, form)


def _page(request: Request, template: str, **context: Any) -> HTMLResponse:
    rows = learned_view.jar_rows(studio_of(request))
    return show_page(request, template, parts=PARTS, tab=request.url.path, jar_rows=rows, **context)


def _kilns(now: learned_view.KilnsNow | None) -> dict[str, Any]:
    if now is None:
        return {"charts": []}
    return {"charts": [learned_view.kiln_chart(one) if len(one.days) > 1 else None for one in now.kilns]}
