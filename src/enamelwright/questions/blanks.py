"""How are blanks laid on sheets and remnants, what is left, and what is scrap?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length, Name, Thickness
from enamelwright.craft.metal import metal
from enamelwright.craft.outline_opening import Hole as CutOut
from enamelwright.craft.outline_ring import Ring, area
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Hole, Outline
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.planning.blanks import cutting
from enamelwright.planning.blanks.sheets import Sheet, boxes_length
from enamelwright.planning.nesting import grid
from enamelwright.planning.nesting.outlines import blank_factor, blank_of, centred, shape_from
from enamelwright.planning.nesting.part import Part, Turning
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Progress, Question, engine
from enamelwright.reference.loader import facts_of

#: Most kinds of blanks, blanks, sheets; longest search of one sheet [s].
MOST_KINDS, MOST_BLANKS, MOST_SHEETS, LONGEST = 60, 400, 60, 60


class Blank(Described):
    """A kind of blank and how many."""

    name: Name
    outline: Outline
    holes: Annotated[tuple[Hole, ...], Field(max_length=40)] = ()
    openings: Annotated[tuple[tuple[tuple[Length, Length], ...], ...], Field(max_length=60)] = Field(
        (), description="openings of any outline"
    )
    count: Annotated[int, Field(ge=1)] = 1
    dome: Length = Field(0.0, description="rise of the finished piece; its flat blank is larger than its outline")


class Stock(Described):
    """A sheet, or a remnant kept as an outline."""

    label: Name
    width: Annotated[Length, Field(gt=0, le=3)] | None = Field(None, description="along the rolling direction")
    height: Annotated[Length, Field(gt=0, le=3)] | None = None
    outline: Annotated[tuple[tuple[Length, Length], ...], Field(max_length=5000)] = Field(
        (), description="corners of a remnant, instead of width and height"
    )
    windows: Annotated[tuple[tuple[tuple[Length, Length], ...], ...], Field(max_length=60)] = Field(
        (), description="openings in a remnant"
    )
    remnant: bool = False
    count: Annotated[int, Field(ge=1, le=MOST_SHEETS)] = 1


class BlanksInput(Described):
    """What is cut from what."""

    blanks: Annotated[tuple[Blank, ...], Field(min_length=1, max_length=MOST_KINDS)]
    sheets: Annotated[tuple[Stock, ...], Field(max_length=MOST_SHEETS)]
    metal: Annotated[str, Field(max_length=60)] = "copper"
    thickness: Annotated[Thickness, Field(gt=0.00005, le=0.012)]
    cut: Literal["saw", "shears", "other"] = "saw"
    kerf: Annotated[Length, Field(ge=0, le=0.02)] | None = Field(None, description="lost between two blanks")
    edge: Annotated[Length, Field(ge=0, le=0.05)] | None = Field(None, description="kept from the edge of a sheet")
    least_remnant: Annotated[Length, Field(gt=0, le=1)] | None = Field(None, description="narrower is scrap")
    turning: Turning = Field("free", description="'along' where the rolling direction or a brushed ground matters")
    closely: bool = Field(False, description="search finer, which takes longer")
    seconds: Annotated[int, Field(ge=0, le=LONGEST)] = Field(
        0, description="look for a closer layout on each whole sheet for so long"
    )


class Lying(BaseModel):
    """Where one blank lies: its middle [m] in the sheet's measures, turned anticlockwise [degrees]."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    x: float
    y: float
    turn: float


class Region(BaseModel):
    """A piece of metal as an outline with its openings [m]."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    edge: Ring
    windows: tuple[Ring, ...] = ()
    area: float


class SheetOut(BaseModel):
    """One sheet that is cut."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    label: str
    sheet: Region
    blanks: tuple[Lying, ...]
    kept: tuple[Region, ...]
    used: float
    scrap: Figure
    words: str


