"""Pickle: the baths with their ledgers, what one more load does, the way of a spent bath, and waste until handed in."""

from __future__ import annotations

import math
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright import units
from enamelwright.craft.baths import bath as craft
from enamelwright.craft.baths import spent_bath
from enamelwright.craft.baths.bath_made import KINDS as CHEMISTRIES
from enamelwright.craft.baths.bath_made import METALS, chemistry, chemistry_named, never_mix, record_kind
from enamelwright.craft.baths.bath_words import SCREENING, about, between, rounded
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question
from enamelwright.records.schema.baths import bath as bath_table
from enamelwright.records.schema.baths import bath_entry, waste_container
from enamelwright.web import bath_view
from enamelwright.web.conflicts import same_version
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import bath_ledger
from enamelwright.workshop import baths as kept
from enamelwright.workshop.firings import loads_between
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.typed import as_typed
from enamelwright.workshop.waste_kinds import split

router = APIRouter(include_in_schema=False)

KINDS = bath_table.c.kind.info["words"]
WHATS = bath_entry.c.what.info["words"]
#: Columns of an entry that a form fills in as text.
_TOLD = (
    "pieces", "ph", "mass", "volume", "temperature", "duration", "copper_area", "before", "after", "words",
)  # fmt: skip
#: How an entry's numbers are told: column, word before it, unit.
_SHOWN = (
    ("pieces", "pieces", None), ("ph", "pH", None), ("mass", "", "g"), ("volume", "", "l"), ("temperature", "", "°C"),
    ("duration", "for", "min"), ("copper_area", "copper", "cm2"), ("before", "before", "g"), ("after", "after", "g"),
)  # fmt: skip
#: Loads that are offered as where a dip came from.
_LATEST = 12
#: Entries of a bath that are shown before the rest is folded away.
_LATEST_ENTRIES = 5


@router.get("/pickle")
def pickle(request: Request) -> HTMLResponse:
    """Show the baths and the waste."""
    studio = studio_of(request)
    found = kept.baths(studio, closed=True)
    open_ones = [one for one in found if one.closed_on is None]
    return _page(
        request, "pickle.html", baths=open_ones, litres=_litres,
        closed=[one for one in found if one.closed_on is not None], containers=kept.containers(studio), kinds=KINDS,
        last={one.id: _last(kept.bath_entries(studio, int(one.id))) for one in open_ones},
        states={one.id: bath_view.seen(studio, int(one.id))[1] for one in open_ones},
        grams=_grams, chemistries=CHEMISTRIES, kind_words=bath_view.kind_words, never_mix=never_mix(),
        gone={one.id: kept.went_to(studio, int(one.id)) for one in found if one.closed_on is not None},
    )  # fmt: skip


@router.post("/pickle")
def make(request: Request, form: Form) -> RedirectResponse:
    """Make up a bath, keep a container, write down what went into it, or that it was handed in."""
    studio = studio_of(request)

    def work() -> str:
        do = form.text("do")
        if do == "bath":
            if not form.text("name"):
                raise InputError("what is the bath called?", "Give it a name.", "name")
            made = form.text("made")
            row = kept.open_bath(
                studio, form.text("name"), _record_kind(made, form.text("kind")), volume=form.maybe("volume"),
                recipe=form.maybe("recipe"), words=form.maybe("words"), made_of=_made_of(form, made) if made else None,
            )  # fmt: skip
            return address(f"/pickle/{row}", "bath", [("bath", row, 1)])
        if do == "container":
            row = kept.keep_container(
                studio, form.text("label"), contents=form.maybe("contents"), destination=form.maybe("destination")
            )
            return address(_back(form, "/pickle#waste"), "container", [("waste container", row, 1)])
        if do == "hand in":
            container = form.whole("container")
            same_version(studio, waste_container, container, form.version(), handed_to=form.maybe("handed_to"))
            version = kept.hand_in(studio, container, form.text("handed_to") or "not said", form.maybe("on"))
            return address("/pickle#waste", "handed", [("waste container", container, version)])
        if do == "waste":
            made_row = kept.into_waste(
                studio, form.whole("container"), form.text("what") or "not said", mass=form.maybe("mass"),
                volume=form.maybe("volume"),
            )  # fmt: skip
            return address("/pickle#waste", "waste", [("waste entry", made_row, 0)])
        raise InputError("this cannot be done here.", "Open the page again.")

    return once(request, form, work)


