"""Photos: kept with a piece, shown small beside its record and whole on a page of their own."""

from __future__ import annotations

import hashlib

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from enamelwright.errors import InputError
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.web.guard import local_address
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import studio_of
from enamelwright.workshop import photos as album
from enamelwright.workshop.history import withdraw
from enamelwright.workshop.named import named
from enamelwright.workshop.pieces import piece_row

router = APIRouter(include_in_schema=False)

#: Photos sent at once.
MOST = 12
#: Longest file name that is repeated in a message.
_LONGEST_NAME = 120
_TYPES = {"jpeg": "image/jpeg", "png": "image/png"}
#: A picture never changes under its address; only this device may keep it.
_KEEP = "private, max-age=31536000, immutable"


@router.post("/photos/of-piece/{number}")
async def keep(request: Request, number: str) -> Response:
    """Keep photos of a piece."""
    form = await request.form()
    sent = [one for one in form.getlist("photo") if isinstance(one, UploadFile) and one.filename]
    if not sent:
        raise InputError("no photo arrived.", "Choose one and send it again.", "photo")
    if len(sent) > MOST:
        raise InputError(f"these are more than {MOST} photos at once.", "Send some of them first.", "photo")
    files = [((one.filename or "")[:_LONGEST_NAME], await one.read()) for one in sent]
    return await run_in_threadpool(_keep, request, number, form, files)


def _keep(request: Request, number: str, form: FormData, files: list[tuple[str, bytes]]) -> Response:
    studio = studio_of(request)
    row = piece_row(studio, number)
    pictures = [album.put_picture(studio, data, name) for name, data in files]
    shows = str(form.get("shows", "")).strip() or None

    def work() -> str:
        kept = [album.keep_picture(studio, one, piece=row.id, shows=shows) for one in pictures]
        return address(f"/pieces/{row.number}/record#photos", "photo", [("photo", one, 0) for one in kept])

    entry = str(form.get("entry", ""))[:64]
    if not entry:
        with studio.writing():
            return RedirectResponse(work(), 303)
    told = " ".join([entry, row.number, shows or "", *(one.sha256 for one in pictures)])
    key = hashlib.sha256(told.encode()).hexdigest()[:32]
    return RedirectResponse(str(studio.once(f"page-{key}", lambda: {"to": work()})["to"]), 303)


@router.get("/photos/{which:int}")
def photo(request: Request, which: int) -> HTMLResponse:
    """Show one photo whole, with what is said of it."""
    studio = studio_of(request)
    row = album.photo_row(studio, which)
    with studio.reading() as connection:
        piece = None if row.piece is None else named(connection, piece_table, int(row.piece), "number")
    back = local_address(request.query_params.get("back", f"/pieces/{piece.number}/record" if piece else "/pieces"))
    return show_page(request, "photo.html", photo=row, piece=piece, back=back)


@router.post("/photos/{which:int}")
def change(request: Request, which: int, form: Form) -> RedirectResponse:
    """Say what a photo shows, or take it out."""
    studio = studio_of(request)

    def work() -> str:
        row = album.photo_row(studio, which)
        if form.text("do") == "out":
            withdraw(studio, "photo", int(row.of), "taken out")
            return address(local_address(form.text("back") or "/pieces"), "withdrawn")
        album.say_of_photo(studio, int(row.of), shows=form.maybe("shows"), words=form.maybe("words"))
        return address(f"/photos/{row.of}", "words")

    return once(request, form, work)


@router.get("/photos/{which:int}/small")
def small(request: Request, which: int) -> FileResponse:
    """Return the picture for lists."""
    studio = studio_of(request)
    row = album.photo_row(studio, which)
    path = album.picture_file(studio, row, small=True)
    return FileResponse(path, media_type="image/jpeg", headers={"Cache-Control": _KEEP})


@router.get("/photos/{which:int}/whole")
def whole(request: Request, which: int) -> FileResponse:
    """Return the picture as it was kept."""
    studio = studio_of(request)
    row = album.photo_row(studio, which)
    path = album.picture_file(studio, row)
    return FileResponse(path, media_type=_TYPES[row.kind], headers={"Cache-Control": _KEEP})
