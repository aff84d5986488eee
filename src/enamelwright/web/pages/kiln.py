"""At the kiln: choose, put in, look, out, and how it came out; one question a screen."""

from __future__ import annotations

import secrets
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.errors import InputError
from enamelwright.web import entries as door
from enamelwright.web import kiln_view
from enamelwright.web.asked import ask_back, is_meant
from enamelwright.web.kiln_view import COOLED, MISHAPS, STARTS, SUPPORTS
from enamelwright.web.posting import LONGEST_ENTRY, Filled
from enamelwright.web.render import show
from enamelwright.web.visit import studio_of
from enamelwright.workshop import at_kiln, entries
from enamelwright.workshop.fault_fits import unlikely
from enamelwright.workshop.firings import load_row, looks_of, open_loads, pieces_in
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.kilns import kilns, supports
from enamelwright.workshop.photos import keep_picture, photos_of_load, put_picture
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.says_two import AskedBack
from enamelwright.workshop.studio import Studio

pages = APIRouter(include_in_schema=False)
router = APIRouter()

#: What is said after something was done without the clock's own script, by the code in the address.
SAID = {
    "in": "It is in. The clock counts from closing the door.",
    "look": "The look is written down. It is back in; the clock runs on.",
    "up": "Back up to heat. The clock counts from here.",
    "out": "It is out. Set it down on the landing spot: it stays hot when it looks cold.",
    "after": "Written down.",
    "photo": "The photo is kept.",
    "back": "Taken back.",
}


#: Longest file name that is repeated in a message.
LONGEST_NAME = 120


def fresh_entry() -> str:
    """Return an entry id for a form, so that sending the form twice is one entry."""
    return secrets.token_hex(16)


@pages.get("/kiln")
def choose(request: Request) -> HTMLResponse:
    """Ask what goes in, and show what is in."""
    studio = studio_of(request)
    laid, others = kiln_view.candidates(studio)
    now = [
        (load, [piece.number for piece in pieces_in(studio, load.of)], kiln_view.clock(kiln_view.elapsed(studio, load)))
        for load in open_loads(studio)
    ]
    return show(
        request, "kiln_choose.html", now=now, laid=laid, others=others, said=_said(request), alarms=alarm_lines(studio)
    )


@pages.get("/kiln/ready")
def ready(request: Request) -> Response:
    """Show what goes in, how it is set, and the one button; the clock begins on the same page."""
    studio = studio_of(request)
    entry = request.query_params.get("entry", "")
    arrived = entries.known(studio, entry) if entry else None
    if arrived is not None and arrived.get("load"):
        return RedirectResponse(f"/kiln/{arrived['load']}", 303)
    names = request.query_params.getlist("piece")
    if request.query_params.get("all") == "laid":
        names = [one.number for one in kiln_view.candidates(studio)[0]]
    if not names:
        raise InputError("no piece was chosen.", "Go back and choose what goes in.")
    view = kiln_view.before(studio, names[: entries.MOST], request.query_params.get("kiln", "").strip())
    return _page(request, "ready", view, None)


@pages.post("/kiln/put-in")
async def put_in(request: Request) -> Response:
    """Put it in, for a browser without the clock's script."""
    form = await request.form()
    return await run_in_threadpool(_put_in, request, form)


def _put_in(request: Request, form: FormData) -> Response:
    studio = studio_of(request)
    body: dict[str, Any] = {
        name: str(form[name]).strip()
        for name in ("kiln", "set_point", "shown_at_load", "start", "target", "face_up", "support", "support_owned")
        if str(form.get(name, "")).strip()
    }
    pieces = [str(name) for name in form.getlist("piece")]
    places = dict(zip(pieces, [str(one) for one in form.getlist("position")], strict=False))
    body |= {"pieces": pieces, "each": {name: {"position": place} for name, place in places.items() if place}}
    done = _take(request, studio, form, "put in", body)
    return RedirectResponse(f"/kiln/{done['load']}?said=in", 303)


@pages.get("/kiln/{number}")
def load(request: Request, number: str) -> HTMLResponse:
    """Show one load: its clock while it is in, how it came out afterwards."""
    studio = studio_of(request)
    row = load_row(studio, number)
    step = "in" if row.closed_at is None else "after"
    if step == "after" and (row.why == at_kiln.HOW_IT_CAME_OUT or request.query_params.get("said") == "after"):
        step = "done"
    return _page(request, step, kiln_view.inside(studio, row), row)


