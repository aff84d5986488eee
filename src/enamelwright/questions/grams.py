"""How many grams make the coat I want on this area, or what do my grams make?"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat, Look, Method
from enamelwright.craft.description import Area, Described, Length, Mass
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.layup import Layer
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.weights import Hand, weigh_coat
from enamelwright.errors import InputError
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class GramsInput(Described):
    """An area, a jar and one amount."""

    jar: str = "lead_free_opaque_titania_medium"
    area: Annotated[Area, Field(gt=0, le=1)] | None = None
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = None
    weight: Annotated[Mass, Field(gt=0, le=1)] | None = None
    powder_depth: Annotated[Length, Field(gt=0, le=0.01)] | None = None
    fired_thickness: Annotated[Length, Field(gt=0, le=0.005)] | None = None
    siftings: Annotated[int, Field(ge=1, le=20)] | None = None
    look: Look | None = None
    method: Method = "sift"

    @model_validator(mode="after")
    def _one_area(self) -> GramsInput:
        if (self.area is None) == (self.diameter is None):
            raise InputError("the area is not clear.", "Give the area, or how far a disc is across; one of the two.")
        return self


def answer(asked: GramsInput, bench: Bench) -> Answer[CoatWeight]:
    """Turn one amount into all the others.

    Parameters
    ----------
    asked : GramsInput
        Area and one amount.
    bench : Bench
        Jars, hands, balance.
    """
    from enamelwright.craft.outline_shape import Shape

    area = asked.area if asked.area is not None else Shape.circle(asked.diameter or 0.0).area
    jar = bench.jar(asked.jar)
    coat = Coat(
        face="front",
        jar=jar.id,
        weight=asked.weight,
        powder_depth=asked.powder_depth,
        fired_thickness=asked.fired_thickness,
        siftings=asked.siftings,
        look=asked.look,
        method=asked.method,
    )
    hand = Hand.of(bench)
    weight = weigh_coat(Layer(0, 1, coat, jar, glass_of(jar), area), hand)
    return Answer[CoatWeight](
        question="grams",
        payload=weight,
        because=(
            "grams = area x powder depth x packing x density of the glass, plus what falls beside the piece",
            f"packing {hand.packing.shown()}; loss {hand.missed(asked.method, jar.mesh).shown('%')}",
        ),
        sources=(hand.packing.origin.words(), hand.missed(asked.method, jar.mesh).origin.words()),
        assumptions=(weight.how,),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="grams",
    words="How many grams make the coat I want, or what coat do my grams make?",
    input=GramsInput,
    output=CoatWeight,
    answer=answer,
    example={"jar": "lead_free_opaque_titania_medium", "diameter_mm": 25, "powder_depth_mm": 0.5},
)
