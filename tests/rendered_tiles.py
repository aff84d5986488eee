"""What enamel on metal would look like by another way of reckoning than the product's, to test the product against.

Light is followed in many directions through each coat (discrete ordinates, layers doubled and added;
J. F. de Haan, P. B. Bosma & J. W. Hovenier, Astron. Astrophys. 183 (1987) 371, from memory), with Fresnel's
law at the metal and at the surface for each direction. Nothing here comes from the product. What the
product assumes does not hold here: metal smears light over lobes of several widths, a coat is thin in one place
and thick in another, scattering is no power law and throws light forward, absorption has narrow bands.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

NM = np.arange(380.0, 731.0, 5.0)
#: Refractive index of the glass.
GLASS = 1.52
#: Directions beyond and within the critical angle; forward throw of scattering and terms of its series.
OUTER, INNER, TERMS = 5, 6, 12
#: Optical depth at which doubling begins.
THIN = 2e-4
#: Where a coat is thin and thick: share of its mean thickness, and how much of the tile.
UNEVEN = ((0.8, 0.2), (1.0, 0.6), (1.2, 0.2))
_BANDS = np.arange(380, 731, 10)
_METALS = Path(__file__).parents[1] / "src" / "enamelwright" / "reference" / "colour" / "metals_nk.csv"


@dataclass(frozen=True)
class Glass:
    """One jar: absorption and scattering of a straight path [1/mm] at `NM`, and how far forward it scatters."""

    name: str
    absorbs: Array
    scatters: Array
    forward: float = 0.0


@dataclass(frozen=True)
class Tile:
    """Coats from the metal outward with true mean thickness [mm], on metal of some finish."""

    metal: Sheet
    coats: tuple[tuple[Glass, float], ...]
    satin: float = 0.5
    lobe: float = 0.2
    even: bool = field(default=False)


def _directions() -> tuple[Array, Array]:
    """Cosines and weights inside glass; the last looks straight down, the last but one is lamps at 45 degrees."""
    critical = np.sqrt(1 - 1 / GLASS**2)
    x, w = np.polynomial.legendre.leggauss(OUTER)
    below, w_below = (x + 1) / 2 * critical, w / 2 * critical
    # Radau: one point is the upright itself
    p = np.polynomial.legendre.Legendre.basis(INNER - 1) + np.polynomial.legendre.Legendre.basis(INNER)
    x = np.sort(-np.real(p.roots()))
    x[-1] = 1.0
    w = np.array([2 / INNER**2 if i == INNER - 1 else 0.0 for i in range(INNER)])
    base = np.polynomial.legendre.Legendre.basis(INNER - 1)
    w[:-1] = (1 + x[:-1]) / (INNER**2 * base(-x[:-1]) ** 2)
    above, w_above = critical + (x + 1) / 2 * (1 - critical), w / 2 * (1 - critical)
    lamp = np.sqrt(1 - 0.5 / GLASS**2)
    return np.concatenate([below, above[:-1], [lamp], above[-1:]]), np.concatenate(
        [w_below, w_above[:-1], [1e-9], w_above[-1:]]
    )


MU, WEIGHT = _directions()
_INSIDE = np.sqrt(1 - 1 / GLASS**2) < MU


def _fresnel(n1: complex | Array, n2: complex | Array, cosine: Array) -> Array:
    sine2 = (n1 / n2) ** 2 * (1 - cosine**2)
    other = np.sqrt((1 - sine2).astype(complex))
    s = (n1 * cosine - n2 * other) / (n1 * cosine + n2 * other)
    p = (n2 * cosine - n1 * other) / (n2 * cosine + n1 * other)
    return np.asarray((np.abs(s) ** 2 + np.abs(p) ** 2) / 2)


@lru_cache(maxsize=16)
def _table(name: str) -> Array:
    """n + ik of one optical table, on its own bands."""
    rows = {r["part"]: r for r in csv.DictReader(_METALS.read_text().splitlines()) if r["metal"] == name}
    n, k = (np.array([float(rows[part][f"w{nm}"]) for nm in _BANDS]) for part in ("n", "k"))
    return np.asarray(n + 1j * k)


@dataclass(frozen=True, eq=False)
class Sheet:
    """A metal as it really is: n + ik at `NM`."""

    name: str
    index: npt.NDArray[np.complex128]


def sheets(seed: int) -> dict[str, Sheet]:
    """Sheets of three metals: somewhere between and beyond two published tables, and some nanometres beside them."""
    rng = np.random.default_rng(1000 + seed)
    found = {}
    for name in ("copper", "silver", "gold"):
        part = rng.uniform(0.0, 1.2)
        table = (1 - part) * _table(name) + part * _table(f"{name}_alt_mcpeak")
        moved = NM + rng.normal(0, 4)
        index = np.interp(moved, _BANDS, table.real) + 1j * np.interp(moved, _BANDS, table.imag)
        found[name] = Sheet(name, index * (1 + 0.02 * rng.normal()))
    return found


def _base(tile: Tile) -> Array:
    """How the metal sends light from each direction into each: (bands, out, in)."""
    mirror = _fresnel(GLASS, tile.metal.index[:, None], MU[None, :])
    flux = WEIGHT * MU
    sharp = np.eye(len(MU))
    even = np.ones_like(sharp) * 2 * flux[None, :]
    mixed = (1 - tile.satin) * ((1 - tile.lobe) * sharp + tile.lobe * _smear()) + tile.satin * even
    return np.asarray(mirror[:, None, :] * mixed[None])


@lru_cache(maxsize=1)
def _smear() -> Array:
    """Light thrown about its mirrored direction: lobes of two widths, no energy lost, the same both ways."""
    flux = WEIGHT * MU
    found = np.zeros((len(MU), len(MU)))
    angle = np.arccos(MU)
    for width, share in ((0.06, 0.5), (0.25, 0.5)):
        kernel = np.exp(-((angle[:, None] - angle[None, :]) ** 2) / (2 * width**2))
        for _ in range(200):  # Sinkhorn's balancing
            kernel = kernel / (kernel @ flux)[:, None]
            kernel = (kernel + kernel.T) / 2
        found += share * kernel * flux[None, :]
    return found


def _thrown(forward: float) -> tuple[Array, Array]:
    """Share of scattered light from each direction into each, onward and back, averaged round the upright."""
    onward = np.zeros((len(MU), len(MU)))
    back = np.zeros_like(onward)
    for term in range(TERMS):
        p = np.polynomial.legendre.Legendre.basis(term)(MU)
        onward += (2 * term + 1) * forward**term * np.outer(p, p)
        back += (2 * term + 1) * (-forward) ** term * np.outer(p, p)
    total = (onward + back) @ WEIGHT / 2
    return onward / total[:, None], back / total[:, None]


_LAYERS: dict[tuple[int, float], tuple[Glass, Array, Array]] = {}


def _layer(glass: Glass, thickness: float) -> tuple[Array, Array]:
    """Operators of one coat: what it sends back and lets through, (bands, out, in)."""
    key = (id(glass), thickness)
    if key in _LAYERS and _LAYERS[key][0] is glass:
        return _LAYERS[key][1:]
    depth = (glass.absorbs + glass.scatters) * thickness
    eye = np.eye(len(MU))
    if not np.any(glass.scatters > 0):
        through = np.exp(-depth[:, None] / MU[None, :])[:, None, :] * eye
        result = np.zeros_like(through), through
    else:
        times = max(0, int(np.ceil(np.log2(depth.max() / MU.min() / THIN))))
        step = thickness / 2**times
        onward, back = _thrown(glass.forward)
        gain = (glass.scatters * step / 2)[:, None, None] * (WEIGHT[None, :] / MU[:, None])[None]
        through = np.exp(-(depth / 2**times)[:, None] / MU[None, :])[:, None, :] * eye + gain * onward
        sent = gain * back
        for _ in range(times):
            between = np.linalg.solve(eye - sent @ sent, through)
            sent, through = sent + through @ sent @ between, through @ between
        result = sent, through
    if len(_LAYERS) > 400:
        _LAYERS.clear()
    _LAYERS[key] = (glass, *result)
    return result


def _seen_even(tile: Tile, tent: bool) -> Array:
    below = _base(tile)
    eye = np.eye(len(MU))
    for glass, thickness in tile.coats:
        sent, through = _layer(glass, thickness)
        below = sent + through @ below @ np.linalg.solve(eye - sent @ below, through)
    inner = np.where(_INSIDE, _fresnel(GLASS, 1.0, MU), 1.0)
    enters = np.where(_INSIDE, 1 - inner, 0.0) * GLASS**2
    if tent:
        light = np.ones(len(MU))
    else:
        light = np.zeros(len(MU))
        light[-2] = 1 / (2 * MU[-2] * WEIGHT[-2] * GLASS**2)
    down = np.linalg.solve(
        eye - inner[None, :, None] * below, np.broadcast_to((enters * light)[:, None], (len(NM), len(MU), 1))
    )
    up = (below @ down)[:, -1, 0] * (1 - inner[-1]) / GLASS**2
    return np.asarray(up + (inner[-1] if tent else 0.0))


def render(tile: Tile, tent: bool = True) -> Array:
    """Reflectance factor at `NM`, looked at straight on: in a white tent (gloss and all), or by two lamps at 45 degrees."""
    if tile.even or not tile.coats:
        return _seen_even(tile, tent)
    *lower, (top, thickness) = tile.coats
    return np.asarray(
        sum(share * _seen_even(replace(tile, coats=(*lower, (top, thickness * part))), tent) for part, share in UNEVEN)
    )


def _bell(middle: float, width: float) -> Array:
    return np.exp(-((NM - middle) ** 2) / (2 * width**2))


def _edge(middle: float, width: float) -> Array:
    return 1 / (1 + np.exp((NM - middle) / width))


def jars(seed: int) -> dict[str, Glass]:
    """Seven jars nobody ever sold, a little different for each seed."""
    rng = np.random.default_rng(seed)

    def some(value: float, spread: float = 0.15) -> float:
        return float(value * np.exp(rng.normal(0, spread)))

    def at(value: float) -> float:
        return float(value + rng.normal(0, 5))

    narrow = sum(some(0.12) * _bell(rng.uniform(420, 690), rng.uniform(6, 14)) for _ in range(3))
    haze = 0.6 + 0.4 * (550 / NM) ** 2 + 0.15 * _bell(at(470), 40)
    none = np.zeros_like(NM)
    blue = some(4.5) * (0.6 * _bell(at(540), 18) + 0.9 * _bell(at(592), 22) + _bell(at(645), 20)) + some(0.06)
    turquoise = some(9.0) * _bell(at(800), 95) + some(1.2) * _edge(at(395), 9) + some(0.1)
    ruby = some(5.5) * _bell(at(528), 30) + some(1.8) * _edge(at(470), 45) + some(0.05)
    amber = some(8.0) * _edge(at(440), 26) + some(0.9) * _bell(at(480), 50) + some(0.08)
    return {
        "flux": Glass("flux", some(0.03) + 0.04 * _edge(at(400), 15), none),
        "white": Glass("white", some(0.05) + 0.3 * _edge(at(395), 8), some(60.0) * haze, 0.5),
        "blue": Glass("blue", blue + narrow, none),
        "turquoise": Glass("turquoise", turquoise + narrow, some(0.12) * haze, 0.3),
        "ruby": Glass("ruby", ruby + narrow, none),
        "amber": Glass("amber", amber + narrow, none),
        "orange": Glass("orange", some(30.0) * _edge(at(575), 9) + some(0.25) + narrow, some(22.0) * haze, 0.5),
    }
