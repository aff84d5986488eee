"""A fired tile with a colour read from it: what lies on what metal, how thick, and how it looked."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from enamelwright.craft.colour.tile_photo import Lab
from enamelwright.craft.description import Described, Length
from enamelwright.errors import InputError

#: How a colour was taken; it decides whether mirroring metal and the gloss of the glass are in it.
Taking = Literal["tent", "lamps at 45 degrees", "sphere with gloss", "sphere without gloss", "unknown"]
#: (what the metal mirrors: 1 bright, 0 dark; share of the gloss of the surface that is in the reading).
#: A white tent shows in the glass as it shows in the metal: both are mirrors to a camera looking straight on.
TAKEN: dict[str, tuple[float, float]] = {
    "tent": (1.0, 1.0),
    "lamps at 45 degrees": (0.0, 0.0),
    "sphere with gloss": (1.0, 1.0),
    "sphere without gloss": (0.0, 0.0),
    "unknown": (1.0, 1.0),
}


class TileCoat(Described):
    """One fired coat of a tile."""

    jar: Annotated[str, Field(min_length=1, max_length=120)]
    thickness: Annotated[Length, Field(gt=0, le=0.005)] = Field(description="of fused glass")
    weighed: bool = Field(True, description="from the weight of powder, rather than by eye")


class TileStack(Described):
    """What lies on what metal, and how it is looked at."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    metal: Annotated[str, Field(min_length=1, max_length=60)] = "copper"
    foil: Annotated[str, Field(max_length=60)] | None = None
    coats: Annotated[tuple[TileCoat, ...], Field(min_length=1, max_length=8)] = Field(
        description="from the metal outward"
    )
    taken: Taking = "tent"
    finish: Annotated[str, Field(max_length=60)] = Field("", description="name of the metal's finish; same name, same")

    def base_words(self) -> str:
        """Say what lies under the uppermost coat."""
        return "/".join([self.foil or self.metal, *(coat.jar for coat in self.coats[:-1])])


class FiredTile(TileStack):
    """A tile and its colour, by L*, a*, b* for D50 and 2 degrees or by reflectance at 36 bands."""

    lab: Lab | None = None
    reflectance: (
        Annotated[tuple[Annotated[float, Field(ge=0, le=1.5)], ...], Field(min_length=36, max_length=36)] | None
    ) = Field(None, description="at 380 to 730 nm by 10 nm")
    error: Annotated[float, Field(gt=0, le=50)] | None = Field(None, description="CIEDE2000 the reading may be off")
    photo: Annotated[str, Field(max_length=60)] = Field("", description="readings of one photo share its error")
    firings: Annotated[int, Field(ge=0, le=100)] = 0

    @model_validator(mode="after")
    def _one_reading(self) -> FiredTile:
        if (self.lab is None) == (self.reflectance is None):
            raise InputError(
                "a tile has one reading.", "Tell its L*, a*, b* or its reflectance at 36 bands.", self.name
            )
        return self
