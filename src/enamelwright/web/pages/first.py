"""First use: an empty bench is laid like a piece, a kiln, two jars, one piece, and then there is a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.craft.technique import custom
from enamelwright.errors import InputError
from enamelwright.reference.loader import rows as table_rows
from enamelwright.web.beside import Beside
from enamelwright.web.coat_forms import in_millimetres
from enamelwright.web.pages.set_kilns import KINDS as KILN_KINDS
from enamelwright.web.pages.set_kilns import PRESETS
from enamelwright.web.posting import Filled, Form, once, show_page
from enamelwright.web.sharing import on_this_machine
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import designs as kept
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import starters
from enamelwright.workshop.kilns import keep_kiln, kilns
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False)

#: What lies on the front of a first piece, and the technique it is laid in when nobody says.
FRONTS = {"opaque": "sift_opaque", "transparent": "transparent_direct", "flux": "transparent_direct"}
#: The technique of a first piece when its jar has none of its own.
PLAIN = "sift_opaque"
#: A kind of glass that stands in until more is known of the counter-enamel.
COUNTER = "counter"


@dataclass(frozen=True)
class Step:
    """One layer of the bench.

    Parameters
    ----------
    to : str
        Its page.
    noun : str
        What is asked for.
    done : bool
        Whether it is there.
    """

    to: str
    noun: str
    done: bool


def steps(studio: Studio) -> tuple[Step, ...]:
    """Return what a first plan needs, and what is there."""
    return (
        Step("/first/kiln", "Your kiln", bool(kilns(studio))),
        Step("/first/jars", "Two jars", len(shelf.jars(studio)) > 1),
        Step("/first/piece", "One piece", bool(kept.designs(studio))),
    )


@router.get("/first")
def first(request: Request) -> HTMLResponse:
    """Offer to begin, or to look round."""
    beside = _beside(request)
    laid = steps(studio_of(request))
    return show_page(
        request, "first.html", steps=laid, at="", demo=beside.state, door=beside.address,
        onward=next((one.to for one in laid if not one.done), ""), at_machine=on_this_machine(request),
    )  # fmt: skip


@router.post("/first/demo")
def look_round(request: Request) -> RedirectResponse:
    """Open the invented workshop beside this studio."""
    if not on_this_machine(request):
        raise InputError("the invented workshop is opened on the bench machine.", "Open it there.")
    _beside(request).open()
    return RedirectResponse("/first#demo", 303)


@router.get("/first/kiln")
def kiln(request: Request) -> HTMLResponse:
    """Ask for the kiln."""
    presets = {row["preset"]: row for row in table_rows("heat/kiln_presets")}
    return show_page(
        request, "first_kiln.html", steps=steps(studio_of(request)), at="/first/kiln", kinds=KILN_KINDS,
        presets=[(name, presets[name]) for name in PRESETS if name in presets],
    )  # fmt: skip


@router.post("/first/kiln")
def keep_a_kiln(request: Request, form: Form) -> RedirectResponse:
    """Keep the kiln and go on."""
    studio = studio_of(request)

    def work() -> str:
        told = form.given("kind", "preset", "width", "depth", "height", "time_to_set", "time_to_set_point")
        keep_kiln(studio, Kiln.from_outside({"name": form.text("name") or "kiln", **told}, "kiln"))
        return "/first/jars"

    return once(request, form, work)


@router.get("/first/jars")
def jars(request: Request) -> HTMLResponse:
    """Ask for one jar for the front, and one for the back."""
    return show_page(
        request, "first_jars.html", steps=steps(studio_of(request)), at="/first/jars", fronts=tuple(FRONTS)
    )


@router.post("/first/jars")
def keep_two_jars(request: Request, form: Form) -> RedirectResponse:
    """Put two jars on the shelf and go on."""
    studio = studio_of(request)

    def work() -> str:
        kind = form.text("front_kind")
        if kind not in FRONTS:
            raise InputError("what kind of glass is the first jar?", "Choose one from the list.", "front_kind")
        shelf.add_jar(studio, _jar(form, "front", kind))
        shelf.add_jar(studio, _jar(form, "back", COUNTER))
        return "/first/piece"

    return once(request, form, work)


def _jar(form: Filled, which: str, kind: str) -> Jar:
    code, name = form.text(f"{which}_code"), form.text(f"{which}_name")
    if not code:
        raise InputError("each jar has a code you call it by.", "A letter and a number are enough.", f"{which}_code")
    outside: dict[str, Any] = {"id": code, "name": name or code, "kind": kind, "starter": starters.stand_in(kind)}
    return Jar.from_outside(outside, "jar")


@router.get("/first/piece")
def piece(request: Request) -> HTMLResponse:
    """Ask for one piece."""
    studio = studio_of(request)
    mine = {row.kind for row in shelf.jars(studio)}
    likely = next((technique for kind, technique in FRONTS.items() if kind in mine), PLAIN)
    return show_page(
        request, "first_piece.html", steps=steps(studio), at="/first/piece", likely=likely,
        techniques=[custom(one) for one in starters.techniques()],
        metals=[(one, metal(one).name) for one in metal_ids()],
    )  # fmt: skip


@router.post("/first/piece")
def plan(request: Request, form: Form) -> RedirectResponse:
    """Keep the design, start the piece, and show its plan."""
    studio = studio_of(request)

    def work() -> str:
        name = form.text("name") or "First piece"
        technique = form.text("technique") or PLAIN
        if any(row.name.casefold() == name.casefold() for row in kept.designs(studio)):
            raise InputError(f"there is a design '{name[:60]}' already.", "Choose another name.", "name")
        known = {
            "metal": {
                "kind": form.text("metal") or "copper",
                **in_millimetres("thickness", form.text("thickness") or "1 mm"),
            },
            "outline": {"shape": "circle", **in_millimetres("diameter", form.text("across") or "40 mm")},
        }
        made = kept.keep_design(studio, starters.begin(technique, name, bench_of(request), known), name)
        row = start_pieces(studio, 1, made.design)[0]
        return f"/pieces/{row.number}?said=started"

    return once(request, form, work)


def _beside(request: Request) -> Beside:
    found: Beside = request.app.state.beside
    return found
