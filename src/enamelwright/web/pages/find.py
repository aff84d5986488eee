"""Find: one box for any piece, jar, tile or note, by number, word, colour, metal or date."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import EnamelwrightError
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import is_guest
from enamelwright.web.visit import studio_of
from enamelwright.workshop.find import FAMILIES, Found, find
from enamelwright.workshop.lots import lot_row
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import PREFIX

router = APIRouter(include_in_schema=False)

#: Kinds in the order they are listed, and how several of them are called.
KINDS: dict[str, str] = {
    "piece": "Pieces", "load": "Firings", "jar": "Jars", "lot": "Lots", "design": "Designs", "order": "Orders",
    "sheet": "Sheets of metal", "kiln": "Kilns",
}  # fmt: skip
#: How far off it is to hold a word inside another one only.
INSIDE = 2
#: Kinds that come first when a colour is looked for.
OF_COLOUR = ("jar", "lot")
#: Things of one kind that are listed unasked.
FIRST = 12


@router.get("/find", response_model=None)
def search(request: Request) -> HTMLResponse | RedirectResponse:
    """List what was found; a single piece, load, jar or order is opened at once."""
    studio = studio_of(request)
    text = request.query_params.get("for", "").strip()
    found: list[Found] = []
    trouble: EnamelwrightError | None = None
    if text:
        try:
            found = find(studio, text)
        except EnamelwrightError as error:
            trouble = error
    if is_guest(request):
        found = [one for one in found if one.kind != "order"]
    if len(found) == 1 and (to := _address(studio, found[0])):
        return RedirectResponse(to, 303)
    coloured = any(word.casefold() in FAMILIES for word in text.split())
    kinds = sorted(KINDS, key=lambda kind: kind not in OF_COLOUR) if coloured else list(KINDS)
    groups = [(KINDS[kind], [one for one in found if one.kind == kind]) for kind in kinds]
    close = any(one.inside < INSIDE for one in found)
    wanted = request.query_params.get("all", "")
    shown = [
        (words, [(one, _address(studio, one)) for one in listed], len(group))
        for words, group in groups if group
        for listed in (group if wanted == words else _first(group, close),)
    ]  # fmt: skip
    return show_page(request, "find.html", text=text, groups=shown, error=trouble, many=len(found))


def _first(group: list[Found], close: bool) -> list[Found]:
    """Return what is listed unasked: nothing that holds a word only inside another, when anything answers better."""
    return [one for one in group if one.inside < INSIDE or not close][:FIRST]


def _address(studio: Studio, found: Found) -> str:
    """Return the page of a thing; empty when it has none."""
    if found.kind == "lot":
        return f"/jars/{lot_row(studio, found.row).jar}#lots"
    if found.kind == "piece" and piece_row(studio, found.name).kind in PREFIX:
        return f"/tiles/{found.name}"
    pages = {
        "piece": f"/pieces/{found.name}", "load": f"/loads/{found.name}", "jar": f"/jars/{found.row}",
        "design": f"/designs/{found.row}/coats", "order": f"/orders/{found.name}",
    }  # fmt: skip
    return pages.get(found.kind, "")
