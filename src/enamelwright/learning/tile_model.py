"""The layered model of all tiles of a fit at once, and how each unknown moves each tile's colour.

Unknown are: absorption at 36 bands, scattering and its power of each jar fitted; the thickness of every
coat about what was weighed; the finish of each metal surface; gain and tilt of each metal without a
coupon; and the error all readings of one photo share. Each has a prior, so that few tiles do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import TAKEN, FiredTile, TileStack
from enamelwright.craft.colour.jar_optics import class_of, index_of, of_jar
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.metal_optics import base_on, tilt_of
from enamelwright.craft.colour.photo_colours import LIGHT, OBSERVER, number
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, lab_of
from enamelwright.physics.colour.layer_optics import normal_reflectance
from enamelwright.physics.colour.stack_optics import Layer, scattering_at_bands, stack_reflectance
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]

#: Numbers of a jar: ln K at the bands, ln S, the power of S.
OF_JAR = BANDS.size + 2
#: Numbers of a metal: its gain, its tilt, and where between two optical tables it lies.
OF_METAL = 3
#: Step by which an unknown is moved to see what it does: small beside its prior, large beside rounding.
STEP = 1e-5
#: Ends of ln K [1/m] and ln S [1/m] the search may reach, and of the power: no eye sees a difference beyond.
LEAST, MOST, STEEPEST = -6.0, 14.0, 6.0
#: Ends of a metal's gain less 1, its tilt, and its place between tables: beyond, it is another metal.
METAL_ENDS = ((-0.5, 0.8), (-0.25, 0.25), (-3.0, 4.0))
#: Least error of a reading [CIEDE2000]: no instrument repeats itself better.
LEAST_ERROR = 0.1
#: Ends of the logit of a finish: 0.1 % from a mirror or from satin.
FARTHEST = 7.0
#: Mean length of three independent errors beside the standard deviation of each: sqrt(8 / pi).
THREE_AXES = 1.596
#: Weights of the differences of chroma and hue of CIE94 (CIE 116-1995), in which readings err about alike.
CHROMA, HUE = 0.045, 0.015


@dataclass(frozen=True)
class Layout:
    """Which unknown stands where.

    Attributes
    ----------
    jars : tuple of str
        Ids of the jars fitted; each has `OF_JAR` places from the start.
    finishes, metals, photos : tuple of str
        Names of surfaces, of metals with unknown gain and tilt, of photos with a shared error.
    coats : int
        Thicknesses of coats, tile by tile.
    """

    jars: tuple[str, ...]
    finishes: tuple[str, ...]
    metals: tuple[str, ...]
    photos: tuple[str, ...]
    coats: int

    @property
    def after_jars(self) -> int:
        """Where the thicknesses begin."""
        return len(self.jars) * OF_JAR

    @property
    def finish_at(self) -> int:
        """Where the finishes begin."""
        return self.after_jars + self.coats

    @property
    def metal_at(self) -> int:
        """Where gains and tilts begin."""
        return self.finish_at + len(self.finishes)

    @property
    def photo_at(self) -> int:
        """Where the errors of photos begin."""
        return self.metal_at + OF_METAL * len(self.metals)

    @property
    def size(self) -> int:
        """How many unknowns there are."""
        return self.photo_at + 3 * len(self.photos)

    def jar(self, jar: str) -> slice:
        """Return the places of one jar."""
        start = self.jars.index(jar) * OF_JAR
        return slice(start, start + OF_JAR)


class TileModel:
    """All tiles of a fit.

    Parameters
    ----------
    tiles : sequence of TileStack
        With readings for a fit, without for a forecast.
    fitted : sequence of str
        Ids of the jars whose numbers are unknown.
    bench : Bench
        The other jars and the coupons.
    layout : Layout, optional
        Of another model, to forecast with its unknowns; one of its own when left out.
    """

    def __init__(
        self, tiles: Sequence[TileStack], fitted: Sequence[str], bench: Bench, layout: Layout | None = None
    ) -> None:
        self.tiles = tuple(tiles)
        self.bench = bench
        count, most = len(self.tiles), max(len(tile.coats) for tile in self.tiles)
        self.which = np.full((count, most), -1)
        self.known_k = np.ones((count, most, BANDS.size))
        self.known_s = np.zeros((count, most))
        self.known_power = np.zeros((count, most))
        self.told = np.zeros((count, most))
        self.sd = np.full((count, most), np.nan)
        self.index = np.ones(count)
        self.view, self.gloss = np.zeros(count), np.zeros(count)
        self.normal, self.around = np.zeros((count, BANDS.size)), np.zeros((count, BANDS.size))
        self.other_normal, self.other_around = np.zeros((count, BANDS.size)), np.zeros((count, BANDS.size))
        self.fixed_finish = np.full(count, np.nan)
        metals = []
        for n, tile in enumerate(self.tiles):
            metals.append(self._place(n, tile, tuple(fitted)))
        names = tuple(dict.fromkeys(tile.finish for n, tile in enumerate(self.tiles) if np.isnan(self.fixed_finish[n])))
        own = Layout(
            jars=tuple(fitted),
            finishes=names,
            metals=tuple(dict.fromkeys(metal for metal in metals if metal)),
            photos=tuple(
                dict.fromkeys(tile.photo for tile in self.tiles if isinstance(tile, FiredTile) and tile.photo)
            ),
            coats=int(np.sum(np.isfinite(self.sd))),
        )
        self.layout = layout or own
        self.own_thickness = layout is None
        self.finish_of = np.array(
            [self.layout.finishes.index(t.finish) if t.finish in self.layout.finishes else -1 for t in self.tiles]
        )
        self.metal_of = np.array([self.layout.metals.index(m) if m in self.layout.metals else -1 for m in metals])
        self.coat_at = np.full((count, most), -1)
        self.coat_at[np.isfinite(self.sd)] = np.arange(own.coats)
        self.seen = seen_under(LIGHT, OBSERVER)

    def _place(self, n: int, tile: TileStack, fitted: tuple[str, ...]) -> str:
        """Fill in one tile; return its metal when its gain is unknown."""
        jars = [self.bench.jar(coat.jar) for coat in tile.coats]
        for place, (coat, jar) in enumerate(zip(tile.coats, jars, strict=True)):
            self.told[n, place] = coat.thickness
            self.sd[n, place] = value(
                "colour/thickness/weighed_sd" if coat.weighed else "colour/thickness/unweighed_sd"
            )
            if jar.id in fitted:
                self.which[n, place] = fitted.index(jar.id)
            else:
                optics = of_jar(jar)
                self.known_k[n, place] = optics.absorption
                self.known_s[n, place], self.known_power[n, place] = optics.scattering, optics.power
        self.index[n] = index_of(jars[-1])
        base = base_on(self.bench, tile.metal, index_of(jars[0]), tile.foil)
        self.normal[n], self.around[n] = base.normal, base.hemispherical
        self.other_normal[n], self.other_around[n] = base.other_normal, base.other_hemispherical
        self.view[n], self.gloss[n] = TAKEN[tile.taken]
        if tile.foil:
            self.fixed_finish[n] = base.finish
        return "" if base.fitted or tile.foil else base.metal

    def start(self) -> Array:
        """Return the unknowns as expected before any tile is seen."""
        found = np.zeros(self.layout.size)
        for jar in self.layout.jars:
            part = found[self.layout.jar(jar)]
            part[: BANDS.size] = np.log(number("absorption_middle"))
            part[BANDS.size] = self._scattering_expected(jar)
        at = self.layout.finish_at
        usual = value("colour/finish/unknown")
        found[at : at + len(self.layout.finishes)] = np.log(usual / (1 - usual))
        return found

    def _scattering_expected(self, jar: str) -> float:
        names = {"transparent": "scattering_clear", "opal": "scattering_opal", "opaque": "scattering_opaque"}
        return float(np.log(number(names[class_of(self.bench.jar(jar))])))

    def held(self, unknowns: Array) -> Array:
        """Return the unknowns held within what they can be."""
        found = unknowns.copy()
        for jar in self.layout.jars:
            part = found[self.layout.jar(jar)]
            part[:-1] = np.clip(part[:-1], LEAST, MOST)
            part[-1] = np.clip(part[-1], -STEEPEST, STEEPEST)
        at, to = self.layout.finish_at, self.layout.metal_at
        found[at:to] = np.clip(found[at:to], -FARTHEST, FARTHEST)
        for n, (low, high) in enumerate(METAL_ENDS):
            place = slice(self.layout.metal_at + n, self.layout.photo_at, OF_METAL)
            found[place] = np.clip(found[place], low, high)
        return found

    def prior(self, unknowns: Array) -> tuple[Array, Array]:
        """Return residuals of what was expected, and how they move: shapes (rows,) and (rows, unknowns)."""
        layout, expected = self.layout, self.start()
        spread = np.ones(layout.size)
        smooth = np.diff(np.eye(BANDS.size), n=3, axis=0) * number("smoothness")
        rows: list[Array] = []
        for jar in layout.jars:
            place = layout.jar(jar)
            part = spread[place]
            part[: BANDS.size] = number("absorption_spread")
            part[BANDS.size], part[BANDS.size + 1] = number("scattering_spread"), number("power_spread")
            wide = np.zeros((len(smooth), layout.size))
            wide[:, place.start : place.start + BANDS.size] = smooth
            rows.append(wide)
        spread[layout.after_jars : layout.finish_at] = self.sd[np.isfinite(self.sd)]
        spread[layout.finish_at : layout.metal_at] = number("finish_spread")
        for n in range(len(layout.metals)):
            at = layout.metal_at + OF_METAL * n
            spread[at], spread[at + 1] = value("colour/metal/gain_sd"), value("colour/metal/tilt_sd")
            spread[at + 2] = number("between_spread")
        for n, photo in enumerate(layout.photos):
            at = layout.photo_at + 3 * n
            spread[at : at + 3] = self._bias_of(photo)
        matrix = np.vstack([*rows, np.diag(1 / spread)])
        return matrix @ unknowns - np.concatenate([np.zeros(sum(len(row) for row in rows)), expected / spread]), matrix

    def _bias_of(self, photo: str) -> float:
        errors = [axis_error(tile) for tile in self.tiles if isinstance(tile, FiredTile) and tile.photo == photo]
        return float(np.mean(errors)) * number("bias_share")

    def reflectance(self, unknowns: Array, moved: bool = False) -> Array:
        """Reflectance of every tile, shape (variants, tiles, 36).

        Parameters
        ----------
        unknowns : ndarray, shape (unknowns,)
            As :attr:`layout` places them.
        moved : bool
            Whether to add variants with one thing moved by `STEP`: for each coat ln K, ln S, power and ln d,
            then finish, gain, tilt and the place between tables.
        """
        layout = self.layout
        count, most = self.told.shape
        variants = 1 + (4 * most + 4 if moved else 0)
        jars = unknowns[: layout.after_jars].reshape(len(layout.jars), OF_JAR)
        free = self.which >= 0
        log_k, log_s, power = (
            np.log(self.known_k),
            np.log(np.maximum(self.known_s, np.exp(LEAST))),
            self.known_power.copy(),
        )
        if free.any():
            log_k[free] = jars[self.which[free], : BANDS.size]
            log_s[free] = jars[self.which[free], BANDS.size]
            power[free] = jars[self.which[free], BANDS.size + 1]
        shift = np.zeros((count, most))
        if self.own_thickness:
            used = self.coat_at >= 0
            shift[used] = unknowns[layout.after_jars + self.coat_at[used]]
        logit = np.where(
            self.finish_of >= 0,
            unknowns[layout.finish_at + np.maximum(self.finish_of, 0)] if layout.finishes else 0.0,
            0.0,
        )
        gain, tilt, between = np.ones(count), np.zeros(count), np.zeros(count)
        has = self.metal_of >= 0
        at = layout.metal_at + OF_METAL * self.metal_of[has]
        gain[has] += unknowns[at]
        tilt[has], between[has] = unknowns[at + 1], unknowns[at + 2]
        change = np.zeros((variants, most, 4))
        last = np.zeros((variants, 4))
        if moved:
            for place in range(most):
                for part in range(4):
                    change[1 + 4 * place + part, place, part] = STEP
            for part in range(4):
                last[1 + 4 * most + part, part] = STEP
        factor = tilt_of(gain + last[:, 1:2], tilt + last[:, 2:3])
        way = (between + last[:, 3:4])[..., None]
        normal = np.clip(factor * (self.normal + way * (self.other_normal - self.normal)), 0.0, 1.0)
        around = np.clip(factor * (self.around + way * (self.other_around - self.around)), 0.0, 1.0)
        finish = 1 / (1 + np.exp(-(logit + last[:, :1])))
        finish = np.where(np.isfinite(self.fixed_finish), self.fixed_finish, finish)
        layers: list[Layer] = []
        for place in range(most):
            step = change[:, None, place]
            s = scattering_at_bands(
                np.exp(log_s[:, place] + step[..., 1]), power[:, place] + step[..., 2], value("colour/scattering_at")
            )
            s = np.where((free[:, place] | (self.known_s[:, place] > 0))[:, None], s, 0.0)
            k = np.exp(log_k[:, place] + step[..., 0][..., None])
            layers.append((k, s, self.told[:, place] * np.exp(shift[:, place] + step[..., 3])))
        seen = stack_reflectance(layers, normal, around, self.index, finish, self.view)
        return np.asarray(seen + (self.gloss * normal_reflectance(self.index))[:, None])

    def moves(self, unknowns: Array) -> tuple[Array, Array, Array]:
        """Return colours and reflectances of the tiles, and how each unknown moves the colours.

        Returns
        -------
        lab, reflectance : ndarray, shape (tiles, 3) and (tiles, 36)
        slopes : ndarray, shape (tiles, 36, unknowns)
            Of reflectance; errors of photos are not in it.
        """
        layout = self.layout
        all_seen = self.reflectance(unknowns, moved=True)
        seen, slope = all_seen[0], (all_seen[1:] - all_seen[0]) / STEP
        count, most = self.told.shape
        slopes = np.zeros((count, BANDS.size, layout.size))
        band = np.arange(BANDS.size)
        for n in range(count):
            for place in range(most):
                of = slope[4 * place : 4 * place + 4, n]
                jar = self.which[n, place]
                if jar >= 0:
                    start = jar * OF_JAR
                    slopes[n, band, start + band] += of[0]
                    slopes[n, :, start + BANDS.size] += of[1]
                    slopes[n, :, start + BANDS.size + 1] += of[2]
                if self.own_thickness and self.coat_at[n, place] >= 0:
                    slopes[n, :, layout.after_jars + self.coat_at[n, place]] = of[3]
            if self.finish_of[n] >= 0:
                slopes[n, :, layout.finish_at + self.finish_of[n]] = slope[4 * most, n]
            if self.metal_of[n] >= 0:
                at = layout.metal_at + OF_METAL * self.metal_of[n]
                slopes[n, :, at : at + OF_METAL] = slope[4 * most + 1 : 4 * most + 1 + OF_METAL, n].T
        return self.seen.lab(seen), seen, slopes

    def thickness_moves(self, unknowns: Array) -> Array:
        """Return how much the thickness of its coats alone may move each tile, (tiles, 3, coats): Lab a sd."""
        most = self.told.shape[1]
        all_seen = self.reflectance(unknowns, moved=True)
        slope = (all_seen[1:] - all_seen[0]) / STEP
        by_lab = self.lab_slopes(all_seen[0])
        sd = np.where(np.isfinite(self.sd), self.sd, 0.0)
        return np.stack(
            [np.einsum("tlb,tb->tl", by_lab, slope[4 * p + 3]) * sd[:, p, None] for p in range(most)], axis=-1
        )

    def lab_slopes(self, reflectance: Array) -> Array:
        """How reflectance moves L*, a*, b*, shape (tiles, 3, 36)."""
        xyz = self.seen.xyz(reflectance)
        here = self.seen.lab(reflectance)
        step = STEP * self.seen.white
        by_xyz = np.stack(
            [(lab_of(xyz + step * (np.arange(3) == axis), self.seen.white) - here) / step[axis] for axis in range(3)],
            axis=-1,
        )
        return np.asarray(by_xyz @ self.seen.weights.T)


def axis_error(tile: FiredTile) -> float:
    """Return the standard error of a reading in each of three even directions, from its expected difference."""
    return max(tile.error or number("tile_error"), LEAST_ERROR) / THREE_AXES


def even_axes(lab: npt.ArrayLike) -> Array:
    """Turn differences of L*, a*, b* at a colour so that all directions count about as an eye counts them.

    Parameters
    ----------
    lab : array_like, shape (3,)
        The colour.

    Returns
    -------
    ndarray, shape (3, 3)
        Rows: lightness, chroma and hue; differences of chroma shrink as in CIE94.
    """
    _, a, b = np.asarray(lab, dtype=np.float64)
    chroma = float(np.hypot(a, b))
    along = np.array([0.0, a, b]) / chroma if chroma > 0 else np.array([0.0, 1.0, 0.0])
    across = np.array([0.0, -along[2], along[1]])
    return np.stack([[1.0, 0.0, 0.0], along / (1 + CHROMA * chroma), across / (1 + HUE * chroma)])


def off(lab: npt.ArrayLike, other: npt.ArrayLike) -> float:
    """Return CIEDE2000 between two colours."""
    return float(ciede2000(lab, other))