def _record_kind(made: str, told: str) -> str:
    return record_kind(chemistry_named(made).kind) if made else told or "pickle"


def _made_of(form: Form, made: str) -> dict[str, Any]:
    told = {key: form.maybe(key) for key in ("strength", "poured", "acid", "salt", "cleared_in")}
    return bath_ledger.made_of({"kind": made, "volume": form.maybe("volume"), **told})


def _back(form: Form, usual: str) -> str:
    """Return the page of a bath a form came from; the usual one when it says something else."""
    row = form.text("bath")
    return f"/pickle/{row}/spent" if row.isdecimal() and len(row) < len("1000000000") else usual


@router.get("/pickle/{row:int}")
def bath(request: Request, row: int) -> HTMLResponse:
    """Show one bath: how far it is used, what one more load does, and everything that happened in it."""
    studio = studio_of(request)
    one = kept.bath_row(studio, row)
    told = [(entry, entry_words(entry)) for entry in reversed(kept.bath_entries(studio, row))]
    book, view = bath_view.seen(studio, row)
    if one.closed_on is not None:
        view = bath_view.ended(view)
    use = chemistry(book.made.kind).use if book is not None else "pickle"
    use = "etch" if one.kind == "etching liquor" else use
    return _page(
        request, "bath.html", bath=one, entries=bath_view.ledger_lines(book, told), whats=WHATS, litres=_litres,
        met=METALS, has_met=bath_ledger.met_of(one), pieces=pieces_in_work(studio), loads=_loads(studio),
        fits=split(studio, one, kept.containers(studio))[0], view=view, book=book, chemistries=CHEMISTRIES, use=use,
        gone=kept.went_to(studio, row), latest=_LATEST_ENTRIES,
        own=bath_view.own_scale(book) if book is not None else "", never_mix=never_mix(use),
        kind_words=bath_view.kind_words, made=one.made_of or {},
        ahead=_ahead(request, book) if book is not None and one.closed_on is None and use == "pickle" else None,
        held=spent_bath.why_held(book.made, book.book) if book is not None else (),
        rinse=_rinse(book) if book is not None and use == "pickle" else (),
    )  # fmt: skip


def _loads(studio: Any) -> list[Any]:
    from datetime import datetime, time, timedelta

    from enamelwright.records.writing import moment

    today = studio.today()
    first = moment(datetime.combine(today - timedelta(days=7), time()).astimezone())
    last = moment(datetime.combine(today + timedelta(days=1), time()).astimezone())
    return loads_between(studio, first, last)[:_LATEST]


def _ahead(request: Request, book: bath_ledger.BathBook) -> dict[str, Any]:
    """Return what the next loads do, as they were asked for in the address."""
    asked = request.query_params
    filled = {key: asked.get(key, "").strip() for key in ("mass", "area", "oxide", "loads")}
    load = {key: filled[key] for key in ("mass", "area", "oxide") if filled[key]}
    more: dict[str, Any] = {"next_load": load} if load else {}
    try:
        if filled["loads"]:
            if not filled["loads"].isdecimal():
                raise InputError("how many loads?", "Write digits only.", "loads")
            more["loads_to_come"] = int(filled["loads"])
        payload = question("bath").ask(bath_ledger.asked_of(book, **more), bench_of(request)).payload
    except EnamelwrightError as error:
        return {"filled": filled, "trouble": str(error), "after": None, "left": ""}
    left = ""
    if payload.loads_left is not None:
        low, high = (rounded(math.floor(one)) for one in (payload.loads_left.low, payload.loads_left.high))
        left = f"about {low}" if low == high else f"{low} to {high}"
    after = None
    if payload.after is not None:
        told = payload.after
        state = craft.BathState(
            told.state, told.at_worst, told.taken_up, told.acid_left, told.ph, told.copper, told.copper_mass, ()
        )  # fmt: skip
        after = bath_view.view_of(state, book)
    return {"filled": filled, "trouble": "", "after": after, "left": left}


