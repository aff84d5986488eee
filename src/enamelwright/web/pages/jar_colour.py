"""The colour of one jar: what it rests on, a fit to the maker's own tiles, and the tile that would help most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_read import ColourRead
from enamelwright.craft.colour.correction import moved
from enamelwright.craft.colour.eyes import difference_words
from enamelwright.craft.colour.fired_tile import FiredTile
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.colour.photo_colours import LIGHT, OBSERVER
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.colour_tiles import alike_key
from enamelwright.learning.jar_optics import JarFit, TileFit
from enamelwright.learning.next_colour_tile import next_tiles
from enamelwright.pictures.lights import pattern_of
from enamelwright.web.colour_view import Patch, patch
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import jars as shelf
from enamelwright.workshop import tile_colours
from enamelwright.workshop.own_colours import OwnColours, own_colours

router = APIRouter(include_in_schema=False)

#: Other jars that may be fitted together with it.
MOST_TOGETHER = 11


@dataclass(frozen=True)
class TileLine:
    """One tile of the jar, with what is known of it.

    Parameters
    ----------
    name, number : str
        The tile; its number for the address.
    stack : str
        What lies on what.
    patch : Patch
        As read, in daylight.
    foretold : str
        How far it is from what is foretold of it now.
    fitted : str
        How far from the fit; empty without one.
    unseen : str
        How far from what the other tiles say of it; empty without a fit.
    coat : str
        What the fit makes of its thickness.
    """

    name: str
    number: str
    stack: str
    patch: Patch
    foretold: str
    fitted: str = ""
    unseen: str = ""
    coat: str = ""


@router.get("/jars/{row:int}/colour")
def colour(request: Request, row: int) -> HTMLResponse:
    """Show what the colour rests on; with ``fit`` in the address, what a fit to the tiles would make of it."""
    return _show(request, row)


@router.post("/jars/{row:int}/colour", response_model=None)
def keep(request: Request, row: int, form: Form) -> HTMLResponse | RedirectResponse:
    """Fit once more and keep it."""
    studio = studio_of(request)

    def work() -> str:
        kept = shelf.jar_row(studio, row)
        fit = tile_colours.fit_from_tiles(studio, [kept.code, *form.every("with")[:MOST_TOGETHER]])
        wrote = tile_colours.keep_fit(studio, fit, anyway=form.text("anyway") == "yes")
        return address(f"/jars/{kept.id}/colour", "fit", wrote)

    try:
        return once(request, form, work)
    except EnamelwrightError as error:
        return _show(request, row, error)


def _show(request: Request, row: int, error: EnamelwrightError | None = None) -> HTMLResponse:
    studio, known = studio_of(request), bench_of(request)
    kept = shelf.jar_row(studio, row)
    told = shelf.described(kept)
    own = tile_colours.own_tiles(studio)
    mine = [tile for tile in own.tiles if told.id in _jars(tile, known)]
    others = sorted({name for tile in mine for name in _jars(tile, known)} - {told.id})
    wanted = [one for one in request.query_params.getlist("with") if one in others][:MOST_TOGETHER]
    fit: JarFit | None = None
    if error is None and request.query_params.get("fit") and mine:
        try:
            fit = tile_colours.fit_from_tiles(studio, [told.id, *wanted])
        except EnamelwrightError as refused:
            error = refused
    fared = own_colours(studio, known)
    page = show_page(
        request, "jar_colour.html", jar=kept, basis=_basis(told), lines=_lines(mine, fared, fit, known),
        left_out=own.left_out, others=[(one, known.jar(one).name) for one in others], wanted=wanted,
        fit=fit, fits=_fits(fit), next=_next(fit, told.id), error=error, shifts=_shifts(fared, told.id, known),
        running=fared.running,
    )  # fmt: skip
    if error is not None:
        page.status_code = 422
    return page


def _basis(told: Any) -> tuple[str, bool]:
    """Say what the colour rests on, and whether that is invented."""
    try:
        optics = of_jar(told)
    except EnamelwrightError as error:
        return str(error), True
    return optics.origin, optics.invented


def _jars(tile: FiredTile, known: Bench) -> set[str]:
    return {known.jar(coat.jar).id for coat in tile.coats}


def _lines(mine: list[FiredTile], fared: OwnColours, fit: JarFit | None, known: Bench) -> list[TileLine]:
    fitted = {one.name: one for one in fit.tiles} if fit is not None else {}
    found = []
    for n, tile in enumerate(mine):
        beside = fared.beside.get(tile.name)
        foretold = ""
        if beside is not None:
            foretold = f"{beside.off:.1f} off"
            foretold += (
                f": seen {difference_words(beside.foretold, beside.seen)}" if beside.unseen else ", fitted from it"
            )
        top = tile.coats[-1]
        lab = tile.lab or (0.0, 0.0, 0.0)
        day = ColourRead(lab, LIGHT, OBSERVER, tile.taken, None, tile.reflectance).in_daylight()
        stack = f"{top.thickness * 1e3:.2f} mm of {known.jar(top.jar).id} over {tile.base_words()}".replace("_", " ")
        shown = patch(day, pattern_of(known.jar(top.jar).kind), tile.name, f"tile-{n}", small=True, chip=False)
        number = tile.name.partition("/")[0]
        found.append(TileLine(tile.name, number, stack, shown, foretold, *_fitted(fitted.get(tile.name))))
    return found


def _fitted(one: TileFit | None) -> tuple[str, str, str]:
    if one is None:
        return "", "", ""
    return f"{one.off:.1f}", f"{one.left_out:.1f}", f"{one.thickness - 1:+.0%}"


def _fits(fit: JarFit | None) -> list[str]:
    """Say in lines what the fit found besides colours."""
    if fit is None:
        return []
    found = []
    for share, sd in fit.finishes.values():
        end = "a mirror" if share < 1 / 3 else "satin" if share > 2 / 3 else "between a mirror and satin"
        found.append(f"the metal is {end}: {share:.2f}, give or take {sd:.2f}, where 0 is a mirror and 1 satin")
    for coupon in fit.coupons:
        metal = coupon.metal.replace("_", " ")
        found.append(f"{metal} shines {coupon.gain - 1:+.0%} beside its tables; kept as your coupon with the fit")
    for jar, curve in fit.jars.items():
        found.append(f"{jar} stands on {len(curve.tiles)} tile{'' if len(curve.tiles) == 1 else 's'}")
    return found


def _next(fit: JarFit | None, jar: str) -> list[str]:
    return [one.words() for one in next_tiles(fit, jar)] if fit is not None else []


#: A coat under the jar by how light passes it, as the page says it.
_LAID = {"transparent": "a clear coat", "opal": "a clouded coat", "opaque": "a coat that hides"}


def _shifts(fared: OwnColours, jar: str, known: Bench) -> list[str]:
    """Say by how much stacks of the jar come out otherwise, where enough tiles teach it."""
    found = []
    for key, shift in sorted(fared.shifts.items()):
        if key[0] == jar and shift.learned:
            # From the mean colour foretold of them: a blue that fades is less blue, and not yellower.
            foretold = np.mean(
                [one.foretold for one in fared.beside.values() if alike_key(one.tile, known) == key], axis=0
            )
            words = difference_words(foretold.tolist(), moved(foretold, shift.lab).tolist())
            under = f" over {' and '.join(_LAID[kind] for kind in key[2:])}" if key[2:] else ""
            found.append(f"on {key[1].replace('_', ' ')}{under}: {words} (learned from {shift.count} spots)")
    return found
