"""Fits the colour of jars to fired tiles: absorption and scattering with how sure they are, finish, metals; alarms.

All jars with tiles on the same metal finish are best fitted together: the finish is theirs in common, and
a wrong one goes unseen unless there are tiles on white and on metal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, TileStack
from enamelwright.craft.colour.jar_optics import class_of, index_of
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.colour.photo_colours import number
from enamelwright.craft.jar import Jar, OpticsFacet
from enamelwright.errors import InputError
from enamelwright.learning.tile_model import OF_METAL, Layout, TileModel, axis_error, even_axes, off
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import layer, over
from enamelwright.physics.colour.stack_optics import scattering_at_bands
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]
Level = Literal["watch", "stop"]

#: Most steps of the search, the least gain worth another, and how damping starts, falls and rises.
MOST_STEPS, LEAST_GAIN = 60, 1e-5
DAMPING, EASIER, HARDER, TOO_HARD = 1e-2, 0.3, 4.0, 1e8
#: Rows of a covariance that are kept: what is left out is far below what a photo shows.
ROWS_KEPT = 16
#: Digits kept of a fitted number.
DIGITS = 5
#: Added to what other tiles leave open, so that it can always be divided by.
ALONE = 1e-6
#: Fewest tiles that are more than a stopgap.
FEWEST = 3


@dataclass(frozen=True)
class Alarm:
    """Something the maker should know of a fit.

    Attributes
    ----------
    level : str
        ``watch`` or ``stop``.
    words : str
        What it is and what it may mean.
    """

    level: Level
    words: str


@dataclass(frozen=True)
class TileFit:
    """One tile beside the fit.

    Attributes
    ----------
    name : str
        The tile.
    seen, model : tuple of float
        L*, a*, b* as read and as the fit has it.
    off : float
        Between the two [CIEDE2000].
    left_out : float
        The same when the other tiles alone predict it, about; without the error its photo shares with others.
    expected : float
        What `left_out` was expected to be at most in two of three cases.
    thickness : float
        Factor on the told thickness of its uppermost coat.
    """

    name: str
    seen: tuple[float, float, float]
    model: tuple[float, float, float]
    off: float
    left_out: float
    expected: float
    thickness: float


@dataclass(frozen=True, eq=False)
class JarCurve:
    """The fitted numbers of one jar.

    Attributes
    ----------
    jar : str
        Id.
    absorption : ndarray, shape (36,)
        K [1/m].
    scattering, power, index : float
        S at 550 nm [1/m], how it falls with wavelength, refractive index.
    covariance : ndarray, shape (38, 38)
        Of ln K, ln S and the power.
    tiles : tuple of str
        Tiles it stands on.
    hidden : tuple of int
        Bands [nm] at which it hides on all its tiles, so that only K/S is known.
    """

    jar: str
    absorption: Array
    scattering: float
    power: float
    index: float
    covariance: Array
    tiles: tuple[str, ...]
    hidden: tuple[int, ...]

    def facet(self, of: Jar) -> OpticsFacet:
        """Return the optics of a jar with this fit in place of an earlier one.

        Parameters
        ----------
        of : Jar
            The jar as described.
        """
        size, turn = np.linalg.eigh(self.covariance)
        rows = (np.sqrt(np.maximum(size, 0.0))[:, None] * turn.T)[::-1][:ROWS_KEPT]
        return of.optics.model_copy(
            update={
                "absorption": tuple(_short(one) for one in self.absorption),
                "scattering": _short(self.scattering),
                "scattering_power": _short(max(self.power, 0.0)),
                "index": self.index,
                "covariance": tuple(tuple(_short(one) for one in row) for row in rows),
                "fitted_from": self.tiles,
            }
        )


@dataclass(frozen=True, eq=False)
class JarFit:
    """What tiles told of jars, metals and finish.

    Attributes
    ----------
    jars : dict of str to JarCurve
        By id.
    finishes : dict of str to (float, float)
        Finish of each named surface, 0 mirror to 1 satin, and its standard error.
    coupons : tuple of MetalCoupon
        Metals that had no coupon before.
    tiles : tuple of TileFit
        Each tile beside the fit.
    alarms : tuple of Alarm
        The worst first.
    unknowns, covariance, layout, bench, stacks
        What the fit was made of and came to, for forecasts.
    """

    jars: dict[str, JarCurve]
    finishes: dict[str, tuple[float, float]]
    coupons: tuple[MetalCoupon, ...]
    tiles: tuple[TileFit, ...]
    alarms: tuple[Alarm, ...]
    unknowns: Array
    covariance: Array
    layout: Layout
    bench: Bench
    stacks: tuple[TileStack, ...]

    @property
    def level(self) -> str:
        """``good``, ``watch`` or ``stop``."""
        levels = {alarm.level for alarm in self.alarms}
        return "stop" if "stop" in levels else "watch" if levels else "good"

    @property
    def off(self) -> float:
        """Mean difference of the tiles from the fit [CIEDE2000]."""
        return float(np.mean([tile.off for tile in self.tiles]))

    def foretell(self, stacks: Sequence[TileStack]) -> tuple[Array, Array]:
        """Return the colours of other stacks of these jars, and how sure they are.

        Parameters
        ----------
        stacks : sequence of TileStack
            Of jars fitted or known, on metals fitted or known.

        Returns
        -------
        lab : ndarray, shape (n, 3)
            For D50 and 2 degrees.
        sure : ndarray, shape (n,)
            Root mean square difference expected from the fit and the thickness, without that of the model itself.
        """
        model = TileModel(stacks, self.layout.jars, self.bench, self.layout)
        lab, spread = _forecast(model, self.unknowns, self.covariance)
        return lab, np.sqrt(np.maximum(np.trace(spread, axis1=1, axis2=2), value("colour/uncertainty/photograph") ** 2))


def fit_jars(tiles: Sequence[FiredTile], bench: Bench, jars: Sequence[str]) -> JarFit:
    """Fit jars to tiles.

    Parameters
    ----------
    tiles : sequence of FiredTile
        With their readings; other jars in them must be known to the bench.
    bench : Bench
        Jars and coupons.
    jars : sequence of str
        Ids or names of the jars to fit.

    Raises
    ------
    InputError
        When a jar has no tile.
    UnknownName
        When a tile names a jar nobody described.

    Notes
    -----
    Damped least squares (Levenberg 1944, Marquardt 1963; from memory); the covariance is that of the
    straightened problem at the best fit.
    """
    fitted = tuple(dict.fromkeys(bench.jar(jar).id for jar in jars))
    used = {bench.jar(coat.jar).id for tile in tiles for coat in tile.coats} if tiles else set()
    for jar in fitted:
        if jar not in used:
            raise InputError(f"no tile of '{jar}' has a colour.", "Read one, or leave the jar out.", "tiles")
    model = TileModel(tiles, fitted, bench)
    unknowns, matrix = _search(model)
    covariance: Array = np.asarray(np.linalg.inv(matrix.T @ matrix), dtype=np.float64)
    told = tuple(_told(model, unknowns, matrix))
    curves = {jar: _curve(model, jar, unknowns, covariance) for jar in fitted}
    layout = model.layout
    finishes = {
        name: _finish(unknowns[layout.finish_at + n], covariance[layout.finish_at + n, layout.finish_at + n])
        for n, name in enumerate(layout.finishes)
    }
    coupons = tuple(
        MetalCoupon(
            metal=metal,
            gain=_short(1 + unknowns[layout.metal_at + OF_METAL * n]),
            tilt=_short(unknowns[layout.metal_at + OF_METAL * n + 1]),
            between=_short(unknowns[layout.metal_at + OF_METAL * n + 2]),
            finish=_only_finish(tiles, model, n, finishes),
            fitted_from=tuple(tile.name for tile, m in zip(tiles, model.metal_of, strict=True) if m == n),
        )
        for n, metal in enumerate(layout.metals)
    )
    alarms = _alarms(model, told, finishes, unknowns, covariance, curves)
    return JarFit(curves, finishes, coupons, told, alarms, unknowns, covariance, layout, bench, tuple(tiles))


def _short(number_: Any) -> float:
    return float(f"{float(number_):.{DIGITS}g}")


def _only_finish(
    tiles: Sequence[FiredTile], model: TileModel, metal: int, finishes: dict[str, tuple[float, float]]
) -> float | None:
    """Return the finish of a metal when all its tiles have one and the same."""
    names = {tile.finish for tile, of in zip(tiles, model.metal_of, strict=True) if of == metal}
    return _short(finishes[names.pop()][0]) if len(names) == 1 and names <= set(finishes) else None


def _finish(logit: float, variance: float) -> tuple[float, float]:
    share = float(1 / (1 + np.exp(-logit)))
    return share, float(share * (1 - share) * np.sqrt(variance))


def _readings(model: TileModel, unknowns: Array) -> tuple[Array, Array]:
    """Return residuals of all readings in their standard errors, and how they move."""
    lab, seen, slopes = model.moves(unknowns)
    by_lab = model.lab_slopes(seen)
    layout, rows, moves = model.layout, [], []
    for n, tile in enumerate(model.tiles):
        assert isinstance(tile, FiredTile)
        if tile.reflectance is not None:
            sigma = number("reflectance_error")
            rows.append((seen[n] - np.array(tile.reflectance)) / sigma)
            moves.append(slopes[n] / sigma)
            continue
        move = by_lab[n] @ slopes[n]
        gap = lab[n] - np.array(tile.lab)
        if tile.photo:
            at = layout.photo_at + 3 * layout.photos.index(tile.photo)
            gap = gap + unknowns[at : at + 3]
            move[:, at : at + 3] += np.eye(3)
        axes = even_axes(tile.lab) / _own_error(tile)  # type: ignore[arg-type]
        rows.append(axes @ gap)
        moves.append(axes @ move)
    return np.concatenate(rows), np.vstack(moves)


def _own_error(tile: FiredTile) -> float:
    """Standard error of a reading that it does not share with others of its photo."""
    error = axis_error(tile)
    return error * float(np.sqrt(1 - number("bias_share") ** 2)) if tile.photo else error


def _search(model: TileModel) -> tuple[Array, Array]:
    """Return the best unknowns, and how all residuals move there."""

    def weigh(unknowns: Array) -> tuple[Array, Array]:
        read, moved = _readings(model, unknowns)
        prior, by = model.prior(unknowns)
        return np.concatenate([read, prior]), np.vstack([moved, by])

    here = model.start()
    rows, matrix = weigh(here)
    cost, damping = float(rows @ rows), DAMPING
    for _ in range(MOST_STEPS):
        square, pull = matrix.T @ matrix, matrix.T @ rows
        step = np.linalg.solve(square + damping * np.diag(np.diag(square)), pull)
        there = model.held(here - step)
        new_rows, new_matrix = weigh(there)
        new = float(new_rows @ new_rows)
        if new < cost:
            gain, here, rows, matrix, cost = (cost - new) / cost, there, new_rows, new_matrix, new
            damping *= EASIER
            if gain < LEAST_GAIN:
                break
        else:
            damping *= HARDER
            if damping > TOO_HARD:
                break
    return here, matrix


def _told(model: TileModel, unknowns: Array, matrix: Array) -> list[TileFit]:
    """Put each tile beside the fit, and beside what the other tiles alone say of it."""
    lab, _, _ = model.moves(unknowns)
    read, _ = _readings(model, unknowns)
    inverse = np.linalg.inv(matrix.T @ matrix)
    found, at = [], 0
    for n, tile in enumerate(model.tiles):
        assert isinstance(tile, FiredTile)
        width = BANDS.size if tile.reflectance is not None else 3
        part = matrix[at : at + width]
        # a reading that decides something alone leaves nothing for the others to foretell
        share = np.eye(width) * (1 + ALONE) - part @ inverse @ part.T
        gap = np.linalg.solve(share, read[at : at + width])
        expected = np.linalg.inv(share)
        seen = tile.lab if tile.lab is not None else tuple(model.seen.lab(np.array(tile.reflectance)))
        here = model.coat_at[n, len(tile.coats) - 1]
        moved = float(np.exp(unknowns[model.layout.after_jars + here])) if here >= 0 else 1.0
        scale = _own_error(tile) if tile.reflectance is None else 1.0
        found.append(
            TileFit(
                tile.name,
                (float(seen[0]), float(seen[1]), float(seen[2])),
                (float(lab[n, 0]), float(lab[n, 1]), float(lab[n, 2])),
                off(lab[n], seen),
                float(np.sqrt(np.sum(gap**2) / width * 3) * scale),
                float(np.sqrt(max(float(np.trace(expected)), 0.0) / width * 3) * scale),
                moved,
            )
        )
        at += width
    return found


def _forecast(model: TileModel, unknowns: Array, covariance: Array) -> tuple[Array, Array]:
    """Return L*, a*, b* of stacks, and their spread along even axes, (n, 3, 3)."""
    lab, seen, slopes = model.moves(unknowns)
    axes = np.stack([even_axes(one) for one in lab])
    moves = axes @ model.lab_slopes(seen) @ slopes
    own = axes @ model.thickness_moves(unknowns)
    return lab, moves @ covariance @ np.swapaxes(moves, 1, 2) + own @ np.swapaxes(own, 1, 2)


def _curve(model: TileModel, jar: str, unknowns: Array, covariance: Array) -> JarCurve:
    place = model.layout.jar(jar)
    part = unknowns[place]
    number_ = model.layout.jars.index(jar)
    on = [n for n in range(len(model.tiles)) if np.any(model.which[n] == number_)]
    k, s = np.exp(part[: BANDS.size]), float(np.exp(part[BANDS.size]))
    at_bands = scattering_at_bands(s, part[-1], value("colour/scattering_at"))
    hides = np.ones(BANDS.size, dtype=bool)
    for n in on:
        depth = float(np.sum(model.told[n][model.which[n] == number_]))
        r, t = layer(k, at_bands, depth)
        hides &= r >= value("colour/hides/contrast") * over(r, t, np.ones(BANDS.size))
    return JarCurve(
        jar, k, s, float(part[-1]), index_of(model.bench.jar(jar)), covariance[place, place],
        tuple(model.tiles[n].name for n in on), tuple(round(float(nm) * 1e9) for nm in BANDS[hides]),
    )  # fmt: skip


def _alarms(
    model: TileModel,
    told: tuple[TileFit, ...],
    finishes: dict[str, tuple[float, float]],
    unknowns: Array,
    covariance: Array,
    curves: dict[str, JarCurve],
) -> tuple[Alarm, ...]:
    found: list[Alarm] = []
    repeat = value("colour/uncertainty/photograph")
    mean = float(np.mean([tile.off for tile in told]))
    why = "a wrong finish or base, a contaminated tile, or light taken otherwise than told"
    if mean > number("residual_stop") * repeat:
        found.append(Alarm("stop", f"the tiles are {mean:.1f} off the fit on average: {why}. Do not use it"))
    elif mean > number("residual_watch") * repeat:
        found.append(Alarm("watch", f"the tiles are {mean:.1f} off the fit on average: {why}"))
    for tile, of in zip(model.tiles, told, strict=True):
        sd = model.sd[model.tiles.index(tile), len(tile.coats) - 1]
        if abs(np.log(of.thickness)) > number("thickness_alarm") * sd:
            found.append(
                Alarm(
                    "watch",
                    f"{tile.name} fits only if its coat is {abs(of.thickness - 1):.0%} "
                    f"{'thicker' if of.thickness > 1 else 'thinner'} than was told: weighing, "
                    "density or powder lost",
                )
            )
        if of.left_out > number("left_out_alarm") * of.expected:
            found.append(Alarm("watch", f"{tile.name} is {of.left_out:.1f} from what the other tiles say of it"))
    prior = number("finish_spread")
    for name, (share, _) in finishes.items():
        n = model.layout.finish_at + model.layout.finishes.index(name)
        known = np.sqrt(covariance[n, n]) < prior / 2
        if known and not number("finish_low") <= share <= number("finish_high"):
            kind = "a mirror" if share < 1 / 2 else "satin"
            found.append(
                Alarm(
                    "watch",
                    f"the metal{f' ({name})' if name else ''} comes out as {kind}: check how the tiles were lit",
                )
            )
    found += _metal_alarms(model, unknowns)
    for jar, curve in curves.items():
        found += _jar_alarms(model, jar, curve)
    return tuple(sorted(found, key=lambda alarm: alarm.level != "stop"))


def _metal_alarms(model: TileModel, unknowns: Array) -> list[Alarm]:
    found = []
    for n, metal in enumerate(model.layout.metals):
        gain, tilt = unknowns[model.layout.metal_at + OF_METAL * n : model.layout.metal_at + OF_METAL * n + 2]
        far = max(abs(gain) / value("colour/metal/gain_sd"), abs(tilt) / value("colour/metal/tilt_sd"))
        if far > number("metal_alarm"):
            found.append(
                Alarm("watch", f"{metal} fits only if it shines {gain:+.0%} beside its tables: is it that metal?")
            )
    return found


def _jar_alarms(model: TileModel, jar: str, curve: JarCurve) -> list[Alarm]:
    found = []
    on = [tile for tile in model.tiles if tile.name in curve.tiles]
    if len(on) == 1 or (len(on) < FEWEST and class_of(model.bench.jar(jar)) != "opaque"):
        found.append(Alarm("watch", f"{jar} stands on {len(on)} tile{'s' if len(on) > 1 else ''}: a stopgap"))
    if len(on) > 1 and class_of(model.bench.jar(jar)) != "opaque":
        white = [any(class_of(model.bench.jar(c.jar)) == "opaque" for c in tile.coats[:-1]) for tile in on]
        if not any(white):
            found.append(Alarm("watch", f"{jar} has no tile over white: a wrong finish would go unseen"))
        elif all(white):
            found.append(Alarm("watch", f"{jar} has no tile over metal: the finish is not known from it"))
    if curve.hidden:
        found.append(
            Alarm(
                "watch",
                f"{jar} hides what is under it at {curve.hidden[0]}-{curve.hidden[-1]} nm on all its tiles: there a "
                "thinner coat is told less surely",
            )
        )
    return found
