"""Outlines as people give them: numbers, a traced photo, a weighed blank; each becomes the outside form of one."""

from __future__ import annotations

import base64
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

from enamelwright.errors import InputError

#: Most points and lines of one tracing.
MOST_POINTS, MOST_LINES = 2000, 60
#: Two points nearer than this [picture points] give no scale.
NEAR = 8.0
#: Decimals of a traced point [mm]: a hundredth, finer than anybody can point.
DECIMALS = 3

Point = tuple[float, float]


@dataclass(frozen=True)
class Traced:
    """One line traced over a photo.

    Parameters
    ----------
    kind : str
        ``outline``, ``cell`` or ``hole``.
    name : str
        Of a cell or hole.
    points : tuple of (float, float)
        In points of the picture, y downwards.
    """

    kind: str
    name: str
    points: tuple[Point, ...]


def traced_lines(data: Any) -> tuple[Traced, ...]:
    """Read what a page sends of a tracing.

    Parameters
    ----------
    data : JSON
        A list of ``{"kind", "name", "points": [[x, y], ...]}``.

    Raises
    ------
    InputError
        When it is something else, or too much.
    """
    if not isinstance(data, list) or not 1 <= len(data) <= MOST_LINES:
        raise InputError("nothing was traced.", "Point round the edge of the piece, then close the line.")
    lines = []
    for one in data:
        if not isinstance(one, dict) or one.get("kind") not in {"outline", "cell", "hole"}:
            raise InputError("the tracing did not arrive whole.", "Trace it again.")
        points = _points(one.get("points"))
        lines.append(Traced(one["kind"], str(one.get("name", ""))[:60].strip(), points))
    if sum(len(line.points) for line in lines) > MOST_POINTS:
        raise InputError(f"more than {MOST_POINTS} points were traced.", "Use fewer; a curve needs about thirty.")
    if sum(line.kind == "outline" for line in lines) != 1:
        raise InputError("the tracing needs one outer edge.", "Trace the edge of the piece once.")
    return tuple(lines)


def _points(data: Any) -> tuple[Point, ...]:
    try:
        points = tuple((float(x), float(y)) for x, y in data)
    except (TypeError, ValueError) as error:
        raise InputError("the tracing did not arrive whole.", "Trace it again.") from error
    if len(points) < 3 or not all(math.isfinite(part) for point in points for part in point):
        raise InputError("a traced line has fewer than three points.", "Add some, or take the line out.")
    return points


def scale_of(ends: Any, apart: float) -> float:
    """Return millimetres for one point of the picture.

    Parameters
    ----------
    ends : JSON
        Two points of the picture.
    apart : float
        How far they really are apart [mm].

    Raises
    ------
    InputError
        When the points lie too near one another.
    """
    try:
        (x0, y0), (x1, y1) = ((float(x), float(y)) for x, y in ends)
    except (TypeError, ValueError) as error:
        raise InputError("the scale needs two points.", "Point at two places whose distance you know.") from error
    far = math.hypot(x1 - x0, y1 - y0)
    if not math.isfinite(far) or far < NEAR or not apart > 0:
        raise InputError("the two points of the scale are too near.", "Choose two that lie far apart.")
    return apart / far


def traced_outline(lines: Sequence[Traced], scale: float) -> tuple[dict[str, Any], dict[str, str] | None]:
    """Return the outline a tracing gives, with a drawing of it when it has cells or holes.

    Parameters
    ----------
    lines : sequence of Traced
        One of them the outer edge.
    scale : float
        Millimetres for one point of the picture.

    Returns
    -------
    tuple
        The outline in the outside form, and the drawing as a version keeps it, or None.
    """
    edge = next(line for line in lines if line.kind == "outline")
    left, right = min(x for x, _ in edge.points), max(x for x, _ in edge.points)
    top, low = min(y for _, y in edge.points), max(y for _, y in edge.points)
    middle = ((left + right) / 2, (top + low) / 2)

    def placed(points: Sequence[Point]) -> list[Point]:
        return [(round((x - middle[0]) * scale, DECIMALS), round((y - middle[1]) * scale, DECIMALS)) for x, y in points]

    if len(lines) == 1:
        return {"shape": "polygon", "points_mm": [[x, -y] for x, y in placed(edge.points)]}, None
    wide, tall = (right - left) * scale, (low - top) * scale
    drawn = "".join(_polygon(line, placed(line.points), n) for n, line in enumerate(lines))
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.3f}mm" height="{tall:.3f}mm"'
        f' viewBox="{-wide / 2:.3f} {-tall / 2:.3f} {wide:.3f} {tall:.3f}">{drawn}</svg>'
    )
    drawing = {"file": "drawing.svg", "base64": base64.b64encode(text.encode()).decode("ascii")}
    return {"shape": "drawing", "file": drawing["file"]}, drawing


def _polygon(line: Traced, points: Sequence[Point], number: int) -> str:
    name = {"outline": "outline", "hole": f"hole {line.name or number}"}.get(line.kind, line.name or f"cell {number}")
    where = " ".join(f"{x},{y}" for x, y in points)
    return f'<polygon id="{escape(name, quote=True)}" points="{where}"/>'
