"""What is this temperature on the other scale?"""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Temperature
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class DegreesInput(Described):
    """A temperature on either scale."""

    temperature: Temperature


class DegreesAnswer(BaseModel):
    """The same temperature on both scales, as a display shows it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    celsius: int
    fahrenheit: int


def answer(asked: DegreesInput, bench: Bench) -> Answer[DegreesAnswer]:
    """Convert a temperature.

    Parameters
    ----------
    asked : DegreesInput
        The temperature.
    bench : Bench
        Not used.
    """
    celsius = round(units.from_si(asked.temperature, "°C", "temperature"))
    fahrenheit = round(units.from_si(asked.temperature, "°F", "temperature"))
    return Answer[DegreesAnswer](
        question="degrees",
        payload=DegreesAnswer(celsius=celsius, fahrenheit=fahrenheit),
        because=(f"{celsius} °C is {fahrenheit} °F",),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="degrees",
    words="What is this temperature on the other scale?",
    input=DegreesInput,
    output=DegreesAnswer,
    answer=answer,
    example={"temperature_f": 1450},
)
