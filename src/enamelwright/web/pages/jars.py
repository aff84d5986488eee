"""Jars: the shelf, one jar with its lots and facts, a new jar, and counting the stock."""

from __future__ import annotations

from typing import Any, get_args

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright import units
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar import Answer, Family, Hardness, Jar, Kind
from enamelwright.craft.starter import starter_jars
from enamelwright.errors import InputError
from enamelwright.pictures.swatch import jar_svg
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.jars import powder_work
from enamelwright.web import jar_view
from enamelwright.web.conflicts import same_version
from enamelwright.web.drawings import lit
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.viewer import is_guest
from enamelwright.web.visit import studio_of
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import listing, lots
from enamelwright.workshop.day_lots import lots_to_try
from enamelwright.workshop.money import read_money, show_money
from enamelwright.workshop.typed import as_typed, read_quantity

router = APIRouter(include_in_schema=False)

WORKS = powder_work.c.work.info["words"]
CONDITIONS = lot_table.c.condition.info["words"]
MOVES = ("bought", "lost", "washed out", "given away", "returned")
KINDS: tuple[str, ...] = get_args(Kind)
FAMILIES: tuple[str, ...] = get_args(Family)
HARDNESS: tuple[str, ...] = get_args(Hardness)
#: What the form of a jar shows as it was told, by facet and field.
_UNSAID = (
    ("optics", "family"), ("hazards", "lead"), ("hazards", "cadmium"), ("fusing", "hardness"), ("", "mesh"),
    ("", "starter"),
)  # fmt: skip
#: What a data sheet may call its expansion; one called neither is not gone by.
EXPANSIONS: tuple[str, ...] = ("linear", "cubical")
ANSWERS: tuple[str, ...] = tuple(one for one in get_args(Answer) if one != "unknown")


@router.get("/jars")
def jars(request: Request) -> HTMLResponse:
    """Show the shelf."""
    asked = request.query_params
    found = jar_view.shelf(studio_of(request), everything=asked.get("away") == "yes")
    kind, family = asked.get("kind", ""), asked.get("family", "")
    listed = [
        one for one in found if (not kind or one.row.kind == kind) and (not family or one.row.family == family)
    ]  # fmt: skip
    return show_page(
        request, "jars.html", jars=listed, buy=[one for one in found if one.low], kind=kind, family=family,
        kinds=sorted({one.row.kind for one in found}),
        families=sorted({one.row.family for one in found if one.row.family}),
        untried=() if is_guest(request) else lots_to_try(studio_of(request))[1],
    )  # fmt: skip


@router.get("/jars/new")
def new(request: Request) -> HTMLResponse:
    """Offer the form for a jar."""
    return show_page(
        request, "jar_new.html", kinds=KINDS, families=FAMILIES, hardness=HARDNESS, answers=ANSWERS,
        expansions=EXPANSIONS, classes=starter_jars(),
    )  # fmt: skip


@router.post("/jars/new")
def add(request: Request, form: Form) -> RedirectResponse:
    """Put a jar on the shelf, with its first lot when its weight is known."""
    studio = studio_of(request)

    def work() -> str:
        row = shelf.add_jar(studio, _told(form), reorder_below=form.maybe("reorder_below"), words=form.maybe("words"))
        wrote = [("jar", row, 1)]
        if form.text("grams") or form.text("lot"):
            lot = lots.open_lot(studio, row, form.text("lot"), grams=form.maybe("grams"))
            wrote.append(("lot", lot, 1))
        return address(f"/jars/{row}", "jar", wrote)

    return once(request, form, work)


@router.get("/jars/count")
def count(request: Request) -> HTMLResponse:
    """Offer the sheet on which the whole stock is counted."""
    return show_page(request, "jar_count.html", levels=lots.levels(studio_of(request)), grams=_grams)


@router.post("/jars/count")
def counted(request: Request, form: Form) -> RedirectResponse:
    """Set the level of every lot that was weighed."""
    studio = studio_of(request)

    def work() -> str:
        told = {int(lot): grams for lot, grams in form.starting("lot-").items() if lot.isdecimal()}
        if not told:
            raise InputError("nothing was weighed.", "Write the grams beside at least one lot.")
        rows = lots.take_stock(studio, dict(told))
        return address("/jars", "stock", [("stock", row, 0) for row in rows])

    return once(request, form, work)


