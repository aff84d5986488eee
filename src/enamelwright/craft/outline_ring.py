"""Closed lines in the plane: their area, length, widths and faults.

A ring is a tuple of (x, y) points in metres, x to the right and y upwards as seen from the front, in
either direction, without the first point repeated at the end. Curves arrive here already flattened.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

import numpy as np

from enamelwright.errors import InputError
from enamelwright.units import show

Point = tuple[float, float]
Ring = tuple[Point, ...]

#: Largest gap between a curve and the straight pieces that stand for it [m]; a tenth of a hair.
FLATTENING = 2e-6
#: Points nearer together than this are one point [m].
SAME_POINT = 1e-9
#: A flattened round never has fewer pieces than this, whatever its size.
FEWEST_PIECES = 24
#: A ring of more points than this is not a drawing of a piece; it would only cost time.
MOST_POINTS = 50_000
#: Most steps of the arithmetic-geometric mean; it doubles its digits at each, so 8 would do.
MEAN_STEPS = 40


def ring(points: Iterable[Sequence[float]], what: str = "outline") -> Ring:
    """Return the points as a clean ring, refusing what is no ring.

    Parameters
    ----------
    points : iterable of (x, y)
        Corners [m]; repeated neighbours and a repeated first point are dropped.
    what : str
        What the ring is, for the error.

    Raises
    ------
    InputError
        For fewer than three different points, a number that is not finite, or too many points.
    """
    kept: list[Point] = []
    for point in points:
        if len(point) != 2:
            raise InputError(f"a point of the {what} does not have two coordinates.", "Give x and y.")
        x, y = float(point[0]), float(point[1])
        if not (math.isfinite(x) and math.isfinite(y)):
            raise InputError(f"the {what} has a point that is not finite.", "Give ordinary numbers.")
        if not kept or math.hypot(x - kept[-1][0], y - kept[-1][1]) > SAME_POINT:
            kept.append((x, y))
        if len(kept) > MOST_POINTS:
            raise InputError(f"the {what} has more than {MOST_POINTS} points.", "Draw it with fewer nodes.")
    while len(kept) > 1 and math.hypot(kept[0][0] - kept[-1][0], kept[0][1] - kept[-1][1]) <= SAME_POINT:
        kept.pop()
    if len(kept) < 3:
        raise InputError(
            f"the {what} has fewer than three different points.", "Give at least three corners of a closed line."
        )
    return tuple(kept)


def refuse_crossing(points: Ring, what: str = "outline") -> None:
    """Raise when the ring crosses or touches itself, saying where.

    Raises
    ------
    InputError
        With the place in mm.
    """
    from shapely import Polygon
    from shapely.validation import explain_validity

    polygon = Polygon(points)
    if polygon.is_valid and polygon.area > 0:
        return
    found = re.search(r"\[\s*(\S+)\s+(\S+)\s*\]", explain_validity(polygon))
    place = " at x {}, y {}".format(*(show(float(found[i]), "length", "mm") for i in (1, 2))) if found else ""
    raise InputError(
        f"the {what} crosses or touches itself{place}.", "Move the points so that the line goes round once."
    )


def signed_area(points: Ring) -> float:
    """Return the area [m2] by the shoelace formula; positive when the ring runs anticlockwise."""
    xy = np.asarray(points, dtype=float)
    xy = xy - xy.mean(axis=0)  # far from the origin the products would cancel badly
    x, y = xy[:, 0], xy[:, 1]
    return float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) / 2


def area(points: Ring) -> float:
    """Return the area inside the ring [m2]."""
    return abs(signed_area(points))


def length(points: Ring, closed: bool = True) -> float:
    """Return the length of the line [m], the closing piece included when `closed`."""
    xy = np.asarray(points, dtype=float)
    steps = np.roll(xy, -1, axis=0) - xy if closed else np.diff(xy, axis=0)
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def hull(points: Ring) -> Ring:
    """Return the convex hull, anticlockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def chain(sequence: Iterable[Point]) -> list[Point]:
        line: list[Point] = []
        for x, y in sequence:
            while len(line) > 1:
                (ax, ay), (bx, by) = line[-2], line[-1]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0:
                    break
                line.pop()
            line.append((x, y))
        return line[:-1]

    return tuple(chain(ordered) + chain(reversed(ordered)))


def longest_across(points: Ring) -> float:
    """Return the largest distance between two points of the ring [m]."""
    corners = np.asarray(hull(points))
    return max(float(np.hypot(*(corners - corner).T).max()) for corner in corners)


def narrowest_across(points: Ring) -> float:
    """Return the smallest width between two parallel lines that hold the ring [m].

    The narrowest pair always lies along one side of the convex hull.
    """
    corners = np.asarray(hull(points))
    best = math.inf
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        side = end - start
        size = math.hypot(*side)
        if size <= SAME_POINT:
            continue
        away = np.abs(side[0] * (corners[:, 1] - start[1]) - side[1] * (corners[:, 0] - start[0])) / size
        best = min(best, float(away.max()))
    return best


def pieces_for(radius: float, tolerance: float = FLATTENING) -> int:
    """Return how many straight pieces a full round of `radius` [m] needs to stay within `tolerance` [m]."""
    if radius <= tolerance:
        return FEWEST_PIECES
    return max(FEWEST_PIECES, math.ceil(math.pi / math.acos(1 - tolerance / radius)))


def ellipse_points(width: float, height: float, centre: Point = (0.0, 0.0)) -> Ring:
    """Return an ellipse of the given full axes [m] as a ring."""
    count = pieces_for(max(width, height) / 2)
    angles = [2 * math.pi * i / count for i in range(count)]
    return tuple((centre[0] + width / 2 * math.cos(t), centre[1] + height / 2 * math.sin(t)) for t in angles)


def rounded_points(width: float, height: float, radius: float) -> Ring:
    """Return a rectangle [m] with round corners of `radius` [m] as a ring about the origin."""
    across, up = width / 2 - radius, height / 2 - radius
    middles = ((across, up), (-across, up), (-across, -up), (across, -up))
    if radius == 0:
        return middles
    steps = math.ceil(pieces_for(radius) / 4)
    points = [
        (x + radius * math.cos(t), y + radius * math.sin(t))
        for quarter, (x, y) in enumerate(middles)
        for t in (math.pi / 2 * (quarter + i / steps) for i in range(steps + 1))
    ]
    return ring(points)


def ellipse_perimeter(width: float, height: float) -> float:
    """Return the perimeter of an ellipse of the given full axes [m].

    4 a E(m), with the complete elliptic integral by the arithmetic-geometric mean, so it is good to
    rounding for every ratio of the axes.

    Source: NIST Digital Library of Mathematical Functions, 19.8(i) and 19.30(i); Abramowitz & Stegun
    (1964) 17.6.
    """
    a, b = max(width, height) / 2, min(width, height) / 2
    mean, other = a, b
    total, weight = a**2 - (a**2 - b**2) / 2, 1
    for _ in range(MEAN_STEPS):
        half_gap = (mean - other) / 2
        if half_gap <= mean * np.finfo(float).eps:
            break
        mean, other = (mean + other) / 2, math.sqrt(mean * other)
        total -= weight * half_gap**2
        weight *= 2
    return 2 * math.pi * total / mean
