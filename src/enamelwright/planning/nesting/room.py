"""Where parts may lie: a region with an edge to keep clear and spots to keep free, and the check of a layout."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from enamelwright.craft.outline_ring import Point, Ring, refuse_crossing, ring
from enamelwright.errors import InputError
from enamelwright.planning.nesting.part import Layout, Placed

if TYPE_CHECKING:
    from shapely import Polygon

#: Distances below this are rounding [m].
ROUNDING = 1e-9


@dataclass(frozen=True)
class Room:
    """A region to lay parts in.

    Parameters
    ----------
    outline : Ring
        Its edge [m].
    gap : float
        Least distance between two parts [m].
    edge : float
        Least distance of a part from the edge [m].
    spots : tuple of (float, float, float)
        Round places kept free: middle and diameter [m].
    windows : tuple of Ring
        Openings in the region that are no longer there, such as what was cut out of a remnant [m].
    """

    outline: Ring
    gap: float
    edge: float = 0.0
    spots: tuple[tuple[float, float, float], ...] = ()
    windows: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no region."""
        refuse_crossing(ring(self.outline, "sheet"), "sheet")
        if self.gap < 0 or self.edge < 0:
            raise InputError("a clearance is not negative.", "Give 0 or more.")

    @classmethod
    def rectangle(
        cls,
        width: float,
        height: float,
        gap: float,
        edge: float = 0.0,
        spots: Sequence[tuple[float, float, float]] = (),
    ) -> Room:
        """Return a rectangle with its left lower corner at the origin [m].

        Raises
        ------
        InputError
            When nothing is left inside the edges.
        """
        if not (width > 0 and height > 0):
            raise InputError("the region must be larger than nothing.", "Give its width and height in mm.")
        if 2 * edge >= min(width, height):
            raise InputError("the edges that are kept bare leave nothing between them.", "Make the edge smaller.")
        corners: tuple[Point, ...] = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
        return cls(corners, gap, edge, tuple(spots))

    @cached_property
    def whole(self) -> Polygon:
        """The region itself, openings taken out."""
        from shapely import Polygon

        return Polygon(self.outline, self.windows)

    @cached_property
    def free(self) -> Any:
        """Where parts may lie with all of their outline."""
        from shapely import Point as Middle

        region = self.whole.buffer(-self.edge, join_style="mitre") if self.edge else self.whole
        outside = math.cos(math.pi / (4 * SPOT_PIECES))  # so that the straight pieces lie outside the round spot
        for x, y, across in self.spots:
            region = region.difference(Middle(x, y).buffer(across / 2 / outside, quad_segs=SPOT_PIECES))
        return region

    @property
    def is_rectangle(self) -> bool:
        """Whether it is an upright rectangle with nothing in it."""
        left, low, right, top = self.whole.bounds
        full = (right - left) * (top - low)
        return not self.spots and not self.windows and abs(self.whole.area - full) <= ROUNDING * full

    def faults(self, layout: Layout | Sequence[Placed]) -> tuple[str, ...]:
        """Say what is wrong with a layout: overlaps, too little distance, outside the region; empty when sound.

        Parameters
        ----------
        layout : Layout or sequence of Placed
            What was laid.
        """
        from shapely import STRtree

        placed = layout.placed if isinstance(layout, Layout) else tuple(layout)
        found = []
        room = self.free.buffer(ROUNDING)
        outlines = [one.outline for one in placed]
        for one, outline in zip(placed, outlines, strict=True):
            if not room.covers(outline):
                found.append(f"'{one.part.name}' does not lie inside")
        tree = STRtree(outlines)
        for n, outline in enumerate(outlines):
            near = tree.query(outline, predicate="dwithin", distance=max(self.gap - ROUNDING, 0.0))
            for m in (int(other) for other in near):
                if m > n and (self.gap > ROUNDING or outline.intersection(outlines[m]).area > ROUNDING**2):
                    found.append(f"'{placed[n].part.name}' and '{placed[m].part.name}' lie too near")
        return tuple(found)


#: Straight pieces of a quarter of a spot's rim, so that a spot kept free is round to a hundredth of its size.
SPOT_PIECES = 16
