"""What can be done about this piece now, what does each way cost, and does waiting make it worse?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.errors import UnknownName
from enamelwright.learning import rescue
from enamelwright.learning.fault_atlas import fault_of, near
from enamelwright.learning.fault_finder import leading, rank
from enamelwright.learning.rescue import Heats, Option
from enamelwright.questions.answer import Answer
from enamelwright.questions.fault import FaultInput
from enamelwright.questions.question import Question, engine


class RescueInput(FaultInput):
    """A fault on a piece, what is known of the piece and of this record, and what the kiln would be set to."""

    fault: Annotated[str, Field(max_length=200)] = Field("hairline", description="its id, its name, or your own words")
    heats: Heats = Field(Heats(), description="what a way out would take, in words")
    plan_firings: Annotated[int, Field(ge=0, le=1000)] = Field(0, description="firings of the whole plan")


class RescueAnswer(BaseModel):
    """Ways in order, weighed against the causes that lead; what speaks against one on this piece puts it last."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    fault: str
    weighed_against: tuple[str, ...]
    may_wait: bool
    ways: tuple[Option, ...]


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
        leads = leading(rank(fault, asked.facts, asked.when, asked.place, asked.record))
    except UnknownName:
        fault, leads = rescue.OTHER, ()
    found = rescue.options(fault, asked.facts, leads, asked.heats, asked.plan_firings)
    because = [f"{one.name}: {one.why}" for one in found]
    if leads:
        because.insert(0, f"weighed against what leads: {'; '.join(one.cause.words for one, _ in leads)}")
    if fault == rescue.OTHER:
        because.insert(0, f"{near(asked.fault)} So the ways are general ones")
    return Answer[RescueAnswer](
        question="rescue",
        payload=RescueAnswer(
            fault=fault, weighed_against=tuple(one.cause.words for one, _ in leads), may_wait=rescue.waits(found),
            ways=found,
        ),
        because=tuple(because),
        sources=tuple(dict.fromkeys(one.source for one in found)),
        assumptions=(
            "what each way costs is judgement, not measured on this piece",
            *(("how a way meets a cause is judgement where no source is named",) if leads else ()),
        ),
        cautions=tuple(dict.fromkeys(caution for one in found for caution in one.cautions)),
        engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


QUESTION = Question(
    name="rescue",
    words="What can be done about this piece now, what does each way cost, and does waiting make it worse?",
    input=RescueInput,
    output=RescueAnswer,
    answer=answer,
    example={"fault": "wirecrack", "facts": {"leaded_below": True, "firings_left": 2}, "plan_firings": 14},
)
