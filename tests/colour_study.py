"""One maker's whole path, simulated: jars, tiles, photos, fit, and stacks never seen; errors by an outside reckoning.

The truth is rendered by another model than the product's (rendered_tiles), photographed by a camera of
published sensitivities (simulated_camera), and judged by colour-science.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import rendered_tiles as truth
import simulated_camera as camera

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, TileCoat, TileStack
from enamelwright.craft.colour.photo_colours import colours_of
from enamelwright.craft.colour.tile_photo import Card, Region, TilePhoto
from enamelwright.craft.jar import Jar
from enamelwright.learning.colour_tiles import nearest
from enamelwright.learning.jar_optics import JarFit, fit_jars

Array = npt.NDArray[np.float64]
Condition = Literal["daylight and card", "LED and card", "camera JPEG and card", "grey card only"]
CONDITIONS: tuple[Condition, ...] = ("daylight and card", "LED and card", "camera JPEG and card", "grey card only")

KINDS = {
    "flux": "flux", "white": "opaque", "blue": "transparent", "turquoise": "transparent", "ruby": "transparent",
    "amber": "transparent", "orange": "opaque",
}  # fmt: skip
COLOURS = ("blue", "turquoise", "ruby", "amber", "orange")
#: Metals the maker has, and what they are called where they are rendered.
METALS = {"copper": "copper", "fine silver": "silver", "fine gold": "gold"}
#: Six tiles of a transparent: undercoat, metal, and two thicknesses [mm] of each.
ADVISED = (
    ("white", "copper", (0.08, 0.25)), ("flux", "fine silver", (0.16, 0.35)), ("flux", "copper", (0.10, 0.25)),
)  # fmt: skip
#: Scatter of a weighed thickness, and what is lost of every one of them.
WEIGHING, LOST = 0.08, 0.03
MM = 1e-3


@dataclass
class Made:
    """One tile: what the maker believes, and what it is."""

    believed: TileStack
    reflectance: Array


@dataclass
class Outcome:
    """Errors of one maker [CIEDE2000]."""

    reading: Array
    unseen: Array
    unseen_nearest: Array
    fit: JarFit
    sure: Array


def bench() -> Bench:
    """The maker's shelf."""
    jars = tuple(
        Jar.from_outside({"id": name, "name": name, "kind": kind, "synthetic": True, "hazards": {"lead": "no"}})
        for name, kind in KINDS.items()
    )
    return Bench.from_outside({"name": "invented workshop"}).with_jars(jars)


def _stack(name: str, metal: str, coats: list[tuple[str, float]]) -> TileStack:
    return TileStack(
        name=name, metal=metal, coats=tuple(TileCoat(jar=jar, thickness=mm * MM) for jar, mm in coats), taken="tent"
    )


def wanted_tiles(colours: tuple[str, ...] = COLOURS) -> list[list[TileStack]]:
    """The tiles advised, photo by photo."""
    photos = [
        [
            _stack("w1", "copper", [("white", 0.15)]), _stack("w2", "copper", [("white", 0.30)]),
            *(_stack(f"f{metal[5]}{mm}", metal, [("flux", mm)]) for metal in METALS for mm in (0.10, 0.22)),
            _stack("fw", "copper", [("white", 0.15), ("flux", 0.2)]),
        ]
    ]  # fmt: skip
    for jar in colours:
        if KINDS[jar] == "opaque":
            tiles = [_stack(f"{jar} c{mm}", "copper", [(jar, mm)]) for mm in (0.08, 0.16, 0.30)]
            tiles += [_stack(f"{jar} w", "copper", [("white", 0.15), (jar, 0.1)])]
        else:
            tiles = [
                _stack(f"{jar} {under} {metal} {mm}", metal, [(under, 0.15 if under == "white" else 0.12), (jar, mm)])
                for under, metal, depths in ADVISED
                for mm in depths
            ]
        photos.append(tiles)
    return photos


