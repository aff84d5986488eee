"""What went wrong with a piece, and what now: the finder and the ways out."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.errors import EnamelwrightError
from enamelwright.learning.fault_atlas import near, places
from enamelwright.questions.question import question
from enamelwright.web import piece_view, sections
from enamelwright.web.pages.piece import WHEN_SEEN, fault_names
from enamelwright.web.posting import show_page
from enamelwright.web.visit import studio_of
from enamelwright.workshop import listing
from enamelwright.workshop.bench import bench
from enamelwright.workshop.fault_facts import gather
from enamelwright.workshop.fault_fits import unlikely
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.pieces import piece_row

router = APIRouter(include_in_schema=False)

#: Causes that are shown at once.
SHOWN = 3
#: Words of the standings, as a maker says them, with the mark that goes with each.
STANDINGS = {
    "first by far": "Most speaks for this one",
    "first": "A little more speaks for this one",
    "close": "Nearly as much speaks for this",
    "possible": "Possible",
    "little speaks for it": "Little speaks for it",
}


@router.get("/pieces/{number}/wrong")
def wrong(request: Request, number: str) -> HTMLResponse:
    """Show what most likely went wrong with a piece, and what can be done about it now."""
    studio = studio_of(request)
    asked = request.query_params
    filled = {key: asked.get(key, "").strip()[:200] for key in ("fault", "when", "place")}
    known = bench(studio)
    row = piece_row(studio, number)
    plan = None
    if row.design_version:
        plan = sections.at_hand(studio, row.design_version, known)
        if plan is None and "wait" in asked:
            plan = sections.work_out(studio, row.design_version, known)[0]
    when = filled["when"] if filled["when"] in WHEN_SEEN else ""
    found = gather(studio, row.id, filled["fault"], when=when, place=filled["place"], plan=plan, known=known)
    causes, ways, trouble = None, None, ""
    if found.fault:
        told = found.asked()
        causes = question("fault").answer(told, known) if found.known else None
        try:
            ways = question("rescue").answer(told, known)
        except EnamelwrightError as error:
            trouble = str(error)
    first, others = piece_view.chips(listing.faults_often(studio), fault_names(), unlikely(studio, row))
    return show_page(
        request, "wrong.html", piece=row, found=found, causes=causes, ways=ways, trouble=trouble, first=first,
        others=others, when_seen=WHEN_SEEN, places=places(found.fault),
        unknown=near(found.fault) if found.fault and not found.known else "", shown=SHOWN, standings=STANDINGS,
        seen=faults_of(studio, row.id), short=piece_view.short, waits=bool(row.design_version) and plan is None,
    )  # fmt: skip
