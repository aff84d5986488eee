"""Pickle: the baths with what happened in them, and waste until it is handed in. A record; it judges nothing yet."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright import units
from enamelwright.errors import InputError
from enamelwright.records.schema.baths import bath as bath_table
from enamelwright.records.schema.baths import bath_entry, waste_container
from enamelwright.web.conflicts import same_version
from enamelwright.web.page import Page
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import studio_of
from enamelwright.workshop import baths as kept
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

KINDS = bath_table.c.kind.info["words"]
WHATS = bath_entry.c.what.info["words"]
#: Columns of an entry that a form fills in as text.
_TOLD = ("pieces", "ph", "mass", "volume", "temperature", "duration", "copper_area", "words")
#: How an entry's numbers are told: column, word before it, unit.
_SHOWN = (
    ("pieces", "pieces", None), ("ph", "pH", None), ("mass", "", "g"), ("volume", "", "l"), ("temperature", "", "°C"),
    ("duration", "for", "min"), ("copper_area", "copper", "cm2"),
)  # fmt: skip
MET = ("met_lead", "met_cadmium", "met_silver")


@router.get("/pickle")
def pickle(request: Request) -> HTMLResponse:
    """Show the baths and the waste."""
    studio = studio_of(request)
    found = kept.baths(studio, closed=True)
    return show_page(
        request, "pickle.html", baths=[one for one in found if one.closed_on is None], litres=_litres,
        closed=[one for one in found if one.closed_on is not None], containers=kept.containers(studio), kinds=KINDS,
        last={one.id: _last(kept.bath_entries(studio, int(one.id))) for one in found if one.closed_on is None},
        grams=_grams,
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
            row = kept.open_bath(
                studio, form.text("name"), form.text("kind") or "pickle", volume=form.maybe("volume"),
                recipe=form.maybe("recipe"), words=form.maybe("words"),
            )  # fmt: skip
            return address(f"/pickle/{row}", "bath", [("bath", row, 1)])
        if do == "container":
            row = kept.keep_container(
                studio, form.text("label"), contents=form.maybe("contents"), destination=form.maybe("destination")
            )
            return address("/pickle#waste", "container", [("waste container", row, 1)])
        if do == "hand in":
            container = form.whole("container")
            same_version(studio, waste_container, container, form.version(), handed_to=form.maybe("handed_to"))
            version = kept.hand_in(studio, container, form.text("handed_to") or "not said", form.maybe("on"))
            return address("/pickle#waste", "handed", [("waste container", container, version)])
        if do == "waste":
            made = kept.into_waste(
                studio, form.whole("container"), form.text("what") or "not said", mass=form.maybe("mass"),
                volume=form.maybe("volume"),
            )  # fmt: skip
            return address("/pickle#waste", "waste", [("waste entry", made, 0)])
        raise InputError("this cannot be done here.", "Open the page again.")

    return once(request, form, work)


@router.get("/pickle/{row:int}")
def bath(request: Request, row: int) -> HTMLResponse:
    """Show one bath with everything that happened in it."""
    studio = studio_of(request)
    one = kept.bath_row(studio, row)
    entries = [(entry, entry_words(entry)) for entry in reversed(kept.bath_entries(studio, row))]
    return show_page(
        request, "bath.html", bath=one, entries=entries, whats=WHATS, litres=_litres, met=MET,
        pieces=pieces_in_work(studio), containers=kept.containers(studio),
    )  # fmt: skip


@router.post("/pickle/{row:int}")
def note(request: Request, row: int, form: Form) -> RedirectResponse:
    """Write down a dip, a reading, a top-up or a spill; close the bath; say what it met."""
    studio = studio_of(request)

    def work() -> str:
        page = f"/pickle/{row}"
        if form.text("do") == "close":
            version = kept.change_bath(studio, row, form.version(), closed_on=studio.today())
            return address(page, "bath-closed", [("bath", row, version)])
        if form.text("do") == "met":
            met = form.every("met")
            version = kept.change_bath(studio, row, form.version(), **{one: one in met for one in MET})
            return address(page, "words", [("bath", row, version)])
        what = form.text("what") or "dip"
        made = kept.note_bath(studio, row, what, piece=form.maybe("piece"), **form.given(*_TOLD))
        wrote = [("bath entry", made, 0)]
        if what == "drawn off" and form.text("container"):
            into = kept.into_waste(
                studio, form.whole("container"), f"drawn off {kept.bath_row(studio, row).name}", bath=row,
                volume=form.maybe("volume"), mass=form.maybe("mass"),
            )  # fmt: skip
            wrote.append(("waste entry", into, 0))
        return address(page, "entry", wrote)

    return once(request, form, work)


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


PAGE = Page("/pickle", "Pickle", "The baths, what happened in them, and the waste", router)
