"""A photo of tiles beside a card: corners and spots are placed, the colours looked at, then kept in one step."""

from __future__ import annotations

import base64
import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from fastapi import APIRouter, Request
from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import HTMLResponse, RedirectResponse, Response

from enamelwright.craft.colour.colour_read import ColourRead
from enamelwright.craft.colour.look import VIEWS, screen_colour
from enamelwright.craft.colour.photo_colours import LIGHT, OBSERVER, PatchRead, PhotoColours
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.tile_photo import judge_picture
from enamelwright.pictures.lights import Pattern, pattern_of
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.web.colour_view import Patch, lab_words, match_address, patch
from enamelwright.web.posting import Filled, Form, address, once, show_page
from enamelwright.web.tile_photo_form import CARDS, LIT, PhotoForm, placed
from enamelwright.web.visit import studio_of
from enamelwright.workshop import photos as album
from enamelwright.workshop import tile_colours
from enamelwright.workshop.jars import jars
from enamelwright.workshop.listing import spots
from enamelwright.workshop.named import named
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_colours import PhotoRead

router = APIRouter(include_in_schema=False)

#: Names of spots offered while one is typed.
MOST_OFFERED = 300
#: Half the side of the square drawn in a patch of the card, as a share of the way to the next patch.
MARKED = 0.25
#: Longest file name that is repeated in a message.
_LONGEST_NAME = 120


@dataclass(frozen=True)
class TileSeen:
    """One tile of the photo on the page.

    Parameters
    ----------
    name : str
        ``TL-01/2``.
    patch : Patch or None
        Its colour in daylight; None when it cannot be read.
    read : str
        Its numbers as read, which are kept.
    within : str
        How far off they may be.
    words : tuple of str
        What is wrong with it.
    match : str
        Address that looks for stacks of this colour; empty when the reading is no colour by itself.
    gloss : bool
        Whether the gloss of the glass is in the numbers as read, and taken off the colour shown.
    """

    name: str
    patch: Patch | None
    read: str
    within: str
    words: tuple[str, ...]
    match: str
    gloss: bool = False


@dataclass(frozen=True)
class Mark:
    """A mark drawn on the photo."""

    name: str
    x: float
    y: float


@router.post("/photos/of-tile")
async def send(request: Request, form: Form) -> Response:
    """Keep a photo of tiles and open it for reading."""
    sent = (await request.form()).get("photo")
    if not isinstance(sent, UploadFile) or not sent.filename:
        raise InputError("no photo arrived.", "Choose one and send it again.", "photo")
    data, name = await sent.read(), sent.filename[:_LONGEST_NAME]
    return await run_in_threadpool(_send, request, form, data, name)


def _send(request: Request, form: Filled, data: bytes, name: str) -> Response:
    studio = studio_of(request)
    tile = form.text("tile").partition("/")[0].strip()
    row = piece_row(studio, tile) if tile else None
    judge_picture(data, name)
    picture = album.put_picture(studio, data, name)

    def work() -> str:
        kept = album.keep_picture(studio, picture, piece=row.id if row is not None else None, shows="tiles and card")
        return address(f"/tile-colours/photo/{kept}", "photo", [("photo", kept, 0)])

    return once(request, form, work, hashlib.sha256(data).hexdigest())


@router.get("/tile-colours/photo/{which:int}")
def photo(request: Request, which: int) -> HTMLResponse:
    """Offer the photo with nothing placed."""
    studio = studio_of(request)
    row = album.photo_row(studio, which)
    return _show(request, row, PhotoForm.empty(_spots_of(studio, row.piece), row.width, row.height))


@router.post("/tile-colours/photo/{which:int}", response_model=None)
def read(request: Request, which: int, form: Form) -> HTMLResponse | RedirectResponse:
    """Work out the colours and show them, or keep them all."""
    studio = studio_of(request)
    row = album.photo_row(studio, which)
    told = PhotoForm.told(form)
    try:
        if form.text("do") == "keep":
            return once(request, form, lambda: _keep(studio, row, told))
        found = tile_colours.colours_in_photo(
            studio, int(row.of), told.the_card(), told.points(), told.marked(), geometry=told.geometry(),
            paper=told.paper_row(), small=True,
        )  # fmt: skip
    except EnamelwrightError as error:
        return _show(request, row, told, error=error, status=422)
    return _show(request, row, told, found)


def _keep(studio: Studio, row: Any, told: PhotoForm) -> str:
    marked = told.marked()
    rows = tile_colours.keep_photo_colours(
        studio, int(row.of), told.the_card(), told.points(), marked, geometry=told.geometry(), paper=told.paper_row()
    )
    first = piece_row(studio, next(one.piece for one in marked if one.piece))
    return address(f"/tiles/{first.number}", "colours", [("colour", one, 0) for one in rows])


def _spots_of(studio: Studio, piece: int | None) -> list[str]:
    return [
        tile_colours.tile_name(one.label or one.number, one.spot) for one in spots(studio)
        if piece is not None and one.piece == piece
    ]  # fmt: skip


