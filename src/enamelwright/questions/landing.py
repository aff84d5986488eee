"""How hot does the wood under the landing spot get over a session, and what to change?"""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described, Length, Temperature, Time
from enamelwright.craft.health import landing_spot
from enamelwright.craft.health.landing_spot import Load, Spot, StackLayer
from enamelwright.craft.health.tier import Tier, tier
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.physics.landing import Landed
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import sources, value

#: What the figure is and is not.
WHAT_IT_IS = (
    "A screening estimate of layers over dry wood, 15 K either way, not a judgement of your bench. A thermometer on "
    "the wood below the spot, read at the end of a long session, is worth more. Ask the fire insurance or the fire "
    "service what they want to see."
)


class LandingInput(Described):
    """A landing spot and a session on it."""

    layers: Annotated[tuple[StackLayer, ...], Field(max_length=landing_spot.MOST_LAYERS)] = Field(
        (), description="from the top down, wood left out; none is bare wood"
    )
    wood: Annotated[Length, Field(gt=0.002, le=0.3)] | None = Field(None, description="thickness; 20 mm if left out")
    side: Annotated[Length, Field(gt=0.02, le=2)] | None = Field(
        None, description="of the square plate or board; 240 mm if left out"
    )
    load: Load = Field("mesh", description="what is set down")
    out: Temperature | None = Field(None, description="of the load as it comes out; an ordinary setting if left out")
    firings: Annotated[int, Field(ge=1, le=200)] = 20
    interval: Annotated[Time, Field(gt=0, le=43200)] | None = Field(
        None, description="from one to the next; 4 min if left out"
    )
    stays: Annotated[Time, Field(gt=0, le=43200)] | None = Field(
        None, description="how long each lies there; three quarters of the interval if left out"
    )
    room: Temperature | None = Field(None, description="20 °C if left out")


class ChangeLine(BaseModel):
    """One change of the spot."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    cooler: Figure
    level: Tier


class LandingAnswer(BaseModel):
    """How hot the wood gets."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    level: Tier
    spot: str
    held: Figure = Field(description="the hottest half hour, its mean")
    peak: Figure
    after: Figure | None
    limit: Figure
    course: tuple[tuple[float, float], ...] = Field(description="minutes, °C of the wood below the middle")
    changes: tuple[ChangeLine, ...]
    screening: Literal[True] = True


#: Points of the course that are told.
COURSE = 60


def spot_of(asked: LandingInput) -> Spot:
    """Return the spot an input describes.

    Parameters
    ----------
    asked : LandingInput
        What is asked.

    Raises
    ------
    InputError
        When the load cannot be so hot or so cold, or lies longer than the interval.
    """
    told = landing_spot.told
    room = value("heat/room") if asked.room is None else asked.room
    out = value("heat/top_temperature") if asked.out is None else asked.out
    coldest, warmest = value("heat/room") - ROOM_REACH, value("heat/room") + ROOM_REACH
    if not coldest <= room <= warmest:
        raise InputError("no workshop is that warm or cold.", "Give the temperature of the room.", "room")
    if out <= room:
        raise InputError("what comes out of the kiln is hotter than the room.", "Give its temperature.", "out")
    if out > landing_spot.told("hottest_load").value:
        raise InputError("no load of this trade is that hot.", "Check the temperature and its scale.", "out")
    interval = asked.interval or told("interval").value
    stays = asked.stays or interval * told("dwell").value / told("interval").value
    return Spot(
        asked.layers, asked.wood or told("wood_thickness").value, asked.side or told("plate_side").value, asked.load,
        out, asked.firings, interval, stays, room,
    )  # fmt: skip


#: A workshop lies within so many kelvin of the usual room; beyond it the figure is a slip.
ROOM_REACH = 35.0


