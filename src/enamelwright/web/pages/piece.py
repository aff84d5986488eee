"""Piece: its section, its firings, its record and its price."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import Plan
from enamelwright.craft.verdict import in_order
from enamelwright.craft.window.look_plan import clock
from enamelwright.errors import InputError
from enamelwright.questions.answer import plain
from enamelwright.records.schema.pieces import fault_seen, measure
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.reference.loader import rows as table_rows
from enamelwright.web import drawings, piece_view, price_view, sections
from enamelwright.web.as_it_is import as_it_is
from enamelwright.web.conflicts import same_version
from enamelwright.web.pages.taking import ENTRIES
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import costing, designs, faults, history, listing, selling
from enamelwright.workshop.bench import bench
from enamelwright.workshop.fault_fits import unlikely
from enamelwright.workshop.finishing import spend_time, time_on
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.last_time import LastTime, last_time
from enamelwright.workshop.measures import measures_of, take_measure
from enamelwright.workshop.mishaps import mishaps_of
from enamelwright.workshop.money import show_money
from enamelwright.workshop.new_lots import by_lots_laid
from enamelwright.workshop.people import label_of
from enamelwright.workshop.photos import photos_of_piece
from enamelwright.workshop.pieces import DONE, change_piece, finish_piece, piece_row
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.takings import taken_for
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

#: Warnings that are shown unasked.
UNASKED = 3
WHEN_SEEN = fault_seen.c.when_seen.info["words"]
SEVERITY = fault_seen.c.severity.info["words"]
MEASURES = measure.c.what.info["words"]
CHANNELS = ("studio", "fair", "gallery", "wholesale", "commission")


@router.get("/pieces/{number}")
def piece(request: Request, number: str) -> HTMLResponse:
    """Show a piece as it is now, and what comes next."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    head = _head(studio, row)
    known = bench(studio)
    plan = sections.at_hand(studio, row.design_version, known) if row.design_version else None
    if plan is None and row.design_version and "wait" in request.query_params:
        plan = sections.work_out(studio, row.design_version, known)[0]
    return show_page(
        request, "piece.html", **head, tab="section", drawn=_drawn(plan, known, row, studio),
        open_faults=[one for one in faults.faults_of(studio, row.id) if not one.healed],
        short=piece_view.short, done=DONE, coats=_coats(studio, row), mishaps=mishaps_of(studio, row.id),
    )  # fmt: skip


@router.get("/pieces/{number}/section")
def section(request: Request, number: str) -> HTMLResponse:
    """Draw the section once its plan is worked out."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    known = bench(studio)
    plan, why = sections.work_out(studio, row.design_version, known) if row.design_version else (None, "no plan")
    return show_page(
        request,
        "piece_section.html",
        piece=row,
        drawn=_drawn(plan, known, row, studio),
        why=why,
        short=piece_view.short,
    )


@router.post("/pieces/{number}")
def change(request: Request, number: str, form: Form) -> RedirectResponse:
    """Say what became of a piece, or change its label and note."""
    studio = studio_of(request)

    def work() -> str:
        row = piece_row(studio, number)
        state = form.text("state")
        if state == "in work":
            version = change_piece(studio, row.id, form.version(), state="in work", finished_on=None)
        elif state:
            same_version(studio, piece_table, int(row.id), form.version(), state=state)
            version = finish_piece(studio, row.id, state)
        else:
            version = change_piece(studio, row.id, form.version(), label=form.maybe("label"), words=form.maybe("words"))
        said = "state" if state else "words"
        return address(f"/pieces/{row.number}", said, [("piece", int(row.id), version)])

    return once(request, form, work)


@router.get("/pieces/{number}/firings")
def firings(request: Request, number: str) -> HTMLResponse:
    """Show what was foretold of each firing beside what happened."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    plan = None
    if row.design_version:
        known = by_lots_laid(studio, {int(row.id): bench(studio)}, [row])[int(row.id)]
        plan = sections.at_hand(studio, row.design_version, known)
        if plan is None and "wait" in request.query_params:
            plan = sections.work_out(studio, row.design_version, known)[0]
    first, others = piece_view.chips(listing.faults_often(studio), fault_names(), unlikely(studio, row))
    return show_page(
        request, "piece_firings.html", **_head(studio, row), tab="firings", told=piece_view.firings(studio, row, plan),
        waits=bool(row.design_version) and plan is None, compared=piece_view.comparison(studio, row, plan),
        first=first, others=others, seen=faults.faults_of(studio, row.id), short=piece_view.short,
        measures=measures_of(studio, row.id), whats=MEASURES, when_seen=WHEN_SEEN, severity=SEVERITY, as_typed=as_typed,
        alarms=alarm_lines(studio, ""),
    )  # fmt: skip


