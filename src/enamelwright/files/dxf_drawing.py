"""Read the lines of a DXF file without trusting it.

Lines, arcs, circles, ellipses, splines and polylines of the model space count, also inside blocks;
layers name them. Single lines and arcs whose ends meet are joined to one line, layer by layer.

Source: DXF Reference, HEADER section, $INSUNITS (drawing units), and ENTITIES section.
"""

from __future__ import annotations

import io
import math
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from enamelwright.craft.outline_ring import FLATTENING, Point
from enamelwright.files.drawing_line import JOIN, MOST_POINTS, Line, Lines
from enamelwright.files.errors import FileError

#: Limits of what a drawing of one piece can need.
LARGEST_FILE = 8 * 1024**2  # bytes
MOST_ENTITIES = 20_000  # after blocks are taken apart
DEEPEST = 8  # blocks, one inside the other
MOST_CONTROLS = 20_000  # points of one polyline or spline
LARGEST_SPREAD = 1e5  # size of the drawing over its tolerance times a thousand; more is a lost point

#: $INSUNITS -> (metres per unit, word); code 0 says nothing about units.
_INCH = 254 / 10_000
_UNITS: dict[int, tuple[float, str]] = {
    1: (_INCH, "inches"), 2: (12 * _INCH, "feet"), 4: (1 / 1000, "millimetres"), 5: (1 / 100, "centimetres"),
    6: (1.0, "metres"), 9: (_INCH / 1000, "thousandths of an inch"), 13: (1 / 1_000_000, "micrometres"),
    14: (1 / 10, "decimetres"),
}  # fmt: skip
_CURVES = {"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"}
_QUIET = {"POINT", "VIEWPORT"}


def read(data: bytes) -> Lines:
    """Read the bytes of a DXF file.

    Raises
    ------
    FileError
        Whatever is wrong with them.
    """
    document = _document(data)
    left_out: set[str] = set()
    try:
        entities = list(_curves(document, left_out))
        reach = max((_reach(entity) for entity in entities), default=0.0)
        code = int(document.header.get("$INSUNITS", 0))
    except FileError:
        raise
    except Exception as error:  # a foreign parser meets anything a file can hold; its errors are no contract
        raise FileError("an entity of the drawing cannot be read.", "Save it again as plain DXF.") from error
    if not entities or reach <= 0:
        raise FileError("the drawing has no lines.", "Draw with lines, arcs, circles, splines or polylines.")
    unit, word = _UNITS.get(code, (None, ""))

    def trace(tolerance: float) -> list[Line]:
        if reach > LARGEST_SPREAD * tolerance * 1000:
            raise FileError("the drawing is far too large.", "Check its units, or take lost points out.")
        try:
            return _joined(_flat(entities, tolerance), tolerance * JOIN / FLATTENING)
        except FileError:
            raise
        except Exception as error:  # as above
            raise FileError("a curve of the drawing cannot be followed.", "Redraw it with arcs.") from error

    words = f"the file is drawn in {word}" if unit else "the file has no real units"
    return Lines(unit, trace, reach / 10_000, words, tuple(f"{what} was left out." for what in sorted(left_out)))


def _document(data: bytes) -> Any:
    """Parse the file."""
    if len(data) > LARGEST_FILE:
        raise FileError(f"the file is larger than {LARGEST_FILE // 1024**2} MiB.", "Take spare layers out.")
    if data.startswith(b"AutoCAD Binary DXF"):
        raise FileError("the file is a binary DXF.", "Save it as text (ASCII) DXF.")
    if b"\0" in data:
        raise FileError("the file is not a text DXF.", "Save it as text (ASCII) DXF.")
    from ezdxf import filemanagement

    try:
        text = data.decode("utf-8", errors="surrogateescape").replace("\r\n", "\n")
        return filemanagement.read(io.StringIO(text))
    except Exception as error:  # as above
        raise FileError("the file is damaged or is not DXF.", "Save the drawing again as DXF.") from error


def _curves(document: Any, left_out: set[str]) -> Iterator[Any]:
    """Give the curves that would be seen, blocks taken apart, within the limits."""
    unseen = {layer.dxf.name.lower() for layer in document.layers if layer.is_off() or layer.is_frozen()}
    count = 0

    def visit(entities: Any, depth: int) -> Iterator[Any]:
        nonlocal count
        for entity in entities:
            count += 1
            if count > MOST_ENTITIES:
                raise FileError(
                    f"the drawing has more than {MOST_ENTITIES} entities.", "Keep outline, holes and cells."
                )
            kind = entity.dxftype()
            if str(entity.dxf.get("layer", "0")).lower() in unseen or entity.dxf.get("invisible", 0):
                continue
            if kind in _CURVES:
                _check_controls(entity, kind)
                yield entity
            elif kind == "INSERT":
                if depth >= DEEPEST:
                    raise FileError(f"blocks lie more than {DEEPEST} deep, or a block holds itself.", "Explode them.")
                if entity.mcount > MOST_ENTITIES:
                    raise FileError("a block is repeated too often.", "Explode it, and keep one.")
                copies = entity.multi_insert() if entity.mcount > 1 else [entity]
                for copy in copies:
                    yield from visit(copy.virtual_entities(), depth + 1)
            elif kind not in _QUIET:
                left_out.add(f"an entity of kind {kind[:20]}")

    yield from visit(document.modelspace(), 0)


def _check_controls(entity: Any, kind: str) -> None:
    """Refuse curves of absurdly many points before anything is computed from them."""
    count = 0
    if kind == "SPLINE":
        count = max(len(entity.control_points), len(entity.fit_points), len(entity.knots))
    elif kind in {"LWPOLYLINE", "POLYLINE"}:
        count = len(entity)
    if count > MOST_CONTROLS:
        raise FileError(f"one curve has more than {MOST_CONTROLS} points.", "Simplify it.")


