"""When is the glass solid, when may I touch the piece, and when may I judge its colour?"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft.bench import Bench
from enamelwright.craft.cooling_times import CoolingTimes, HotPiece, leaving, times_of, told
from enamelwright.craft.description import Area, Described, Length, Temperature, Thickness
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.metal import metal
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine
from enamelwright.reference.loader import fact

#: Share by which a stated rim may fall short of a circle's through rounding of what was typed.
ROUNDING = 0.01


class CoolingInput(Described):
    """A piece as it comes out of the kiln."""

    metal: Annotated[str, Field(max_length=60)] = "copper"
    thickness: Annotated[Thickness, Field(gt=0, le=0.02)] = Field(description="of the sheet")
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = Field(None, description="of a disc; or give area and rim")
    area: Annotated[Area, Field(gt=0, le=1)] | None = Field(None, description="of one face")
    perimeter: Annotated[Length, Field(gt=0, le=10)] | None = Field(None, description="round that face")
    front_glass: Annotated[Length, Field(ge=0, le=0.01)] | None = Field(None, description="fired; 0 for bare")
    back_glass: Annotated[Length, Field(ge=0, le=0.01)] | None = Field(None, description="fired; 0 for bare")
    jars: Annotated[tuple[str, ...], Field(max_length=20)] = Field(
        ("lead_free_opaque_titania_medium",), description="glasses on it; the one that sets last decides"
    )
    set_point: Temperature | None = Field(None, description="of the kiln; about 790 C when left out")
    surroundings: Temperature | None = Field(None, description="of what the piece lies over; a room when left out")


class CoolingAnswer(BaseModel):
    """Seconds after leaving the kiln; None for what never comes or what the piece has not."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    level: Figure | None
    solid: Figure | None
    past_red: Figure | None
    edge: Figure | None
    touch: Figure | None
    colour: Figure | None
    steps: tuple[str, ...]


def answer(asked: CoolingInput, bench: Bench) -> Answer[CoolingAnswer]:
    """Let the piece cool in still air.

    Parameters
    ----------
    asked : CoolingInput
        Its body, its glass and how hot it was.
    bench : Bench
        Jars.

    Raises
    ------
    InputError
        When its size is not clear.
    OutOfReach
        When the metal begins to melt at that setting.
    """
    sheet = metal(asked.metal)
    out = leaving(asked.set_point)
    sheet.check_below_solidus(out.value)
    area, rim = _face(asked)
    glasses = tuple(glass_of(bench.jar(name)) for name in asked.jars)
    usual = fact("trade/practice_glass").value / 2
    depths = [usual if depth is None else depth for depth in (asked.front_glass, asked.back_glass)]
    if max(depths) > 0 and not glasses:
        raise InputError("glass without a jar does not say when it sets.", "Name a jar.")
    density = max((glass.density.value for glass in glasses), default=0.0)
    piece = HotPiece(
        metal=sheet,
        thickness=asked.thickness,
        area=area,
        perimeter=rim,
        glass=(depths[0] * density, depths[1] * density),
        glasses=glasses if max(depths) > 0 else (),
        out=out,
    )
    found: CoolingTimes = times_of(piece, asked.surroundings)
    assumptions = ["both faces free in still air, as on a rack; on a bench or a warm support it takes longer"]
    if asked.set_point is None:
        assumptions.append("an ordinary setting of the kiln")
    if None in (asked.front_glass, asked.back_glass):
        assumptions.append("ordinary coats where none is told")
    because = [f"the piece leaves the kiln at {out.shown('°C')}"]
    if piece.glasses:
        because.append("glass takes no print once it is thicker than a touch can move, and is solid at its setting")
    return Answer[CoolingAnswer](
        question="cooling",
        payload=CoolingAnswer(**vars(found), steps=found.steps()),
        because=tuple(because),
        sources=tuple(told(key).origin().words() for key in ("glow_end", "edge_touch", "touch", "judge_colour")),
        assumptions=tuple(assumptions),
        cautions=(
            "A piece that no longer glows burns the skin for minutes: tongs, gloves and a place nobody reaches for.",
            "How long skin may touch hot things is set by standards and local rules, not by this table.",
        ),
        engine=engine(),
        bench=bench.revision,
    )


def _face(asked: CoolingInput) -> tuple[float, float]:
    """Return area and rim of one face."""
    if (asked.diameter is None) == (asked.area is None):
        raise InputError("the size is not clear.", "Give either diameter_mm or area_cm2.")
    if asked.diameter is not None:
        return np.pi * asked.diameter**2 / 4, np.pi * asked.diameter
    area = asked.area or 0.0
    round_one = 2 * float(np.sqrt(np.pi * area))
    if asked.perimeter is not None and asked.perimeter < round_one * (1 - ROUNDING):
        raise InputError("no face of that area has so short a rim.", "Check area and perimeter.")
    return area, asked.perimeter or round_one


QUESTION = Question(
    name="cooling",
    words="When is the glass solid, when may I touch the piece, and when may I judge its colour?",
    input=CoolingInput,
    output=CoolingAnswer,
    answer=answer,
    example={"thickness_mm": 0.9, "diameter_mm": 32, "front_glass_mm": 0.2, "back_glass_mm": 0.2, "set_point_c": 800},
)
