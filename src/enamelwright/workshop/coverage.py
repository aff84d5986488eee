"""What was foretold beside what happened: are bands that should hold nine times in ten right nine times in ten?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select

from enamelwright.learning.kiln_clock import interval_score
from enamelwright.learning.proportions import wilson
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.pieces import measure as measure_table
from enamelwright.records.schema.pieces import mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.studio import Studio

#: What is compared, by the words of the bench.
GLOSS, BOW = "first gloss", "bow"
#: Share of the bands that ought to hold.
SURE = 0.9


@dataclass(frozen=True)
class Compared:
    """One band and what came of it.

    Attributes
    ----------
    what : str
        ``first gloss`` [s] or ``bow`` [m].
    load, piece : str
        Their numbers.
    at : str
        When it went in.
    low, likely, high, happened : float
        In SI.
    """

    what: str
    load: str
    piece: str
    at: str
    low: float
    likely: float
    high: float
    happened: float

    @property
    def held(self) -> bool:
        """Whether it happened inside the band."""
        return self.low <= self.happened <= self.high


@dataclass(frozen=True)
class Coverage:
    """How often the bands of one kind held.

    Attributes
    ----------
    what : str
        As in :class:`Compared`.
    count, held : int
        How many, and how many of them held.
    between : tuple of float
        Between which shares the bands hold, as far as so few tell.
    score : float
        Mean price of a band, its width and its misses, in SI; smaller is better.
    ratio : float
        Middle of what happened over what was likely; 1 when right on the whole. Nought where it means nothing.
    """

    what: str
    count: int
    held: int
    between: tuple[float, float]
    score: float
    ratio: float

    @property
    def enough(self) -> bool:
        """Whether nine in ten can be told from far off."""
        return self.between[1] - self.between[0] < 0.5


#: A long record takes a breath to read.
_pairs = AtHand["tuple[Compared, ...]"](prediction, load_table, load_piece, measure_table, mishap, piece_table)
#: Columns that are read; rows are many and wide.
_LOAD = (load_table.c.number, load_table.c.at, load_table.c.interrupted, load_table.c.to_gloss)
_INSIDE = (load_piece.c.load, load_piece.c.piece, load_piece.c.do_not_learn, load_piece.c.to_gloss)
_BOW = (measure_table.c.load, measure_table.c.piece, measure_table.c.length)
_TOLD = (prediction.c.load, prediction.c.piece, prediction.c.asked, prediction.c.figures)


def compared(studio: Studio, last: int | None = None) -> list[Compared]:
    """List bands that were frozen before the outcome was seen with what came of them, the newest first.

    A load whose pieces were alike counts once; what was spoilt in the hand is left out.

    Parameters
    ----------
    studio : Studio
        The studio.
    last : int, optional
        Only so many of each kind.
    """
    result = list(_pairs.get(studio, lambda: _compared(studio)))
    if last is None:
        return result
    return [one for what in (GLOSS, BOW) for one in [c for c in result if c.what == what][:last]]


def _compared(studio: Studio) -> tuple[Compared, ...]:
    with studio.reading() as connection:
        hurt = spoiled_firings(studio)
        loads = {row.of: row for row in connection.execute(current(load_table, *_LOAD))}
        inside = {(row.load, row.piece): row for row in connection.execute(current(load_piece, *_INSIDE))}
        numbers = {row.id: row.number for row in connection.execute(select(piece_table.c.id, piece_table.c.number))}
        bows = {
            (row.load, row.piece): row.length
            for row in connection.execute(current(measure_table, *_BOW).where(measure_table.c.what == "bow"))
            if row.load is not None
        }
        told = list(connection.execute(current(prediction, *_TOLD).order_by(prediction.c.id.desc())))
    found: dict[tuple[Any, ...], Compared] = {}
    for one in told:
        load, piece = loads.get(one.load), inside.get((one.load, one.piece))
        if load is None or piece is None or (one.load, one.piece) in hurt or (one.load, None) in hurt:
            continue
        if (one.asked or {}).get("told") != "before the outcome" or load.interrupted or piece.do_not_learn:
            continue
        figures = one.figures or {}
        for what, band, happened in (
            (GLOSS, _gloss(figures), piece.to_gloss if piece.to_gloss is not None else load.to_gloss),
            (BOW, _bow(figures), bows.get((one.load, one.piece))),
        ):
            if band is None or happened is None:
                continue
            key = (what, one.load, band["value"], happened)
            found.setdefault(
                key,
                Compared(
                    what, load.number, numbers.get(one.piece, ""), load.at,
                    band["low"], band["value"], band["high"], float(happened),
                ),
            )  # fmt: skip
    return tuple(found.values())


def coverage(pairs: list[Compared]) -> list[Coverage]:
    """Count how often the bands held, a row a kind.

    Parameters
    ----------
    pairs : list of Compared
        Of :func:`compared`.
    """
    rows = []
    for what in (GLOSS, BOW):
        mine = [one for one in pairs if one.what == what]
        if not mine:
            continue
        held = sum(one.held for one in mine)
        prices = [interval_score(one.low, one.high, one.happened, SURE) for one in mine]
        ratios = sorted(one.happened / one.likely for one in mine if one.likely > 0)
        ratio = ratios[len(ratios) // 2] if what == GLOSS and ratios else 0.0
        between = wilson(held, len(mine), SURE)
        rows.append(Coverage(what, len(mine), held, between, sum(prices) / len(prices), ratio))
    return rows


def _gloss(figures: Mapping[str, Any]) -> Mapping[str, float] | None:
    firing = figures.get("firing") or {}
    if not firing.get("fuses") or firing.get("flash"):
        return None
    for one in (firing.get("window") or {}).get("stages") or []:
        if one.get("stage") == "gloss" and one.get("begins"):
            begins: Mapping[str, float] = one["begins"]
            return begins
    return None


def _bow(figures: Mapping[str, Any]) -> Mapping[str, float] | None:
    bow: Mapping[str, float] | None = (figures.get("state") or {}).get("bow")
    return bow