def _rinse(book: bath_ledger.BathBook) -> tuple[tuple[str, str], ...]:
    found = spent_bath.rinse_of(book.book)
    if not found.copper.high:
        return ()
    lines = [("first rinse of 2 L, after one load", f"{between(found.copper, 'mg/L')} of copper")]
    if found.left is not None:
        soda = units.show(found.soda, "mass", "g")
        lines.append((f"with {soda} of baking soda, left to settle", f"{between(found.left, 'mg/L')}; keep the solids"))
    return tuple(lines)


@router.post("/pickle/{row:int}")
def note(request: Request, row: int, form: Form) -> RedirectResponse:
    """Write down a dip, a reading, a top-up or a spill; close the bath; say what it is and what it met."""
    studio = studio_of(request)

    def work() -> str:
        page = f"/pickle/{row}/spent" if form.text("from") == "spent" else f"/pickle/{row}"
        do = form.text("do")
        if do == "close":
            version = kept.change_bath(studio, row, form.version(), closed_on=studio.today())
            return address(page, "bath-closed", [("bath", row, version)])
        if do == "met":
            met = [one.removeprefix("met_") for one in form.every("met")]
            if set(met) - set(METALS):
                raise InputError("this is nothing a bath is asked about.", "Open the page again.", "met")
            version = kept.tell_met(studio, row, met, form.version())
            return address(page, "words", [("bath", row, version)])
        if do == "made":
            version = _told_anew(form)
            return address(page, "words", [("bath", row, version)])
        return address(page, "entry", _written(form))

    def _told_anew(form: Form) -> int:
        made, old = form.text("made") or "other", kept.bath_row(studio, row).made_of or {}
        stays = {key: one for key, one in old.items() if key in {"also", "met"}}
        return kept.change_bath(
            studio, row, form.version(), kind=_record_kind(made, ""), made_of={**_made_of(form, made), **stays},
            **form.given("volume"),
        )  # fmt: skip

    def _written(form: Form) -> list[tuple[str, int, int]]:
        what = form.text("what") or "dip"
        before = bath_view.seen(studio, row)[0] if what == "drawn off" and form.text("container") else None
        made = kept.note_bath(
            studio, row, what, piece=form.maybe("piece"), load=form.maybe("load"), **form.given(*_TOLD)
        )
        wrote = [("bath entry", made, 0)]
        if what == "top up" and form.text("with"):
            if form.text("with") not in CHEMISTRIES:
                raise InputError("this is no bath that is known here.", "Choose one of the list.", "with")
            if form.text("with") != (kept.bath_row(studio, row).made_of or {}).get("kind"):
                wrote.append(("bath", row, kept.also_got(studio, row, form.text("with"))))
        if what == "drawn off" and form.text("container"):
            into = kept.into_waste(
                studio, form.whole("container"), f"drawn off {kept.bath_row(studio, row).name}", bath=row,
                volume=form.maybe("volume"), mass=form.maybe("mass"),
            )  # fmt: skip
            wrote.append(("waste entry", into, 0))
            kept_in = kept.container_row(studio, form.whole("container"))
            holds = _holds(kept.bath_row(studio, row), _drawn(before, bath_view.seen(studio, row)[0]))
            now = _together(str(kept_in.contents or ""), holds)
            if now != (kept_in.contents or ""):
                changed = studio.change(waste_container, int(kept_in.id), contents=now)
                wrote.append(("waste container", int(kept_in.id), changed))
        return wrote

    return once(request, form, work)


