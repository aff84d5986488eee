"""Today: what is in the kiln, what goes in next, what is drying, cooling and due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse

from enamelwright.records.writing import moment
from enamelwright.web import moments, sections
from enamelwright.web.page import Page
from enamelwright.web.piece_view import Foretold, minutes, next_step, short
from enamelwright.web.posting import show_page
from enamelwright.web.visit import studio_of
from enamelwright.workshop import listing, open_work
from enamelwright.workshop.bench import bench
from enamelwright.workshop.firings import loads_between, pieces_in
from enamelwright.workshop.jars import jars
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

#: Pieces listed unasked.
MOST = 12
#: A load that came out is spoken of as cooling for this long; a landing spot stays hot (judgement).
COOLING = timedelta(minutes=45)
#: Days after which somebody is reminded of a copy outside this machine (judgement).
COPY_DAYS = 7
#: Days within which a due order is named (judgement).
SOON = 14


@dataclass(frozen=True)
class Waiting:
    """A piece that waits for the kiln.

    Parameters
    ----------
    piece : Row
        The piece, with its design.
    laid : tuple of str
        Coats laid since the last firing.
    since : str
        When the last was laid.
    dried : str
        How long it was dried so far, in words; empty when nobody said so.
    window : Foretold or None
        Of the firing that comes, when it is worked out.
    number : int
        Of that firing; 0 when it is not known.
    """

    piece: Row[Any]
    laid: tuple[str, ...]
    since: str
    dried: str
    window: Foretold | None
    number: int


@router.get("/")
def today(request: Request) -> HTMLResponse:
    """Show the day."""
    studio = studio_of(request)
    now = studio.clock()
    work = open_work.open_work(studio)
    rows = {row.id: row for row in listing.pieces_like(studio, states=("planned", "in work"), most=10 * listing.PAGE)}
    wait = request.query_params.get("wait") == "1"
    if wait:  # a moment later, with every window worked out
        known = bench(studio)
        for version in {rows[one.piece].version_of for one in work.to_fire if one.piece in rows} - {None}:
            sections.work_out(studio, version, known)
    waiting = _waiting(studio, work.to_fire, rows)
    beside = {
        one.piece.id: sections.shown(one.piece.version_of, one.piece.fired, one.piece.state, one.piece.metal)
        for one in waiting
    }
    others = [row for row in rows.values() if row.id not in beside and row.kind == "piece"]
    beside |= {row.id: sections.shown(row.version_of, row.fired, row.state, row.metal) for row in others[:MOST]}
    done = _done(studio, now)
    outside = listing.last_outside_copy(studio)
    soon = [
        one
        for one in work.orders
        if one.due_on and (datetime.fromisoformat(one.due_on).date() - studio.today()).days <= SOON
    ]
    return show_page(
        request, "today.html", work=work, waiting=waiting, others=others[:MOST], more=max(0, len(others) - MOST),
        beside=beside, sheet=sections.sheet(studio, list(beside.values()), wait=wait), minutes=minutes,
        short=short, soon=soon,
        cooling=[one for one in done if one[2]], done=done, outside=outside,
        copy_late=outside is None or _since(outside, now) > timedelta(days=COPY_DAYS),
        empty=not rows and not work.orders and not listing.pieces_like(studio, most=1),
        tiles=sum(row.kind != "piece" for row in rows.values()), day=moments.day(moment(now)),
    )  # fmt: skip


def _waiting(studio: Studio, laid: list[Row[Any]], rows: dict[int, Row[Any]]) -> list[Waiting]:
    """List the pieces with coats that were not fired yet, the first laid first."""
    codes = {row.id: row.code for row in jars(studio, everything=True)} if laid else {}
    coats: dict[int, list[Row[Any]]] = {}
    for one in laid:
        if one.piece in rows:
            coats.setdefault(one.piece, []).append(one)
    known = bench(studio) if coats else None
    found = []
    for piece, mine in coats.items():
        row = rows[piece]
        window, number = None, 0
        if row.version_of and known is not None:
            plan = sections.at_hand(studio, row.version_of, known)
            if plan is not None:
                _, window, number, _ = next_step(plan, row.fired)
        last = mine[-1]
        found.append(
            Waiting(
                row, tuple(f"{codes.get(one.jar, 'powder')} on the {one.face or 'front'}" for one in mine), last.at,
                as_typed(last, "dried", "min") if last.dried is not None else "", window, number,
            )
        )  # fmt: skip
    return sorted(found, key=lambda one: one.since)


def _done(studio: Studio, now: datetime) -> list[tuple[Row[Any], list[str], bool]]:
    """List today's loads that came out, with their pieces and whether they may still be hot; the newest first."""
    midnight = datetime.combine(now.astimezone().date(), time()).astimezone()
    found = []
    for load in loads_between(studio, moment(midnight), moment(midnight + timedelta(days=1))):
        if load.closed_at:
            hot = _since(load.closed_at, now) < COOLING
            found.append((load, [one.label or one.number for one in pieces_in(studio, int(load.of))], hot))
    return found


def _since(told: str, now: datetime) -> timedelta:
    return now.astimezone(UTC) - moments.local(told).astimezone(UTC)


PAGE = Page("/", "Today", "What goes in next, what is drying, cooling and due", router)
