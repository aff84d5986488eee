"""What a maker's own fluxed coupon told of a metal: it replaces the optical tables."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from enamelwright.craft.description import Described


class MetalCoupon(Described):
    """Correction of a metal's optical table, fitted from photographs of a bare fluxed coupon."""

    metal: Annotated[str, Field(min_length=1, max_length=60)]
    gain: Annotated[float, Field(gt=0.3, lt=2)] = Field(1.0, description="factor on the reflectance of the table")
    between: Annotated[float, Field(ge=-3, le=4)] = Field(
        0.0, description="0 as the first optical table has the metal, 1 as the other one has it"
    )
    tilt: Annotated[float, Field(gt=-0.3, lt=0.3)] = Field(0.0, description="added for each 100 nm of wavelength")
    finish: Annotated[float, Field(ge=0, le=1)] | None = Field(None, description="0 mirror, 1 satin")
    fitted_from: tuple[Annotated[str, Field(max_length=60)], ...] = Field((), description="photographs behind it")
