"""One coat as the maker lays it: where, of which jar, how much, how."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from enamelwright.craft.description import Described, Length, Mass, Note, Temperature, Time
from enamelwright.errors import InputError

Face = Literal["front", "back"]
Stage = Literal["powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"]
STAGES: tuple[Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")
Method = Literal["sift", "wet-pack", "slip", "spray", "paint", "trail", "place"]
Look = Literal["thin", "just hidden", "heavy"]


class HoldingAgent(Described):
    """What keeps the powder where it was laid."""

    kind: Literal["gum", "oil", "none", "other"] = "gum"
    ratio: Annotated[float, Field(ge=0, le=5)] | None = Field(None, description="parts of gum to one of water")


class Coat(Described):
    """One coat. Give one amount at the most; with none the technique's ordinary amount is assumed."""

    face: Face
    jar: Annotated[str, Field(min_length=1, max_length=120)]
    cells: tuple[str, ...] = Field((), description="cells it fills; empty means the whole face")
    share: Annotated[float, Field(gt=0, le=1)] | None = Field(None, description="part of the face it covers")
    weight: Annotated[Mass, Field(gt=0, le=1)] | None = Field(None, description="powder weighed out per piece")
    powder_depth: Annotated[Length, Field(gt=0, le=0.01)] | None = None
    fired_thickness: Annotated[Length, Field(gt=0, le=0.005)] | None = None
    siftings: Annotated[int, Field(ge=1, le=20)] | None = None
    look: Look | None = None
    fill: Literal["to level"] | None = None
    times: Annotated[int, Field(ge=1, le=40)] = Field(1, description="laid and fired this many times")
    method: Method = "sift"
    mesh: Annotated[int, Field(ge=20, le=2000)] | None = None
    hold: HoldingAgent | None = None
    dried: Annotated[Time, Field(ge=0)] | None = None
    target: Stage | None = Field(None, description="stage to stop at; planned when left out")
    with_previous: bool = Field(False, description="fired together with the coat listed before it")
    colour: Annotated[str, Field(max_length=120)] = Field("", description="the colour wanted, in words")
    scratched: bool = Field(False, description="scratched through before firing")
    stencil: bool = False
    stone_after: bool = Field(False, description="stoned flat once fired")
    cap: Annotated[Temperature, Field(gt=373)] | None = Field(
        None, description="should never be fired hotter than this again"
    )
    set: Annotated[Temperature, Field(gt=673, lt=1473)] | None = Field(None, description="the maker's own set point")
    seconds: Annotated[Time, Field(gt=0, le=3600)] | None = None
    fired: bool = Field(False, description="already on the piece")
    note: Note = ""

    @model_validator(mode="after")
    def _one_amount(self) -> Coat:
        given = [name for name in AMOUNTS if getattr(self, name) is not None]
        if len(given) > 1:
            raise InputError(f"{' and '.join(given)} both say how much.", "Keep one amount.")
        return self

    @property
    def amount_words(self) -> str:
        """Say which way the amount was given."""
        for name in AMOUNTS:
            if getattr(self, name) is not None:
                return name
        return ""


#: The ways an amount may be given.
AMOUNTS = ("weight", "powder_depth", "fired_thickness", "siftings", "look", "fill")
