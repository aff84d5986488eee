"""How the window would have done that knows nothing of the record, beside the one that was written down at the time."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from statistics import median
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.coverage import GLOSS, Compared, compared, gloss_band
from enamelwright.workshop.predictions import foretold_again
from enamelwright.workshop.studio import Studio

#: Firings that are foretold once more without the record.
LAST = 10


@dataclass(frozen=True)
class Both:
    """One firing beside both bands.

    Attributes
    ----------
    then : Compared
        The band that was frozen, with what the record had taught by then.
    plain : Compared
        The band without the record.
    """

    then: Compared
    plain: Compared


def plain_bench(known: Bench) -> Bench:
    """Return the bench as if nothing had been learned of the record.

    Parameters
    ----------
    known : Bench
        The bench of this moment.
    """
    return known.model_copy(update={"learned_clocks": (), "learned_bows": (), "learned_hands": ()})


def without_record(studio: Studio, known: Bench, last: int = LAST) -> list[Both]:
    """Foretell the last firings whose first gloss was seen once more, without what the record taught.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    last : int
        So many, the newest first.
    """
    plain, found = plain_bench(known), []
    pairs = [one for one in compared(studio) if one.what == GLOSS][:last]
    rows, counts = _rows(studio, {one.load for one in pairs})
    for one in pairs:
        row = rows.get((one.load, one.piece))
        try:
            figures = foretold_again(studio, row, plain, counts[one.load]) if row is not None else None
        except EnamelwrightError:
            continue
        band = gloss_band(figures or {})
        if band is not None:
            other = replace(one, low=band["low"], likely=band["value"], high=band["high"])
            if other.told:
                found.append(Both(one, other))
    return found


def both_words(both: list[Both]) -> str:
    """Say how both kinds of window did, in one sentence; empty without a firing.

    Parameters
    ----------
    both : list of Both
        Of :func:`without_record`.
    """
    if not both:
        return ""
    which = f"the last {len(both)} firings" if len(both) > 1 else "the last firing"
    said = (
        f"Of {which} the window without your record would have held {sum(one.plain.held for one in both)}, the window "
        f"that was written down then {sum(one.then.held for one in both)}."
    )
    timed = [one for one in both if not one.then.not_yet]
    if not timed:
        return said
    off = [
        round(100 * median(abs(pair.happened / pair.likely - 1) for pair in some))
        for some in ([one.plain for one in timed], [one.then for one in timed])
    ]
    return f"{said} Its likely time was {off[0]} % off without the record, {off[1]} % with it."


def _rows(studio: Studio, loads: set[str]) -> tuple[dict[tuple[str, str], Row[Any]], Counter[str]]:
    """Return what was frozen, by load and piece, and how many pieces each load had."""
    with studio.reading() as connection:
        numbers = {
            row.id: row.number
            for row in connection.execute(
                select(load_table.c.id, load_table.c.number).where(load_table.c.number.in_(loads))
            )
        }
        pieces = {row.id: row.number for row in connection.execute(select(piece_table.c.id, piece_table.c.number))}
        inside = connection.execute(current(load_piece).where(load_piece.c.load.in_(numbers)))
        counts = Counter(numbers[row.load] for row in inside)
        told = connection.execute(
            current(prediction).where(prediction.c.load.in_(numbers)).order_by(prediction.c.id)
        ).all()
    return {(numbers[row.load], pieces.get(row.piece, "")): row for row in told}, counts
