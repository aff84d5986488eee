"""How hot and how long for this piece in this kiln; what setting gives a stage in a wanted time; what if?"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.clearance import clearance
from enamelwright.craft.coat import Method, Stage
from enamelwright.craft.description import Described, Length, Temperature, TemperatureDifference, Thickness, Time
from enamelwright.craft.hottest import heat_of
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.piece import Piece, Support
from enamelwright.craft.weights import weigh
from enamelwright.craft.window.inverse import set_point_for, stage_after, usual_setting
from enamelwright.craft.window.look_plan import clock
from enamelwright.craft.window.window import windows_at, windows_for
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

CAUTIONS = (
    "Glasses rated for infrared and long heat-resistant gloves at the open door; the piece stays hot long after it "
    "looks cold.",
)


class WindowInput(Described):
    """A piece of sheet with one coat to melt, a support, a kiln, and what is asked of them."""

    jar: Annotated[str, Field(max_length=120)] = "lead_free_opaque_titania_medium"
    metal: Annotated[str, Field(min_length=1, max_length=60)] = "copper"
    thickness: Annotated[Thickness, Field(gt=0.00005, le=0.012)] = 0.0009
    diameter: Annotated[Length, Field(ge=0.005, le=0.5)] = 0.032
    dome: Length = 0.0
    coat: Annotated[Length, Field(gt=0, le=0.005)] = Field(0.0002, description="fused glass of the coat that melts")
    under: Annotated[Length, Field(ge=0, le=0.005)] = Field(0.0, description="fused glass already under it")
    back: Annotated[Length, Field(ge=0, le=0.005)] = Field(0.0, description="fused glass on the back")
    method: Method = "sift"
    mesh: Annotated[int, Field(ge=20, le=2000)] | None = 80
    support: Support = "mesh"
    target: Stage = "gloss"
    kiln: Kiln | None = Field(None, description="a kiln described here; the bench's own when left out")
    pieces: Annotated[int, Field(ge=1, le=100)] = Field(1, description="how many go in together")
    set_point: Annotated[Temperature, Field(gt=673, lt=1473)] | None = Field(
        None, description="on the kiln's display; the usual one when left out"
    )
    seconds: Annotated[Time, Field(gt=0, le=7200)] | None = Field(
        None, description="alone: which setting gives the target in this time; with a set point: what it will look like"
    )
    reads_high: TemperatureDifference = Field(0.0, description="what if the kiln shows so much more than it has")

    @model_validator(mode="after")
    def _asked_well(self) -> WindowInput:
        if self.support == "torch ring" or (self.kiln is not None and self.kiln.kind == "torch"):
            raise InputError("a torch has no window of degrees and seconds.", "Fire by the stage you see.", "support")
        if self.target == "powder":
            raise InputError("powder needs no firing.", "Ask for sugar, orange peel, gloss or cleared.", "target")
        return self


class WindowAnswer(BaseModel):
    """The window, the setting asked for, and what it looks like after a given time."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    window: Window
    set_point: Figure | None = None
    stage_then: str = ""


def answer(asked: WindowInput, bench: Bench) -> Answer[WindowAnswer]:
    """Work out a window, or turn the question round.

    Parameters
    ----------
    asked : WindowInput
        Piece, kiln and what is wanted.
    bench : Bench
        Jars, kilns, house rules.
    """
    studio = bench if asked.kiln is None else bench.model_copy(update={"kilns": (asked.kiln,)})
    layup, firing = _built(asked, studio)
    weights = weigh(layup, studio)
    more: dict[str, Any] = {"extra": -asked.reads_high, "pieces": asked.pieces}
    point, then, because = None, "", []
    if asked.set_point is None and asked.seconds is not None:
        point = set_point_for(asked.seconds, firing, layup, studio, weights, **more)
        because.append(f"{asked.target} after {clock(asked.seconds)}: set {_both(point.value)}")
        at: float | None = point.value
    else:
        usual = usual_setting(firing, layup, studio, weights)
        at = asked.set_point if asked.set_point is not None else usual.value if usual is not None else None
    if at is None or not _degrees(studio):
        window = windows_for((firing,), layup, studio, weights, **more)[0]
    else:
        layup.metal.check_below_solidus(at)
        window = windows_at((at,), firing, layup, studio, weights, **more, longest=asked.seconds or 0.0)[0]
    if asked.set_point is not None and asked.seconds is not None and window.stages:
        then = _then(window, asked.seconds)
        because.append(f"after {clock(asked.seconds)}: {then}")
    if asked.reads_high:
        because.append(f"the kiln taken {asked.reads_high:.0f} °C cooler than it shows")
    hot = _melting(window, firing, layup, studio)
    tight = clearance(layup, asked.support, studio.kiln(), 1)
    looks = (window.looks.words,) if window.looks is not None else ()
    return Answer[WindowAnswer](
        question="window",
        payload=WindowAnswer(window=window, set_point=point, stage_then=then),
        because=(*because, *window.because, *looks),
        sources=window.sources,
        assumptions=window.assumptions,
        cautions=(*hot, *(f"{one.words} {one.remedy}".strip() for one in tight if one.counts), *CAUTIONS),
        engine=engine(),
        bench=bench.revision,
    )


