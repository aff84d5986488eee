"""What planned and begun pieces still need of each jar, and what is short."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import Any

from sqlalchemy import func, select

from enamelwright.craft.bench import Bench
from enamelwright.errors import EnamelwrightError
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import question
from enamelwright.questions.stock import Habit, Lot, StockInput, Use
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.kept_drawings import drawn_shape
from enamelwright.workshop.lots import levels
from enamelwright.workshop.metal_needs import ordered
from enamelwright.workshop.named import in_use, within
from enamelwright.workshop.studio import Studio

#: Designs whose powder is remembered.
REMEMBERED = 256


def needs(studio: Studio, extra: dict[int, int] | None = None) -> StockInput:
    """Return what is still to be laid on planned and begun pieces, beside what is on the shelf.

    Powder that was laid on a piece already is taken off what its plan weighs out.

    Parameters
    ----------
    studio : Studio
        The studio.
    extra : mapping of int to int, optional
        Pieces to be started besides, by the row of their design version.
    """
    known = bench(studio)
    with studio.reading() as connection:
        pieces = connection.execute(
            select(piece_table.c.id, piece_table.c.design_version).where(
                piece_table.c.state.in_(("planned", "in work")), piece_table.c.design_version.is_not(None),
                in_use(piece_table),
            )
        ).all()  # fmt: skip
        laid_rows = current(
            coat_laid, coat_laid.c.piece, coat_laid.c.jar, coat_laid.c.weighed_out, coat_laid.c.on_piece
        )
        laid = laid_rows.where(coat_laid.c.piece.in_([one.id for one in pieces])).subquery()
        done = {
            (row.piece, row.jar): float(row.grams or 0.0)
            for row in connection.execute(
                select(
                    laid.c.piece, laid.c.jar,
                    func.sum(func.coalesce(laid.c.weighed_out, laid.c.on_piece, 0.0)).label("grams"),
                ).group_by(laid.c.piece, laid.c.jar)
            )
        }  # fmt: skip
        codes = {row.code: int(row.id) for row in connection.execute(select(jar_table.c.code, jar_table.c.id))}
        dates = {row.id: (row.use_by, row.bought_on) for row in connection.execute(
            select(lot_table.c.id, lot_table.c.use_by, lot_table.c.bought_on)
        )}  # fmt: skip
    uses: dict[str, float] = {}
    each = powders(studio, {int(one.design_version) for one in pieces} | set(extra or {}), known)
    for piece in pieces:
        for jar, grams in each[int(piece.design_version)].items():
            left = grams - done.get((piece.id, codes.get(jar, 0)), 0.0)
            uses[jar] = uses.get(jar, 0.0) + max(left, 0.0)
    for version, count in (extra or {}).items():
        for jar, grams in each[version].items():
            uses[jar] = uses.get(jar, 0.0) + grams * count
    shelf = levels(studio)
    marks = {level.code: level.reorder_below for level in shelf if level.reorder_below is not None}
    return StockInput(
        uses=tuple(Use(jar=jar, pieces=1, powder=grams) for jar, grams in uses.items() if grams > 0),
        lots=tuple(
            Lot(jar=level.code, label=level.label or f"lot {level.lot}", amount=level.grams,
                use_by=_day(dates[level.lot][0]), bought=_day(dates[level.lot][1]))
            for level in shelf if level.grams is not None and level.code in {*uses, *marks}
        ),
        habits=tuple(Habit(jar=code, reorder_below=mark) for code, mark in marks.items()),
        today=studio.today(),
    )  # fmt: skip


def shortages(studio: Studio, extra: dict[int, int] | None = None) -> Answer[Any]:
    """Answer what the plan needs of each jar, what is short, and what is bought."""
    return question("stock").answer(needs(studio, extra), bench(studio))


def ordered_versions(studio: Studio) -> dict[int, int]:
    """Return pieces that are agreed on and not started, by the newest version of their design."""
    wanted = ordered(studio)
    with studio.reading():
        newest = designs.newest_versions(studio) if wanted else {}
    return {int(newest[design].of): count for design, count in wanted.items() if design in newest}


def powders(studio: Studio, versions: Collection[int], known: Bench) -> dict[int, dict[str, float]]:
    """Return the powder one piece of each design version takes of each jar, loss included [kg]; empty when unknown.

    Parameters
    ----------
    studio : Studio
        The studio.
    versions : collection of int
        Rows of design versions.
    known : Bench
        The bench.
    """
    found: dict[int, dict[str, float]] = {version: {} for version in versions}
    with studio.reading() as connection:
        for row in connection.execute(current(design_version).where(within(first_of(design_version), versions))):
            if row.of in found:
                found[row.of] = _remembered(row, known)
    return found


_powders: dict[tuple[str, str, str], dict[str, float]] = {}


def _remembered(row: Any, known: Bench) -> dict[str, float]:
    key = (repr(row.piece), designs.drawing_hash(row), known.revision)
    found = _powders.get(key)
    if found is None:
        while len(_powders) >= REMEMBERED:
            _powders.pop(next(iter(_powders)), None)
        found = _powders[key] = _powder(row, known)
    return found


def _powder(row: Any, known: Bench) -> dict[str, float]:
    from enamelwright.craft.sketch import sketch

    try:
        piece = designs.piece_of(row)
        plan = sketch(piece, known, drawn_shape(piece, row.drawing or None))
    except EnamelwrightError:
        return {}
    found: dict[str, float] = {}
    for weight in plan.weights:
        found[weight.jar] = found.get(weight.jar, 0.0) + weight.in_all.value
    return found


def _day(told: Any) -> date | None:
    return told if isinstance(told, date) or told is None else date.fromisoformat(str(told)[:10])
