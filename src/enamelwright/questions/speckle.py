"""Will a mix of powders look speckled, and what colour does it make from far away?"""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.colour_stack import StackCoat
from enamelwright.craft.colour.eyes import munsell_words, plain_name
from enamelwright.craft.colour.look import screen_colour
from enamelwright.craft.colour.mixed_powder import Mixed, mixed_powder
from enamelwright.craft.description import Described, Length
from enamelwright.craft.jar import Jar
from enamelwright.craft.sieve import grain_of_mesh
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class Part(Described):
    """One powder of a mix."""

    jar: Annotated[str, Field(min_length=1, max_length=120)]
    parts: Annotated[float, Field(gt=0, le=1e6)] = Field(1.0, description="by weight")


class SpeckleInput(Described):
    """A mix, how thick it is fired, and what it lies on."""

    mix: Annotated[tuple[Part, ...], Field(min_length=2, max_length=6)]
    thickness: Annotated[Length, Field(gt=0.00001, le=0.005)] = Field(description="fired")
    grain: Annotated[Length, Field(gt=0.000001, le=0.002)] | None = Field(None, description="median of the powder")
    mesh: Annotated[int, Field(ge=20, le=500)] | None = Field(
        None, description="sieve it passed; its opening is the most a grain can be"
    )
    metal: Annotated[str, Field(max_length=60)] = "copper"
    under: Annotated[tuple[StackCoat, ...], Field(max_length=12)] = Field((), description="coats below, metal first")
    distance: Annotated[Length, Field(gt=0.02, le=10)] | None = Field(None, description="from which it is looked at")
    jars: Annotated[tuple[Jar, ...], Field(max_length=60)] = Field((), description="jars the bench does not know")

    @model_validator(mode="after")
    def _one_grain(self) -> SpeckleInput:
        if (self.grain is None) == (self.mesh is None):
            raise InputError("one number says how coarse the powder is.", "Give grain or mesh, and not both.")
        return self


class Looks(BaseModel):
    """One colour, in daylight."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    lab: tuple[float, float, float]
    screen: str
    on_screen: bool
    colour: str
    munsell: str


class Fleck(BaseModel):
    """Columns of one jar alone, and the part of the face they take up."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    jar: str
    by_volume: Figure
    of_the_face: Figure
    looks: Looks


class SpeckleAnswer(BaseModel):
    """How the mix looks.

    Parameters
    ----------
    speckled : bool
        Whether it will look speckled from that distance.
    words : str
        The finding in one sentence.
    from_afar, dissolved : Looks
        The mean of its specks; the same powders melted into one even glass, for contrast.
    flecks : tuple of Fleck
        Each jar by itself.
    scatter : float
        CIEDE2000 of the specks about their mean.
    grain : Figure
        Taken for the median grain.
    grain_angle : Figure
        Of a grain in the eye.
    grains_deep : int
        Grains one over the other.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    speckled: bool
    words: str
    from_afar: Looks
    dissolved: Looks
    flecks: tuple[Fleck, ...]
    scatter: float
    grain: Figure
    grain_angle: Figure
    grains_deep: int


def answer(asked: SpeckleInput, bench: Bench) -> Answer[SpeckleAnswer]:
    """Mix the powders.

    Parameters
    ----------
    asked : SpeckleInput
        Powders, thickness, grain and ground.
    bench : Bench
        Jars, with their fits, and fluxed coupons.
    """
    studio = bench.with_jars(asked.jars)
    grain = asked.grain if asked.grain is not None else grain_of_mesh(asked.mesh or 0)
    found = mixed_powder(
        [one.jar for one in asked.mix], [one.parts for one in asked.mix], asked.thickness, grain, studio,
        metal=asked.metal, under=asked.under, distance=asked.distance,
    )  # fmt: skip
    return Answer[SpeckleAnswer](
        question="speckle",
        payload=_payload(asked, found, grain),
        because=(
            "parts by weight become parts by volume through the density of each glass",
            f"columns as wide as a grain, {found.deep} deep, in every order; from afar the eye takes the mean of what "
            "they reflect",
            f"the specks lie {found.rms:.0f} CIEDE2000 about their mean",
        ),
        assumptions=_assumptions(asked, found),
        engine=engine(),
        bench=bench.revision,
    )


def _payload(asked: SpeckleInput, found: Mixed, grain: float) -> SpeckleAnswer:
    told = Origin(kind="computed", source="columns of flattened grains", status="assumption")
    named = Origin(kind="measured", source="as told") if asked.grain is not None else Origin(
        kind="reference", source=f"opening of {asked.mesh} mesh, the most a grain can be"
    )  # fmt: skip
    return SpeckleAnswer(
        speckled=found.speckled,
        words=_words(found),
        from_afar=_looks(found.mean),
        dissolved=_looks(found.dissolved),
        flecks=tuple(
            Fleck(jar=one.jar, by_volume=Figure.exact(share, "ratio", told),
                  of_the_face=Figure.exact(part, "ratio", told), looks=_looks(lab))
            for one, share, (lab, part) in zip(asked.mix, found.shares, found.flecks, strict=True)
        ),
        scatter=round(found.rms, 1),
        grain=Figure.exact(grain, "length", named),
        grain_angle=Figure.exact(found.angle, "angle", told),
        grains_deep=found.deep,
    )  # fmt: skip


def _words(found: Mixed) -> str:
    afar = plain_name(found.mean)
    if found.speckled:
        return f"It will look speckled; from far away it is {afar}."
    if found.angle > limit("speckle/sharp_eye"):
        return f"Its grains can be seen, and hardly differ: it looks {afar}."
    return f"Fine grain: the eye mixes it to {afar}."


def _looks(lab: tuple[float, float, float]) -> Looks:
    screen, fits = screen_colour(lab)
    light, red, yellow = (round(one, 1) + 0.0 for one in lab)
    return Looks(
        lab=(light, red, yellow), screen=screen, on_screen=fits, colour=plain_name(lab), munsell=munsell_words(lab)
    )


def _assumptions(asked: SpeckleInput, found: Mixed) -> tuple[str, ...]:
    words = [f"INVENTED, no measurement: the colour of {', '.join(found.invented)}"] if found.invented else []
    words.append("a fused grain is six tenths of its height; one photo of a mix would tell better")
    if asked.mesh is not None:
        words.append("the opening of the sieve is the most a grain can be; most are finer")
    if asked.distance is None:
        words.append("looked at from 300 mm")
    words.append("light does not stray sideways between grains, so very fine grain looks evener still")
    return tuple(words)


QUESTION = Question(
    name="speckle",
    words="Will a mix of powders look speckled, and what colour does it make from far away?",
    input=SpeckleInput,
    output=SpeckleAnswer,
    answer=answer,
    example={
        "mix": [{"jar": "opaque white"}, {"jar": "opaque black"}],
        "thickness_mm": 0.2,
        "grain_mm": 0.18,
        "metal": "copper",
        "under": [{"jar": "opaque white", "thickness_mm": 0.15}],
    },
)