def unseen_stacks(colours: tuple[str, ...] = COLOURS) -> list[TileStack]:
    """Stacks of every colour that no tile shows."""
    found = []
    for jar in colours:
        found += [
            _stack(f"{jar} on silver thin", "fine silver", [("flux", 0.12), (jar, 0.12)]),
            _stack(f"{jar} on silver thick", "fine silver", [("flux", 0.12), (jar, 0.25)]),
            _stack(f"{jar} on gold", "fine gold", [("flux", 0.12), (jar, 0.15)]),
            _stack(f"{jar} on copper", "copper", [("flux", 0.12), (jar, 0.20)]),
            _stack(f"{jar} on white", "copper", [("white", 0.15), (jar, 0.20)]),
        ]
    return found


@dataclass
class Studio:
    """What a maker really has."""

    glasses: dict[str, truth.Glass]
    sheets: dict[str, truth.Sheet]


def rendered(stack: TileStack, studio: Studio, satin: float, thick: list[float]) -> Array:
    """Reflectance of a stack with other thicknesses than told."""
    coats = tuple(
        (studio.glasses[coat.jar], coat.thickness / MM * factor)
        for coat, factor in zip(stack.coats, thick, strict=True)
    )
    return truth.render(truth.Tile(studio.sheets[METALS[stack.metal]], coats, satin=satin))


def _regions(values: Array) -> tuple[Region, ...]:
    return tuple(Region(seen=tuple(float(x) for x in np.clip(row, 0, 1))) for row in values)


def photograph(tiles: list[Array], condition: Condition, rng: np.random.Generator) -> TilePhoto:
    """Readings of one photo by its mean values: light, noise, uneven light and stray light, without the picture."""
    lamp = camera.light("LED-B3") if condition == "LED and card" else camera.light("D55")
    patches, seen = camera.raw(camera.card(), lamp), camera.raw(np.stack(tiles), lamp)
    both = np.concatenate([patches, seen])
    lit = 1 + 0.01 * rng.normal(size=(len(both), 1)) / 2
    both = both * lit + 0.004 * rng.uniform(0.5, 1.5) * 0.4
    both = both * (1 + 0.003 * rng.normal(size=both.shape)) + 0.0002 * rng.normal(size=both.shape)
    coding: Literal["screen", "linear"] = "linear"
    if condition == "camera JPEG and card":
        both, coding = camera.developed(both, camera.screen_matrix(lamp)), "screen"
        both = np.round(both * 255 * 4) / 4 / 255
    card = Card(edition="before November 2014")
    first = both[:24]
    if condition == "grey card only":
        card, first = Card(kind="grey", reflectance=0.19), both[21:22]
    return TilePhoto(card=card, patches=_regions(first), tiles=_regions(both[24:]), coding=coding, geometry="tent")


def maker(seed: int, condition: Condition = "daylight and card", colours: tuple[str, ...] = COLOURS) -> Outcome:
    """Go the whole path once."""
    rng = np.random.default_rng(seed)
    studio = Studio(truth.jars(seed), truth.sheets(seed))
    satin = float(rng.uniform(0.3, 0.8))
    shelf = bench()
    fired: list[FiredTile] = []
    reading = []
    for number, photo in enumerate(wanted_tiles(colours)):
        shown = []
        for stack in photo:
            scatter = [float(np.exp(rng.normal(0, WEIGHING))) * (1 - LOST) for _ in stack.coats]
            shown.append(rendered(stack, studio, float(np.clip(satin + rng.normal(0, 0.05), 0, 1)), scatter))
        found = colours_of(photograph(shown, condition, rng))
        for stack, one, real in zip(photo, found.tiles, camera.lab(np.stack(shown)), strict=True):
            assert one.lab is not None
            reading.append(float(camera.apart(np.array(one.lab), real)))
            fired.append(
                FiredTile(
                    **stack.model_dump(), lab=tuple(np.clip(one.lab, (0, -150, -150), (110, 150, 150))),
                    error=one.error, photo=f"photo {number}",
                )
            )  # fmt: skip
    fit = fit_jars(fired, shelf, ["flux", "white", *colours])
    stacks = unseen_stacks(colours)
    real = camera.lab(np.stack([rendered(stack, studio, satin, [1.0] * len(stack.coats)) for stack in stacks]))
    lab, sure = fit.foretell(stacks)
    alone = np.array([nearest(stack, fired, shelf)[0].tile.lab for stack in stacks])
    return Outcome(np.array(reading), camera.apart(lab, real), camera.apart(alone, real), fit, sure)