def _melting(window: Window, firing: Firing, layup: Layup, bench: Bench) -> tuple[str, ...]:
    """Say whether the metal may begin to melt at the hottest the piece may get, as a plan would."""
    heat = heat_of(firing.model_copy(update={"window": window}), layup.piece, bench)
    if heat is None:
        return ()
    level = heat.reaches(layup.metal.solidus.value)
    if not level:
        return ()
    melts, likely, hottest = (
        _both(kelvin) for kelvin in (layup.metal.solidus.value, heat.piece.value, heat.piece.high)
    )
    does, remedy = {
        "stop": ("Stop: at this setting the metal is likely to melt", "Set it lower, or use another metal."),
        "watch": ("At this setting the metal may melt", "Check the kiln with a melt test, or set it lower."),
    }[level]
    return (
        f"{does}: {layup.metal.name} begins to melt at {melts}; the piece is worked out at {likely}, "
        f"{hottest} at the hottest. {remedy}",
    )


def _degrees(bench: Bench) -> bool:
    kiln = bench.kiln()
    return kiln is None or kiln.speaks_degrees


def _both(kelvin: float) -> str:
    celsius, fahrenheit = (round(units.from_si(kelvin, scale, "temperature")) for scale in ("°C", "°F"))
    return f"{celsius} °C ({fahrenheit} °F)"


def _then(window: Window, seconds: float) -> str:
    earliest, likely, latest = stage_after(window, seconds)
    others = [stage for stage in dict.fromkeys((earliest, latest)) if stage != likely]
    return f"likely {likely}" + (f", it may be {' or '.join(others)}" if others else "")


def _built(asked: WindowInput, bench: Bench) -> tuple[Layup, Firing]:
    """Lay up the piece and describe its one firing."""
    jar = bench.jar(asked.jar)
    coats: list[dict[str, Any]] = []
    for face, metres in (("back", asked.back), ("front", asked.under)):
        if metres:
            coats.append({"face": face, "jar": jar.id, "fired_thickness": f"{metres} m", "fired": True})
    coats.append(
        {"face": "front", "jar": jar.id, "fired_thickness": f"{asked.coat} m", "method": asked.method}
        | ({"mesh": asked.mesh} if asked.mesh is not None else {})
    )
    piece = Piece.from_outside(
        {
            "format": 1,
            "name": "piece asked about",
            "metal": {"kind": asked.metal, "thickness": f"{asked.thickness} m"},
            "outline": {"shape": "circle", "diameter": f"{asked.diameter} m"},
            "dome": f"{asked.dome} m",
            "coats": coats,
        }
    )
    last = len(coats) - 1
    firing = Firing(
        number=1,
        fuses=(last,),
        lays=(last,),
        reheats=tuple(range(last)),
        loaded="front",
        face_up="front",
        support=asked.support,
        rests_on="rim",
        target=asked.target,
    )
    return lay_up(piece, bench), firing


QUESTION = Question(
    name="window",
    words="How hot and how long for this piece in this kiln, and what if?",
    input=WindowInput,
    output=WindowAnswer,
    answer=answer,
    example={"diameter_mm": 32, "thickness_mm": 0.9, "set_point_c": 800},
)
