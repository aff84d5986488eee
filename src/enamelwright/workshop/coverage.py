"""What was foretold beside what happened: are bands that should hold nine times in ten right nine times in ten?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot, inf, isfinite
from statistics import fmean, median
from typing import Any

from sqlalchemy import select

from enamelwright.figure import Z95
from enamelwright.learning.interval_score import interval_score
from enamelwright.learning.proportions import wilson
from enamelwright.learning.stage_records import ORDER
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.pieces import measure as measure_table
from enamelwright.records.schema.pieces import mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.foretold_for import of_another_heat
from enamelwright.workshop.mishaps import spoiled_firings
from enamelwright.workshop.studio import Studio

#: What is compared, by the words of the bench.
GLOSS, BOW, WEIGHT = "first gloss", "bow", "powder on the piece"
#: Share of the bands that ought to hold.
SURE = 0.9
#: A bow read over less than this share of the longest measure is one of a part, and its band is told for that part.
WHOLE = 0.95
#: A time of gloss is written down to the second: half of it is no miss.
SECOND = 0.5
#: Pieces that are foretold as discs of their weight, and are none.
NARROW = "strip"
#: Stages a coat passes on its way to gloss.
BEFORE_GLOSS = ORDER[: ORDER.index("gloss")]


@dataclass(frozen=True)
class Compared:
    """One band and what came of it.

    Attributes
    ----------
    what : str
        ``first gloss`` [s], ``bow`` [m] or ``powder on the piece`` [kg].
    load, piece : str
        Their numbers; the code of the jar in place of a load for what was weighed.
    at : str
        When it went in.
    low, likely, high : float
        In SI; `high` is infinite where the band was open, as its late end lay beyond the times worked out.
    happened : float
        In SI.
    not_yet : bool
        It had not come by then, when somebody looked last; later is not known.
    read_to : float
        Finest step it is read to: a miss smaller than that is none.
    """

    what: str
    load: str
    piece: str
    at: str
    low: float
    likely: float
    high: float
    happened: float
    not_yet: bool = False
    read_to: float = 0.0

    @property
    def told(self) -> bool:
        """Whether the record tells if the band held.

        Of what was taken out before it came only that is told whose band was over by then, or has no end. Whoever takes
        out before a band begins has not shown that it holds.
        """
        return not self.not_yet or self.happened >= self.high or (self.high == inf and self.happened >= self.low)

    @property
    def held(self) -> bool:
        """Whether it happened inside the band, or had not come as the band said."""
        if self.not_yet:
            return self.high == inf
        return self.low - self.read_to <= self.happened <= self.high + self.read_to

    @property
    def priced(self) -> bool:
        """Whether band and outcome are numbers, so that its width and misses can be weighed."""
        return not self.not_yet and isfinite(self.high)


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
    priced : int
        How many of them have two ends and came to pass, so that they have a price.
    score : float
        Mean price of such a band, its width and its misses, in SI; smaller is better. Nought when there is none.
    ratio : float
        Middle of what happened over what was likely; 1 when right on the whole. Nought where it means nothing.
    """

    what: str
    count: int
    held: int
    between: tuple[float, float]
    priced: int
    score: float
    ratio: float

    @property
    def enough(self) -> bool:
        """Whether nine in ten can be told from far off."""
        return self.between[1] - self.between[0] < 0.5


#: A long record takes a breath to read.
_pairs = AtHand["tuple[Compared, ...]"](prediction, load_table, load_piece, measure_table, mishap, piece_table)
#: Columns that are read; rows are many and wide.
_SEEN = ("to_gloss", "stage_seen", "seconds")
_LOAD = (
    load_table.c.number, load_table.c.at, load_table.c.interrupted, load_table.c.set_point,
    *(load_table.c[one] for one in _SEEN),
)  # fmt: skip
_INSIDE = (
    load_piece.c.load, load_piece.c.piece, load_piece.c.do_not_learn, *(load_piece.c[one] for one in _SEEN),
)  # fmt: skip
_BOW = (measure_table.c.load, measure_table.c.piece, measure_table.c.length, measure_table.c.over)
_PIECE = (piece_table.c.id, piece_table.c.number, piece_table.c.kind, piece_table.c.design_version)
_TOLD = (prediction.c.load, prediction.c.piece, prediction.c.asked, prediction.c.figures)


