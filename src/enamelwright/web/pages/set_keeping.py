"""Copies of the record: snapshots on this disk, and the second place outside."""

from __future__ import annotations

from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import InputError
from enamelwright.records.outside import DAYS_WITHOUT, copy_outside, outside_state, remembered
from enamelwright.records.snapshots import DAYS_KEPT, prune, take, taken
from enamelwright.web.posting import Form, address, show_page
from enamelwright.web.sharing import on_this_machine
from enamelwright.web.visit import studio_of

router = APIRouter(include_in_schema=False)

#: Snapshots listed.
LISTED = 20


@router.get("/set-up/keeping")
def keeping(request: Request) -> HTMLResponse:
    """Show the copies there are, and when the last one left this machine."""
    store = studio_of(request).store
    place = remembered(store)
    return show_page(
        request, "set_keeping.html", state=outside_state(store, studio_of(request).clock()), place=place or "",
        copies=[(one, one.path.stat().st_size) for one in taken(store.home.snapshots)[:LISTED]], kept=DAYS_KEPT,
        folder=store.home.folder, at_machine=on_this_machine(request), days=DAYS_WITHOUT,
        same_disk=request.query_params.get("disk") == "same",
    )  # fmt: skip


@router.post("/set-up/keeping")
def copy(request: Request, form: Form) -> RedirectResponse:
    """Take a snapshot, or copy everything to the second place; both are read back before they count."""
    if not on_this_machine(request):
        raise InputError("copies are made on the bench machine only.", "Do it there, where the second place is.")
    store = studio_of(request).store
    if form.text("do") == "outside":
        named = Path(form.text("place")).expanduser() if form.text("place") else None
        if named is not None and named.is_dir() and named.resolve() == store.home.folder.resolve():
            raise InputError("the record itself lies there.", "Name a folder on a stick or a shared disk.", "place")
        made = copy_outside(store, named)
        return RedirectResponse(address(f"/set-up/keeping{'?disk=same' if made.same_disk else ''}", "outside"), 303)
    take(store, "asked for")
    prune(store.home.snapshots)
    return RedirectResponse(address("/set-up/keeping", "snapshot"), 303)
