"""Drawings as a design keeps them: taken up, laid by until they are used, and read as an outline."""

from __future__ import annotations

import base64
import hashlib
import tempfile
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Drawing, Piece
from enamelwright.errors import InputError
from enamelwright.workshop.drafts import draft, save_draft
from enamelwright.workshop.studio import Studio

if TYPE_CHECKING:
    from enamelwright.files.drawing import Drawing as ReadDrawing

#: Drawings that stay read.
DRAWINGS = 32
#: Longest name of a drawing file that is looked at.
LONGEST_NAME = 120

#: A drawing as a version keeps it: ``file`` and ``base64``.
KeptDrawing = Mapping[str, str]


def take_drawing(name: str, data: bytes) -> dict[str, str]:
    """Return a drawing as a version keeps it; only its ending is taken from its name.

    Parameters
    ----------
    name : str
        As it came.
    data : bytes
        The file.
    """
    ending = Path(name[-LONGEST_NAME:]).suffix.lower()
    if ending not in {".svg", ".dxf"}:
        raise InputError(f"'{ending or name[:40]}' is not a drawing that can be read.", "Save it as SVG or DXF.")
    return {"file": f"drawing{ending}", "base64": base64.b64encode(data).decode("ascii")}


def put_drawing(studio: Studio, drawing: KeptDrawing) -> str:
    """Lay a drawing by until it is used, and return its hash."""
    digest = digest_of(drawing)
    if draft(studio, f"drawing:{digest}") is None:
        save_draft(studio, f"drawing:{digest}", dict(drawing))
    return digest


def drawing_laid_by(studio: Studio, digest: str) -> dict[str, str]:
    """Return a drawing that was laid by.

    Parameters
    ----------
    studio : Studio
        The studio.
    digest : str
        Of :func:`put_drawing`.

    Raises
    ------
    InputError
        When there is none of that hash.
    """
    last = draft(studio, f"drawing:{digest}")
    if last is None:
        raise InputError("this drawing is no longer here.", "Choose the file again.")
    return dict(last.content)


def drawn_shape(piece: Piece, drawing: KeptDrawing | None) -> Shape | None:
    """Return the outline a drawing gives a piece; None where its outline is told in numbers.

    Parameters
    ----------
    piece : Piece
        The piece.
    drawing : mapping or None
        Its drawing.
    """
    if not isinstance(piece.outline, Drawing):
        return None
    if drawing is None:
        raise InputError("the drawing of this piece is missing.", "Choose it again on its shape page.", "outline")
    return read_kept(drawing["file"], drawing["base64"], piece.outline.width).shape()


def outline_of(piece: Piece, drawing: KeptDrawing | None) -> Shape:
    """Return the outline of a piece as geometry, whichever way it is told.

    Parameters
    ----------
    piece : Piece
        The piece.
    drawing : mapping or None
        Its drawing.

    Raises
    ------
    InputError
        When the outline contradicts itself.
    """
    from enamelwright.craft.laying import shape_of
    from enamelwright.craft.metal import metal

    return shape_of(piece, metal(piece.metal.kind), drawn_shape(piece, drawing))


@lru_cache(maxsize=DRAWINGS)
def read_kept(file: str, text: str, width: float | None) -> ReadDrawing:
    """Read a drawing that is kept as text.

    Parameters
    ----------
    file : str
        Its name; only the ending matters.
    text : str
        The file in base 64.
    width : float, optional
        Real width of the outline [m].

    Returns
    -------
    Drawing
        Of :mod:`enamelwright.files.drawing`.
    """
    from enamelwright.files.drawing import read_drawing

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"drawing{Path(file).suffix}"
        path.write_bytes(base64.b64decode(text))
        return read_drawing(path, width=width)


def digest_of(drawing: KeptDrawing | None) -> str:
    """Return a short hash of a drawing; empty for none."""
    if not drawing:
        return ""
    return hashlib.blake2b(drawing["base64"].encode(), digest_size=8).hexdigest()