@router.post("/pieces/{number}/faults")
def fault(request: Request, number: str, form: Form) -> RedirectResponse:
    """Write down a fault, or what was done about one."""
    studio = studio_of(request)

    def work() -> str:
        row = piece_row(studio, number)
        page = f"/pieces/{row.number}/firings"
        if form.text("heal"):
            mine = {one.of for one in faults.faults_of(studio, row.id)}
            which = form.whole("heal")
            if which not in mine:
                raise InputError("this fault belongs to another piece.", "Open the page again.")
            faults.heal(studio, which, form.text("remedy_tried") or "looked at again", form.text("healed") == "yes")
            return address(f"{page}#faults", "healed")
        name = form.text("own") or form.text("fault")
        if not name:
            raise InputError("which fault was seen?", "Tap one, or write it in your own words.", "fault")
        seen = faults.see_fault(
            studio, row.id, name, when_seen=form.maybe("when_seen"), severity=form.maybe("severity"),
            place=form.maybe("place"), words=form.maybe("words"),
        )  # fmt: skip
        return address(f"{page}#faults", "fault", [("fault", seen, 0)])

    return once(request, form, work)


@router.post("/pieces/{number}/measures")
def measured(request: Request, number: str, form: Form) -> RedirectResponse:
    """Write down a number read off the piece."""
    studio = studio_of(request)

    def work() -> str:
        row = piece_row(studio, number)
        taken = take_measure(
            studio, row.id, form.text("what"), form.maybe("value"), over=form.maybe("over"), tool=form.maybe("tool"),
            words=form.maybe("words"),
        )  # fmt: skip
        return address(f"/pieces/{row.number}/firings#measures", "measure", [("measure", taken, 0)])

    return once(request, form, work)


@router.get("/pieces/{number}/record")
def record(request: Request, number: str) -> HTMLResponse:
    """Tell everything that happened to a piece."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    story = [(one, ENTRIES.get(one.what, one.what)) for one in history.story(studio, row.id)]
    changes = [state for state in history.states(studio, "piece", int(row.id)) if state.changed]
    return show_page(
        request, "piece_record.html", **_head(studio, row), tab="record", story=story, entries=ENTRIES,
        changes=changes, said=lambda column, value: history.value_words("piece", column, value),
        who=label_of(studio, row.owner), photos=photos_of_piece(studio, row.id),
    )  # fmt: skip


@router.get("/pieces/{number}/price", dependencies=[Depends(no_guests)])
def price(request: Request, number: str) -> HTMLResponse:
    """Show what a piece costs, where it is and what was paid."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    head = _head(studio, row)
    asked = selling.prices(studio, piece=row.id)
    if head["design"] is not None:
        asked += selling.prices(studio, design=int(head["design"].id))
    holds = selling.holding(asked, row.place, studio.today().isoformat())
    return show_page(
        request, "piece_price.html", **head, tab="price", prices=asked, where=selling.where_is(studio, row.id),
        taken=taken_for(studio, [int(row.id)]).get(int(row.id)), channels=CHANNELS, hours=time_on(studio, row.id),
        money=lambda minor, currency: show_money(studio, minor, currency), minutes=piece_view.minutes,
        **price_view.shown(
            studio, head, bench(studio), holds, "wait" in request.query_params
        ), holds=holds,
    )  # fmt: skip


