"""What was taken for pieces: paid for the piece itself, and its part of what was paid on its order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: States of a piece nobody pays for.
_NOT_MADE = frozenset({"spoilt", "lost"})
#: State of an order whose pieces are gone.
_GONE = "collected"
#: Kind of a payment that went out again.
_BACK = "refund"


@dataclass(frozen=True)
class Taken:
    """Money that came in for one piece.

    Parameters
    ----------
    own : tuple of Row
        Payments for this piece, the first first.
    shared : tuple of (Row, int)
        Payments on its order that name no piece, and this piece's part in the smallest coin.
    order : str
        Number of the order; empty without one.
    """

    own: tuple[Row[Any], ...]
    shared: tuple[tuple[Row[Any], int], ...]
    order: str = ""

    @property
    def sums(self) -> dict[str, int]:
        """Everything together by currency, in the smallest coin, refunds taken off."""
        found: dict[str, int] = {}
        for row, part in [*((one, int(one.minor)) for one in self.own), *self.shared]:
            found[row.currency] = found.get(row.currency, 0) + (-part if row.kind == _BACK else part)
        return found


def taken_for(studio: Studio, pieces: Sequence[int]) -> dict[int, Taken]:
    """Tell what was taken for some pieces, deposits and balances of their orders counted.

    A payment on an order that names no piece belongs to everything ordered: each piece that is gone gets its part,
    by the prices of the order's lines where they were told, else alike. A piece still on the bench gets none of it.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int
        Rows.

    Returns
    -------
    dict of int to Taken
        Of the pieces something was taken for.
    """
    if not pieces:
        return {}
    asked = set(pieces)
    own: dict[int, list[Row[Any]]] = {}
    with studio.reading() as connection:
        rows = current(payment).where(payment.c.piece.in_(asked)).order_by(payment.c.at, payment.c.id)
        for row in connection.execute(rows):
            own.setdefault(int(row.piece), []).append(row)
        orders = _orders_of(connection, asked)
        shared: dict[int, list[tuple[Row[Any], int]]] = {}
        numbers: dict[int, str] = {}
        for order in sorted(set(orders.values())):
            number, parts, paid = _of_order(connection, order)
            for row in paid:
                for piece, part in _split(int(row.minor), parts).items():
                    if piece in asked and part:
                        shared.setdefault(piece, []).append((row, part))
            numbers.update({piece: number for piece, of in orders.items() if of == order})
    return {
        piece: Taken(tuple(own.get(piece, ())), tuple(shared.get(piece, ())), numbers.get(piece, ""))
        for piece in pieces if piece in own or piece in shared
    }  # fmt: skip


def _orders_of(connection: Any, pieces: set[int]) -> dict[int, int]:
    """Return the order each piece was made for: by its line, by where it went, or by what was paid for it."""
    lines = (
        select(piece_table.c.id.label("piece"), order_line.c.customer_order)
        .join(order_line, order_line.c.id == piece_table.c.order_line)
        .where(piece_table.c.id.in_(pieces))
    )
    found: dict[int, int] = {}
    for rows in (
        lines,
        *(
            current(table, table.c.piece, table.c.customer_order).where(
                table.c.piece.in_(pieces), table.c.customer_order.is_not(None)
            )
            for table in (whereabouts, payment)
        ),
    ):
        for row in connection.execute(rows):
            found.setdefault(int(row.piece), int(row.customer_order))
    return found


def _of_order(connection: Any, order: int) -> tuple[str, dict[int, tuple[int, int]], list[Row[Any]]]:
    """Return an order's number, the part (of how many) of each piece that is gone, and payments naming no piece."""
    head = connection.execute(select(customer_order).where(customer_order.c.id == order)).one()
    lines = {
        int(row.id): row
        for row in connection.execute(
            select(order_line).where(order_line.c.customer_order == order, in_use(order_line))
        )
    }  # fmt: skip
    priced = bool(lines) and all(row.each_minor for row in lines.values())
    each = {line: int(row.each_minor) if priced else 1 for line, row in lines.items()}
    named: set[int] = set()
    for table in (whereabouts, payment):
        rows = current(table, table.c.piece).where(table.c.customer_order == order, table.c.piece.is_not(None))
        named.update(int(row.piece) for row in connection.execute(rows))
    of_lines = piece_table.c.order_line.in_(list(lines)) if lines else piece_table.c.id.in_(())
    made = connection.execute(select(piece_table).where(of_lines | piece_table.c.id.in_(named))).all()
    usual = next(iter(each.values()), 1)
    count = sum(int(row.count or 1) for row in lines.values())
    good = [row for row in made if row.state not in _NOT_MADE]
    left = [row for row in good if row.place == "sold"]
    if head.state == _GONE:  # collected, but where some went was not written down: as many as were ordered
        still = [row for row in good if row.state == "finished" and row.place in (None, "bench")]
        left += still[: max(count - len(left), 0)]
    gone = {int(row.id): each.get(row.order_line, usual) for row in left}
    ordered = sum(each[line] * int(row.count or 1) for line, row in lines.items())
    whole = max(ordered if head.state != _GONE else 0, sum(gone.values()))
    paid = current(payment).where(payment.c.customer_order == order, payment.c.piece.is_(None))
    naming_none = list(connection.execute(paid.order_by(payment.c.at, payment.c.id)))
    return str(head.number), {piece: (part, whole) for piece, part in sorted(gone.items())}, naming_none


def _split(minor: int, parts: dict[int, tuple[int, int]]) -> dict[int, int]:
    """Split a sum so that no coin is lost: each piece gets up to where its part ends, whole coins."""
    found, before = {}, 0
    for piece, (part, whole) in parts.items():
        found[piece] = minor * (before + part) // whole - minor * before // whole
        before += part
    return found
