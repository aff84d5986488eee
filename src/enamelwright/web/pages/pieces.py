"""Pieces: the list with their sections, starting new ones, and writing down a firing that had no plan."""

from __future__ import annotations

import re
from contextlib import suppress
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.coat import STAGES
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.errors import InputError
from enamelwright.reference.loader import rows as table_rows
from enamelwright.web import sections
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import studio_of
from enamelwright.workshop import designs as designs_of
from enamelwright.workshop import listing, loads
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.people import students
from enamelwright.workshop.pieces import piece_row, start_pieces

router = APIRouter(include_in_schema=False)

#: What the list shows first: everything that is not over.
OPEN = ("planned", "in work")
#: Filter words that stand for several states.
GROUPS: dict[str, tuple[str, ...]] = {"on the bench": OPEN, "all": ()}
#: Kinds that are made on this page; tiles are made on their rack.
KINDS = ("piece", "strip", "sample")
_ENAMELABLE = ("yes", "caution")
#: A time as a kiln's clock shows it.
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_MINUTE = 60


@router.get("/pieces")
def pieces(request: Request) -> HTMLResponse:
    """List pieces, filtered by the address."""
    asked = request.query_params
    studio = studio_of(request)
    words = listing.words_in_use(studio)
    skip = int(asked["skip"]) if asked.get("skip", "").isdecimal() and len(asked["skip"]) < len("1000000") else 0
    state = asked.get("state", "")
    states = GROUPS.get(state or "on the bench", (state,))
    found = listing.pieces_like(
        studio, states=states, metal=asked.get("metal", ""), technique=asked.get("technique", ""),
        kind=asked.get("kind", ""), design=int(asked["design"]) if asked.get("design", "").isdecimal() else 0,
        skip=skip, most=listing.PAGE + 1,
    )  # fmt: skip
    if not found and not state and not any(asked.get(one) for one in ("metal", "technique", "kind", "design")):
        state = "all"
        found = listing.pieces_like(studio, skip=skip, most=listing.PAGE + 1)
    more = len(found) > listing.PAGE
    found = found[: listing.PAGE]
    beside = sections.shown_of(studio, found)
    return show_page(
        request, "pieces.html", pieces=found, beside=beside, sheet=sections.sheet(studio, list(beside.values())),
        words=words, state=state or "on the bench", more=more, skip=skip, page=listing.PAGE, techniques=techniques(),
        groups=tuple(GROUPS),
    )  # fmt: skip


@router.get("/pieces/new")
def new(request: Request) -> HTMLResponse:
    """Offer the designs to start pieces from."""
    studio = studio_of(request)
    if like := request.query_params.get("like", ""):
        return _twin(request, piece_row(studio, like))
    newest = designs_of.newest_versions(studio)
    kept = [(row, newest[row.id]) for row in designs_of.designs(studio) if row.id in newest]
    beside = {row.id: sections.Shown(version.of, sections.FINISHED) for row, version in kept}
    return show_page(
        request, "pieces_new.html", designs=kept, beside=beside, metals=metals(), kinds=KINDS,
        sheet=sections.sheet(studio, list(beside.values())), techniques=techniques(),
        chosen=request.query_params.get("design", ""), kind=_kind(request),
    )  # fmt: skip


def _twin(request: Request, like: Row[Any]) -> HTMLResponse:
    """Offer to make a piece again as it was made, whatever became of its design since."""
    studio = studio_of(request)
    if like.design_version is None:
        raise InputError(f"{like.number} was made without a plan.", "Start a piece from a design, or without a plan.")
    version = designs_of.version_row(studio, int(like.design_version))
    design = designs_of.design_row(studio, int(version.design))
    beside = sections.Shown(version.of, sections.FINISHED)
    newest = designs_of.newest_versions(studio)[design.id]
    return show_page(
        request, "pieces_twin.html", like=like, design=design, version=version, beside=beside,
        newest=newest.number, sheet=sections.sheet(studio, [beside]), technique=techniques().get(design.technique, ""),
    )  # fmt: skip


def _kind(request: Request) -> str:
    """Return the kind of piece a link asks for."""
    kind = request.query_params.get("kind", "")
    return kind if kind in KINDS else KINDS[0]


@router.post("/pieces/new")
def start(request: Request, form: Form) -> RedirectResponse:
    """Start pieces and give them their numbers."""
    studio = studio_of(request)

    def work() -> str:
        labels = [part.strip() for part in form.text("labels").replace("\n", ",").split(",") if part.strip()]
        design = form.text("design")
        if design and not design.isdecimal():
            raise InputError("this design is not known.", "Choose one from the list.")
        kind = form.text("kind") or "piece"
        if kind not in KINDS:
            raise InputError(f"'{kind[:20]}' is no kind of piece.", f"Choose one of: {', '.join(KINDS)}.")
        version: int | None = None
        if form.text("as"):  # a twin: made as another piece was, not as the design is now
            version = int(designs_of.version_row(studio, form.whole("as")).of)
        elif design:
            version = designs_of.version_row(studio, designs_of.design_row(studio, int(design)).name).of
        made = [
            one
            for owner in students(studio, form.text("owners"))
            for one in start_pieces(
                studio, form.whole("count", 1), version, labels=labels, batch=form.text("batch"), kind=kind,
                metal=None if version else form.maybe("metal"), thickness=form.maybe("thickness"),
                metal_mass=form.maybe("metal_mass"), words=form.maybe("words"), owner=owner,
            )
        ]  # fmt: skip
        wrote = [("piece", int(row.id), int(row.version)) for row in made]
        if len(made) == 1:
            return address(f"/pieces/{made[0].number}", "started", wrote)
        return address("/pieces", "started-many", wrote)

    return once(request, form, work)


@router.get("/pieces/log")
def log(request: Request) -> HTMLResponse:
    """Offer the form for a firing that had no plan."""
    return show_page(request, "pieces_log.html", kilns=kilns(studio_of(request)), stages=STAGES)


@router.post("/pieces/log")
def write_down(request: Request, form: Form) -> RedirectResponse:
    """Write down a firing of something that had no plan, in one breath."""
    studio = studio_of(request)

    def work() -> str:
        what = form.text("what")
        if not what:
            raise InputError("what was fired?", "Write in a word or two what it is, or its number.", "what")
        told: dict[str, Any] = dict(form.given("set_point", "seconds", "stage_seen", "words"))
        clock = _CLOCK.fullmatch(told.get("seconds", ""))
        if clock:
            told["seconds"] = f"{int(clock[1]) * _MINUTE + int(clock[2])} s"
        known: list[int] = []
        with suppress(InputError):
            known = [int(piece_row(studio, what).id)]
        begun = loads.fired(studio, known, kiln=form.text("kiln"), new=[] if known else [what], **told)
        return address(f"/pieces/{begun.pieces[0]}/firings", "logged")

    return once(request, form, work)


def techniques() -> dict[str, str]:
    """Return the names of the techniques by their ids."""
    return {row["technique_id"]: row["technique"] for row in table_rows("trade/techniques")}


def metals() -> list[tuple[str, str]]:
    """Return (id, name) of the metals that take enamel."""
    return [(one, metal(one).name) for one in metal_ids() if metal(one).enamelable in _ENAMELABLE]