@pages.post("/kiln/{number}/look")
async def look(request: Request, number: str) -> Response:
    """Record a look now, for a browser without the clock's script."""
    return await run_in_threadpool(_look, request, number, await request.form())


def _look(request: Request, number: str, form: FormData) -> Response:
    studio = studio_of(request)
    row = load_row(studio, number)
    if form.get("up"):
        body: dict[str, Any] = {"load": row.number, "seconds": kiln_view.elapsed(studio, row), "words": at_kiln.BACK_UP}
    else:
        body = {
            "load": row.number, "seconds": kiln_view.counted(studio, row) or 0.0, "back_in": True,
            "stage_seen": str(form.get("stage", "")),
        }  # fmt: skip
    _take(request, studio, form, "look", body)
    return RedirectResponse(f"/kiln/{row.number}?said={'up' if form.get('up') else 'look'}", 303)


@pages.post("/kiln/{number}/out")
async def out(request: Request, number: str) -> Response:
    """Say that it came out now, for a browser without the clock's script."""
    return await run_in_threadpool(_out, request, number, await request.form())


def _out(request: Request, number: str, form: FormData) -> Response:
    studio = studio_of(request)
    row = load_row(studio, number)
    seen = [one for one in looks_of(studio, row.of) if one.stage_seen]
    gloss = next((one.seconds for one in seen if one.stage_seen in {"gloss", "cleared"}), None)
    body = {"load": row.number, "seconds": kiln_view.counted(studio, row), "to_gloss": gloss}
    body |= {"stage_seen": seen[-1].stage_seen} if seen else {}
    _take(request, studio, form, "out", body)
    return RedirectResponse(f"/kiln/{row.number}?said=out", 303)


@pages.post("/kiln/{number}/after")
async def after(request: Request, number: str) -> Response:
    """Write down how it came out."""
    return await run_in_threadpool(_after, request, number, await request.form())


def _after(request: Request, number: str, form: FormData) -> Response:
    studio = studio_of(request)
    row = load_row(studio, number)
    inside = [piece.number for piece in pieces_in(studio, row.of)]
    body = after_body(form, row.number, inside) | ({"really": True} if is_meant(form) else {})
    try:
        _take(request, studio, form, "after", body)
    except AskedBack as error:
        return ask_back(request, form.multi_items(), error)
    return RedirectResponse(f"/kiln/{row.number}?said=after", 303)


def after_body(form: FormData, number: str, inside: list[str]) -> dict[str, Any]:
    """Return what the form on a load that is out tells, as an entry.

    Parameters
    ----------
    form : FormData
        As it came.
    number : str
        Of the load.
    inside : list of str
        Numbers of its pieces.
    """
    whole = {name: str(form.get(name, "")).strip() or None for name in ("stage_seen", "cooled", "words")}
    for name in ("seconds", "to_gloss"):
        text = str(form.get(name, "")).strip()
        whole[name] = (text if not text.replace(".", "", 1).isdecimal() else f"{text} s") or None
    body: dict[str, Any] = {"load": number, "whole": {key: value for key, value in whole.items() if value}}
    every = [str(one) for one in form.getlist("fault-all")]
    each: dict[str, dict[str, Any]] = {}
    faults: dict[str, list[str]] = {}
    mishaps: dict[str, str] = {}
    for piece in inside:
        stage = str(form.get(f"stage-{piece}", "")).strip()
        if stage:
            each[piece] = {"stage_seen": stage}
        own = [str(one).strip() for one in form.getlist(f"fault-{piece}") if str(one).strip()]
        seen = list(dict.fromkeys([*every, *own]))
        if seen:
            faults[piece] = seen
        if str(form.get(f"mishap-{piece}", "")).strip():
            mishaps[piece] = str(form[f"mishap-{piece}"]).strip()
    return body | {"each": each, "faults": faults, "mishaps": mishaps}


@pages.post("/kiln/take-back")
async def take_back(request: Request) -> Response:
    """Take the last thing back."""
    return await run_in_threadpool(_take_back, request, await request.form())


