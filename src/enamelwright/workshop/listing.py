"""What stands in the record as lists: pieces by what they are, and the rows that hang on one thing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from typing import Any

from sqlalchemy import Row, Subquery, func, or_, select

from enamelwright.records.schema.designs import design as design_table
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.finished import outlet as outlet_table
from enamelwright.records.schema.finished import price as price_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.jars import stock_movement
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look, prediction
from enamelwright.records.schema.orders import customer_order, payment
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.schema.tiles import colour_reading, tile_layout, tile_spot
from enamelwright.records.writing import current
from enamelwright.workshop.named import Which, in_use
from enamelwright.workshop.orders import order_row
from enamelwright.workshop.selling import holding
from enamelwright.workshop.studio import Studio

#: Pieces that are shown at once.
PAGE = 50


def pieces_like(
    studio: Studio,
    *,
    states: tuple[str, ...] = (),
    metal: str = "",
    technique: str = "",
    kind: str = "",
    places: tuple[str, ...] = (),
    design: int = 0,
    only: Collection[int] | None = None,
    skip: int = 0,
    most: int = PAGE,
) -> list[Row[Any]]:
    """List pieces, the newest first, each with its design and how often it was fired.

    Parameters
    ----------
    studio : Studio
        The studio.
    states : tuple of str
        Only in one of these states; empty for all.
    metal, technique, kind : str
        Only of this metal, technique of the design, and kind.
    places : tuple of str
        Only at one of these places; empty for all.
    design : int
        Only of this design; 0 for all.
    only : collection of int, optional
        Only these rows.
    skip, most : int
        How many of the newest are left out, and how many are listed after them.

    Returns
    -------
    list of Row
        Columns of a piece, with `version_of` (row of the design version), `design_name`, `design_row`,
        `technique`, `version_number` and `fired`.
    """
    p = piece_table.c
    times = _times_fired()
    version = current(design_version).subquery()
    rows = (
        select(
            piece_table, version.c.of.label("version_of"), version.c.number.label("version_number"),
            design_table.c.name.label("design_name"), design_table.c.id.label("design_row"),
            design_table.c.technique, func.coalesce(times.c.times, 0).label("fired"),
        )
        .select_from(
            piece_table.outerjoin(version, version.c.of == p.design_version)
            .outerjoin(design_table, design_table.c.id == version.c.design)
            .outerjoin(times, times.c.piece == p.id)
        )
        .where(in_use(piece_table))
        .order_by(p.number.desc())
    )  # fmt: skip
    if states:
        rows = rows.where(p.state.in_(states))
    if places:
        here = [p.place.is_(None)] if "bench" in places else []  # what never left
        rows = rows.where(or_(p.place.in_(places), *here))
    if metal:
        rows = rows.where(p.metal == metal)
    if kind:
        rows = rows.where(p.kind == kind)
    if technique:
        rows = rows.where(design_table.c.technique == technique)
    if design:
        rows = rows.where(design_table.c.id == design)
    if only is not None:
        rows = rows.where(p.id.in_(only))
    with studio.reading() as connection:
        return list(connection.execute(rows.offset(skip).limit(most)))


def _times_fired() -> Subquery:
    """Select how often each piece was fired; still in the kiln, or broken off, does not count."""
    out = (
        current(load_table)
        .where(load_table.c.closed_at.is_not(None), func.coalesce(load_table.c.interrupted, 0) == 0)
        .subquery()
    )
    inside = current(load_piece, load_piece.c.piece, load_piece.c.load).subquery()
    return (
        select(inside.c.piece, func.count().label("times"))
        .join(out, out.c.of == inside.c.load)
        .group_by(inside.c.piece)
        .subquery()
    )


def counted_places(studio: Studio, states: tuple[str, ...], kind: str) -> dict[str, int]:
    """Return how many pieces of some states and one kind are at each place.

    Parameters
    ----------
    studio : Studio
        The studio.
    states : tuple of str
        Their states.
    kind : str
        Their kind.
    """
    place = func.coalesce(piece_table.c.place, "bench")
    rows = select(place, func.count()).where(
        in_use(piece_table), piece_table.c.state.in_(states), piece_table.c.kind == kind
    )
    with studio.reading() as connection:
        return {str(row[0]): int(row[1]) for row in connection.execute(rows.group_by(place))}


def words_in_use(studio: Studio) -> dict[str, list[str]]:
    """Return the metals, states, kinds and techniques that pieces have, for filters."""
    p = piece_table.c
    with studio.reading() as connection:
        found = {
            name: sorted(value for (value,) in connection.execute(select(p[name]).distinct()) if value)
            for name in ("metal", "state", "kind")
        }
        techniques = connection.execute(select(design_table.c.technique).distinct()).all()
    found["technique"] = sorted(value for (value,) in techniques if value)
    return found


def last_places(studio: Studio, pieces: list[int]) -> dict[int, Row[Any]]:
    """Return where each piece went last, with `outlet_name`; pieces that never left are not in it.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : list of int
        Rows.
    """
    went = current(whereabouts).where(whereabouts.c.piece.in_(pieces)).subquery()
    rows = (
        select(went, outlet_table.c.name.label("outlet_name"))
        .outerjoin(outlet_table, outlet_table.c.id == went.c.outlet)
        .order_by(went.c.at, went.c.id)
    )
    with studio.reading() as connection:
        return {row.piece: row for row in connection.execute(rows)}


def orders(studio: Studio, skip: int = 0, most: int | None = None) -> list[Row[Any]]:
    """List every order, the newest first; `customer_label` is who asked.

    Parameters
    ----------
    studio : Studio
        The studio.
    skip, most : int, optional
        How many of the newest are left out, and how many are listed after them.
    """
    with studio.reading() as connection:
        return list(
            connection.execute(
                select(customer_order, customer_table.c.label.label("customer_label"))
                .outerjoin(customer_table, customer_table.c.id == customer_order.c.customer)
                .where(in_use(customer_order))
                .order_by(customer_order.c.number.desc())
                .offset(skip).limit(most)
            )
        )  # fmt: skip


def paid_on(studio: Studio, orders: list[int]) -> dict[int, int]:
    """Return what was paid on each of some orders, refunds taken off, in the smallest coin.

    Parameters
    ----------
    studio : Studio
        The studio.
    orders : list of int
        Rows.
    """
    found = dict.fromkeys(orders, 0)
    p = payment.c
    rows = current(payment, p.customer_order, p.kind, p.minor).where(p.customer_order.in_(orders))
    with studio.reading() as connection:
        for entry in connection.execute(rows):
            found[entry.customer_order] += -entry.minor if entry.kind == "refund" else entry.minor
    return found


def prices_of(studio: Studio, pieces: list[Row[Any]]) -> dict[int, Row[Any]]:
    """Return the price that holds for each piece that has one, where it is now: see :func:`selling.holding`.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : list of Row
        Of :func:`pieces_like`.
    """
    p = price_table.c
    designs = {one.design_row for one in pieces if one.design_row is not None}
    rows = current(price_table).where(or_(p.piece.in_([one.id for one in pieces]), p.design.in_(designs)))
    told: dict[tuple[str, int], list[Row[Any]]] = defaultdict(list)
    with studio.reading() as connection:
        for row in connection.execute(rows):
            told["piece" if row.piece is not None else "design", row.piece or row.design].append(row)
    today = studio.today().isoformat()
    found = {
        one.id: holding([*told["piece", one.id], *told["design", one.design_row or 0]], one.place, today)
        for one in pieces
    }
    return {piece: row for piece, row in found.items() if row is not None}


def outlets(studio: Studio) -> list[Row[Any]]:
    """List galleries, fairs and shelves by name."""
    with studio.reading() as connection:
        return list(connection.execute(select(outlet_table).where(in_use(outlet_table)).order_by(outlet_table.c.name)))


def payments(studio: Studio, *, order: Which | None = None, piece: int | None = None) -> list[Row[Any]]:
    """List what was paid on an order or for a piece, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    order : int or str, optional
        Row or number.
    piece : int, optional
        Row.
    """
    with studio.reading() as connection:
        rows = current(payment).order_by(payment.c.at, payment.c.id)
        if order is not None:
            rows = rows.where(payment.c.customer_order == order_row(studio, order).id)
        if piece is not None:
            rows = rows.where(payment.c.piece == piece)
        return list(connection.execute(rows))


def movements(studio: Studio, lots: list[int], most: int = PAGE) -> list[Row[Any]]:
    """List what entered or left some lots, the newest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    lots : list of int
        Rows.
    most : int
        How many.
    """
    with studio.reading() as connection:
        return list(
            connection.execute(
                current(stock_movement)
                .where(stock_movement.c.lot.in_(lots))
                .order_by(stock_movement.c.at.desc(), stock_movement.c.id.desc())
                .limit(most)
            )
        )


def spots(studio: Studio) -> list[Row[Any]]:
    """List what lies on every spot of every tile, with `number`, `label`, `metal`, `state` of the tile and `fired`."""
    p = piece_table.c
    laid = current(tile_spot).subquery()
    times = _times_fired()
    rows = (
        select(laid, p.number, p.label, p.metal, p.state, p.kind, func.coalesce(times.c.times, 0).label("fired"))
        .join(piece_table, p.id == laid.c.piece)
        .outerjoin(times, times.c.piece == p.id)
        .where(in_use(piece_table))
        .order_by(p.number, laid.c.spot, laid.c.id)
    )
    with studio.reading() as connection:
        return list(connection.execute(rows))


def colours_seen(studio: Studio) -> dict[tuple[int, str], Row[Any]]:
    """Return the last colour read from each spot, by (row of the tile, spot)."""
    rows = current(colour_reading).order_by(colour_reading.c.at, colour_reading.c.id)
    with studio.reading() as connection:
        return {(row.piece, row.spot or ""): row for row in connection.execute(rows)}


def layouts(studio: Studio) -> list[Row[Any]]:
    """List the layouts of tiles by name."""
    with studio.reading() as connection:
        return list(connection.execute(select(tile_layout).where(in_use(tile_layout)).order_by(tile_layout.c.name)))


def faults_often(studio: Studio) -> list[str]:
    """Return the faults that were seen here, the most often seen first, as they are kept."""
    seen = current(fault_seen, fault_seen.c.fault).subquery()
    with studio.reading() as connection:
        rows = connection.execute(
            select(seen.c.fault, func.count().label("times")).group_by(seen.c.fault).order_by(func.count().desc())
        )
        return [row.fault for row in rows]


def foretold_of(studio: Studio, piece: int) -> dict[int, dict[str, Any]]:
    """Return what was foretold of a piece, by the first row of the load.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int
        Row.
    """
    rows = current(prediction).where(prediction.c.piece == piece).order_by(prediction.c.id)
    with studio.reading() as connection:
        return {int(row.load): row.figures for row in connection.execute(rows)}


def looks_with(studio: Studio, piece: int) -> dict[int, list[Row[Any]]]:
    """Return the looks into every load a piece was in, by the first row of the load.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int
        Row.
    """
    inside = current(load_piece, load_piece.c.load).where(load_piece.c.piece == piece).subquery()
    rows = current(look).where(look.c.load.in_(select(inside.c.load))).order_by(look.c.seconds, look.c.id)
    found: dict[int, list[Row[Any]]] = {}
    with studio.reading() as connection:
        for row in connection.execute(rows):
            if row.piece in (None, piece):
                found.setdefault(int(row.load), []).append(row)
    return found
