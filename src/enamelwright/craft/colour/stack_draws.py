"""How a stack may come out: jars, thicknesses, finish and metal drawn together, joined with what the model misses."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.jar_optics import JarOptics
from enamelwright.craft.colour.look import View, mirrored
from enamelwright.craft.colour.metal_optics import tilt_of
from enamelwright.craft.colour.stack_parts import StackParts
from enamelwright.figure import standard, stratified
from enamelwright.physics.colour.stack_optics import Layer, stack_light
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]

#: Draws behind the number for how sure a colour is.
DRAWS = 64


def drawn_reflectances(
    stack: ColourStack, parts: StackParts, draws: int = DRAWS, view: View = "catching the light"
) -> Array:
    """Return reflectances a stack may come out with, shape (draws, 36).

    Jars, thicknesses, finish and metal are drawn together; the same jar is the same draw in every stack. What the
    model itself misses is not among it.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    parts : StackParts
        Of that stack.
    draws : int
        How many.
    view : str
        How it is held.
    """
    base = parts.base
    layers: list[Layer] = []
    for place, (coat, jar) in enumerate(zip(stack.coats, parts.jars, strict=True)):
        absorption, scattering = jar.draws(draws)
        if jar.kind == "opal":
            milky = np.exp(value("colour/opal/firing_sd") * standard("firing: opal", draws))
            scattering = scattering * milky[:, np.newaxis]
        depth = np.exp(depth_sd(coat) * standard(f"coat {place}: depth", draws))
        layers.append((absorption, scattering, coat.thickness * depth))
    towards = np.zeros((draws, 1)) if base.fitted else stratified(f"metal {base.metal}: table", draws)[:, np.newaxis]
    gain = 1 + value("colour/metal/gain_sd") * standard(f"metal {base.metal}: gain", draws)
    tilt = value("colour/metal/tilt_sd") * standard(f"metal {base.metal}: tilt", draws)
    factor = tilt_of(gain, tilt)
    normal, around = (
        np.clip(factor * (one + towards * (other - one)), 0.0, 1.0)
        for one, other in ((base.normal, base.other_normal), (base.hemispherical, base.other_hemispherical))
    )
    finish = np.clip(parts.finish + value("colour/finish/sd") * standard("metal: finish", draws), 0.0, 1.0)
    return stack_light(layers, normal, around, parts.top).seen(finish, mirrored(view))


def depth_sd(coat: StackCoat) -> float:
    """Return the standard deviation of the logarithm of a coat's thickness."""
    return value("colour/thickness/weighed_sd" if coat.weighed else "colour/thickness/unweighed_sd")


def with_model_error(spread: float, jars: Sequence[JarOptics]) -> float:
    """Join a spread with what the model itself misses, as squares [CIEDE2000].

    Parameters
    ----------
    spread : float
        Of draws.
    jars : sequence of JarOptics
        Of the stack; once tiles of all of them were foretold, their own errors stand for the model's.
    """
    own = [jar.unseen_error for jar in jars]
    known = [one for one in own if one is not None]
    model = max(known) if known and len(known) == len(own) else value("colour/uncertainty/model")
    return max(float(np.hypot(spread, model)), value("colour/uncertainty/photograph"))
