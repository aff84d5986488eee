"""Today: what is in the kiln, what goes in next, what is drying, cooling and due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse

from enamelwright.records.outside import outside_state
from enamelwright.records.writing import moment
from enamelwright.web import moments, sections
from enamelwright.web.piece_view import Foretold, minutes, next_step, short
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import is_guest
from enamelwright.web.visit import studio_of
from enamelwright.workshop import day_kept, day_late, day_shown, listing, open_work
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day_kept import Block, KeptPlan
from enamelwright.workshop.day_lots import lots_to_try
from enamelwright.workshop.firings import loads_between, pieces_in
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.money import show_money
from enamelwright.workshop.plan_firings import next_firings, order_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed

if TYPE_CHECKING:
    from enamelwright.workshop.day import Stand

router = APIRouter(include_in_schema=False)

#: Pieces listed unasked.
MOST = 12
#: A support, a landing spot and what nobody can work out are spoken of as hot for this long (judgement).
COOLING = timedelta(minutes=45)
#: Loads put in longer ago than this are cold, whatever day it was.
LAST_NIGHT = timedelta(hours=3)
#: Ways of cooling whose time is worked out: in still air.
AIR = ("on the pad",)
#: Days within which a due order is named (judgement).
SOON = 14
#: Loads of the plan that are named.
LOADS = 3


@dataclass(frozen=True)
class Done:
    """A load that came out today.

    Parameters
    ----------
    load : Row
        The load.
    pieces : tuple of str
        Labels or numbers.
    hot : bool
        Whether a piece in it may still be too hot for the hand.
    until : str
        When that ends at the latest in still air, where it was worked out for all of them; else empty.
    spot : bool
        Whether what it stood on may still be hot when the pieces no longer are.
    """

    load: Row[Any]
    pieces: tuple[str, ...]
    hot: bool
    until: str
    spot: bool


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
    load : Block or None
        The load it goes in with by the plan of the day that is kept.
    """

    piece: Row[Any]
    laid: tuple[str, ...]
    since: str
    dried: str
    window: Foretold | None
    number: int
    load: Block | None


@dataclass(frozen=True)
class Planned:
    """The plan of the day that is kept, as far as Today speaks of it.

    Parameters
    ----------
    plan : KeptPlan
        The plan.
    stand : Stand
        Where it stands.
    head : str
        What goes in next and when, as the page of the day says it.
    late : dict of str to str
        Orders it is late with, and by how much in words.
    """

    plan: KeptPlan
    stand: Stand
    head: str
    late: dict[str, str]


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
    planned = None if is_guest(request) else _planned(studio, bool(work.to_fire))
    waiting = _waiting(studio, work.to_fire, rows, planned.stand.loads if planned is not None else ())
    drying = {one.piece.id for one in waiting}
    others = [row for row in rows.values() if row.id not in drying and row.kind == "piece"]
    beside = sections.shown_of(studio, [*(one.piece for one in waiting), *others[:MOST]])
    done = _done(studio, now)
    late = planned.late if planned is not None else {}
    until = (studio.today() + timedelta(days=SOON)).isoformat()
    soon = [one for one in work.orders if one.due_on and (one.due_on[:10] <= until or one.number in late)]
    return show_page(
        request, "today.html", work=work, waiting=waiting, others=others[:MOST], more=max(0, len(others) - MOST),
        beside=beside, sheet=sections.sheet(studio, list(beside.values()), wait=wait), minutes=minutes,
        short=short, soon=soon, planned=planned, late_by=late, most_loads=LOADS, words=day_shown.day_words,
        money=lambda minor, currency: show_money(studio, minor, currency),
        done=done, outside=outside_state(studio.store, now), alarms=alarm_lines(studio),
        empty=not rows and not work.orders and not work.owing and not listing.pieces_like(studio, most=1),
        fresh=() if is_guest(request) else lots_to_try(studio)[0],
        tiles=sum(row.kind != "piece" and not row.fired for row in rows.values()), day=moments.day(moment(now)),
    )  # fmt: skip


