"""What the page of the next tile shows, and the tiles it makes: the next loads, the window as a map, ladders."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import Request
from starlette.responses import RedirectResponse

from enamelwright import units
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.answer import Answer
from enamelwright.questions.next_tile import UNDERCOATS, Ladder, NextTileAnswer
from enamelwright.questions.question import question
from enamelwright.web import piece_view
from enamelwright.web.posting import Filled, address, once
from enamelwright.web.viewer import degrees
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop.jars import jars
from enamelwright.workshop.next_tiles import TilesTried, called, limits, tiles_tried
from enamelwright.workshop.tile_sets import make_ladder, make_loads

#: What the page is asked with.
ASKED = ("jar", "loads", "shelf", "undercoats", "depths")
#: Longest number that is read.
_DIGITS = 6
#: How a setting stands: its class, its sign, and its word.
STANDING = {
    "good": ("good", "\u25cf", "good"),
    "perhaps": ("perhaps", "\u25d0", "perhaps"),
    "bad": ("bad", "\u00d7", "bad"),
    "not known": ("unknown", "?", "not known"),
}
#: What stands on the button of the next loads.
LOADS = "loads"
#: How the question calls a tile without an undercoat.
BARE_WORD = UNDERCOATS[0]


@dataclass(frozen=True)
class TileMap:
    """The window of a jar as a table, hottest row first: heads of columns, and rows of class, sign and word."""

    times: list[str]
    rows: list[tuple[str, list[tuple[str, str, str]]]]


def tile_map(told: NextTileAnswer) -> TileMap:
    """Return the window of an answer as a table.

    Parameters
    ----------
    told : NextTileAnswer
        The answer.
    """
    times = sorted({one.time for one in told.window})
    heats = sorted({one.temperature for one in told.window}, reverse=True)
    at = {(one.temperature, one.time): STANDING[one.standing] for one in told.window}
    return TileMap(
        [piece_view.minutes(one) for one in times],
        [(degrees(heat).partition(" · ")[0], [at[heat, time] for time in times]) for heat in heats],
    )


def ladder_words(ladder: Ladder) -> str:
    """Say the settings, places and spots of a ladder.

    Parameters
    ----------
    ladder : Ladder
        Of the answer.
    """
    kinds = {one.spots for one in ladder.made}
    tiles = []
    for one in ladder.made:
        heat = degrees(one.temperature.value).partition(" · ")[0]
        own = f", {one.spots[0].thickness.shown()} of powder" if len(kinds) > 1 else ""
        early = " (too short on purpose)" if one.too_short else ""
        tiles.append(f"{heat} for {piece_view.minutes(one.time.value)} in place {one.place}{own}{early}")
    grounds = list(dict.fromkeys(spot.undercoat for spot in ladder.made[0].spots))
    depths = list(dict.fromkeys(spot.thickness.shown() for spot in ladder.made[0].spots))
    over = "on bare metal" if grounds == [BARE_WORD] else f"over {', '.join(grounds)}"
    spots = over if len(kinds) > 1 else f"{', '.join(depths)} of powder {over}"
    return f"{'; '.join(tiles)}. Side by side on each: {spots}."


def shown(request: Request) -> dict[str, Any]:
    """Return all that the page shows.

    Parameters
    ----------
    request : Request
        With what is asked in its address.
    """
    studio, asked = studio_of(request), request.query_params
    shelf = jars(studio)
    filled = {key: asked.get(key, "").strip() for key in ASKED}
    if not filled["jar"] and shelf:
        filled["jar"] = shelf[0].code
    answer, found, trouble = None, None, ""
    if filled["jar"]:
        try:
            found, answer = _answered(request, filled)
        except EnamelwrightError as error:
            trouble = str(error)
    return {
        "jars": shelf, "filled": filled, "found": found, "answer": answer, "trouble": trouble,
        "table": tile_map(answer.payload) if answer is not None else None, "degrees": degrees,
        "minutes": piece_view.minutes, "standing": STANDING, "ladder_words": ladder_words,
        "count": tile_count(answer.payload) if answer is not None else 0,
    }  # fmt: skip


def tile_count(told: NextTileAnswer) -> int:
    """Return how many test tiles the next loads take.

    Parameters
    ----------
    told : NextTileAnswer
        The answer.
    """
    return sum(tile.what == "tile" for load in told.loads for tile in load.tiles)


def make(request: Request, form: Filled) -> RedirectResponse:
    """Make the tiles of a ladder, with its layout, or of the next loads.

    Parameters
    ----------
    request : Request
        As it came.
    form : Filled
        What the page was asked with, the metal, and which ladder.
    """
    studio = studio_of(request)
    filled = {key: form.text(key) for key in ASKED}
    which = form.text("make")

    def work() -> str:
        found, answer = _answered(request, filled)
        metal = {"metal": form.maybe("metal"), "thickness": form.maybe("thickness")}
        if which == LOADS:
            made = make_loads(studio, found.jar, answer.payload.loads, **metal)
        else:
            ladder = next((one for one in answer.payload.ladders if one.name == which), None)
            if ladder is None:
                names = ", ".join(one.name for one in answer.payload.ladders)
                raise InputError(f"'{which[:40]}' is no ladder.", f"Choose one of: {names}.")
            made = make_ladder(studio, found.jar, ladder, **metal)
        wrote = [("piece", int(row.id), 1) for row in made]
        page = (
            f"/tiles/{made[0].number}" if len(made) == 1 else "/tiles?" + urlencode({"show": "all", "jar": found.jar})
        )
        return address(page, "tiles", wrote)

    return once(request, form, work)


def _answered(request: Request, filled: dict[str, str]) -> tuple[TilesTried, Answer[NextTileAnswer]]:
    found = tiles_tried(studio_of(request), filled["jar"], **_wanted(filled))
    return found, question("next-tile").answer(found.asked, bench_of(request))


def _wanted(filled: dict[str, str]) -> dict[str, Any]:
    """Read what is wanted of the next loads; how much that may be is for the question to say."""
    wanted: dict[str, Any] = {}
    for key in ("loads", "shelf"):
        if not filled[key]:
            continue
        if not filled[key].isdecimal() or len(filled[key]) > _DIGITS:
            least, most = limits(key)
            raise InputError(f"'{filled[key][:20]}' is no number of {called(key)}.", f"Write {least} to {most}.")
        wanted[key] = int(filled[key])
    if filled["undercoats"]:
        wanted["undercoats"] = tuple(one.strip() for one in filled["undercoats"].split(",") if one.strip())
    if filled["depths"]:
        wanted["thicknesses"] = tuple(units.parse(one, "length") for one in filled["depths"].split(",") if one.strip())
    return wanted
