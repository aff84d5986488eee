"""Lots: what a jar was filled from; opened, washed, sieved, weighed, counted, used up."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from sqlalchemy import ColumnElement, Row, Select, alias, and_, case, func, literal_column, or_, select

from enamelwright.errors import InputError
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.jars import powder_work, stock_movement
from enamelwright.records.writing import first_of
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.named import Which, in_use
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: Kinds of movement that put powder on the shelf; a count sets the level, everything else takes away.
IN = ("bought", "returned")


@dataclass(frozen=True)
class Level:
    """What is left of one lot.

    Attributes
    ----------
    lot : int
        Row of the lot.
    jar : int
        Row of the jar.
    code, name, label : str
        Code and name of the jar, label of the lot.
    grams : float or None
        Mass left [kg]; None when nothing was ever weighed in.
    reorder_below : float or None
        Mass of the jar at which it should be bought again [kg].
    finished : bool
        Whether the lot is used up.
    """

    lot: int
    jar: int
    code: str
    name: str
    label: str
    grams: float | None
    reorder_below: float | None
    finished: bool


def open_lot(
    studio: Studio,
    jar: Which,
    label: str = "",
    *,
    grams: Quantity = None,
    bought_on: Any = None,
    opened_on: Any = None,
    **more: Any,
) -> int:
    """Open a lot of a jar and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str
        Row, code or name of the jar.
    label : str
        As the supplier or the maker calls it; jar and day when left out.
    grams : quantity, optional
        Mass bought; becomes the first stock movement.
    bought_on, opened_on : date, optional
        Days; opened today when left out.
    **more
        Further columns of a lot: `mesh`, `price_minor`, `currency`, `bought_from`, `hazards`,
        `condition`, `use_by`, `words`.
    """
    with studio.writing():
        row = jar_row(studio, jar)
        there = {str(one.label).casefold() for one in lots_of(studio, row.id) if not one.put_away}
        if label.strip().casefold() in there:
            raise InputError(
                f"{row.code} has a lot '{label.strip()}' already.",
                "Give the new one another label, or set its level with stock count.",
            )
        today = studio.today().isoformat()
        name = f"{row.code} of {today}"
        names = (name, *(f"{name} ({n})" for n in range(2, len(there) + 2)))
        free = next((one for one in names if one.casefold() not in there), name)
        lot = studio.keep(
            lot_table, jar=row.id, label=label.strip() or free, bought_on=bought_on,
            opened_on=opened_on or studio.today(), bought_grams=grams, **more,
        )  # fmt: skip
        if grams is not None:
            studio.add(stock_movement, lot=lot, kind="bought", grams=grams)
        return lot


def lot_row(studio: Studio, which: Which, jar: Which | None = None) -> Row[Any]:
    """Return the row of a lot by id or label, or of the lot in use of a jar.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or label; an empty label with a jar is the lot in use.
    jar : int or str, optional
        The jar it belongs to.

    Raises
    ------
    InputError
        When there is no such lot, or several of that label.
    """
    with studio.reading() as connection:
        if isinstance(which, int):
            rows = connection.execute(select(lot_table).where(lot_table.c.id == which)).all()
        elif not which.strip() and jar is not None:
            found = lot_in_use(studio, jar_row(studio, jar).id)
            rows = [found] if found is not None else []
        else:
            query = select(lot_table).where(func.lower(lot_table.c.label) == which.strip().lower())
            if jar is not None:
                query = query.where(lot_table.c.jar == jar_row(studio, jar).id)
            rows = connection.execute(query).all()
    if len(rows) == 1:
        return rows[0]
    if rows and jar is not None:
        going = [row for row in rows if not row.finished and not row.put_away]
        if len(going) == 1:
            return going[0]
        ids = " and ".join(str(row.id) for row in rows)
        raise InputError(
            f"{jar} has more than one lot '{which}': rows {ids}.", f"Rename one: correct lot {rows[-1].id} label=..."
        )
    if rows:
        raise InputError(f"more than one lot is labelled '{which}'.", "Name the jar as well.")
    raise InputError(f"there is no lot '{which}'" + (f" of {jar}." if jar is not None else "."), "Open it first.")


def lot_in_use(studio: Studio, jar: int) -> Row[Any] | None:
    """Return the lot a jar is used from now: opened last, not used up; an unopened one when no other is left.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int
        Row of the jar.
    """
    with studio.reading() as connection:
        return connection.execute(
            select(lot_table)
            .where(lot_table.c.jar == jar, lot_table.c.finished == False, in_use(lot_table))  # noqa: E712
            .order_by(lot_table.c.opened_on.is_(None), lot_table.c.opened_on.desc(), lot_table.c.id.desc())
            .limit(1)
        ).one_or_none()


def put_by(studio: Studio, which: Which, version: int | None = None) -> int:
    """Close a lot again, so that the jar is used from the lot before it, and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or label.
    version : int, optional
        The version that was shown.
    """
    return change_lot(studio, which, version=version, opened_on=None)


def lots_of(studio: Studio, jar: Which) -> list[Row[Any]]:
    """List the lots of a jar, the newest first."""
    with studio.reading() as connection:
        row = jar_row(studio, jar)
        return list(
            connection.execute(select(lot_table).where(lot_table.c.jar == row.id).order_by(lot_table.c.id.desc()))
        )


def change_lot(
    studio: Studio, which: Which, jar: Which | None = None, version: int | None = None, **changes: Any
) -> int:
    """Change what is kept of a lot and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or label.
    jar : int or str, optional
        The jar, when the label alone does not tell.
    version : int, optional
        The version that was shown when the change was made.
    **changes
        Columns of a lot.
    """
    with studio.writing():
        return studio.change(lot_table, lot_row(studio, which, jar).id, version, **changes)


def work_powder(
    studio: Studio,
    which: Which,
    work: str,
    *,
    jar: Which | None = None,
    before: Quantity = None,
    after: Quantity = None,
    mesh: int | None = None,
    sieves: Any = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record what was done to the powder of a lot and return its row.

    Washing sets the day the lot was washed; what washing or sieving took away leaves the stock.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or label of the lot; empty with `jar` for the lot in use.
    work : str
        ``washed``, ``ground``, ``sieved``, ``dried`` or ``tested``.
    jar : int or str, optional
        The jar, when the label alone does not tell.
    before, after : quantity, optional
        Dry mass before and after.
    mesh : int, optional
        Sieve it passed.
    sieves : JSON, optional
        Grams left on each sieve.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    with studio.writing() as writing:
        lot = lot_row(studio, which, jar)
        row = studio.add(
            powder_work, lot=lot.id, work=work, before=before, after=after, mesh=mesh, sieves=sieves, at=at, words=words
        )
        done = writing.one(powder_work, row)
        if work == "washed":
            studio.change(lot_table, lot.id, washed_on=done.at[:10])
        if mesh is not None and work in {"ground", "sieved"}:
            studio.change(lot_table, lot.id, mesh=mesh)
        if done.before is not None and done.after is not None and done.before > done.after:
            gone = done.before - done.after
            studio.add(stock_movement, lot=lot.id, kind="washed out" if work == "washed" else "lost", grams=gone, at=at)
        return row


def move(
    studio: Studio,
    kind: str,
    grams: Quantity = None,
    *,
    lot: int | None = None,
    sheet: int | None = None,
    count: int | None = None,
    coat: int | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record that something entered or left the stock, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    kind : str
        ``bought``, ``used``, ``lost``, ``washed out``, ``given away``, ``returned`` or ``counted``.
    grams : quantity, optional
        Mass; for a count the mass found.
    lot, sheet : int, optional
        What moved.
    count : int, optional
        Number of things, where they are counted.
    coat : int, optional
        The coat that used it.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    return studio.add(
        stock_movement, lot=lot, sheet=sheet, kind=kind, grams=grams, count=count, coat=coat, at=at, words=words
    )


def take_stock(studio: Studio, counts: dict[int, Quantity], at: Any = None) -> list[int]:
    """Set the level of several lots to what the balance says, all or none, and return the rows.

    Parameters
    ----------
    studio : Studio
        The studio.
    counts : dict of int to quantity
        Row of the lot to the mass found.
    at : datetime, optional
        When; now when left out.
    """
    with studio.writing():
        return [move(studio, "counted", grams, lot=lot, at=at) for lot, grams in counts.items()]


def levels(studio: Studio, jar: Which | None = None, *, finished: bool = False) -> list[Level]:
    """Say what is left of every lot, by the code of its jar.

    The level is the last count with what moved after it; without a count, everything that moved.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : int or str, optional
        Only of this jar.
    finished : bool
        Also lots that are used up.
    """
    query = _levels(finished)
    with studio.reading() as connection:
        if jar is not None:
            query = query.where(lot_table.c.jar == jar_row(studio, jar).id)
        rows = connection.execute(query).all()
    return [
        Level(
            lot=row.id, jar=row.jar, code=row.code, name=row.name, label=row.label, finished=bool(row.finished),
            grams=None if row.counted is None and not row.weighed else (row.counted or 0.0) + (row.change or 0.0),
            reorder_below=row.reorder_below,
        )
        for row in rows
    ]  # fmt: skip


@cache
def _levels(finished: bool) -> Select[Any]:
    m = stock_movement.c
    looked_at = m.lot.is_not(None)
    if not finished:  # the movements of years are of lots that are used up
        looked_at = m.lot.in_(select(lot_table.c.id).where(lot_table.c.finished == False))  # noqa: E712 - SQL
    of = first_of(stock_movement)
    newer = alias(stock_movement)  # few movements are ever corrected, so that one list of them serves for all
    corrected = select(newer.c.corrects).where(newer.c.corrects.is_not(None))
    standing = m.withdrawn == literal_column("0"), m.id.not_in(corrected)
    back = func.row_number().over(partition_by=m.lot, order_by=(m.at.desc(), of.desc())).label("back")
    counted = select(of.label("of"), m.lot, m.at, m.grams, back).where(*standing)
    counted_of = counted.where(m.kind == "counted", m.grams.is_not(None), looked_at).cte("counted")
    last = select(counted_of).where(counted_of.c.back == 1).cte("last_count")
    signed = case((m.kind.in_(IN), m.grams), (m.kind == "counted", 0.0), else_=-m.grams)
    after: ColumnElement[bool] = or_(
        last.c.lot.is_(None), m.at > last.c.at, and_(m.at == last.c.at, of > last.c.of)
    )  # fmt: skip
    sums = (
        select(m.lot, func.sum(signed).label("change"), func.count(m.grams).label("weighed"))
        .select_from(stock_movement.outerjoin(last, last.c.lot == m.lot))
        .where(*standing, looked_at, after)
        .group_by(m.lot)
        .cte("sums")
    )
    query: Select[Any] = (
        select(
            lot_table.c.id, lot_table.c.label, lot_table.c.finished, lot_table.c.jar, jar_table.c.code,
            jar_table.c.name, jar_table.c.reorder_below, last.c.grams.label("counted"), sums.c.change, sums.c.weighed,
        )
        .select_from(
            lot_table.join(jar_table, jar_table.c.id == lot_table.c.jar)
            .outerjoin(last, last.c.lot == lot_table.c.id)
            .outerjoin(sums, sums.c.lot == lot_table.c.id)
        )
        .where(in_use(lot_table))
        .order_by(jar_table.c.code, lot_table.c.id)
    )  # fmt: skip
    return query if finished else query.where(lot_table.c.finished == False)  # noqa: E712 - SQL, not Python


def to_buy(studio: Studio) -> list[tuple[str, str, float]]:
    """List (code, name, grams left [kg]) of every jar that has fallen below its mark for buying again."""
    left: dict[tuple[str, str], list[Level]] = {}
    for level in levels(studio):
        left.setdefault((level.code, level.name), []).append(level)
    found = []
    for (code, name), lots in left.items():
        mark = lots[0].reorder_below
        known = [max(level.grams, 0.0) for level in lots if level.grams is not None]  # one owes nothing to another
        if mark is not None and known and sum(known) < mark:
            found.append((code, name, sum(known)))
    return found
