"""Openings and named areas of a face: holes through the metal and cells to be filled, in metres."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from enamelwright.craft import outline_ring as rings
from enamelwright.craft.outline_ring import Point, Ring
from enamelwright.errors import InputError
from enamelwright.units import show

#: A piece narrower than this or longer than that is a slip of the unit [m].
SMALLEST_SIDE, LARGEST_SIDE = 1e-3, 1.0
#: A hole or cell narrower than this is a slip of the pen [m].
SMALLEST_OPENING = 1e-4
#: Edges nearer than this are one edge when areas are joined [m].
SNAP = 1e-8
#: Names of areas are for people; nothing longer is one.
LONGEST_NAME = 60


@dataclass(frozen=True)
class Hole:
    """An opening through the metal, such as the one a piece hangs by.

    Parameters
    ----------
    name : str
        How people call it.
    boundary : Ring
        Its edge [m].
    diameter : float, optional
        Set for a round hole [m]; area and perimeter are then exact.
    """

    name: str
    boundary: Ring
    diameter: float | None = None

    @classmethod
    def round(cls, diameter: float, centre: Point = (0.0, 0.0), name: str = "hole") -> Hole:
        """Build a round hole of `diameter` about `centre` [m]."""
        check_size(diameter, f"diameter of the {name}", SMALLEST_OPENING)
        return cls(name, rings.ellipse_points(diameter, diameter, centre), diameter)

    @classmethod
    def cut(cls, points: Iterable[Sequence[float]], name: str = "hole") -> Hole:
        """Build a hole of any outline [m]."""
        return cls(name, checked_ring(points, name))

    @cached_property
    def area(self) -> float:
        """Area [m2]."""
        return rings.area(self.boundary) if self.diameter is None else math.pi * self.diameter**2 / 4

    @cached_property
    def perimeter(self) -> float:
        """Length of the edge [m]."""
        return rings.length(self.boundary) if self.diameter is None else math.pi * self.diameter


@dataclass(frozen=True)
class Cell:
    """A named area of the face, to be filled on its own.

    Parameters
    ----------
    name : str
        How people call it.
    boundary : Ring
        Its outer edge [m].
    islands : tuple of Ring
        What lies inside it but is no part of it: other cells, holes, bare metal [m].
    """

    name: str
    boundary: Ring
    islands: tuple[Ring, ...] = ()

    @cached_property
    def area(self) -> float:
        """Area without the islands [m2]."""
        return rings.area(self.boundary) - sum(rings.area(island) for island in self.islands)

    @cached_property
    def floor(self) -> Any:
        """The area as a shapely geometry, islands taken out; islands may share edges."""
        from shapely import Polygon, union_all

        whole = Polygon(self.boundary)
        if not self.islands:
            return whole
        inner = union_all([Polygon(island) for island in self.islands], grid_size=SNAP)
        return whole.difference(inner, grid_size=SNAP)

    @cached_property
    def perimeter(self) -> float:
        """Length of all its edges, islands included [m]: where glass meets wire or metal."""
        return float(self.floor.length) if self.islands else rings.length(self.boundary)

    @cached_property
    def chord(self) -> float:
        """Largest distance across [m]."""
        return rings.longest_across(self.boundary)

    @cached_property
    def short_side(self) -> float:
        """Smallest width between two parallel lines that hold it [m]."""
        return rings.narrowest_across(self.boundary)


def in_mm(size: float) -> str:
    """Print a length [m] for an error."""
    return show(size, "length", "mm") if math.isfinite(size) else "no finite length"


def called(name: str, kind: str) -> str:
    """Say a name with its kind, without saying the kind twice."""
    return name if name == kind or name.startswith(f"{kind} ") else f"{kind} '{name}'"


def check_size(size: float, what: str, smallest: float = SMALLEST_SIDE) -> None:
    """Refuse what cannot be the size of a piece [m]."""
    if not math.isfinite(size) or size <= 0:
        raise InputError(f"the {what} must be larger than nothing.", "Give a size in mm.")
    if not smallest <= size <= LARGEST_SIDE:
        raise InputError(
            f"a {what} of {in_mm(size)} is outside {in_mm(smallest)} to {in_mm(LARGEST_SIDE)}.",
            "Check the unit.",
        )


def checked_ring(points: Iterable[Sequence[float]], name: str) -> Ring:
    """Return the ring of a hole or cell, refusing crossings and absurd sizes."""
    if not 0 < len(name) <= LONGEST_NAME:
        raise InputError("an area of a drawing has no name or a very long one.", "Name it in a few words.")
    kept = rings.ring(points, name)
    rings.refuse_crossing(kept, name)
    check_size(rings.narrowest_across(kept), f"width of the {name}", SMALLEST_OPENING)
    check_size(rings.longest_across(kept), f"length of the {name}", SMALLEST_OPENING)
    return kept
