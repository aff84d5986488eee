"""What fits on the kiln's shelf at once, and where does each piece stand?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length, Name
from enamelwright.craft.kiln_facts import kiln_facts
from enamelwright.craft.piece import Outline, Support
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.planning.nesting import grid
from enamelwright.planning.nesting.outlines import centred, shape_from
from enamelwright.planning.nesting.part import Part
from enamelwright.planning.shelf import discs
from enamelwright.planning.shelf.discs import Shelf
from enamelwright.planning.shelf.load import Filled, fill
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import facts_of, rows

#: Most kinds of pieces, most pieces, most spots.
MOST_KINDS, MOST_PIECES, MOST_SPOTS = 60, 400, 12


class Standing(Described):
    """A kind of piece and how many of it."""

    name: Name
    outline: Outline
    count: Annotated[int, Field(ge=1)] = 1
    support: Support | None = Field(None, description="its own support; left out, all stand on one common mesh")


class Spot(Described):
    """A place of the shelf that is kept free, such as one the record shows to be hot."""

    x: Length = Field(description="of its middle, from the left edge")
    y: Length = Field(description="of its middle, from the front edge")
    diameter: Annotated[Length, Field(gt=0, le=1)]
    why: Annotated[str, Field(max_length=60)] = "hot"


class ShelfInput(Described):
    """The shelf, what has to go on it, and what is kept free."""

    width: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="of the shelf, left to right")
    depth: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="of the shelf, front to back")
    kiln: Annotated[str, Field(max_length=60)] = Field("", description="whose shelf; instead of its size")
    gap: Annotated[Length, Field(ge=0, le=0.2)] | None = Field(None, description="between two pieces")
    edge: Annotated[Length, Field(ge=0, le=0.2)] | None = Field(None, description="kept bare along the edges")
    hand: Annotated[Length, Field(ge=0, le=0.02)] | None = Field(None, description="how far off a piece is set down")
    pieces: Annotated[tuple[Standing, ...], Field(min_length=1, max_length=MOST_KINDS)]
    spots: Annotated[tuple[Spot, ...], Field(max_length=MOST_SPOTS)] = ()
    closely: bool = Field(False, description="search finer, which takes longer")


class Place(BaseModel):
    """Where one piece stands: its middle [m] from the left front corner, turned anticlockwise [degrees]."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    x: float
    y: float
    turn: float


class LoadOut(BaseModel):
    """One load."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    pieces: tuple[Place, ...]
    how: Literal["even", "grid", "rows", "table", "outlines"]
    template: bool
    spare: float | None
    words: str


class ShelfAnswer(BaseModel):
    """The loads, and what fits nowhere."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    width: float
    depth: float
    gap: Figure
    edge: Figure
    loads: tuple[LoadOut, ...]
    most: int | None
    by_area: int | None
    too_large: tuple[str, ...]
    left: tuple[str, ...]


_HOW = {
    "even": "evenly about the middle",
    "grid": "plain rows and columns",
    "rows": "staggered rows",
    "table": "the closest packing known, which needs a template under the pieces",
    "outlines": "laid by true outlines",
}


