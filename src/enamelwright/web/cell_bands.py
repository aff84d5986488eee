"""Cells nobody drew, shown as bands across the outline: each as much of the face as it takes, in their order."""

from __future__ import annotations

from dataclasses import replace

from enamelwright.craft.outline_opening import Cell
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece

#: Halvings until the edge of a band is found; far finer than a line on the screen.
HALVINGS = 40


def in_bands(shape: Shape, piece: Piece) -> Shape:
    """Return the outline with the cells of a piece as bands from left to right; itself when their sizes are not told.

    Parameters
    ----------
    shape : Shape
        The outline, without cells.
    piece : Piece
        Whose cells tell a share or an area.
    """
    shares = [(one.name, one.share or (one.area or 0.0) / shape.area) for one in piece.cells]
    shares = [(name, share) for name, share in shares if share > 0]
    whole = sum(share for _, share in shares)
    if not shares or shape.kind == "area only":
        return shape
    from shapely import Polygon, box

    face = Polygon(shape.edge)
    left, low, right, high = face.bounds
    scale = 1.0 / max(whole, 1.0)
    cells, before, start = [], 0.0, left
    for name, share in shares:
        before += share * scale
        near, far = start, right
        for _ in range(HALVINGS):
            middle = (near + far) / 2
            short = face.intersection(box(left, low, middle, high)).area < before * face.area
            near, far = (middle, far) if short else (near, middle)
        band = face.intersection(box(start, low, far, high))
        largest = max(getattr(band, "geoms", [band]), key=lambda one: one.area)
        if largest.geom_type == "Polygon" and not largest.is_empty:
            cells.append(Cell(name, tuple((float(x), float(y)) for x, y in largest.exterior.coords[:-1])))
        start = far
    return replace(shape, cell_list=tuple(cells))
