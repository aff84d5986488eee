"""Designs: pieces as planned, kept in versions that are only ever added to."""

from __future__ import annotations

import base64
import hashlib
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Drawing, Piece
from enamelwright.errors import InputError
from enamelwright.files.piece_file import read_piece
from enamelwright.records.schema.designs import design as design_table
from enamelwright.records.schema.designs import design_version, saved_plan
from enamelwright.records.writing import current
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class KeptDesign:
    """What keeping a design did.

    Attributes
    ----------
    design, version : int
        Rows.
    number : int
        Number of the version, from 1.
    new : bool
        False when the newest version says the same already.
    """

    design: int
    version: int
    number: int
    new: bool


def keep_design(
    studio: Studio,
    piece: Piece | Path,
    name: str = "",
    *,
    kept_sequence: bool | None = None,
    words: str | None = None,
    drawing: Mapping[str, str] | None = None,
) -> KeptDesign:
    """Keep a piece as a design, or as a new version of the design of that name.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : Piece or Path
        As described, or a piece file; its drawing is kept along.
    name : str
        Name of the design; the piece's own when left out.
    kept_sequence : bool, optional
        Whether its order of work is worth repeating as it is.
    words : str, optional
        Why this version.
    drawing : mapping, optional
        The drawing of its outline as a version keeps it (``file`` and ``base64``), when `piece` is no file.
    """
    drawing = dict(drawing) if drawing is not None else None
    if isinstance(piece, Path):
        path = piece
        piece = read_piece(path).piece
        if isinstance(piece.outline, Drawing):
            drawing = _drawing_of(path.parent / piece.outline.file)
    content = piece.to_outside()
    with studio.writing() as work:
        title = name.strip() or piece.name
        found = work.connection.execute(
            select(design_table).where(func.lower(design_table.c.name) == title.lower())
        ).one_or_none()
        design = found.id if found else studio.keep(
            design_table, name=title, technique=piece.technique, invented=piece.invented
        )  # fmt: skip
        newest = _newest(work.connection, design)
        if newest is not None and newest.piece == content and (newest.drawing or None) == drawing:
            return KeptDesign(design, newest.of, newest.number, new=False)
        # A version that was taken back keeps its number, so the next one gets one nobody has seen.
        last = select(func.max(design_version.c.number)).where(design_version.c.design == design)
        number = (work.connection.execute(last).scalar() or 0) + 1
        version = studio.add(
            design_version, design=design, number=number, before=newest.of if newest is not None else None,
            piece=content, drawing=drawing, kept_sequence=kept_sequence, words=words,
        )  # fmt: skip
        if found and found.technique != piece.technique:
            studio.change(design_table, design, technique=piece.technique)
        return KeptDesign(design, version, number, new=True)


def design_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a design by row or name.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    with studio.reading() as connection:
        return named(connection, design_table, which, "name")


def version_row(studio: Studio, which: Which, number: int | None = None) -> Row[Any]:
    """Return a version of a design; `of` is the row others refer to.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row of the version, or name of the design.
    number : int, optional
        Number of the version, when a design is named; the newest when left out.
    """
    with studio.reading() as connection:
        if isinstance(which, int):
            return named(connection, design_version, which, kind="design version")
        design = design_row(studio, which)
        newest: Row[Any] | None = _newest(connection, design.id, number)
        if newest is None:
            what = f"no version {number}" if number is not None else "no version yet"
            raise InputError(f"'{design.name}' has {what}.", "See which there are, or keep one.")
        return newest


def versions(studio: Studio, design: Which) -> list[Row[Any]]:
    """List the versions of a design, the first first."""
    with studio.reading() as connection:
        row = design_row(studio, design)
        return list(
            connection.execute(
                current(design_version).where(design_version.c.design == row.id).order_by(design_version.c.number)
            )
        )


