"""Sheets and remnants of metal, and what remains of one after blanks are cut from it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from enamelwright.craft.outline_ring import Ring
from enamelwright.craft.outline_shape import Shape
from enamelwright.errors import InputError
from enamelwright.planning.nesting.part import Placed
from enamelwright.planning.nesting.room import Room

if TYPE_CHECKING:
    from shapely import Polygon

#: A remnant is worth keeping from twice the square of its least width; a pocket between blanks is smaller.
WORTH = 2
#: Straight pieces of a quarter round where corners are rounded [count].
QUARTER = 8
#: Points of a remnant's outline nearer to its line than this are left out [m]; a scribed line is no finer.
SCRIBED = 1e-4
#: Corners as wide as a right angle are kept whole: there the point lies sqrt(2) of the width away.
CORNER = 1.5


@dataclass(frozen=True)
class Sheet:
    """A sheet or a remnant.

    Parameters
    ----------
    label : str
        What it is called at the bench.
    outline : Ring
        Its edge [m]; the grain runs along x.
    remnant : bool
        Whether it is left over from earlier work; those are used up first.
    windows : tuple of Ring
        Openings in it [m].
    lot : str
        Lot of the metal.
    """

    label: str
    outline: Ring
    remnant: bool = False
    windows: tuple[Ring, ...] = ()
    lot: str = ""

    @classmethod
    def rectangle(cls, label: str, width: float, height: float, lot: str = "") -> Sheet:
        """Return an upright rectangle [m]."""
        if not (width > 0 and height > 0):
            raise InputError("a sheet is larger than nothing.", "Give its width and height in mm.", label)
        return cls(label, ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), lot=lot)

    @cached_property
    def area(self) -> float:
        """Metal of one face [m2]."""
        return float(self.room(0.0, 0.0).whole.area)

    def room(self, kerf: float, edge: float) -> Room:
        """Return it as a region to lay blanks in."""
        return Room(self.outline, kerf, edge, (), self.windows)


@dataclass(frozen=True)
class Remains:
    """What is left of a sheet.

    Parameters
    ----------
    remnants : tuple of (Ring, tuple of Ring)
        Outline and openings of every piece worth keeping, the largest first [m].
    kept, cut, lost : float
        Area kept, cut out as blanks, and lost as scrap and kerf [m2].
    """

    remnants: tuple[tuple[Ring, tuple[Ring, ...]], ...]
    kept: float
    cut: float
    lost: float


def remains(sheet: Sheet, placed: Sequence[Placed], kerf: float, least: float) -> Remains:
    """Return what is left of a sheet when blanks are cut from it.

    A remnant is what a disc of the least width can be rolled about in, with the corners that belong to it; narrower
    necks and slivers are scrap. Its outline follows the edge of the sheet, and keeps a scribed line more than the kerf
    from what is cut.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    placed : sequence of Placed
        Blanks on it.
    kerf : float
        Lost to the saw [m].
    least : float
        Least width of what is worth keeping [m].
    """
    from shapely import union_all

    if not placed:
        return Remains(((sheet.outline, sheet.windows),), sheet.area, 0.0, 0.0)
    whole = sheet.room(0.0, 0.0).whole
    cut = sum(one.part.shape.area for one in placed)
    left = whole.difference(union_all([one.outline.buffer(kerf + SCRIBED, quad_segs=QUARTER) for one in placed]))
    opened = left.buffer(-least / 2, quad_segs=QUARTER)
    # Grown back with its corners: a right one comes back whole, a sharper one is cut off.
    grown = opened.buffer(least / 2, join_style="mitre", mitre_limit=CORNER).intersection(left)
    found = sorted(
        (one for part in _polygons(grown) for one in _polygons(_plain(part, whole)) if one.area >= WORTH * least**2),
        key=lambda one: -one.area,
    )
    rings = tuple((_ring(one.exterior), tuple(_ring(hole) for hole in one.interiors)) for one in found)
    area = float(sum(one.area for one in found))
    return Remains(rings, area, cut, max(float(whole.area) - area - cut, 0.0))


def _plain(polygon: Polygon, whole: Polygon) -> Any:
    """Return a polygon with fewer points that stays on the metal; no line is moved by more than it is scribed wide."""
    plain = polygon.simplify(SCRIBED)
    if not whole.covers(plain):
        plain = plain.intersection(whole)
    return plain if plain.is_valid and not plain.is_empty else polygon


def _polygons(geometry: Any) -> list[Any]:
    if geometry.is_empty:
        return []
    return [one for one in getattr(geometry, "geoms", [geometry]) if one.geom_type == "Polygon"]


def _ring(line: Any) -> Ring:
    return tuple((float(x), float(y)) for x, y in list(line.coords)[:-1])


def boxes_length(shapes: Sequence[tuple[Shape, int]], height: float, gap: float) -> float:
    """Return the length of sheet that bounding boxes take, laid in columns: what a rule and scissors would do.

    Boxes lie the way round that is lower, the tallest first, each column as wide as its first box.

    Parameters
    ----------
    shapes : sequence of (Shape, int)
        Outlines and how many of each.
    height : float
        Of the sheet [m].
    gap : float
        Between two boxes [m].

    Raises
    ------
    InputError
        When a box is higher than the sheet both ways.
    """
    boxes = []
    for shape, count in shapes:
        ways = sorted((shape.width, shape.height))
        if ways[0] > height:
            raise InputError("a blank is larger than the sheet is high.", "Take a larger sheet.")
        wide, tall = (ways[0], ways[1]) if ways[1] <= height else (ways[1], ways[0])
        boxes += [(wide, tall)] * count
    boxes.sort(key=lambda box: (-box[0], -box[1]))
    columns: list[tuple[float, float]] = []  # width, height still free
    for wide, tall in boxes:
        for n, (column, free) in enumerate(columns):
            if tall + gap <= free:
                columns[n] = (column, free - tall - gap)
                break
        else:
            columns.append((wide, height - tall))
    return sum(wide for wide, _ in columns) + gap * max(len(columns) - 1, 0)