def _reach(entity: Any) -> float:
    """Return how far the entity may reach from the middle of things, in drawing units."""
    kind, dxf = entity.dxftype(), entity.dxf
    if kind == "LINE":
        numbers = [*dxf.start, *dxf.end]
    elif kind in {"CIRCLE", "ARC"}:
        numbers = [*dxf.center, dxf.radius]
    elif kind == "ELLIPSE":
        numbers = [*dxf.center, *dxf.major_axis, dxf.ratio]
    elif kind == "SPLINE":
        numbers = [x for point in (*entity.control_points, *entity.fit_points) for x in point]
    elif kind == "LWPOLYLINE":
        numbers = [x for point in entity.get_points("xyb") for x in point[:2]]
        bulges = [float(point[2]) for point in entity.get_points("xyb")]
        numbers += [b for b in bulges if not math.isfinite(b)]
    else:
        numbers = [x for point in entity.points() for x in point]
    values = [float(x) for x in numbers]
    if not all(map(math.isfinite, values)):
        raise FileError("the drawing holds a number that is not finite.", "Redraw that line.")
    return max(map(abs, values), default=0.0)


def _flat(entities: list[Any], tolerance: float) -> Iterator[tuple[str, str, list[Point], bool]]:
    """Give kind, layer, points and closedness of every curve."""
    from ezdxf.path import make_path

    total = 0
    for entity in entities:
        kind = entity.dxftype()
        if kind == "LINE":
            found = [entity.dxf.start, entity.dxf.end]
        elif kind in {"CIRCLE", "ARC"}:
            radius = abs(entity.dxf.radius)
            if radius <= tolerance:
                continue
            found = list(entity.flattening(tolerance))
        elif kind in {"ELLIPSE", "SPLINE"}:
            found = list(entity.flattening(tolerance))
        else:
            found = list(make_path(entity).flattening(tolerance))
        points = [(float(p[0]), float(p[1])) for p in found]
        total += len(points)
        if total > MOST_POINTS:
            raise FileError(f"the curves need more than {MOST_POINTS} points.", "Simplify the drawing.")
        if not all(math.isfinite(x) and math.isfinite(y) for x, y in points):
            raise FileError("the drawing holds a number that is not finite.", "Redraw that line.")
        if len(points) < 2:
            continue
        join = tolerance * JOIN / FLATTENING
        closed = bool(getattr(entity, "is_closed", False) or getattr(entity, "closed", False)) or kind == "CIRCLE"
        closed = closed or (len(points) > 3 and math.dist(points[0], points[-1]) <= join)
        yield kind, str(entity.dxf.get("layer", "0")), points, closed


def _joined(curves: Iterator[tuple[str, str, list[Point], bool]], join: float) -> list[Line]:
    """Join open curves of one layer end to end wherever exactly two ends meet.

    Where three or more ends meet nobody can say which belong together; those stay apart. Layers named
    "wire" are left as drawn.
    """
    result: list[Line] = []
    open_ones: dict[str, list[list[Point]]] = defaultdict(list)
    for _, layer, points, closed in curves:
        if closed or layer.lower().startswith("wire"):
            result.append(Line(tuple(points), closed, len(result), (layer,)))
        else:
            open_ones[layer].append(points)
    for layer, pieces in open_ones.items():
        for points, closed in _chains(pieces, join):
            result.append(Line(tuple(points), closed, len(result), (layer,)))
    return result


def _chains(pieces: list[list[Point]], join: float) -> Iterator[tuple[list[Point], bool]]:
    """Give the chains of open pieces, and whether each comes back to its beginning."""
    nodes = _meeting(pieces, join)
    at: dict[int, list[int]] = defaultdict(list)
    for number, (start, end) in enumerate(nodes):
        at[start].append(number)
        at[end].append(number)
    used: set[int] = set()

    def follow(first: int, begin: int) -> tuple[list[Point], int]:
        """Walk from node `begin` along piece `first` until the way ends or forks."""
        points: list[Point] = []
        number, here = first, begin
        while True:
            used.add(number)
            start, end = nodes[number]
            line = pieces[number] if start == here else pieces[number][::-1]
            points.extend(line if not points else line[1:])
            here = end if start == here else start
            onward = [other for other in at[here] if other not in used]
            if len(at[here]) != 2 or not onward:
                return points, here
            number = onward[0]

    # ways with a loose end or a fork first; what is left then goes round
    for number, (start, end) in enumerate(nodes):
        for node in (start, end):
            if number not in used and len(at[node]) != 2:
                points, last = follow(number, node)
                yield points, last == node and len(points) > 3
    for number, (start, _) in enumerate(nodes):
        if number not in used:
            points, last = follow(number, start)
            yield points, last == start and len(points) > 2


def _meeting(pieces: list[list[Point]], join: float) -> list[tuple[int, int]]:
    """Return the node numbers of both ends of every piece; ends within `join` share a node."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    places: list[Point] = []

    def node(point: Point) -> int:
        column, row = math.floor(point[0] / join), math.floor(point[1] / join)
        for i in (column - 1, column, column + 1):
            for j in (row - 1, row, row + 1):
                for number in cells.get((i, j), ()):
                    if math.dist(places[number], point) <= join:
                        return number
        places.append(point)
        cells[column, row].append(len(places) - 1)
        return len(places) - 1

    return [(node(piece[0]), node(piece[-1])) for piece in pieces]
