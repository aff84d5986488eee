"""What does the plan need of each jar, what is short, and what is bought?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Area, Described, Dimension, Length, Mass, Name, Time
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.planning import stock_needed as stock
from enamelwright.planning.packs import in_packs
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import facts_of

Share = Annotated[float, Dimension("ratio", "percent")]
ArealMass = Annotated[float, Dimension("areal_mass", "g_per_cm2")]
#: Grams of stock below nothing are told, so that a wrong record is seen.
Grams = Annotated[float, Dimension("mass", "g", signed=True)]

#: Most lines of one question.
MOST = 500


class Use(Described):
    """One colour on one design."""

    jar: Name
    pieces: Annotated[int, Field(ge=0, le=10000)] = Field(description="started, not wanted")
    area: Annotated[Area, Field(gt=0, le=10)] | None = Field(None, description="covered on one piece")
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = Field(None, description="of a disc, instead of its area")
    coats: Annotated[int, Field(ge=1, le=100)] = 1
    per_area: Annotated[ArealMass, Field(ge=0, le=100)] | None = Field(None, description="powder of one coat")
    loss: Annotated[Share, Field(ge=0, lt=1)] | None = Field(None, description="share that misses the piece")
    powder: Annotated[Mass, Field(ge=0, le=100)] | None = Field(
        None, description="to weigh out for one piece, all coats, loss included; instead of the rest"
    )


class Lot(Described):
    """One lot on the shelf."""

    jar: Name
    label: Annotated[str, Field(max_length=60)] = ""
    amount: Annotated[Grams, Field(ge=-100, le=1000)]
    use_by: date | None = None
    bought: date | None = None


class Habit(Described):
    """How a jar is used apart from the plan, and how it is bought."""

    jar: Name
    per_week: Annotated[Mass, Field(ge=0)] = 0.0
    spread: Annotated[Mass, Field(ge=0)] = Field(0.0, description="standard deviation of the use of a week")
    lead: Annotated[Time, Field(ge=0)] = Field(0.0, description="from ordering to arrival")
    service: Annotated[Share, Field(gt=0, lt=1)] = Field(0.95, description="chance of not running out meanwhile")
    reorder_below: Annotated[Mass, Field(ge=0)] | None = Field(
        None, description="own mark, instead of a worked out one"
    )
    packs: Annotated[tuple[Mass, ...], Field(max_length=12)] = Field((), description="sizes it is sold in")
    order_cost: Annotated[float, Field(ge=0)] | None = None
    holding: Annotated[float, Field(gt=0)] | None = Field(None, description="cost of holding a gram for a year")


class StockInput(Described):
    """What the plan uses, what is on the shelf, and how it is bought."""

    uses: Annotated[tuple[Use, ...], Field(max_length=MOST)]
    lots: Annotated[tuple[Lot, ...], Field(max_length=MOST)] = ()
    habits: Annotated[tuple[Habit, ...], Field(max_length=MOST)] = ()
    today: date | None = Field(None, description="lots past their date are not counted on this day")


class Line(BaseModel):
    """One jar."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    jar: str
    need: Figure
    there: Figure
    short: Figure
    take: tuple[str, ...]
    reorder_at: Figure | None
    economic: Figure | None
    buy: str
    words: str


