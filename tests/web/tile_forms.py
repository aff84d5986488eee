"""A studio with a transparent on fluxed and whited tiles, and a photo of one beside a card, for tests of colours."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
import rendered_tiles as truth
import simulated_camera as camera

from enamelwright.craft.jar import Jar
from enamelwright.workshop import loads, tiles
from enamelwright.workshop.jars import add_jar

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio

#: Jars nobody ever sold: code, name, kind, family, and what they are called where they are rendered.
JARS = (
    ("J1", "clear", "flux", "clear", "flux"), ("J4", "chalk", "opaque", "white", "white"),
    ("J7", "lake", "transparent", "blue", "blue"),
)  # fmt: skip
#: Spots of the tile: what lies under, coats with thickness [mm].
SPOTS = (
    ("bare", (("J4", 0.15), ("J7", 0.08))), ("bare", (("J4", 0.15), ("J7", 0.25))), ("bare", (("J1", 0.12), ("J7", 0.10))),
    ("bare", (("J1", 0.12), ("J7", 0.25))), ("bare", (("J1", 0.12),)),
)  # fmt: skip
METAL, LAMP = "copper", "D55"
CORNERS = [(float(x), float(y)) for x, y in camera.CORNERS]
PLACES = camera.places(len(SPOTS))


def tiled(studio: Studio) -> str:
    """Put the jars on the shelf and fire one tile of five spots; return its label."""
    for code, name, kind, family, _ in JARS:
        add_jar(studio, Jar.from_outside({"id": code, "name": name, "kind": kind, "optics": {"family": family}}))
    (tile,) = tiles.make_tiles(studio, metal=METAL)
    for n, (under, coats) in enumerate(SPOTS, 1):
        told = [{"jar": jar, "thickness_mm": mm} for jar, mm in coats]
        tiles.spot(studio, tile.id, str(n), under=under, coats=told)
    loads.fired(studio, [tile.id], seconds="120 s")
    return str(tile.label)


@lru_cache(maxsize=1)
def reflectances() -> np.ndarray:
    """What the spots reflect in a white tent, gloss and all, by the renderer of the tests."""
    glasses, sheets = truth.jars(0), truth.sheets(0)
    names = {code: real for code, *_, real in JARS}
    return np.stack(
        [
            truth.render(truth.Tile(sheets[METAL], tuple((glasses[names[jar]], mm) for jar, mm in coats), even=True))
            for _, coats in SPOTS
        ]
    )


@lru_cache(maxsize=1)
def jpeg() -> bytes:
    """The photo: card above, spots below."""
    lamp = camera.light(LAMP)
    scene = camera.scene(
        camera.raw(camera.card(), lamp), camera.raw(reflectances(), lamp), np.random.default_rng(0)
    )  # fmt: skip
    return camera.jpeg(scene, camera.screen_matrix(lamp))


def form(label: str, **more: str) -> dict[str, str]:
    """The page of the photo filled in as a person would."""
    told = {"card": "old", "lit": "tent", "radius": "16", "do": "look"}
    for n, (x, y) in enumerate(CORNERS, 1):
        told |= {f"c{n}x": str(x), f"c{n}y": str(y)}
    for n, (x, y, _) in enumerate(PLACES, 1):
        told |= {f"tile{n}": f"{label}/{n}", f"x{n}": str(x), f"y{n}": str(y)}
    return told | more
