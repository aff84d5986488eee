"""Read what a maker prints about a glass: expansion and firing range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from enamelwright import units
from enamelwright.craft.glass_model import normal_figure
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader

ExpansionKind = Literal["linear", "cubical", "unknown"]
Basis = Literal[
    "measured", "measured, range unknown", "calculated from mole factors",
    "calculated from mole factors, Appen", "calculated from weight factors", "unknown",
]  # fmt: skip

_CUBICAL = 3.0  # a solid expands three times as much in volume as in length


@dataclass(frozen=True)
class SheetNumber:
    """A number of a data sheet turned into a figure, and what was done to it.

    Attributes
    ----------
    figure : Figure
        Linear expansion [1/K].
    sd : float
        One standard deviation [1/K].
    caution : str
        What was done or doubted; empty when nothing.
    """

    figure: Figure
    sd: float
    caution: str = ""


def expansion_from_sheet(
    value: float,
    kind: ExpansionKind,
    unit: str = "1/K",
    basis: Basis = "unknown",
    low: float | None = None,
    high: float | None = None,
) -> SheetNumber:
    """Turn a printed expansion into a linear one with its uncertainty.

    Parameters
    ----------
    value : float
        As printed.
    kind : str
        ``linear``, ``cubical`` (volume, three times linear) or ``unknown``.
    unit : str
        A unit of expansion; SI by default.
    basis : str
        How it was come by. A measured value is known to 0.3 ppm/K with its range, 0.5 without; one
        calculated with old weight factors reads about 1 ppm/K low.
    low, high : float, optional
        Temperature range [K] of a measurement.

    Raises
    ------
    InputError
        When the kind is unknown, or the number is impossible for its kind. A value that only a
        cubical expansion can have is never taken as linear.
    """
    number = units.to_si(value, unit, "expansion")
    shown = f"{units.from_si(number, 'e-7/K', 'expansion'):.0f}e-7/K"
    lowest, highest = (loader.value(f"trade/expansion_{end}") for end in ("linear_lowest", "cubical_from"))
    if kind == "unknown":
        raise InputError(
            f"the expansion {shown} is neither called linear nor cubical.",
            "Say which; the data sheet or the supplier knows. Until then the number is not used.",
        )
    if kind == "linear" and number >= highest:
        raise InputError(
            f"{shown} cannot be a linear expansion of an enamel.",
            f"It looks cubical, which would be {_ppm(number / _CUBICAL):.1f} ppm/K linear: say cubical."
            if number <= loader.value("trade/expansion_cubical_to")
            else "Check the number and its unit.",
        )
    linear = number / _CUBICAL if kind == "cubical" else number
    if not lowest <= linear < highest:
        raise InputError(
            f"{shown} {kind} cannot be the expansion of an enamel.",
            "It looks linear: check the kind." if kind == "cubical" and number < highest else "Check the unit.",
        )
    if basis == "measured" and (low is None or high is None):
        basis = "measured, range unknown"
    row = _basis(basis)
    add = units.to_si(float(row["add"]), row["unit"], "expansion")
    sd = units.to_si(float(row["sd"]), row["unit"], "expansion")
    caution = ""
    if basis == "unknown":
        caution = "How the expansion was come by is unknown: its band is wide."
    elif row["note"]:
        caution = f"The expansion was {basis}: such numbers are shifted by {_ppm(add):+.1f} ppm/K here."
    origin = Origin(kind="data sheet", source=basis, status=row["status"])
    return SheetNumber(normal_figure(linear + add, sd, "expansion", origin), sd, caution)


def _ppm(expansion: float) -> float:
    return units.from_si(expansion, "ppm/K", "expansion")


def _basis(name: str) -> loader.Row:
    return next(row for row in loader.rows("glass/expansion_basis") if row["basis"] == name)


@dataclass(frozen=True)
class FuseEstimate:
    """Viscosity points read from a printed firing range.

    Attributes
    ----------
    isokom_3_5, isokom_12, isokom_6_6 : Figure
        Temperatures [K].
    sd : mapping of str to float
        One standard deviation of each [K].
    """

    isokom_3_5: Figure
    isokom_12: Figure
    isokom_6_6: Figure
    sd: Mapping[str, float]


def points_from_fuse_range(low: float, high: float, window: str) -> FuseEstimate:
    """Guess viscosity points from a firing range; a short gloss firing is near 10^3.5 Pa s.

    Parameters
    ----------
    low, high : float
        Printed range [K].
    window : str
        ``leaded``, ``lead_free`` or ``titania``.

    Raises
    ------
    InputError
        When the range runs backwards.
    """
    if not low <= high:
        raise InputError("a firing range runs from the lower to the higher temperature.")
    middle = (low + high) / 2
    sd = {"isokom_3_5": ((high - low) ** 2 / 4 + loader.value("glass/fuse_range_sd") ** 2) ** 0.5}
    centre = {"isokom_3_5": middle}
    for wanted, label in (("isokom_12", "isokom_12"), ("isokom_4", "isokom_4"), ("isokom_6.6", "isokom_6_6")):
        row = next(
            row for row in loader.rows("glass/fuse_offsets") if row["window"] == window and row["wanted"] == wanted
        )
        known = row["known"].replace("isokom_3.5", "isokom_3_5")
        centre[label] = centre[known] + float(row["offset"])
        sd[label] = (sd[known] ** 2 + float(row["sd"]) ** 2) ** 0.5
    origin = Origin(kind="data sheet", source="firing range", status="computed")
    figures = {
        name: normal_figure(centre[name], sd[name], "temperature", origin)
        for name in ("isokom_3_5", "isokom_12", "isokom_6_6")
    }
    return FuseEstimate(**figures, sd=sd)
