"""Test tiles: the rack, edge-on strips on rails; one tile with its spots and the colours seen on them."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.eyes import plain_name
from enamelwright.errors import InputError
from enamelwright.pictures.swatch import Glass, spot_svg
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.web.colour_view import lab_words
from enamelwright.web.drawings import lit
from enamelwright.web.metal_words import metal_words
from enamelwright.web.pages.pieces import metals
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import listing
from enamelwright.workshop import tiles as rack
from enamelwright.workshop.colours import as_shown, reading_of, spot_colours
from enamelwright.workshop.photos import photos_of_piece
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.typed import read_quantity
from enamelwright.workshop.undercoat import BARE

router = APIRouter(include_in_schema=False)

KINDS = ("test tile", "control tile")
READ_BY = colour_reading.c.read_by.info["words"]
#: More tiles than this at once is a slip of the finger.
MOST_TILES = 200
#: Thicknesses are told in columns of this width [m].
_STEP = 5e-5


@dataclass(frozen=True)
class Strip:
    """One spot of a tile on its rail.

    Parameters
    ----------
    number, label, spot : str
        The tile and the spot on it.
    jars : str
        Codes of what was tried.
    family : str
        Colour family of the last coat.
    seen : str
        The colour that was seen, in words; empty when nobody looked.
    thickness : str
        Of the glass, when it is known.
    fired : int
        Firings.
    picture : Markup
        Edge-on.
    order : tuple
        Where it stands on the rail.
    """

    number: str
    label: str
    spot: str
    jars: str
    family: str
    seen: str
    thickness: str
    fired: int
    picture: Markup
    order: tuple[Any, ...]


@dataclass(frozen=True)
class _Shelf:
    """The glasses by code, for drawing."""

    glasses: Mapping[str, Glass]

    def named(self, words: str) -> Glass | None:
        """Return the glass a spot's words name: by code, else by the word for a flux, a white, a foil."""
        if words.strip().casefold() in BARE:
            return None
        for word in re.split(r"[\s,;]+", words):
            if word in self.glasses:
                return self.glasses[word]
        folded = words.casefold()
        if "white" in folded:
            return Glass("white", "opaque")
        return Glass("grey", "placed") if "foil" in folded else Glass("clear", "flux")


def _strip(
    row: Any, glasses: _Shelf, seen: Mapping[tuple[int, str], Any], told: Mapping[int, str], known: Bench
) -> Strip:
    coats: list[tuple[Glass, float | None]] = []
    codes, total = [], 0.0
    for coat in row.coats or []:
        code = str(coat.get("jar", "")) if isinstance(coat, Mapping) else str(coat)
        thickness = _thickness(coat)
        total += thickness or 0.0
        codes.append(code)
        coats.append((glasses.glasses.get(code, Glass(None, None)), thickness))
    if coats and row.of in told:  # what was read or is foretold, in place of the colour of the family
        glass, thickness = coats[-1]
        coats[-1] = (Glass(glass.family, glass.kind, told[row.of]), thickness)
    reading = seen.get((row.piece, row.spot))
    colour = ""
    if reading is not None:
        plain = as_shown(reading_of(reading, codes[-1] if codes else "", known))
        colour = reading.words or (plain_name(plain) if plain is not None else "")
    name = f"{row.label or row.number}, spot {row.spot}"
    under = glasses.named(row.under or "")
    # a colour is read cold: a tile it was read from has been fired, be it before the record began
    fired = max(int(row.fired), int(reading is not None))
    picture = spot_svg(row.metal or "", coats, under, name, fired=bool(fired), light="daylight", key=f"spot-{row.of}")
    return Strip(
        row.number, row.label or "", row.spot, " over ".join(reversed(codes)) or "nothing laid",
        coats[-1][0].family or "" if coats else "", colour,
        units.show(total, "length", "mm") if total else "", fired, lit(picture),
        (not total, round(total / _STEP), codes[:1], row.number, row.spot),
    )  # fmt: skip


def _thickness(coat: Any) -> float | None:
    """Return the thickness a coat of a spot was told with [m]; None when it was not."""
    if not isinstance(coat, Mapping):
        return None
    for key in ("fired_thickness_mm", "thickness_mm", "powder_depth_mm"):
        if isinstance(coat.get(key), int | float):
            return units.to_si(float(coat[key]), "mm", "length")
    return None


@router.get("/tiles")
def tiles(request: Request) -> HTMLResponse:
    """Show the rack: a rail for each metal and what lies under, on it columns by thickness, strips by jar."""
    studio = studio_of(request)
    asked = request.query_params
    glasses = _Shelf({row.code: Glass(row.family, row.kind) for row in shelf.jars(studio, everything=True)})
    seen = listing.colours_seen(studio)
    rails: dict[tuple[str, str], list[Strip]] = {}
    families: set[str] = set()
    show_all = asked.get("show", "fired") == "all"
    waiting: dict[str, str] = {}
    laid = listing.spots(studio)
    known = bench_of(request)
    told = spot_colours(laid, seen, known)
    for row in laid:
        strip = _strip(row, glasses, seen, told, known)
        families.add(strip.family)
        if not strip.fired:
            waiting[strip.number] = strip.label or strip.number
            if not show_all:
                continue
        if asked.get("family") and strip.family != asked["family"]:
            continue
        if asked.get("jar") and asked["jar"].casefold() not in strip.jars.casefold():
            continue
        rails.setdefault((metal_words(row.metal) or "metal not said", row.under or "bare"), []).append(strip)
    standing = [(key, _columns(strips), len(strips)) for key, strips in sorted(rails.items(), key=_rail)]
    return show_page(
        request, "tiles.html", rails=standing, families=sorted(families - {""}), waiting=sorted(waiting.items()),
        layouts=listing.layouts(studio), jars=shelf.jars(studio), metals=metals(), kinds=KINDS,
        controls=rack.tiles(studio, "control tile"), family=asked.get("family", ""), show=asked.get("show", "fired"),
    )  # fmt: skip


