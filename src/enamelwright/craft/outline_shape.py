"""The outline of a piece of metal as pure geometry: areas, edges, widths, holes and cells.

Everything is in metres, x to the right and y upwards as seen from the front. Areas of circles,
ellipses and rounded rectangles are closed forms; drawn outlines are polygons of flattened curves.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Literal

from enamelwright.craft import outline_ring as rings
from enamelwright.craft.outline_opening import Cell, Hole, called, check_size, in_mm
from enamelwright.craft.outline_ring import Ring
from enamelwright.errors import InputError
from enamelwright.units import show

__all__ = ["Cell", "Hole", "Kind", "Shape"]

Kind = Literal["circle", "ellipse", "rounded rectangle", "polygon", "drawing", "area only"]

#: An outline counts as round while its widths differ by less than this and it fills its circle so well.
ROUND_WITHIN = 0.02
#: Overlap of two cells, as a part of the smaller one, that flattening and shared edges can explain.
SLIVER = 0.01


@dataclass(frozen=True)
class Shape:
    """The outline of one piece with its holes and cells; use the constructors, they check.

    Parameters
    ----------
    kind : str
        What it was built from.
    edge : Ring
        The outer edge for drawing, curves flattened to :data:`outline_ring.FLATTENING` [m].
    outer_area : float
        Area inside the outer edge, holes not yet taken off [m2].
    perimeter : float
        Length of the outer edge [m].
    chord : float
        Largest distance across [m]; a bow is read over it. The diameter of a circle.
    short_side : float
        Smallest width between two parallel lines that hold the outline [m].
    holes : tuple of Hole
        Openings through the metal.
    cell_list : tuple of Cell
        Named areas, in the order drawn.
    wires : float
        Length of open lines of a drawing, which stand for wires between cells [m].
    """

    kind: Kind
    edge: Ring = field(repr=False)
    outer_area: float
    perimeter: float
    chord: float
    short_side: float
    holes: tuple[Hole, ...] = field(default=(), repr=False)
    cell_list: tuple[Cell, ...] = field(default=(), repr=False)
    wires: float = 0.0

    # ---- constructors -------------------------------------------------------------------------

    @classmethod
    def circle(cls, diameter: float) -> Shape:
        """Build a disc of `diameter` [m]."""
        check_size(diameter, "diameter")
        edge = rings.ellipse_points(diameter, diameter)
        return cls("circle", edge, math.pi * diameter**2 / 4, math.pi * diameter, diameter, diameter)

    @classmethod
    def ellipse(cls, width: float, height: float) -> Shape:
        """Build an oval (a true ellipse) of full axes `width` and `height` [m]."""
        check_size(width, "width")
        check_size(height, "height")
        return cls(
            "ellipse", rings.ellipse_points(width, height), math.pi * width * height / 4,
            rings.ellipse_perimeter(width, height), max(width, height), min(width, height),
        )  # fmt: skip

    @classmethod
    def rounded_rectangle(cls, width: float, height: float, radius: float = 0.0) -> Shape:
        """Build a rectangle [m] with corners of `radius` [m], 0 for sharp ones.

        Raises
        ------
        InputError
            When the radius is negative or larger than half the short side.
        """
        check_size(width, "width")
        check_size(height, "height")
        if not 0 <= radius <= min(width, height) / 2 + rings.SAME_POINT:
            raise InputError(
                f"a corner radius of {in_mm(radius)} does not fit a short side of {in_mm(min(width, height))}.",
                "Give a radius between 0 and half the short side.",
            )
        radius = min(radius, min(width, height) / 2)
        straight = width + height - 4 * radius
        return cls(
            "rounded rectangle", rings.rounded_points(width, height, radius),
            width * height - (4 - math.pi) * radius**2, 2 * (straight + math.pi * radius),
            math.hypot(width - 2 * radius, height - 2 * radius) + 2 * radius, min(width, height),
        )  # fmt: skip

    @classmethod
    def polygon(cls, points: Iterable[Sequence[float]]) -> Shape:
        """Build a straight-edged outline from its corners [m], in either direction.

        Raises
        ------
        InputError
            For fewer than three points, a line that crosses itself (says where), or absurd sizes.
        """
        return cls._of_ring(rings.ring(points), "polygon")

    @classmethod
    def area_only(cls, area: float, around: float | None = None, flat: bool = True) -> Shape:
        """Build the stand-in for a blank of known area but no drawing, such as a weighed one.

        Perimeter, short side and picture are those of the ellipse with this area and longest
        dimension; only the area is known.

        Parameters
        ----------
        area : float
            Of one face [m2].
        around : float, optional
            Largest distance across [m]; a round blank when left out.
        flat : bool
            False for a form such as a bead, whose surface is larger than any disc so wide; its edge
            and picture are then those of a disc as wide as it.

        Raises
        ------
        InputError
            When no flat outline has so much area within that width, or for absurd sizes.
        """
        if not (math.isfinite(area) and area > 0):
            raise InputError("an area must be larger than nothing.", "Give the area of one face.")
        round_width = math.sqrt(4 * area / math.pi)
        width = round_width if around is None else around
        check_size(width, "largest distance across")
        if not flat:
            disc = cls.circle(width)
            return replace(disc, kind="area only", outer_area=area)
        if width < round_width * (1 - ROUND_WITHIN):
            raise InputError(
                f"nothing flat of {show(area, 'area')} is only {in_mm(width)} wide; a disc has {in_mm(round_width)}.",
                "Check the area or the largest distance across.",
            )
        width = max(width, round_width)
        height = 4 * area / (math.pi * width)
        check_size(height, "width that this area leaves")
        return cls(
            "area only", rings.ellipse_points(width, height), area,
            rings.ellipse_perimeter(width, height), width, height,
        )  # fmt: skip

    @classmethod
    def from_drawing(
        cls,
        outline: Iterable[Sequence[float]],
        holes: Mapping[str, Iterable[Sequence[float]]] | None = None,
        cells: Iterable[Cell] = (),
        wires: float = 0.0,
    ) -> Shape:
        """Build a shape from flattened lines of a drawing.

        Parameters
        ----------
        outline : iterable of (x, y)
            Outer edge [m].
        holes : mapping of str to points
            Openings through the metal [m].
        cells : iterable of Cell
            Named areas.
        wires : float
            Total length of open lines [m].

        Raises
        ------
        InputError
            As for :meth:`polygon`, :meth:`with_holes` and :meth:`with_cells`.
        """
        shape = cls._of_ring(rings.ring(outline), "drawing")
        cut = [Hole.cut(points, name) for name, points in (holes or {}).items()]
        return replace(shape.with_holes(*cut).with_cells(*cells), wires=float(wires))

    @classmethod
    def _of_ring(cls, edge: Ring, kind: Kind) -> Shape:
        chord, short = rings.longest_across(edge), rings.narrowest_across(edge)
        check_size(chord, "largest distance across")
        check_size(short, "narrowest width")
        rings.refuse_crossing(edge)
        if rings.signed_area(edge) < 0:
            edge = edge[::-1]
        return cls(kind, edge, rings.area(edge), rings.length(edge), chord, short)

    def with_holes(self, *holes: Hole) -> Shape:
        """Return the shape with more openings through the metal.

        Raises
        ------
        InputError
            When a hole leaves the outline or overlaps another hole.
        """
        if not holes:
            return self
        from shapely import Polygon

        metal = Polygon(self.edge)
        placed = [(hole.name, Polygon(hole.boundary)) for hole in self.holes]
        for hole in holes:
            opening = Polygon(hole.boundary)
            if not metal.contains_properly(opening):
                raise InputError(
                    f"the {called(hole.name, 'hole')} does not lie inside the outline.",
                    "Move it inwards, or draw the notch as part of the outline.",
                )
            for name, other in placed:
                if opening.intersects(other):
                    raise InputError(
                        f"the holes '{name}' and '{hole.name}' overlap.", "Move one, or draw them as one hole."
                    )
            placed.append((hole.name, opening))
        return replace(self, holes=self.holes + holes)

    def with_cells(self, *cells: Cell) -> Shape:
        """Return the shape with more named areas.

        Raises
        ------
        InputError
            When a cell leaves the outline, overlaps another cell or repeats a name.
        """
        if not cells:
            return self
        from shapely import Polygon

        metal = Polygon(self.edge)
        placed = [(cell.name, cell.floor) for cell in self.cell_list]
        for cell in cells:
            for line in (cell.boundary, *cell.islands):
                rings.refuse_crossing(line, called(cell.name, "cell"))
            floor = cell.floor
            if not cell.area > 0 or abs(floor.area - cell.area) > SLIVER * cell.area:
                raise InputError(
                    f"the islands of the cell '{cell.name}' overlap, cross its edge or fill it.", "Draw them apart."
                )
            if floor.difference(metal).area > SLIVER * cell.area:
                raise InputError(f"the cell '{cell.name}' runs out of the outline.", "Draw it inside the outline.")
            for name, other in placed:
                if name == cell.name:
                    raise InputError(f"two cells are called '{name}'.", "Give each its own name.")
                if floor.intersection(other).area > SLIVER * min(floor.area, other.area):
                    raise InputError(f"the cells '{name}' and '{cell.name}' overlap.", "Draw them apart.")
            placed.append((cell.name, floor))
        return replace(self, cell_list=self.cell_list + cells)

    # ---- what is asked of it ------------------------------------------------------------------

    @cached_property
    def area(self) -> float:
        """Area of one face, holes taken off [m2]; cells are part of the face."""
        return self.outer_area - sum(hole.area for hole in self.holes)

    @cached_property
    def cells(self) -> Mapping[str, Cell]:
        """The named areas by name, in the order drawn."""
        return MappingProxyType({cell.name: cell for cell in self.cell_list})

    @cached_property
    def cells_area(self) -> float:
        """Area of all cells [m2]."""
        return sum(cell.area for cell in self.cell_list)

    @property
    def area_between_cells(self) -> float:
        """Area of the face outside every cell [m2]: the metal left when the cells are open."""
        return max(0.0, self.area - self.cells_area)

    @property
    def all_edges(self) -> float:
        """Length of the outer edge and of all holes [m]."""
        return self.perimeter + sum(hole.perimeter for hole in self.holes)

    @cached_property
    def is_round(self) -> bool:
        """True for a circle, and for an outline that cannot be told from one."""
        disc = math.pi * self.chord**2 / 4
        return (
            self.chord - self.short_side <= ROUND_WITHIN * self.chord
            and self.outer_area >= (1 - ROUND_WITHIN) ** 2 * disc
        )

    @cached_property
    def extent(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top [m]."""
        x, y = [point[0] for point in self.edge], [point[1] for point in self.edge]
        return min(x), min(y), max(x), max(y)

    @property
    def width(self) -> float:
        """Size from left to right [m]."""
        return self.extent[2] - self.extent[0]

    @property
    def height(self) -> float:
        """Size from bottom to top [m]."""
        return self.extent[3] - self.extent[1]

    def boundary_points(self) -> Ring:
        """Return the outer edge for drawing, anticlockwise, first point not repeated [m]."""
        return self.edge

    @cached_property
    def clearances(self) -> Mapping[str, float]:
        """Metal left between each hole and the nearest edge or other hole [m], by hole name."""
        if not self.holes:
            return MappingProxyType({})
        from shapely import LinearRing

        outer = LinearRing(self.edge)
        lines = [LinearRing(hole.boundary) for hole in self.holes]
        return MappingProxyType({
            hole.name: min(
                float(line.distance(other)) for other in (outer, *lines[:i], *lines[i + 1 :])
            )
            for i, (hole, line) in enumerate(zip(self.holes, lines, strict=True))
        })  # fmt: skip

    @property
    def clearance_to_edge(self) -> float:
        """Least metal between a hole and an edge or another hole [m]; infinite without holes."""
        return min(self.clearances.values(), default=math.inf)

    def dome_area_factor(self, rise: float) -> float:
        """Return the area of one face domed by `rise` over the flat area.

        A circle becomes a spherical cap: 1 + (h/a)^2, exact. Any other outline is taken as the ellipse
        of its longest and shortest widths, domed as a paraboloid with its rim in one plane:
        1 + (h/a)^2/2 + (h/b)^2/2. That is the leading term for an ellipse (1 % off at h = b/4, too
        large beyond) and an approximation for everything else. Holes are ignored.

        Parameters
        ----------
        rise : float
            Height of the dome at its middle over its rim [m], of either sign; at most half the short side.

        Raises
        ------
        InputError
            When the dome would be deeper than a hemisphere.

        Source
        ------
        Curved surface of a spherical cap, pi (a^2 + h^2): plane and solid geometry (Archimedes); the
        paraboloid term is integrated numerically in tests/craft/test_outline_shape.py.
        """
        half_long, half_short = self.chord / 2, self.short_side / 2
        if not abs(rise) <= half_short + rings.SAME_POINT:
            raise InputError(
                f"a dome of {in_mm(rise)} is deeper than half the short side of {in_mm(self.short_side)}.",
                "Give the height of the middle over the rim.",
            )
        return 1 + ((rise / half_long) ** 2 + (rise / half_short) ** 2) / 2
