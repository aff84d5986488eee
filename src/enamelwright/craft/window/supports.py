"""What a piece rests on, as the heat sees it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from enamelwright import units
from enamelwright.craft.piece import Support
from enamelwright.errors import HouseError
from enamelwright.reference import loader


@dataclass(frozen=True)
class SupportHeat:
    """A support of ordinary size for one piece.

    Attributes
    ----------
    mass, area : float
        [kg], on all sides [m2].
    emissivity, view : float
        Of its surface; share of the sight of the lower face it fills.
    load : str
        ``mesh`` or ``plate``: which class of load it counts as.
    share : float
        Its mass over that of the smallest of its kind, which the class stands for.
    material : str
        Of the table of specific heats.
    """

    mass: float
    area: float
    emissivity: float
    view: float
    load: str
    share: float
    material: str


@cache
def support_heat(support: Support, across: float, mass: float | None = None) -> SupportHeat:
    """Return the usual support of a kind for a piece of some size.

    Between the rows of the table straight lines are drawn; beyond its ends mass and area grow with the square
    of the size.

    Parameters
    ----------
    support : str
        What it rests on.
    across : float
        Longest measure of the piece [m].
    mass : float, optional
        Weighed mass of the support [kg]; its area is scaled along.

    Raises
    ------
    HouseError
        When the table does not know the support.
    """
    found = [row for row in loader.rows("heat/supports") if row["support"] == support]
    if not found:
        raise HouseError(f"no heat of a {support} is recorded.", "Install the program again.")
    sizes = [units.to_si(float(row["across"]), row["across_unit"], "length") for row in found]
    beyond = max(1.0, across / sizes[-1]) ** 2

    def between(name: str, unit: str, dimension: str) -> float:
        values = [units.to_si(float(row[name]), row[unit], dimension) for row in found]
        return float(np.interp(across, sizes, values)) * beyond

    usual, area = between("mass", "mass_unit", "mass"), between("area", "area_unit", "area")
    scale = 1.0 if mass is None else mass / usual
    near = min(range(len(sizes)), key=lambda n: abs(sizes[n] - across))
    row = found[near]
    smallest = units.to_si(float(found[0]["mass"]), found[0]["mass_unit"], "mass")
    return SupportHeat(
        mass=usual * scale,
        area=area * scale,
        emissivity=float(row["emissivity"]),
        view=float(row["view"]),
        load=row["load"],
        share=usual * scale / smallest,
        material=row["material"],
    )
