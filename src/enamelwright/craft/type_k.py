"""The thermocouple of a small kiln, type K, from the reference tables."""

from __future__ import annotations

from functools import lru_cache

from enamelwright import units
from enamelwright.physics.thermocouple import ReferenceFunction
from enamelwright.reference import loader


@lru_cache(maxsize=1)
def type_k() -> ReferenceFunction:
    """Return the reference function of type K, in volts and kelvin."""

    def column(part: str) -> list[loader.Row]:
        found = [row for row in loader.rows("heat/type_k") if row["part"] == part]
        return sorted(found, key=lambda row: int(row["term"]))

    def volts(part: str) -> tuple[float, ...]:
        return tuple(units.to_si(float(row["coefficient"]), row["unit"], "voltage") for row in column(part))

    height, width, middle = column("exponential")
    low, high = (units.to_si(float(row["coefficient"]), row["unit"], "temperature") for row in column("reach"))
    return ReferenceFunction(
        cold=volts("cold"),
        warm=volts("warm"),
        # The formula is written in degrees Celsius, and so is its middle.
        exponential=(
            units.to_si(float(height["coefficient"]), height["unit"], "voltage"),
            float(width["coefficient"]),
            float(middle["coefficient"]),
        ),
        reach=(low, high),
    )
