"""A coat of mixed powders: the colour from far away, whether near by it looks speckled, and as one even glass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.colour_stack import StackCoat
from enamelwright.craft.colour.jar_optics import optics_of
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.metal_optics import base_on
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.errors import UnknownName
from enamelwright.physics.colour.layer_optics import layer, over
from enamelwright.physics.colour.speckle import grain_angle, grains_deep, speckle, volume_shares
from enamelwright.reference.loader import value

Lab = tuple[float, float, float]


@dataclass(frozen=True)
class Mixed:
    """How a mix looks.

    Attributes
    ----------
    shares : tuple of float
        Part of the volume of each jar.
    deep : int
        Grains one over the other.
    mean, dissolved : Lab
        From far away; as if it melted into one even glass. In daylight.
    flecks : tuple of (Lab, float)
        The columns of one jar alone, and the part of the face they take up.
    rms : float
        CIEDE2000 of the specks about their mean.
    angle : float
        Of a grain in the eye [rad].
    speckled : bool
        Whether it will look speckled from that distance.
    invented : tuple of str
        Jars whose colour nobody measured.
    """

    shares: tuple[float, ...]
    deep: int
    mean: Lab
    dissolved: Lab
    flecks: tuple[tuple[Lab, float], ...]
    rms: float
    angle: float
    speckled: bool
    invented: tuple[str, ...]


def density_of(jar: str, bench: Bench) -> float:
    """Return the density of the glass of a jar [kg/m3]; of an invented curve that of lead-free glass.

    Parameters
    ----------
    jar : str
        Id or name.
    bench : Bench
        Where it is looked up.
    """
    try:
        return glass_of(bench.jar(jar)).density.value
    except UnknownName:
        return value("trade/density_lead_free")


def mixed_powder(
    jars: Sequence[str],
    parts: Sequence[float],
    thickness: float,
    grain: float,
    bench: Bench,
    *,
    metal: str = "copper",
    under: Sequence[StackCoat] = (),
    distance: float | None = None,
) -> Mixed:
    """Return how a coat of mixed powders looks.

    Parameters
    ----------
    jars : sequence of str
        Ids, names, or invented curves by name.
    parts : sequence of float
        By weight.
    thickness, grain : float
        Fired; median of the powder [m].
    bench : Bench
        Where jars are looked up.
    metal : str
        The sheet.
    under : sequence of StackCoat
        Coats below, metal first.
    distance : float, optional
        From which it is looked at [m]; as small pieces are when left out.

    Raises
    ------
    UnknownName, OutOfReach
        When a jar or metal is not known, or nothing tells its colour.
    """
    found = [optics_of(jar, bench) for jar in jars]
    below = [optics_of(coat.jar, bench) for coat in under]
    ground = base_on(bench, metal, (below or found)[0].index).hemispherical
    for optics, coat in zip(below, under, strict=True):
        ground = over(*layer(optics.absorption, optics.scattering_at_bands, coat.thickness), ground)
    shares = volume_shares(parts, [density_of(jar, bench) for jar in jars])
    deep = grains_deep(thickness, grain, limit("speckle/flattening"), len(found))
    day = seen_under("D65")
    index = float(shares @ [one.index for one in found])
    told = speckle(
        [one.absorption for one in found], [one.scattering_at_bands for one in found], shares, thickness, deep,
        ground, index, day.weights,
    )  # fmt: skip
    pure = [sum(place * len(found) ** level for level in range(deep)) for place in range(len(found))]
    angle = grain_angle(grain, distance or limit("speckle/distance"))
    invented = dict.fromkeys(one.name for one in (*found, *below) if one.invented)
    return Mixed(
        tuple(shares.tolist()), deep, _lab(day.lab(told.mean)), _lab(day.lab(told.dissolved)),
        tuple((_lab(told.lab[row]), float(told.shares[row])) for row in pure), told.rms, angle,
        angle > limit("speckle/sharp_eye") and told.rms > limit("speckle/plain"), tuple(invented),
    )  # fmt: skip


def _lab(values: np.ndarray) -> Lab:
    light, red, yellow = values.tolist()
    return light, red, yellow
