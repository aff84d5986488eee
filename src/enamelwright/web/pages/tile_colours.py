"""Read colours: from a photo, from a file of an instrument, from its display; two tiles side by side; own metals."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import cast, get_args

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_read import OBSERVERS
from enamelwright.craft.colour.eyes import closeness, difference_words
from enamelwright.craft.colour.fired_tile import Taking
from enamelwright.craft.colour.light import LIGHT_WORDS, LIGHTS
from enamelwright.craft.metal import metal
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.colour_csv import Told
from enamelwright.learning.tile_model import off
from enamelwright.pictures.lights import pattern_of
from enamelwright.units import parse
from enamelwright.web.colour_view import Patch, lab_words, match_address, patch
from enamelwright.web.posting import Filled, Form, address, once, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import colours, metal_coupons, tile_colours
from enamelwright.workshop.listing import spots
from enamelwright.workshop.photos import photos_of_piece
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.settings import coupons
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import tiles as all_tiles

router = APIRouter(include_in_schema=False)

#: Ways a colour may be taken, with what the page calls them.
TAKINGS: tuple[tuple[str, str], ...] = (
    ("lamps at 45 degrees", "45/0, without gloss"),
    ("sphere without gloss", "sphere, gloss left out"),
    ("sphere with gloss", "sphere, gloss in it"),
    ("tent", "in a white tent"),
)
#: Photos offered at once, and tiles offered by name.
MOST_PHOTOS, MOST_OFFERED = 12, 300
_LONGEST_NAME = 120


@dataclass(frozen=True)
class Side:
    """One of two tiles beside each other.

    Parameters
    ----------
    tile : SeenTile
        The tile.
    patch : Patch
        Its colour in daylight, without gloss.
    read : str
        As it was read.
    words : str
        What was done to bring it to daylight.
    coats : str
        What lies on it.
    match : str
        Address that looks for stacks of this colour.
    """

    tile: colours.SeenTile
    patch: Patch
    read: str
    words: str
    coats: str
    match: str


@dataclass(frozen=True)
class MetalView:
    """One metal with fluxed tiles or a coupon."""

    id: str
    name: str
    tiles: tuple[str, ...]
    kept: str


@router.get("/tile-colours")
def entry(request: Request) -> HTMLResponse:
    """Offer every way a colour can be read."""
    return _show(request)


def _show(request: Request, error: EnamelwrightError | None = None, typed: Filled | None = None) -> HTMLResponse:
    studio, known = studio_of(request), bench_of(request)
    newest = reversed(all_tiles(studio)[-MOST_PHOTOS:])
    photos = [(photo, tile) for tile in newest for photo in photos_of_piece(studio, tile.id)]
    own = tile_colours.own_tiles(studio)
    offered = [tile_colours.tile_name(one.label or one.number, one.spot) for one in spots(studio) if one.fired]
    asked = request.query_params.get("tile", "")[:60]
    page = show_page(
        request, "tile_colours.html", photos=photos[:MOST_PHOTOS], offered=offered[-MOST_OFFERED:], error=error,
        choices=[(one, f"{one}: {LIGHT_WORDS[one]}") for one in LIGHTS], observers=OBSERVERS, takings=TAKINGS,
        metals=_metals(own, known, studio), left_out=own.left_out, asked=asked,
        typed=(lambda key, default="": (typed.text(key) if typed is not None else "") or default),
    )  # fmt: skip
    if error is not None:
        page.status_code = 422
    return page


def _metals(own: tile_colours.OwnTiles, known: Bench, studio: Studio) -> list[MetalView]:
    shown = metal_coupons.coupon_tiles(own.tiles, known)
    kept = {metal(one.metal).id: one for one in coupons(studio)}
    found = []
    for one in sorted({*shown, *kept}):
        coupon = kept.get(one)
        words = "" if coupon is None else f"shines {coupon.gain - 1:+.0%} beside its tables"
        if coupon is not None and coupon.fitted_from:
            words += f", from {', '.join(coupon.fitted_from)}"
        found.append(MetalView(one, metal(one).name, tuple(tile.name for tile in shown.get(one, ())), words))
    return found


@router.post("/tile-colours/typed", response_model=None)
def typed(request: Request, form: Form) -> HTMLResponse | RedirectResponse:
    """Keep a colour read off a display."""
    studio = studio_of(request)

    def work() -> str:
        piece, _, spot = form.text("tile").partition("/")
        if not piece.strip():
            raise InputError("which tile is it?", "Write its name, such as TL-01/2.", "tile")
        row = piece_row(studio, piece.strip())
        lab = tuple(_number(form.text(axis), f"{axis}*") for axis in ("l", "a", "b"))
        light, observer, taken = _known(form)
        if not (light and observer and taken):
            raise InputError(
                "L*, a*, b* mean nothing without light, observer and geometry.",
                "Choose all three; the instrument shows them among its settings.", "light",
            )  # fmt: skip
        error = _number(form.text("error"), "error") if form.text("error") else None
        made = tile_colours.keep_typed_colour(
            studio, row.number, cast("tuple[float, float, float]", lab), spot=spot.strip(), light=light,
            observer=observer, taken=cast("Taking", taken), error=error,
        )  # fmt: skip
        return address(f"/tiles/{row.number}", "colour", [("colour", made, 0)])

    try:
        return once(request, form, work)
    except EnamelwrightError as error:
        return _show(request, error, form)


def _number(text: str, where: str) -> float:
    if not text:
        raise InputError("a number is missing.", "Write all three of L*, a* and b*.", where)
    return parse(text, "ratio")


def _known(form: Filled) -> tuple[str, str, str]:
    """Return light, observer and geometry, empty where none of the list was chosen."""
    told = (form.text("light"), form.text("observer"), form.text("taken"))
    lists = (LIGHTS, OBSERVERS, get_args(Taking))
    light, observer, taken = (one if one in known else "" for one, known in zip(told, lists, strict=True))
    return light, observer, taken


@router.post("/tile-colours/file", response_model=None)
async def file(request: Request, form: Form) -> Response:
    """Keep every colour of a file, or none."""
    sent = (await request.form()).get("file")
    if not isinstance(sent, UploadFile) or not sent.filename:
        error = InputError("no file arrived.", "Choose one and send it again.", "file")
        return await run_in_threadpool(_show, request, error, form)
    data, name = await sent.read(), sent.filename[:_LONGEST_NAME]
    return await run_in_threadpool(_file, request, form, data, name)


def _file(request: Request, form: Filled, data: bytes, name: str) -> Response:
    studio = studio_of(request)

    def work() -> str:
        rows = tile_colours.keep_file_colours(studio, data, name, Told(*_known(form)))
        return address("/tile-colours", "colours", [("colour", one, 0) for one in rows])

    try:
        return once(request, form, work, hashlib.sha256(data).hexdigest())
    except EnamelwrightError as error:
        return _show(request, error, form)


@router.post("/tile-colours/metal", response_model=None)
def keep_metal(request: Request, form: Form) -> HTMLResponse | RedirectResponse:
    """Work a metal out of its fluxed tiles and keep it."""
    studio = studio_of(request)

    def work() -> str:
        fit = metal_coupons.coupon_from_tiles(studio, form.text("metal")[:60])
        return address("/tile-colours#metals", "coupon", tile_colours.keep_fit(studio, fit))

    try:
        return once(request, form, work)
    except EnamelwrightError as error:
        return _show(request, error)


@router.get("/tile-colours/compare")
def compare(request: Request) -> HTMLResponse:
    """Put two tiles side by side."""
    studio, known = studio_of(request), bench_of(request)
    seen = [one for one in colours.seen_tiles(studio, known) if one.lab is not None]
    asked = request.query_params
    by_name = {one.name: one for one in seen}
    chosen = [by_name.get(asked.get(key, "")) for key in ("one", "other")]
    sides = [_side(one, f"side-{n}", known) for n, one in enumerate(chosen) if one is not None]
    apart, words, close, doubt = 0.0, "", "", ""
    if len(sides) == 2:
        one, other = (side.tile for side in sides)
        assert one.lab is not None
        assert other.lab is not None
        apart, words = off(one.lab, other.lab), difference_words(one.lab, other.lab)
        close, doubt = closeness(apart), _doubt(one, other)
    return show_page(
        request, "tile_compare.html", names=sorted(by_name), one=asked.get("one", ""), other=asked.get("other", ""),
        sides=sides, apart=apart, words=words, close=close, doubt=doubt,
    )  # fmt: skip


def _side(tile: colours.SeenTile, key: str, known: Bench) -> Side:
    assert tile.lab is not None
    assert tile.read is not None
    kinds = {jar.id: jar.kind for jar in known.jars}
    pattern = pattern_of(kinds.get(tile.stack.coats[-1].jar))
    coats = " over ".join([coat.jar for coat in reversed(tile.stack.coats)])
    base = f"{tile.stack.foil} foil" if tile.stack.foil else tile.stack.metal.replace("_", " ")
    return Side(
        tile, patch(tile.lab, pattern, tile.name, key), lab_words(tile.read.lab), tile.read.words(),
        f"{coats} on {base}", match_address(tile.lab, tile.view) if tile.absolute else "",
    )  # fmt: skip


def _doubt(one: colours.SeenTile, other: colours.SeenTile) -> str:
    """Say why two readings can hardly be compared; empty when nothing speaks against it."""
    if not (one.absolute and other.absolute):
        return "One was read with a grey card, so only tiles of that same photo can be compared with it."
    if one.view != other.view:
        return "One was read with bright surroundings mirrored in it and one without: over metal that alone parts them."
    return ""
