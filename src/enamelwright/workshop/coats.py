"""Coats as they were really laid; each takes its grams from the lot it came from."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from sqlalchemy import Row, Select, func, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import stock_movement
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.lots import lot_in_use, lot_row, move
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, fields


def lay_coat(
    studio: Studio,
    piece: Which,
    jar: Which | None = None,
    *,
    lot: Which | None = None,
    coat: int | None = None,
    face: str | None = None,
    cell: str | None = None,
    method: str | None = None,
    weighed_before: Quantity = None,
    weighed_after: Quantity = None,
    on_piece: Quantity = None,
    weighed_out: Quantity = None,
    powder_depth: Quantity = None,
    mesh: int | None = None,
    holding_agent: str | None = None,
    gum_ratio: float | None = None,
    dried: Quantity = None,
    vapour_seen: bool | None = None,
    load: int | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record a coat and return its row; the powder leaves the lot.

    What leaves the lot is what was weighed out; else what lies on the piece.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : int or str
        Row, number or label.
    jar : int or str, optional
        Row, code or name; by the lot when left out.
    lot : int or str, optional
        Row or label; the lot in use of the jar when left out.
    coat : int, optional
        Number of the coat in the piece file, from 1.
    face : str, optional
        ``front``, ``back``, ``rim`` or ``inside``.
    cell : str, optional
        Cell it fills.
    method : str, optional
        How it was laid: ``sift``, ``wet-pack`` and so on.
    weighed_before, weighed_after : quantity, optional
        The piece before and after laying; their difference is `on_piece` when that is left out.
    on_piece, weighed_out : quantity, optional
        Powder on the piece, and powder taken from the jar.
    powder_depth : quantity, optional
        Depth of the powder.
    mesh : int, optional
        Sieve it went through.
    holding_agent : str, optional
        What held it.
    gum_ratio : float, optional
        Parts of gum to one of water.
    dried : quantity, optional
        How long it dried.
    vapour_seen : bool, optional
        Whether steam still rose.
    load : int, optional
        First row of the load it was fired in, when it is known.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing():
        made_on = piece_row(studio, piece)
        known_jar = jar_row(studio, jar).id if jar is not None else None
        known_lot = None
        if lot is not None:
            found = lot_row(studio, lot, known_jar)
            known_lot, known_jar = found.id, found.jar
        elif known_jar is not None:
            in_use = lot_in_use(studio, known_jar)
            known_lot = in_use.id if in_use is not None else None
        given = _weighed(fields(coat_laid, {
            "piece": made_on.id, "lot": known_lot, "jar": known_jar, "load": load, "coat": coat, "face": face,
            "cell": cell, "method": method, "weighed_before": weighed_before, "weighed_after": weighed_after,
            "on_piece": on_piece, "weighed_out": weighed_out, "powder_depth": powder_depth, "mesh": mesh,
            "holding_agent": holding_agent, "gum_ratio": gum_ratio, "dried": dried, "vapour_seen": vapour_seen,
            "at": at, "words": words,
        }))  # fmt: skip
        row = studio.add(coat_laid, **given)
        taken = _taken(given)
        if known_lot is not None and taken is not None:
            move(studio, "used", taken, lot=known_lot, coat=row, at=at)
        return row


def correct_coat(studio: Studio, row: int, why: str, *, seen: int | None = None, **changes: Any) -> int:
    """Correct a coat and what it took from the stock, and return the new row.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        Any row of the coat.
    why : str
        Said in the history.
    seen : int, optional
        The row that was the newest when somebody was shown it.
    **changes
        Columns that differ.
    """
    with studio.writing() as work:
        old = work.one(coat_laid, studio.newest(coat_laid, row))
        if "on_piece" not in changes and {"weighed_before", "weighed_after"} & set(changes):
            weighings = {name: getattr(old, name) for name in ("weighed_before", "weighed_after")}
            difference = _weighed({**weighings, **fields(coat_laid, changes)})["on_piece"]
            changes = {**changes, "on_piece": difference}
        new = work.one(coat_laid, studio.correct(coat_laid, row, why, seen=seen, **changes))
        first = new.first or new.id
        moved = _movement(studio, first)
        taken = _taken(dict(new._mapping))
        if moved is not None and (taken is None or new.lot is None):
            studio.withdraw(stock_movement, moved.id, why)
        elif moved is not None and (moved.grams, moved.lot) != (taken, new.lot):
            studio.correct(stock_movement, moved.id, why, grams=taken, lot=new.lot)
        elif moved is None and taken is not None and new.lot is not None:
            move(studio, "used", taken, lot=new.lot, coat=first, at=new.at)
        return int(new.id)


def withdraw_coat(studio: Studio, row: int, why: str, *, seen: int | None = None) -> int:
    """Say that a coat was never laid; its powder is back in the stock. Returns the new row.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        Any row of the coat.
    why : str
        Said in the history.
    seen : int, optional
        The row that was the newest when somebody was shown it.
    """
    with studio.writing() as work:
        gone = work.one(coat_laid, studio.withdraw(coat_laid, row, why, seen=seen))
        moved = _movement(studio, gone.first)
        if moved is not None:
            studio.withdraw(stock_movement, moved.id, why)
        return int(gone.id)


def coat_row(studio: Studio, row: int) -> Row[Any]:
    """Return the present state of a coat by any of its rows."""
    with studio.reading() as connection:
        newest = studio.newest(coat_laid, row)
        return connection.execute(select(coat_laid).where(coat_laid.c.id == newest)).one()


def coats_on(studio: Studio, piece: Which) -> list[Row[Any]]:
    """List the coats of a piece in the order they were laid."""
    with studio.reading() as connection:
        row = piece_row(studio, piece)
        return list(
            connection.execute(
                current(coat_laid).where(coat_laid.c.piece == row.id).order_by(coat_laid.c.at, coat_laid.c.id)
            )
        )


def _weighed(given: dict[str, Any]) -> dict[str, Any]:
    """Fill in what lies on the piece from the two weighings, when it was not told."""
    before, after = given.get("weighed_before"), given.get("weighed_after")
    if given.get("on_piece") is None:
        difference = None if before is None or after is None or after < before else after - before
        given = {**given, "on_piece": difference}
    return given


def _taken(laid: Mapping[str, Any]) -> float | None:
    out, on = laid["weighed_out"], laid["on_piece"]
    return float(out) if out is not None else None if on is None else float(on)


def _movement(studio: Studio, coat: int) -> Row[Any] | None:
    with studio.reading() as connection:
        return connection.execute(current(stock_movement).where(stock_movement.c.coat == coat).limit(1)).one_or_none()


def coats_without_firing(studio: Studio) -> list[Row[Any]]:
    """List coats of pieces in work that were laid and not yet fired, the oldest first."""
    with studio.reading() as connection:
        return list(connection.execute(_unfired()))


@cache
def _unfired() -> Select[Any]:
    """Select the coats that were laid after the last firing of their piece."""
    from enamelwright.records.schema.loads import load as load_table
    from enamelwright.records.schema.loads import load_piece

    waiting = select(piece_table.c.id).where(piece_table.c.state.in_(("planned", "in work")))
    inside = (
        current(load_piece, load_piece.c.piece, load_piece.c.load).where(load_piece.c.piece.in_(waiting)).subquery()
    )
    loads = current(load_table, load_table.c.at).subquery()
    fired = (
        select(inside.c.piece, func.max(loads.c.at).label("at"))
        .join(loads, loads.c.of == inside.c.load)
        .group_by(inside.c.piece)
        .subquery()
    )
    laid = current(coat_laid).where(coat_laid.c.piece.in_(waiting)).subquery()
    return (
        select(laid)
        .outerjoin(fired, fired.c.piece == laid.c.piece)
        .where(fired.c.at.is_(None) | laid.c.at.is_(None) | (fired.c.at < laid.c.at))
        .order_by(laid.c.at, laid.c.id)
    )
