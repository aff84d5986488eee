"""How far is what my kiln shows from the truth, and how do I find out?"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Temperature, TemperatureDifference, Time
from enamelwright.craft.kiln import Anchor, Kiln
from enamelwright.craft.kiln_anchor import foil_advice, offset_after, tests_of
from enamelwright.craft.thermocouple_budget import Couple, budget, reading_prior
from enamelwright.craft.type_k import type_k
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class ThermocoupleInput(Described):
    """A reading, and what is known of the probe; a kiln of the bench brings its own."""

    shown: Temperature = Field(description="what the display shows")
    kiln: Annotated[str, Field(max_length=120)] = Field("", description="a kiln of the bench")
    thermocouple: Literal["class 1", "class 2"] | None = None
    probe_hours: Annotated[Time, Field(ge=0)] | None = Field(None, description="time the probe has been hot")
    probe_moved: bool = Field(False, description="pulled or pushed since it was new")
    meter_error: Annotated[TemperatureDifference, Field(ge=0)] | None = Field(None, description="limit of the meter")
    terminals: Temperature | None = Field(
        None, description="temperature of the terminals, when the meter does not allow for it"
    )
    anchors: Annotated[tuple[Anchor, ...], Field(max_length=200)] = Field((), description="display against known melts")


class ThermocoupleAnswer(BaseModel):
    """The offset, and what it is made of."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    voltage: Figure
    true: Figure
    offset: Figure
    causes: tuple[str, ...]
    next_test: Figure
    advice: tuple[str, ...]


def answer(asked: ThermocoupleInput, bench: Bench) -> Answer[ThermocoupleAnswer]:
    """Weigh the budget of the thermocouple against the melt tests made so far.

    Parameters
    ----------
    asked : ThermocoupleInput
        Reading, probe and tests.
    bench : Bench
        Holds the kilns.

    Raises
    ------
    InputError
        When the kiln has no read-out.
    """
    kiln = _kiln(asked, bench)
    if not kiln.speaks_degrees:
        raise InputError("a kiln without a read-out shows no degrees to correct.", "Go by the stages.")
    couple = Couple.of(kiln, asked.terminals)
    lines = budget(couple, asked.shown)
    prior = reading_prior(kiln, asked.shown, asked.terminals)
    known = offset_after(prior, tests_of(kiln.anchors))
    offset = known.figure()
    computed = Origin(kind="computed", source="type K reference function [nist_m175]", status="published")
    volts = type_k().emf(asked.shown)
    low, middle, high = (asked.shown + end for end in (offset.low, offset.value, offset.high))
    true = Figure(value=middle, low=low, high=high, dimension="temperature", origin=offset.origin)
    following = Figure.exact(known.next_test(), "temperature", offset.origin)
    because = [known.words()]
    if kiln.reads_low_sd is None:
        because.append(f"wire and meter alone leave it open by about {lines.sd:.0f} °C either way")
    if known.tests:
        because.append(f"the tests leave it open by about {known.sd:.0f} °C either way: {known.learned}")
    cautions = [
        f"test {n} speaks against {'the others' if known.tests > 1 else 'all such a probe is usually wrong by'}: "
        "look at the note of it, or whether the probe was moved since"
        for n in known.against
    ]
    if asked.terminals is not None:
        because.append(f"the meter leaves out its terminals, so the work is {lines.shift:.0f} °C hotter than shown")
    return Answer[ThermocoupleAnswer](
        question="thermocouple",
        payload=ThermocoupleAnswer(
            voltage=Figure.exact(float(volts), "voltage", computed),
            true=true,
            offset=offset,
            causes=tuple(cause.words() for cause in lines.causes),
            next_test=following,
            advice=foil_advice(known),
        ),
        because=tuple(because),
        sources=tuple(dict.fromkeys(cause.origin.words() for cause in lines.causes)),
        assumptions=_assumed(kiln),
        cautions=tuple(cautions),
        engine=engine(),
        bench=bench.revision,
    )


def _kiln(asked: ThermocoupleInput, bench: Bench) -> Kiln:
    """Return the kiln of the bench with what was asked laid over it."""
    kiln = bench.kiln(asked.kiln) if asked.kiln else None
    base = kiln or Kiln(name="a kiln")
    told = {
        name: getattr(asked, name)
        for name in ("thermocouple", "probe_hours", "meter_error")
        if getattr(asked, name) is not None
    }
    moved = base.probe_moved or asked.probe_moved
    return base.model_copy(update={**told, "probe_moved": moved, "anchors": base.anchors + asked.anchors})


def _assumed(kiln: Kiln) -> tuple[str, ...]:
    words = []
    if kiln.thermocouple is None:
        words.append("type K wire of class 2, since the class is not told")
    if kiln.probe_hours is None:
        words.append("wire that has drifted as far as used wire does, since its hours are not told")
    if kiln.meter_error is None:
        words.append("an ordinary meter")
    if not kiln.anchors:
        words.append("nothing has been held against the display: only a melt at the place of the work tells its error")
    return tuple(words)


QUESTION = Question(
    name="thermocouple",
    words="How far is what my kiln shows from the truth?",
    input=ThermocoupleInput,
    output=ThermocoupleAnswer,
    answer=answer,
    example={
        "shown_c": 800,
        "thermocouple": "class 2",
        "anchors": [
            {"what": "silver-copper foil", "shown_c": 775, "outcome": "not melted"},
            {"what": "silver-copper foil", "shown_c": 785, "outcome": "melted"},
        ],
    },
)
