"""How strong is the glare at an open kiln, how long may a look last, and which filter is meant for it?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length, Temperature, Time
from enamelwright.craft.health import glare_at_kiln
from enamelwright.craft.health.limits import limit
from enamelwright.craft.health.tier import Tier, tier
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.verdict import Level
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

#: What the figure is and is not.
WHAT_IT_IS = (
    "A screening estimate from the size of the opening, not a measurement. Harm to the lens comes slowly and adds up "
    "over years, so a filter is advised even where the figure is low. Local rules and an optician decide."
)
#: Most that a door may be larger than the inside it opens into, for a rim that is cut back.
_LARGER = 1.25


class GlareInput(Described):
    """An open kiln and how it is looked into."""

    temperature: Temperature = Field(description="of the chamber")
    kiln: Annotated[str, Field(max_length=60)] = Field("", description="of the bench; it tells its door")
    width: Annotated[Length, Field(gt=0, le=2)] | None = Field(None, description="clear opening")
    height: Annotated[Length, Field(gt=0, le=2)] | None = Field(None, description="clear opening")
    distance: Annotated[Length, Field(gt=0, le=10)] | None = Field(
        None, description="eye to opening; 0.4 m if left out"
    )
    look: Annotated[Time, Field(gt=0, le=3600)] | None = Field(None, description="how long one lasts; 8 s if left out")
    looks: Annotated[int, Field(ge=1, le=2000)] = Field(1, description="in the session")
    session: Annotated[Time, Field(gt=0, le=86400)] | None = Field(
        None, description="over which the looks are spread; if left out they may all come within a quarter of an hour"
    )


class GlareAnswer(BaseModel):
    """Glare on the eye."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    level: Tier
    irradiance: Figure
    once: Figure
    endless: bool
    transmittance: Figure
    mean: Figure
    share: Figure
    scale: str
    filter: str
    screening: bool = True


def opening_of(asked: GlareInput, bench: Bench) -> tuple[float, float, tuple[str, ...]]:
    """Return (width, height, what was taken as given) of the clear opening.

    Parameters
    ----------
    asked : GlareInput
        May name a kiln, or the opening.
    bench : Bench
        Its kilns.

    Raises
    ------
    InputError
        When the opening is larger than the inside it opens into.
    """
    named = bool(asked.kiln) or (asked.width is None and asked.height is None)
    kiln = bench.kiln(asked.kiln) if named else None
    told = glare_at_kiln.told
    given = []
    sides = []
    for side, own in (("width", asked.width), ("height", asked.height)):
        inside = getattr(kiln, side) if kiln is not None else None
        size = own or _door(kiln, side)
        if size is None:
            size = told(f"opening_{side}").value
            given.append(f"an opening {units.show(size, 'length', 'mm')} in {side}: measure it")
        if kiln is not None and own is not None and inside is not None and own > _LARGER * inside:
            raise InputError(
                f"the opening is larger than the inside of kiln {kiln.name}, which is "
                f"{units.show(inside, 'length', 'mm')} in {side}.",
                "Measure the clear opening, or correct the kiln.",
                side,
            )
        sides.append(size)
    return sides[0], sides[1], tuple(given)


def _door(kiln: Kiln | None, side: str) -> float | None:
    if kiln is None:
        return None
    door: float | None = getattr(kiln, f"door_{side}")
    inside: float | None = getattr(kiln, side)
    return door or inside


def answer(asked: GlareInput, bench: Bench) -> Answer[GlareAnswer]:
    """Work out the glare.

    Parameters
    ----------
    asked : GlareInput
        Temperature, opening, distance and looks.
    bench : Bench
        Its kilns tell their doors.

    Raises
    ------
    InputError
        When the opening, the distance or the temperature cannot be.
    OutOfReach
        When the chamber hardly glows.
    """
    width, height, given = opening_of(asked, bench)
    told = glare_at_kiln.told
    distance = asked.distance or told("distance").value
    look = asked.look or told("look").value
    opening = glare_at_kiln.Opening(asked.temperature, width, height, distance)
    found = glare_at_kiln.glare(opening, look, asked.looks, asked.session or look * asked.looks, bench.limits)
    long, short = limit("ir_eye_long", bench.limits), limit("ir_eye_short_coeff")
    over_once = look > found.once.low
    level: Level = "stop" if over_once or found.share > 1 else "watch" if found.share > _LOW else "good"
    # A session of looks is judged without a filter; with one it is judged by what the filter lets through.
    once = (
        "even long looking stays below the limit on this estimate"
        if found.endless
        else f"about {_seconds(found.once.low)} at a time"
    )
    headline = {
        "good": "Low on this estimate for these looks; wear the filter all the same.",
        "watch": "Near enough to the limit for the eye to wear the filter at every look.",
        "stop": "Over the limit for the eye without a filter: wear it, look shorter or stand further off.",
    }[level]
    return Answer[GlareAnswer](
        question="glare",
        payload=GlareAnswer(
            headline=headline,
            what_it_is=WHAT_IT_IS,
            level=tier(level),
            irradiance=found.irradiance,
            once=found.once,
            endless=found.endless,
            transmittance=found.transmittance,
            mean=found.mean,
            share=Figure(
                value=found.mean.value / long.value, low=found.mean.low / long.value, high=found.share,
                dimension="ratio", origin=found.mean.origin,
            ),
            scale=found.scale,
            filter=(
                f"Infrared filter {found.scale} for a source this hot; {_long_looking(found)}. C on it means colours "
                "stay true, R that it "
                "reflects the heat. Glasses against the yellow glow of soda glass stop no infrared, and a plain "
                "welding shade spoils the colours."
            ),
        ),
        because=(
            f"{units.show(found.irradiance.value, 'heat_flux', 'W/m2')} of infrared falls on the eye from an opening "
            f"{units.show(width, 'length', 'mm')} by {units.show(height, 'length', 'mm')}, "
            f"{units.show(distance, 'length', 'm')} away",
            f"without a filter {once}; the limit for long looking is {long.shown()}",
            f"{asked.looks} looks of {_seconds(look)} make {units.show(found.mean.value, 'heat_flux', 'W/m2')} on the "
            "mean of a quarter of an hour",
        ),
        sources=(f"{long.words()}; {short.words()}", f"filters: {limit('en171_scale_4-1.2').words()}"),
        assumptions=(*given, "the chamber counts as black, which is the most it can send"),
        cautions=(
            "The filter numbers are tested to 2 µm, this glare reaches further: the number alone promises nothing.",
            "Never watch a torch flame or a laser by these figures.",
        ),
        engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


def _long_looking(found: glare_at_kiln.Glare) -> str:
    """Say what a filter for long looking has to keep out."""
    if found.endless:
        return "long looking stays below the limit without one on this estimate, and it spares the eye all the same"
    return f"for long looking one that lets no more than {found.transmittance.low:.0%} of the infrared through"


#: Share of the limit below which the looks of a session read low.
_LOW = 0.3


def _seconds(seconds: float) -> str:
    return f"{seconds:.2g} s" if seconds < 100 else f"{seconds / 60:.2g} min"


QUESTION = Question(
    name="glare",
    words="How strong is the glare at the open kiln, how long may I look, and which filter is meant for it?",
    input=GlareInput,
    output=GlareAnswer,
    answer=answer,
    example={"temperature_c": 790, "width_mm": 150, "height_mm": 100, "distance_mm": 400, "look_s": 8, "looks": 5},
)
