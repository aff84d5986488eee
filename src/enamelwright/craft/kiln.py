"""A kiln as its owner knows it: sizes, power, control, and what was read off it; all of it may be unknown."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from enamelwright import units
from enamelwright.craft.description import (
    Described,
    Dimension,
    Length,
    Name,
    Note,
    Temperature,
    TemperatureDifference,
    Time,
)
from enamelwright.errors import InputError

Power = Annotated[float, Dimension("power", "w")]
Share = Annotated[float, Dimension("ratio", "percent")]

Lining = Literal["fibre", "brick", "muffle"]
Control = Literal["pid", "on-off", "dial"]
Door = Literal["swings aside", "drops down", "lifts away"]
Preset = Literal["fibre small", "fibre medium", "fibre large", "brick medium", "muffle small"]
Melt = Literal["silver-copper foil", "tin", "zinc", "aluminium", "silver", "gold", "copper", "other"]

#: A chamber narrower than this [m] takes no piece: the unit was mistaken.
SMALLEST_INSIDE = 0.04
#: What is assumed of a kiln about which nothing is said.
USUAL_PRESET: Preset = "fibre medium"


class Anchor(Described):
    """One comparison of the display with something that melts at a known temperature."""

    what: Melt = Field("silver-copper foil", description="what melted, or what was held against the display")
    shown: Temperature = Field(description="what the display showed, held steady")
    outcome: Literal["melting", "melted", "not melted"] = Field(
        "melting", description="seen to melt at this reading, found melted after it, or found whole after it"
    )
    true: Temperature | None = Field(None, description="where it melts; needed for 'other' only")
    true_sd: Annotated[TemperatureDifference, Field(ge=0)] | None = Field(None, description="how well that is known")
    date: Annotated[str, Field(max_length=40)] = ""
    note: Note = ""


class Kiln(Described):
    """A kiln. A field left out is not known: the preset fills in for it and the band says so."""

    name: Name
    kind: Literal["electric", "electric, no read-out", "torch"] = "electric"
    preset: Preset | None = Field(None, description="generic class whose figures stand in for what is not said")

    width: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="inside")
    depth: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="inside, door to back wall")
    height: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="inside, above the hearth")
    wall: Annotated[Length, Field(gt=0, le=0.4)] | None = Field(None, description="thickness of the lining")
    lining: Lining | None = None
    hearth_thickness: Annotated[Length, Field(gt=0, le=0.1)] | None = Field(None, description="tile on the floor")
    shelf_width: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="of what a load may stand on")
    shelf_depth: Annotated[Length, Field(gt=0, le=1.5)] | None = None

    door: Door | None = Field(None, description="which way it opens")
    door_width: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="clear opening")
    door_height: Annotated[Length, Field(gt=0, le=1.5)] | None = Field(None, description="above the shelf")
    door_open: Annotated[Time, Field(gt=0, le=600)] | None = Field(None, description="how long it stands open to load")

    power: Annotated[Power, Field(gt=0, le=30000)] | None = Field(None, description="as on its plate")
    volts: Annotated[float, Field(gt=0, le=1000)] | None = Field(None, description="measured at the socket under load")
    rated_volts: Annotated[float, Field(gt=0, le=1000)] | None = Field(None, description="on its plate")
    control: Control | None = Field(None, description="pid, on-off, or a dial without a thermostat")

    thermocouple: Literal["class 1", "class 2"] | None = None
    probe_hours: Annotated[Time, Field(ge=0)] | None = Field(None, description="hours the probe has been hot")
    probe_moved: bool = Field(False, description="pulled or pushed since it was new")
    meter_error: Annotated[TemperatureDifference, Field(ge=0)] | None = Field(None, description="limit of the meter")

    reads_low: TemperatureDifference = Field(0.0, description="how much hotter it is than it shows")
    reads_low_sd: Annotated[TemperatureDifference, Field(ge=0)] | None = None
    overshoot: Annotated[TemperatureDifference, Field(ge=0)] | None = None
    spread: Annotated[TemperatureDifference, Field(ge=0)] | None = Field(
        None, description="hottest spot above the middle"
    )
    anchors: Annotated[tuple[Anchor, ...], Field(max_length=500)] = Field(
        (), description="display against a known melt"
    )

    time_to_set: Annotated[Time, Field(gt=0, le=43200)] | None = Field(
        None, description="observed, from cold until the display first shows the set point"
    )
    time_to_set_point: Annotated[Temperature, Field(gt=673, lt=1473)] | None = Field(
        None, description="the set point that time was for"
    )
    hold_duty: Annotated[Share, Field(gt=0, le=1)] | None = Field(
        None, description="observed share of time the element is on, after two hours at heat"
    )
    hold_duty_point: Annotated[Temperature, Field(gt=673, lt=1473)] | None = Field(
        None, description="the set point that share was for"
    )
    note: Note = ""

    @property
    def speaks_degrees(self) -> bool:
        """Whether its owner can set and read degrees; else stages and looks are all that is honest."""
        return self.kind == "electric" and self.control != "dial"

    @property
    def anchored(self) -> bool:
        """Whether its display has been held against something that does not lie."""
        return bool(self.anchors) or self.reads_low_sd is not None

    def must_hold_work(self) -> None:
        """Refuse an inside into which no work goes.

        Raises
        ------
        InputError
            Naming the kiln and the side, and what to check.
        """
        for side in ("width", "depth", "height"):
            told = getattr(self, side)
            if told is not None and told < SMALLEST_INSIDE:
                raise InputError(
                    f"an inside {side} of {units.show(told, 'length', 'mm')} takes no work.",
                    "Check the unit: 240x190x150 is in mm, 24x19x15cm in cm.",
                    f"kiln {self.name}",
                )
