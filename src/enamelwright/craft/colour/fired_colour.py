"""The colour of a fired stack: a band from thin to thick, from catching the light to turned away, never one colour.

How the metal mirrors decides more about transparents than anything else, so both ends of it are always told.
A prediction that rests on an invented curve carries the word, and it has no number for how sure it is; nor has one
that rests on curves which do not say that of themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat, surface_finish
from enamelwright.craft.colour.jar_optics import JarOptics, optics_of, standard
from enamelwright.craft.colour.light import LIGHT_WORDS, USUAL, LightName, Observer, Seen, seen_under
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.colour.metal_optics import BaseOptics, base_of, tilt_of
from enamelwright.craft.metal import metal as metal_named
from enamelwright.errors import OutOfReach
from enamelwright.figure import stratified
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, srgb_of, xyz_of_lab
from enamelwright.physics.colour.layer_optics import layer, over, surface
from enamelwright.physics.colour.stack_optics import Layer, StackLight, stack_light
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]

#: Draws behind the number for how sure a colour is.
DRAWS = 64
#: Share of the draws that lie nearer than the number told.
SURE = 0.9
#: Words for the three thicknesses, in order.
THICKNESSES = ("thin", "nominal", "thick")
_NOMINAL = 1
_BYTE = 255  # steps of one channel of a screen
_HUNDRED = 100


@dataclass(frozen=True)
class Look:
    """One colour as seen.

    Attributes
    ----------
    lab : tuple of float
        Under the first light asked for.
    daylight : tuple of float
        Lab under daylight D65, 2 degrees, as a screen shows it.
    rgb : tuple of float
        Channels of a screen under daylight D65, 0 to 1, cut to what it can show.
    in_gamut : bool
        Whether a screen can show it.
    """

    lab: tuple[float, float, float]
    daylight: tuple[float, float, float]
    rgb: tuple[float, float, float]
    in_gamut: bool

    @property
    def hex(self) -> str:
        """The colour for a screen as ``#rrggbb``; beyond the screen, the nearest of its own hue."""
        return _hex(self.rgb) if self.in_gamut else _fitted(self.daylight)


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


