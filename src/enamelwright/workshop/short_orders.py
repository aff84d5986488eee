"""Orders that lost a piece: which lines are one or more short, and what was lost of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.errors import InputError
from enamelwright.records.schema.orders import customer_order, order_line
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.workshop import designs
from enamelwright.workshop.named import in_use
from enamelwright.workshop.orders import OVER
from enamelwright.workshop.pieces import piece_row, pieces_of_design, start_pieces
from enamelwright.workshop.series_sides import side_of
from enamelwright.workshop.studio import Studio

#: Ends of a piece after which another is owed.
GONE = ("spoilt", "lost")


@dataclass(frozen=True)
class ShortLine:
    """A line of an order of which pieces were lost and not begun again.

    Parameters
    ----------
    line : int
        Row of the line.
    order, due : str
        Number and date of the order; the date is empty without one.
    design : int
        Row of the design.
    missing : int
        Pieces to be begun again.
    lost : tuple of str
        Numbers of the pieces that were lost and not begun again, the last ones first.
    """

    line: int
    order: str
    due: str
    design: int
    missing: int
    lost: tuple[str, ...]


def short_lines(studio: Studio, order: int | None = None) -> list[ShortLine]:
    """List the lines that lost pieces, the first due first; a piece nobody began yet is not short.

    Parameters
    ----------
    studio : Studio
        The studio.
    order : int, optional
        Only of this order.
    """
    lines = (
        select(
            order_line.c.id, order_line.c.design, order_line.c.count, customer_order.c.number, customer_order.c.due_on
        )
        .join(customer_order, customer_order.c.id == order_line.c.customer_order)
        .where(
            customer_order.c.state.not_in(OVER), in_use(customer_order), in_use(order_line),
            order_line.c.design.is_not(None),
        )
        .order_by(customer_order.c.due_on.is_(None), customer_order.c.due_on, order_line.c.id)
    )  # fmt: skip
    if order is not None:
        lines = lines.where(customer_order.c.id == order)
    lost_ones = select(piece_table.c.order_line).where(piece_table.c.state.in_(GONE))
    with studio.reading() as connection:
        rows = connection.execute(lines.where(order_line.c.id.in_(lost_ones))).all()
        wanted = piece_table.c.order_line.in_([row.id for row in rows]), in_use(piece_table)
        pieces = connection.execute(
            select(piece_table.c.order_line, piece_table.c.number, piece_table.c.state).where(*wanted)
        ).all()
    found = []
    for row in rows:
        mine = [one for one in pieces if one.order_line == row.id]
        lost = sorted((str(one.number) for one in mine if one.state in GONE), reverse=True)
        missing = min(int(row._mapping["count"] or 1) - (len(mine) - len(lost)), len(lost))
        if missing > 0:
            found.append(
                ShortLine(
                    int(row.id), str(row.number), str(row.due_on or ""), int(row.design), missing,
                    tuple(lost[:missing]),
                )
            )  # fmt: skip
    return found


def begin_again(studio: Studio, line: int) -> Row[Any]:
    """Start one piece more for a line that lost one, by the newest version of its design, and return its row.

    Raises
    ------
    InputError
        When the line is not short any more.
    """
    with studio.writing():
        short = next((one for one in short_lines(studio) if one.line == line), None)
        if short is None:
            raise InputError("this order is not short of a piece any more.", "Open the page again.")
        version = designs.version_row(studio, designs.design_row(studio, short.design).name)
        words = f"in place of {short.lost[-1]}"
        called = str(piece_row(studio, short.lost[-1]).label or "")
        paired = side_of(called, {str(one.label) for one in pieces_of_design(studio, short.design)})
        labels = [called] if paired else ()  # the other one of a pair is what it was, else nobody cuts it mirrored
        return start_pieces(studio, 1, version.of, labels=labels, order_line=line, words=words)[0]
