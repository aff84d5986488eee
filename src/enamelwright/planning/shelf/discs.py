"""Equal discs on a shelf: published best packings of a square, plain rows, and what hands can place.

Area is not capacity: a shelf 150 mm square has the area of eleven footprints of 45 mm and holds nine.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from enamelwright.craft.outline_ring import Point
from enamelwright.errors import InputError
from enamelwright.reference import loader

#: The table is rounded to twelve decimals.
SLACK = 1e-11
#: Counts below this far from a whole number are that number.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Shelf:
    """A rectangular shelf with its clearances.

    Parameters
    ----------
    width, depth : float
        [m].
    gap : float
        Least distance between two pieces [m].
    edge : float
        Kept bare along all four edges [m].
    """

    width: float
    depth: float
    gap: float
    edge: float

    def __post_init__(self) -> None:
        """Refuse what is no shelf."""
        if not (self.width > 0 and self.depth > 0):
            raise InputError("a shelf is larger than nothing.", "Give its width and depth in mm.", "shelf")
        if self.gap < 0 or self.edge < 0:
            raise InputError("a clearance is not negative.", "Give 0 or more.", "shelf")

    @property
    def inside(self) -> tuple[float, float]:
        """Width and depth within the bare edges [m]."""
        return self.width - 2 * self.edge, self.depth - 2 * self.edge


@dataclass(frozen=True)
class DiscLayout:
    """Equal discs laid out.

    Parameters
    ----------
    kind : str
        ``grid``, ``rows`` (staggered) or ``table`` (published, needs a template).
    middles : tuple of (float, float)
        From the left front corner of the shelf [m].
    spare : float
        Distance between the nearest two beyond the discs themselves [m]; infinite for one.
    """

    kind: str
    middles: tuple[Point, ...]
    spare: float


@lru_cache(maxsize=1)
def radii() -> tuple[float, ...]:
    """Return the best known radius of 1, 2 ... equal circles in a unit square.

    Source: E. Specht, Packomania, circles in a square, secondary copy; proven best up to 30 and for 36 (P. G. Szabo
    et al., New Approaches to Circle Packing in a Square, 2007, as cited by OEIS A337020).
    """
    return tuple(float(row["radius"]) for row in loader.rows("trade/packing"))


def is_proven(count: int) -> bool:
    """Whether no better packing of so many circles can exist, as published."""
    rows = loader.rows("trade/packing")
    return count <= len(rows) and rows[count - 1]["note"] == "proven best"


def grid_count(shelf: Shelf, across: float) -> int:
    """Return how many discs stand in plain rows and columns."""
    wide, deep = (_whole((side + shelf.gap) / (across + shelf.gap)) for side in shelf.inside)
    return max(wide, 0) * max(deep, 0)


def table_count(shelf: Shelf, across: float) -> int:
    """Return how many discs the published packings give; 0 for a shelf that is not square or no disc at all.

    Each disc is grown by half the clearance and so is the square: the largest count whose radius suffices.
    """
    side = min(shelf.inside)
    if abs(shelf.inside[0] - shelf.inside[1]) > ROUNDING or side < across - ROUNDING:
        return 0
    needed = (across + shelf.gap) / (2 * (side + shelf.gap))
    return max((n for n, radius in enumerate(radii(), 1) if radius >= needed * (1 - SLACK)), default=0)


def largest_gap(shelf: Shelf, across: float, count: int) -> float:
    """Return the largest clearance at which the published packing of `count` still fits a square shelf [m].

    Raises
    ------
    InputError
        When the count is beyond the table.
    """
    if not 1 < count <= len(radii()):
        raise InputError(f"packings of {count} are not in the table.", f"It holds 2 to {len(radii())}.")
    radius = radii()[count - 1]
    return (2 * radius * min(shelf.inside) - across) / (1 - 2 * radius)


def rows_middles(shelf: Shelf, across: float, gap: float | None = None) -> tuple[Point, ...]:
    """Return staggered rows, the best of both ways round, as middles [m].

    The pitch along a row is stretched to the width, so that rows can stand nearer together.
    """
    apart = across + (shelf.gap if gap is None else gap)
    wide, deep = (side - across for side in shelf.inside)
    if wide < -ROUNDING or deep < -ROUNDING:
        return ()
    one, turned = _rows(max(wide, 0.0), max(deep, 0.0), apart), _rows(max(deep, 0.0), max(wide, 0.0), apart)
    best = one if len(one) >= len(turned) else [(y, x) for x, y in turned]
    start = shelf.edge + across / 2
    return tuple((x + start, y + start) for x, y in best)


def _rows(wide: float, deep: float, apart: float) -> list[Point]:
    """Lay middles in rows along the width of the region of middles."""
    most = _whole(wide / apart) + 1
    best: list[Point] = []
    for count in {most, max(most - 1, 1), most + 1}:
        for shifted in (True, False):
            # every row of `count`, shifted by half a pitch in turn; or `count` and one fewer in turn
            pitches = count - 1 / 2 if shifted else count - 1
            pitch = wide / pitches if pitches else wide
            if count > 1 and pitch < apart * (1 - ROUNDING):
                continue
            pitch = min(max(pitch, apart), 2 * apart)
            between = max(math.sqrt(max(apart**2 - pitch**2 / 4, 0.0)), apart / 2)
            if count == 1 and (not shifted or pitch / 2 > wide + ROUNDING):
                between, pitch = apart, 0.0
            rows = _whole(deep / between) + 1
            laid: list[Point] = []
            for row in range(rows):
                here = count if shifted or row % 2 == 0 else count - 1
                start = pitch / 2 if row % 2 else 0.0
                laid += [(start + pitch * n, between * row) for n in range(here)]
            if len(laid) > len(best):
                best = laid
    return best


def grid_middles(shelf: Shelf, across: float, gap: float | None = None) -> tuple[Point, ...]:
    """Return plain rows and columns, spread evenly over the shelf, as middles [m]."""
    apart = across + (shelf.gap if gap is None else gap)
    counts = [_whole((side - across) / apart) + 1 for side in shelf.inside]
    if min(shelf.inside) < across - ROUNDING:
        return ()
    lines = []
    for side, count in zip(shelf.inside, counts, strict=True):
        room = max(side - across, 0.0)
        pitch = room / (count - 1) if count > 1 else 0.0
        first = 0.0 if count > 1 else room / 2
        lines.append([shelf.edge + across / 2 + first + pitch * n for n in range(count)])
    return tuple((x, y) for y in lines[1] for x in lines[0])


def table_middles(shelf: Shelf, across: float, count: int) -> tuple[Point, ...]:
    """Return the published packing of `count`, spread to the whole square, as middles [m]; empty if not shipped."""
    layouts = loader.document("trade/packing_layouts")
    found = layouts.get(str(count))
    if found is None:
        return ()
    room = min(shelf.inside) - across
    start = shelf.edge + across / 2
    return tuple((start + x * room, start + y * room) for x, y in found)


def capacity(shelf: Shelf, across: float) -> int:
    """Return the most equal discs that are known to fit.

    Parameters
    ----------
    shelf : Shelf
        The shelf.
    across : float
        Diameter of a disc with what carries it [m].
    """
    if not across > 0:
        raise InputError("a piece is larger than nothing.", "Give its diameter in mm.")
    return max(grid_count(shelf, across), table_count(shelf, across), len(rows_middles(shelf, across)))


def plainest(shelf: Shelf, across: float, count: int, hand: float) -> DiscLayout | None:
    """Return the plainest layout that holds so many: grid, then staggered rows, then the published packing.

    Plain layouts are asked for a clearance wider by twice the error of the hand, as two neighbours can each be
    off; only the published packing is allowed to rely on a template.

    Parameters
    ----------
    shelf : Shelf
        The shelf.
    across : float
        Diameter of a disc [m].
    count : int
        How many.
    hand : float
        How far off a piece is set down by hand [m].

    Returns
    -------
    DiscLayout or None
        None when no layout that is shipped holds so many.
    """
    wide = shelf.gap + 2 * hand
    tries: Sequence[tuple[str, tuple[Point, ...]]] = (
        ("grid", grid_middles(shelf, across, wide)),
        ("rows", rows_middles(shelf, across, wide)),
        ("grid", grid_middles(shelf, across)),
        ("rows", rows_middles(shelf, across)),
    )
    for kind, middles in tries:
        if len(middles) >= count:
            return DiscLayout(kind, middles[:count], _spare(middles[:count], across))
    for more in range(count, table_count(shelf, across) + 1):
        middles = table_middles(shelf, across, more)
        if middles:
            return DiscLayout("table", middles[:count], _spare(middles[:count], across))
    return None


def _spare(middles: Sequence[Point], across: float) -> float:
    nearest = min(
        (math.dist(one, other) for n, one in enumerate(middles) for other in middles[n + 1 :]), default=math.inf
    )
    return nearest - across


def _whole(number: float) -> int:
    return math.floor(number + ROUNDING)
