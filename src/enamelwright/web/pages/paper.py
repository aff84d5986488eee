"""Cards and labels: what is wanted on paper, a look at it, and the file to print."""

from __future__ import annotations

import base64
import re
from datetime import date

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from enamelwright.cards import labels
from enamelwright.cards.press import pages_svg, press
from enamelwright.errors import InputError
from enamelwright.web import paper_lists, papers
from enamelwright.web.papers import Sheet
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import baths as kept_baths
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import listing, stock_plan

router = APIRouter(include_in_schema=False)

#: Pages that are shown before printing; the file holds all.
SHOWN = 12
#: Pieces and tiles offered.
OFFERED = 120
TILES = ("test tile", "control tile")
#: Lists with prices, which a guest is not shown.
PRIVATE = frozenset({"packing", "commission", "return", "offer", "bill"})


@router.get("/paper")
def paper(request: Request) -> HTMLResponse:
    """Offer what can be printed."""
    studio = studio_of(request)
    open_ones = listing.pieces_like(studio, states=("planned", "in work"), most=OFFERED)
    tiles = [one for kind in TILES for one in listing.pieces_like(studio, kind=kind, most=OFFERED)]
    return show_page(
        request, "paper.html", pieces=[one for one in open_ones if one.version_of and one.kind not in TILES],
        tiles=tiles, jars=shelf.jars(studio), baths=kept_baths.baths(studio), containers=kept_baths.containers(studio),
        chosen=set(request.query_params.getlist("piece")), jar_each=labels.JARS.each, tile_each=labels.TILES.each,
    )  # fmt: skip


@router.get("/paper/{what}.pdf")
def file(request: Request, what: str) -> Response:
    """Return the file to print."""
    sheet = _sheet(request, what)
    name = re.sub(r"[^A-Za-z0-9]+", "-", sheet.title).strip("-").lower()
    return Response(
        press(sheet.template, sheet.data), media_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )  # fmt: skip


@router.get("/paper/{what}")
def look(request: Request, what: str) -> HTMLResponse:
    """Show what will be printed."""
    sheet = _sheet(request, what)
    drawn = pages_svg(sheet.template, sheet.data)
    shown = [base64.b64encode(page).decode("ascii") for page in drawn[:SHOWN]]
    return show_page(
        request, "paper_look.html", title=sheet.title, shown=shown, count=len(drawn), small=what in {"day", "baths"},
        file=f"/paper/{what}.pdf?{request.url.query}",
    )  # fmt: skip


def _sheet(request: Request, what: str) -> Sheet:
    asked, studio = request.query_params, studio_of(request)
    if what == "day":
        return papers.of_day(studio, asked.getlist("piece"), asked.getlist("cards"))
    if what == "jars":
        return papers.of_jars(studio, _rows(asked.getlist("jar")), _used(asked.get("used", "")))
    if what == "tiles":
        return papers.of_tiles(studio, asked.getlist("piece"), _used(asked.get("used", "")))
    if what == "baths":
        return papers.of_baths(studio, _rows(asked.getlist("bath")), _rows(asked.getlist("container")))
    if what in PRIVATE:
        no_guests(request)
    if what == "packing":
        return paper_lists.packing(studio, asked.getlist("piece"), asked.get("outlet", ""))
    if what == "commission":
        return paper_lists.consignment(studio, asked.get("outlet", ""))
    if what == "return":
        return paper_lists.returned(studio, asked.get("outlet", ""), _day(asked.get("since", "")))
    if what == "purchases":
        return paper_lists.purchases(studio, stock_plan.ordered_versions(studio))
    if what in {"offer", "bill"}:
        return paper_lists.order_paper(studio, asked.get("order", ""), what)
    raise InputError("this is nothing we print.", "Choose from the list.")


def _rows(told: list[str]) -> list[str]:
    if not all(one.isdecimal() and len(one) < len("1000000000") for one in told):
        raise InputError("this is not on the list.", "Open the list again.")
    return told


def _day(text: str) -> str:
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise InputError(f"'{text[:20]}' is no day.", "Write it like 2026-03-31.", "since") from error


def _used(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < len("1000") else 0
