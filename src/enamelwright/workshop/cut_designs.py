"""Designs that can be cut from sheet, each with its outline; a version is read once."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.metal import metal
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece, SurfaceArea, WeighedBlank
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.designs import design_version
from enamelwright.records.store import Store
from enamelwright.records.writing import current
from enamelwright.workshop import designs
from enamelwright.workshop.kept_drawings import outline_of
from enamelwright.workshop.studio import Studio

MM = 1000.0


@dataclass(frozen=True)
class CutDesign:
    """A design that can be cut from sheet.

    Parameters
    ----------
    row : int
        Of the design.
    name : str
        Of the design.
    version : int
        Row of its newest version.
    piece : Piece
        As that describes it.
    shape : Shape
        Its outline, holes cut out.
    """

    row: int
    name: str
    version: int
    piece: Piece
    shape: Shape

    @property
    def thickness(self) -> float:
        """Of the sheet [m]."""
        return self.piece.metal.thickness or 0.0

    @property
    def sheet(self) -> str:
        """Metal and thickness in words: what kind of sheet it is cut from."""
        return f"{metal(self.piece.metal.kind).name}, {self.thickness * MM:.2f} mm"


def cut_designs(studio: Studio) -> list[CutDesign]:
    """List the designs whose outline is known, by name."""
    with studio.reading() as connection:
        newest = designs.newest_versions(studio)
        cut = _cut_before(studio.store, [int(one.id) for one in newest.values()])
        fresh = [one.id for one in newest.values() if one.id not in cut]
        if fresh:
            rows = connection.execute(current(design_version).where(design_version.c.id.in_(fresh)))
            made = {int(row.id): _cut(row) for row in rows}
            cut |= made
            _keep_cut(studio.store, made)
        found = []
        for design in designs.designs(studio):
            version = newest.get(design.id)
            if version is not None and (told := cut.get(version.id)) is not None:
                found.append(CutDesign(int(design.id), str(design.name), int(version.of), *told))
    return found


#: What versions of designs are cut as, by their row; a row never changes, and reading one takes a millisecond.
_CUT: OrderedDict[tuple[Store, int], tuple[Piece, Shape] | None] = OrderedDict()
MOST_CUT = 1000
#: Pages are answered by several threads: what one looks up, another may just have pushed out.
_CUTTING = threading.Lock()


def _cut_before(store: Store, rows: Sequence[int]) -> dict[int, tuple[Piece, Shape] | None]:
    """Return what versions are cut as, of those that were read before; they count as used now."""
    with _CUTTING:
        known = [row for row in rows if (store, row) in _CUT]
        for row in known:
            _CUT.move_to_end((store, row))
        return {row: _CUT[store, row] for row in known}


def _keep_cut(store: Store, made: Mapping[int, tuple[Piece, Shape] | None]) -> None:
    """Keep what versions are cut as, and push out what was not used for longest."""
    with _CUTTING:
        for row, cut in made.items():
            _CUT[store, row] = cut
        while len(_CUT) > MOST_CUT:
            _CUT.popitem(last=False)


def _cut(version: Row[Any]) -> tuple[Piece, Shape] | None:
    """Return what a version is cut as; None where no outline is known."""
    try:
        piece = designs.piece_of(version)
        if piece.form != "sheet" or isinstance(piece.outline, SurfaceArea | WeighedBlank) or not piece.metal.thickness:
            return None
        return piece, outline_of(piece, version.drawing or None)
    except EnamelwrightError:
        return None
