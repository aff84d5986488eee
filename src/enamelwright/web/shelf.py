"""The load from above, as the door shows it: where every piece stands, with its number in large print."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup
from sqlalchemy import Row

from enamelwright.craft.laying import shape_of
from enamelwright.craft.metal import metal
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures.plan_view import plan_view_svg
from enamelwright.web import drawings
from enamelwright.workshop.designs import piece_of, version_row
from enamelwright.workshop.designs import shape_of as drawn_shape
from enamelwright.workshop.studio import Studio

#: Most pieces drawn with their outline; a fuller shelf shows numbers alone.
DRAWN = 24
#: A shelf is drawn this much wider than deep.
WIDER = 1.3


@dataclass(frozen=True)
class Place:
    """A piece where it stands in the kiln.

    Parameters
    ----------
    number, label, position : str
        Of the piece.
    outline : Markup or None
        Drawn from above.
    stage : str
        Seen of it, where that was told.
    """

    number: str
    label: str
    position: str
    outline: Markup | None = None
    stage: str = ""

    @property
    def short(self) -> str:
        """The serial alone, for large print."""
        return self.number.rpartition("-")[2]


@dataclass(frozen=True)
class Shelf:
    """The load from above, as seen from the door: rows from the back to the front."""

    rows: tuple[tuple[Place, ...], ...] = ()

    @property
    def places(self) -> tuple[Place, ...]:
        """All of them, by rows."""
        return tuple(place for row in self.rows for place in row)


def shelf_of(studio: Studio, rows: Sequence[Row[Any]], told: Mapping[int, Row[Any]] | None = None) -> Shelf:
    """Place the pieces of a load as the door shows them, the first at the back left.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : sequence of Row
        Pieces in the order they were chosen.
    told : mapping, optional
        Row of a piece to its part of a load, where positions and stages were told.
    """
    if not rows:
        return Shelf()
    if told:
        rows = sorted(rows, key=lambda row: (_order(told[row.id].position), row.number))
    columns = max(1, math.ceil(math.sqrt(len(rows) * WIDER)))
    lines = math.ceil(len(rows) / columns)
    outlines: dict[int | None, Markup | None] = {}
    places = []
    for n, row in enumerate(rows):
        if len(rows) <= DRAWN and row.design_version not in outlines:
            outlines[row.design_version] = _outline(studio, row)
        part = told.get(row.id) if told else None
        position = (part.position or "") if part is not None else _position(n, columns, lines, len(rows))
        places.append(
            Place(
                row.number, row.label or "", position, outlines.get(row.design_version),
                (part.stage_seen or "") if part is not None else "",
            )
        )  # fmt: skip
    return Shelf(tuple(tuple(places[start : start + columns]) for start in range(0, len(places), columns)))


def _position(n: int, columns: int, lines: int, total: int) -> str:
    """Say a place as the door shows it."""
    if total == 1:
        return "centre"
    return f"row {n // columns + 1} of {lines} from the back, place {n % columns + 1}"


def _order(position: str | None) -> tuple[int, ...]:
    return tuple(int(part) for part in (position or "").replace(",", "").split() if part.isdecimal())[::2]


def _outline(studio: Studio, row: Row[Any]) -> Markup | None:
    """Draw a piece from above; None where its outline is not known."""
    if row.design_version is None:
        return None
    try:
        version = version_row(studio, row.design_version)
        piece = piece_of(version)
        shape = shape_of(piece, metal(piece.metal.kind), drawn_shape(version))
        key = f"outline-{row.number}"
        return drawings.lit(
            plan_view_svg(shape, 26.0, 20.0, "daylight", name=row.number, names=False, measure=False, key=key)
        )
    except (EnamelwrightError, ValueError, ArithmeticError):
        return None  # a drawing that cannot be made leaves the number, which is what matters
