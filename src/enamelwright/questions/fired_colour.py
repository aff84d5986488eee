"""What will this stack of coats look like once fired, over this metal?"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_risk import fired_of, risks_of
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.depth_colour import colour_against_depth
from enamelwright.craft.colour.fired_colour import FiredColour, fired_colour
from enamelwright.craft.colour.jar_optics import jar_for
from enamelwright.craft.colour.light import USUAL, LightName, Observer
from enamelwright.craft.colour.look import Look
from enamelwright.craft.description import Length
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import fact

#: Points of the curve of colour against depth.
POINTS = 13
#: Where no deepest place is told, the curve goes to this many times the uppermost coat.
DEEPER = 2.0
#: Largest factor on a thickness that may be asked for.
MOST_FACTOR = 10.0
_FACTOR_DIGITS = 3
_LAB_DIGITS, _SHARE_DIGITS = 1, 2


class FiredColourInput(ColourStack):
    """A stack over metal, and the lights to judge it under."""

    lights: Annotated[tuple[LightName, ...], Field(min_length=1, max_length=5)] = USUAL
    observer: Observer = Field("2", description="degrees: 2 for small samples and screens, 10 for large ones")
    deepest: Annotated[Length, Field(gt=0, le=0.005)] | None = Field(
        None, description="depth of the uppermost glass in the deepest place of a carved ground"
    )
    thin_and_thick: tuple[float, float] | None = Field(
        None, description="factors on every thickness; when left out, what nine of ten coats lie between"
    )
    jars: Annotated[tuple[Jar, ...], Field(max_length=60)] = Field((), description="jars the bench does not know")

    @model_validator(mode="after")
    def _thin_below_thick(self) -> FiredColourInput:
        if self.thin_and_thick is not None:
            thin, thick = self.thin_and_thick
            if not 0 < thin <= 1 <= thick <= MOST_FACTOR:
                raise InputError(
                    "thin is a factor below 1 and thick one above it.", "Write them as 0.8 and 1.2.", "thin_and_thick"
                )
        return self


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
    """The colour at one thickness of all coats, with the factor on each, catching the light and turned away."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    factors: tuple[float, ...]
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
    unsure : tuple of str
        Jars whose curves are told without how sure they are; then there is none either.
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
        Whether the metal shows through, or lies bare.
    against_depth : tuple of AtDepth
        For carved grounds.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    invented: tuple[str, ...]
    unsure: tuple[str, ...]
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
    found = fired_colour(asked, studio, asked.lights, observer=asked.observer, factors=asked.thin_and_thick)
    risks = risks_of(fired_of(asked, studio))
    return Answer[FiredColourAnswer](
        question="fired-colour",
        payload=_payload(found, asked, studio),
        because=_because(found),
        sources=tuple(dict.fromkeys((*found.sources, *(source for risk in risks for source in risk.sources)))),
        assumptions=_assumptions(found, asked, studio),
        cautions=(
            *(f"{risk.words} {risk.remedy} ({risk.because})" for risk in risks),
            "A colour is judged cold: many glasses look altogether different while they are hot.",
        ),
        engine=engine(),
        bench=bench.revision,
    )


def _payload(found: FiredColour, asked: FiredColourInput, bench: Bench) -> FiredColourAnswer:
    hidden = found.hiding >= fact("colour/hides/contrast").value
    return FiredColourAnswer(
        invented=found.invented,
        unsure=found.unsure,
        thicknesses=tuple(
            AtThickness(
                name=look.name, factors=tuple(round(one, _FACTOR_DIGITS) for one in look.factors),
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
        hides_words=_hides(found, hidden),
        against_depth=_depths(asked, bench),
    )  # fmt: skip


def _hides(found: FiredColour, hidden: bool) -> str:
    if not found.stack.coats:
        return "bare metal, with no glass on it"
    return "hides the metal" if hidden else "the metal shows through"


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


def _assumptions(found: FiredColour, asked: FiredColourInput, bench: Bench) -> tuple[str, ...]:
    words = [f"INVENTED, no measurement: {one}" for one in found.invented]
    if found.invented:
        words.append("nothing tells how sure this is until your own tiles are fitted")
    if found.unsure:
        words.append(f"nothing tells how sure this is: the curves of {', '.join(found.unsure)} do not say it")
    if asked.finish is None and asked.surface == "unknown" and asked.foil is None and asked.coats:
        words.append("how the metal is finished is not known; between a mirror and satin is taken")
    if not asked.coats:
        return tuple(words)
    words.append("even coats without bubbles, seen without the gloss of their surface")
    words.append(_band_words(found, asked))
    words.append("what firing does to a colour, such as to warm colours on bare silver, is told as cautions alone")
    words += _not_looked_at(asked, bench)
    return tuple(words)


def _band_words(found: FiredColour, asked: FiredColourInput) -> str:
    thin, _, thick = found.looks
    if asked.thin_and_thick is not None:
        return f"thin and thick are as asked: {thin.words}, {thick.words}"
    return f"thin and thick are what nine of ten of each coat lie between: {thin.words}, {thick.words}"


def _not_looked_at(asked: FiredColourInput, bench: Bench) -> list[str]:
    """Say where the cautions of the fire rest on a name, or on nothing."""
    jars = {coat.jar: jar_for(coat.jar, bench) for coat in asked.coats}
    named = dict.fromkeys(jar.name for name, jar in jars.items() if bench.find_jar(name) is None)
    silent = dict.fromkeys(
        jar.name for jar in jars.values() if jar.optics.family is None and jar.kind != "flux" and not jar.gold_bearing
    )
    words = [f"what fire does to {name} is judged by its name: it is no jar of yours" for name in named]
    if silent:
        words.append(f"no colour family is told of {', '.join(silent)}, so little of what fire does to it is known")
    return words


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
