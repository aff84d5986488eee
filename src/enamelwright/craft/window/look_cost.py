"""What one look through the door sets a piece back, in seconds of firing."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.heat_capacity import specific_heat
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_responses import look_response
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.loaded import LoadedPiece
from enamelwright.craft.window.responses import UNKNOWN
from enamelwright.craft.window.substances import metal_heat
from enamelwright.physics.chamber_loading import seconds_lost
from enamelwright.physics.constants import STEFAN_BOLTZMANN
from enamelwright.physics.viscosity import VftViscosity

#: Looks are worked out for set points this far apart [K]; what they cost changes little between.
SET_STEP = 50.0


def look_cost(kiln: Kiln, piece: LoadedPiece, set_point: float, laws: Sequence[VftViscosity]) -> float:
    """Return the seconds that one look of the usual length takes from a piece [s].

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it; for one not described the table speaks.
    piece : LoadedPiece
        What stands in it.
    set_point : float
        [K].
    laws : sequence of VftViscosity
        Of the glasses; the one that stiffens most counts.

    Raises
    ------
    OutOfReach
        When the kiln does not reach the set point.
    """
    if kiln is UNKNOWN:
        return number("look_cost")
    return cost_in(kiln, piece, set_point, laws)


def cost_in(kiln: Kiln, piece: LoadedPiece, set_point: float, laws: Sequence[VftViscosity]) -> float:
    """Return the same, worked out from how the kiln answers an open door.

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    piece : LoadedPiece
        What stands in it.
    set_point : float
        [K].
    laws : sequence of VftViscosity
        Of the glasses.

    Raises
    ------
    OutOfReach
        When the kiln does not reach the set point.
    """
    found = look_response(kiln, round(set_point / SET_STEP) * SET_STEP)
    # Decades of viscosity for each kelvin: the slope of the law at the set point.
    slope = max(law.slope / (set_point - law.pole) ** 2 for law in laws)
    return seconds_lost(found, lag_of(piece, set_point), slope)


def lag_of(piece: LoadedPiece, temperature: float) -> float:
    """Return how slowly a piece follows what it sees, e-fold [s]: its heat over the radiation of both faces.

    Parameters
    ----------
    piece : LoadedPiece
        What stands in the kiln.
    temperature : float
        [K].
    """
    metal = float(metal_heat(piece.metal)(temperature))  # type: ignore[arg-type]
    glass = float(specific_heat("glass", temperature))
    heat = piece.density * piece.thickness * metal + (piece.glass_top + piece.glass_bottom) * glass
    return heat / (4 * STEFAN_BOLTZMANN * temperature**3 * sum(piece.dark))
