"""Everything light meets in a stack: the metal under its first glass, the glasses, how thick they are, the finish."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, surface_finish
from enamelwright.craft.colour.jar_optics import JarOptics, optics_of
from enamelwright.craft.colour.look import View, mirrored
from enamelwright.craft.colour.metal_optics import BaseOptics, base_on
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.stack_optics import Layer, StackLight, stack_light
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StackParts:
    """What a stack is made of.

    Attributes
    ----------
    base : BaseOptics
        Metal or foil below the first glass.
    jars : tuple of JarOptics
        From the metal outward.
    thickness : ndarray, shape (coats,)
        As meant [m].
    finish : float
        Of the metal, 0 mirror to 1 satin.
    film : tuple or None
        Red oxide between metal and glass.
    """

    base: BaseOptics
    jars: tuple[JarOptics, ...]
    thickness: Array
    finish: float
    film: Layer | None

    @property
    def top(self) -> float:
        """Refractive index of what meets the air."""
        return self.jars[-1].index if self.jars else 1.0

    @property
    def invented(self) -> tuple[str, ...]:
        """What of its colour is invented, in words; empty when all of it was measured."""
        found = [f"{jar.name}: {jar.origin}" for jar in self.jars if jar.invented]
        return tuple(dict.fromkeys([*found, *(["the colour of the red oxide film"] if self.film else [])]))

    def light(self, thickness: Array) -> StackLight:
        """Follow light through it at several thicknesses, shape (rows, coats) [m]."""
        layers: list[Layer] = [] if self.film is None else [self.film]
        layers += [(jar.absorption, jar.scattering_at_bands, thickness[:, n]) for n, jar in enumerate(self.jars)]
        base = self.base
        if not layers:
            normal, around = (np.tile(one, (len(thickness), 1)) for one in (base.normal, base.hemispherical))
            return stack_light([], normal, around, 1.0)
        return stack_light(layers, base.normal, base.hemispherical, self.top)

    def seen(self, thickness: Array, view: View) -> Array:
        """Return its reflectances at several thicknesses, shape (rows, 36)."""
        return self.light(thickness).seen(self.finish, mirrored(view))


def parts_of(stack: ColourStack, bench: Bench) -> StackParts:
    """Look up everything a stack is made of.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Jars, and the maker's fluxed coupons.

    Raises
    ------
    UnknownName
        When a jar or metal is not known.
    OutOfReach
        When nothing tells the colour of a jar or a metal.
    """
    jars = tuple(optics_of(coat.jar, bench) for coat in stack.coats)
    base = base_on(bench, stack.metal, jars[0].index if jars else 1.0, stack.foil)
    finish = stack.finish
    if finish is None:
        spoken = stack.foil is None and stack.surface != "unknown"
        finish = surface_finish(stack.surface) if spoken else base.finish
    film = red_film(stack.film) if stack.film else None
    return StackParts(base, jars, np.array([coat.thickness for coat in stack.coats]), finish, film)


def red_film(thickness: float) -> Layer:
    """Return red copper oxide as a layer that only absorbs: an invented shape, no measurement was found.

    Parameters
    ----------
    thickness : float
        [m].
    """
    strength, edge, width, floor = (value(f"colour/film/{key}") for key in ("strength", "edge", "width", "floor"))
    straight = strength / (1 + np.exp((BANDS - edge) / width)) + floor
    return 2 * straight, np.zeros(BANDS.size), thickness
