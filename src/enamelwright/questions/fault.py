"""What most likely caused this fault, and what tells the first two causes apart?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.learning.fault_atlas import fault_of
from enamelwright.learning.fault_finder import Ranked, Separating, Tally, most_telling, rank, separating, struck_out
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

#: Cautions of a fault, by what the trade warns of with it.
CAUTIONS = (
    "Grind and stone wet, with a mask against the dust; some glass holds lead or cadmium.",
    "Infrared glasses and long gloves at the open kiln.",
)


class FaultInput(Described):
    """A fault as it was seen, and what is known of the piece, its firing and this record."""

    fault: Annotated[str, Field(max_length=120)] = Field("bubbles", description="its id or its name")
    when: Literal[
        "", "in the kiln", "first minute", "hours later", "next days", "on stoning", "on setting", "later"
    ] = ""
    place: Annotated[str, Field(max_length=200)] = Field("", description="where on the piece")
    facts: FaultFacts = FaultFacts()
    record: Annotated[tuple[Tally, ...], Field(max_length=100)] = Field(
        (), description="how often it came here by load, with a sign and without; this load left out"
    )


class CauseAnswer(BaseModel):
    """A cause with its standing and its reasons."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    cause: str
    standing: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    not_known: tuple[str, ...]
    here: tuple[str, ...]
    test: str
    remedy: str
    prevention: str
    status: str


def _told(one: Ranked) -> CauseAnswer:
    """Read the answer off a ranked cause: its fields are those of the ranking and of its cause, by name."""
    told = {**vars(one.cause), **vars(one), "cause": one.cause.words}
    return CauseAnswer.model_validate({name: told[name] for name in CauseAnswer.model_fields})


class FaultAnswer(BaseModel):
    """Causes in order, never as a chance; those that cannot be are struck out, each with why."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    fault: str
    name: str
    causes: tuple[CauseAnswer, ...]
    separating: Separating | None
    in_hand: tuple[str, ...]
    struck_out: tuple[str, ...]
    nothing: str = Field(description="said when nothing that is known speaks for any cause; else empty")


def answer(asked: FaultInput, bench: Bench) -> Answer[FaultAnswer]:
    """Put the causes in order.

    Parameters
    ----------
    asked : FaultInput
        The fault and what is known.
    bench : Bench
        Not used; what belongs to the piece comes with the facts.

    Raises
    ------
    UnknownName
        For a fault that is not in the atlas.
    """
    ranked = rank(asked.fault, asked.facts, asked.when, asked.place, asked.record)
    causes = tuple(_told(one) for one in ranked)
    nothing = ""
    if not any(one.speaks_for for one in ranked):
        nothing = "Nothing that is known speaks for any of these; they stand as the trade finds them, oftenest first."
        ask = most_telling(asked.fault, ranked, asked.facts)
        nothing += f" One answer would tell most: {ask}." if ask else ""
    because = [nothing] if nothing else [f"first: {ranked[0].cause.words}", *ranked[0].speaks_for, *ranked[0].here]
    if asked.facts.in_hand:
        because.insert(0, f"in this firing something went wrong in the hand: {', '.join(asked.facts.in_hand)}")
    return Answer[FaultAnswer](
        question="fault",
        payload=FaultAnswer(
            fault=fault_of(asked.fault),
            name=ranked[0].cause.name,
            causes=causes,
            separating=separating(ranked),
            in_hand=asked.facts.in_hand,
            struck_out=tuple(f"{one.words}: {why}" for one, why in struck_out(asked.fault, asked.facts)),
            nothing=nothing,
        ),
        because=tuple(because),
        sources=tuple(dict.fromkeys(source for one in ranked for source in one.cause.sources)),
        assumptions=(
            "the order the trade gives the causes, and how strongly a sign speaks, are judgement",
            "causes that are in no table are not thought of",
            *(("loads of this record count once each, however many pieces were in them",) if asked.record else ()),
        ),
        cautions=CAUTIONS,
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="fault",
    words="What most likely caused this fault, and what tells the first two causes apart?",
    input=FaultInput,
    output=FaultAnswer,
    answer=answer,
    example={
        "fault": "bubbles",
        "when": "in the kiln",
        "place": "all over",
        "facts": {"dried_min": 2, "metal": "copper", "metal_thickness_mm": 0.8, "first_stage": "orange peel"},
        "record": [
            {"sign": "not dry", "with_loads": 3, "with_faults": 2, "without_loads": 40, "without_faults": 1},
        ],
    },
)
