"""What does a good piece cost, what could it be sold for, and what moves it?"""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Dimension, Time
from enamelwright.craft.kiln import Power
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.planning import bill as billing
from enamelwright.planning import cost as costing
from enamelwright.planning import cost_swing
from enamelwright.planning import price as pricing
from enamelwright.planning.money import decimals_of, exact, written
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import Fact, facts_of

Share = Annotated[float, Dimension("ratio", "percent")]
Money = Annotated[float, Field(ge=0, le=1e9)]

MINUTE, KILOWATT, HOURS = Decimal(60), Decimal(1000), Decimal(3600)
_HUNDRED = 100


class Gate(Described):
    """One stage of the work on a piece."""

    name: Annotated[str, Field(max_length=60)] = ""
    hand: Annotated[Time, Field(ge=0, le=1e6)] = Field(0.0, description="hand time of one visit")
    material: Money = 0.0
    kiln: Money | None = Field(None, description="of one visit; worked out of the kiln told beside when left out")
    passed: Annotated[Share, Field(gt=0, le=1)] = Field(1.0, description="share of visits that go on to the next gate")
    again: Annotated[Share, Field(ge=0, lt=1)] = Field(0.0, description="share that is done again at this gate")
    fired: bool = Field(False, description="whether a visit takes the kiln")


class KilnCost(Described):
    """What the kiln takes."""

    power: Annotated[Power, Field(gt=0, le=30000)]
    duty: Annotated[Share, Field(gt=0, le=1)] = 1.0
    time: Annotated[Time, Field(gt=0, le=86400)] = Field(description="the kiln is kept for one load")
    per_kwh: Money
    elements: Money = Field(0.0, description="cost of a set")
    element_life: Annotated[Time, Field(gt=0)] | None = Field(None, description="how long a set lasts at heat")
    pieces: Annotated[int, Field(ge=1, le=1000)] = Field(1, description="in one load")


class Line(Described):
    """One line of a quote or an invoice."""

    what: Annotated[str, Field(max_length=200)] = ""
    count: Annotated[int, Field(ge=0, le=100000)] = 1
    each: Money


class PriceInput(Described):
    """The work, what an hour is worth, and how it is sold. No wage is assumed."""

    gates: Annotated[tuple[Gate, ...], Field(min_length=1, max_length=60)]
    wage: Money = Field(description="for one hour of own work")
    overhead: Money = Field(0.0, description="for one hour of own work: rent, insurance, tools")
    reused: Annotated[Share, Field(ge=0, le=1)] = Field(0.0, description="share of material used again in a rework")
    recovered: Money = Field(0.0, description="got back for a lost piece, as scrap")
    kiln: KilnCost | None = None
    currency: Annotated[str, Field(min_length=1, max_length=12)]
    decimals: Annotated[int, Field(ge=0, le=4)] | None = Field(None, description="of its coins")
    locale: Annotated[str, Field(max_length=20)] = "en"
    profit: Annotated[Share, Field(ge=-1, le=100)] | None = Field(None, description="share put on top of the cost")
    retail_factor: Annotated[float, Field(ge=1, le=20)] | None = Field(None, description="retail over wholesale price")
    commission: Annotated[Share, Field(ge=0, lt=1)] | None = None
    fees: Annotated[Share, Field(ge=0, lt=1)] | None = None
    asked: Annotated[float, Field(le=1e9)] | None = Field(None, description="retail price, when it is set already")
    fixed: Money = Field(0.0, description="costs that come whether anything sells or not")
    lines: Annotated[tuple[Line, ...], Field(max_length=200)] = Field((), description="of a quote or an invoice")
    discount: Annotated[Share, Field(ge=0, le=1)] = Field(0.0, description="taken off every line")
    tax: Annotated[Share, Field(ge=0, le=1)] = Field(0.0, description="of the price before tax; none when left out")
    tax_contained: bool | None = Field(
        None, description="prices and lines have the tax in them, or not; left out: prices a buyer pays have, lines not"
    )


class Sum(BaseModel):
    """A sum of money: exact, and as it is written."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    what: str
    exact: str
    shown: str
    share: float | None = None


class Channel(BaseModel):
    """One way of selling."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    price: Sum
    tax: Sum
    net: Sum
    margin: Sum
    level: Literal["above cost", "at cost", "below cost"]
    break_even: int | None
    break_even_own_hours_free: int | None


class Convention(BaseModel):
    """A habit of the trade with where it comes from, to be changed at will."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    used: float
    usual: Figure
    words: str


class Moved(BaseModel):
    """How far the cost moves."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    by: str
    low: Sum
    high: Sum


