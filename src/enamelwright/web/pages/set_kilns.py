"""Kilns and supports of the bench: what they are, what was done to them, and what their display was held against."""

from __future__ import annotations

from typing import Any, get_args

from fastapi import APIRouter, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.kiln import Control, Door, Kiln, Lining, Melt, Preset
from enamelwright.craft.piece import Support
from enamelwright.errors import InputError
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.kilns import kiln_event
from enamelwright.records.schema.kilns import support as support_table
from enamelwright.web.posting import Filled, Form, address, once, show_page
from enamelwright.web.set_words import as_said
from enamelwright.web.visit import studio_of
from enamelwright.workshop import kilns as kept
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

KINDS = ("electric", "electric, no read-out", "torch")
PRESETS: tuple[str, ...] = get_args(Preset)
LININGS: tuple[str, ...] = get_args(Lining)
CONTROLS: tuple[str, ...] = get_args(Control)
DOORS: tuple[str, ...] = get_args(Door)
SUPPORTS: tuple[str, ...] = get_args(Support)
MELTS: tuple[str, ...] = get_args(Melt)
OUTCOMES = ("melting", "melted", "not melted")
EVENTS: tuple[str, ...] = kiln_event.c.what.info["words"]
#: Fields of a kiln the form asks for, told with their units or in words.
TYPED = (
    "kind", "preset", "width", "depth", "height", "lining", "wall", "hearth_thickness", "door", "door_width",
    "door_height", "power", "control", "overshoot", "spread", "time_to_set", "time_to_set_point", "hold_duty",
    "hold_duty_point", "note",
)  # fmt: skip


@router.get("/set-up/kilns")
def kilns(request: Request) -> HTMLResponse:
    """List the kilns, and offer the form for another."""
    rows = [(row, as_said(_described(row))) for row in kept.kilns(studio_of(request))]
    return show_page(request, "set_kilns.html", kilns=rows, **_choices(), told=dict.fromkeys(TYPED, ""))


@router.post("/set-up/kilns")
def add(request: Request, form: Form) -> RedirectResponse:
    """Describe a kiln."""
    studio = studio_of(request)

    def work() -> str:
        if any(row.name.casefold() == form.text("name").casefold() for row in kept.kilns(studio)):
            raise InputError("there is a kiln of that name.", "Open it, or choose another name.", "name")
        row = kept.keep_kiln(studio, _kiln(form, {}))
        return address(f"/set-up/kilns/{row}", "kiln", [("kiln", row, 1)])

    return once(request, form, work)


@router.get("/set-up/kilns/{row:int}")
def kiln(request: Request, row: int) -> HTMLResponse:
    """Show one kiln: what it is, what its display was held against, what was done to it."""
    studio = studio_of(request)
    found = _row(request, row)
    return show_page(
        request, "set_kiln.html", kiln=found, told=as_said(_described(found)), **_choices(), melts=MELTS,
        outcomes=OUTCOMES, events=EVENTS, done=kept.kiln_events(studio, found.id),
        held=kept.anchors(studio, found.id, this_epoch=False), since=kept.epoch_of(studio, found.id), typed=as_typed,
    )  # fmt: skip


@router.post("/set-up/kilns/{row:int}")
def change(request: Request, row: int, form: Form) -> RedirectResponse:
    """Do one thing with a kiln."""
    studio = studio_of(request)

    def work() -> str:
        found = _row(request, row)
        page, do = f"/set-up/kilns/{found.id}", form.text("do")
        if do == "describe":
            described = _kiln(form, dict(found.described), found.name)
            version = studio.change(kiln_table, found.id, form.version(), described=described.to_outside())
            return address(page, "kiln-changed", [("kiln", int(found.id), version)])
        if do == "away":
            version = studio.change(kiln_table, found.id, form.version(), put_away=True)
            return address("/set-up/kilns", "kiln-away", [("kiln", int(found.id), version)])
        if do == "held":
            return _held(request, found, form, page)
        if do == "done":
            if form.text("what") not in EVENTS:
                raise InputError("what was done?", "Choose one from the list.", "what")
            made = kept.kiln_event_happened(
                studio, form.text("what"), found.id, duration=form.maybe("duration"), shown=form.maybe("shown"),
                words=form.maybe("words"),
            )  # fmt: skip
            return address(page, "kiln-event", [("event", made, 0)])
        raise InputError("this cannot be done with a kiln.", "Open the page again.")

    return once(request, form, work)


def _held(request: Request, found: Row[Any], form: Filled, page: str) -> str:
    against, outcome = form.text("against"), form.text("outcome")
    if against not in MELTS or outcome not in OUTCOMES:
        raise InputError("what melted?", "Choose one from the list.", "against")
    if not form.text("shown"):
        raise InputError("what did the display show?", "Write it with its scale, like 812 C.", "shown")
    melted = {"melted": True, "not melted": False}.get(outcome)
    made = kept.anchor(
        studio_of(request), against, kiln=found.id, shown=form.text("shown"), known=form.maybe("known"), melted=melted,
        held=form.maybe("held"), position=form.maybe("position"), words=form.maybe("words"),
    )  # fmt: skip
    return address(page, "anchor", [("anchor", made, 0)])


# ---- supports ------------------------------------------------------------------------------------


@router.get("/set-up/supports")
def supports(request: Request) -> HTMLResponse:
    """List the supports, and offer the form for another."""
    return show_page(
        request, "set_supports.html", supports=kept.supports(studio_of(request)), kinds=SUPPORTS, typed=as_typed
    )


@router.post("/set-up/supports")
def keep_support(request: Request, form: Form) -> RedirectResponse:
    """Keep a support, or put one away."""
    studio = studio_of(request)

    def work() -> str:
        if form.text("away"):
            row = form.whole("away")
            version = studio.change(support_table, row, form.version(), put_away=True)
            return address("/set-up/supports", "support-away", [("support", row, version)])
        name, kind = form.text("name"), form.text("kind")
        if not name or kind not in SUPPORTS:
            raise InputError("a support has a name and a kind.", "Name it as you call it.", "name")
        if any(one.name.casefold() == name.casefold() for one in kept.supports(studio)):
            raise InputError("there is a support of that name.", "Choose another name.", "name")
        more: dict[str, Any] = form.given("mass", "width", "length", "height", "words")
        if form.text("owned"):
            more["owned"] = form.whole("owned")
        row = kept.keep_support(studio, name, kind, **more)
        return address("/set-up/supports", "support", [("support", row, 1)])

    return once(request, form, work)


# ---- what arrives --------------------------------------------------------------------------------


def _row(request: Request, row: int) -> Row[Any]:
    found = kept.kiln_row(studio_of(request), row)
    if found is None:
        raise InputError("there is no such kiln.", "Open the list again.")
    return found


def _described(row: Row[Any]) -> Kiln:
    return Kiln.from_outside(row.described, f"kiln {row.name}")


def _kiln(form: Filled, before: dict[str, Any], name: str = "") -> Kiln:
    """Return the kiln a form describes; what the form does not ask for stays as it was."""
    fields = {field for field in Kiln.model_fields if field not in TYPED and field != "name"}
    outside = {key: value for key, value in before.items() if any(key == f or key.startswith(f + "_") for f in fields)}
    told = form.given(*TYPED)
    return Kiln.from_outside({**outside, **told, "name": name or form.text("name")}, "kiln")


def _choices() -> dict[str, Any]:
    return {"kinds": KINDS, "presets": PRESETS, "linings": LININGS, "controls": CONTROLS, "doors": DOORS}
