"""How long does the air of the room take to clear, what must a fan move, and what of a fibre lining?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Dimension, Temperature
from enamelwright.craft.health import fibre_lining, sifting_dust, ventilation
from enamelwright.craft.health.dust_limits import two_digits
from enamelwright.craft.kiln import Power
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.dust import Rate, Volume
from enamelwright.questions.question import Question, engine

#: What the figure is and is not.
WHAT_IT_IS = (
    "A screening estimate of a room as one well-stirred box, not a design of its ventilation. No measured figures of "
    "what enamel gives off in the kiln were found."
)
AirFlow = Annotated[float, Dimension("air_flow", "m3_per_h")]


class VentilationInput(Described):
    """A room with a kiln."""

    room: Annotated[Volume, Field(gt=2, le=5000)] | None = Field(None, description="volume; 30 m3 if left out")
    changes: Annotated[Rate, Field(ge=0, le=0.03)] | None = Field(
        None, description="changes of air an hour; 1 if left out"
    )
    fan: Annotated[AirFlow, Field(ge=0, le=10)] | None = Field(None, description="air a fan moves, instead of changes")
    power: Annotated[Power, Field(gt=0, le=30000)] | None = Field(None, description="of the kiln")
    lining: fibre_lining.Kind = "unknown"
    hottest: Temperature | None = Field(None, description="hottest the lining ever was")
    second_hand: bool = False


class VentilationAnswer(BaseModel):
    """Air of the room, and the lining."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    clears: Figure | None
    fan: Figure
    warms: Figure | None
    lining: str
    lining_do: tuple[str, ...]
    lining_limits: tuple[str, ...]
    screening: bool = True


def answer(asked: VentilationInput, bench: Bench) -> Answer[VentilationAnswer]:
    """Work out the air of a room.

    Parameters
    ----------
    asked : VentilationInput
        Room, air and lining.
    bench : Bench
        Its first kiln tells its power.
    """
    room = asked.room or sifting_dust.told("room").value
    changes = asked.fan / room if asked.fan is not None else asked.changes
    if changes is None:
        changes = sifting_dust.told("changes").value
    kiln = bench.kiln()
    power = asked.power or (kiln.power if kiln is not None else None) or ventilation.told("kiln_power").value
    clears = ventilation.clearing(changes)
    low, high = (ventilation.told(f"target_{end}").value for end in ("low", "high"))
    origin = ventilation.told("target_low").origin()
    warms = ventilation.kiln_warms(power, room * changes)
    lined = fibre_lining.lining(asked.lining, asked.hottest, asked.second_hand)
    hourly = units.from_si(changes, "1/h", "rate")
    headline = (
        "No air changes in this room: what gets into it stays until it settles. Open a window or run a fan."
        if clears is None
        else f"At {_changes(hourly)} an hour the air clears in {_minutes(clears.value)} to {_minutes(clears.high)} min."
    )
    because = ["cleared is when a hundredth is left; a badly stirred corner takes up to three times as long"]
    if warms is not None:
        because.append(
            f"a kiln of {units.show(power, 'power', 'kW')} would warm that air by up to {two_digits(warms)} K if "
            "the walls took nothing: fresh air clears, it does not cool"
        )
    return Answer[VentilationAnswer](
        question="ventilation",
        payload=VentilationAnswer(
            headline=headline,
            what_it_is=WHAT_IT_IS,
            clears=clears,
            fan=Figure(
                value=ventilation.fan_for(room, low), low=ventilation.fan_for(room, low),
                high=ventilation.fan_for(room, high), dimension="air_flow", origin=origin,
            ),
            warms=None if warms is None else Figure(
                value=warms, low=0.0, high=warms, dimension="temperature_difference", origin=origin
            ),
            lining=lined.words,
            lining_do=lined.do,
            lining_limits=tuple(f"{one.shown()}: {one.words()}" for one in lined.limits),
        ),
        because=tuple(because),
        sources=(origin.words(),),
        assumptions=(f"a room of {units.show(room, 'volume', 'm3')}, {hourly:.2g} changes of air an hour",),
        cautions=ventilation.cautions(changes),
        engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


def _changes(hourly: float) -> str:
    number = f"{hourly:.2g}"
    return f"{number} change of air" if number == "1" else f"{number} changes of air"


def _minutes(seconds: float) -> str:
    return two_digits(seconds / 60)


QUESTION = Question(
    name="ventilation",
    words="How long does the air of my room take to clear, what must a fan move, and what of a fibre lining?",
    input=VentilationInput,
    output=VentilationAnswer,
    answer=answer,
    example={"room_m3": 30, "changes_per_h": 6, "lining": "unknown"},
)
