"""The ordinary disc that thresholds of jars are told for: a small copper disc, one coat, on mesh.

It is heated once over a ladder of set points; every jar's viscosity is then followed along those traces.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.craft.kiln_responses import response_for
from enamelwright.craft.metal import metal
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.loaded import LoadedPiece
from enamelwright.craft.window.members import Batch, KilnDraws, Loose, heat_batch
from enamelwright.craft.window.responses import UNKNOWN
from enamelwright.craft.window.supports import support_heat
from enamelwright.physics.viscosity import VftViscosity

Array = npt.NDArray[np.float64]

#: Set points of the ladder [°C]: from under the softest to over the hardest enamel.
LADDER = (600.0, 640.0, 680.0, 720.0, 760.0, 800.0, 840.0, 880.0, 920.0, 960.0, 1000.0)
#: Members of the reference call: the nominal kiln alone.
ALONE = 0
#: A law to follow while only temperatures are wanted: log10 of the viscosity at infinite heat, slope [K], pole [K].
ANY_LAW = VftViscosity(-4.0, 3800.0, 514.0)
#: Points a second on which the clock is summed.
FINE = 4


def base_piece() -> LoadedPiece:
    """Return the ordinary disc."""
    sheet, diameter = number("base_sheet"), number("base_diameter")
    copper = metal("copper")
    return LoadedPiece(
        metal="copper",
        area=math.pi * diameter**2 / 4,
        edge_area=math.pi * diameter * sheet,
        length=diameter / 4,
        density=copper.density.value,
        thickness=sheet,
        glass_top=number("base_coat") * number("melt_density"),
        glass_bottom=0.0,
        bright=(number("surface_emissivity"), number("bare_bright")),
        dark=(number("surface_emissivity"), number("bare_dark")),
        mouth=(1.0, 1.0),
        support=support_heat("mesh", diameter),
        grows=True,
        bare=("back",),
    )


@lru_cache(maxsize=1)
def _traces() -> tuple[Array, Array, Array]:
    """Return set points [K], times [s] and temperatures of the piece (set points, times) [K]."""
    points = np.array([units.to_si(one, "°C", "temperature") for one in LADDER])
    piece = base_piece()
    loose = Loose(top=piece.glass_top, grain=number("base_grain"))
    batch = [
        Batch(piece, response_for(UNKNOWN, float(point), "mesh"), float(point), (ANY_LAW,), loose=loose)
        for point in points
    ]
    trace = heat_batch(batch, KilnDraws.of(UNKNOWN, ALONE), number("longest"))
    return points, trace.times, trace.piece


def base_clock(law: VftViscosity, set_point: float, seconds: float) -> float:
    """Return log10 of the clock [1/Pa] a coat of some viscosity reaches on the ordinary disc.

    Parameters
    ----------
    law : VftViscosity
        Of the jar.
    set_point : float
        [K]; between the rungs of the ladder temperatures are taken straight.
    seconds : float
        In the kiln [s].
    """
    points, times, pieces = _traces()
    at = np.linspace(0.0, seconds, int(seconds * FINE) + 1)
    high = int(np.clip(np.searchsorted(points, set_point), 1, len(points) - 1))
    share = (set_point - points[high - 1]) / (points[high] - points[high - 1])
    low_trace, high_trace = (np.interp(at, times, pieces[row]) for row in (high - 1, high))
    fluid = 10 ** -law.log_viscosity(low_trace + share * (high_trace - low_trace))
    return float(np.log10(np.trapezoid(fluid, at)))