@router.post("/pieces/{number}/price")
def set_price(request: Request, number: str, form: Form) -> RedirectResponse:
    """Set a price, or write down hand time."""
    studio = studio_of(request)

    def work() -> str:
        row = piece_row(studio, number)
        page = f"/pieces/{row.number}/price"
        if form.text("do") == "costing":
            told = {key: form.text(key) for key in (*costing.MONEY, *costing.SHARES, *costing.FACTORS)}
            costing.set_costing(studio, told)
            return address(f"{page}#cost", "costing")
        if form.text("work"):
            spent = spend_time(studio, form.text("work"), form.maybe("duration"), piece=row.id)
            return address(page, "entry", [("time", spent, 0)])
        made = selling.set_price(studio, form.text("money"), piece=row.id, channel=form.maybe("channel"))
        return address(page, "price", [("price", made, 0)])

    return once(request, form, work)


@router.get("/pieces/{number}/tag", dependencies=[Depends(no_guests)])
def tag(request: Request, number: str) -> HTMLResponse:
    """Show the tag that goes with a piece, ready to print."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    head = _head(studio, row)
    asked = selling.prices(studio, piece=row.id)
    if head["design"] is not None:
        asked += selling.prices(studio, design=int(head["design"].id))
    holds = selling.holding(asked, row.place, studio.today().isoformat())
    money = show_money(studio, holds.minor, holds.currency) if holds is not None else ""
    return show_page(request, "piece_tag.html", **head, tab="price", money=money)


def fault_names() -> dict[str, str]:
    """Return every fault the product knows, by id, in the order of its table."""
    return {row["fault_id"]: row["fault"] for row in table_rows("trade/faults")}


def _head(studio: Studio, row: Row[Any]) -> dict[str, Any]:
    """Gather what stands above every page of a piece."""
    version = designs.version_row(studio, row.design_version) if row.design_version else None
    design = designs.design_row(studio, version.design) if version is not None else None
    fired = next_firings(studio, [row.id])[row.id].past.times
    beside = sections.shown_of(studio, [row])[row.id]
    return {
        "piece": row, "version": version, "design": design, "fired": fired, "beside": beside,
        "thickness": as_typed(row, "thickness", "mm") if row.thickness is not None else "",
        "sheet": sections.sheet(studio, [beside]),
    }  # fmt: skip


def _coats(studio: Studio, row: Row[Any]) -> list[str]:
    """Say which coats were laid since the last firing."""
    from enamelwright.workshop.coats import coats_without_firing
    from enamelwright.workshop.jars import jars

    codes = {jar.id: jar.code for jar in jars(studio, everything=True)}
    return [
        f"{codes.get(one.jar, 'powder')} on the {one.face or 'front'}"
        for one in coats_without_firing(studio) if one.piece == row.id
    ]  # fmt: skip


def _last(studio: Studio, piece: dict[str, Any], plan: Plan, number: int) -> tuple[str, LastTime] | None:
    """Return how long the last good firing like the one that comes next took, and which it was."""
    coming = next((firing for firing in plan.firings if firing.number == number), None)
    found = last_time(studio, piece, plain(coming)) if coming is not None else None
    return (clock(round(found.seconds)), found) if found is not None else None


def _drawn(plan: Plan | None, known: Bench, row: Row[Any], studio: Studio) -> dict[str, Any] | None:
    """Draw a piece as its record has it, and say what comes next or how it came out; None without a plan."""
    if plan is None:
        return None
    one = as_it_is(studio, row, plan, known)
    version = designs.version_row(studio, row.design_version)
    shape = designs.shape_of(version)
    ordered = [verdict for verdict in in_order(plan.verdicts) if verdict.counts] if one.working else []
    steps, window, number, words = piece_view.next_step(plan, one.number) if one.working else ([], None, 0, "")
    return {
        "wide": drawings.section(one.plan, known, firing=one.firing, key="wide"),
        "narrow": drawings.section(one.plan, known, firing=one.firing, narrow=True, key="narrow"),
        "plan_view": (
            drawings.plan_view(shape, row.number, plan=one.plan, bench=known, firing=one.firing)
            if shape is not None
            else None
        ),
        "is": one, "unasked": ordered[:UNASKED], "others": ordered[UNASKED:], "cautions": plan.cautions,
        "steps": steps, "window": window, "number": number, "words": words,
        "last": _last(studio, version.piece, plan, number) if window else None,
        "alarms": alarm_lines(studio, "") if window else [],
        "faults": [fault for fault in faults.faults_of(studio, row.id) if not fault.healed] if not one.working else [],
    }  # fmt: skip
