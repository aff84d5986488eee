"""The powder of a coat as it melts in one firing: grain, depth, and all the glass that flows with it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from enamelwright.craft.jar import Jar
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sieve import opening_of_mesh, sieves
from enamelwright.craft.window.case import Case
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.fusing import melt_of
from enamelwright.craft.window.loaded import layings_before, layings_done, present
from enamelwright.craft.window.members import Loose
from enamelwright.craft.window.thresholds import Powder
from enamelwright.errors import QuantityError

#: Ways of laying that take fine powder, when no mesh is told.
FINE: frozenset[str] = frozenset({"slip", "spray", "paint", "trail"})
#: Jars that are fine by their nature.
FINE_KINDS: frozenset[str] = frozenset({"liquid", "painting"})
#: A depth is never taken as less well known than this, whatever the band of the amount says.
WORST_DEPTH = 0.4
#: Supports a piece hangs from or stands in.
UPRIGHT: frozenset[str] = frozenset({"hung"})
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


def powder_of(layer: Layer, firing: Firing, layup: Layup, weights: Sequence[CoatWeight], kelvin: float) -> Powder:
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
    kelvin : float
        Temperature at which the glasses are compared: the set point [K].
    """
    weight = weights[layer.number]
    fired = weight.fired_thickness
    done = layings_done(layer, weight, firing)
    depth = max(fired.value * (done - layings_before(layer, weight, firing)), THINNEST)
    below: list[tuple[float, float]] = []
    cells = set(layer.coat.cells)
    for other in sorted(present(firing, layup), key=lambda one: one.place):
        if other.coat.face != layer.coat.face or other.number == layer.number or other.place > layer.place:
            continue
        if cells and other.coat.cells and not cells & set(other.coat.cells):
            continue
        amount = weights[other.number]
        below.append((amount.fired_thickness.value * layings_done(other, amount, firing), stiffness(other.jar, kelvin)))
    own = max(depth, fired.value * done)
    grain, grain_sd, _ = grain_of(layer)
    return Powder(
        grain,
        grain_sd,
        depth,
        melt_depth(own, stiffness(layer.jar, kelvin), below),
        min(fired.sd / max(fired.value, THINNEST), WORST_DEPTH),
        _tilt(layer, firing, layup),
    )


def loose_powder(case: Case, layup: Layup, weights: Sequence[CoatWeight]) -> Loose:
    """Return the powder that goes in loose: the coats of a firing that melt for the first time.

    Parameters
    ----------
    case : Case
        The firing.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    if not case.fresh:
        return Loose()
    mass, heaviest = {True: 0.0, False: 0.0}, {True: (0.0, 0), False: (0.0, 0)}
    for place, layer in enumerate(case.coats):
        weight = weights[layer.number]
        new = layings_done(layer, weight, case.firing) - layings_before(layer, weight, case.firing)
        laid = weight.fired_thickness.value * new * layer.glass.density.value * layer.area / case.piece.area
        up = layer.coat.face == case.firing.face_up
        mass[up] += laid
        heaviest[up] = max(heaviest[up], (laid, place))
    grain = grain_of(case.coats[heaviest[mass[True] > 0][1]])[0]
    return Loose(
        min(mass[True], case.piece.glass_top),
        min(mass[False], case.piece.glass_bottom),
        grain,
        heaviest[True][1],
        heaviest[False][1],
    )


def stiffness(jar: Jar, kelvin: float) -> float:
    """Return log10 of the viscosity of a jar [Pa s], its distance from the law counted as viscosity.

    Parameters
    ----------
    jar : Jar
        As described.
    kelvin : float
        Temperature [K].
    """
    melt = melt_of(jar)
    return float(melt.law.log_viscosity(kelvin)) + melt.shift


def melt_depth(own: float, own_stiffness: float, below: Sequence[tuple[float, float]]) -> float:
    """Return the depth of one glass that would level like a stack of several [m].

    A film that flows under a pressure along it carries the integral of (H - z)^2 / viscosity over its height; the
    depth sought carries as much with the viscosity of the top coat.

    Parameters
    ----------
    own, own_stiffness : float
        Of the top coat [m], log10 of its viscosity.
    below : sequence of tuple of float
        The same of the layers underneath, from the metal up.
    """
    left = own + sum(depth for depth, _ in below)
    cube = own**3
    for depth, stiff in below:
        fluid = min(own_stiffness - stiff, 0.0)  # a runnier layer helps no more than the coat's own glass would
        cube += 10**fluid * (left**3 - (left - depth) ** 3)
        left -= depth
    return float(cube ** (1 / 3))


def _tilt(layer: Layer, firing: Firing, layup: Layup) -> float:
    """Return the sine of the steepest slope a coat may run down: the rim of a dome; all of what hangs."""
    if layer.coat.cells or layer.coat.fill is not None:
        return 0.0  # walls hold it
    if firing.support in UPRIGHT:
        return 1.0
    # A spherical cap of height h over a radius a rises at the rim by twice the angle whose tangent is h / a.
    rise = abs(layup.piece.dome) / (layup.shape.chord / 2)
    return min(1.0, 2 * rise / (1 + rise**2)) if rise < 1 else 1.0
