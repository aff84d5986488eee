"""How hot may a thing be for a touch, when may this piece be taken in the hand, and what of hands at the door?"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.cooling_times import HotPiece, leaving, times_of
from enamelwright.craft.cooling_times import told as cooling_told
from enamelwright.craft.description import Described, Length, Temperature, Thickness, Time
from enamelwright.craft.health import touch
from enamelwright.craft.health.glare_at_kiln import Opening
from enamelwright.craft.health.limits import limit
from enamelwright.craft.health.tier import Tier, tier
from enamelwright.craft.metal import metal
from enamelwright.craft.verdict import SEVERITY, Level
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.glare import GlareInput, opening_of
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import value

#: What the figure is and is not.
WHAT_IT_IS = (
    "A screening estimate for a grown-up's healthy skin, not a promise. Nothing hot looks hot: under a dull red it "
    "gives no sign at all. Hold the back of a hand near it first, and when in doubt use tongs."
)


class TouchInput(Described):
    """A hot surface and a touch; a piece that cools; or a hand before an open kiln."""

    material: touch.Material = Field("copper", description="of the surface; an enamelled sheet counts as its metal")
    seconds: Annotated[Time, Field(gt=0, le=28800)] = Field(1.0, description="how long it is touched; 1 s if left out")
    temperature: Temperature | None = Field(None, description="of the surface, when it is known")
    metal: Annotated[str, Field(max_length=60)] = Field("copper", description="of a piece that cools")
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = Field(None, description="of that piece")
    thickness: Annotated[Thickness, Field(gt=0, le=0.05)] | None = Field(None, description="of its sheet")
    enamel: Annotated[Length, Field(ge=0, le=0.01)] | None = Field(
        None, description="fired, on each face; an ordinary coat on both faces, 0.4 mm, if left out"
    )
    kiln_temperature: Temperature | None = Field(None, description="the piece or the hand meets it open")
    width: Annotated[Length, Field(gt=0, le=2)] | None = Field(None, description="clear opening of the kiln")
    height: Annotated[Length, Field(gt=0, le=2)] | None = None
    hand: Annotated[Length, Field(gt=0, le=5)] | None = Field(
        None, description="from opening to hand; 0.15 m if left out"
    )


class TouchAnswer(BaseModel):
    """Limits of a touch. What was not asked about is None."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    headline: str
    what_it_is: str
    level: Tier | None = Field(description="None when nothing was told that is judged")
    limit: Figure
    longest: Figure | None
    by_the_edge: Figure | None
    in_the_hand: Figure | None
    hand_heat: Figure | None
    hand_hurts: Figure | None
    glove: str
    screening: bool = True


def answer(asked: TouchInput, bench: Bench) -> Answer[TouchAnswer]:
    """Tell the limits of a touch.

    Parameters
    ----------
    asked : TouchInput
        What is touched.
    bench : Bench
        Its kilns tell their doors.

    Raises
    ------
    InputError
        When a temperature or a size cannot be.
    OutOfReach
        When the metal melts there or its heat is not known.
    """
    allowed = touch.touch_limit(asked.material, asked.seconds)
    model, table = touch.model_limit(asked.material, asked.seconds), touch.table_limit(asked.material, asked.seconds)
    origin = touch.origin()
    figure = Figure(
        value=allowed, low=min(allowed, model - 2 * touch.told("model_less").value), high=max(allowed, table, model),
        dimension="temperature", origin=origin,
    )  # fmt: skip
    longest = None
    levels: list[Level] = []
    words = touch.material_words(asked.material).capitalize()
    headline = f"{words}: for a touch of {_time(asked.seconds)} no hotter than {_degrees(allowed)}."
    if asked.temperature is not None:
        longest = touch.longest_band(asked.material, asked.temperature)
        # Judged by the low end: what may burn already is worth a warning.
        likely = asked.temperature > allowed
        levels.append("stop" if likely else "watch" if longest.low < asked.seconds else "good")
        if longest.value <= 0:
            headline = f"{words} at {_degrees(asked.temperature)} is too hot for the briefest touch."
        elif levels == ["stop"]:
            headline = f"{words} at {_degrees(asked.temperature)} is too hot for {_time(asked.seconds)}."
        elif levels == ["watch"]:
            headline = f"{words} at {_degrees(asked.temperature)} may burn within {_time(asked.seconds)}: leave it."
        else:
            headline = f"{words} at {_degrees(asked.temperature)}: a burn is unlikely on this estimate."
    edge = hand = None
    enamel, given = asked.enamel if asked.enamel is not None else touch.told("usual_enamel").value, list[str]()
    because = [
        f"a model of skin burns at {_degrees(model)}, remembered points of a standard give {_degrees(table)}; "
        f"the lower counts, the model less {touch.told('model_less').value:.0f} K"
    ]
    if asked.diameter is not None:
        edge, hand, line = _cooling(asked, enamel)
        because.append(line)
        if asked.temperature is None:
            headline = line[0].upper() + line[1:] + "."
        if asked.enamel is None:
            given.append(f"an ordinary coat of enamel on both faces, {_mm(enamel)} on each")
    flux, hurts, of_door = _door(asked, bench)
    if flux is not None:
        because.append(f"{float(f'{flux.value:.2g}'):g} W/m2 falls on a hand before the open kiln")
        door = touch.door_level(hurts)
        if door is None or hurts is None:
            because.append("so little that the law of pain, fitted for more, is not asked")
        else:
            levels.append(door)
            when = "at once" if hurts.low <= 0 else f"after about {_time(hurts.low)}"
            headline += f" Before the open kiln bare skin hurts {when}."
    return Answer[TouchAnswer](
        question="touch",
        payload=TouchAnswer(
            headline=headline, what_it_is=WHAT_IT_IS,
            level=tier(max(levels, key=SEVERITY.__getitem__)) if levels else None, limit=figure, longest=longest,
            by_the_edge=edge, in_the_hand=hand, hand_heat=flux, hand_hurts=hurts, glove=_glove(asked),
        ),
        because=tuple(because),
        sources=(limit("burn_metal_60s").words(), limit("en407_contact_L1").words(), origin.words()),
        assumptions=(*given, *of_door),
        cautions=(
            "A burn: cool it under running water at once, long, and see a doctor for more than a reddening.",
            "Gloves with a cuff, no synthetic sleeves; tongs and fork hold, the glove only keeps the glow off.",
            "A piece that no longer glows still burns skin, and the spot it lay on stays hot longer than the piece.",
        ),
        engine=engine(),
        bench=bench.revision,
    )  # fmt: skip