def compared(studio: Studio, last: int | None = None) -> list[Compared]:
    """List bands that were frozen before the outcome was seen with what came of them, the newest first.

    A load whose pieces were alike counts once, and so does a first gloss noted of a whole load: it is held against the
    piece that was to gloss first. What was spoilt in the hand is left out, and what was fired at another setting than
    it was foretold at, as was only said afterwards.

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
        pieces = {row.id: row for row in connection.execute(select(*_PIECE))}
        bows = {
            (row.load, row.piece): row
            for row in connection.execute(current(measure_table, *_BOW).where(measure_table.c.what == "bow"))
            if row.load is not None
        }
        told = list(connection.execute(current(prediction, *_TOLD).order_by(prediction.c.id.desc())))
    found: dict[tuple[Any, ...], Compared] = {}
    steps = {GLOSS: SECOND, BOW: facts_of("heat/learning")["heat/learn_bow_reading"].low}
    for one in told:
        load, piece = loads.get(one.load), inside.get((one.load, one.piece))
        if load is None or piece is None or (one.load, one.piece) in hurt or (one.load, None) in hurt:
            continue
        if (one.asked or {}).get("told") != "before the outcome" or load.interrupted or piece.do_not_learn:
            continue
        figures = one.figures or {}
        if of_another_heat(load, figures):
            continue
        seen, not_yet = _first_gloss(load, piece, figures)
        made, bow = pieces.get(one.piece), bows.get((one.load, one.piece))
        for what, band, happened, yet in (
            (GLOSS, gloss_band(figures), seen, not_yet),
            (BOW, _bow(figures, made, bow), None if bow is None else bow.length, False),
        ):
            if band is None or happened is None:
                continue
            pair = Compared(
                what, load.number, "" if made is None else made.number, load.at,
                band["low"], band["value"], band["high"], float(happened), yet, steps[what],
            )  # fmt: skip
            if not pair.told:
                continue
            if what == GLOSS and piece.to_gloss is None and not yet:
                first = found.setdefault((what, one.load), pair)
                found[what, one.load] = min(first, pair, key=lambda each: each.likely)
            else:
                found.setdefault((what, one.load, band["value"], happened), pair)
    return tuple(found.values())


def coverage(pairs: list[Compared]) -> list[Coverage]:
    """Count how often the bands held, a row a kind.

    Parameters
    ----------
    pairs : list of Compared
        Of :func:`compared`.
    """
    rows = []
    for what in (GLOSS, BOW, WEIGHT):
        mine = [one for one in pairs if one.what == what]
        if not mine:
            continue
        held = sum(one.held for one in mine)
        prices = [interval_score(one.low, one.high, one.happened, SURE) for one in mine if one.priced]
        ratios = [one.happened / one.likely for one in mine if one.likely > 0 and not one.not_yet]
        rows.append(
            Coverage(
                what, len(mine), held, wilson(held, len(mine), SURE), len(prices), fmean(prices) if prices else 0.0,
                median(ratios) if what == GLOSS and ratios else 0.0,
            )
        )  # fmt: skip
    return rows


def _first_gloss(load: Any, piece: Any, figures: Mapping[str, Any]) -> tuple[float | None, bool]:
    """Return when gloss was first seen, or until when it was not though the firing went for it, and which of both."""
    seen = piece.to_gloss if piece.to_gloss is not None else load.to_gloss
    stage = piece.stage_seen or load.stage_seen
    if seen is not None or stage not in BEFORE_GLOSS or (figures.get("firing") or {}).get("target") in BEFORE_GLOSS:
        return seen, False
    return (piece.seconds if piece.seconds is not None else load.seconds), True


def gloss_band(figures: Mapping[str, Any]) -> Mapping[str, float] | None:
    """Return the band of the first gloss as it is noted, of what was foretold; None where the firing goes for none.

    Parameters
    ----------
    figures : mapping
        As they are frozen.
    """
    firing = figures.get("firing") or {}
    if not firing.get("fuses") or firing.get("flash"):
        return None
    for one in (firing.get("window") or {}).get("stages") or []:
        if one.get("stage") == "gloss" and one.get("begins"):
            begins: Mapping[str, float] = one["begins"]
            eye, value = Z95 * facts_of("heat/learning")["heat/learn_eye"].value, begins["value"]
            low, high = (hypot(begins[end] - value, eye) for end in ("low", "high"))
            noted = {**begins, "low": max(value - low, 0.0), "high": value + high}
            return {**noted, "high": inf} if one.get("open_ended") else noted
    return None


def _bow(figures: Mapping[str, Any], piece: Any, read: Any) -> Mapping[str, float] | None:
    """Return the band of a bow as it is read: over the measure it was read over, and as well as it is read."""
    bow: Mapping[str, float] | None = (figures.get("state") or {}).get("bow")
    if bow is None or read is None or (piece is not None and piece.kind == NARROW and piece.design_version is None):
        return None
    chord = figures.get("chord") or read.over
    part = read.over / chord if read.over and read.over < WHOLE * chord else 1.0
    reading = Z95 * facts_of("heat/learning")["heat/learn_bow_reading"].value
    value = bow["value"] * part**2
    low, high = (hypot((bow[end] - bow["value"]) * part**2, reading) for end in ("low", "high"))
    return {"value": value, "low": value - low, "high": value + high}
