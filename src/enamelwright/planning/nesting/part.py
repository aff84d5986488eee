"""What is laid out: outlines with a count, how they may be turned, and where one copy has come to lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any, Literal

from enamelwright.craft import outline_ring as rings
from enamelwright.craft.outline_ring import Point, Ring
from enamelwright.craft.outline_shape import Shape
from enamelwright.errors import InputError

if TYPE_CHECKING:
    from shapely import Polygon

Turning = Literal["free", "quarters", "along", "not"]

#: Angles a part may take by how it may be turned [degrees]; a free one is tried at these first.
TURNS: dict[Turning, tuple[float, ...]] = {
    "free": tuple(15.0 * n for n in range(24)),
    "quarters": (0.0, 90.0, 180.0, 270.0),
    "along": (0.0, 180.0),
    "not": (0.0,),
}
#: A simplified outline stays this near outside the true one [m]; the thickness of a scribed line.
OUTSIDE = 3e-5
#: Share of that distance that the simplification may use, so that the outline never comes inside.
USED = 0.9
#: Most copies laid out at once.
MOST_COPIES = 2000


@dataclass(frozen=True)
class Part:
    """An outline to lay out.

    Parameters
    ----------
    name : str
        What it is called; different for each part.
    shape : Shape
        Its flat outline, holes included, about its own origin.
    count : int
        How many copies.
    turning : str
        ``free``, ``quarters``, ``along`` (a grain: only turned round by half) or ``not``.
    margin : float
        How far what carries it stands out all round [m]; 0 for none.
    """

    name: str
    shape: Shape = field(repr=False)
    count: int = 1
    turning: Turning = "free"
    margin: float = 0.0

    def __post_init__(self) -> None:
        """Refuse counts that cannot be."""
        if not 1 <= self.count <= MOST_COPIES:
            raise InputError(f"{self.count} copies of '{self.name}'.", f"Between 1 and {MOST_COPIES}.")

    @cached_property
    def outline(self) -> Polygon:
        """The room it takes, as a polygon that never lies inside the true outline, holes closed."""
        from shapely import Polygon

        rim = Polygon(self.shape.edge)
        if self.margin > 0:
            rim = rim.buffer(self.margin)
        grown = rim.buffer(OUTSIDE, join_style="mitre").simplify(OUTSIDE * USED)
        return Polygon(grown.exterior)

    @property
    def turns(self) -> tuple[float, ...]:
        """Angles worth trying [degrees]; a disc looks the same at all of them."""
        return (0.0,) if self.shape.kind == "circle" else TURNS[self.turning]


@dataclass(frozen=True)
class Placed:
    """One copy where it lies.

    Parameters
    ----------
    part : Part
        Which outline.
    x, y : float
        Where its origin has come to lie [m].
    turn : float
        Turned anticlockwise about its origin, before it is moved [degrees].
    """

    part: Part
    x: float
    y: float
    turn: float = 0.0

    @cached_property
    def outline(self) -> Polygon:
        """The room it takes there."""
        return laid(self.part.outline, self.x, self.y, self.turn)

    def moved(self, dx: float, dy: float) -> Placed:
        """Return it a little further on."""
        return Placed(self.part, self.x + dx, self.y + dy, self.turn)

    def line(self, ring: Ring) -> Ring:
        """Return a line of the part, such as its edge or a hole, where it lies."""
        c, s = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        return tuple((self.x + c * x - s * y, self.y + s * x + c * y) for x, y in ring)


@dataclass(frozen=True)
class Layout:
    """Copies that were laid, and those for which no place was found.

    Parameters
    ----------
    placed : tuple of Placed
        Where each lies.
    left : tuple of (Part, int)
        Parts and how many copies found no place; no proof that there is none.
    """

    placed: tuple[Placed, ...]
    left: tuple[tuple[Part, int], ...] = ()

    @cached_property
    def reach(self) -> tuple[float, float]:
        """How far right and up the copies reach [m]."""
        if not self.placed:
            return 0.0, 0.0
        ends = [one.outline.bounds for one in self.placed]
        return max(end[2] for end in ends), max(end[3] for end in ends)

    def counts(self) -> dict[str, int]:
        """Return how many copies of each part were laid, by name."""
        found: dict[str, int] = {}
        for one in self.placed:
            found[one.part.name] = found.get(one.part.name, 0) + 1
        return found


def laid(polygon: Any, x: float, y: float, turn: float) -> Any:
    """Return a polygon turned about the origin [degrees] and moved [m]."""
    from shapely.affinity import affine_transform

    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    return affine_transform(polygon, [c, -s, s, c, x, y])


def area_of(points: Sequence[Point]) -> float:
    """Return the area inside a line [m2]."""
    return rings.area(tuple(points))


def without(wanted: Sequence[Part], layout: Layout) -> tuple[tuple[Part, int], ...]:
    """Return what of the wanted parts a layout does not hold, with how many copies."""
    there = layout.counts()
    return tuple(
        (part, part.count - there.get(part.name, 0)) for part in wanted if part.count > there.get(part.name, 0)
    )
