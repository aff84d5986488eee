"""The powder of a coat as it melts in one firing: grain, depth, and all the glass that flows with it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sieve import opening_of_mesh, sieves
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.loaded import layings_before, layings_done, present
from enamelwright.craft.window.thresholds import Powder
from enamelwright.errors import QuantityError

#: Ways of laying that take fine powder, when no mesh is told.
FINE: frozenset[str] = frozenset({"slip", "spray", "paint", "trail"})
#: Jars that are fine by their nature.
FINE_KINDS: frozenset[str] = frozenset({"liquid", "painting"})
#: A depth is never taken as less well known than this, whatever the band of the amount says.
WORST_DEPTH = 0.4
#: The thinnest coat followed [m]: a single layer of the finest grain.
THINNEST = 1e-5


@lru_cache(maxsize=64)
def grain_of_mesh(mesh: int) -> float:
    """Return the effective grain of a powder sieved through a mesh [m]; between sieve numbers the nearest."""
    try:
        opening = opening_of_mesh(mesh)
    except QuantityError:
        numbered = [one for one in sieves() if one.mesh is not None]
        opening = min(numbered, key=lambda one: abs((one.mesh or 0) - mesh)).opening
    return opening * number("grain_share")


def grain_of(layer: Layer) -> tuple[float, float, str]:
    """Return (effective grain [m], standard deviation of its logarithm, words) of a coat.

    Parameters
    ----------
    layer : Layer
        The coat with its jar.
    """
    mesh = layer.coat.mesh or layer.jar.mesh
    if mesh is not None:
        return grain_of_mesh(mesh), number("grain_known_sd"), ""
    if layer.coat.method in FINE or layer.jar.kind in FINE_KINDS:
        return number("grain_fine"), number("grain_unknown_sd"), "mesh not told: taken as fine powder"
    return number("base_grain"), number("grain_unknown_sd"), "mesh not told: taken as 80 mesh"


def powder_of(layer: Layer, firing: Firing, layup: Layup, weights: Sequence[CoatWeight]) -> Powder:
    """Return a coat as powder and melt in one firing.

    Parameters
    ----------
    layer : Layer
        One of the coats that melt.
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    weight = weights[layer.number]
    fired = weight.fired_thickness
    done = layings_done(layer, weight, firing)
    depth = max(fired.value * (done - layings_before(layer, weight, firing)), THINNEST)
    below = 0.0
    cells = set(layer.coat.cells)
    for other in present(firing, layup):
        if other.coat.face != layer.coat.face or other.number == layer.number or other.place > layer.place:
            continue
        if cells and other.coat.cells and not cells & set(other.coat.cells):
            continue
        amount = weights[other.number]
        below += amount.fired_thickness.value * layings_done(other, amount, firing)
    own = max(depth, fired.value * done)
    grain, grain_sd, _ = grain_of(layer)
    return Powder(grain, grain_sd, depth, below + own, min(fired.sd / max(fired.value, THINNEST), WORST_DEPTH))