def answer(asked: LandingInput, bench: Bench) -> Answer[LandingAnswer]:
    """Follow a session on a landing spot.

    Parameters
    ----------
    asked : LandingInput
        Layers and session.
    bench : Bench
        Not used; a landing spot is described where it is asked about.

    Raises
    ------
    InputError
        When the spot or the session cannot be.
    OutOfReach
        When the heat through these layers could not be followed.
    """
    spot = spot_of(asked)
    found = landing_spot.spotted(spot)
    told = landing_spot.told
    long = told("wood_long")
    changes = landing_spot.changes(spot) if found.level != "good" else ()
    return Answer[LandingAnswer](
        question="landing",
        payload=LandingAnswer(
            headline=_headline(found),
            what_it_is=WHAT_IT_IS,
            level=tier(found.level),
            spot=spot.words(),
            held=found.held,
            peak=found.peak,
            after=found.after,
            limit=long.figure(),
            course=_course(found.landed),
            changes=tuple(ChangeLine(words=one.words, cooler=one.cooler, level=tier(one.level)) for one in changes),
        ),
        because=(
            f"{spot.firings} times {landing_spot.load_words(spot.load)}, every {_minutes(spot.interval)}, on "
            f"{spot.words()}",
            f"the wood below the middle is at about {_celsius(found.held.value)} on the mean of its hottest "
            f"{_minutes(landing_spot.window())}, {_celsius(found.peak.value)} at its hottest, "
            f"{units.show(told('scatter').value, 'temperature_difference', 'K')} either way; "
            "it is followed until it cools",
            "judged by the hottest moment, since only metal lies on the wood"
            if spot.bare_metal
            else f"judged by the mean of the hottest {_minutes(landing_spot.window())}, and never low where a moment "
            "passes the limit",
            f"a surface of {units.show(long.value, 'temperature', '°C')} for long next to wood may set it alight; "
            f"from {units.show(told('wood_note').value, 'temperature', '°C')} on the scatter reaches that far",
        ),
        sources=tuple(sources()[key].words() for key in (*long.source, *told("wood_flux").source)),
        assumptions=(
            "dry wood, joints without air, a square plate whose rim loses nothing",
            "the heat of the kiln on the bench is left out, and so is charring",
        ),
        cautions=_cautions(spot),
        engine=engine(),
        bench=bench.revision,
    )


def _headline(found: landing_spot.Spotted) -> str:
    """Say in one sentence how hot the wood gets, its hottest moment first."""
    peak, mean = _celsius(found.peak.value), _celsius(found.held.value)
    reaches = f"the wood reaches about {peak} at its hottest, {mean} on the mean of its hottest "
    reaches += _minutes(landing_spot.window())
    if found.level == "good":
        return f"Low on this estimate: {reaches}."
    if found.level == "watch":
        close = "Past the limit for long contact for a while" if found.after else "Close to the limit for long contact"
        return f"{close}: {reaches}."
    return f"Too hot: {reaches}" + (f", past the limit after {_about(found.after)}." if found.after else ".")


def _celsius(kelvin: float) -> str:
    """Say a temperature in two digits."""
    celsius = units.from_si(kelvin, "°C", "temperature")
    return f"{float(f'{celsius:.2g}'):.0f} °C"


def _about(after: Figure) -> str:
    low, middle = _minutes(after.low), _minutes(after.value)
    return f"about {middle}" if middle == low else f"about {middle}, perhaps {low}"


def _minutes(seconds: float) -> str:
    """Say a time in minutes, two digits or whole minutes."""
    minutes = units.from_si(seconds, "min", "time")
    if minutes < 1:
        return f"{seconds:.2g} s"
    return f"{minutes:.2g} min" if minutes < 100 else f"{minutes:.0f} min"


def _course(landed: Landed) -> tuple[tuple[float, float], ...]:
    """Return minutes and °C at even times, with the hottest moment among them."""
    at = np.unique(
        np.append(np.linspace(landed.times[0], landed.times[-1], COURSE), landed.times[landed.centre.argmax()])
    )
    celsius = np.interp(at, landed.times, landed.centre)
    return tuple(
        (round(units.from_si(float(t), "min", "time"), 1), round(units.from_si(float(k), "°C", "temperature"), 1))
        for t, k in zip(at, celsius, strict=True)
    )


def _cautions(spot: Spot) -> tuple[str, ...]:
    lines = [
        f"Nothing that burns within {units.show(landing_spot.told('combustibles').value, 'length', 'mm')} of the spot "
        "and of the door; wood that has browned is no longer what these figures speak of.",
        "Stay until the spot is cold to a hand held near it; a smouldering board shows itself hours later.",
    ]
    if spot.load == "shelf":
        lines.insert(0, "A hot shelf belongs on bricks on a floor that cannot burn, not on a bench.")
    if any(layer.material == "aluminium" for layer in spot.layers):
        lines.append("Aluminium softens below kiln heat: not where a load stands.")
    if any(layer.material == "stone" for layer in spot.layers):
        lines.append("Stone may crack or spit under a hot load.")
    return tuple(lines)


QUESTION = Question(
    name="landing",
    words="How hot does the wood under my landing spot get over a session, and what should I change?",
    input=LandingInput,
    output=LandingAnswer,
    answer=answer,
    example={
        "layers": [{"material": "iron", "thickness_mm": 4}, {"material": "board", "thickness_mm": 12}],
        "firings": 20,
        "interval_min": 4,
    },
)
