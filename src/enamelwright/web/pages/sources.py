"""Sources: every number the product stands on, and where it comes from."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.reference import loader
from enamelwright.web.page import Page
from enamelwright.web.render import show

router = APIRouter(include_in_schema=False)


@router.get("/sources")
def sources(request: Request) -> HTMLResponse:
    """Show every constant with its band, source and status."""
    groups: dict[str, list[loader.Fact]] = {}
    for key, found in sorted(loader.all_facts().items()):
        groups.setdefault(key.partition("/")[0], []).append(found)
    return show(request, "sources.html", groups=groups, known=loader.sources())


PAGE = Page("/sources", "Sources", "Every number and where it comes from", router)