@dataclass(frozen=True, eq=False)
class _Parts:
    """Everything a stack is made of."""

    base: BaseOptics
    jars: tuple[JarOptics, ...]
    thickness: Array
    finish: float
    film: Layer | None


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
    parts = _parts(stack, bench)
    band = _band(stack, factors)
    plain = _light_of(parts, band * parts.thickness)
    catching, away = (plain.seen(parts.finish, view) for view in (1.0, 0.0))
    seen = [seen_under(light, observer) for light in lights]
    both = zip(_looks(catching, seen[0]), _looks(away, seen[0]), THICKNESSES, band.tolist(), strict=True)
    looks = tuple(ThicknessLook(name, tuple(row), one, other) for one, other, name, row in both)
    nominal = catching[_NOMINAL]
    invented = _invented(stack, parts)
    unsure = tuple(dict.fromkeys(jar.name for jar in parts.jars if not (jar.sure or jar.invented)))
    known = draws > 0 and not invented and not unsure
    sure = _sure_within(stack, parts, draws, looks[_NOMINAL].catching, seen[0]) if known else None
    return FiredColour(
        stack=stack,
        looks=looks,
        by_light=_by_light(nominal, seen),
        sure_within=sure,
        invented=invented,
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
    parts = _parts(stack, bench)
    reflectance = _light_of(parts, parts.thickness[np.newaxis]).seen(parts.finish, 1.0)
    return _looks(reflectance, seen_under(USUAL[0]))[0], bool(_invented(stack, parts))


@dataclass(frozen=True)
class DepthLook:
    """The colour at one depth of the uppermost glass.

    Attributes
    ----------
    depth : float
        Of the fired glass [m].
    catching, away : Look
        Where the metal mirrors something bright; where it mirrors something dark.
    """

    depth: float
    catching: Look
    away: Look


def colour_against_depth(stack: ColourStack, bench: Bench, depths: npt.ArrayLike) -> tuple[DepthLook, ...]:
    """Return the colour over a carved ground, where one glass lies at many depths.

    Parameters
    ----------
    stack : ColourStack
        With at least one coat; the depth of the uppermost is varied.
    bench : Bench
        Where jars are looked up.
    depths : array_like, shape (n,)
        Of the uppermost coat [m], not negative.

    Raises
    ------
    OutOfReach
        When there is no coat.
    """
    parts = _parts(stack, bench)
    if not parts.jars:
        raise OutOfReach("bare metal has no depth of glass.", "Add a coat.")
    at = np.asarray(depths, dtype=np.float64)
    thickness = np.tile(parts.thickness, (at.size, 1))
    thickness[:, -1] = at
    light, seen = _light_of(parts, thickness), seen_under(USUAL[0])
    ends = [_looks(light.seen(parts.finish, view), seen) for view in (1.0, 0.0)]
    return tuple(DepthLook(float(d), one, other) for d, one, other in zip(at, *ends, strict=True))


def invented_in(stack: ColourStack, bench: Bench) -> tuple[str, ...]:
    """Return what of a stack's colour is invented, in words; empty when all of it was fitted.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Where jars are looked up.
    """
    return _invented(stack, _parts(stack, bench))


def differences_by_light(
    one: npt.ArrayLike, other: npt.ArrayLike, lights: Sequence[LightName] = USUAL, observer: Observer = "2"
) -> dict[LightName, float]:
    """Return the CIEDE2000 between two reflectances under each light; the greatest is the worst-light difference.

    Parameters
    ----------
    one, other : array_like, shape (36,)
        e.g. of two :class:`FiredColour`.
    lights : sequence of str
        To try.
    observer : str
        ``"2"`` or ``"10"`` degrees.
    """
    seen = [seen_under(light, observer) for light in lights]
    return {each.light: float(ciede2000(each.lab(one), each.lab(other))) for each in seen}


def coupon_for(metal: str, bench: Bench) -> MetalCoupon | None:
    """Return the maker's fluxed coupon of a metal, by any of its names; None when there is none.

    Parameters
    ----------
    metal : str
        As typed.
    bench : Bench
        With its coupons.
    """
    wanted = metal_named(metal).id
    return next((one for one in bench.coupons if metal_named(one.metal).id == wanted), None)


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


def _parts(stack: ColourStack, bench: Bench) -> _Parts:
    jars = tuple(optics_of(coat.jar, bench) for coat in stack.coats)
    coupon = None if stack.foil or not bench.coupons else coupon_for(stack.metal, bench)
    base = base_of(stack.metal, jars[0].index if jars else 1.0, stack.foil, coupon)
    finish = stack.finish
    if finish is None:
        spoken = stack.foil is None and stack.surface != "unknown"
        finish = surface_finish(stack.surface) if spoken else base.finish
    return _Parts(
        base, jars, np.array([coat.thickness for coat in stack.coats]), finish,
        red_film(stack.film) if stack.film else None,
    )  # fmt: skip


def _band(stack: ColourStack, factors: tuple[float, float] | None) -> Array:
    """Return the factors on every coat, thin, nominal and thick, shape (3, coats)."""
    one = np.ones(len(stack.coats))
    if factors is not None:
        return np.stack([factors[0] * one, one, factors[1] * one])
    reach = NormalDist().inv_cdf((1 + value("colour/thickness/band_share")) / 2)
    spread = reach * np.array([_depth_sd(coat) for coat in stack.coats])
    return np.exp(np.stack([-spread, 0 * one, spread]))


def _depth_sd(coat: StackCoat) -> float:
    """Return the standard deviation of the logarithm of a coat's thickness."""
    return value("colour/thickness/weighed_sd" if coat.weighed else "colour/thickness/unweighed_sd")


def _light_of(parts: _Parts, thickness: Array) -> StackLight:
    """Follow light through the stack at several thicknesses, shape (rows, coats)."""
    layers: list[Layer] = [] if parts.film is None else [parts.film]
    layers += [(jar.absorption, jar.scattering_at_bands, thickness[:, n]) for n, jar in enumerate(parts.jars)]
    base = parts.base
    if not layers:
        normal, around = (np.tile(one, (len(thickness), 1)) for one in (base.normal, base.hemispherical))
        return stack_light([], normal, around, 1.0)
    return stack_light(layers, base.normal, base.hemispherical, _top(parts))


def _top(parts: _Parts) -> float:
    return parts.jars[-1].index if parts.jars else 1.0


def _looks(reflectance: Array, seen: Seen) -> list[Look]:
    day = seen_under("D65")
    labs = seen.lab(reflectance).tolist()
    daylight = labs if seen is day else day.lab(reflectance).tolist()
    rgb, inside = srgb_of(day.xyz(reflectance))
    return [
        Look(_three(lab), _three(shown), _three(channels), bool(fits))
        for lab, shown, channels, fits in zip(labs, daylight, rgb.tolist(), inside.tolist(), strict=True)
    ]


def _three(values: Sequence[float]) -> tuple[float, float, float]:
    a, b, c = values
    return float(a), float(b), float(c)


def _by_light(reflectance: Array, seen: Sequence[Seen]) -> tuple[LightLook, ...]:
    labs = [each.lab(reflectance) for each in seen]
    return tuple(
        LightLook(each.light, LIGHT_WORDS[each.light], _three(lab.tolist()), float(ciede2000(labs[0], lab)))
        for each, lab in zip(seen, labs, strict=True)
    )


def _invented(stack: ColourStack, parts: _Parts) -> tuple[str, ...]:
    found = [f"{jar.name}: {jar.origin}" for jar in parts.jars if jar.invented]
    if stack.film:
        found.append("the colour of the red oxide film")
    return tuple(dict.fromkeys(found))


def _hiding(parts: _Parts, seen: Seen) -> float:
    """Lightness over black over that over white, without the gloss, as hiding power is told of paints."""
    ends: Array = np.array([[0.0] * BANDS.size, [1.0] * BANDS.size])
    for jar, thickness in zip(parts.jars, parts.thickness, strict=True):
        ends = over(*layer(jar.absorption, jar.scattering_at_bands, thickness), ends)
    black, white = seen.xyz(surface(ends, _top(parts)))[:, 1]
    return float(black / white) if white > 0 else 1.0


def drawn_reflectances(stack: ColourStack, bench: Bench, draws: int = DRAWS) -> Array:
    """Return reflectances a stack may come out with, catching the light, shape (draws, 36).

    Jars, thicknesses, finish and metal are drawn together; the same jar is the same draw in every stack. What the
    model itself misses is not among it.

    Parameters
    ----------
    stack : ColourStack
        Metal and coats.
    bench : Bench
        Where jars are looked up.
    draws : int
        How many.

    Raises
    ------
    UnknownName, OutOfReach
        As :func:`fired_colour`.
    """
    return _drawn(stack, _parts(stack, bench), draws)


def _drawn(stack: ColourStack, parts: _Parts, draws: int) -> Array:
    base = parts.base
    layers: list[Layer] = []
    for place, (coat, jar) in enumerate(zip(stack.coats, parts.jars, strict=True)):
        absorption, scattering = jar.draws(draws)
        if jar.kind == "opal":
            milky = np.exp(value("colour/opal/firing_sd") * standard("firing: opal", draws))
            scattering = scattering * milky[:, np.newaxis]
        depth = np.exp(_depth_sd(coat) * standard(f"coat {place}: depth", draws))
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
    return stack_light(layers, normal, around, _top(parts)).seen(finish, 1.0)


def _sure_within(stack: ColourStack, parts: _Parts, draws: int, nominal: Look, seen: Seen) -> float:
    """Join what draws of jars, thicknesses, finish and metal scatter with what the model itself misses."""
    spread = float(np.quantile(ciede2000(nominal.lab, seen.lab(_drawn(stack, parts, draws))), SURE))
    return with_model_error(spread, parts.jars)


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


def _hex(rgb: Sequence[float]) -> str:
    return "#" + "".join(f"{round(channel * _BYTE):02x}" for channel in rgb)


@lru_cache(maxsize=4096)
def _fitted(lab: tuple[float, float, float]) -> str:
    """Bring a colour beyond the screen onto it by lowering its chroma, lightness and hue held."""
    from coloraide import Color

    found = Color("lab-d65", list(lab)).fit("srgb", method="oklch-chroma").convert("srgb")
    return _hex([min(max(float(channel), 0.0), 1.0) for channel in found.coords()])


def screen_colour(lab: Sequence[float]) -> tuple[str, bool]:
    """Return (``#rrggbb``, whether a screen can show it) of a Lab under daylight D65.

    Parameters
    ----------
    lab : sequence of float
        2 degree observer.
    """
    rgb, inside = srgb_of(np.maximum(xyz_of_lab(lab, seen_under("D65").white), 0.0))
    return (_hex(rgb.tolist()) if inside else _fitted(_three(lab))), bool(inside)
