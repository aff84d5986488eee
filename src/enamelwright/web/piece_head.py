"""What stands above the drawing board of a piece: the same head as above its other pages."""

from __future__ import annotations

from typing import Any

from enamelwright.workshop import designs
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed


def piece_head(studio: Studio, number: str) -> dict[str, Any]:
    """Gather the head of a piece: the piece, its design and version, its thickness as typed.

    Parameters
    ----------
    studio : Studio
        The studio.
    number : str
        Permanent number of the piece.
    """
    row = piece_row(studio, number)
    version = designs.version_row(studio, row.design_version) if row.design_version else None
    return {
        "piece": row, "version": version, "fired": None,
        "design": designs.design_row(studio, version.design) if version is not None else None,
        "thickness": as_typed(row, "thickness", "mm") if row.thickness is not None else "",
    }  # fmt: skip
