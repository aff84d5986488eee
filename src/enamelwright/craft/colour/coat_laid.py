"""How thick a coat of one jar is laid: at least what hides, for an opaque, and in as many layings as it takes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.jar_optics import JarOptics
from enamelwright.craft.colour.light import seen_under
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import layer, over, surface
from enamelwright.reference.loader import value

#: Thicknesses are told to this [m]; a coat is no second laying for less.
LAID_TO = 1e-5


def layings(thicknesses: Sequence[float]) -> int:
    """Return how often coats are laid and fired, a thick one several times.

    Parameters
    ----------
    thicknesses : sequence of float
        Fired, of each coat [m].
    """
    most = limit("match/laying")
    return sum(max(1, math.ceil((one - LAID_TO / 2) / most)) for one in thicknesses)


def least_laid(jar: JarOptics) -> float:
    """Return the thinnest fired coat of a jar that is worth laying [m].

    A clear or clouded glass may be as thin as it can be laid. An opaque is laid to hide: over black it is to have
    its usual share of the lightness it has over white. While its scattering is invented, it is held between the least
    of the trade and one full laying; nothing is asked thicker than can be laid.

    Parameters
    ----------
    jar : JarOptics
        Its curves.

    Notes
    -----
    Source: contrast of black and white, ISO 6504-1:1983.
    """
    finest, thickest = limit("match/finest"), limit("match/thickest")
    if jar.kind != "opaque":
        return finest
    depths = np.append(np.arange(finest, thickest, LAID_TO), thickest)
    free = layer(jar.absorption, jar.scattering_at_bands, depths[:, np.newaxis])
    seen = seen_under("D65")
    black, white = (
        seen.xyz(surface(over(*free, np.full(BANDS.size, ground)), jar.index))[:, 1]
        for ground in (0.0, value("colour/hides/white"))
    )
    hides = black >= value("colour/hides/contrast") * white
    covers = float(depths[np.argmax(hides)]) if hides.any() else thickest
    if jar.invented:
        return min(max(covers, limit("match/covering")), limit("match/laying"))
    return covers