def _cooling(asked: TouchInput, enamel: float) -> tuple[Figure | None, Figure | None, str]:
    """Return (by the edge, in the hand, a line on it) of a disc that cools on a rack in still air."""
    diameter = asked.diameter or 0.0
    sheet = metal(asked.metal)
    out = leaving(asked.kiln_temperature)
    if asked.kiln_temperature is not None and asked.kiln_temperature <= cooling_told("touch").value:
        return None, None, "it comes out no hotter than a hand may hold"
    if asked.kiln_temperature is not None and out.low - (out.high - out.low) <= value("heat/room"):
        # hardly warm: what is lost at the door is more than there is, so nothing is taken as lost
        out = Figure.exact(asked.kiln_temperature, "temperature", out.origin)
    sheet.check_below_solidus(out.value)
    glass = enamel * touch.glass_density()
    piece = HotPiece(
        sheet, asked.thickness or _USUAL_SHEET, np.pi * diameter**2 / 4, np.pi * diameter, (glass, glass), (), out,
    )  # fmt: skip
    times = times_of(piece)
    if times.edge is None or times.touch is None:
        return times.edge, times.touch, "it never cools to the touch here"
    line = f"by the edge after about {_time(times.edge.high)}, in the hand after about {_time(times.touch.high)}"
    coats = f"with {_mm(enamel)} of enamel on each face" if enamel else "without any enamel"
    return times.edge, times.touch, f"{coats}, on a rack in still air {line}, on a warm spot later or never"


#: Sheet of a piece when it is not told [m] (judgement).
_USUAL_SHEET = 0.0009


def _door(asked: TouchInput, bench: Bench) -> tuple[Figure | None, Figure | None, tuple[str, ...]]:
    if asked.kiln_temperature is None:
        return None, None, ()
    at = GlareInput(temperature=asked.kiln_temperature, width=asked.width, height=asked.height)
    width, height, given = opening_of(at, bench)
    distance = asked.hand or touch.told("hand_distance").value
    flux, hurts = touch.pain(Opening(asked.kiln_temperature, width, height, distance))
    return flux, hurts, given


def _glove(asked: TouchInput) -> str:
    hot = asked.temperature if asked.temperature is not None else asked.kiln_temperature
    if hot is None:
        return (
            "For the kiln: gloves tested for contact heat level 2 or more and radiant heat 2 to 3 (EN 407), with cuffs."
        )
    try:
        level, tested = touch.glove_level(hot)
    except OutOfReach as none:
        return str(none)
    seconds = touch.told("glove_seconds").value
    return (
        f"Contact heat level {level} of EN 407 is tested at {_degrees(tested)} for {seconds:.0f} s: a short grip, "
        "not for holding on. Wet gloves scald."
    )


def _mm(metres: float) -> str:
    return units.show(metres, "length", "mm")


def _degrees(kelvin: float) -> str:
    return f"{units.from_si(kelvin, '°C', 'temperature'):.0f} °C"


def _time(seconds: float) -> str:
    if seconds < 100:
        return f"{seconds:.2g} s"
    return f"{seconds / 60:.2g} min" if seconds < 6000 else f"{seconds / 3600:.2g} h"


QUESTION = Question(
    name="touch",
    words="How hot may it be for a touch, when can I take this piece in my hand, and what of hands at the door?",
    input=TouchInput,
    output=TouchAnswer,
    answer=answer,
    example={"material": "copper", "seconds_s": 1, "diameter_mm": 32, "thickness_mm": 0.9, "kiln_temperature_c": 790},
)