class BlanksAnswer(BaseModel):
    """Every sheet that is cut, and what found no place."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    sheets: tuple[SheetOut, ...]
    kerf: Figure
    blanks_mass: Figure
    scrap: Figure
    saved: float | None
    left: tuple[str, ...]
    too_large: tuple[str, ...]
    grown: tuple[str, ...]


def answer(asked: BlanksInput, bench: Bench, progress: Progress | None = None) -> Answer[BlanksAnswer]:
    """Lay blanks on sheets.

    Parameters
    ----------
    asked : BlanksInput
        Blanks, sheets, kerf and grain.
    bench : Bench
        Not used; sheets come with the question.
    progress : callable, optional
        Told how far it is; answers whether to go on.

    Raises
    ------
    InputError
        For an outline that crosses itself, a sheet without a size, or names used twice.
    """
    if sum(blank.count for blank in asked.blanks) > MOST_BLANKS:
        raise InputError(f"more than {MOST_BLANKS} blanks are not laid out at once.", "Ask for some of them first.")
    if len({blank.name for blank in asked.blanks}) < len(asked.blanks):
        raise InputError("two kinds of blanks share a name.", "Give each its own.", "blanks")
    if not asked.sheets:
        raise InputError("there is no sheet to cut from.", "Tell at least one, or put metal in stock.", "sheets")
    assumptions: list[str] = []
    kerf = _usual(asked, "kerf", "shear_kerf" if asked.cut == "shears" else "saw_kerf", assumptions)
    edge = _usual(asked, "edge", "blank_edge", assumptions).value
    least = _usual(asked, "least_remnant", "least_remnant", assumptions).value
    shapes = {blank.name: flat(blank) for blank in asked.blanks}
    grown = tuple(
        f"{blank.name}: its flat blank is {blank_factor(shape_from(blank.outline), blank.dome) - 1:.1%} larger across"
        for blank in asked.blanks if blank.dome
    )  # fmt: skip
    parts = [Part(blank.name, shapes[blank.name], blank.count, asked.turning) for blank in asked.blanks]
    sheets = [one for stock in asked.sheets for one in _sheets(stock)]
    done = cutting.cut(
        parts, sheets, kerf.value, edge, least, squares=grid.THOROUGH if asked.closely else grid.QUICK,
        seconds=asked.seconds, progress=progress,
    )  # fmt: skip
    stuff = metal(asked.metal)
    weigh = asked.thickness * stuff.density.value
    origin = Origin(kind="computed", source=f"area, thickness and density of {stuff.name}")
    out = tuple(_sheet(cut, weigh, origin) for cut in done.cuts)
    mass = sum(shapes[one.part.name].area for cut in done.cuts for one in cut.placed) * weigh
    left = tuple(f"{count} of {part.name}" for part, count in done.left)
    large = tuple(f"{name} is larger than every sheet" for name in done.never)
    because = [sheet.words for sheet in out]
    saved = _saved(done, shapes, sheets, kerf.value, edge)
    if saved is not None and saved > 0:
        because.append(f"{saved:.0%} less sheet than a box round each blank would take")
    because += [*grown, *large, *(f"no place was found for {one}; that is no proof that there is none" for one in left)]
    if asked.cut == "shears":
        assumptions.append("shears cut straight lines only: rough them out first, and file to the line")
    assumptions.append("domed pieces keep the thickness of their sheet" if grown else "blanks are flat")
    return Answer[BlanksAnswer](
        question="blanks",
        payload=BlanksAnswer(
            sheets=out, kerf=kerf, blanks_mass=_exact(mass, "mass", origin),
            scrap=_exact(sum(one.scrap.value for one in out), "mass", origin), saved=saved, left=left, too_large=large,
            grown=grown,
        ),
        because=tuple(because), sources=("trade/laying_out",), assumptions=tuple(assumptions),
        cautions=("Cut edges and slivers of sheet are sharp: file them before you hold them.",), engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


def flat(blank: Blank) -> Shape:
    """Return the flat outline that is cut for a blank, about its middle."""
    shape = shape_from(blank.outline, blank.holes)
    cut_out = [CutOut.cut(points, f"opening {n}") for n, points in enumerate(blank.openings, 1)]
    return centred(blank_of(shape.with_holes(*cut_out), blank.dome))


def _usual(asked: BlanksInput, name: str, key: str, assumptions: list[str]) -> Figure:
    told = getattr(asked, name)
    if told is not None:
        return Figure.exact(told, "length", Origin(kind="measured", source="as told"))
    fact = facts_of("trade/laying_out")[f"trade/{key}"]
    assumptions.append(f"{fact.figure().shown('mm')}: {fact.note} ({fact.status})")
    return fact.figure()


def _sheets(stock: Stock) -> list[Sheet]:
    labels = [stock.label] if stock.count == 1 else [f"{stock.label}, {n}" for n in range(1, stock.count + 1)]
    if stock.outline:
        Shape.polygon(stock.outline)  # refuses what crosses itself, and says where
        windows = tuple(tuple(ring) for ring in stock.windows)
        return [Sheet(label, tuple(stock.outline), stock.remnant, windows) for label in labels]
    if stock.width is None or stock.height is None:
        raise InputError(
            f"how large is the sheet '{stock.label}'?", "Give its width and height, or its outline.", "sheets"
        )
    return [
        Sheet(one.label, one.outline, stock.remnant)
        for one in (Sheet.rectangle(label, stock.width, stock.height) for label in labels)
    ]


def _sheet(cut: cutting.Cut, weigh: float, origin: Origin) -> SheetOut:
    used = 1 - cut.remains.kept / cut.sheet.area
    scrap = cut.remains.lost * weigh
    count = len(cut.placed)
    kept = len(cut.remains.remnants)
    words = (
        f"{cut.sheet.label}: {count} blank{'' if count == 1 else 's'}, {cut.remains.kept / cut.sheet.area:.0%} of it"
    )
    words += f" kept in {kept} piece{'' if kept == 1 else 's'}, {scrap * 1000:.3g} g of scrap"
    return SheetOut(
        label=cut.sheet.label,
        sheet=Region(edge=cut.sheet.outline, windows=cut.sheet.windows, area=cut.sheet.area),
        blanks=tuple(Lying(name=one.part.name, x=one.x, y=one.y, turn=one.turn) for one in cut.placed),
        kept=tuple(
            Region(edge=ring, windows=windows, area=area(ring) - sum(map(area, windows)))
            for ring, windows in cut.remains.remnants
        ),
        used=used, scrap=_exact(scrap, "mass", origin), words=words,
    )  # fmt: skip


def _saved(
    done: cutting.Cutting, shapes: dict[str, Shape], sheets: list[Sheet], kerf: float, edge: float
) -> float | None:
    """Return how much less length is used than by boxes, when all went on one rectangle."""
    if done.left or done.never or len(done.cuts) != 1:
        return None
    cut = done.cuts[0]
    room = cut.sheet.room(kerf, edge)
    if not room.is_rectangle:
        return None
    left, low, _, top = room.free.bounds
    counts: dict[str, int] = {}
    for one in cut.placed:
        counts[one.part.name] = counts.get(one.part.name, 0) + 1
    try:
        boxes = boxes_length([(shapes[name], count) for name, count in counts.items()], top - low, kerf)
    except InputError:
        return None
    reach = max(one.outline.bounds[2] for one in cut.placed) - left
    return 1 - reach / boxes if boxes > 0 else None


def _exact(value: float, dimension: str, origin: Origin) -> Figure:
    return Figure.exact(value, dimension, origin)


QUESTION = Question(
    name="blanks",
    words="How do I lay blanks on the metal I have, and what is left?",
    input=BlanksInput,
    output=BlanksAnswer,
    answer=answer,
    long=True,
    apart=lambda asked: asked.seconds > 0,
    example={
        "thickness_mm": 0.9,
        "blanks": [
            {"name": "disc", "outline": {"shape": "circle", "diameter_mm": 25}, "count": 8},
            {"name": "oval", "outline": {"shape": "ellipse", "width_mm": 30, "height_mm": 20}, "count": 4},
        ],
        "sheets": [{"label": "sheet 1", "width_mm": 150, "height_mm": 100}],
    },
)
