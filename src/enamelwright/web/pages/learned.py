"""What we learned: the kiln and the jars, the control tile, foretold and happened, faults, and the next tile."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright import units
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.learning.control_chart import FEWEST, RUN
from enamelwright.questions.question import question
from enamelwright.web import learned_view, piece_view
from enamelwright.web.learned_work import work_learned
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import degrees
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop.control_tiles import ControlSeries, control_series
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.next_tiles import tiles_tried

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
#: Most loads and places that are asked for.
_MOST_PLACES = 24


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
    now = learned_view.worked_out(studio_of(request))
    return show_page(request, "learned_kilns.html", known=now, **_kilns(now))


@router.get("/learned/window")
def window(request: Request) -> HTMLResponse:
    """Show the next window without what the record taught and with it."""
    found = learned_view.before_after(studio_of(request), bench_of(request))
    template = "learned_window_page.html" if "wait" in request.query_params else "learned_window.html"
    return _page(request, template, found=found)


@router.get("/learned/work")
def work(request: Request) -> HTMLResponse:
    """Show what weighings and strips have taught."""
    return _page(request, "learned_work.html", told=work_learned(studio_of(request), bench_of(request)))


@router.get("/learned/control")
def control(request: Request) -> HTMLResponse:
    """Show the chart of the control tile."""
    series = control_series(studio_of(request))
    drawn = [(one, _heat(one), learned_view.charted(one)) for one in series]
    return _page(request, "learned_control.html", series=drawn, fewest=FEWEST + 1, run=RUN)


@router.get("/learned/foretold")
def foretold(request: Request) -> HTMLResponse:
    """Show how often bands held what happened."""
    return _page(
        request, "learned_foretold.html", parts_of=learned_view.foretold(studio_of(request)), names=learned_view.NAMES
    )


@router.get("/learned/faults")
def faults(request: Request) -> HTMLResponse:
    """Show which faults cost most, and which jars they go with."""
    studio = studio_of(request)
    return _page(request, "learned_faults.html", told=learned_view.faults(studio, firing_facts(studio)))


@router.get("/learned/tiles")
def tiles(request: Request) -> HTMLResponse:
    """Show which tiles of a jar to fire next."""
    studio = studio_of(request)
    asked = request.query_params
    shelf = jars(studio)
    filled = {key: asked.get(key, "").strip() for key in ("jar", "loads", "shelf", "undercoats", "depths")}
    if not filled["jar"] and shelf:
        filled["jar"] = shelf[0].code
    answer, found, trouble = None, None, ""
    if filled["jar"]:
        try:
            found = tiles_tried(studio, filled["jar"], **_wanted(filled))
            answer = question("next-tile").answer(found.asked, bench_of(request))
        except EnamelwrightError as error:
            trouble = str(error)
    return _page(
        request, "learned_tiles.html", jars=shelf, filled=filled, found=found, answer=answer, trouble=trouble,
        table=learned_view.tile_window(answer.payload) if answer is not None else None, degrees=degrees,
        minutes=piece_view.minutes,
    )  # fmt: skip


def _page(request: Request, template: str, **context: Any) -> HTMLResponse:
    return show_page(request, template, parts=PARTS, tab=request.url.path, **context)


def _kilns(now: learned_view.KilnsNow | None) -> dict[str, Any]:
    if now is None:
        return {"charts": []}
    return {"charts": [learned_view.kiln_chart(one) if len(one.days) > 1 else None for one in now.kilns]}


def _heat(one: ControlSeries) -> str:
    """Return the setting of a series in words."""
    return degrees(one.set_point) if one.set_point is not None else "setting not told"


def _wanted(filled: dict[str, str]) -> dict[str, Any]:
    """Read what is wanted of the next loads."""
    wanted: dict[str, Any] = {}
    for key in ("loads", "shelf"):
        if filled[key]:
            if not filled[key].isdecimal() or not 1 <= int(filled[key]) <= _MOST_PLACES:
                raise InputError(f"'{filled[key][:20]}' is no number of {key}.", f"Write 1 to {_MOST_PLACES}.", key)
            wanted[key] = int(filled[key])
    if filled["undercoats"]:
        wanted["undercoats"] = tuple(one.strip() for one in filled["undercoats"].split(",") if one.strip())
    if filled["depths"]:
        wanted["thicknesses"] = tuple(units.parse(one, "length") for one in filled["depths"].split(",") if one.strip())
    return wanted