class PriceAnswer(BaseModel):
    """Cost, floor, channels and what moves them."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    part_yield: Figure
    hand_time: Figure
    parts: tuple[Sum, ...]
    cost: Sum
    floor_on_commission: Sum
    channels: tuple[Channel, ...]
    conventions: tuple[Convention, ...]
    moves: tuple[Moved, ...]
    bill: tuple[Sum, ...]
    rounding: str
    tax: str


#: Convention -> key of the table.
CONVENTIONS = {"profit": "profit", "retail_factor": "retail_factor", "commission": "commission", "fees": "fees"}


def answer(asked: PriceInput, bench: Bench) -> Answer[PriceAnswer]:
    """Work out cost and prices.

    Parameters
    ----------
    asked : PriceInput
        The work and the rates.
    bench : Bench
        Not used.

    Raises
    ------
    InputError
        For a price that is not larger than nothing, or shares that leave nothing.
    """
    places = asked.decimals if asked.decimals is not None else decimals_of(asked.currency)

    def sum_of(what: str, amount: Decimal, share: Decimal | None = None) -> Sum:
        shown = written(amount, asked.currency, places, asked.locale)
        return Sum(what=what, exact=f"{amount:.6f}", shown=shown, share=None if share is None else float(share))

    if asked.asked is not None and not asked.asked > 0:
        raise InputError(
            "a price of nothing is a gift: no margin and no break-even can be worked out from it.",
            "Ask for more than nothing, or leave the price out to see what it should be.", "asked",
        )  # fmt: skip
    gates = [_gate(gate, asked.kiln) for gate in asked.gates]
    rates = costing.Rates(exact(asked.wage), exact(asked.overhead), exact(asked.reused), exact(asked.recovered))
    one = costing.cost(gates, rates)
    used = {name: _used(asked, name) for name in CONVENTIONS}
    sold = pricing.prices(
        one.unit, exact(used["profit"]), exact(used["retail_factor"]), exact(used["commission"]), exact(used["fees"]),
        places, None if asked.asked is None else exact(asked.asked),
        tax=Decimal(0) if asked.tax_contained is False else exact(asked.tax),
    )  # fmt: skip
    fixed = exact(asked.fixed)
    channels = tuple(
        Channel(
            name=channel.name, price=sum_of("price", channel.price), tax=sum_of("tax", channel.tax),
            net=sum_of("is left", channel.net), margin=sum_of("over cost", channel.margin),
            level=_level(channel.margin),
            break_even=pricing.break_even(fixed, channel.net, one.variable) if fixed else None,
            break_even_own_hours_free=pricing.break_even(fixed, channel.net, one.materials) if fixed else None,
        )
        for channel in sold.channels
    )  # fmt: skip
    parts = {
        "material": one.material, "own hours": one.labour, "kiln": one.kiln, "overhead": one.overhead,
        "got back as scrap": -one.recovery,
    }  # fmt: skip
    shares = costing.as_shares(parts)
    lines: tuple[Sum, ...] = ()
    if asked.lines:
        made = billing.bill(
            [(line.what, line.count, exact(line.each)) for line in asked.lines], places, exact(asked.tax),
            exact(asked.discount), contained=bool(asked.tax_contained),
        )  # fmt: skip
        lines = (
            *(sum_of(f"{count} × {what}".strip(" ×"), total) for what, count, _, total in made.lines),
            sum_of("before tax", made.net), sum_of("tax", made.tax), sum_of("to pay", made.total),
        )  # fmt: skip
    moves = cost_swing.swings(gates, rates)
    payload = PriceAnswer(
        part_yield=_exact(float(one.yield_), "ratio"), hand_time=_exact(float(one.minutes * MINUTE), "time"),
        parts=tuple(sum_of(name, value, shares.get(name)) for name, value in parts.items()),
        cost=sum_of("cost of a good piece", one.unit),
        floor_on_commission=sum_of("lowest price on commission", sold.floor_on_commission), channels=channels,
        conventions=tuple(_convention(name, used[name]) for name in CONVENTIONS),
        moves=tuple(
            Moved(name=move.name, by=move.words, low=sum_of("low", move.low), high=sum_of("high", move.high))
            for move in moves
        ),
        bill=lines, rounding=billing.Bill((), Decimal(0), Decimal(0), Decimal(0)).rounding,
        tax=_tax_words(asked),
    )  # fmt: skip
    because = [
        f"{float(one.yield_):.1%} of the started ones come out good, and the good ones pay for the others",
        f"{float(one.minutes):.1f} minutes of hand work for one good piece, reworks and lost pieces included",
        f"what moves the cost most: {moves[0].name}",
    ]
    below = [channel.name for channel in channels if channel.level == "below cost"]
    if below:
        because.append(f"sold {' and '.join(below)} every piece loses")
    if fixed and any(channel.break_even is None for channel in channels):
        because.append("where a sale leaves less than one more piece costs, no number of sales pays the fixed costs")
    if one.overhead and any(channel.break_even for channel in channels):
        because.append(
            "how many pay the fixed costs: overhead is counted as part of the fixed costs, not in each piece"
        )
    return Answer[PriceAnswer](
        question="price", payload=payload, because=tuple(because), sources=("trade/selling",),
        assumptions=tuple(
            f"{name.replace('_', ' ')} {_said(name, used[name])}: {_fact(name).origin().words()}"
            for name in CONVENTIONS if getattr(asked, name) is None
        )
        + (payload.tax,),
        cautions=("Conventions of price are habits of the trade, not rules; tax is for your own rules.",),
        engine=engine(), bench=bench.revision,
    )  # fmt: skip


def _gate(gate: Gate, kiln: KilnCost | None) -> costing.Gate:
    visit = Decimal(0) if gate.kiln is None else exact(gate.kiln)
    if gate.kiln is None and gate.fired:
        if kiln is None:
            raise InputError(
                "a firing takes the kiln, and nothing is told of what that costs.", "Tell kiln, or the cost."
            )
        visit = costing.kiln_visit(
            exact(kiln.power) / KILOWATT, exact(kiln.duty), exact(kiln.time) / MINUTE, exact(kiln.per_kwh),
            exact(kiln.elements), exact(kiln.element_life or 1e9) / HOURS, kiln.pieces,
        )  # fmt: skip
    return costing.Gate(
        exact(gate.hand) / MINUTE, exact(gate.material), visit, exact(gate.passed), exact(gate.again), gate.name
    )


def _used(asked: PriceInput, name: str) -> float:
    told = getattr(asked, name)
    return float(told) if told is not None else _fact(name).value


def _fact(name: str) -> Fact:
    return facts_of("trade/selling")[f"trade/{CONVENTIONS[name]}"]


def _convention(name: str, used: float) -> Convention:
    fact = _fact(name)
    return Convention(name=name.replace("_", " "), used=used, usual=fact.figure(), words=f"{fact.note} ({fact.status})")


def _said(name: str, used: float) -> str:
    return f"{used:g}" if name == "retail_factor" else f"{used:.0%}"


def _tax_words(asked: PriceInput) -> str:
    """Say how tax is reckoned here; whether it is so is for the person's own rules."""
    if not asked.tax:
        return "no tax is taken off a price, as none was told; whether one is owed is for your own rules"
    rate = f"tax {asked.tax * _HUNDRED:g} %"
    if asked.tax_contained is False:
        return (
            f"{rate} comes on top of these prices, so none of it is taken off; whether it is so is for your own rules"
        )
    return (
        f"{rate} of the price before tax is in what the buyer pays, a shop that buys at wholesale too; a share that is"
        " kept is reckoned from the full price with its tax; tax paid on what was bought is not taken into account;"
        " whether it is so is for your own rules"
    )


def _level(margin: Decimal) -> Literal["above cost", "at cost", "below cost"]:
    return "above cost" if margin > 0 else "below cost" if margin < 0 else "at cost"


def _exact(value: float, dimension: str) -> Figure:
    return Figure.exact(value, dimension, Origin(kind="computed", source="from what was told"))


QUESTION = Question(
    name="price",
    words="What does a good piece cost, and what could it be sold for?",
    input=PriceInput,
    output=PriceAnswer,
    answer=answer,
    example={
        "currency": "EUR",
        "wage": 18,
        "overhead": 6,
        "reused_percent": 30,
        "recovered": 0.35,
        "fixed": 420,
        "gates": [
            {"name": "shaped", "hand_min": 8, "material": 2.1, "kiln": 0.12, "passed_percent": 97, "again_percent": 2},
            {"name": "fired", "hand_min": 10, "material": 0.45, "kiln": 0.12, "passed_percent": 94, "again_percent": 4},
            {
                "name": "finished",
                "hand_min": 9,
                "material": 0.4,
                "kiln": 0.12,
                "passed_percent": 97,
                "again_percent": 2,
            },
        ],
    },
)