@router.get("/jars/{row:int}")
def jar(request: Request, row: int) -> HTMLResponse:
    """Show one jar: how much is left, its lots, and everything that was ever told of it."""
    studio = studio_of(request)
    kept = shelf.jar_row(studio, row)
    told = shelf.described(kept)
    levels = {one.lot: one for one in lots.levels(studio, row, finished=True)}
    mine = lots.lots_of(studio, row)
    return show_page(
        request, "jar.html", jar=kept, told=told, hazards=jar_view.hazards(told), facts=jar_view.facts(studio, kept),
        strip=lit(jar_svg(jar_view.glass_of(told), f"{kept.code} {kept.name}", None, None, "daylight", "jar")),
        lots=[(one, levels.get(one.id)) for one in mine], grams=_grams, works=WORKS, moves=MOVES,
        moved=listing.movements(studio, [one.id for one in mine]), labels={one.id: one.label for one in mine},
        left=_left(levels), mark=as_typed(kept, "reorder_below", "g") if kept.reorder_below is not None else "",
        tellable=jar_view.TELLABLE, origins=jar_view.ORIGINS, conditions=CONDITIONS, kinds=KINDS, families=FAMILIES,
        hardness=HARDNESS, answers=ANSWERS, expansions=EXPANSIONS, classes=starter_jars(),
        money=lambda minor, currency: show_money(studio, minor, currency),
    )  # fmt: skip


@router.post("/jars/{row:int}")
def change(request: Request, row: int, form: Form) -> RedirectResponse:
    """Do one thing with a jar or one of its lots."""
    studio = studio_of(request)

    def work() -> str:
        kept = shelf.jar_row(studio, row)
        page, do = f"/jars/{kept.id}", form.text("do")
        if do not in _DOES:
            raise InputError("this cannot be done with a jar.", "Open the page again.")
        said, wrote, place = _DOES[do](studio, kept, form)
        return address(f"{page}{place}", said, wrote)

    return once(request, form, work)


# ---- what can be done with a jar ---------------------------------------------------------------

_Done = tuple[str, list[tuple[str, int, int]], str]


def _lot(studio: Any, kept: Any, form: Any) -> _Done:
    more: dict[str, Any] = form.given("mesh", "bought_from", "condition", "use_by", "words")
    if form.text("price"):
        more["price_minor"], more["currency"] = read_money(studio, form.text("price"))
    made = lots.open_lot(
        studio, kept.id, form.text("label"), grams=form.maybe("grams"), bought_on=form.maybe("bought_on"), **more
    )
    return "lot", [("lot", made, 1)], "#lots"


def _powder(studio: Any, kept: Any, form: Any) -> _Done:
    mesh = form.whole("mesh") if form.text("mesh") else None
    lots.work_powder(
        studio, _own_lot(studio, kept, form), form.text("work"), before=form.maybe("before"), after=form.maybe("after"),
        mesh=mesh, words=form.maybe("words"),
    )  # fmt: skip
    return "powder", [], "#lots"


def _move(studio: Any, kept: Any, form: Any) -> _Done:
    kind = form.text("kind")
    if kind not in (*MOVES, "counted"):
        raise InputError("what happened to it?", "Choose one from the list.", "kind")
    if not form.text("grams"):
        raise InputError("how much was it?", "Write the grams.", "grams")
    made = lots.move(studio, kind, form.text("grams"), lot=_own_lot(studio, kept, form), words=form.maybe("words"))
    return "stock-moved" if kind != "counted" else "stock", [("stock", made, 0)], "#lots"


def _finish(studio: Any, kept: Any, form: Any) -> _Done:
    lot = _own_lot(studio, kept, form)
    version = lots.change_lot(studio, lot, version=form.version(), finished=form.text("finished") != "no")
    return "lot-finished" if form.text("finished") != "no" else "lot", [("lot", lot, version)], "#lots"


def _mark(studio: Any, kept: Any, form: Any) -> _Done:
    version = studio.change(jar_table, kept.id, form.version(), reorder_below=form.maybe("reorder_below"))
    return "mark", [("jar", int(kept.id), version)], ""


def _fact(studio: Any, kept: Any, form: Any) -> _Done:
    fact, told = form.text("fact"), form.text("value")
    if not told:
        raise InputError("what is known?", "Write the value with its unit, or the word.", "value")
    dimension, choices = jar_view.dimension(fact), shelf.fact_choices(fact)
    if choices and told not in choices:
        raise InputError(f"'{told[:40]}' is not one of the words.", f"Write one of: {', '.join(choices)}.", "value")
    more: dict[str, Any] = {"value": told, "dimension": dimension} if dimension else {"answer": told}
    made = shelf.tell_fact(
        studio, kept.id, fact, origin=form.text("origin") or "told", source=form.maybe("source"), **more
    )
    return "fact", [("fact", made, 0)], "#facts"


