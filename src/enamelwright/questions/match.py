"""Which stack of my jars, on which metal, comes nearest to this colour?"""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.colour_stack import ColourStack, Surface
from enamelwright.craft.colour.correction import Correction, Corrections
from enamelwright.craft.colour.eyes import closeness, difference_words, munsell_words, plain_name
from enamelwright.craft.colour.light import LIGHT_CODES, LIGHT_WORDS, USUAL, LightName, seen_under
from enamelwright.craft.colour.look import View, screen_colour
from enamelwright.craft.colour.matching import Match, Matched, match_colour
from enamelwright.craft.description import Described
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError
from enamelwright.learning.colour_tiles import alike_key
from enamelwright.physics.colour.colour_space import lab_of, untoned, xyz_of_linear_srgb
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

_HEX = re.compile(r"#?([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})")
_DIGITS = 1
_BYTE = 255


class LearnedShift(Described):
    """By how much stacks of one kind come out otherwise than foretold, as tiles of the maker teach it."""

    kind: Annotated[tuple[str, ...], Field(min_length=2, max_length=8)] = Field(
        description="the uppermost jar, the metal or foil, then how light passes what lies between"
    )
    lab: tuple[float, float, float] = Field(description="to be added to L*, a*, b*")
    sd: Annotated[float, Field(ge=0, le=50)] = Field(description="of each of the three")
    tiles: Annotated[int, Field(ge=1)] = Field(description="it was learned from")


class MatchInput(Described):
    """A colour, and what there is to make it of. Give it as Lab or as a screen colour."""

    lab: tuple[float, float, float] | None = Field(
        None, description="L*, a*, b* in daylight D65, 2 degrees: of a tile, a photo or an instrument"
    )
    screen: Annotated[str, Field(max_length=9)] | None = Field(None, description="sRGB as #rrggbb")
    choose_from: Annotated[tuple[str, ...], Field(max_length=120)] = Field(
        (), description="jars; your own with powder left when empty"
    )
    metals: Annotated[tuple[str, ...], Field(min_length=1, max_length=4)] = ("copper",)
    coats: Annotated[int, Field(ge=1, le=3)] = 3
    surface: Surface = Field("unknown", description="how the metal is finished")
    view: View = Field(
        "catching the light",
        description="how the piece is held; turned away for a colour read by lamps from the sides over shining metal",
    )
    lights: Annotated[tuple[LightName, ...], Field(min_length=1, max_length=5)] = USUAL
    jars: Annotated[tuple[Jar, ...], Field(max_length=120)] = Field((), description="jars the bench does not know")
    learned: Annotated[tuple[LearnedShift, ...], Field(max_length=600)] = Field(
        (), description="what your own tiles teach of stacks of a kind; it is added to what is foretold"
    )

    @model_validator(mode="after")
    def _one_target(self) -> MatchInput:
        if (self.lab is None) == (self.screen is None):
            raise InputError("one colour is aimed at.", "Give lab or screen, and not both.")
        if self.screen is not None and _HEX.fullmatch(self.screen.strip()) is None:
            raise InputError(f"'{self.screen[:9]}' is no screen colour.", "Write it as #2f5fa8.", "screen")
        return self

    @property
    def target(self) -> tuple[float, float, float]:
        """Lab aimed at."""
        return self.lab if self.lab is not None else lab_of_screen(self.screen or "")


def lab_of_screen(text: str) -> tuple[float, float, float]:
    """Return the Lab in daylight of a screen colour.

    Parameters
    ----------
    text : str
        As ``#rrggbb``.

    Raises
    ------
    InputError
        When it is none.
    """
    found = _HEX.fullmatch(text.strip())
    if found is None:
        raise InputError(f"'{text[:9]}' is no screen colour.", "Write it as #2f5fa8.", "screen")
    linear = untoned([int(part, 16) / _BYTE for part in found.groups()])
    light, red, yellow = lab_of(xyz_of_linear_srgb(linear), seen_under("D65").white).tolist()
    return light, red, yellow


