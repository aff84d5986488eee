"""How many are started so that enough good ones come out?"""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Dimension
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.planning import learning_curve, series
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import facts_of

Share = Annotated[float, Dimension("ratio", "percent")]

#: Confidences that are always told beside the one asked for.
TOLD = (0.5, 0.8, 0.9, 0.95)
#: Most good pieces asked for at once, and most loads of a record.
MOST_WANTED, MOST_LOADS = 500, 400


class Load(Described):
    """One load on record."""

    good: Annotated[int, Field(ge=0, le=1000)]
    fired: Annotated[int, Field(ge=1, le=1000)]


class SeriesInput(Described):
    """What is wanted, and what is known of how many come out good."""

    wanted: Annotated[int, Field(ge=1, le=MOST_WANTED)] = Field(description="good pieces, or complete sets")
    confidence: Annotated[Share, Field(gt=0, lt=1)] = Field(0.95, description="how sure to be of having enough")
    good: Annotated[int, Field(ge=0, le=100000)] | None = Field(None, description="good pieces on record")
    fired: Annotated[int, Field(ge=0, le=100000)] | None = Field(None, description="of how many fired")
    part_yield: Annotated[Share, Field(gt=0, le=1)] | None = Field(
        None, description="share that comes out good, if known"
    )
    loads: Annotated[tuple[Load, ...], Field(max_length=MOST_LOADS)] = Field((), description="loads on record")
    per_load: Annotated[int, Field(ge=1, le=500)] | None = Field(None, description="most pieces in one load")
    load_loss: Annotated[Share, Field(ge=0, lt=1)] | None = Field(None, description="chance that a whole load is lost")
    in_a_set: Annotated[int, Field(ge=1, le=12)] = Field(1, description="pieces of a set that any of them can fill")
    kinds: Annotated[int, Field(ge=1, le=12)] = Field(
        1, description="different pieces of a set, left and right being two"
    )
    minutes: Annotated[tuple[Annotated[float, Field(gt=0, le=10000)], ...], Field(max_length=1000)] = Field(
        (), description="hand time of the pieces made so far, in their order"
    )


class Start(BaseModel):
    """How many to start for one confidence; None where no number reaches it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    confidence: float
    pieces: int | None
    loads: int | None
    words: str


class Waves(BaseModel):
    """A first load, a look, and replacements in a second."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    first: int
    replacements: tuple[int, ...]
    chance: float
    expected: float


