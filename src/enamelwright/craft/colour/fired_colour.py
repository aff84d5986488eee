"""The colour of a fired stack: a band from thin to thick, from catching the light to turned away, never one colour.

How the metal mirrors decides more about transparents than anything else, so both ends of it are always told.
A prediction that rests on an invented curve carries the word, and it has no number for how sure it is; nor has one
that rests on curves which do not say that of themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.light import LIGHT_WORDS, USUAL, LightName, Observer, Seen, seen_under
from enamelwright.craft.colour.look import VIEWS, Look, looks_of, mirrored, three
from enamelwright.craft.colour.stack_draws import DRAWS, depth_sd, drawn_reflectances, with_model_error
from enamelwright.craft.colour.stack_parts import StackParts, parts_of
from enamelwright.errors import OutOfReach
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import layer, over, surface
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]

#: Share of the draws that lie nearer than the number told.
SURE = 0.9
#: Words for the three thicknesses, in order.
THICKNESSES = ("thin", "nominal", "thick")
_NOMINAL = 1
_HUNDRED = 100


@dataclass(frozen=True)
class ThicknessLook:
    """The colour at one thickness of all coats.

    Attributes
    ----------
    name : str
        ``thin``, ``nominal`` or ``thick``.
    factors : tuple of float
        On the thickness of each coat, from the metal outward.
    catching, away : Look
        Where the metal mirrors something bright; where it mirrors something dark.
    """

    name: str
    factors: tuple[float, ...]
    catching: Look
    away: Look

    @property
    def words(self) -> str:
        """How far its coats are off what is meant, e.g. ``12 to 28 % thinner``."""
        shares = sorted({round(abs(factor - 1) * _HUNDRED) for factor in self.factors})
        if self.name == THICKNESSES[_NOMINAL] or not shares:
            return "as meant"
        span = f"{shares[0]}" if len(shares) == 1 else f"{shares[0]} to {shares[-1]}"
        return f"{span} % {self.name}{'n' * (self.name == 'thin')}er"


@dataclass(frozen=True)
class LightLook:
    """The nominal colour, catching the light, under one light.

    Attributes
    ----------
    light, words : str
        Its name, and the name for people.
    lab : tuple of float
        Under this light.
    shift : float
        CIEDE2000 from what it is under the first light: how far it turns when carried there.
    """

    light: LightName
    words: str
    lab: tuple[float, float, float]
    shift: float


@dataclass(frozen=True, eq=False)
class FiredColour:
    """What a stack will look like.

    Attributes
    ----------
    stack : ColourStack
        As asked.
    looks : tuple of ThicknessLook
        Thin, nominal and thick.
    by_light : tuple of LightLook
        The first light first.
    sure_within : float or None
        CIEDE2000 within which nine of ten such stacks should lie, catching the light; None when anything
        of it is invented, or a jar's curves do not say how sure they are.
    invented : tuple of str
        What of it is invented, in words; empty when all rests on curves of the jars themselves.
    unsure : tuple of str
        Names of jars whose curves are told without how sure they are.
    basis : tuple of str
        What each layer's colour rests on, metal first.
    sources : tuple of str
        Works behind the metal.
    hiding : float
        Lightness over black as a share of that over white: 1 hides the metal altogether.
    reflectance : ndarray, shape (36,)
        Nominal, catching the light.
    """

    stack: ColourStack
    looks: tuple[ThicknessLook, ...]
    by_light: tuple[LightLook, ...]
    sure_within: float | None
    invented: tuple[str, ...]
    unsure: tuple[str, ...]
    basis: tuple[str, ...]
    sources: tuple[str, ...]
    hiding: float
    reflectance: Array

    @property
    def nominal(self) -> Look:
        """The nominal colour, catching the light."""
        return self.looks[_NOMINAL].catching

    @property
    def worst_light(self) -> LightLook:
        """The light under which the colour turns most."""
        return max(self.by_light, key=lambda look: look.shift)


def fired_colour(
    stack: ColourStack,
    bench: Bench,
    lights: Sequence[LightName] = USUAL,
    draws: int = DRAWS,
    *,
    observer: Observer = "2",
    factors: tuple[float, float] | None = None,
) -> FiredColour:
    """Return what a stack will look like.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Where jars are looked up, and the maker's fluxed coupons.
    lights : sequence of str
        At least one; Lab is told under the first.
    draws : int
        Behind the number for how sure it is; 0 leaves that number out.
    observer : str
        ``"2"`` or ``"10"`` degrees.
    factors : tuple of float, optional
        On every thickness, of thin and of thick; when left out, what nine of ten coats lie between, each by the way
        it was measured out.

    Raises
    ------
    UnknownName
        When a jar or metal is not known.
    OutOfReach
        When nothing tells the colour of a jar or a metal, or there is no light.
    """
    if not lights:
        raise OutOfReach("no light, no colour.", "Name at least one.")
    parts = parts_of(stack, bench)
    band = _band(stack, factors)
    light = parts.light(band * parts.thickness)
    catching, away = (light.seen(parts.finish, mirrored(view)) for view in VIEWS)
    seen = [seen_under(light, observer) for light in lights]
    both = zip(looks_of(catching, seen[0]), looks_of(away, seen[0]), THICKNESSES, band.tolist(), strict=True)
    looks = tuple(ThicknessLook(name, tuple(row), one, other) for one, other, name, row in both)
    nominal = catching[_NOMINAL]
    unsure = tuple(dict.fromkeys(jar.name for jar in parts.jars if not (jar.sure or jar.invented)))
    known = draws > 0 and not parts.invented and not unsure
    sure = _sure_within(stack, parts, draws, looks[_NOMINAL].catching, seen[0]) if known else None
    return FiredColour(
        stack=stack,
        looks=looks,
        by_light=_by_light(nominal, seen),
        sure_within=sure,
        invented=parts.invented,
        unsure=unsure,
        basis=(parts.base.words, *(f"{jar.name}: {jar.origin}" for jar in parts.jars)),
        sources=parts.base.sources,
        hiding=_hiding(parts, seen[0]),
        reflectance=nominal,
    )


def nominal_look(stack: ColourStack, bench: Bench) -> Look:
    """Return the nominal colour alone, catching the light, under daylight: for a picture.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Where jars are looked up.

    Raises
    ------
    UnknownName, OutOfReach
        As :func:`fired_colour`.
    """
    return look_for_picture(stack, bench)[0]


def look_for_picture(stack: ColourStack, bench: Bench) -> tuple[Look, bool]:
    """Return the nominal colour, as :func:`nominal_look`, and whether anything of it is invented.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Where jars are looked up.
    """
    parts = parts_of(stack, bench)
    reflectance = parts.seen(parts.thickness[np.newaxis], VIEWS[0])
    return looks_of(reflectance, seen_under(USUAL[0]))[0], bool(parts.invented)


def _band(stack: ColourStack, factors: tuple[float, float] | None) -> Array:
    """Return the factors on every coat, thin, nominal and thick, shape (3, coats)."""
    one = np.ones(len(stack.coats))
    if factors is not None:
        return np.stack([factors[0] * one, one, factors[1] * one])
    reach = NormalDist().inv_cdf((1 + value("colour/thickness/band_share")) / 2)
    spread = reach * np.array([depth_sd(coat) for coat in stack.coats])
    return np.exp(np.stack([-spread, 0 * one, spread]))


def _by_light(reflectance: Array, seen: Sequence[Seen]) -> tuple[LightLook, ...]:
    labs = [each.lab(reflectance) for each in seen]
    return tuple(
        LightLook(each.light, LIGHT_WORDS[each.light], three(lab.tolist()), float(ciede2000(labs[0], lab)))
        for each, lab in zip(seen, labs, strict=True)
    )


def _hiding(parts: StackParts, seen: Seen) -> float:
    """Lightness over black over that over white, without the gloss, as hiding power is told of paints."""
    ends: Array = np.array([[0.0] * BANDS.size, [1.0] * BANDS.size])
    for jar, thickness in zip(parts.jars, parts.thickness, strict=True):
        ends = over(*layer(jar.absorption, jar.scattering_at_bands, thickness), ends)
    black, white = seen.xyz(surface(ends, parts.top))[:, 1]
    return float(black / white) if white > 0 else 1.0


def _sure_within(stack: ColourStack, parts: StackParts, draws: int, nominal: Look, seen: Seen) -> float:
    """Join what draws of jars, thicknesses, finish and metal scatter with what the model itself misses."""
    spread = float(np.quantile(ciede2000(nominal.lab, seen.lab(drawn_reflectances(stack, parts, draws))), SURE))
    return with_model_error(spread, parts.jars)
