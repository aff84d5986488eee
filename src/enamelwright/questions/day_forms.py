"""What is asked about a day and what is answered: the forms of the question, without their thought."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.description import Described, Time
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.piece import Piece
from enamelwright.figure import Figure

Weekday = Literal["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
When = Annotated[str, Field(min_length=8, max_length=19)]


class DayPiece(Described):
    """Pieces of one design, wanted by one date."""

    piece: Piece
    label: Annotated[str, Field(max_length=80)] = Field("", description="as you call them; the name of the piece")
    due: When | None = Field(None, description="2026-03-02, or 2026-03-02 16:00")
    not_before: When | None = None
    weight: Annotated[int, Field(ge=1, le=100)] = Field(1, description="how much it matters that they are in time")
    done: Annotated[int, Field(ge=0, le=1000)] = Field(0, description="steps that lie behind them")
    owner: Annotated[str, Field(max_length=40)] = Field("", description="in a class: a label of whose they are")
    after: Annotated[tuple[Annotated[str, Field(max_length=80)], ...], Field(max_length=20)] = Field(
        (), description="labels of what must be out of the kiln before these are laid, as the tile of a new lot"
    )
    names: Annotated[tuple[Annotated[str, Field(min_length=1, max_length=100)], ...], Field(max_length=600)] = Field(
        (), description="of each copy, where they have names of their own"
    )
    hand: Annotated[Time, Field(gt=0, le=8640000)] | None = Field(
        None, description="hand time of one piece by your record; as planned when left out"
    )


class DayChore(Described):
    """Work that belongs to no piece: wash or grind powder, clean up."""

    label: Annotated[str, Field(min_length=1, max_length=80)]
    hand: Annotated[Time, Field(gt=0, le=28800)]
    drying: Annotated[Time, Field(ge=0, le=604800)] = Field(0.0, description="before what comes after it can begin")
    due: When | None = None
    not_before: When | None = None
    after: Annotated[tuple[Annotated[str, Field(max_length=80)], ...], Field(max_length=20)] = ()


class DayPin(Described):
    """A step that is not to start before a time, named as the plan names it."""

    member: Annotated[str, Field(min_length=1, max_length=120)]
    not_before: When


class DayPerson(Described):
    """Somebody who works."""

    name: Annotated[str, Field(min_length=1, max_length=40)]
    away: Annotated[tuple[Annotated[str, Field(max_length=60)], ...], Field(max_length=60)] = Field(
        (), description="2026-03-02 09:00 to 2026-03-02 11:00"
    )


class DayKiln(Described):
    """A kiln of the bench, or one told here, with the times of its day."""

    name: Annotated[str, Field(max_length=60)] = ""
    kiln: Kiln | None = None
    recovery: Annotated[Time, Field(ge=0, le=7200)] | None = Field(None, description="from one load to the next")
    cold: Annotated[Time, Field(ge=0, le=43200)] | None = Field(None, description="from switching on to the first load")
    not_before: When | None = Field(None, description="when what is in it now comes out")


class KeptBlock(Described):
    """One block of an earlier plan, whose order is to be kept."""

    members: Annotated[tuple[Annotated[str, Field(max_length=120)], ...], Field(min_length=1, max_length=200)]
    start: When
    kiln: Annotated[str, Field(max_length=60)] = ""


class DayInput(Described):
    """A day, or many."""

    first_day: Annotated[str, Field(min_length=8, max_length=10)]
    pieces: Annotated[tuple[DayPiece, ...], Field(min_length=1, max_length=200)]
    chores: Annotated[tuple[DayChore, ...], Field(max_length=100)] = ()
    pins: Annotated[tuple[DayPin, ...], Field(max_length=200)] = ()
    people: Annotated[tuple[DayPerson, ...], Field(max_length=40)] = (DayPerson(name="me"),)
    hours: Annotated[tuple[Annotated[str, Field(max_length=20)], ...], Field(min_length=1, max_length=8)] = (
        "09:00-12:30",
        "13:00-17:00",
    )
    rest: tuple[Weekday, ...] = ("Sat", "Sun")
    days_off: Annotated[tuple[Annotated[str, Field(max_length=10)], ...], Field(max_length=100)] = ()
    kilns: Annotated[tuple[DayKiln, ...], Field(max_length=8)] = ()
    laying_places: Annotated[int, Field(ge=1, le=100)] | None = Field(
        None, description="places to lay powder, where there are fewer than hands"
    )
    class_hours: Annotated[str, Field(max_length=20)] = Field(
        "",
        description="of a class, like 18:00-21:00, within the hours of a day: whose pieces have an owner wait for it",
    )
    class_days: tuple[Weekday, ...] = Field((), description="days of the class; every working day when empty")
    now: When | None = Field(None, description="nothing may start before this")
    kept: Annotated[tuple[KeptBlock, ...], Field(max_length=5000)] = Field(
        (), description="the plan so far: its order is kept unless another is worth it"
    )
    tries: Annotated[int, Field(ge=0, le=5000)] = Field(24, description="days tried out in the search")
    windows: Annotated[int, Field(ge=0, le=500)] = Field(
        0, description="stretches worked over by the exact model; several seconds each"
    )
    draws: Annotated[int, Field(ge=0, le=1000)] = Field(
        24, description="days played through to say how sure the dates are"
    )
    good: Annotated[int, Field(ge=0, le=1_000_000)] = Field(0, description="pieces of the record that came out good")
    fired: Annotated[int, Field(ge=0, le=1_000_000)] = Field(0, description="of so many that are decided")


class DayBlock(BaseModel):
    """One thing to do."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    start: str
    end: str
    who: tuple[str, ...]
    work: str
    pieces: tuple[str, ...]
    members: tuple[str, ...]
    kiln: str = ""
    heat: str = ""
    washing: Figure | None = None


class DayLate(BaseModel):
    """A piece that misses its date."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    piece: str
    due: str
    by: Figure
    whatever_is_done: bool


class DayPromise(BaseModel):
    """Whether the work due by a date can be done by then at all."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    due: str
    pieces: int
    needed: Figure
    offered: Figure
    missing: Figure | None


class DayChance(BaseModel):
    """How likely all dates are kept if the order is."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kept: Figure
    words: str
    first: tuple[str, ...]
    assumptions: tuple[str, ...]


class DayRule(BaseModel):
    """What a rule of thumb would take."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    work: Figure
    finish: str
    loads: int
    late: int
    too_long: int = Field(0, description="wet coats that lie longer than they keep")


class DayAnswer(BaseModel):
    """The plan. Times are local, as the first day was told."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    next_loads: tuple[DayBlock, ...]
    blocks: tuple[DayBlock, ...]
    finish: str
    work: Figure | None
    least_work: Figure | None
    above_least: Figure | None
    loads: int
    least_loads: int
    late: tuple[DayLate, ...]
    promises: tuple[DayPromise, ...]
    compared: tuple[DayRule, ...]
    left_out: tuple[tuple[str, str], ...]
    too_long: str = Field("", description="coats that lie longer than moist powder keeps, and by how much")
    would_help: tuple[str, ...] = ()
    offer: str = ""
    offered: tuple[DayBlock, ...] = ()
    chance: DayChance | None = None
