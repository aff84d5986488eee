"""Read the lines of an SVG file without trusting it.

The file is parsed by the standard library's expat with document types, entities, scripts and outside
references refused as they appear; only then are transforms and path data, and nothing else, given to
svgelements. `use` is followed by our own walk, which counts.

Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), sections 7.10 (units), 7.7 and 7.8
(viewBox, preserveAspectRatio), 8.3 (path data), 5.6 (use); CSS absolute units: 1 in = 96 px.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from typing import Any

from enamelwright.craft.outline_ring import FLATTENING, Point
from enamelwright.files.drawing_line import JOIN, MOST_PIECES, MOST_POINTS, Line, Lines
from enamelwright.files.errors import FileError
from enamelwright.files.svg_scan import DEEPEST, LARGEST_FILE, Element, scan

__all__ = ["LARGEST_FILE", "read"]

#: Limits of what a drawing of one piece can need.
MOST_USES = 10_000  # after expansion
MOST_VISITS = 50_000  # elements after expansion
MOST_NUMBERS = 200_000  # in all path data and point lists, after expansion
LONGEST_TRANSFORM = 2_000  # characters

#: CSS absolute units in metres: 1 in is 25.4 mm by definition, 96 px and 72 pt are one inch.
_INCH = 254 / 10_000
_UNITS = {
    "mm": 1 / 1000, "cm": 1 / 100, "q": 1 / 4000, "in": _INCH, "pt": _INCH / 72, "pc": _INCH / 6,
}  # fmt: skip
_PIXEL = _INCH / 96
_LENGTH = re.compile(r"^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*([a-zA-Z%]*)\s*$")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_HIDDEN = re.compile(r"(?:^|;)\s*(?:display\s*:\s*none|visibility\s*:\s*hidden)")
_SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_HOLDERS = {"svg", "g", "a", "switch"}
_LEFT_OUT = {"text": "text", "image": "a picture", "foreignObject": "foreign content"}


def read(data: bytes) -> Lines:
    """Read the bytes of an SVG file.

    Raises
    ------
    FileError
        Whatever is wrong with them.
    """
    root, ids = scan(data)
    if root.tag != "svg":
        raise FileError("the file is not an SVG drawing.", "Save the drawing as SVG.")
    view = _numbers(root.attributes.get("viewBox", ""))
    box = (view[0], view[1], view[2], view[3]) if len(view) == 4 and view[2] > 0 and view[3] > 0 else None
    unit, words = _unit(root, box)
    left_out: set[str] = set()
    size = (box[2], box[3]) if box else (_sized(root, "width"), _sized(root, "height"))

    def trace(tolerance: float) -> list[Line]:
        return list(_Walk(ids, size, tolerance, left_out).lines(root))

    rough_tolerance = size[0] / 1000 if size[0] > 0 else 1.0
    rough = trace(rough_tolerance)
    if not rough:
        raise FileError("the drawing has no lines.", "Turn text and pictures into paths.")
    return Lines(unit, trace, rough_tolerance, words, tuple(f"{what} was left out." for what in sorted(left_out)))


# ---- units ----------------------------------------------------------------------------------------


def _numbers(text: str) -> list[float]:
    """Return the finite numbers of a list."""
    return [number for number in map(float, _NUMBER.findall(text[:LONGEST_TRANSFORM])) if math.isfinite(number)]


def _split(text: str) -> tuple[float, str] | None:
    found = _LENGTH.match(text)
    if found is None:
        return None
    number = float(found[1])
    return (number, found[2].lower()) if math.isfinite(number) else None


def _sized(root: Element, key: str) -> float:
    """Return width or height of the root in user units, when there is no viewBox."""
    split = _split(root.attributes.get(key, ""))
    if split is None or split[1] == "%":
        return 0.0
    return split[0] * _UNITS.get(split[1], _PIXEL) / _PIXEL


def _unit(root: Element, box: tuple[float, float, float, float] | None) -> tuple[float | None, str]:
    """Return metres per user unit of the root, and in words how that was found.

    px and bare numbers are no real units: programs disagree on how many make an inch.
    """
    real: dict[str, float] = {}
    for key in ("width", "height"):
        split = _split(root.attributes.get(key, ""))
        if split is not None and split[1] in _UNITS and split[0] > 0:
            real[key] = split[0] * _UNITS[split[1]]
    if not real:
        return None, "the file has no real units"
    said = " by ".join(root.attributes[key].strip() for key in real)
    if box is None:
        return _PIXEL, f"the page is {said}, 96 units to the inch"
    scales = [real[key] / box[2 if key == "width" else 3] for key in real]
    uneven = max(scales) > min(scales) * 1.001
    if uneven and root.attributes.get("preserveAspectRatio", "").strip().startswith("none"):
        raise FileError("the drawing is stretched unevenly by its page size.", "Save it with one scale for both ways.")
    slice_it = "slice" in root.attributes.get("preserveAspectRatio", "")
    return (max(scales) if slice_it else min(scales)), f"the page is {said}"


# ---- the walk -------------------------------------------------------------------------------------


class _Walk:
    """One pass over the elements, following `use`, with its counts."""

    def __init__(
        self, ids: dict[str, Element], size: tuple[float, float], tolerance: float, left_out: set[str]
    ) -> None:
        self.ids = ids
        self.size = size
        self.tolerance = tolerance
        self.left_out = left_out
        self.uses = self.numbers = self.points = self.elements = 0

    def lines(self, root: Element) -> Iterator[Line]:
        """Give every line that would be seen."""
        from svgelements import Matrix

        yield from self._visit(root, Matrix("scale(1,-1)"), (), (), 0)

    def _visit(
        self, element: Element, matrix: Any, own: tuple[str, ...], around: tuple[str, ...], depth: int
    ) -> Iterator[Line]:
        from svgelements import Matrix

        if depth > 2 * DEEPEST:
            raise FileError(f"uses and groups lie more than {DEEPEST} deep.", "Ungroup the drawing.")
        attributes = element.attributes
        if _HIDDEN.search(attributes.get("style", "")) or attributes.get("display") == "none":
            return
        if element.tag in _LEFT_OUT:
            self.left_out.add(_LEFT_OUT[element.tag])
        if element.tag not in _SHAPES | _HOLDERS | {"use", "symbol"}:
            return
        if "clip-path" in attributes or "mask" in attributes:
            self.left_out.add("a clip or mask")
        matrix = _transform(attributes.get("transform", "")) * matrix
        names = tuple(attributes[key].strip() for key in ("label", "id") if attributes.get(key, "").strip())
        names += tuple(attributes.get("class", "").split())
        own = own + names if own else names
        self.elements += 1
        if self.elements > MOST_VISITS:
            raise FileError(f"the copies make more than {MOST_VISITS} elements.", "Draw fewer copies.")
        if element.tag in _SHAPES:
            yield from self._outlines(element, matrix, own, around)
        elif element.tag == "use":
            yield from self._use(element, matrix, own, around, depth)
        else:
            if element.tag in {"svg", "symbol"} and depth > 0 and "viewBox" in attributes:
                raise FileError("one drawing is placed inside another.", "Ungroup it, then save again.")
            if element.tag == "svg" and depth > 0:
                x, y = self._measure(attributes, "x", 0), self._measure(attributes, "y", 1)
                matrix = Matrix(1, 0, 0, 1, x, y) * matrix
            # names given to a use of this group are names of what lies in it
            for child in element.children:
                yield from self._visit(child, matrix, (), (*own, *around), depth + 1)

    def _use(
        self, element: Element, matrix: Any, own: tuple[str, ...], around: tuple[str, ...], depth: int
    ) -> Iterator[Line]:
        from svgelements import Matrix

        self.uses += 1
        if self.uses > MOST_USES:
            raise FileError(f"the drawing repeats parts more than {MOST_USES} times.", "Draw fewer copies.")
        if depth > DEEPEST:
            raise FileError(f"copies lie more than {DEEPEST} deep, or a part copies itself.", "Ungroup the copies.")
        target = self.ids.get(element.attributes.get("href", "").strip()[1:])
        if target is None:
            raise FileError("a copy refers to a part that is not in the drawing.", "Save it as plain SVG.")
        x, y = self._measure(element.attributes, "x", 0), self._measure(element.attributes, "y", 1)
        yield from self._visit(target, Matrix(1, 0, 0, 1, x, y) * matrix, own, around, depth + 1)

    def _measure(self, attributes: dict[str, str], key: str, axis: int, missing: float = 0.0) -> float:
        """Return a length of an element in user units."""
        text = attributes.get(key, "")
        if not text.strip() or text.strip() == "auto":
            return missing
        split = _split(text)
        if split is None or split[1] not in {"", "px", "%", *_UNITS}:
            raise FileError(f"'{text[:20]}' is not a length this program reads.", "Save the drawing as plain SVG.")
        number, unit = split
        if unit == "%":
            whole = self.size[axis] if axis < 2 else math.hypot(*self.size) / math.sqrt(2)
            return number / 100 * whole
        return number * _UNITS[unit] / _PIXEL if unit in _UNITS else number

    def _outlines(self, element: Element, matrix: Any, own: tuple[str, ...], around: tuple[str, ...]) -> Iterator[Line]:
        path = self._path(element)
        if path is None:
            return
        number = self.elements
        for points, closed in self._flatten(_applied(path, matrix)):
            if len(points) > 1:
                yield Line(tuple(points), closed, number, own, around)

    def _path(self, element: Element) -> Any:
        """Return the element as a path of svgelements, or None when it draws nothing."""
        import svgelements

        a, m = element.attributes, self._measure
        if element.tag == "rect":
            w, h = m(a, "width", 0), m(a, "height", 1)
            rx, ry = m(a, "rx", 0, -1.0), m(a, "ry", 1, -1.0)
            rx, ry = (ry if rx < 0 else rx), (rx if ry < 0 else ry)
            if w <= 0 or h <= 0:
                return None
            corner = (min(max(rx, 0.0), w / 2), min(max(ry, 0.0), h / 2))
            return svgelements.Path(svgelements.Rect(m(a, "x", 0), m(a, "y", 1), w, h, *corner))
        if element.tag in {"circle", "ellipse"}:
            rx = m(a, "r", 2) if element.tag == "circle" else m(a, "rx", 0)
            ry = rx if element.tag == "circle" else m(a, "ry", 1)
            if rx <= 0 or ry <= 0:
                return None
            return svgelements.Path(svgelements.Ellipse(m(a, "cx", 0), m(a, "cy", 1), rx, ry))
        if element.tag == "line":
            ends = (m(a, "x1", 0), m(a, "y1", 1), m(a, "x2", 0), m(a, "y2", 1))
            data = "M{},{} L{},{}".format(*ends)
        else:
            data = a.get("d" if element.tag == "path" else "points", "")
            self.numbers += sum(1 for _ in _NUMBER.finditer(data))
            if self.numbers > MOST_NUMBERS:
                raise FileError(f"the lines hold more than {MOST_NUMBERS} numbers.", "Simplify the paths.")
            if element.tag != "path":
                pairs = list(map(float, _NUMBER.findall(data)))
                data = "M" + " ".join(f"{x!r},{y!r}" for x, y in zip(pairs[::2], pairs[1::2], strict=False))
                data += " Z" if element.tag == "polygon" else ""
        if not _NUMBER.search(data):
            return None
        try:
            return svgelements.Path(data)
        except Exception as error:  # a foreign parser meets anything a file can hold; its errors are no contract
            raise FileError("a path cannot be read.", "Save the drawing again as plain SVG.") from error

    def _flatten(self, path: Any) -> Iterator[tuple[list[Point], bool]]:
        """Give the points of every part of a path, and whether it is closed."""
        import svgelements

        points: list[Point] = []
        for segment in path:
            if isinstance(segment, svgelements.Move):
                if points:
                    yield self._ended(points, False)
                points = [_point(segment.end)]
                continue
            if isinstance(segment, svgelements.Close):
                if points:
                    start = points[0]
                    yield self._ended(points, True)
                    points = [start]
                continue
            if not points:
                points = [_point(segment.start)]
            if isinstance(segment, svgelements.Line):
                points.append(_point(segment.end))
            else:
                pieces = _pieces(segment, self.tolerance)
                points.extend(_point(segment.point(i / pieces)) for i in range(1, pieces))
                points.append(_point(segment.end))
            if self.points + len(points) > MOST_POINTS:
                raise FileError(f"the curves need more than {MOST_POINTS} points.", "Simplify the paths.")
        if points:
            yield self._ended(points, False)

    def _ended(self, points: list[Point], closed: bool) -> tuple[list[Point], bool]:
        """Count the points, and call a line closed whose ends meet."""
        self.points += len(points)
        if not closed and len(points) > 3:
            closed = math.dist(points[0], points[-1]) <= JOIN / FLATTENING * self.tolerance
        return points, closed


def _transform(text: str) -> Any:
    """Return the matrix of a transform attribute."""
    from svgelements import Matrix

    if len(text) > LONGEST_TRANSFORM:
        raise FileError("a transform is too long.", "Ungroup the drawing and save it again.")
    try:
        matrix = Matrix(text)
        parts = [float(getattr(matrix, part)) for part in "abcdef"]
    except Exception as error:  # as above
        raise FileError(f"the transform '{text[:30]}' cannot be read.", "Save it as plain SVG.") from error
    if not all(map(math.isfinite, parts)):
        raise FileError("a transform holds a number that is not finite.", "Save it as plain SVG.")
    return matrix


def _applied(path: Any, matrix: Any) -> Any:
    """Return the path moved by the matrix."""
    try:
        return (path * matrix).reify()
    except Exception as error:  # as above
        raise FileError("a path cannot be moved to its place.", "Save the drawing again as plain SVG.") from error


def _point(point: Any) -> Point:
    if point is None:
        raise FileError("a path begins nowhere.", "Save the drawing again as plain SVG.")
    x, y = float(point.x), float(point.y)
    if not (math.isfinite(x) and math.isfinite(y)):
        raise FileError("a path holds a number that is not finite.", "Save the drawing again as plain SVG.")
    return x, y


def _pieces(segment: Any, tolerance: float) -> int:
    """Return how many straight pieces keep a curve within `tolerance`.

    For a Bezier curve of degree d the gap is at most d (d - 1) / 8 n^2 times the largest second
    difference of its control points; for an arc it is the sagitta of its larger radius.
    """
    import svgelements

    if isinstance(segment, svgelements.Arc):
        radius = max(float(segment.rx), float(segment.ry))
        if not radius > tolerance:
            return 1
        wanted = abs(float(segment.sweep)) / (2 * math.acos(1 - min(1.0, tolerance / radius)))
    else:
        corners = [_point(p) for p in (segment.start, *_controls(segment), segment.end)]
        degree = len(corners) - 1
        bend = max(
            math.hypot(a[0] - 2 * b[0] + c[0], a[1] - 2 * b[1] + c[1])
            for a, b, c in zip(corners, corners[1:], corners[2:], strict=False)
        )
        wanted = math.sqrt(degree * (degree - 1) / 8 * bend / tolerance)
    return max(1, min(MOST_PIECES, math.ceil(wanted)))


def _controls(segment: Any) -> tuple[Any, ...]:
    """Return the control points between the ends of a Bezier curve."""
    if hasattr(segment, "control1"):
        return segment.control1, segment.control2
    return (segment.control,)
