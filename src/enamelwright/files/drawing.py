"""Read the outline, holes and cells of a piece from a drawing, SVG or DXF.

Even-odd nesting decides what a closed line is. The outermost is the outline. One inside it is a hole
when its id, class, label or layer begins with "hole", else a cell named by its own label, id or layer.
A cell inside a cell takes its area away from the outer one. Further loops of one and the same element
are cut out of it: a hole in the outline, an island in a cell. Open lines, and all lines named "wire",
are wires; lines named "guide" are left out; of several outermost lines the one named "outline" counts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from enamelwright.craft.outline_opening import LARGEST_SIDE, LONGEST_NAME, SMALLEST_OPENING
from enamelwright.craft.outline_ring import FLATTENING, Point, Ring, longest_across, narrowest_across, ring
from enamelwright.craft.outline_ring import area as ring_area
from enamelwright.craft.outline_shape import SLIVER, Cell, Shape
from enamelwright.errors import InputError
from enamelwright.files.drawing_line import Line, Lines
from enamelwright.files.errors import FileError
from enamelwright.units import show

#: Most closed lines of one drawing; nesting looks at pairs of them.
MOST_LOOPS = 2_000
#: A stated width may differ from the file's own units by this before it is worth a warning.
WIDTH_AGREES = 0.01


@dataclass(frozen=True)
class Drawing:
    """What a drawing says about a piece, in metres about the middle of the outline, y upwards.

    Parameters
    ----------
    outline : Ring
        Outer edge.
    holes : dict of str to Ring
        Openings through the metal by name.
    cells : tuple of Cell
        Named areas, in the order drawn.
    wires : float
        Length of open lines.
    scale_words : str
        How the real size was found.
    warnings : tuple of str
        What was left out or is doubtful.
    """

    outline: Ring = field(repr=False)
    holes: dict[str, Ring] = field(repr=False)
    cells: tuple[Cell, ...] = field(repr=False)
    wires: float
    scale_words: str
    warnings: tuple[str, ...] = ()

    @cached_property
    def _shape(self) -> Shape:
        return Shape.from_drawing(self.outline, self.holes, self.cells, self.wires)

    def shape(self) -> Shape:
        """Return the geometry, checked."""
        return self._shape


def read_drawing(path: Path | str, width: float | None = None, scale: float | None = None) -> Drawing:
    """Read a drawing; nothing in it is executed or fetched.

    Parameters
    ----------
    path : path
        An ``.svg`` or ``.dxf`` file.
    width : float, optional
        Real width of the outline from left to right [m]; needed when the file has no real units.
    scale : float, optional
        Metres per unit of the file, instead of `width`.

    Raises
    ------
    FileError
        One sentence naming the file and what to do, whatever is wrong.
    """
    path = Path(path)
    try:
        for what, given in (("width", width), ("scale", scale)):
            if given is not None and not 0 < given < float("inf"):
                raise FileError(f"the {what} given for the drawing is not larger than nothing.", "Give it in mm.")
        if width is not None and scale is not None:
            raise FileError("both a width and a scale are given.", "Give one of them.")
        return _place(_lines(path), width, scale)
    except InputError as error:
        raise FileError(error.message, error.remedy, path.name[:80]) from error


def _lines(path: Path) -> Lines:
    """Read the file with the reader of its format."""
    ending = path.suffix.lower()
    if ending not in {".svg", ".dxf"}:
        raise FileError(f"'{ending or path.name}' is not a drawing this program reads.", "Save it as SVG or DXF.")
    if not path.is_file():
        raise FileError("there is no such file.", "Check the name and the folder.")
    from enamelwright.files import dxf_drawing, svg_drawing

    largest = svg_drawing.LARGEST_FILE if ending == ".svg" else dxf_drawing.LARGEST_FILE
    try:
        if path.stat().st_size > largest:
            raise FileError(f"the file is larger than {largest // 1024**2} MiB.", "Take pictures and spare layers out.")
        data = path.read_bytes()
    except OSError as error:
        raise FileError("the file cannot be opened.", "Check that it may be read.") from error
    return svg_drawing.read(data) if ending == ".svg" else dxf_drawing.read(data)


def _place(lines: Lines, width: float | None, scale: float | None) -> Drawing:
    """Scale, centre and nest the lines."""
    warnings = list(lines.warnings)
    unit, words = lines.unit, lines.words
    if scale is not None:
        unit, words = scale, f"one unit of the drawing is {show(scale, 'length')}, as given"
    elif width is not None:
        drawn = _drawn_width(lines)
        if unit is not None and abs(width / (unit * drawn) - 1) > WIDTH_AGREES:
            warnings.append(
                f"the file's own units make it {show(unit * drawn, 'length')} wide; "
                f"the {show(width, 'length')} given were used."
            )
        unit, words = width / drawn, f"{show(width, 'length')} wide, as given"
    if unit is None:
        raise FileError("the drawing has no real units.", "Give its width in mm (width_mm).")
    outline, holes, cells, wires = _nest(lines.trace(FLATTENING / unit), unit, warnings)
    x, y = zip(*outline, strict=True)
    middle = ((min(x) + max(x)) / 2, (min(y) + max(y)) / 2)
    drawing = Drawing(
        _moved(outline, middle), {name: _moved(hole, middle) for name, hole in holes.items()},
        tuple(
            Cell(c.name, _moved(c.boundary, middle), tuple(_moved(island, middle) for island in c.islands))
            for c in cells
        ),
        wires, words, tuple(warnings),
    )  # fmt: skip
    drawing.shape()
    return drawing


def _moved(points: Ring, middle: Point) -> Ring:
    return tuple((x - middle[0], y - middle[1]) for x, y in points)


def _drawn_width(lines: Lines) -> float:
    """Return the width of what will be the outline, in units of the file."""
    closed = [line for line in lines.trace(lines.rough) if line.closed and not line.marked("guide")]
    chosen = [line for line in closed if line.marked("outline")] or closed
    x = [point[0] for line in chosen for point in line.points]
    if not x or max(x) - min(x) <= 0:
        raise _no_outline()
    return max(x) - min(x)


def _no_outline() -> FileError:
    return FileError("the drawing has no closed line.", "Close the line that is the edge of the piece.")


@dataclass
class _Loop:
    """A closed line on its way to becoming outline, hole, cell or island."""

    line: Line
    points: Ring
    area: float
    parent: _Loop | None = None
    role: str = "cell"
    name: str = ""
    inside: list[_Loop] = field(default_factory=list)


def _nest(lines: Iterable[Line], unit: float, warnings: list[str]) -> tuple[Ring, dict[str, Ring], list[Cell], float]:
    """Decide what every line is; all results in metres."""
    loops: list[_Loop] = []
    wires = 0.0
    small = 0
    for line in lines:
        if line.marked("guide"):
            continue
        if not line.closed and line.marked("outline"):
            (x, y), (u, v) = line.points[0], line.points[-1]
            raise FileError(
                f"the line named 'outline' is not closed: its ends at ({x:.6g}, {y:.6g}) and ({u:.6g}, {v:.6g}) "
                "of the drawing do not meet.",
                "Close it, in one layer.",
            )
        if not line.closed or line.marked("wire"):
            wires += line.length * unit
            continue
        points = tuple((x * unit, y * unit) for x, y in line.points)
        if longest_across(points) < SMALLEST_OPENING or narrowest_across(points) < SMALLEST_OPENING:
            small += 1
            continue
        points = ring(points, line.name or "closed line")
        loops.append(_Loop(line, points, ring_area(points)))
    if small:
        warnings.append(f"closed lines narrower than {show(SMALLEST_OPENING, 'length')} were left out: {small}.")
    if not loops:
        raise _no_outline()
    if len(loops) > MOST_LOOPS:
        raise FileError(f"the drawing has more than {MOST_LOOPS} closed lines.", "Keep outline, holes and cells.")
    outline = _find_parents(loops, warnings)
    _name(outline, warnings)
    holes = {loop.name: loop.points for loop in loops if loop.role == "hole"}
    cells = [
        Cell(loop.name, loop.points, tuple(inner.points for inner in loop.inside))
        for loop in loops
        if loop.role == "cell"
    ]
    return outline.points, holes, cells, wires


def _find_parents(loops: list[_Loop], warnings: list[str]) -> _Loop:
    """Find the loop directly around each, in place; return the outermost.

    Loops drawn twice are taken out of `loops`. Two loops that cross are refused: nobody can tell which
    area belongs to which.
    """
    from shapely import Polygon, STRtree

    from enamelwright.craft.outline_ring import refuse_crossing

    for loop in loops:
        if longest_across(loop.points) > LARGEST_SIDE:
            raise FileError(
                f"the drawing is more than {show(LARGEST_SIDE, 'length')} across.",
                "Check its units, or give its width.",
            )
        refuse_crossing(loop.points, _words(loop))
    polygons = [Polygon(loop.points) for loop in loops]
    tree = STRtree(polygons)
    doubles: set[int] = set()
    for i in sorted(range(len(loops)), key=lambda k: loops[k].area):
        around: list[int] = []
        for j in (int(k) for k in tree.query(polygons[i], predicate="intersects")):
            if j == i or j in doubles or loops[j].area < loops[i].area:
                continue
            share = polygons[i].intersection(polygons[j]).area / loops[i].area
            if share > 1 - SLIVER and loops[i].area > (1 - SLIVER) * loops[j].area:
                if i < j and loops[i].area == loops[j].area:
                    continue  # of two equal loops the first one drawn stays
                doubles.add(i)
                break
            if share > 1 - SLIVER:
                around.append(j)
            elif share > SLIVER:
                x, y = polygons[i].boundary.intersection(polygons[j].boundary).representative_point().coords[0]
                raise FileError(
                    f"{_words(loops[i])} and {_words(loops[j])} cross near "
                    f"x {show(x, 'length')}, y {show(y, 'length')} of the drawing.",
                    "Draw them apart or one inside the other.",
                )
        if around and i not in doubles:
            loops[i].parent = loops[min(around, key=lambda k: loops[k].area)]
    if doubles:
        warnings.append(f"closed lines drawn twice were counted once: {len(doubles)}.")
    for loop in loops:  # a parent that was a double: take the one around it
        while loop.parent is not None and any(loop.parent is loops[k] for k in doubles):
            loop.parent = loop.parent.parent
    loops[:] = [loop for k, loop in enumerate(loops) if k not in doubles]
    for loop in loops:
        if loop.parent is not None:
            loop.parent.inside.append(loop)
    outermost = [loop for loop in loops if loop.parent is None]
    named = [loop for loop in outermost if loop.line.marked("outline")]
    if len(named or outermost) > 1:
        raise FileError(
            f"the drawing has {len(named or outermost)} separate outlines.",
            "Keep one, or name the line that is the edge of the piece 'outline'.",
        )
    chosen = (named or outermost)[0]
    for other in outermost:
        if other is not chosen:
            raise FileError(f"{_words(other)} lies outside the outline.", "Move it inside or name it 'guide'.")
    return chosen


def _words(loop: _Loop) -> str:
    """Say which line is meant."""
    return f"line '{loop.line.name}'" if loop.line.name else "an unnamed closed line"


def _name(outline: _Loop, warnings: list[str]) -> None:
    """Give every loop its role and its name, from the outside inwards."""
    outline.role = "outline"
    taken: set[str] = set()
    queue = list(outline.inside)
    found: list[_Loop] = []
    while queue:
        loop = queue.pop(0)
        parent = loop.parent
        assert parent is not None  # only the outline has none, and it is not in the queue
        same = loop.line.element == parent.line.element
        if same and parent.role in {"outline", "cell"}:
            loop.role = "hole" if parent.role == "outline" else "island"
        elif not same and loop.line.marked("hole"):
            loop.role = "hole"
        if parent.role == "hole":
            raise FileError(f"{_words(loop)} lies inside a hole.", "There is no metal there; take it out.")
        found.append(loop)
        queue.extend(loop.inside)
    order = {id(loop): k for k, loop in enumerate(sorted(found, key=lambda item: item.line.element))}
    for loop in sorted(found, key=lambda item: order[id(item)]):
        if loop.role == "island":
            continue
        named = loop.line.name[:LONGEST_NAME] if loop.line.element != outline.line.element else ""
        base = named or loop.role
        number = 1
        name = named or f"{base} 1"
        while name in taken:
            number += 1
            name = f"{base[: LONGEST_NAME - 6]} {number}"
        taken.add(name)
        loop.name = name
    unnamed = sum(1 for loop in found if loop.role == "cell" and not loop.line.name)
    if unnamed:
        warnings.append(f"cells without a name of their own were numbered: {unnamed}.")
