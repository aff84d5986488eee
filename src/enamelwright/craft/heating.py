"""How long a piece takes to heat up, and what that does to a firing time of the table of practice.

Lumped: metal and glass of a thin piece share one temperature, so each adds its density times specific
heat times thickness to the lag.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from enamelwright import units
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight
from enamelwright.errors import HouseError
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader
from enamelwright.reference.loader import fact

#: The short end of a time range never falls below this share of the likely time (assumption).
SHORTEST_SHARE = 0.5

#: The band a glass thickness is rounded for when it is told, as a share of it.
ROUGHLY = 0.3


@dataclass(frozen=True)
class Lag:
    """Seconds of heating up per metre of thickness.

    Attributes
    ----------
    low, value, high : float
        Quick, likely and slow [s/m], by how dark the two faces are.
    bare_high : float or None
        Slow end when one face is bare and bright [s/m]; None for metals whose bare faces turn dark.
    """

    low: float
    value: float
    high: float
    bare_high: float | None

    def of(self, extra: float) -> tuple[float, float, float]:
        """Return (short, likely, long) seconds that so much more thickness [m] adds; less takes away."""
        ends = (self.low * extra, self.high * extra)
        return min(ends), self.value * extra, max(ends)


@lru_cache(maxsize=8)
def lag(family: str) -> Lag:
    """Return the heating lag of a family of metal, or of ``glass``.

    Raises
    ------
    HouseError
        When the table knows no such family.
    """
    for row in loader.rows("trade/heat_lag"):
        if row["family"] == family:
            millimetre = units.to_si(1.0, "mm", "length")
            low, value, high = (float(row[end]) / millimetre for end in ("low", "value", "high"))
            return Lag(low, value, high, float(row["bare_high"]) / millimetre if row["bare_high"] else None)
    raise HouseError(f"no heating lag is recorded for {family}.", "Install the program again.")


def glass_in(firing: Firing, layup: Layup, weights: Sequence[CoatWeight], laid: Sequence[Layer]) -> float:
    """Return the glass on both faces in one firing, spread evenly over one face [m].

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    laid : sequence of Layer
        Coats laid for this firing; of those laid in rounds only the rounds so far count.
    """
    face = max([layup.shape.area * layup.shape.dome_area_factor(layup.piece.dome), *(one.area for one in layup.layers)])
    fresh = {layer.number for layer in laid}
    total = 0.0
    for number in {*firing.reheats, *firing.fuses}:
        layer, weight = layup.layers[number], weights[number]
        layings = 1 if layer.coat.fill else weight.layings
        done = min(1.0, firing.fill_round / weight.layings) if number in fresh and firing.fill_round else 1.0
        total += weight.fired_thickness.value * layings * done * layer.area
    return total / face if face > 0 else 0.0


def seconds_for(
    usual: tuple[float, float, float],
    sheet: float,
    firing: Firing,
    layup: Layup,
    glass: float,
    origin: Origin,
    because: list[str],
) -> Figure:
    """Adjust a time of practice to the metal and glass of a piece.

    The heating time of metal and glass grows with their thickness; the rest, the flow of the glass, stays.

    Parameters
    ----------
    usual : tuple of float
        Short, likely, long [s] for ordinary glass on the sheet the settings belong to.
    sheet : float
        That sheet [m].
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    glass : float
        Glass on both faces [m].
    origin : Origin
        Where the time comes from.
    because : list of str
        Reasons, added to.
    """
    short, likely, long = usual
    if layup.thickness <= 0:
        because.append("the form is not sheet, so the time is not adjusted to its mass: go by the stage")
        return Figure(value=likely, low=short, high=long, dimension="time", origin=origin)
    metal, coats = lag(layup.metal.family), lag("glass")
    for kind, extra in ((metal, layup.thickness - sheet), (coats, glass - fact("trade/practice_glass").value)):
        less, middle, more = kind.of(extra)
        short, likely, long = short + less, likely + middle, long + more
    # Never less than the heating up itself, however short the row.
    likely = max(likely, metal.value * layup.thickness + coats.value * glass)
    if metal.bare_high is not None and coats.bare_high is not None and _one_face_bare(firing, layup):
        long += (metal.bare_high - metal.high) * layup.thickness + (coats.bare_high - coats.high) * glass
        because.append("a bare bright face takes up little heat: it may need longer")
    short = min(max(short, SHORTEST_SHARE * likely), likely)
    long = max(long, likely)
    here, there = (units.show(end, "length", "mm") for end in (layup.thickness, sheet))
    because.append(f"time for {here} of metal; the settings belong to {there}")
    because.append(f"and for {units.show(glass, 'length', 'mm', ROUGHLY * glass)} of glass on both faces together")
    return Figure(value=likely, low=short, high=long, dimension="time", origin=origin)


def _one_face_bare(firing: Firing, layup: Layup) -> bool:
    """Tell whether a face of the piece carries no enamel in this firing."""
    return len({layup.layers[number].coat.face for number in (*firing.reheats, *firing.fuses)}) < 2