def _columns(strips: list[Strip]) -> list[tuple[str, list[Strip]]]:
    """Return the strips of a rail by thickness, the thinnest first, each column with its head.

    Those of which no thickness was told stand last; a rail of such strips alone has no heads.
    """
    columns: dict[tuple[bool, int], list[Strip]] = {}
    for one in sorted(strips, key=lambda one: one.order):
        columns.setdefault(one.order[:2], []).append(one)
    if not any(one.thickness for one in strips):
        return [("", mine) for mine in columns.values()]
    return [
        ("not told" if unknown else units.show(step * _STEP, "length", "mm", _STEP), mine)
        for (unknown, step), mine in columns.items()
    ]


def _rail(item: tuple[tuple[str, str], list[Strip]]) -> tuple[str, bool, str]:
    (metal, under), _ = item
    return metal, under not in BARE, under


@router.post("/tiles")
def make(request: Request, form: Form) -> RedirectResponse:
    """Make tiles with their numbers, or keep a layout of spots."""
    studio = studio_of(request)

    def work() -> str:
        if form.text("do") == "layout":
            lines = [line for line in form.text("spots").splitlines() if line.strip()]
            spots = [{"spot": str(number), "under": line.strip()} for number, line in enumerate(lines, start=1)]
            rack.keep_layout(studio, form.text("name"), spots)
            return address("/tiles#make", "layout")
        kind = form.text("kind") or "test tile"
        if kind not in KINDS:
            raise InputError(f"'{kind[:20]}' is no kind of tile.", f"Choose one of: {', '.join(KINDS)}.")
        count = form.whole("count", 1)
        if not 1 <= count <= MOST_TILES:
            raise InputError(f"{count} tiles cannot be made at once.", f"Make 1 to {MOST_TILES}.", "count")
        made = rack.make_tiles(
            studio, count, kind, layout=form.maybe("layout"), jar=form.text("jar"),
            metal=form.maybe("metal"), thickness=form.maybe("thickness"),
        )  # fmt: skip
        wrote = [("piece", int(row.id), 1) for row in made]
        return address(f"/tiles/{made[0].number}" if len(made) == 1 else "/tiles?show=all", "tiles", wrote)

    return once(request, form, work)


@router.get("/tiles/{number}")
def tile(request: Request, number: str) -> HTMLResponse:
    """Show one tile: its spots and every colour that was read from them."""
    studio = studio_of(request)
    row = piece_row(studio, number)
    glasses = _Shelf({one.code: Glass(one.family, one.kind) for one in shelf.jars(studio, everything=True)})
    seen = listing.colours_seen(studio)
    laid = [one for one in listing.spots(studio) if one.piece == row.id]
    known = bench_of(request)
    told = spot_colours(laid, seen, known)
    mine = [(_strip(one, glasses, seen, told, known), one) for one in laid]
    readings = rack.readings_of(studio, row.id)
    return show_page(
        request, "tile.html", tile=row, spots=mine, readings=readings, numbers=_numbers(readings, laid, known),
        read_by=READ_BY,
        jars=shelf.jars(studio), photos=photos_of_piece(studio, row.id),
    )  # fmt: skip


def _numbers(readings: Sequence[Any], laid: Sequence[Any], known: Bench) -> dict[int, str]:
    """Say each reading as every page does, in daylight and without gloss; as it was read where that is otherwise."""
    tops = {one.spot: str(coat["jar"]) for one in laid for coat in one.coats or [] if "jar" in coat}
    found = {}
    for one in readings:
        read = reading_of(one, tops.get(one.spot, ""), known)
        plain = as_shown(read)
        if read is None:
            continue
        if not read.light:  # nobody told how it was read
            found[one.of] = f"{lab_words(read.lab)}, gloss not told"
            continue
        said = f"{lab_words(read.lab)} as read {'with' if read.gloss else 'without'} gloss"
        found[one.of] = said if plain is None else f"{lab_words(plain)} without gloss"
        if plain is not None and lab_words(plain) != lab_words(read.lab):
            found[one.of] += f" ({said})"
    return found


@router.post("/tiles/{number}")
def read(request: Request, number: str, form: Form) -> RedirectResponse:
    """Write down the colour of a spot, or what lies on one."""
    studio = studio_of(request)

    def work() -> str:
        row = piece_row(studio, number)
        page = f"/tiles/{row.number}"
        if form.text("do") == "spot":
            coats = [{"jar": form.text("jar")}] if form.text("jar") else None
            if coats and form.text("thickness"):
                meters = read_quantity(form.text("thickness"), "length")
                coats[0]["fired_thickness_mm"] = units.from_si(meters, "mm", "length")  # type: ignore[assignment]
            rack.spot(studio, row.id, form.text("spot") or "1", under=form.maybe("under"), coats=coats)
            return address(page, "entry")
        lab = form.given("lightness", "a", "b")
        made = rack.read_colour(
            studio, row.id, spot=form.maybe("spot"), words=form.maybe("words"),
            read_by=form.text("read_by") or ("typed" if lab else "eye"), **lab,
        )  # fmt: skip
        return address(page, "colour", [("colour", made, 0)])

    return once(request, form, work)
