"""Heat capacities and the growth of oxide, as the laws of heating take them."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache, lru_cache, partial

import numpy as np
import numpy.typing as npt

from enamelwright.craft.heat_capacity import Material, specific_heat
from enamelwright.craft.metal import metal
from enamelwright.craft.oxide_growth import copper_oxide
from enamelwright.craft.window.facts import number
from enamelwright.physics.constants import GAS_CONSTANT
from enamelwright.physics.piece_heating import Oxidation

Array = npt.NDArray[np.float64]
Law = Callable[[Array], Array]


@cache
def metal_heat(name: str) -> Law:
    """Return the specific heat of a metal over temperature, its ends held.

    Parameters
    ----------
    name : str
        Key of the metal.
    """
    found = metal(name)
    low, high = found.heat_reach
    return lambda kelvin: found.specific_heat(np.clip(kelvin, low, high))


@cache
def substance_heat(material: Material) -> Law:
    """Return the specific heat of a material of supports and coats.

    Parameters
    ----------
    material : str
        ``stainless`` or ``glass``.
    """
    return partial(specific_heat, material)


@lru_cache(maxsize=2)
def oxidation(grows: bool) -> Oxidation:
    """Return how oxide grows on a bare face and darkens it.

    Parameters
    ----------
    grows : bool
        True for copper and its alloys; other metals keep the face they have.
    """
    if not grows:
        return Oxidation.none()
    law = copper_oxide("mid")
    return Oxidation(law.rate, law.activation / GAS_CONSTANT, law.reference, number("bare_depth"))
