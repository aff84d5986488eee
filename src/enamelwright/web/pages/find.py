"""Find: one box for any piece, jar, tile or note, by number, word, colour, metal or date."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import EnamelwrightError
from enamelwright.web.page import Page
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import is_guest
from enamelwright.web.visit import studio_of
from enamelwright.workshop.find import Found, find
from enamelwright.workshop.lots import lot_row
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False)

#: Kinds in the order they are listed, and how several of them are called.
KINDS: dict[str, str] = {
    "piece": "Pieces", "load": "Firings", "jar": "Jars", "lot": "Lots", "design": "Designs", "order": "Orders",
    "sheet": "Sheets of metal", "kiln": "Kilns",
}  # fmt: skip
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
    groups = [(words, [one for one in found if one.kind == kind]) for kind, words in KINDS.items()]
    wanted = request.query_params.get("all", "")
    shown = [
        (words, [(one, _address(studio, one)) for one in (group if wanted == words else group[:FIRST])], len(group))
        for words, group in groups if group
    ]  # fmt: skip
    return show_page(request, "find.html", text=text, groups=shown, error=trouble, many=len(found))


def _address(studio: Studio, found: Found) -> str:
    """Return the page of a thing; empty when it has none."""
    if found.kind == "lot":
        return f"/jars/{lot_row(studio, found.row).jar}#lots"
    pages = {
        "piece": f"/pieces/{found.name}", "load": f"/loads/{found.name}", "jar": f"/jars/{found.row}",
        "design": f"/designs/{found.row}/coats", "order": f"/orders/{found.name}",
    }  # fmt: skip
    return pages.get(found.kind, "")


PAGE = Page("/find", "Find", "Any piece, jar, tile or note", router, listed=False)
