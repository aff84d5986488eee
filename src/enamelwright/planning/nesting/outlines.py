"""From what a person describes to what is laid out: the outline as geometry, and the flat blank of a domed piece."""

from __future__ import annotations

import math
from collections.abc import Sequence

from enamelwright.craft.outline_shape import Hole, Shape
from enamelwright.craft.piece import Circle, Ellipse, Outline, Polygon, RoundedRectangle
from enamelwright.craft.piece import Hole as RoundHole
from enamelwright.errors import InputError


def shape_from(outline: Outline, holes: Sequence[RoundHole] = ()) -> Shape:
    """Return an outline told in numbers as geometry.

    Parameters
    ----------
    outline : Outline
        A circle, ellipse, rounded rectangle or polygon.
    holes : sequence of Hole
        Round holes through it.

    Raises
    ------
    InputError
        When it crosses itself, contradicts itself, or is a drawing or a weight, of which nothing can be cut.
    """
    if isinstance(outline, Circle):
        shape = Shape.circle(outline.diameter)
    elif isinstance(outline, Ellipse):
        shape = Shape.ellipse(outline.width, outline.height)
    elif isinstance(outline, RoundedRectangle):
        shape = Shape.rounded_rectangle(outline.width, outline.height, outline.corner)
    elif isinstance(outline, Polygon):
        shape = Shape.polygon(outline.points)
    else:
        raise InputError(
            "an outline known only by weight, by area or by a file cannot be laid out here.",
            "Give its size or its points.", "outline",
        )  # fmt: skip
    return shape.with_holes(*(Hole.round(hole.diameter, hole.at, f"hole {n}") for n, hole in enumerate(holes, 1)))


def blank_factor(shape: Shape, dome: float) -> float:
    """Return by how much a flat blank is larger across than the domed piece.

    The metal keeps its thickness, so the blank has the area of the dome: a disc raised by h over a rim of radius a
    comes from a blank of radius sqrt(a^2 + h^2). Other outlines grow by the root of their own factor.

    Parameters
    ----------
    shape : Shape
        Outline of the domed piece, seen from above.
    dome : float
        Height of its middle over the rim [m], of either sign.
    """
    return math.sqrt(shape.dome_area_factor(dome)) if dome else 1.0


def blank_of(shape: Shape, dome: float) -> Shape:
    """Return the flat blank a domed piece is made of; holes grow with it, so drill after doming what must fit."""
    factor = blank_factor(shape, dome)
    if factor == 1:
        return shape
    if shape.kind == "circle" and not shape.holes:
        return Shape.circle(shape.chord * factor)
    edge = [(x * factor, y * factor) for x, y in shape.edge]
    grown = Shape.polygon(edge)
    return grown.with_holes(
        *(Hole.cut([(x * factor, y * factor) for x, y in hole.boundary], hole.name) for hole in shape.holes)
    )


def centred(shape: Shape) -> Shape:
    """Return an outline about the middle of its extent, cells left out."""
    left, low, right, top = shape.extent
    dx, dy = (left + right) / 2, (low + top) / 2
    if shape.kind in {"circle", "ellipse", "rounded rectangle"} or max(abs(dx), abs(dy)) == 0:
        return shape
    moved = Shape.polygon([(x - dx, y - dy) for x, y in shape.edge])
    return moved.with_holes(
        *(Hole.cut([(x - dx, y - dy) for x, y in hole.boundary], hole.name) for hole in shape.holes)
    )