def answer(asked: ShelfInput, bench: Bench) -> Answer[ShelfAnswer]:
    """Lay out loads.

    Parameters
    ----------
    asked : ShelfInput
        Shelf and pieces.
    bench : Bench
        Its kilns, when the shelf of one is asked for.

    Raises
    ------
    InputError
        For a shelf without a size, an outline that crosses itself, or too many pieces.
    """
    if sum(piece.count for piece in asked.pieces) > MOST_PIECES:
        raise InputError(f"more than {MOST_PIECES} pieces are not laid out at once.", "Ask for some of them first.")
    if len({piece.name for piece in asked.pieces}) < len(asked.pieces):
        raise InputError("two kinds of pieces share a name.", "Give each its own.", "pieces")
    because: list[str] = []
    assumptions: list[str] = []
    wide, deep = _size(asked, bench, assumptions)
    gap, edge, hand = (_usual(asked, name, assumptions) for name in ("gap", "edge", "hand"))
    shelf = Shelf(wide, deep, gap.value, edge.value)
    parts = [
        Part(piece.name, centred(shape_from(piece.outline)), piece.count, "free", margin_of(piece.support))
        for piece in asked.pieces
    ]
    spots = [(spot.x, spot.y, spot.diameter) for spot in asked.spots]
    done = fill(parts, shelf, spots, hand.value, squares=grid.THOROUGH if asked.closely else grid.QUICK)
    most = by_area = None
    if len(parts) == 1 and parts[0].shape.kind == "circle":
        across = parts[0].shape.chord + 2 * parts[0].margin
        most = discs.capacity(shelf, across) if not spots else None
        inside = shelf.inside
        by_area = max(int((inside[0] + gap.value) * (inside[1] + gap.value) // ((across + gap.value) ** 2)), 0)
        if most is not None:
            because.append(_counted(shelf, across, most))
            if by_area > most:
                because.append(f"area alone would say {by_area}; round pieces leave room that nothing fits into")
    loads = tuple(_load(load) for load in done.loads)
    because += [f"load {n}: {load.words}" for n, load in enumerate(loads, 1)]
    large = tuple(
        f"{name} is {over * 1000:.1f} mm larger than the shelf within its bare edges" for name, over in done.never
    )
    left = tuple(f"{count} of {part.name}" for part, count in done.left)
    because += [*large, *(f"no place was found for {one}; that is no proof that there is none" for one in left)]
    if not asked.spots:
        assumptions.append("the whole shelf is alike; mark the spots your own record shows to be hot or cold")
    return Answer[ShelfAnswer](
        question="shelf",
        payload=ShelfAnswer(
            width=wide, depth=deep, gap=gap, edge=edge, loads=loads, most=most, by_area=by_area, too_large=large,
            left=left,
        ),
        because=tuple(because), sources=("trade/packing [packomania]", "trade/laying_out"),
        assumptions=tuple(assumptions),
        cautions=("Pieces that touch while hot fuse together: keep the clearance, and look before closing the door.",),
        engine=engine(), bench=bench.revision,
    )  # fmt: skip


def _size(asked: ShelfInput, bench: Bench, assumptions: list[str]) -> tuple[float, float]:
    if asked.width is not None and asked.depth is not None:
        return asked.width, asked.depth
    kiln = bench.kiln(asked.kiln)
    if kiln is None:
        raise InputError("how large is the shelf?", "Give width_mm and depth_mm, or name a kiln of the bench.", "width")
    if kiln.shelf_width is not None and kiln.shelf_depth is not None:
        return kiln.shelf_width, kiln.shelf_depth
    facts = kiln_facts(kiln)
    assumptions.append(f"the shelf of {kiln.name} is as large as its inside; measure it")
    return facts.width, facts.depth


def _usual(asked: ShelfInput, name: str, assumptions: list[str]) -> Figure:
    told = getattr(asked, name)
    if told is not None:
        return Figure.exact(told, "length", Origin(kind="measured", source="as told"))
    key = {"gap": "shelf_gap", "edge": "shelf_edge", "hand": "hand_off"}[name]
    fact = facts_of("trade/laying_out")[f"trade/{key}"]
    assumptions.append(f"{fact.figure().shown('mm')} {fact.note.partition(';')[0]} ({fact.status})")
    return fact.figure()


def margin_of(support: Support | None) -> float:
    """Return how far what carries a piece stands out all round [m]; 0 on a common mesh."""
    if support is None:
        return 0.0
    sizes = {row["support"]: float(row["margin_mm"]) / 1000 for row in rows("heat/support_sizes")}
    return sizes.get(support, 0.0)


def _counted(shelf: Shelf, across: float, most: int) -> str:
    plain, rows_ = discs.grid_count(shelf, across), len(discs.rows_middles(shelf, across))
    table = discs.table_count(shelf, across)
    known = f", {table} as the closest packing {'there is' if discs.is_proven(table) else 'known'}" if table else ""
    return f"{most} fit: {plain} in rows and columns, {rows_} in staggered rows{known}"


def _load(load: Filled) -> LoadOut:
    pieces = tuple(Place(name=one.part.name, x=one.x, y=one.y, turn=one.turn) for one in load.layout.placed)
    spare = load.spare if load.spare < 1 else None
    words = f"{len(pieces)} piece{'' if len(pieces) == 1 else 's'}, {_HOW[load.how]}"
    if spare is not None:
        words += f", {max(spare, 0.0) * 1000:.1f} mm to spare beyond the clearance"
    if load.template:
        words += "; closer than hands place without a template, so print the placing sheet"
    return LoadOut(pieces=pieces, how=load.how, template=load.template, spare=spare, words=words)


QUESTION = Question(
    name="shelf",
    words="What fits on the shelf at once, and where does each piece stand?",
    input=ShelfInput,
    output=ShelfAnswer,
    answer=answer,
    example={
        "width_mm": 180,
        "depth_mm": 180,
        "pieces": [{"name": "disc", "outline": {"shape": "circle", "diameter_mm": 25}, "count": 24}],
    },
)