class MatchedStack(BaseModel):
    """One stack that comes near.

    Parameters
    ----------
    stack : ColourStack
        From the metal outward.
    names : tuple of str
        Of its jars.
    lab, screen, on_screen : tuple, str, bool
        As it is meant to come out, held as asked; for a screen; whether that can show it.
    colour, munsell, differs : str
        In plain words; nearest chip; how it differs from the target.
    away : float
        CIEDE2000 as meant.
    score : float or None
        What nine of ten come within under the worst light; None where not every jar is fitted.
    by_light : dict
        That score under each light; empty without one.
    firings : int
        One a laying; a thick coat is laid and fired several times.
    risks, objections : tuple of str
        What may turn its colour; what the rules of the trade say.
    invented : tuple of str
        Jars whose colour nobody measured.
    unsure : tuple of str
        Other jars whose curves are told without how sure they are.
    learned : str
        What the maker's own tiles add to its colour; empty when nothing.
    foremost : bool
        Whether none is better in score, firings or risk without being worse in another.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    stack: ColourStack
    names: tuple[str, ...]
    lab: tuple[float, float, float]
    screen: str
    on_screen: bool
    colour: str
    munsell: str
    differs: str
    away: float
    score: float | None
    by_light: dict[LightName, float]
    firings: int
    risks: tuple[str, ...]
    objections: tuple[str, ...]
    invented: tuple[str, ...]
    unsure: tuple[str, ...]
    learned: str
    foremost: bool


class MatchAnswer(BaseModel):
    """What can be had.

    Parameters
    ----------
    target, screen, on_screen : tuple, str, bool
        Lab aimed at; for a screen; whether that can show it.
    colour, munsell : str
        In plain words; nearest chip.
    reached : bool
        Whether the stack shown first gets near, every jar of it fitted.
    words, why_first : str
        The finding in one sentence, of the stack shown first; why that stands first.
    stacks : tuple of MatchedStack
        The foremost first.
    nearest : float
        CIEDE2000 of the nearest as meant, whatever its jars rest on.
    looked_at : int
        How many stacks were looked at.
    left_out : tuple of str
        Jars whose colour nothing tells.
    measure, measure_jar : str
        The jar whose tiles would help most, and why; its id.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    target: tuple[float, float, float]
    screen: str
    on_screen: bool
    colour: str
    munsell: str
    reached: bool
    words: str
    why_first: str
    stacks: tuple[MatchedStack, ...]
    nearest: float
    looked_at: int
    left_out: tuple[str, ...]
    measure: str
    measure_jar: str


def answer(asked: MatchInput, bench: Bench) -> Answer[MatchAnswer]:
    """Look for stacks.

    Parameters
    ----------
    asked : MatchInput
        Target and what to choose from.
    bench : Bench
        Jars, with their fits, and fluxed coupons.
    """
    studio = bench.with_jars(asked.jars)
    names = asked.choose_from or tuple(jar.id for jar in asked.jars)
    found = match_colour(
        asked.target, studio, jars=names, metals=asked.metals, coats=asked.coats, surface=asked.surface,
        view=asked.view, lights=asked.lights, learned=_learned(asked, studio),
    )  # fmt: skip
    lights = ", ".join(LIGHT_WORDS[light] for light in asked.lights)
    return Answer[MatchAnswer](
        question="match",
        payload=_payload(found, studio),
        because=(
            f"{found.looked_at} stacks looked at, all that the rules of order, barrier and metal allow",
            f"the score is what nine of ten such stacks come within, under the worst of: {lights}; what the model "
            "itself misses is in it",
            LIGHT_CODES,
        ),
        sources=_sources(found),
        assumptions=_assumptions(found, asked.view),
        cautions=("A colour is judged cold; fire a tile of the stack before the piece.",),
        engine=engine(),
        bench=bench.revision,
    )


def _learned(asked: MatchInput, bench: Bench) -> Corrections:
    told = {one.kind: Correction(one.kind[0], one.lab, one.sd, one.tiles) for one in asked.learned}
    return Corrections(tuple(told.values()), lambda stack: told.get(alike_key(stack.as_tile(), bench)))


def _payload(found: Matched, bench: Bench) -> MatchAnswer:
    screen, fits = screen_colour(found.target)
    return MatchAnswer(
        target=_rounded(found.target), screen=screen, on_screen=fits, colour=plain_name(found.target),
        munsell=munsell_words(found.target), reached=found.reached, words=_words(found), why_first=_why_first(found),
        stacks=tuple(_stack(one, found, bench) for one in found.matches), nearest=round(found.nearest, _DIGITS),
        looked_at=found.looked_at, left_out=found.unknown, measure=found.because, measure_jar=found.measure,
    )  # fmt: skip


def _words(found: Matched) -> str:
    if not found.matches:
        return "The rules of the trade leave no stack of these jars."
    first = found.matches[0]
    off = f"{first.away:.1f} off"
    if found.reached and found.beyond:
        return f"No surface can quite have this colour, but a stack of yours comes near ({off})."
    if found.reached:
        return f"{_CLOSE[closeness(first.away)]} ({off})."
    if found.nearest >= limit("match/reached"):
        begin = "No surface can have this colour; nothing" if found.beyond else "Nothing"
        return f"{begin} you own gets within {int(found.nearest)} of it; the first stack is {off} as meant."
    if first.corrected is not None and not first.measured:
        return f"By what your own tiles teach the first stack is {off}; fire a tile of it before you count on that."
    if first.invented:
        return f"By invented curves the first stack is {off}; fire tiles of its jars before you count on that."
    if first.unsure:
        return f"By curves that do not say how sure they are the first stack is {off}; fire a tile of it."
    return f"The stack to count on most is {off}; those meant to come nearer are less sure."