def newest_versions(studio: Studio) -> dict[int, Row[Any]]:
    """Return the newest version of each design, by the row of the design; `of` is the row others refer to."""
    columns = design_version.c
    rows = current(design_version, columns.id, columns.design, columns.number).order_by(columns.number)
    with studio.reading() as connection:
        return {row.design: row for row in connection.execute(rows)}


def designs(studio: Studio) -> list[Row[Any]]:
    """List the designs by name, each with `versions`, how many there are."""
    live = current(design_version, design_version.c.design).subquery()
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(design_table, func.count(live.c.design).label("versions"))
                .outerjoin(live, live.c.design == design_table.c.id)
                .where(in_use(design_table))
                .group_by(design_table.c.id)
                .order_by(design_table.c.name)
            )
        )


def piece_of(version: Row[Any]) -> Piece:
    """Return the piece a version describes.

    Parameters
    ----------
    version : Row
        Of :func:`version_row`.
    """
    return Piece.from_outside(version.piece, f"design version {version.number}")


def shape_of(version: Row[Any]) -> Shape | None:
    """Return the drawn outline of a version; None when it has no drawing.

    Parameters
    ----------
    version : Row
        Of :func:`version_row`.
    """
    if not version.drawing:
        return None
    from enamelwright.files.drawing import read_drawing

    outline = piece_of(version).outline
    width = outline.width if isinstance(outline, Drawing) else None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / version.drawing["file"]
        path.write_bytes(base64.b64decode(version.drawing["base64"]))
        return read_drawing(path, width=width).shape()


@dataclass(frozen=True)
class Difference:
    """One place in which two versions differ.

    Attributes
    ----------
    place : str
        As a piece file writes it, e.g. ``coats[2].powder_depth_mm``.
    before, after : object
        What stands there; None where nothing does.
    """

    place: str
    before: Any
    after: Any


def compare(studio: Studio, design: Which, first: int, second: int) -> list[Difference]:
    """List what differs between two versions of a design.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int or str
        Name of the design.
    first, second : int
        Numbers of the versions.
    """
    with studio.reading():
        name = design_row(studio, design).name
        one, two = (dict(_flat(version_row(studio, name, n).piece)) for n in (first, second))
    return [
        Difference(place, one.get(place), two.get(place))
        for place in dict.fromkeys((*one, *two))
        if one.get(place) != two.get(place)
    ]


def save_plan(studio: Studio, version: Which, answer: Mapping[str, Any]) -> int:
    """Keep a plan as it was printed, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : int or str
        Row of a design version, or name of a design for its newest.
    answer : mapping
        The whole answer as JSON.
    """
    with studio.writing():
        row = version_row(studio, version)
        return studio.add(
            saved_plan, design_version=row.of, asked=row.piece, answer=dict(answer), engine=answer.get("engine", ""),
            bench_revision=answer.get("bench", ""),
        )  # fmt: skip


def drawing_hash(version: Row[Any]) -> str:
    """Return a short hash of a version's drawing; empty when it has none.

    Parameters
    ----------
    version : Row
        Of :func:`version_row`.
    """
    text = (version.drawing or {}).get("base64", "")
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest() if text else ""


def _newest(connection: Any, design: int, number: int | None = None) -> Any:
    rows = current(design_version).where(design_version.c.design == design)
    if number is not None:
        rows = rows.where(design_version.c.number == number)
    return connection.execute(rows.order_by(design_version.c.number.desc()).limit(1)).one_or_none()


def _drawing_of(path: Path) -> dict[str, str]:
    """Take up a drawing that :func:`read_piece` has accepted; byte for byte, whatever its encoding."""
    return {"file": f"drawing{path.suffix.lower()}", "base64": base64.b64encode(path.read_bytes()).decode("ascii")}


def _flat(thing: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """Yield (place, value) of every leaf."""
    if isinstance(thing, dict):
        for key, part in thing.items():
            yield from _flat(part, f"{place}.{key}" if place else str(key))
    elif isinstance(thing, list):
        for n, part in enumerate(thing, 1):
            yield from _flat(part, f"{place}[{n}]")
    else:
        yield place, thing
