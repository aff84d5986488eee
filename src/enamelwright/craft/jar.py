"""One enamel as bought: what is known of it, facet by facet."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from enamelwright.craft.description import (
    Attenuation,
    Density,
    Described,
    Expansion,
    Mass,
    Modulus,
    Name,
    Note,
    Temperature,
    Time,
)
from enamelwright.errors import InputError

Kind = Literal["opaque", "transparent", "opal", "flux", "counter", "ground", "liquid", "painting", "placed"]
Family = Literal[
    "clear", "white", "grey", "black", "blue", "green", "yellow", "warm yellow", "orange", "red", "pink",
    "purple", "brown", "mixed",
]  # fmt: skip
Answer = Literal["yes", "no", "mixed", "unknown"]
Hardness = Literal["soft", "medium", "hard"]

#: Colour families that turn brown or black on bare copper (common practice, no source).
WARM: frozenset[str] = frozenset({"red", "orange", "pink", "warm yellow"})


class SheetExpansion(Described):
    """An expansion number from a data sheet, with the facts that decide what it means."""

    value: Expansion = Field(description="the number as printed")
    kind: Literal["linear", "cubical", "unknown"] = "unknown"
    basis: Literal[
        "measured", "measured, range unknown", "calculated from mole factors",
        "calculated from mole factors, Appen", "calculated from weight factors",
        "unknown",
    ] = "unknown"  # fmt: skip
    low: Temperature | None = Field(None, description="lower end of the temperature range")
    high: Temperature | None = Field(None, description="upper end of the temperature range")


class GlassFacet(Described):
    """What is known of the glass itself."""

    expansion: SheetExpansion | None = None
    density: Annotated[Density, Field(gt=1000, lt=9000)] | None = None
    young: Annotated[Modulus, Field(gt=2e10, lt=1.5e11)] | None = None
    transformation: Temperature | None = Field(None, description="transformation temperature (Tg) or annealing point")
    softening: Temperature | None = Field(None, description="softening point")
    composition: dict[str, float] | None = Field(None, description="oxides in weight per cent")


class FusingFacet(Described):
    """How hot and how easily it melts."""

    low: Annotated[Temperature, Field(gt=673, lt=1373)] | None = None
    high: Annotated[Temperature, Field(gt=673, lt=1373)] | None = None
    maturity: Annotated[Temperature, Field(gt=673, lt=1373)] | None = None
    hardness: Hardness | None = None
    firings: Annotated[int, Field(ge=1, le=100)] | None = Field(None, description="firings the colour survives")
    yellows: Temperature | None = Field(None, description="above this it yellows on silver")
    turns: Annotated[Time, Field(gt=0, le=36000)] | None = Field(
        None, description="seconds at 800 C, over all firings, before its colour turns; from your own tests"
    )
    gloss_clock: Annotated[float, Field(ge=-3, le=3)] | None = Field(
        None,
        description="learned: decades of its gloss clock beyond what is taken of the jar as described; 0 as expected",
    )
    gloss_clock_sd: Annotated[float, Field(gt=0, le=2)] | None = Field(None, description="how well that is learned")


#: Bands of a fitted curve, and the numbers fitted: one a band, the scattering and the power it falls with.
BANDS_FITTED = 36
FITTED = BANDS_FITTED + 2
#: Absorption [1/m] no glass reaches; a slip of the unit.
MOST_ABSORBING = 1e9


class OpticsFacet(Described):
    """What it looks like; a fit of fired tiles adds its curves."""

    family: Family | None = None
    words: Annotated[str, Field(max_length=120)] = ""
    lab: tuple[float, float, float] | None = Field(
        None, description="Lab of a thick fired coat, daylight D65, 2 degrees"
    )
    index: Annotated[float, Field(ge=1.3, le=2.5)] | None = Field(None, description="refractive index")
    absorption: Annotated[tuple[Attenuation, ...], Field(min_length=BANDS_FITTED, max_length=BANDS_FITTED)] | None = (
        Field(None, description="K of diffuse light at 380 to 730 nm by 10 nm, fitted from tiles")
    )
    scattering: Annotated[Attenuation, Field(ge=0, le=1e7)] | None = Field(None, description="S at 550 nm, fitted")
    scattering_power: Annotated[float, Field(ge=0, le=6)] | None = Field(
        None, description="how steeply S falls with wavelength"
    )
    covariance: Annotated[tuple[tuple[float, ...], ...], Field(max_length=FITTED)] | None = Field(
        None, description="rows F of ln K at the bands, ln S and the power; their covariance is F'F"
    )
    fitted_from: Annotated[tuple[Annotated[str, Field(max_length=60)], ...], Field(max_length=400)] = Field(
        (), description="tiles behind the fit"
    )
    unseen_error: Annotated[float, Field(ge=0, le=100)] | None = Field(
        None, description="CIEDE2000 by which foretold tiles were missed, root mean square"
    )
    unseen_tiles: Annotated[int, Field(ge=0, le=100000)] = Field(0, description="how many were foretold")

    @model_validator(mode="after")
    def _whole_fit(self) -> OpticsFacet:
        if self.absorption is not None and not all(0 <= one < MOST_ABSORBING for one in self.absorption):
            raise InputError("absorption cannot be less than nothing.", "Fit the jar again.", "absorption")
        if self.covariance is not None and any(len(row) != FITTED for row in self.covariance):
            raise InputError(f"a row of the covariance needs {FITTED} numbers.", "Fit the jar again.", "covariance")
        return self


class HazardFacet(Described):
    """What can hurt, as the label or safety data sheet states it."""

    lead: Answer = "unknown"
    cadmium: Answer = "unknown"
    acid_resistant: Answer = "unknown"


class StockFacet(Described):
    """What is on the shelf."""

    grams: Annotated[Mass, Field(ge=0)] | None = None
    lot: Annotated[str, Field(max_length=60)] = ""
    washed: bool | None = None
    opened: Annotated[str, Field(max_length=40)] = ""


class Jar(Described):
    """One enamel as bought."""

    id: Annotated[str, Field(min_length=1, max_length=40)]
    name: Name
    kind: Kind
    starter: Annotated[str, Field(max_length=60)] = Field("", description="generic class that fills the gaps")
    mesh: Annotated[int, Field(ge=20, le=2000)] | None = None
    gold_bearing: bool = False
    synthetic: bool = Field(False, description="invented for a demonstration")
    note: Note = ""
    glass: GlassFacet = GlassFacet()
    fusing: FusingFacet = FusingFacet()
    optics: OpticsFacet = OpticsFacet()
    hazards: HazardFacet = HazardFacet()
    stock: StockFacet = StockFacet()

    @property
    def see_through(self) -> bool:
        """Whether light reaches what lies below it."""
        return self.kind in {"transparent", "flux", "opal"}