def _planned(studio: Studio, waits: bool) -> Planned | None:
    """Return what the kept plan says; None without one, and for one with nothing left that does not hold any more."""
    plan = day_kept.kept_plan(studio)
    if plan is None:
        return None
    # Deferred: without a plan the first page needs nothing that plans.
    from enamelwright.workshop import day

    stand, today = day.stand(studio, plan), studio.today().isoformat()
    if not stand.coming and (waits or all(one < today for one in day_shown.days_of(plan))):
        return None
    return Planned(plan, stand, day_shown.next_words(plan, stand.coming, today), day_late.late_orders(plan))


def _waiting(
    studio: Studio, laid: list[Row[Any]], rows: dict[int, Row[Any]], loads: Sequence[Block] = ()
) -> list[Waiting]:
    """List the pieces with coats that were not fired yet: as they go in by the plan, then the first laid first."""
    goes_in = {
        name.partition(" ")[0]: load for load in reversed(loads) for name in load.pieces
    }  # begins with its number
    codes = {row.id: row.code for row in jars(studio, everything=True)} if laid else {}
    coats: dict[int, list[Row[Any]]] = {}
    for one in laid:
        if one.piece in rows:
            coats.setdefault(one.piece, []).append(one)
    known = bench(studio) if coats else None
    coming = next_firings(studio, list(coats))
    found = []
    for piece, mine in coats.items():
        row = rows[piece]
        window, number = None, 0
        if row.version_of and known is not None:
            plan = sections.at_hand(studio, row.version_of, known)
            if plan is not None:
                _, window, number, _ = next_step(plan, coming[piece].to_do(order_of(plan)))
        last = mine[-1]
        found.append(
            Waiting(
                row, tuple(f"{codes.get(one.jar, 'powder')} on the {one.face or 'front'}" for one in mine), last.at,
                as_typed(last, "dried", "min") if last.dried is not None else "", window, number,
                goes_in.get(str(row.number)),
            )
        )  # fmt: skip
    return sorted(found, key=lambda one: (one.load is None, one.load.start if one.load else "", one.since))


def _done(studio: Studio, now: datetime) -> list[Done]:
    """List the loads that came out today, or so late last night that they may still be hot; the newest first."""
    midnight = datetime.combine(now.astimezone().date(), time()).astimezone()
    since_when = min(midnight, now.astimezone() - LAST_NIGHT)
    out = [
        one
        for one in loads_between(studio, moment(since_when), moment(midnight + timedelta(days=1)))
        if one.closed_at and (moments.local(one.closed_at) >= midnight or _since(one.closed_at, now) < COOLING)
    ]
    found = []
    later: set[int] = set()
    for load in out:
        inside = pieces_in(studio, int(load.of))
        here = {int(one.piece) for one in inside}
        cools = _cools(studio, load, inside)
        since = _since(load.closed_at, now)
        # What went in again since is hot from there, if anywhere, and is told there.
        hot = since < (COOLING if cools is None else cools) and not here <= later
        later |= here
        until = moments.clock(moment(moments.local(load.closed_at) + cools)) if hot and cools is not None else ""
        found.append(
            Done(load, tuple(one.label or one.number for one in inside), hot, until, not hot and since < COOLING)
        )
    return found


def _cools(studio: Studio, load: Row[Any], inside: list[Row[Any]]) -> timedelta | None:
    """Return how long a load cools at the latest; None unless it is worked out for every piece of it."""
    if load.cooled not in (None, *AIR):
        return None
    from enamelwright.workshop.cooling import until_touch

    known = bench(studio)
    late = []
    for one in inside:
        plan = sections.at_hand(studio, one.design_version, known) if one.design_version else None
        touch = until_touch(studio, one.design_version, plan, int(one.firing or 0), known) if plan is not None else None
        if touch is None:
            return None
        late.append(touch.high)
    return timedelta(seconds=max(late)) if late else None


def _since(told: str, now: datetime) -> timedelta:
    return now.astimezone(UTC) - moments.local(told).astimezone(UTC)