def _take_back(request: Request, form: FormData) -> Response:
    studio = studio_of(request)
    what = {"entry": str(form.get("what", ""))}
    done = entries.take(studio, fresh_entry(), "take back", what, device=door.device_of(request))
    still = done["load"] and done["load"] in {row.number for row in open_loads(studio)}
    return RedirectResponse(f"/kiln/{done['load']}?said=back" if still else "/kiln?said=back", 303)


@pages.post("/photos/of-load/{number}")
async def photo(request: Request, number: str) -> Response:
    """Keep a photo of a load."""
    form = await request.form()
    sent = form.get("photo")
    if not isinstance(sent, UploadFile) or not sent.filename:
        raise InputError("no photo arrived.", "Choose one and send it again.", "photo")
    data = await sent.read()
    return await run_in_threadpool(_photo, request, number, form, data, sent.filename[:LONGEST_NAME])


def _photo(request: Request, number: str, form: FormData, data: bytes, name: str) -> Response:
    studio = studio_of(request)
    row = load_row(studio, number)
    inside = pieces_in(studio, row.of)
    alone = inside[0].piece if len(inside) == 1 else None
    picture = put_picture(studio, data, name)

    def work() -> str:
        keep_picture(studio, picture, load=row.of, piece=alone, shows="out of the kiln")
        return f"/kiln/{row.number}?said=photo"

    # One page sends several pictures under one id: each is kept once, however often it is sent.
    entry = f"{Filled(form).text('entry')[:LONGEST_ENTRY]}-{picture.sha256}" if form.get("entry") else fresh_entry()
    return RedirectResponse(str(studio.once(f"page-{entry}", lambda: {"to": work()})["to"]), 303)


# --- helpers -------------------------------------------------------------------------------------


def _page(request: Request, step: str, view: kiln_view.LoadView, row: Any) -> HTMLResponse:
    studio = studio_of(request)
    rows = [piece_row(studio, place.number) for place in view.shelf.places]
    common, more = kiln_view.fault_chips(
        frozenset.intersection(*(unlikely(studio, one) for one in rows)) if rows else frozenset()
    )
    address = [("piece", place.number) for place in view.shelf.places]
    return show(
        request,
        "kiln_load.html",
        step=step,
        v=view,
        load=row,
        data=kiln_view.client_data(view, row, studio),
        entry=fresh_entry(),
        alarms=alarm_lines(studio) if step == "ready" else [],
        owned=supports(studio),
        supports=SUPPORTS,
        starts=STARTS,
        cooled=COOLED,
        mishaps=MISHAPS,
        faults=common,
        more_faults=more,
        back_up=None if row is None else at_kiln.back_up_at(studio, row.of),
        still_in=kiln_view.still_in(studio, view) if row is None else [],
        shown_clock="0:00" if row is None else kiln_view.clock(_clock_now(studio, row)),
        looks=[] if row is None else [one for one in looks_of(studio, row.of) if one.stage_seen],
        photos=0 if row is None else len(photos_of_load(studio, row.of)),
        again=f"/kiln/ready?{urlencode(address)}",
        into=[(one.name, f"/kiln/ready?{urlencode([*address, ('kiln', one.name)])}") for one in kilns(studio)],
        cards=_cards(view),
        said=_said(request),
    )


def _cards(view: kiln_view.LoadView) -> str:
    """Return what asks for the kiln cards of the pieces of which something is foretold; empty for none."""
    planned = [("piece", place.number) for place in view.shelf.places if place.number in view.expected.firings]
    return urlencode([*planned, ("cards", "kiln")]) if planned else ""


def _clock_now(studio: Studio, row: Any) -> float | None:
    if row.closed_at is None:
        return kiln_view.counted(studio, row)
    return float(row.seconds) if row.seconds is not None else None


def _take(request: Request, studio: Studio, form: FormData, kind: str, body: dict[str, Any]) -> dict[str, Any]:
    entry = str(form.get("entry", "")) or fresh_entry()
    sent = f"{request.url.path} {Filled(form).fingerprint()}"  # by what was sent: the clock in it has gone on
    told = {name: value for name, value in body.items() if value is not None}
    return entries.take(studio, entry, kind, told, device=door.device_of(request), sent=sent)


def _said(request: Request) -> str:
    return SAID.get(request.query_params.get("said", ""), "")


router.include_router(pages)
router.include_router(door.router)