class StockAnswer(BaseModel):
    """Every jar the plan touches, those that are short first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    lines: tuple[Line, ...]
    short: tuple[str, ...]
    enough: bool


def answer(asked: StockInput, bench: Bench) -> Answer[StockAnswer]:
    """Work out needs, shortages and purchases.

    Parameters
    ----------
    asked : StockInput
        Uses, lots and habits.
    bench : Bench
        Not used; the powder of a coat comes with the question.

    Raises
    ------
    InputError
        For a use that says neither its powder nor its area and coat.
    """
    assumptions: list[str] = []
    needs = stock.added_up([(use.jar, _powder(use, assumptions)) for use in asked.uses])
    jars = dict.fromkeys([*needs, *(lot.jar for lot in asked.lots), *(habit.jar for habit in asked.habits)])
    habits = {habit.jar: habit for habit in asked.habits}
    lines = [
        _line(jar, needs.get(jar, 0.0), [lot for lot in asked.lots if lot.jar == jar], habits.get(jar), asked.today)
        for jar in jars
    ]
    lines.sort(key=lambda line: -line.short.value)
    short = tuple(line.jar for line in lines if line.short.value > 0)
    because = tuple(line.words for line in lines if line.words)
    if not lines:
        because = ("nothing is planned, so nothing is needed",)
    return Answer[StockAnswer](
        question="stock", payload=StockAnswer(lines=tuple(lines), short=short, enough=not short), because=because,
        sources=("trade/facts, trade/laying_out",), assumptions=tuple(dict.fromkeys(assumptions)),
        cautions=("A new lot of a colour is tried on a tile before it goes on ordered work.",) if short else (),
        engine=engine(), bench=bench.revision,
    )  # fmt: skip


def _powder(use: Use, assumptions: list[str]) -> float:
    if use.powder is not None:
        return use.powder * use.pieces
    area = use.area
    if area is None and use.diameter is not None:
        from math import pi

        area = pi * use.diameter**2 / 4
    if area is None or use.per_area is None:
        raise InputError(
            f"how much {use.jar} goes on one piece?",
            "Tell its powder, or its area (or diameter) and the powder of a coat (per_area_g_per_cm2).", "uses",
        )  # fmt: skip
    loss = use.loss
    if loss is None:
        usual = facts_of("trade/facts")["trade/sifting_loss"]
        loss = usual.value
        assumptions.append(f"{loss:.0%} of the powder misses the piece ({usual.origin().words()})")
    return stock.powder_for(use.pieces, area, use.coats, use.per_area, loss)


def _line(jar: str, need: float, lots: Sequence[Lot], habit: Habit | None, today: date | None) -> Line:
    labelled = [
        stock.Batch(lot.label or f"lot {n}", lot.amount, lot.use_by, lot.bought) for n, lot in enumerate(lots, 1)
    ]
    taken = stock.issue(need, labelled, today)
    told = [f"{jar}: {_grams(taken.short)} short of {_grams(need)}"] if taken.short > 0 else []
    if taken.expired:
        told.append(f"{jar}: past its date and not counted: {', '.join(taken.expired)}")
    if taken.owed:
        told.append(f"{jar}: below nothing on record, count it: {', '.join(taken.owed)}")
    mark = economic = None
    buy = taken.short
    if habit is not None:
        mark = habit.reorder_below if habit.reorder_below is not None else _mark(habit)
        left = max(taken.there - need, 0.0)
        if left < mark and (mark - left) + taken.short > buy:
            buy = (mark - left) + taken.short
            told.append(f"{jar}: {_grams(left)} left after the plan, below its mark of {_grams(mark)}")
        if habit.order_cost is not None and habit.holding is not None and habit.per_week:
            per_year = habit.per_week * GRAMS * WEEKS
            economic = stock.order_size(per_year, habit.order_cost, habit.holding) / GRAMS
            buy = max(buy, economic) if buy > 0 else 0.0
    sold = habit.packs if habit is not None else ()
    packs = in_packs(buy, sold)
    words = ", ".join(f"{count} of {_grams(size)}" for size, count in packs.packs)
    if buy > 0 and not any(size > 0 for size in sold):  # in what packs it is sold, nobody told
        words = f"at least {_grams(buy)}"
    return Line(
        jar=jar, need=_figure(need), there=_figure(taken.there), short=_figure(taken.short),
        take=tuple(f"{_grams(amount)} of {label}" for label, amount in taken.take),
        reorder_at=None if mark is None else _figure(mark), economic=None if economic is None else _figure(economic),
        buy=words, words="; ".join(told),
    )  # fmt: skip


#: Weeks of a year, grams of a kilogram, seconds of a week.
WEEKS, GRAMS, WEEK = 365 / 7, 1000.0, 7 * 86400.0


def _mark(habit: Habit) -> float:
    return stock.reorder_level(habit.per_week, habit.spread, habit.lead / WEEK, habit.service)


def _figure(amount: float) -> Figure:
    return Figure.exact(amount, "mass", Origin(kind="computed", source="from what was told"))


def _grams(amount: float) -> str:
    grams = amount * GRAMS
    if grams < 1:
        return f"{grams:.2f} g"  # a bench balance shows no more
    return f"{grams:.3g} g" if grams < GRAMS else f"{amount:.4g} kg"


QUESTION = Question(
    name="stock",
    words="What does the plan need of each jar, what is short, and what do I buy?",
    input=StockInput,
    output=StockAnswer,
    answer=answer,
    example={
        "uses": [
            {"jar": "counter", "pieces": 44, "diameter_mm": 25, "per_area_g_per_cm2": 0.035, "loss_percent": 15},
            {
                "jar": "blue",
                "pieces": 44,
                "diameter_mm": 25,
                "coats": 2,
                "per_area_g_per_cm2": 0.028,
                "loss_percent": 10,
            },
        ],
        "lots": [
            {"jar": "counter", "label": "A", "amount_g": 40},
            {"jar": "blue", "label": "B", "amount_g": 6},
        ],
        "habits": [{"jar": "blue", "packs_g": [25, 100]}],
    },
)
