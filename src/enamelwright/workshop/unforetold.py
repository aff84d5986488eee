"""Why firings of which nothing was foretold teach nothing: what of them is not written down."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.pauses import known_by_day
from enamelwright.workshop.says_two import outcome_of
from enamelwright.workshop.studio import Studio

#: What of a firing of a notebook there must be for it to teach, and how a missing one is told.
NEEDED = {
    "kiln": "no kiln", "jar": "no jar of the shelf",
    "metal": "no metal", "thickness": "no gauge", "set_point": "no setting", "seconds": "no time",
    "stage_seen": "neither a stage nor a first gloss",
}  # fmt: skip
#: What of a piece without a plan there must be, and how it is told.
_OF_A_PIECE = {"metal": "metal", "thickness": "thickness", "metal_mass": "weight of the blank"}


def why_unforetold(studio: Studio, firings: Sequence[tuple[Any, Row[Any]]]) -> dict[str, int]:
    """Return why firings without anything foretold teach nothing, and how many of each.

    Those that are still in, were broken off or are not to be learned from are nobody's question.

    Parameters
    ----------
    studio : Studio
        The studio.
    firings : sequence of (Row, Row)
        Load, and piece in it, of which nothing was foretold.
    """
    over = [
        (load, piece)
        for load, piece in firings
        if load.closed_at is not None and not load.interrupted and not piece.do_not_learn
    ]
    if not over:
        return {}
    with studio.reading() as connection:
        pieces = {row.id: row for row in connection.execute(select(piece_table))}
        coats: dict[int, list[Row[Any]]] = defaultdict(list)
        for coat in connection.execute(current(coat_laid)):
            coats[coat.piece].append(coat)
        notebooks = known_by_day(connection)
    return dict(
        Counter(
            _of_a_notebook(load, row, pieces[row.piece], coats[row.piece])
            if load.of in notebooks
            else _of_the_bench(load, row, pieces[row.piece], coats[row.piece])
            for load, row in over
        )
    )


def _of_a_notebook(load: Any, inside: Row[Any], piece: Row[Any], coats: Sequence[Row[Any]]) -> str:
    """Return what a row of a notebook lacks."""
    out = outcome_of(load, inside)
    told = {
        "kiln": load.kiln, "jar": any(one.load == load.of and one.jar is not None for one in coats),
        "metal": piece.metal, "thickness": piece.thickness, "set_point": load.set_point,
        "seconds": out.seconds or out.to_gloss, "stage_seen": out.stage or out.to_gloss,
    }  # fmt: skip
    return missing(told) or "not to be described as a disc"


def missing(told: Mapping[str, Any]) -> str:
    """Say what a firing of a notebook lacks; empty when it lacks nothing.

    Parameters
    ----------
    told : mapping
        By the names of :data:`NEEDED`; whatever is empty lacks.
    """
    return ", ".join(why for key, why in NEEDED.items() if not told.get(key))


def _of_the_bench(load: Any, inside: Row[Any], piece: Row[Any], coats: Sequence[Row[Any]]) -> str:
    """Return what a firing of the bench lacks."""
    out = outcome_of(load, inside)
    if out.to_gloss is None and not (out.stage and out.seconds):
        return "no stage with its time, and no first gloss, was noted"
    if piece.design_version is not None:
        return "its plan foretold nothing of this firing"
    lacks = [words for column, words in _OF_A_PIECE.items() if not piece._mapping[column]]
    laid = [one for one in coats if one.at <= load.closed_at]  # told in one breath, it went in before it was told
    if not laid or any(one.jar is None or one.cell or one.face not in {"front", "back"} for one in laid):
        lacks.append("coats with jar and face")
    what = piece.kind
    if not lacks:
        return f"a {what} without a plan, of which nothing could be foretold"
    head, last = lacks[:-1], lacks[-1]
    told = f"{', '.join(head)} and {last}" if head else last
    return f"a {what} without a plan, and nobody wrote down its {told} before it was fired"
