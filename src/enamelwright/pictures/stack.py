"""The edge of a piece as bands in metres: what lies where after a given firing, before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat, Face
from enamelwright.craft.coats_laid import thickness_after as thickness_after
from enamelwright.craft.jar import Jar
from enamelwright.craft.piece import CELLED, OPEN_BACKED, Piece
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError

#: Metal drawn for a form whose sheet thickness is not given [m]; said in words on the picture.
UNKNOWN_METAL = 0.001
#: Cells drawn when a piece has wires or recesses and no named cells; a sketch, said in words.
SKETCHED_CELLS = 3
#: Share of the width a land of metal takes between two recesses in the sketch.
LAND = 0.035


@dataclass(frozen=True)
class Column:
    """A stretch of the section with one order of coats.

    Parameters
    ----------
    left, right : float
        Ends as shares of the width, 0..1.
    cell : str
        The named cell; empty outside cells.
    pit : bool
        Whether the metal is cut away here.
    middle : float
        Smallest share of a partial coat that still covers this stretch; 0 for the very middle.
    """

    left: float
    right: float
    cell: str = ""
    pit: bool = False
    middle: float = 0.0


@dataclass(frozen=True)
class Band:
    """One stretch of one coat, or of metal.

    Parameters
    ----------
    coat : int
        Number of the coat; -1 for metal.
    left, right : float
        Ends as shares of the width, 0..1.
    low, high : float
        Heights from the metal's back [m].
    """

    coat: int
    left: float
    right: float
    low: float
    high: float


@dataclass(frozen=True)
class Wire:
    """A wire on edge.

    Parameters
    ----------
    at : float
        Place as a share of the width, 0..1.
    low, high : float
        Heights from the metal's back [m].
    thickness : float
        Of the wire [m].
    """

    at: float
    low: float
    high: float
    thickness: float


@dataclass(frozen=True)
class CoatLook:
    """How a coat is named and shown.

    Parameters
    ----------
    number : int
        Number in the file, from 0.
    face : str
        Face it lies on.
    place : int
        Position on its face from the metal outward, from 1.
    name : str
        Name of its jar.
    jar : Jar or None
        The jar, when anyone knows it.
    thickness : float
        Fired glass so far [m].
    """

    number: int
    face: Face
    place: int
    name: str
    jar: Jar | None
    thickness: float

    @property
    def key(self) -> str:
        """Short name on the drawing: ``F2`` is the second coat of the front, from the metal outward."""
        return f"{self.face[0].upper()}{self.place}"


@dataclass(frozen=True)
class Stack:
    """Everything the section shows; heights are from the metal's back [m].

    Parameters
    ----------
    coats : tuple of CoatLook
        Coats on the piece, in file order.
    metal, bands : tuple of Band
        Stretches of metal and of glass.
    wires : tuple of Wire
        Wires that stand already.
    thickness : float
        Sheet thickness [m].
    known_thickness : bool
        Whether the piece file gives it.
    dome : float
        Rise by shape [m]; positive when the front is convex.
    bow : float or None
        Rise by stress [m]; None where it is not worked out.
    sketched : bool
        Whether cells are drawn as a sketch.
    """

    coats: tuple[CoatLook, ...]
    metal: tuple[Band, ...]
    bands: tuple[Band, ...]
    wires: tuple[Wire, ...]
    thickness: float
    known_thickness: bool
    dome: float
    bow: float | None
    sketched: bool

    @property
    def low(self) -> float:
        """Lowest height [m]."""
        return min(0.0, min((band.low for band in self.bands), default=0.0))

    @property
    def high(self) -> float:
        """Greatest height [m]."""
        tops = [band.high for band in self.bands] + [wire.high for wire in self.wires] + [self.thickness]
        return max(tops)


def jar_named(piece: Piece, name: str, bench: Bench | None) -> Jar | None:
    """Find a jar in the piece file, then on the bench; None when nobody knows it."""
    folded = name.strip().casefold()
    for jar in piece.jars:
        if folded in (jar.id.casefold(), jar.name.casefold()):
            return jar
    try:
        return (bench or Bench.starter()).jar(name)
    except EnamelwrightError:
        return None


def looks(plan: Plan, firing: int | None = None, bench: Bench | None = None) -> tuple[CoatLook, ...]:
    """Return every coat that is on the piece after `firing`, in file order."""
    result = []
    places: dict[str, int] = {"front": 0, "back": 0}
    for weight in sorted(plan.weights, key=lambda w: w.coat):
        places[weight.face] += 1
        depth = thickness_after(plan, weight, firing)
        if depth > 0:
            jar = jar_named(plan.piece, weight.jar, bench)
            result.append(CoatLook(weight.coat, weight.face, places[weight.face], weight.jar_name, jar, depth))
    return tuple(result)


def _cell_columns(piece: Piece) -> tuple[Column, ...]:
    """Divide the front into its cells, with lands of metal between them where there are recesses."""
    front = [coat for coat in piece.coats if coat.face == "front"]
    names = list(dict.fromkeys(name for coat in front for name in coat.cells))
    pits = piece.recess is not None or piece.technique in OPEN_BACKED
    celled = pits or bool(piece.wires) or piece.technique in CELLED
    if not celled:
        return (Column(0.0, 1.0),)
    if not names:
        names = [""] * SKETCHED_CELLS
    wanted = {cell.name: cell for cell in piece.cells}
    sizes = []
    for name in names:
        cell = wanted.get(name)
        sizes.append((cell.share or (cell.area or 0.0) or 0.0) if cell is not None else 0.0)
    if min(sizes) <= 0:
        sizes = [1.0] * len(names)
    least = 0.1 * sum(sizes)  # a small cell stays wide enough to see
    sizes = [max(size, least) for size in sizes]
    land = LAND if pits else 0.0
    room = 1.0 - land * (len(names) + 1)
    columns = []
    at = 0.0
    for name, size in zip(names, sizes, strict=True):
        if pits:
            columns.append(Column(at, at + land))
        at += land
        wide = room * size / sum(sizes)
        columns.append(Column(at, at + wide, name, pits))
        at += wide
    if pits:
        columns.append(Column(at, 1.0))
    else:
        columns[-1] = Column(columns[-1].left, 1.0, columns[-1].cell, pits)
    return tuple(columns)


def _columns(piece: Piece, coats: tuple[CoatLook, ...]) -> tuple[Column, ...]:
    """Add the ends of coats that cover part of a whole face; such a coat is drawn in the middle."""
    columns = _cell_columns(piece)
    if len(columns) > 1:
        return columns
    shares = sorted({piece.coats[c.number].share or 1.0 for c in coats})
    cuts = sorted({0.0, 1.0} | {0.5 - s / 2 for s in shares} | {0.5 + s / 2 for s in shares})
    return tuple(Column(a, b, middle=abs((a + b) / 2 - 0.5) * 2) for a, b in pairwise(cuts))


def _covers(coat: Coat, column: Column, pits: bool) -> bool:
    if coat.face == "back":
        return coat.share is None or column.middle < coat.share
    if coat.cells:
        return column.cell in coat.cells
    if pits:
        return column.pit
    return coat.share is None or column.middle < coat.share


def _joined(bands: list[Band]) -> tuple[Band, ...]:
    """Join neighbouring stretches of one coat that lie at one height."""
    result: list[Band] = []
    for band in bands:
        for n, other in enumerate(result):
            same = (other.coat, other.low, other.high) == (band.coat, band.low, band.high)
            if same and abs(other.right - band.left) < 1e-12:
                result[n] = Band(band.coat, other.left, band.right, band.low, band.high)
                break
        else:
            result.append(band)
    return tuple(result)


def stack_after(plan: Plan, firing: int | None = None, bench: Bench | None = None) -> Stack:
    """Lay the section out in metres.

    Parameters
    ----------
    plan : Plan
        The plan.
    firing : int or None
        After which firing; None for the finished piece, 0 for bare metal.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry; the starter bench otherwise.

    Returns
    -------
    Stack
        Heights are from the metal's back face; a coat on the back has negative ones.
    """
    piece = plan.piece
    coats = looks(plan, firing, bench)
    metal = piece.metal.thickness or UNKNOWN_METAL
    columns = _columns(piece, coats)
    open_backed = piece.technique in OPEN_BACKED
    depth = metal if open_backed else (piece.recess.depth if piece.recess else 0.0)
    pits = any(column.pit for column in columns)
    bands: list[Band] = []
    metal_bands: list[Band] = []
    tops: list[list[tuple[int, float]]] = []
    for column in columns:
        floor = metal - depth if column.pit else metal
        if floor > 0:
            metal_bands.append(Band(-1, column.left, column.right, 0.0, floor))
        up, down = floor, 0.0
        heights = [(0, up)]
        for coat in coats:
            if not _covers(piece.coats[coat.number], column, pits):
                continue
            if coat.face == "front":
                bands.append(Band(coat.number, column.left, column.right, up, up + coat.thickness))
                up += coat.thickness
                heights.append((coat.place, up))
            else:
                bands.append(Band(coat.number, column.left, column.right, down - coat.thickness, down))
                down -= coat.thickness
        tops.append(heights)
    bands.sort(key=lambda band: (band.coat, band.left))
    return Stack(
        coats, _joined(metal_bands), _joined(bands), _wires(plan, coats, columns, tops), metal,
        piece.metal.thickness is not None, piece.dome, _bow(plan, firing),
        len(columns) > 1 and (pits or bool(piece.wires)),
    )  # fmt: skip


def _wires(
    plan: Plan, coats: tuple[CoatLook, ...], columns: tuple[Column, ...], tops: list[list[tuple[int, float]]]
) -> tuple[Wire, ...]:
    """Stand each wire on the coat it stands on, at the borders between cells."""
    placed = {coat.place for coat in coats if coat.face == "front"}
    result = []
    borders = [column.left for column in columns] + [1.0]
    if len(borders) == 2:
        borders = [n / SKETCHED_CELLS for n in range(SKETCHED_CELLS + 1)]
    for wires in plan.piece.wires:
        if wires.after_coat and wires.after_coat not in placed:
            continue
        under = [[height for place, height in column if place <= wires.after_coat][-1] for column in tops]
        for n, at in enumerate(borders):
            low = max(under[max(0, min(n - 1, len(under) - 1))], under[min(n, len(under) - 1)])
            result.append(Wire(at, low, low + wires.height, wires.thickness))
    return tuple(result)


def _bow(plan: Plan, firing: int | None) -> float | None:
    """Return the bow after a firing [m], positive when the front is convex; None where it is not worked out."""
    if firing == 0:
        return plan.piece.so_far.bow or 0.0
    states = plan.flatness.states
    if not states:
        return None
    if firing is None:
        return states[-1].bow.value
    return next((state.bow.value for state in states if state.firing == firing), None)
