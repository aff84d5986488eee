"""Lots that jars are laid from, and those no firing was timed of yet: windows are wider for them.

A lot is new to the windows until a piece or tile with a fresh coat of it came out of the kiln with its stage and its
seconds written down, or until somebody wrote down that it was tested beside the old one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import Connection, Row, Select, alias, exists, func, select

from enamelwright.craft.bench import Bench
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.jars import powder_work
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.writing import current, first_of
from enamelwright.workshop.named import in_use, within
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class Lots:
    """The lots of jars that had more than one.

    Attributes
    ----------
    jars : dict of int to str
        Row of a lot to the code of its jar.
    new : frozenset of int
        Those no firing was timed of.
    """

    jars: Mapping[int, str]
    new: frozenset[int]


def lots_timed(connection: Connection) -> Lots:
    """Return the lots of jars that had more than one, and which of them no timed firing tells of.

    Where no lot of a jar has a timed firing, its first one is taken as that which was fired before lots were told.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    """
    rows = connection.execute(_lots()).all()
    if not rows:
        return Lots({}, frozenset())
    told = powder_work.c.lot.in_([row.id for row in rows]), powder_work.c.work == "tested"
    tested = {int(row.lot) for row in connection.execute(current(powder_work, powder_work.c.lot).where(*told))}
    known = {int(row.jar) for row in rows if row.timed}
    new: set[int] = set()
    for row in rows:
        if row.jar not in known:
            known.add(int(row.jar))
        elif not row.timed and row.id not in tested:
            new.add(int(row.id))
    return Lots({int(row.id): str(row.code) for row in rows}, frozenset(new))


@cache  # it is asked for with every bench, and takes longer to put into words than to answer
def _lots() -> Select[Any]:
    several = select(lot_table.c.jar).where(in_use(lot_table)).group_by(lot_table.c.jar).having(func.count() > 1)
    return (
        select(lot_table.c.id, lot_table.c.jar, jar_table.c.code, _timed().label("timed"))
        .join(jar_table, jar_table.c.id == lot_table.c.jar)
        .where(lot_table.c.jar.in_(several), in_use(lot_table), in_use(jar_table))
        .order_by(lot_table.c.opened_on.is_(None), lot_table.c.opened_on, lot_table.c.id)
    )


def _timed() -> Any:
    """Whether a fresh coat of a lot came out of a kiln with stage and seconds."""
    coat, inside, load, between, sooner = (
        alias(table) for table in (coat_laid, load_piece, load_table, load_piece, load_table)
    )
    stage = func.coalesce(inside.c.stage_seen, load.c.stage_seen)
    seconds = func.coalesce(inside.c.to_gloss, load.c.to_gloss, inside.c.seconds, load.c.seconds)
    fired_before = (
        select(sooner.c.id)
        .join(between, between.c.load == first_of(sooner))
        .where(
            between.c.piece == coat.c.piece, sooner.c.closed_at.is_not(None),
            sooner.c.at >= coat.c.at, sooner.c.at < load.c.at,
            *_stands(between, load_piece), *_stands(sooner, load_table),
        )
    )  # fmt: skip
    return exists(
        select(coat.c.id)
        .join(inside, inside.c.piece == coat.c.piece)
        .join(load, first_of(load) == inside.c.load)
        .where(
            coat.c.lot == lot_table.c.id, load.c.at >= coat.c.at, load.c.closed_at.is_not(None),
            func.coalesce(load.c.interrupted, 0) == 0, func.coalesce(inside.c.do_not_learn, 0) == 0,
            stage.is_not(None), seconds.is_not(None), ~exists(fired_before),
            *_stands(coat, coat_laid), *_stands(inside, load_piece), *_stands(load, load_table),
        )
    )  # fmt: skip


def _stands(row: Any, table: Any) -> tuple[Any, Any]:
    """Say that a row was neither withdrawn nor corrected."""
    newer = alias(table)
    return row.c.withdrawn == 0, ~exists(select(newer.c.id).where(newer.c.corrects == row.c.id))


def lot_key(lot: int | None) -> str:
    """Return what stands for a lot in what was learned; empty where nobody said which it was.

    Parameters
    ----------
    lot : int or None
        Its row.
    """
    return "" if lot is None else str(lot)


def lots_in_hand(connection: Connection, in_hand: Sequence[int]) -> dict[str, Any]:
    """Return which lots jars are laid from now, and which of these are new, as the bench tells them.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    in_hand : sequence of int
        Rows of the lots jars are used from now.
    """
    lots = lots_timed(connection)
    laid = {lots.jars[lot]: lot_key(lot) for lot in sorted(in_hand) if lot in lots.jars}
    return {"new_lots": tuple(sorted(lots.jars[lot] for lot in lots.new & set(in_hand))), "lots_laid": laid}


def by_lots_laid(studio: Studio, benches: Mapping[int, Bench], pieces: Sequence[Row[Any]]) -> dict[int, Bench]:
    """Return by piece the bench with the lots its coats were laid from; those to come are laid from the lot in hand.

    Parameters
    ----------
    studio : Studio
        The studio.
    benches : mapping
        Row of a piece to the bench it is foretold by.
    pieces : sequence of Row
        Of the table of pieces.
    """
    with studio.reading() as connection:
        lots = lots_timed(connection)
        if not lots.jars:
            return dict(benches)
        laid = current(coat_laid, coat_laid.c.piece, coat_laid.c.lot, coat_laid.c.at)
        rows = [int(one.id) for one in pieces]
        laid = laid.where(within(coat_laid.c.piece, rows), coat_laid.c.lot.in_(list(lots.jars)))
        coats = connection.execute(laid.order_by(coat_laid.c.at, coat_laid.c.id)).all()
        inside = current(load_piece, load_piece.c.load, load_piece.c.piece).where(within(load_piece.c.piece, rows))
        put_in = inside.subquery()
        out = current(load_table, load_table.c.at).where(load_table.c.closed_at.is_not(None)).subquery()
        fired = {
            int(row.piece): str(row.last)
            for row in connection.execute(
                select(put_in.c.piece, func.max(out.c.at).label("last"))
                .join(out, out.c.of == put_in.c.load)
                .group_by(put_in.c.piece)
            )
        }
    found: dict[int, Bench] = {}
    made: dict[tuple[Any, ...], Bench] = {}
    for piece, known in benches.items():
        new, laid_from = set(known.new_lots), dict(known.lots_laid)
        for coat in coats:
            if coat.piece == piece and coat.at > fired.get(piece, ""):
                (new.add if coat.lot in lots.new else new.discard)(lots.jars[coat.lot])
                laid_from[lots.jars[coat.lot]] = lot_key(coat.lot)
        told = {"new_lots": tuple(sorted(new)), "lots_laid": laid_from}
        key = (known.revision, told["new_lots"], *sorted(laid_from.items()))
        if key not in made:
            same = told == {"new_lots": known.new_lots, "lots_laid": known.lots_laid}
            made[key] = known if same else known.model_copy(update=told)
        found[piece] = made[key]
    return found
