"""What was taken for pieces: paid for the piece itself, and its part of what was paid on its order."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.named import in_use, within
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
        rows = current(payment).where(within(payment.c.piece, asked)).order_by(payment.c.at, payment.c.id)
        for row in connection.execute(rows.where(payment.c.piece.is_not(None))):
            own.setdefault(int(row.piece), []).append(row)
        orders = _orders_of(connection, asked)
        shared: dict[int, list[tuple[Row[Any], int]]] = {}
        numbers: dict[int, str] = {}
        for order, (number, parts, paid) in _of_orders(connection, sorted(set(orders.values()))).items():
            for row in paid:
                for piece, part in _split(int(row.minor), parts).items():
                    if piece in asked and part:
                        shared.setdefault(piece, []).append((row, part))
            numbers[order] = number
    return {
        piece: Taken(tuple(own.get(piece, ())), tuple(shared.get(piece, ())), numbers.get(orders.get(piece, 0), ""))
        for piece in pieces if piece in own or piece in shared
    }  # fmt: skip


def _orders_of(connection: Any, pieces: set[int]) -> dict[int, int]:
    """Return the order each piece was made for: by its line, by where it went, or by what was paid for it."""
    lines = (
        select(piece_table.c.id.label("piece"), order_line.c.customer_order)
        .join(order_line, order_line.c.id == piece_table.c.order_line)
        .where(within(piece_table.c.id, pieces))
    )
    found: dict[int, int] = {}
    for rows in (
        lines,
        *(
            current(table, table.c.piece, table.c.customer_order).where(
                within(table.c.piece, pieces), table.c.piece.is_not(None), table.c.customer_order.is_not(None)
            )
            for table in (whereabouts, payment)
        ),
    ):
        for row in connection.execute(rows):
            found.setdefault(int(row.piece), int(row.customer_order))
    return found


#: An order's number, the part (of how many) of each piece that is gone, and payments naming no piece.
_Order = tuple[str, dict[int, tuple[int, int]], list[Row[Any]]]


def _of_orders(connection: Any, orders: Sequence[int]) -> dict[int, _Order]:
    """Return what is known of some orders, by their row."""
    o, p = customer_order.c, piece_table.c
    heads = connection.execute(select(o.id, o.number, o.state).where(within(o.id, orders))).all()
    lines: dict[int, list[Row[Any]]] = defaultdict(list)
    for row in connection.execute(
        select(order_line).where(within(order_line.c.customer_order, orders), in_use(order_line))
    ):
        lines[row.customer_order].append(row)
    order_of_line = {row.id: order for order, rows in lines.items() for row in rows}
    named: dict[int, set[int]] = defaultdict(set)
    for table in (whereabouts, payment):
        rows = current(table, table.c.piece, table.c.customer_order)
        for row in connection.execute(rows.where(within(table.c.customer_order, orders), table.c.piece.is_not(None))):
            named[row.piece].add(row.customer_order)
    made: dict[int, list[Row[Any]]] = defaultdict(list)
    known = select(p.id, p.state, p.place, p.order_line).order_by(p.id)
    for row in connection.execute(known.where(within(p.order_line, order_of_line) | within(p.id, named))):
        for order in named[row.id] | {order_of_line.get(row.order_line, 0)}:
            made[order].append(row)
    paid: dict[int, list[Row[Any]]] = defaultdict(list)
    naming_none = current(payment).where(within(payment.c.customer_order, orders), payment.c.piece.is_(None))
    for row in connection.execute(naming_none.order_by(payment.c.at, payment.c.id)):
        paid[row.customer_order].append(row)
    return {head.id: (head.number, _parts(head, lines[head.id], made[head.id]), paid[head.id]) for head in heads}


def _parts(head: Row[Any], lines: list[Row[Any]], made: list[Row[Any]]) -> dict[int, tuple[int, int]]:
    """Return the part (of how many) of each piece of an order that is gone."""
    priced = bool(lines) and all(row.each_minor for row in lines)
    each = {int(row.id): int(row.each_minor) if priced else 1 for row in lines}
    usual = next(iter(each.values()), 1)
    count = sum(int(row._mapping["count"] or 1) for row in lines)
    good = [row for row in made if row.state not in _NOT_MADE]
    left = [row for row in good if row.place == "sold"]
    if head.state == _GONE:  # collected, but where some went was not written down: as many as were ordered
        still = [row for row in good if row.state == "finished" and row.place in (None, "bench")]
        left += still[: max(count - len(left), 0)]
    gone = {int(row.id): each.get(row.order_line, usual) for row in left}
    ordered = sum(each[int(row.id)] * int(row._mapping["count"] or 1) for row in lines)
    whole = max(ordered if head.state != _GONE else 0, sum(gone.values()))
    return {piece: (part, whole) for piece, part in sorted(gone.items())}


def _split(minor: int, parts: dict[int, tuple[int, int]]) -> dict[int, int]:
    """Split a sum so that no coin is lost: each piece gets up to where its part ends, whole coins."""
    found, before = {}, 0
    for piece, (part, whole) in parts.items():
        found[piece] = minor * (before + part) // whole - minor * before // whole
        before += part
    return found