class SeriesAnswer(BaseModel):
    """How many to start."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    part_yield: Figure
    load_loss: Figure
    start: Start
    others: tuple[Start, ...]
    waves: Waves | None
    each_kind: int | None
    if_plain: int | None
    alike: float | None
    learning: str
    hand_time: Figure | None


def answer(asked: SeriesInput, bench: Bench) -> Answer[SeriesAnswer]:
    """Work out how many to start.

    Parameters
    ----------
    asked : SeriesInput
        What is wanted and what is known.
    bench : Bench
        Not used.

    Raises
    ------
    InputError
        For counts that cannot be.
    """
    because: list[str] = []
    assumptions: list[str] = []
    sources: list[str] = []
    good, known = _yield(asked, because, assumptions, sources)
    lost, loss = _lost(asked, assumptions, sources)
    pieces = asked.wanted * asked.in_a_set
    confidence = asked.confidence ** (1 / asked.kinds)  # kinds are strangers to each other
    start = _start(pieces, good, confidence, asked, lost, told=asked.confidence)
    others = tuple(
        _start(pieces, good, one ** (1 / asked.kinds), asked, lost, told=one)
        for one in TOLD
        if not math.isclose(one, asked.confidence)
    )
    waves = _waves(pieces, good, confidence, asked, lost)
    if start.pieces is None:
        because.append(start.words)
    else:
        mean, spread = series.expected_starts(pieces, good)
        because.append(f"on average {mean:.1f} are started for {pieces} good ones, give or take {spread:.1f}")
    if waves is not None:
        because.append(
            f"firing {waves.first} first, looking, and replacing what failed reaches {waves.chance:.1%} "
            f"with {waves.expected:.1f} started on average"
        )
    if lost and asked.per_load is not None and start.loads is not None and start.loads > 1:
        because.append(
            "splitting a must-deliver series over loads does not by itself make it surer; a second wave does"
        )
    plain = _plug_in(pieces, known, confidence) if good.sure is None else None
    if plain is not None and start.pieces is not None and plain < start.pieces:
        because.append(
            f"taking the record's share as certain would say {plain}: too few, as {known[1]} firings leave it open"
        )
    spread_of = series.load_spread([(load.good, load.fired) for load in asked.loads]) if len(asked.loads) > 1 else None
    learning, hand = _learning(asked, start.pieces)
    payload = SeriesAnswer(
        part_yield=_yield_figure(good, asked), load_loss=loss, start=start, others=others, waves=waves,
        each_kind=start.pieces if asked.kinds > 1 else None, if_plain=plain, alike=spread_of, learning=learning,
        hand_time=hand,
    )  # fmt: skip
    if asked.kinds > 1:
        because.append(f"started of each of the {asked.kinds} kinds, so that all of them suffice together")
    assumptions.append("pieces fail on their own, apart from loads that are lost as a whole")
    return Answer[SeriesAnswer](
        question="series", payload=payload, because=tuple(because), sources=tuple(sources),
        assumptions=tuple(assumptions), engine=engine(), bench=bench.revision,
    )  # fmt: skip


def _yield(
    asked: SeriesInput, because: list[str], assumptions: list[str], sources: list[str]
) -> tuple[series.Yield, tuple[int, int]]:
    """Return the yield, from the share told, the record, the loads on record, or the default."""
    if asked.part_yield is not None:
        return series.Yield.known(asked.part_yield), (0, 0)
    counted = (asked.good, asked.fired)
    if counted == (None, None) and asked.loads:
        # A load of several that is lost as a whole is told apart; one piece alone that failed is a piece that failed.
        kept = [load for load in asked.loads if load.good or load.fired == 1 or asked.per_load is None]
        if any(load.good > load.fired for load in asked.loads):
            raise InputError("a load on record has more good pieces than were fired.", "Correct it.", "loads")
        counted = (sum(load.good for load in kept), sum(load.fired for load in kept))
    if counted[0] is None and counted[1] is None:
        usual = facts_of("trade/laying_out")["trade/part_yield"]
        assumptions.append(f"{usual.value:.0%} come out good, until ten pieces are on record")
        sources.append(usual.origin().words())
        return series.Yield.known(usual.value), (0, 0)
    if counted[0] is None or counted[1] is None:
        raise InputError("a record needs both how many were good and how many were fired.", "Tell the other too.")
    found = series.Yield.record(counted[0], counted[1])
    low, high = found.between()
    because.append(f"{counted[0]} of {counted[1]} good: the share lies between {low:.0%} and {high:.0%}")
    return found, (counted[0], counted[1])


def _lost(asked: SeriesInput, assumptions: list[str], sources: list[str]) -> tuple[float, Figure]:
    """Return the chance that a load is lost, as a number and as a figure; loads count only with their size."""
    if asked.load_loss is not None:
        return asked.load_loss, Figure.exact(asked.load_loss, "ratio", Origin(kind="measured", source="as told"))
    if asked.per_load is None:
        return 0.0, Figure.exact(0.0, "ratio", Origin(kind="assumption", source="no size of a load was told"))
    several = [load for load in asked.loads if load.fired > 1]
    if several:
        gone = sum(1 for load in several if not load.good)
        belief = series.Yield.record(gone, len(several))
        low, high = belief.between()
        origin = Origin(kind="learned", source=f"{gone} of {len(several)} loads lost")
        return belief.mean, Figure(
            value=belief.mean, low=low, high=max(high, belief.mean), dimension="ratio", origin=origin
        )
    usual = facts_of("trade/laying_out")["trade/load_loss"]
    assumptions.append(f"one load in {1 / usual.value:.0f} is lost as a whole, until loads are on record")
    sources.append(usual.origin().words())
    return usual.value, usual.figure()


def _yield_figure(good: series.Yield, asked: SeriesInput) -> Figure:
    low, high = good.between()
    if asked.part_yield is not None:
        origin = Origin(kind="measured", source="as told")
    elif good.sure is None:
        origin = Origin(kind="learned", source=f"{good.good - 1 / 2:.0f} of {good.good + good.bad - 1:.0f}")
    else:
        origin = facts_of("trade/laying_out")["trade/part_yield"].origin()
    return Figure(value=good.mean, low=min(low, good.mean), high=max(high, good.mean), dimension="ratio", origin=origin)


def _start(pieces: int, good: series.Yield, confidence: float, asked: SeriesInput, lost: float, told: float) -> Start:
    try:
        count = series.to_start(pieces, good, confidence, lost=lost, per_load=asked.per_load)
    except OutOfReach as error:
        return Start(confidence=round(told, 6), pieces=None, loads=None, words=str(error))
    loads = math.ceil(count / asked.per_load) if asked.per_load else None
    more = f" in {loads} load{'' if loads == 1 else 's'}" if loads else ""
    each = " of each kind" if asked.kinds > 1 else ""
    return Start(
        confidence=round(told, 6), pieces=count, loads=loads, words=f"start {count}{each}{more} to be {told:.0%} sure"
    )


def _waves(pieces: int, good: series.Yield, confidence: float, asked: SeriesInput, lost: float) -> Waves | None:
    """Offer two waves when the first fits one load: the smallest first load that is sure enough, else the surest."""
    if asked.per_load is None or asked.per_load < pieces or not lost:
        return None
    best = None
    for first in range(pieces, min(asked.per_load, pieces + max(pieces // 2, 2)) + 1):
        told = series.two_waves(pieces, first, good, confidence, lost)
        if best is None or told.chance > best.chance:
            best = told
        if told.chance >= confidence:
            best = told
            break
    if best is None:
        return None
    return Waves(first=best.first, replacements=best.second[1:], chance=best.chance, expected=best.expected)


def _plug_in(pieces: int, known: tuple[int, int], confidence: float) -> int | None:
    if not known[0]:
        return None
    return series.to_start(pieces, series.Yield.known(known[0] / known[1]), confidence)


def _learning(asked: SeriesInput, pieces: int | None) -> tuple[str, Figure | None]:
    """Say what the logged times support, and the hand time of the pieces to start."""
    if not asked.minutes:
        return "no times on record: planned without learning", None
    minute = 60.0
    mean = sum(asked.minutes) / len(asked.minutes)
    fit = learning_curve.learnt(asked.minutes)
    count = pieces or 0
    if fit is None or not fit.supported:
        why = (
            f"{len(asked.minutes)} times on record, fewer than {learning_curve.FEWEST_LOGGED}"
            if fit is None
            else "the times on record do not show that you get faster"
        )
        total = mean * count * minute
        words = f"{why}: planned with the mean of {mean:.1f} min"
    else:
        band = f"{fit.low:.0%} to {fit.high:.0%}"
        words = f"each doubling leaves {fit.rate:.0%} of the time ({band}), from {fit.logged} pieces"
        rate = min(max(fit.rate, 0.51), 1.0)
        total = learning_curve.unit_total(fit.first, rate, fit.logged + count, fit.logged) * minute
    if not count:
        return words, None
    return words, Figure.exact(total, "time", Origin(kind="learned", source=f"{len(asked.minutes)} logged times"))


QUESTION = Question(
    name="series",
    words="How many do I start so that enough good ones come out?",
    input=SeriesInput,
    output=SeriesAnswer,
    answer=answer,
    example={"wanted": 12, "good": 18, "fired": 20, "confidence_percent": 95},
)