@router.get("/pickle/{row:int}/spent")
def spent(request: Request, row: int) -> HTMLResponse:
    """Walk through what may be done with a spent bath, and what never."""
    studio = studio_of(request)
    one = kept.bath_row(studio, row)
    book, view = bath_view.seen(studio, row)
    asked = request.query_params
    filled = {key: asked.get(key, "").strip() for key in ("allowed", "soda", "standing", "dose")}
    fits, others = split(studio, one, kept.containers(studio))
    answer, trouble = None, ""
    if book is not None:
        more: dict[str, Any] = {key: filled[key] for key in ("soda", "standing") if filled[key]}
        if filled["allowed"] in {"yes", "no"}:
            more["local_rules_allow"] = filled["allowed"] == "yes"
        try:
            if filled["dose"]:
                more["dose"] = units.parse(filled["dose"], "ratio")
            answer = question("spent-bath").ask(bath_ledger.asked_of(book, **more), bench_of(request))
        except EnamelwrightError as error:
            trouble = str(error)
    payload = answer.payload if answer is not None else None
    return _page(
        request, "bath_spent.html", bath=one, view=view, answer=answer, payload=payload, trouble=trouble,
        filled=filled, met=METALS, has_met=bath_ledger.met_of(one), sodas=tuple(spent_bath.SODAS),
        standings=spent_bath.standing_words(), litres=_litres, fits=fits, others=others,
        gone=kept.went_to(studio, row),
        settling=bath_view.settling_words(payload, filled["soda"] or "soda ash") if payload is not None else None,
        holds=_holds(one, book.state.copper_mass.high if book is not None else 0.0),
        times=lambda number: rounded(number), kind_words=bath_view.kind_words, about=about,
    )  # fmt: skip


def _holds(one: Any, copper: float) -> str:
    """Say what a container holds that takes up a spent bath: the liquor, its copper at most [kg], what it has met."""
    words = [f"spent {bath_view.kind_words(one.made_of, one.kind)}"]
    if copper > 0:
        words.append(_copper_words(copper))
    met = bath_ledger.met_of(one)
    if met is None:
        words.append("nobody said what it has met")
    elif met:
        words.append(f"has met {', '.join(met)}")
    return "; ".join(words)


#: How the copper a container holds at most is written, around the number.
_UP_TO, _OF_COPPER = "up to ", " of copper"


def _copper_words(mass: float) -> str:
    return f"{_UP_TO}{units.show(mass, 'mass', 'g')}{_OF_COPPER}"


def _drawn(before: bath_ledger.BathBook | None, after: bath_ledger.BathBook | None) -> float:
    """Return the copper that may have gone with what was drawn off [kg]; all there was, when no volume tells."""
    if before is None:
        return 0.0
    there = before.state.copper_mass.high
    stays = after.state.copper_mass.high if after is not None else there
    return there - stays if stays < there else there


def _together(contents: str, more: str) -> str:
    """Return what a container holds after more of the same went in; words somebody typed stay as they are."""
    if not contents:
        return more
    old, new = (dict(_parts(text)) for text in (contents, more))
    if [name for name in old if name != _OF_COPPER] != [name for name in new if name != _OF_COPPER]:
        return contents
    mass = sum(units.parse(one[_OF_COPPER], "mass") for one in (old, new) if _OF_COPPER in one)
    if not mass:
        return contents
    first, *rest = (part for part in more.split("; ") if not part.endswith(_OF_COPPER))
    return "; ".join([first, _copper_words(mass), *rest])


def _parts(contents: str) -> list[tuple[str, str]]:
    """Return the parts of what is said of a container, its copper apart."""
    return [
        (_OF_COPPER, part.removeprefix(_UP_TO).removesuffix(_OF_COPPER))
        if part.startswith(_UP_TO) and part.endswith(_OF_COPPER)
        else (part, part)
        for part in contents.split("; ")
    ]


def _page(request: Request, template: str, **context: Any) -> HTMLResponse:
    """Draw a page of this noun; what it is and is not stands there in full once a day on each device."""
    today = studio_of(request).today()
    answer = show_page(
        request, template, screening=SCREENING, first_today=bath_view.first_today(request, today), **context
    )
    bath_view.told_today(answer, today)
    return answer


def entry_words(entry: Any) -> str:
    """Say an entry of a bath on one line."""
    parts = []
    for column, before, unit in _SHOWN:
        if entry._mapping[column] is not None:
            parts.append(f"{before} {as_typed(entry, column, unit)}".strip())
    return ", ".join(parts) + (f": {entry.words}" if entry.words else "")


def _last(entries: list[Any]) -> Any:
    return entries[-1] if entries else None


def _litres(volume: float | None) -> str:
    return "amount not said" if volume is None else units.show(volume, "volume", "l")


def _grams(mass: float | None) -> str:
    return "" if mass is None else units.show(mass, "mass", "g")
