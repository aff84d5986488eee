"""How many fills bring this cell level?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length
from enamelwright.craft.weights import Hand, rounds_to_level
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import fact


class FillsInput(Described):
    """A cell to be filled flush, fired, and filled again."""

    depth: Annotated[Length, Field(gt=0, le=0.01)]
    packing: Annotated[float, Field(gt=0.2, lt=0.8)] | None = None
    residual: Annotated[float, Field(gt=0, lt=1)] | None = None


class FillsAnswer(BaseModel):
    """Fills, and what is still open after them."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    fills: Figure
    still_open: Figure


def answer(asked: FillsInput, bench: Bench) -> Answer[FillsAnswer]:
    """Count the fills.

    Parameters
    ----------
    asked : FillsInput
        Depth, and packing when it was measured.
    bench : Bench
        Packing of this maker's hands.
    """
    packing = Hand.of(bench).packing
    if asked.packing is not None:
        packing = Figure.exact(asked.packing, "ratio", Origin(kind="measured", source="asked", status="as asked"))
    residual = asked.residual if asked.residual is not None else fact("trade/fill_residual").value
    ends = [rounds_to_level(share, residual) for share in (packing.value, packing.high, packing.low)]
    origin = Origin(kind="computed", source="open depth = depth x (1 - packing)^fills", status="computed")
    fills = Figure(value=ends[0], low=min(ends), high=max(ends), dimension="count", origin=origin)
    left = [asked.depth * (1 - share) ** ends[0] for share in (packing.value, packing.high, packing.low)]
    still = Figure(value=left[0], low=min(left), high=max(left), dimension="length", origin=origin)
    return Answer[FillsAnswer](
        question="fills",
        payload=FillsAnswer(fills=fills, still_open=still),
        because=(f"each flush fill fires down to {packing.shown()} of the depth still open",),
        sources=(packing.origin.words(),),
        assumptions=(f"level means within {residual:.0%} of the depth",),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="fills",
    words="How many fills bring this cell level?",
    input=FillsInput,
    output=FillsAnswer,
    answer=answer,
    example={"depth_mm": 1.0},
)