def _show(
    request: Request, row: Any, told: PhotoForm, read: PhotoRead | None = None,
    error: EnamelwrightError | None = None, status: int = 200,
) -> HTMLResponse:  # fmt: skip
    studio = studio_of(request)
    found = read.colours if read is not None else None
    with studio.reading() as connection:
        piece = None if row.piece is None else named(connection, piece_table, int(row.piece), "number")
    offered = [tile_colours.tile_name(one.label or one.number, one.spot) for one in spots(studio) if one.fired]
    papers = [] if piece is None else album.photos_of_piece(studio, piece.id)
    page = show_page(
        request, "tile_photo.html", photo=row, piece=piece, told=told, cards=CARDS, lit=LIT,
        offered=offered[-MOST_OFFERED:], papers=[one for one in papers if one.of != row.of], error=error,
        found=found, tiles=_seen(found, told, _patterns(studio)) if found is not None else (),
        corrected=_data(read), side=_side(found), patches=_patch_marks(found), worst=_worst(found),
        keeps=sum(bool(one.tile) and one.placed for one in told.spots),
        corners=_marks([(str(n), *one) for n, one in enumerate(told.corners, 1)]),
        marks=_marks([(one.tile, one.x, one.y) for one in told.spots]), radius=placed(told.radius) or 2.0,
        kept=tile_colours.readings_of_photo(studio, int(row.of)), thin=max(row.width, row.height) / 400,
        drawn=Markup("/photos/{}/whole").format(row.of),
    )  # fmt: skip
    page.status_code = status
    return page


def _marks(points: list[tuple[str, str, str]]) -> list[Mark]:
    found = []
    for name, x, y in points:
        across, down = placed(x), placed(y)
        if across is not None and down is not None:
            found.append(Mark(name, across, down))
    return found


@dataclass(frozen=True)
class PatchMark:
    """One patch of the card on the corrected photo: where it is, what the card says it is, and how far off."""

    name: str
    x: float
    y: float
    screen: str
    off: str


def _data(read: PhotoRead | None) -> str:
    """Return the corrected photo as the page carries it; it is kept nowhere."""
    if read is None or read.corrected is None:
        return ""
    return f"data:image/jpeg;base64,{base64.b64encode(read.corrected).decode()}"


def _patch_marks(found: PhotoColours | None) -> list[PatchMark]:
    marks = []
    for one in found.patches if found is not None else ():
        if one.place is not None:
            day = ColourRead(one.lab, LIGHT, OBSERVER, "sphere without gloss").in_daylight()
            off = "not used" if one.off is None else f"{one.off:.1f}"
            marks.append(PatchMark(one.name, *one.place, screen_colour(day)[0], off))
    return marks


def _side(found: PhotoColours | None) -> float:
    """Return half the side of the square drawn in a patch: a share of the way to the next [pixels]."""
    places = [one.place for one in (found.patches if found is not None else ()) if one.place is not None]
    steps = [math.dist(one, other) for one, other in pairwise(places)]
    return min(steps, default=0.0) * MARKED


def _worst(found: PhotoColours | None) -> PatchRead | None:
    """Return the patch that the others foretell worst."""
    used = [one for one in (found.patches if found is not None else ()) if one.off is not None]
    return max(used, key=lambda one: one.off or 0.0, default=None)


def _patterns(studio: Studio) -> dict[str, Pattern]:
    """Return how the uppermost glass of each spot is hatched, by name of the spot."""
    kinds = {jar.code: jar.kind for jar in jars(studio, everything=True)}
    found = {}
    for one in spots(studio):
        codes = [coat.get("jar") for coat in one.coats or [] if isinstance(coat, Mapping)]
        name = tile_colours.tile_name(one.label or one.number, one.spot)
        found[name] = pattern_of(kinds.get(codes[-1]) if codes else None)
    return found


def _seen(found: PhotoColours, told: PhotoForm, patterns: Mapping[str, Pattern]) -> tuple[TileSeen, ...]:
    seen, tiles = [], {one.tile for one in told.spots if one.tile}
    for n, one in enumerate(found.tiles):
        if one.lab is None:
            seen.append(TileSeen(one.name, None, "", "", one.words, ""))
            continue
        # whether a point that is no tile shines nobody knows: its colour is taken as it is
        read = ColourRead(one.lab, LIGHT, OBSERVER, told.geometry() if one.name in tiles else "sphere without gloss")
        day = read.in_daylight()
        aim = (
            match_address(day, VIEWS[0] if read.mirrors or one.name not in tiles else VIEWS[1])
            if found.absolute
            else ""
        )
        shown = patch(day, patterns.get(one.name, "opaque") if one.name in tiles else None, one.name, f"seen-{n}")
        seen.append(TileSeen(one.name, shown, lab_words(one.lab), f"{one.error:.1f}", one.words, aim, bool(read.gloss)))
    return tuple(seen)