def _why_first(found: Matched) -> str:
    """Say in one line why the first stack stands first."""
    if not found.matches:
        return ""
    first = found.matches[0]
    if first.measured:
        return "First because nine in ten such stacks come nearer than nine in ten of any other here."
    if first.corrected is not None:
        end = ", and none is meant to come nearer" if first.away <= found.nearest else ""
        return (
            f"First because your own tiles teach how such stacks come out, which makes it surer than the others{end}."
        )
    if not any(one.measured for one in found.matches):
        return "First because it is meant to come nearest; nothing tells which of these is surer."
    return "First because it is meant to come near enough to outweigh that nobody measured all its jars."


#: The finding by how close the first stack is.
_CLOSE = {
    "the same": "A stack of yours is as good as the same",
    "very close": "A stack of yours is very close",
    "visible": "A stack of yours comes near, and the difference can be seen",
    "different": "The nearest of your stacks is different",
}


def _stack(one: Match, found: Matched, bench: Bench) -> MatchedStack:
    screen, fits = screen_colour(one.lab)
    return MatchedStack(
        stack=one.stack, names=tuple(bench.jar(coat.jar).name for coat in one.stack.coats), lab=_rounded(one.lab),
        screen=screen, on_screen=fits, colour=plain_name(one.lab), munsell=munsell_words(one.lab),
        differs=difference_words(found.target, one.lab), away=round(one.away, _DIGITS),
        score=round(one.score, _DIGITS) if one.measured else None,
        by_light={light: round(far, _DIGITS) for light, far in one.by_light} if one.measured else {},
        firings=one.firings, risks=tuple(f"{risk.words} {risk.remedy}" for risk in one.risks),
        objections=tuple(each.words for each in one.objections), invented=one.invented, unsure=one.unsure,
        learned=_learned_words(one), foremost=one.foremost,
    )  # fmt: skip


def _learned_words(one: Match) -> str:
    if one.corrected is None:
        return ""
    before = tuple(mine - by for mine, by in zip(one.lab, one.corrected.lab, strict=True))
    words = difference_words(before, one.lab)
    return f"{words}: learned from {one.corrected.tiles} of your spots, give or take {one.corrected.sd:.0f}"


def _rounded(lab: tuple[float, float, float]) -> tuple[float, float, float]:
    light, red, yellow = (round(one, _DIGITS) + 0.0 for one in lab)
    return light, red, yellow


def _sources(found: Matched) -> tuple[str, ...]:
    told = [source for one in found.matches for risk in one.risks for source in risk.sources]
    return tuple(dict.fromkeys(told))


def _assumptions(found: Matched, view: View) -> tuple[str, ...]:
    invented = sorted({name for one in found.matches for name in one.invented})
    words = [f"INVENTED, no measurement: the colour of {', '.join(invented)}"] if invented else []
    if invented:
        words.append("they are placed by a spread assumed of jars nobody measured; nothing tells how sure they are")
    unsure = sorted({name for one in found.matches for name in one.unsure})
    if unsure:
        words.append(f"the curves of {', '.join(unsure)} do not say how sure they are; a spread of them is assumed")
    held = "the metal catches the light" if view == "catching the light" else "the metal is turned away from the light"
    most = units.show(limit("match/laying"), "length", "mm")
    words.append(f"each coat is weighed out; one thicker than {most} is laid and fired in parts; {held}")
    words.append("an opaque is laid thick enough to hide what is below it")
    words.append("under other lights than daylight the smoothest reflectance of the target stands for it")
    return tuple(words)


QUESTION = Question(
    name="match",
    words="Which stack of my jars, on which metal, comes nearest to this colour?",
    input=MatchInput,
    output=MatchAnswer,
    answer=answer,
    example={
        "lab": [38, -2, -36],
        "metals": ["copper", "fine silver"],
        "jars": [
            {"id": "F1", "name": "flux, hard", "kind": "flux", "fusing": {"hardness": "hard"}},
            {"id": "W1", "name": "white, hard", "kind": "opaque", "fusing": {"hardness": "hard"},
             "optics": {"family": "white"}},
            {"id": "B1", "name": "blue, medium", "kind": "transparent", "fusing": {"hardness": "medium"},
             "optics": {"family": "blue"}},
            {"id": "G1", "name": "green, medium", "kind": "transparent", "fusing": {"hardness": "medium"},
             "optics": {"family": "green"}},
        ],
    },
    long=True,
)  # fmt: skip