def _away(studio: Any, kept: Any, form: Any) -> _Done:
    same_version(studio, jar_table, int(kept.id), form.version(), put_away=form.text("back") != "yes")
    if form.text("back") == "yes":
        return "jar", [("jar", int(kept.id), studio.change(jar_table, kept.id, put_away=False))], ""
    return "jar-away", [("jar", int(kept.id), shelf.put_away(studio, kept.id))], ""


def _describe(studio: Any, kept: Any, form: Any) -> _Done:
    old = shelf.described(kept).to_outside()
    told = _told(form, kept.code).to_outside()
    merged = {**old, **{key: value for key, value in told.items() if not isinstance(value, dict)}}
    for key, value in told.items():
        if isinstance(value, dict):
            merged[key] = {**old.get(key, {}), **value}
    if form.text("expansion_kind") and not form.text("expansion") and "expansion" in merged.get("glass", {}):
        merged["glass"]["expansion"] = {**merged["glass"]["expansion"], "kind": form.text("expansion_kind")}
    for facet, field in _UNSAID:  # what the form shows filled in and comes back empty is no longer said
        if not form.text(field):
            (merged.get(facet, {}) if facet else merged).pop(field, None)
    version = shelf.change_jar(studio, kept.id, _possible(Jar.from_outside(merged, "jar")), form.version())
    return "jar-changed", [("jar", int(kept.id), version)], ""


_DOES = {
    "lot": _lot, "powder": _powder, "move": _move, "finish": _finish, "mark": _mark, "fact": _fact, "away": _away,
    "describe": _describe,
}  # fmt: skip


def _own_lot(studio: Any, kept: Any, form: Any) -> int:
    lot = int(form.whole("lot"))
    if lot not in {int(one.id) for one in lots.lots_of(studio, kept.id)}:
        raise InputError("this lot belongs to another jar.", "Open the page again.")
    return lot


def _told(form: Any, code: str = "") -> Jar:
    """Return the jar a form describes."""
    outside: dict[str, Any] = {"id": code or form.text("code"), "name": form.text("name"), "kind": form.text("kind")}
    if form.text("starter"):
        outside["starter"] = form.text("starter")
    if form.text("mesh"):
        outside["mesh"] = form.whole("mesh")
    optics, hazards, fusing, glass = {}, {}, {}, {}
    if form.text("family"):
        optics["family"] = form.text("family")
    if form.text("looks"):
        optics["words"] = form.text("looks")
    for name in ("lead", "cadmium"):
        if form.text(name):
            hazards[name] = form.text(name)
    if form.text("hardness"):
        fusing["hardness"] = form.text("hardness")
    if form.text("maturity"):
        fusing["maturity_c"] = _celsius(form.text("maturity"))
    if form.text("expansion"):
        number = _plain_number(form.text("expansion"))
        if number <= 0:
            raise InputError("an expansion is more than nothing.", "Write it as printed, like 105.", "expansion")
        kind = {"kind": form.text("expansion_kind")} if form.text("expansion_kind") else {}
        glass["expansion"] = {"value_e7_per_k": number, **kind}
    parts = {"optics": optics, "hazards": hazards, "fusing": fusing, "glass": glass}
    return _possible(Jar.from_outside({**outside, **{name: part for name, part in parts.items() if part}}, "jar"))


def _possible(jar: Jar) -> Jar:
    """Return a jar whose printed numbers can be those of an enamel; what cannot be is refused at once.

    Raises
    ------
    InputError
        When a printed number is impossible.
    """
    glass_of(jar)
    return jar


def _celsius(text: str) -> float:
    return units.from_si(read_quantity(text, "temperature"), "°C", "temperature")


def _plain_number(text: str) -> float:
    return units.parse(text, "ratio")


def _left(levels: dict[int, lots.Level]) -> str:
    known = [one.grams for one in levels.values() if one.grams is not None and not one.finished]
    return _grams(sum(max(one, 0.0) for one in known)) if known else "not weighed"


def _grams(mass: float | None) -> str:
    if mass is not None and mass < -jar_view.NOTHING:
        return f"0 g ({units.show(-mass, 'mass', 'g')} more used than was there: count it)"
    return "not weighed" if mass is None else units.show(max(mass, 0.0), "mass", "g")
