"""Look up every name a piece uses and put its coats in order: a `Piece` and a `Bench` become a `Layup`."""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar import Jar
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.metal import Metal, metal
from enamelwright.craft.outline_shape import Hole, Shape
from enamelwright.craft.piece import (
    Circle,
    Ellipse,
    Piece,
    Polygon,
    RoundedRectangle,
    SurfaceArea,
    WeighedBlank,
)
from enamelwright.errors import InputError, UnknownName


def shape_of(piece: Piece, stuff: Metal, drawn: Shape | None = None) -> Shape:
    """Return the outline of a piece as geometry, holes cut out.

    Parameters
    ----------
    piece : Piece
        As described.
    stuff : Metal
        Its metal; a weighed blank needs the density.
    drawn : Shape, optional
        The drawing, already read, when the outline is one.

    Raises
    ------
    InputError
        When the outline contradicts itself, or a drawing was not read.
    """
    outline = piece.outline
    if isinstance(outline, Circle):
        shape = Shape.circle(outline.diameter)
    elif isinstance(outline, Ellipse):
        shape = Shape.ellipse(outline.width, outline.height)
    elif isinstance(outline, RoundedRectangle):
        shape = Shape.rounded_rectangle(outline.width, outline.height, outline.corner)
    elif isinstance(outline, Polygon):
        shape = Shape.polygon(outline.points)
    elif isinstance(outline, WeighedBlank):
        if piece.metal.thickness is None:
            raise InputError("a weighed blank needs the sheet's thickness.", "Add metal.thickness_mm.", "metal")
        shape = Shape.area_only(outline.mass / stuff.density.value / piece.metal.thickness, outline.across)
    elif isinstance(outline, SurfaceArea):
        shape = Shape.area_only(outline.area, outline.across, flat=False)
    elif drawn is not None:
        shape = drawn
    else:
        raise InputError("the drawing was not read.", "Plan the piece from its file.", "outline")
    if piece.holes:
        shape = shape.with_holes(*(Hole.round(hole.diameter, hole.at) for hole in piece.holes))
    return shape


def lay_up(piece: Piece, bench: Bench, drawn: Shape | None = None) -> Layup:
    """Look up metal, shape and jars of a piece.

    Parameters
    ----------
    piece : Piece
        As described; its own jars come before those of the bench.
    bench : Bench
        Jars and house rules.
    drawn : Shape, optional
        The outline drawing, already read.

    Raises
    ------
    InputError, UnknownName
        Naming the coat or field.
    """
    try:
        stuff = metal(piece.metal.kind)
    except UnknownName as error:
        raise error.at("metal.kind") from error
    shape = shape_of(piece, stuff, drawn)
    known = bench.with_jars(piece.jars)
    thickness = piece.metal.thickness or 0.0
    places = {"front": 0, "back": 0}
    layers = []
    glasses: dict[str, JarGlass] = {}
    for number, coat in enumerate(piece.coats):
        where = f"coats[{number + 1}]"
        try:
            jar = known.jar_in(coat.jar, piece.firing.kiln)
        except UnknownName as error:
            raise error.at(where) from error
        if jar.id not in glasses:
            glasses[jar.id] = _glass(jar, where)
        places[coat.face] += 1
        layers.append(Layer(number, places[coat.face], coat, jar, glasses[jar.id], _area(piece, shape, coat, where)))
    taught = tuple(one for one in bench.learned_bows if one.metal == stuff.id and one.jar in glasses)
    clocks = known.clocks_of({coat.jar for coat in piece.coats}, piece.firing.kiln)
    return Layup(piece, stuff, thickness, shape, tuple(layers), taught, clocks, known.new_lots_of(clocks))


def _glass(jar: Jar, where: str) -> JarGlass:
    try:
        return glass_of(jar)
    except InputError as error:
        raise error.at(f"{where}, jar {jar.id}") from error


def _area(piece: Piece, shape: Shape, coat: Coat, where: str) -> float:
    """Return the area one coat covers, dome included."""
    whole = shape.area * shape.dome_area_factor(piece.dome)
    if coat.cells:
        area = sum(_cell_area(piece, shape, name, whole, where) for name in coat.cells)
    else:
        area = whole
    return area * (coat.share or 1.0)


def _cell_area(piece: Piece, shape: Shape, name: str, whole: float, where: str) -> float:
    for cell in piece.cells:
        if cell.name == name and (cell.area is not None or cell.share is not None):
            if cell.area is not None and cell.area > whole:
                raise InputError(f"cell '{name}' is larger than the piece.", "Check its area.", f"cells, {name}")
            return cell.area if cell.area is not None else (cell.share or 0.0) * whole
    if name in shape.cells:
        return shape.cells[name].area
    raise UnknownName.among("cell", name, [cell.name for cell in piece.cells] + list(shape.cells), where)
