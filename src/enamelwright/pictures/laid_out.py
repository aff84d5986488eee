"""What the drawings of a shelf and of a cut sheet share: pieces where they lie, their numbers, a measure to check."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.craft.outline_ring import Point, Ring
from enamelwright.pictures import svg

MM = 1000.0
#: Numbers on pieces are at least so tall that a hand's breadth away they can be read, and never larger [mm].
SMALLEST, LARGEST = 2.2, 6.0
#: Lines of outlines and of helps [mm].
LINE, HAIR = 0.35, 0.18


#: A number stands in the middle where that has this share of the most room there is, found to a part of the size.
ENOUGH, CLOSE = 0.6, 40
#: A measure shorter than asked is a whole number of these [m], so that what is written at it is true.
STEPS = (0.01, 0.001)


@dataclass(frozen=True)
class LaidPiece:
    """One piece where it lies.

    Parameters
    ----------
    label : str
        Number or short word written on it.
    name : str
        What it is.
    edge : Ring
        Its outline [m].
    holes : tuple of Ring
        Openings [m].
    room : Ring
        The room it takes with what carries it [m]; empty when that is the outline.
    """

    label: str
    name: str
    edge: Ring
    holes: tuple[Ring, ...] = ()
    room: Ring = ()

    @property
    def middle(self) -> Point:
        """Middle of its extent [m]."""
        x, y = [at[0] for at in self.edge], [at[1] for at in self.edge]
        return (min(x) + max(x)) / 2, (min(y) + max(y)) / 2

    def word_at(self) -> Point:
        """Return where its number stands [m]: in its middle, or where there is most room when the middle has little."""
        from shapely import Point as Spot
        from shapely import Polygon
        from shapely.ops import polylabel

        region = Polygon(self.edge, self.holes)
        if not region.is_valid or region.is_empty:
            return self.middle
        best = polylabel(region, min(self.size) / CLOSE)
        middle = Spot(self.middle)
        room = region.boundary.distance(middle) if region.covers(middle) else 0.0
        if room >= ENOUGH * region.boundary.distance(best):
            return self.middle
        return float(best.x), float(best.y)

    @property
    def size(self) -> tuple[float, float]:
        """Extent [m]."""
        x, y = [at[0] for at in self.edge], [at[1] for at in self.edge]
        return max(x) - min(x), max(y) - min(y)


@dataclass(frozen=True)
class Frame:
    """From metres with y upwards to millimetres of the picture with y downwards.

    Parameters
    ----------
    left, top : float
        Left and upper end of what is drawn [m].
    scale : float
        Picture over reality; 1 at true size.
    x, y : float
        Where that corner stands in the picture [mm].
    """

    left: float
    top: float
    scale: float
    x: float
    y: float

    def at(self, point: Point) -> Point:
        """Return a point of reality in the picture."""
        return (
            self.x + (point[0] - self.left) * MM * self.scale,
            self.y + (self.top - point[1]) * MM * self.scale,
        )

    def length(self, size: float) -> float:
        """Return a length of reality in the picture [mm]."""
        return size * MM * self.scale

    def path(self, rings: Sequence[Ring]) -> str:
        """Return closed lines as path data."""
        parts = []
        for ring in rings:
            placed = [self.at(point) for point in ring]
            parts.append("M" + "L".join(f"{svg.number(x)} {svg.number(y)}" for x, y in placed) + "Z")
        return "".join(parts)


def piece(one: LaidPiece, frame: Frame, ink: str, fill: str, quiet: str) -> list[str]:
    """Draw a piece with its holes, the room it takes and its number.

    Parameters
    ----------
    one : LaidPiece
        The piece.
    frame : Frame
        Of the picture.
    ink, fill, quiet : str
        Colours of line, face and help lines.
    """
    body = []
    if one.room:
        body.append(
            f'<path d="{frame.path([one.room])}" fill="none" stroke="{quiet}" stroke-width="{svg.number(HAIR)}"'
            ' stroke-dasharray="1 0.8"/>'
        )
    body.append(
        f'<path d="{frame.path([one.edge, *one.holes])}" fill="{fill}" fill-rule="evenodd" stroke="{ink}"'
        f' stroke-width="{svg.number(LINE)}"/>'
    )
    size = min(max(min(frame.length(side) for side in one.size) * 0.4, SMALLEST), LARGEST)
    x, y = frame.at(one.word_at())
    body.append(svg.text(x, y + size * 0.36, one.label, size, ink, "middle", True))
    return body


def round_length(most: float, room: float) -> float:
    """Return the length of a measure [m]: as asked where there is room, else the longest round one."""
    if room >= most:
        return most
    return next((whole * step for step in STEPS if (whole := math.floor(room / step + _HAIR)) > 0), room)


#: Rounding of a division.
_HAIR = 1e-9


def measure(x: float, y: float, real: float, frame: Frame, ink: str) -> list[str]:
    """Draw a measure to hold a ruler against.

    Parameters
    ----------
    x, y : float
        Its left end [mm].
    real : float
        Its true length [m].
    frame : Frame
        Of the picture.
    ink : str
        Its colour.
    """
    end = x + frame.length(real)
    ticks = [svg.line((at, y - 1.2), (at, y + 1.2), ink, LINE) for at in (x, end)]
    return [
        svg.line((x, y), (end, y), ink, LINE),
        *ticks,
        svg.text(end + 1.5, y + 1.1, f"{real * MM:.0f} mm", 3.0, ink),
    ]
