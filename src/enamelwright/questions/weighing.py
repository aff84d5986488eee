"""What do my own weighings say about my hand: how much misses the piece, and how densely does my powder lie?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Area, Described, Length, Mass
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.weights import hand_from_weighing
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class WeighingInput(Described):
    """One coat weighed before and after, and measured if it was."""

    jar: str = "lead_free_opaque_titania_medium"
    area: Annotated[Area, Field(gt=0, le=1)] | None = None
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = None
    weighed_out: Annotated[Mass, Field(gt=0, le=1)] = Field(description="powder taken from the jar")
    gained: Annotated[Mass, Field(gt=0, le=1)] = Field(description="how much heavier the piece became")
    powder_depth: Annotated[Length, Field(gt=0, le=0.01)] | None = Field(None, description="measured before firing")
    balance_step: Annotated[Mass, Field(gt=0)] | None = None

    @model_validator(mode="after")
    def _possible(self) -> WeighingInput:
        if self.area is not None and self.diameter is not None:
            raise InputError("area and diameter say the same thing twice.", "Keep one of them.")
        if self.powder_depth is not None and self.area is None and self.diameter is None:
            raise InputError("the packing needs the area.", "Add diameter_mm or area_cm2.")
        if self.gained > self.weighed_out:
            raise InputError(
                "the piece gained more than was weighed out.",
                "Weigh again; oxide on bare metal counts too, so clean it off before weighing.",
            )
        return self


class WeighingAnswer(BaseModel):
    """The hand that these weighings show, and the lines that put it on a bench."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    sifting_loss: Figure
    packing: Figure | None
    bench_lines: tuple[str, ...]


def answer(asked: WeighingInput, bench: Bench) -> Answer[WeighingAnswer]:
    """Turn weighings into a hand.

    Parameters
    ----------
    asked : WeighingInput
        One coat, weighed.
    bench : Bench
        Jars and balance.
    """
    from enamelwright.craft.outline_shape import Shape

    area = asked.area
    if asked.diameter is not None:
        area = Shape.circle(asked.diameter).area
    jar = bench.jar(asked.jar)
    loss, packing = hand_from_weighing(
        asked.weighed_out, asked.gained, area, asked.powder_depth, glass_of(jar).density, asked.balance_step, bench
    )
    lines = ["[hands]", f"sifting_loss = {loss.value:.3f}"]
    if packing is not None:
        lines.append(f"packing = {packing.value:.3f}")
    return Answer[WeighingAnswer](
        question="weighing",
        payload=WeighingAnswer(sifting_loss=loss, packing=packing, bench_lines=tuple(lines)),
        because=(
            "loss = 1 - gained / weighed out",
            "packing = gained / (area x powder depth x density of the glass)",
        ),
        assumptions=("nothing but enamel changed the weight: oxide was cleaned off before both weighings",),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="weighing",
    words="What do my own weighings say about my hand?",
    input=WeighingInput,
    output=WeighingAnswer,
    answer=answer,
    example={"diameter_mm": 25, "weighed_out_g": 0.38, "gained_g": 0.32, "powder_depth_mm": 0.5},
)
