"""Match a colour: a colour aimed at becomes stacks of the jars on the shelf, the nearest first."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.datastructures import QueryParams
from starlette.responses import HTMLResponse

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import layings
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.eyes import difference_words
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.colour.jar_space import KINDS, jars_to_hand
from enamelwright.craft.colour.light import LIGHT_WORDS
from enamelwright.craft.colour.look import VIEWS, View
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.pictures.lights import pattern_of
from enamelwright.questions.match import MatchedStack
from enamelwright.web.colour_view import Patch, depth_words, lab_words, patch
from enamelwright.web.pages.pieces import metals
from enamelwright.web.render import show
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import colours
from enamelwright.workshop.colours import Lab, SeenTile
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.own_colours import own_colours
from enamelwright.workshop.tile_colours import own_tiles

router = APIRouter(include_in_schema=False)

#: Metals searched at once: more take long and say little.
MOST_METALS = 2
SURFACES = ("unknown", "polished", "satin", "textured")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class StackView:
    """One stack on the page.

    Parameters
    ----------
    found : MatchedStack
        As answered.
    patch : Patch
        As it is meant to come out.
    metal : str
        Its name.
    coats : tuple of (str, str, str)
        Code, name and thickness, from the metal outward.
    lights : str
        The score under each light, in words.
    """

    found: MatchedStack
    patch: Patch
    metal: str
    coats: tuple[tuple[str, str, str], ...]
    lights: str


@dataclass(frozen=True)
class TileChoice:
    """A tile with a measured colour that may be aimed at, and how a stack is to be held beside it."""

    code: str
    words: str
    lab: tuple[float, float, float]
    view: View


@dataclass(frozen=True)
class OwnView:
    """One of the studio's own tiles that comes near: it is fired already.

    Parameters
    ----------
    number, name : str
        The tile, for its address; the tile and the spot in words.
    patch : Patch
        As it was read.
    coats : tuple of (str, str, str)
        Code, name and thickness, from the metal outward.
    ground : str
        Metal or foil.
    away : float
        CIEDE2000 from what is aimed at.
    differs : str
        The same in words.
    """

    number: str
    name: str
    patch: Patch
    coats: tuple[tuple[str, str, str], ...]
    ground: str
    away: float
    differs: str

    @property
    def words(self) -> str:
        """Say what lies on what: ``J14 0.20 mm over J02 0.10 mm on silver foil``."""
        laid = " over ".join(f"{code or name} {thick}".strip() for code, name, thick in reversed(self.coats))
        return f"{laid} on {self.ground}"


@router.get("/match")
def match(request: Request) -> HTMLResponse:
    """Answer the colour in the address, or show the form empty."""
    asked, bench = request.query_params, bench_of(request)
    seen = colours.seen_tiles(studio_of(request), bench)
    tiles = _tiles(seen)
    trouble: EnamelwrightError | None = None
    answer: Any = None
    target: Patch | None = None
    held = ""
    stacks: list[StackView] = []
    own: list[OwnView] = []
    unfitted: list[tuple[int, str, int]] = []
    try:
        wanted = _wanted(asked, tiles, bench)
        if wanted is not None:
            answer = colours.match(wanted, bench, own_colours(studio_of(request), bench))
            told, held = answer.payload, wanted["view"]
            target = patch(told.target, None, "aimed at", "aim", screen=told.screen, on_screen=told.on_screen)
            stacks = [_stack(one, bench, n) for n, one in enumerate(told.stacks)]
            near = colours.fired_like(told.target, seen, held)
            own = [_own(tile, away, told.target, bench, n) for n, (tile, away) in enumerate(near)]
            unfitted = _unfitted(request, told.stacks, bench)
    except EnamelwrightError as error:
        trouble = error
    return show(
        request, "match.html", status=200 if trouble is None else 422, asked=asked, tiles=tiles,
        metals=[(one, name) for one, name in metals() if one in _metals_known()], chosen=_metals(asked),
        jars=_jars(bench), picked=asked.getlist("jar"), surfaces=SURFACES, answer=answer, target=target,
        views=VIEWS, held=held,
        stacks=stacks, own=own, unfitted=unfitted,
        unfitted_jars={name.split()[0] for _, name, _ in unfitted},
        within=f"{limit('match/reached'):.0f}", error=trouble,
    )  # fmt: skip


def _metals_known() -> tuple[str, ...]:
    from enamelwright.craft.colour.metal_optics import metals_known

    return metals_known()


def _metals(asked: QueryParams) -> list[str]:
    return list(dict.fromkeys(asked.getlist("metal"))) or ["copper"]


def _jars(bench: Bench) -> list[tuple[str, str]]:
    """Return the jars that may be chosen from, by code."""
    own = set(jars_to_hand(bench))
    return sorted((jar.id, jar.name) for jar in bench.jars if jar.id in own and jar.kind in KINDS)


def _tiles(seen: Sequence[SeenTile]) -> list[TileChoice]:
    found = []
    for tile in seen:
        if tile.lab is not None and tile.absolute:
            words = (
                f"{tile.label or tile.number}, spot {tile.spot}: {tile.words or lab_words(tile.lab) + ' without gloss'}"
            )
            found.append(TileChoice(tile.stack.name, words[:70], tile.lab, tile.view))
    return found


def _own(tile: SeenTile, away: float, aim: Lab, bench: Bench, number: int) -> OwnView:
    assert tile.lab is not None
    laid = [bench.jar(coat.jar) for coat in tile.stack.coats]
    name = f"{tile.label or tile.number} spot {tile.spot}"
    coats = tuple(
        (jar.id if len(jar.id) < 8 else "", jar.name, depth_words(coat.thickness))
        for jar, coat in zip(laid, tile.stack.coats, strict=True)
    )
    drawn = patch(tile.lab, pattern_of(laid[-1].kind), name, f"own-{number}")
    ground = f"{tile.stack.foil} foil" if tile.stack.foil else tile.stack.metal
    return OwnView(
        tile.number, name, drawn, coats, ground.replace("_", " "), away, difference_words(aim, tile.lab)
    )  # fmt: skip


def _unfitted(request: Request, stacks: Sequence[MatchedStack], bench: Bench) -> list[tuple[int, str, int]]:
    """Return jars of these stacks whose tiles are read and not fitted: row, name, and how many spots there are."""
    studio = studio_of(request)
    used = dict.fromkeys(coat.jar for one in stacks for coat in one.stack.coats)
    tops = [bench.jar(tile.coats[-1].jar).id for tile in own_tiles(studio).tiles]
    found = []
    for jar in used:
        count = tops.count(jar)
        if count and of_jar(bench.jar(jar)).invented:
            found.append((int(jar_row(studio, jar).id), f"{jar} {bench.jar(jar).name}", count))
    return found


def _wanted(asked: QueryParams, tiles: list[TileChoice], bench: Bench) -> dict[str, Any] | None:
    """Return the question as it is asked; None when nothing is aimed at yet."""
    typed = [asked.get(axis, "").strip() for axis in ("l", "a", "b")]
    screen, tile, whole = (asked.get(key, "").strip() for key in ("screen", "tile", "lab"))
    given = [bool(any(typed)), bool(screen), bool(tile), bool(whole)]
    if not any(given):
        return None
    if sum(given) > 1:
        raise InputError("more than one colour is aimed at.", "Fill in one of the ways and leave the others empty.")
    view = next((one for one in VIEWS if one == asked.get("view")), None)
    metal = _metals(asked)
    if len(metal) > MOST_METALS:
        raise InputError(f"{len(metal)} metals are many at once.", f"Choose {MOST_METALS} at the most.", "metal")
    wanted: dict[str, Any] = {
        "metals": metal, "coats": _coats(asked), "surface": asked.get("surface", "unknown"),
        "choose_from": list(dict.fromkeys(asked.getlist("jar"))), "view": view or VIEWS[0],
    }  # fmt: skip
    if screen:
        return {**wanted, "screen": screen}
    if tile:
        found = next((one for one in tiles if one.code == tile), None)
        if found is None:
            raise InputError("no colour was read from this tile.", "Choose another, or type its colour.", "tile")
        return {**wanted, "lab": list(found.lab), "view": view or found.view}
    numbers = _NUMBER.findall(whole) if whole else [_one(text, axis) for text, axis in zip(typed, "Lab", strict=True)]
    if len(numbers) != 3:
        raise InputError("a colour has three numbers.", "Write L*, a* and b*, such as 38, -2, -36.", "lab")
    return {**wanted, "lab": [float(str(number).replace(",", ".")) for number in numbers]}


def _one(text: str, axis: str) -> str:
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise InputError(f"{axis}* is no number.", "Write all three, such as 38, -2 and -36.", axis)
    return found.group()


def _coats(asked: QueryParams) -> int:
    text = asked.get("coats", "3")
    return int(text) if text in {"1", "2", "3"} else 3


def _laid(thickness: float) -> str:
    """Write a thickness, and in how many layings it is laid."""
    times = layings([thickness])
    return depth_words(thickness) + (f" in {times} layings" if times > 1 else "")


def _stack(one: MatchedStack, bench: Bench, number: int) -> StackView:
    top = bench.jar(one.stack.coats[-1].jar)
    drawn = patch(
        one.lab, pattern_of(top.kind), f"stack {number + 1}", f"stack-{number}", screen=one.screen,
        on_screen=one.on_screen,
    )  # fmt: skip
    coats = tuple(
        (coat.jar if len(coat.jar) < 8 else "", name, _laid(coat.thickness))
        for coat, name in zip(one.stack.coats, one.names, strict=True)
    )
    names = dict(metals())
    lights = ", ".join(f"{LIGHT_WORDS[light]} {far:.0f}" for light, far in one.by_light.items())
    return StackView(one, drawn, names.get(one.stack.metal, one.stack.metal), coats, lights)
