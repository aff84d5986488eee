"""How far is this pickle used, and what does one more load do to it?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.baths import bath, bath_words, counted, spent_bath
from enamelwright.craft.baths.bath_made import BathMade, Cleaned, never_mix
from enamelwright.craft.bench import Bench
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class BathInput(BathMade):
    """A bath, what was cleaned in it, and the load that is to come."""

    next_load: Cleaned | None = Field(None, description="one like the loads before when left out")
    loads_to_come: Annotated[int, Field(ge=1, le=1000)] = 1


class BathStateAnswer(BaseModel):
    """State of a bath at one moment. Figures are None where no acid is counted."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    state: str
    at_worst: str
    words: str
    taken_up: Figure | None
    acid_left: Figure | None
    ph: Figure | None
    copper: Figure
    copper_mass: Figure


class BathAnswer(BaseModel):
    """The bath now and after the next load, and how many loads it has left."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    now: BathStateAnswer
    after: BathStateAnswer | None
    loads_left: Figure | None
    scale: Figure
    scale_on_area: Figure
    route: str
    held_because: tuple[str, ...]


def answer(asked: BathInput, bench: Bench) -> Answer[BathAnswer]:
    """Count the bath.

    Parameters
    ----------
    asked : BathInput
        What went into it.
    bench : Bench
        Not used; acid takes up oxide the same everywhere.
    """
    book = counted.ledger(asked)
    now = bath.state_of(asked, book)
    one = (
        counted.copper_in(counted.scale_of(asked.next_load, book.rate))
        if asked.next_load is not None
        else bath.usual_load(book, asked.cleaned)
    )
    if one is None and asked.loads_to_come > 1:
        raise InputError("what is the next load?", "Tell its bare area, or weigh it before and after.", "next_load")
    after = bath.state_of(asked, book, one.times(asked.loads_to_come)) if one is not None else None
    because = [
        "each copper takes up two acids, whether it comes from black scale, red scale or, with air, from bare metal",
        "acid is counted in moles against what was first put in; pH moves most at the start and is no measure of it",
        *now.why,
    ]
    if now.taken_up is not None:
        because.insert(0, f"{bath_words.between(now.taken_up, '%')} of the acid is taken up")
    return Answer[BathAnswer](
        question="bath",
        payload=BathAnswer(
            now=_told(now),
            after=_told(after) if after is not None else None,
            loads_left=bath.loads_left(book, one) if one is not None else None,
            scale=book.oxide.figure("mass"),
            scale_on_area=book.rate,
            route=spent_bath.route(asked, book),
            held_because=spent_bath.why_held(asked, book),
        ),
        because=tuple(because),
        sources=(book.chemistry.source, *((now.ph.origin.words(),) if now.ph is not None else ())),
        assumptions=(
            *book.assumptions,
            "states by the share of acid taken up: an assumption that your own clock replaces",
        ),
        cautions=(
            bath_words.SCREENING,
            "Goggles and gloves; acid into water, never water into acid; warm, never boiling; lid on.",
            *(f"Never {one.other} with {one.one}: {one.gives}." for one in never_mix(book.chemistry.use)[:2]),
        ),
        engine=engine(),
        bench=bench.revision,
    )


def _told(found: bath.BathState) -> BathStateAnswer:
    return BathStateAnswer(
        state=found.state, at_worst=found.at_worst, words=bath_words.state_words(found), taken_up=found.taken_up,
        acid_left=found.acid_left, ph=found.ph, copper=found.copper, copper_mass=found.copper_mass,
    )  # fmt: skip


QUESTION = Question(
    name="bath",
    words="How far is this pickle used, and what does one more load do to it?",
    input=BathInput,
    output=BathAnswer,
    answer=answer,
    example={
        "kind": "vinegar and salt",
        "volume_l": 0.5,
        "strength": "5 %",
        "salt_g": 15,
        "met": [],
        "cleaned": [{"area_cm2": 60, "temperature_c": 800, "time_s": 120}, {"oxide_g": 0.21, "area_cm2": 60}],
        "next_load": {"area_cm2": 60},
    },
)
