"""What can be done about this piece now, what does each way cost, and does waiting make it worse?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.errors import UnknownName
from enamelwright.learning import rescue
from enamelwright.learning.fault_atlas import fault_of
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class RescueInput(Described):
    """A fault on a piece, and what is known of the piece."""

    fault: Annotated[str, Field(max_length=200)] = Field("hairline", description="its id, its name, or your own words")
    facts: FaultFacts = FaultFacts()
    window: Annotated[str, Field(max_length=200)] = Field("", description="setting and time a refire would take")
    hotter: Annotated[str, Field(max_length=200)] = Field("", description="the same for one that is to be hotter")
    plan_firings: Annotated[int, Field(ge=0, le=1000)] = Field(0, description="firings of the whole plan")


class WayAnswer(BaseModel):
    """One way with what it costs."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    way: str
    name: str
    words: str
    firings: int | None
    firings_words: str
    colour: str
    flatness: str
    hand: str
    waiting: str
    why: str
    against: tuple[str, ...]


class RescueAnswer(BaseModel):
    """Ways in order; what speaks against one on this piece puts it last."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    fault: str
    may_wait: bool
    ways: tuple[WayAnswer, ...]


def answer(asked: RescueInput, bench: Bench) -> Answer[RescueAnswer]:
    """List the ways.

    Parameters
    ----------
    asked : RescueInput
        The fault and what is known of the piece.
    bench : Bench
        Not used; what belongs to the piece comes with the facts.
    """
    try:
        fault = fault_of(asked.fault)
    except UnknownName:
        fault = rescue.OTHER
    found = rescue.options(fault, asked.facts, asked.window, asked.plan_firings, asked.hotter)
    ways = tuple(
        WayAnswer(
            way=one.way, name=one.name, words=one.words, firings=one.firings, firings_words=one.firings_words,
            colour=one.colour, flatness=one.flatness, hand=one.hand, waiting=one.waiting, why=one.why,
            against=one.against,
        )
        for one in found
    )  # fmt: skip
    because = [f"{one.name}: {one.why}" for one in found]
    if fault == rescue.OTHER:
        because.insert(0, "this fault is in no table here, so the ways are general ones")
    return Answer[RescueAnswer](
        question="rescue",
        payload=RescueAnswer(fault=fault, may_wait=rescue.waits(found), ways=ways),
        because=tuple(because),
        sources=tuple(dict.fromkeys(one.source for one in found)),
        assumptions=("what each way costs is judgement, not measured on this piece",),
        cautions=tuple(dict.fromkeys(caution for one in found for caution in one.cautions)),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="rescue",
    words="What can be done about this piece now, what does each way cost, and does waiting make it worse?",
    input=RescueInput,
    output=RescueAnswer,
    answer=answer,
    example={"fault": "wirecrack", "facts": {"leaded_below": True, "firings_left": 2}, "plan_firings": 14},
)
