"""How thick is this gauge, in millimetres, and which system is it?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.craft.gauge import parse_thickness
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class GaugeInput(Described):
    """A thickness as a maker would say it."""

    thickness: Annotated[str, Field(max_length=60)]


class GaugeAnswer(BaseModel):
    """The thickness in SI."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    thickness: Figure


def answer(asked: GaugeInput, bench: Bench) -> Answer[GaugeAnswer]:
    """Read a gauge or thickness.

    Parameters
    ----------
    asked : GaugeInput
        e.g. ``"20 gauge (B&S)"``.
    bench : Bench
        Not used; a gauge is the same everywhere.
    """
    origin = Origin(kind="computed", source="gauge system as named", status="definition")
    asked_for = f"{asked.thickness} gauge" if asked.thickness.strip().isdigit() else asked.thickness
    value = Figure.exact(parse_thickness(asked_for), "length", origin)
    return Answer[GaugeAnswer](
        question="gauge",
        payload=GaugeAnswer(thickness=value),
        because=(f"{' '.join(asked.thickness.split())} is {value.shown('mm')} ({value.shown('in')})",),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="gauge",
    words="How thick is this gauge?",
    input=GaugeInput,
    output=GaugeAnswer,
    answer=answer,
    example={"thickness": "18 gauge (B&S)"},
)
