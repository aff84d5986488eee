"""The last good firing of a kind, and what was foretold of one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, Row, alias, exists, func, select, true, union_all

from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.pieces import fault_seen, mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of

#: Firings of one number that are looked through for a good one, the newest first.
LOOK_BACK = 200
#: Stages in their order.
_STAGES = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")


def last_good(
    connection: Connection, design: int, firing: int, other_than: int, load: Row[Any] | None
) -> Row[Any] | None:
    """Return the last firing of that number of this design, before a load, that reached its stage and left no fault.

    One that was to go to another stage than its plan has counts only where there is no other.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    design : int
        Row of the design.
    firing : int
        Number of the firing.
    other_than : int
        Row of the piece that is compared.
    load : Row or None
        The load it went in; None for a firing to come.
    """
    inside, loads = load_piece.c, load_table.c
    newer = alias(load_piece)
    made = current(design_version).where(design_version.c.design == design).subquery()
    rows = connection.execute(
        current(
            load_table, loads.number, loads.at, loads.stage_seen, loads.target, inside.piece,
            inside.stage_seen.label("piece_stage"),
        )
        .join(load_piece, inside.load == first_of(load_table))
        .join(piece_table, piece_table.c.id == inside.piece)
        .where(
            inside.withdrawn == False, ~exists().where(newer.c.corrects == inside.id),  # noqa: E712 - SQL, not Python
            inside.firing == firing, inside.piece != other_than, func.coalesce(inside.do_not_learn, 0) == 0,
            piece_table.c.design_version.in_(select(made.c.of)), piece_table.c.state.not_in(("spoilt", "study")),
            loads.closed_at.is_not(None), func.coalesce(loads.interrupted, 0) == 0,
            true() if load is None else loads.at < load.at,
        )
        .order_by(loads.at.desc(), loads.id.desc())
        .limit(LOOK_BACK)
    ).all()  # fmt: skip
    other_aim = None
    for row in rows:
        stage = row.piece_stage or row.stage_seen
        if not stage:
            continue
        foretold = foretold_of(connection, row.of, row.piece)
        planned = (foretold.get("planned") or {}).get("target")
        aim = row.target or (foretold.get("firing") or {}).get("target")
        if not _reached(stage, aim if aim in _STAGES else None):
            continue
        if not _left_a_mark(connection, row.of, row.piece):
            if not planned or aim == planned:
                return row
            other_aim = other_aim or row  # one that was to go further than its plan is of the same kind only for want
    return other_aim


def _reached(stage: str, target: str | None) -> bool:
    """Whether the stage seen is the one aimed at; with no aim, anything that is bonded and not over-fired."""
    if target:
        at, aim = _STAGES.index(stage), _STAGES.index(target)
        return at == aim or (target == "gloss" and stage == "cleared")
    return stage not in {"powder", "over-fired"}


def foretold_of(connection: Connection, load: int, piece: int) -> Mapping[str, Any]:
    """Return what was foretold of a piece in a load; empty where nothing was.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    load, piece : int
        First row of the load, row of the piece.
    """
    row = connection.execute(
        current(prediction, prediction.c.figures).where(prediction.c.load == load, prediction.c.piece == piece).limit(1)
    ).one_or_none()
    return (row.figures or {}) if row is not None else {}


def foretold_last(connection: Connection, design: int, firing: int) -> Mapping[str, Any]:
    """Return what was foretold last of such a firing of a design: by all that was known until then.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    design, firing : int
        Row of the design, number of the firing.
    """
    made = current(design_version).where(design_version.c.design == design).subquery()
    mine = prediction.c.firing == firing, prediction.c.design_version.in_(select(made.c.of))
    row = connection.execute(
        current(prediction, prediction.c.figures).where(*mine).order_by(prediction.c.id.desc()).limit(1)
    ).one_or_none()
    return (row.figures or {}) if row is not None else {}


def _left_a_mark(connection: Connection, load: int, piece: int) -> bool:
    """Whether a fault came of it or something went wrong in the hand."""
    marks = [
        current(table, table.c.id).where(table.c.load == load, (table.c.piece == piece) | table.c.piece.is_(None))
        for table in (fault_seen, mishap)
    ]
    return connection.execute(union_all(*marks).limit(1)).first() is not None
