"""How much scale grows on bare copper in a firing, how is it cleaned, and what does it cost in metal?"""

from __future__ import annotations

from typing import Annotated

import numpy as np
from pydantic import BaseModel, ConfigDict, Field

from enamelwright.craft import oxide_growth
from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Area, Described, Length, Temperature, Thickness, Time
from enamelwright.craft.metal import metal
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


class OxideInput(Described):
    """One firing of a bare face, or several alike."""

    metal: Annotated[str, Field(max_length=60)] = "copper"
    temperature: Temperature = Field(description="of the piece at the end, which is about the set point")
    time: Annotated[Time, Field(gt=0, le=86400)] = Field(description="in the kiln, from closing the door")
    heating_up: Annotated[Time, Field(ge=0, le=3600)] | None = Field(
        None, description="of that, until the piece is hot; about a minute when left out"
    )
    firings: Annotated[int, Field(ge=1, le=100)] = 1
    cleaned: bool = Field(True, description="whether the scale is taken off after each firing")
    area: Annotated[Area, Field(gt=0, le=10)] | None = Field(None, description="bare metal, all faces together")
    diameter: Annotated[Length, Field(gt=0, le=1)] | None = Field(None, description="of a disc with one bare face")
    thickness: Annotated[Thickness, Field(gt=0, le=0.05)] | None = Field(None, description="of the sheet")


class OxideAnswer(BaseModel):
    """Scale on the face at the end, and what it took. Figures are None for metals the law does not speak of."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    scale: Figure | None
    cleaning: str
    loosens: str
    metal_lost: Figure | None
    metal_to_waste: Figure | None
    weight_gained: Figure | None


def answer(asked: OxideInput, bench: Bench) -> Answer[OxideAnswer]:
    """Grow the scale.

    Parameters
    ----------
    asked : OxideInput
        Metal, temperature and time.
    bench : Bench
        Not used; how copper scales is the same everywhere.

    Raises
    ------
    OutOfReach
        When the metal begins to melt there.
    """
    sheet = metal(asked.metal)
    sheet.check_below_solidus(asked.temperature)
    if not oxide_growth.copper_scales(sheet):
        words = oxide_growth.why_not(sheet)
        return _told(
            asked,
            bench,
            OxideAnswer(**dict.fromkeys(OxideAnswer.model_fields) | {"cleaning": words, "loosens": ""}),
            (words,),
        )
    one = oxide_growth.oxide_band(*oxide_growth.straight_rise(asked.temperature, asked.time, asked.heating_up))
    layer, grown = oxide_growth.over_firings([one] * asked.firings, asked.cleaned)
    lost = oxide_growth.copper_lost(grown, sheet)
    area = asked.area or (np.pi * asked.diameter**2 / 4 if asked.diameter else None)
    because = [
        f"{one.shown('µm')} of Cu2O grows in one firing on clean metal, as the square root of the time at heat",
        f"{lost.shown('µm')} of metal goes into it",
    ]
    if asked.firings > 1:
        because.append(
            "cleaned each time, the loss adds up" if asked.cleaned else "left on, thicknesses add as squares"
        )
    if asked.thickness:
        because.append(f"that is {lost.value / asked.thickness:.1%} of the sheet, from each bare face")
    payload = OxideAnswer(
        scale=layer,
        cleaning=oxide_growth.cleaning_words(layer),
        loosens=oxide_growth.what_loosens(layer),
        metal_lost=lost,
        metal_to_waste=oxide_growth.metal_to_waste(grown, area) if area else None,
        weight_gained=oxide_growth.weight_gained(grown, area) if area else None,
    )
    return _told(asked, bench, payload, tuple(because))


def _told(asked: OxideInput, bench: Bench, payload: OxideAnswer, because: tuple[str, ...]) -> Answer[OxideAnswer]:
    assumptions, cautions = [], []
    if payload.scale is not None:
        assumptions.append("a piece that rises evenly and then holds; the face is bare, in air, and the layer dense")
        assumptions.append(
            "no tabulated rate for copper in air at this heat was found: the band is the least and the most of three"
        )
        if asked.heating_up is None:
            assumptions.append("about a minute of heating up")
        cautions.append("Hot scale flies: eye protection, and keep the brushings; ask where copper waste goes locally.")
        cautions.append("Quenching sheds scale from bare copper; never quench a piece that carries enamel.")
        if oxide_growth.breaks_away(asked.temperature, asked.time):
            cautions.append("So long at heat the layer cracks and grows faster than told here.")
    return Answer[OxideAnswer](
        question="oxide",
        payload=payload,
        because=because,
        sources=(payload.scale.origin.words(),) if payload.scale is not None else (),
        assumptions=tuple(assumptions),
        cautions=tuple(cautions),
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="oxide",
    words="How much scale grows on bare copper in a firing, and how is it cleaned?",
    input=OxideInput,
    output=OxideAnswer,
    answer=answer,
    example={"temperature_c": 800, "time_s": 120, "diameter_mm": 32, "thickness_mm": 0.9},
)
