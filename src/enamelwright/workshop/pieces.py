"""Pieces: everything that goes into the kiln and has a permanent number."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.pieces import batch as batch_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import piece_of, version_row
from enamelwright.workshop.named import Which, in_use, named
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: More pieces than this at once is a slip of the finger.
MOST_AT_ONCE = 1000
#: States in which nothing more is done to a piece.
DONE = ("finished", "second", "study", "spoilt", "lost")


def start_pieces(
    studio: Studio,
    count: int = 1,
    design: Which | None = None,
    *,
    labels: Sequence[str] = (),
    batch: str = "",
    kind: str = "piece",
    metal: str | None = None,
    thickness: Quantity = None,
    metal_mass: Quantity = None,
    sheet: int | None = None,
    owner: int | None = None,
    order_line: int | None = None,
    invented: bool | None = None,
    words: str | None = None,
) -> list[Row[Any]]:
    """Start pieces and give them their permanent numbers.

    Parameters
    ----------
    studio : Studio
        The studio.
    count : int
        How many; as many as there are labels when labels are given.
    design : int or str, optional
        Row of a design version, or the name of a design for its newest version; nothing for no plan.
    labels : sequence of str
        What they are called at the bench, one each.
    batch : str
        Name of the batch they are worked in; made when given.
    kind : str
        ``piece``, ``test tile``, ``control tile``, ``strip`` or ``sample``.
    metal : str, optional
        As the design says when left out.
    thickness : quantity, optional
        Of the metal; as the design says when left out.
    metal_mass : quantity, optional
        Weight of the bare piece.
    sheet, owner, order_line : int, optional
        The sheet it is cut from, whose it is, and the line of an order it is for.
    invented : bool, optional
        Belongs to a demonstration; as the design says when left out.
    words : str, optional
        Free words.

    Returns
    -------
    list of Row
        The pieces with `id`, `number`, `label`.
    """
    count = len(labels) or count
    if not 1 <= count <= MOST_AT_ONCE:
        raise InputError(f"{count} pieces cannot be started at once.", f"Start 1 to {MOST_AT_ONCE}.")
    with studio.writing() as work:
        version = None
        if design is not None:
            row = version_row(studio, design)
            described = piece_of(row)
            version = row.of
            metal = metal or described.metal.kind
            thickness = described.metal.thickness if thickness is None else thickness
            invented = described.invented if invented is None else invented
        made = None
        if batch:
            made = studio.keep(batch_table, name=batch, design_version=version, made_on=studio.today())
        rows = []
        for n in range(count):
            row_id = studio.keep(
                piece_table, number=work.number("piece", studio.today().year), label=labels[n] if labels else None,
                kind=kind, design_version=version, batch=made, order_line=order_line, sheet=sheet, owner=owner,
                metal=metal, thickness=thickness, metal_mass=metal_mass, started_on=studio.today(),
                state="in work", place="bench", invented=bool(invented), words=words,
            )  # fmt: skip
            rows.append(work.one(piece_table, row_id))
        return rows


def piece_row(studio: Studio, which: Which) -> Row[Any]:
    """Return a piece by id, number or label; digits alone are a serial number of this year.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    with studio.reading() as connection:
        text = which.strip() if isinstance(which, str) else ""
        if text.isdecimal():
            serial = f"{studio.today().year:04d}-{int(text):03d}"
            found = connection.execute(select(piece_table).where(piece_table.c.number == serial)).one_or_none()
            if found is not None:
                return found
        if text and not connection.execute(select(piece_table.c.id).where(piece_table.c.number == text)).first():
            alike = connection.execute(
                select(piece_table).where(func.lower(piece_table.c.label) == text.lower()).order_by(piece_table.c.id)
            ).all()
            if len(alike) > 1:
                return _the_one(alike, text)
        return named(connection, piece_table, which, "number", "label")


def _the_one(alike: Sequence[Row[Any]], label: str) -> Row[Any]:
    """Return the piece of a label that is still in work; of several, nobody knows which."""
    going = [row for row in alike if row.state not in DONE and not row.put_away]
    if len(going) == 1:
        return going[0]
    numbers = ", ".join(row.number for row in going or alike)
    raise RecordError(f"more than one piece is called '{label[:60]}'.", f"Name it by its number: {numbers}.")


def called_alike(studio: Studio, labels: Sequence[str]) -> dict[str, list[str]]:
    """Return the numbers of pieces in work that are called so already, by label.

    Parameters
    ----------
    studio : Studio
        The studio.
    labels : sequence of str
        Labels that are to be given.
    """
    wanted = {label.strip().casefold() for label in labels}
    found: dict[str, list[str]] = {}
    for row in pieces_in_work(studio):
        if row.label and row.label.casefold() in wanted:
            found.setdefault(row.label, []).append(row.number)
    return found


def change_piece(studio: Studio, which: Which, version: int | None = None, **changes: Any) -> int:
    """Change what is kept of a piece and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, number or label.
    version : int, optional
        The version that was shown when the change was made.
    **changes
        Columns of a piece.
    """
    with studio.writing():
        return studio.change(piece_table, piece_row(studio, which).id, version, **changes)


def finish_piece(studio: Studio, which: Which, state: str = "finished") -> int:
    """Say that nothing more is done to a piece, and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, number or label.
    state : str
        ``finished``, ``second``, ``study``, ``spoilt`` or ``lost``.
    """
    if state not in DONE:
        raise InputError(f"'{state}' is no end of a piece.", f"Choose one of: {', '.join(DONE)}.")
    return change_piece(studio, which, state=state, finished_on=studio.today())


def pieces_in_work(studio: Studio) -> list[Row[Any]]:
    """List the pieces that are planned or in work, by number."""
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(piece_table)
                .where(piece_table.c.state.in_(("planned", "in work")), in_use(piece_table))
                .order_by(piece_table.c.number)
            )
        )


def pieces_of_design(studio: Studio, design: int) -> list[Row[Any]]:
    """List the pieces made from any version of a design, by number.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    """
    versions = select(current(design_version).where(design_version.c.design == design).subquery().c.of)
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(piece_table).where(piece_table.c.design_version.in_(versions)).order_by(piece_table.c.number)
            )
        )


def designs_made(studio: Studio) -> dict[int, int]:
    """Return the row of the design of each piece that has one, by the row of the piece, in the order of numbers."""
    versions = current(design_version, design_version.c.design).subquery()
    rows = (
        select(piece_table.c.id, versions.c.design)
        .join(versions, versions.c.of == piece_table.c.design_version)
        .order_by(piece_table.c.number)
    )
    with studio.reading() as connection:
        return {int(row.id): int(row.design) for row in connection.execute(rows)}
