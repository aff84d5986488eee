"""What will this stack of coats look like once fired, over this metal?"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.fired_colour import FiredColour, Look, colour_against_depth, fired_colour
from enamelwright.craft.colour.light import USUAL, LightName, Observer
from enamelwright.craft.description import Length
from enamelwright.craft.jar import Jar
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import fact

#: Points of the curve of colour against depth.
POINTS = 13
#: Where no deepest place is told, the curve goes to this many times the uppermost coat.
DEEPER = 2.0
_LAB_DIGITS, _SHARE_DIGITS = 1, 2


class FiredColourInput(ColourStack):
    """A stack over metal, and the lights to judge it under."""

    lights: Annotated[tuple[LightName, ...], Field(min_length=1, max_length=5)] = USUAL
    observer: Observer = Field("2", description="degrees: 2 for small samples and screens, 10 for large ones")
    deepest: Annotated[Length, Field(gt=0, le=0.005)] | None = Field(
        None, description="depth of the uppermost glass in the deepest place of a carved ground"
    )
    jars: Annotated[tuple[Jar, ...], Field(max_length=60)] = Field((), description="jars the bench does not know")


class Colour(BaseModel):
    """One colour.

    Parameters
    ----------
    lab : tuple of float
        Under the first light asked for.
    screen : str
        For a screen.
    on_screen : bool
        Whether a screen can show it; if not, `screen` is the nearest of its hue.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    lab: tuple[float, float, float]
    screen: str
    on_screen: bool


class AtThickness(BaseModel):
    """The colour at one thickness of all coats, catching the light and turned away."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    factor: float
    catching_the_light: Colour
    turned_away: Colour


class UnderLight(BaseModel):
    """The nominal colour under one light, and how far it turns from what it is under the first."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    light: str
    words: str
    lab: tuple[float, float, float]
    difference: float


class AtDepth(BaseModel):
    """The colour at one depth of the uppermost glass."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    depth: Figure
    catching_the_light: Colour
    turned_away: Colour


class FiredColourAnswer(BaseModel):
    """The colour as a band.

    Parameters
    ----------
    invented : tuple of str
        What of it is invented; then there is no number for how sure it is.
    thicknesses : tuple of AtThickness
        Thin, nominal, thick.
    lights : tuple of UnderLight
        As asked.
    worst_light : str
        The light under which it turns most.
    sure_within : float or None
        CIEDE2000 within which nine of ten should lie.
    hides : Figure
        Lightness over black as a share of that over white.
    hides_words : str
        Whether the metal shows through.
    against_depth : tuple of AtDepth
        For carved grounds.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    invented: tuple[str, ...]
    thicknesses: tuple[AtThickness, ...]
    lights: tuple[UnderLight, ...]
    worst_light: str
    sure_within: float | None
    hides: Figure
    hides_words: str
    against_depth: tuple[AtDepth, ...]


def _lab(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    a, b, c = (round(part, _LAB_DIGITS) + 0.0 for part in lab)
    return a, b, c


def _colour(look: Look) -> Colour:
    return Colour(lab=_lab(look.lab), screen=look.hex, on_screen=look.in_gamut)


def _depths(asked: FiredColourInput, bench: Bench) -> tuple[AtDepth, ...]:
    if not asked.coats:
        return ()
    deepest = asked.deepest or DEEPER * asked.coats[-1].thickness
    told = Origin(kind="assumption", source="a depth on the curve")
    return tuple(
        AtDepth(
            depth=Figure.exact(look.depth, "length", told),
            catching_the_light=_colour(look.catching),
            turned_away=_colour(look.away),
        )
        for look in colour_against_depth(asked, bench, np.linspace(0.0, deepest, POINTS))
    )


def answer(asked: FiredColourInput, bench: Bench) -> Answer[FiredColourAnswer]:
    """Foretell the colour.

    Parameters
    ----------
    asked : FiredColourInput
        Metal, coats and lights.
    bench : Bench
        Jars, with their fits, and fluxed coupons.
    """
    studio = bench.with_jars(asked.jars)
    found = fired_colour(asked, studio, asked.lights, observer=asked.observer)
    return Answer[FiredColourAnswer](
        question="fired-colour",
        payload=_payload(found, asked, studio),
        because=_because(found),
        sources=found.sources,
        assumptions=_assumptions(found, asked),
        cautions=("A colour is judged cold: many glasses look altogether different while they are hot.",),
        engine=engine(),
        bench=bench.revision,
    )


def _payload(found: FiredColour, asked: FiredColourInput, bench: Bench) -> FiredColourAnswer:
    hidden = found.hiding >= fact("colour/hides/contrast").value
    return FiredColourAnswer(
        invented=found.invented,
        thicknesses=tuple(
            AtThickness(
                name=look.name, factor=look.factor,
                catching_the_light=_colour(look.catching), turned_away=_colour(look.away),
            )
            for look in found.looks
        ),
        lights=tuple(
            UnderLight(light=look.light, words=look.words, lab=_lab(look.lab),
                       difference=round(look.shift, _LAB_DIGITS))
            for look in found.by_light
        ),
        worst_light=found.worst_light.light,
        sure_within=None if found.sure_within is None else round(found.sure_within, _LAB_DIGITS),
        hides=Figure.exact(
            round(found.hiding, _SHARE_DIGITS), "ratio", Origin(kind="computed", source="over black against over white")
        ),
        hides_words="hides the metal" if hidden else "the metal shows through",
        against_depth=_depths(asked, bench),
    )  # fmt: skip


def _because(found: FiredColour) -> tuple[str, ...]:
    nominal, worst = found.looks[1], found.worst_light
    words = [*found.basis]
    light, dark = nominal.catching.lab[0], nominal.away.lab[0]
    words.append(f"lightness {light:.0f} where it catches the light, {dark:.0f} where it is turned away")
    if len(found.by_light) > 1:
        words.append(f"it turns most under {worst.words}: by {worst.shift:.1f} CIEDE2000")
    if not nominal.catching.in_gamut:
        words.append("a screen cannot show this colour: the nearest of its hue stands in")
    return tuple(words)


def _assumptions(found: FiredColour, asked: FiredColourInput) -> tuple[str, ...]:
    words = [f"INVENTED, no measurement: {one}" for one in found.invented]
    if found.invented:
        words.append("nothing tells how sure this is until your own tiles are fitted")
    if asked.finish is None and asked.surface == "unknown" and asked.foil is None and asked.coats:
        words.append("how the metal is finished is not known; between a mirror and satin is taken")
    words.append(
        "even coats without bubbles, seen without the gloss of their surface; thin and thick are a fifth off nominal"
    )
    words.append("what firing does to a colour, such as warm colours on bare silver, is not part of it")
    return tuple(words)


QUESTION = Question(
    name="fired-colour",
    words="What will this stack of coats look like once fired, over this metal?",
    input=FiredColourInput,
    output=FiredColourAnswer,
    answer=answer,
    example={
        "metal": "fine silver",
        "coats": [
            {"jar": "flux clear", "thickness_mm": 0.12},
            {"jar": "cobalt blue", "thickness_mm": 0.15, "weighed": True},
        ],
        "deepest_mm": 0.5,
    },
)
