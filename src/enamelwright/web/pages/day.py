"""The day: what goes in next and when, the plan as bars, pins, what went otherwise, a class, sheets on paper."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.cards.day_sheet import day_sheet, take_home
from enamelwright.errors import InputError
from enamelwright.pictures.day_bars import LEFT, RIGHT, day_bars_svg, span
from enamelwright.web.drawings import lit
from enamelwright.web.posting import Form, address, is_row, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import (
    day,
    day_asked,
    day_board,
    day_habits,
    day_kept,
    day_names,
    day_papers,
    day_ready,
    day_search,
    day_shelf,
    day_shown,
    day_spare,
    day_waits,
    designs,
    jobs,
    lots,
    short_orders,
)
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

#: Loads told at once, lines of work shown unasked, and what is listed of what went otherwise.
NEXT, MOST_LINES, MOST_NAMES = 2, 12, 6
WEEK = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
#: Jobs that are over.
OVER = ("done", "failed", "stopped")
_MINUTE = 60
#: Widths the bars are drawn for [mm], so that their words stay readable: a tablet or screen, and a telephone.
ACROSS, NARROW = 130.0, 72.0
#: Width of the drawing of a shelf [mm].
SHELF = 92.0
#: Pieces of several kinds that are laid out while somebody waits for the page, at most.
MIXED = 24
#: Above the least by more than this share a longer search is offered at once.
WORTH_LOOKING = 0.05


@router.get("/day")
def the_day(request: Request) -> Response:
    """Say what goes in next, and show the plan."""
    studio = studio_of(request)
    plan = day_kept.kept_plan(studio)
    told = request.query_params.get("job", "")
    job = day_search.search_of(studio, int(told)) if is_row(told) else day_search.going_on(studio)
    if job is not None and job.kind == day_search.KIND and job.state in OVER and "HX-Request" in request.headers:
        return Response(headers={"HX-Redirect": f"/day?job={job.id}"})  # all of the page has changed
    if plan is None:
        found = _waiting(studio)
        return show_page(request, "day_none.html", found=found, job=job, over=OVER, most=MOST_LINES)
    today = studio.today().isoformat()
    stand = day.stand(studio, plan)
    days = day_shown.days_of(plan)
    chosen = request.query_params.get("day", "")
    if chosen not in days:
        chosen = today if today in days else next((one for one in days if one > today), days[-1] if days else today)
    shown = [one for one in stand.coming if one.day == chosen]
    lines = day_shown.lines_of(one for one in shown if not one.kiln)
    left = {member: one for one in stand.loads for member in one.members}
    loads = [
        next((left[member] for member in one.members if member in left), one)
        for one in plan.every if one.kiln and one.day == chosen and not set(one.pieces) <= set(stand.gone)
    ]  # fmt: skip
    coming = {one.members for one in stand.loads}
    return show_page(
        request, "day.html", plan=plan, stand=stand, days=days, chosen=chosen, lines=lines, loads=loads, coming=coming,
        next_=day_shown.next_words(plan, stand.coming, today),
        next_loads=_drawn(studio, plan, stand.loads[:NEXT]), words=day_shown.day_words,
        good=day_shown.good_words(plan), bars=_bars(plan, chosen, studio), job=job,
        late=day_shown.late_words(plan, day_ready.orders_called(studio, plan)),
        over=OVER, most=MOST_LINES, names=MOST_NAMES, found=_found(job, plan), pinned=plan.pins,
        span=_span(plan, chosen),
        owners=day_board.owners_of(plan), is_today=chosen == today,
        short_orders=short_orders.short_lines(studio), names_of={one.id: one.name for one in designs.designs(studio)},
        spare=day_spare.spare_words(studio, plan), running=day_shown.lines_of(stand.running),
        tiles=day_shown.tiles_of(studio, plan),
        look=bool(plan.answer["late"]) or (plan.answer["above_least"] or {"value": 0})["value"] > WORTH_LOOKING,
    )  # fmt: skip


@router.post("/day")
def act(request: Request, form: Form) -> RedirectResponse:
    """Plan, plan again, pin, tick, take another order, or look longer."""
    studio = studio_of(request)
    do = form.text("do")
    if do == "longer search":
        row = day_search.look_longer(studio)
        request.app.state.worker.wake()
        return RedirectResponse(f"/day?job={row}#search", 303)
    if do == "stop":
        jobs.stop(studio, form.whole("job"))
        return RedirectResponse(f"/day?job={form.whole('job')}#search", 303)

    def work() -> str:
        seen = form.version("plan")
        block = form.text("block")
        if do == "plan":
            if not day_search.is_large(day.plan_day(studio)):
                return address("/day", "day-planned")
            row = day_search.look_longer(studio, replaces=True)
            return address(f"/day?job={row}", "day-first")
        if do == "again":
            if not day_search.is_large(day.replan_day(studio)):
                return address("/day", "day-again")
            return address(f"/day?job={day_search.look_longer(studio)}", "day-again")
        if do == "pin":
            day.pin(studio, block, form.text("time") if form.text("off") != "yes" else "", seen)
            return address("/day", "day-pinned")
        if do == "done":
            day.tick(studio, block, seen)
            return address("/day", "day-ticked")
        if do == "longer":
            day.takes_longer(studio, block, form.whole("minutes"), seen)
            return address("/day", "day-again")
        if do == "tried":
            lots.work_powder(studio, form.whole("lot"), "tested", words="tried on a tile beside the old lot")
            return address("/day", "powder")
        if do == "old lot":
            lots.put_by(studio, form.whole("lot"))
            day.replan_day(studio)
            return address("/day", "old-lot")
        if do == "take":
            day.take_offer(studio, seen)
            return address("/day", "day-other")
        if do == "leave":
            day.leave_offer(studio)
            return address("/day", "day-kept")
        if do == "take job":
            day_search.take_job(studio, form.whole("job"))
            return address("/day", "day-other")
        if do == "before":
            if day_kept.plan_before(studio) is None:
                raise InputError("there is no plan before this one.", "Plan again from the record.")
            return address("/day", "day-before")
        raise InputError("this is not on the list.", "Open the page again.")

    done = once(request, form, work)
    if do in {"plan", "again"}:
        request.app.state.worker.wake()
    return done


@router.get("/day/short")
def short(request: Request) -> HTMLResponse:
    """Say which jars will not last for the plan."""
    studio = studio_of(request)
    plan = day_kept.kept_plan(studio)
    return show_page(request, "day_short.html", short=day.short_of(studio, plan) if plan is not None else ())


@router.get("/day/class")
def the_class(request: Request) -> HTMLResponse:
    """Show the board of a class: what is in, whose, until when, and who comes next."""
    studio = studio_of(request)
    plan = day_kept.kept_plan(studio)
    stand, board, days, chosen, today = None, None, list[str](), "", studio.today().isoformat()
    if plan is not None:
        stand = day.stand(studio, plan)
        days = [one for one in day_shown.days_of(plan) if one >= today] or [today]
        chosen = request.query_params.get("day", "")
        chosen = chosen if chosen in days else today
        board = day_board.board_of(studio, plan, stand.inside, chosen)
    return show_page(
        request, "day_class.html", plan=plan, board=board, stand=stand, days=days, chosen=chosen,
        is_today=chosen == today, owners=day_board.owners_of(plan) if plan is not None else (),
        words=day_shown.day_words, names=day_names.piece_names,
        class_until=day_habits.habits(studio).class_hours.rpartition("-")[2].strip(),
    )  # fmt: skip


@router.get("/day/hours")
def hours(request: Request) -> HTMLResponse:
    """Show how days are kept."""
    studio = studio_of(request)
    told = day_habits.habits(studio)
    return show_page(
        request, "day_hours.html", told=told, week=WEEK, who=day_habits.who_works(studio, told),
        kilns=day_habits.kilns_used(studio, told),
    )  # fmt: skip


@router.post("/day/hours")
def set_hours(request: Request, form: Form) -> RedirectResponse:
    """Set how days are kept, or add work that belongs to no piece."""
    studio = studio_of(request)

    def work() -> str:
        told = day_habits.habits(studio).to_outside()
        if form.text("do") == "chore":
            chore: dict[str, Any] = {"label": form.text("label"), "hand": _time(form.text("hand"))}
            if form.text("drying"):
                chore["drying"] = _time(form.text("drying"))
            chore |= {name: form.text(name).replace("T", " ") for name in ("due", "not_before") if form.text(name)}
            told["chores"] = [*told.get("chores", ()), chore]
        elif form.text("do") == "drop chore":
            told["chores"] = [one for one in told.get("chores", ()) if one["label"] != form.text("label")]
        elif form.text("do") == "away":
            away = {"who": form.text("who"), **{k: form.text(k).replace("T", " ") for k in ("start", "end")}}
            told["away"] = [*told.get("away", ()), away]
        elif form.text("do") == "back":
            told["away"] = [one for n, one in enumerate(told.get("away", ())) if n != form.whole("which")]
        else:
            told |= {name: _list(form.text(name)) for name in ("hours", "days_off", "people", "kilns")}
            told["rest"] = [one for one in WEEK if one not in form.every("work")]
            begin, end = form.text("class_from"), form.text("class_until")
            if bool(begin) != bool(end):
                raise InputError("a class begins and ends.", "Write both times, or neither.", "class_from")
            told["class_hours"] = f"{begin}-{end}" if begin else ""
            told["class_days"] = [one for one in WEEK if one in form.every("class_day")]
            told["laying_places"] = form.whole("laying_places") if form.text("laying_places") else None
            if not told["hours"]:
                raise InputError("a day has hours.", "Write them like 09:00-12:30, 13:00-17:00.", "hours")
        told = {key: value for key, value in told.items() if value is not None}
        habits = day_habits.DayHabits.from_outside(told)
        day_habits.set_habits(studio, habits)
        unseen = form.text("do") == "away" and habits.away[-1] in day_asked.away_later(studio, habits)
        return address("/day/hours", "set-later" if unseen else "set")

    return once(request, form, work)


@router.get("/day/sheet.pdf")
def sheet(request: Request) -> Response:
    """Return the sheet of a day on A4."""
    studio = studio_of(request)
    plan = day_kept.the_plan(studio)
    told = day_papers.sheet_of(studio, plan, _which(request, plan, studio), day.short_of(studio, plan))
    return _pdf(day_sheet(told, bool(setting(studio, INVENTED))), "day-sheet.pdf")


@router.get("/day/take-home.pdf")
def home(request: Request) -> Response:
    """Return the sheets students take home."""
    studio = studio_of(request)
    plan = day_kept.the_plan(studio)
    owner = request.query_params.get("owner", "")
    told = day_papers.take_home_of(studio, plan, _which(request, plan, studio), owner)
    return _pdf(take_home(told, bool(setting(studio, INVENTED))), "take-home.pdf")


def _drawn(studio: Studio, plan: day_kept.KeptPlan, loads: Sequence[day_kept.Block]) -> list[tuple[Any, Markup]]:
    """Draw the next loads on their shelves."""
    told = day_shelf.loads_drawn(studio, plan, loads, SHELF, "daylight", MIXED)
    return [(one, lit(one.svg) if one.svg else Markup()) for one in told]


def _waiting(studio: Studio) -> list[str]:
    """List what waits, without planning it."""
    return [one.name for one in day_waits.waits(studio, {}).pieces]


def _found(job: Any, plan: day_kept.KeptPlan) -> dict[str, Any] | None:
    """Compare what a longer search came to with the plan that is kept."""
    if job is None or job.state != "done":
        return None
    told, kept = job.result["payload"], bool(job.result.get("kept"))
    mine = job.result["was"] if kept else plan.answer
    saved = (mine["work"]["value"] - told["work"]["value"]) / _MINUTE if mine["work"] and told["work"] else 0.0
    return {
        "saved": round(saved), "loads": told["loads"], "were": mine["loads"], "late": len(told["late"]),
        "late_were": len(mine["late"]), "offer": told["offer"], "kept": kept,
        "above": f"{100 * told['above_least']['value']:.1f}" if told["above_least"] else "",
    }  # fmt: skip


def _bars(plan: day_kept.KeptPlan, chosen: str, studio: Studio) -> tuple[Markup, Markup]:
    drawn = day_shown.bars_of(plan, chosen, studio.clock())
    return tuple(  # type: ignore[return-value]
        lit(day_bars_svg(drawn, "daylight", f"bars-{name}", wide))
        for name, wide in (("wide", ACROSS), ("narrow", NARROW))
    )


def _span(plan: day_kept.KeptPlan, chosen: str) -> dict[str, float]:
    """Say how the bars are scaled, for dragging."""
    opens, closes = span(day_shown.bars_of(plan, chosen))
    return {"opens": opens, "closes": closes, "left": LEFT, "right": RIGHT}


def _which(request: Request, plan: day_kept.KeptPlan, studio: Studio) -> str:
    days = day_shown.days_of(plan)
    asked = request.query_params.get("day", "") or studio.today().isoformat()
    return asked if asked in days or request.query_params.get("day") else (days[0] if days else asked)


def _list(text: str) -> list[str]:
    return [one.strip() for one in text.split(",") if one.strip()]


def _time(text: str) -> str:
    """Read a bare number as minutes."""
    return f"{text} min" if text.replace(".", "", 1).isdecimal() else text


def _pdf(data: bytes, name: str) -> Response:
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return Response(data, media_type="application/pdf", headers=headers)
