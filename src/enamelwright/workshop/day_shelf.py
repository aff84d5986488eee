"""The next loads of a plan on their shelves: where each piece stands, drawn to scale for the page and the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, get_args

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_facts import kiln_facts
from enamelwright.craft.outline_ring import Ring
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Support
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.pictures.laid_out import LaidPiece
from enamelwright.pictures.lights import Light
from enamelwright.pictures.shelf import shelf_svg
from enamelwright.planning.nesting.outlines import centred, shape_from
from enamelwright.planning.nesting.part import Part, Placed
from enamelwright.questions.question import question
from enamelwright.questions.shelf import MOST_PIECES, ShelfInput, Spot, Standing, margin_of
from enamelwright.workshop import designs, series_work
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day_kept import Block, KeptPlan
from enamelwright.workshop.day_waits import told_of
from enamelwright.workshop.lot_tiles import new_lots
from enamelwright.workshop.studio import Studio

#: Pieces on one common mesh need no room of their own for what carries them.
COMMON = "mesh"
MM = 1000.0

Json = Mapping[str, Any]


@dataclass(frozen=True)
class LoadDrawn:
    """One load on its shelf.

    Parameters
    ----------
    block : Block
        Of the plan.
    svg : str
        The drawing; empty when no layout was found.
    size : (float, float)
        Of the shelf [mm].
    places : tuple of (str, str)
        Number on the drawing and the piece that stands there.
    words : str
        How it is laid out, or why not.
    """

    block: Block
    svg: str
    size: tuple[float, float]
    places: tuple[tuple[str, str], ...]
    words: str


def pieces_on(places: Sequence[Json], shapes: Mapping[str, Shape], margins: Mapping[str, float]) -> list[LaidPiece]:
    """Return pieces where an answer lays them, numbered in its order.

    Parameters
    ----------
    places : sequence of mapping
        `name`, `x`, `y` and `turn` of each.
    shapes : mapping of str to Shape
        Outline of each name.
    margins : mapping of str to float
        How far what carries it stands out [m].
    """
    found = []
    for number, place in enumerate(places, 1):
        shape, margin = shapes[place["name"]], margins.get(place["name"], 0.0)
        placed = Placed(Part(place["name"], shape), place["x"], place["y"], place["turn"])
        room: Ring = ()
        if margin:
            grown = Part(place["name"], shape, margin=margin).outline
            room = placed.line(tuple((float(x), float(y)) for x, y in list(grown.exterior.coords)[:-1]))
        found.append(
            LaidPiece(
                str(number), place["name"], placed.line(shape.edge),
                tuple(placed.line(hole.boundary) for hole in shape.holes), room,
            )
        )  # fmt: skip
    return found


def load_svg(
    asked: ShelfInput, payload: Json, number: int, across: float | None, light: Light, key: str = "load", name: str = ""
) -> str:
    """Draw one load of an answer of the question `shelf`.

    Parameters
    ----------
    asked : ShelfInput
        What was asked.
    payload : mapping
        The answer as JSON.
    number : int
        Of the load, from 0.
    across : float or None
        Width of the picture [mm]; None for true size.
    light : str
        Light of the picture.
    key, name : str
        Start of its ids, and what it is called.
    """
    pieces = pieces_on(
        payload["loads"][number]["pieces"], {one.name: centred(shape_from(one.outline)) for one in asked.pieces},
        {one.name: margin_of(one.support) for one in asked.pieces},
    )  # fmt: skip
    spots = [(spot.x, spot.y, spot.diameter, spot.why) for spot in asked.spots]
    return shelf_svg(
        payload["width"], payload["depth"], pieces, edge=payload["edge"]["value"], spots=spots, across=across,
        light=light, key=f"{key}-{number}", name=name or f"Load {number + 1}",
    )  # fmt: skip


def loads_drawn(
    studio: Studio, plan: KeptPlan, blocks: Sequence[Block], across: float, light: Light, mixed: int = MOST_PIECES
) -> tuple[LoadDrawn, ...]:
    """Draw loads of a plan.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan.
    blocks : sequence of Block
        Loads of it.
    across : float
        Width of a picture [mm].
    light : str
        Light of the pictures.
    mixed : int
        Loads of several kinds with more pieces than this are not laid out.
    """
    known = bench(studio)
    return tuple(_drawn(studio, known, plan, block, n, across, light, mixed) for n, block in enumerate(blocks))


@lru_cache(maxsize=64)
def _laid(asked: str, known: Bench) -> Json:
    """Lay one load out; the page asks for the same again and again."""
    payload: Json = question("shelf").answer(ShelfInput.model_validate_json(asked), known).to_json()["payload"]
    return payload


def _drawn(
    studio: Studio,
    known: Bench,
    plan: KeptPlan,
    block: Block,
    number: int,
    across: float,
    light: Light,
    mixed: int,
) -> LoadDrawn:
    try:
        asked, names = _asked(studio, known, plan, block)
        if len(names) > 1 and len(block.pieces) > mixed:
            words = "many kinds of pieces: the printed sheet of this day has the layout"
            return LoadDrawn(block, "", (0.0, 0.0), (), words)
        payload = _laid(asked.model_dump_json(), known)
    except EnamelwrightError as error:
        return LoadDrawn(block, "", (0.0, 0.0), (), str(error))
    size = payload["width"] * MM, payload["depth"] * MM
    if len(payload["loads"]) != 1 or payload["too_large"] or payload["left"]:
        words = "no layout was found for all of it at once: lay it out by hand, or take a piece out"
        return LoadDrawn(block, "", size, (), words)
    load = payload["loads"][0]
    places = tuple((str(n), names[place["name"]].pop(0)) for n, place in enumerate(load["pieces"], 1))
    title = f"Load of {block.start[11:16]}, {block.heat}"
    svg = load_svg(asked, payload, 0, across, light, key=f"next-{number}", name=title)
    return LoadDrawn(block, svg, size, places, load["words"])


def _asked(studio: Studio, known: Bench, plan: KeptPlan, block: Block) -> tuple[ShelfInput, dict[str, list[str]]]:
    """Return the question of the shelf, and the pieces of each of its kinds."""
    support = block.heat.rpartition(", ")[2]
    carried = support if support in get_args(Support) and support != COMMON else None
    kinds: dict[int, list[str]] = {}
    for name in block.pieces:
        kinds.setdefault(int(plan.about(name).get("version", 0)), []).append(name)
    tiles = {lot.version: lot for lot in new_lots(studio).values()} if min(kinds) < 0 else {}
    standing, names = [], {}
    for version, mine in kinds.items():
        if version < 0 and version not in tiles:
            raise InputError("a tile in it was tried meanwhile.", "Plan the rest again.")
        piece = tiles[version].tile() if version in tiles else told_of(designs.version_row(studio, version))
        called = piece.name if piece.name not in names else f"{piece.name} ({version})"
        names[called] = list(mine)
        standing.append(Standing(name=called, outline=piece.outline, count=len(mine), support=carried))
    spots = tuple(
        Spot(x=one["x"] / MM, y=one["y"] / MM, diameter=one["size"] / MM, why=one.get("why", "hot"))
        for one in series_work.spots_of(studio, block.kiln)
    )
    if any(kiln.name == block.kiln for kiln in known.kilns):
        return ShelfInput(kiln=block.kiln, pieces=tuple(standing), spots=spots), names
    usual = kiln_facts(Kiln(name=block.kiln))  # a plan without a kiln of the record was made for a usual one
    return ShelfInput(width=usual.width, depth=usual.depth, pieces=tuple(standing), spots=spots), names
