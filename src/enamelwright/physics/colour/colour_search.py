"""Every stack of up to three coats over every metal, coloured at once.

A coat at one thickness is a *leaf*. Its action on what lies below is a Möbius map, and so is the air surface,
so leaf and surface together become one: with R below,

    R0 + T0² R / (1 - R0 R)   under the surface   c q / (1 - k2 q)   gives   c (a + g R / (1 - d R)),

which is one division a band. The mirror channel is the same with R0 = 0. Bands stand in rows, stacks in columns,
single precision; what differs between leaves is then one number a row, and the weights of the light are folded into
the last product. Blocks are kept short enough for the cache.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_shortlist import MOST_COATS, Stacks
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import internal_reflectance, layer, normal_reflectance

Array = npt.NDArray[np.float64]
Single = npt.NDArray[np.float32]
Codes = npt.NDArray[np.uint32]
Mask = npt.NDArray[np.bool_]
Rows = npt.NDArray[np.int64]

#: Stacks of one block: its rows of bands stay in the caches of an ordinary machine.
BLOCK = 8192
#: A leaf hides when its ground, black or white, changes no band by more than this (assumption; half a step of L*).
HIDING = 0.02


@dataclass(frozen=True, eq=False)
class Leaves:
    """Coats to choose from, each a jar at one thickness.

    Parameters
    ----------
    reflected, passed : ndarray, shape (leaves, 36)
        Diffuse reflectance and transmittance of the layer alone.
    straight, clear : ndarray, shape (leaves, 36)
        What a straight path there and back keeps, exp(-(K + S) d); what of it is not scattered, exp(-S d).
    index : ndarray, shape (leaves,)
        Refractive index, for the air surface when the leaf is on top.
    """

    reflected: Array
    passed: Array
    straight: Array
    clear: Array
    index: Array

    @classmethod
    def of(
        cls, absorption: npt.ArrayLike, scattering: npt.ArrayLike, thickness: npt.ArrayLike, index: npt.ArrayLike
    ) -> Leaves:
        """Build leaves from layers.

        Parameters
        ----------
        absorption, scattering : array_like, shape (leaves, 36)
            K and S [1/m].
        thickness, index : array_like, shape (leaves,)
            Fired [m]; refractive index.

        Raises
        ------
        InputError
            When the numbers do not fit together.
        """
        k, s = np.asarray(absorption, np.float64), np.asarray(scattering, np.float64)
        d, n = np.asarray(thickness, np.float64)[:, np.newaxis], np.asarray(index, np.float64)
        if k.shape != (len(n), BANDS.size) or s.shape != k.shape or d.shape != (len(n), 1):
            raise InputError(f"a leaf needs {BANDS.size} numbers of K and of S, a thickness and an index")
        return cls(*layer(k, s, d), np.exp(-(k + s) * d), np.exp(-s * d), n)

    def __len__(self) -> int:
        """Return how many leaves there are."""
        return len(self.index)

    @property
    def hiding(self) -> Mask:
        """Which leaves let so little through that nobody sees what lies below: T0² / (1 - R0) is nearly nothing."""
        return np.asarray(np.max(self.passed**2 / (1 - self.reflected), axis=1) < HIDING)


@dataclass(frozen=True, eq=False)
class Grounds:
    """Metals as each leaf sees them from inside its glass.

    Parameters
    ----------
    normal, hemispherical : ndarray, shape (metals, leaves, 36)
        Reflectance straight down and for diffuse light, under the glass of the leaf.
    """

    normal: Array
    hemispherical: Array


def every_stack(
    leaves: Leaves,
    grounds: Grounds,
    weights: npt.ArrayLike,
    *,
    h: float = 1.0,
    v: float = 1.0,
    coats: int = MOST_COATS,
    over: Mask | None = None,
    on_metal: Mask | None = None,
) -> Stacks:
    """Colour every stack of one coat to `coats` coats.

    Parameters
    ----------
    leaves : Leaves
        Coats to choose from.
    grounds : Grounds
        Metals under them.
    weights : array_like, shape (36, 3)
        Of the light and observer.
    h, v : float
        Finish of the metal, 0 mirror to 1 satin; what the metal mirrors, 0 dark to 1 bright.
    coats : int
        Most coats, 1 to 3.
    over : ndarray of bool, shape (leaves, leaves), optional
        Whether the second may lie on the first; everything may when left out.
    on_metal : ndarray of bool, shape (metals, leaves), optional
        Whether a leaf may lie on a metal; everything may when left out.

    Returns
    -------
    Stacks
        In an order that only depends on what was given.

    Raises
    ------
    InputError
        When there are more stacks than can be told apart, or the coats cannot be counted.

    Notes
    -----
    Agrees with :func:`~.stack_optics.stack_reflectance` to the rounding of single precision;
    tests/physics/test_colour_search.py.
    """
    metals, many = grounds.normal.shape[0], len(leaves)
    if not 1 <= coats <= MOST_COATS:
        raise InputError(f"an exhaustive search lays 1 to {MOST_COATS} coats")
    if metals * (many + 1) ** MOST_COATS > np.iinfo(np.uint32).max:
        raise InputError("there are more stacks than can be searched", "Choose fewer jars or thicknesses.")
    lie = np.ones((many, many), bool) if over is None else over
    touch = np.ones((metals, many), bool) if on_metal is None else on_metal
    tops = [_Top.of(leaves, n, np.asarray(weights, np.float64), h, v) for n in range(many)]
    told = _Told.begin(_how_many(touch, lie, coats), max(BLOCK, metals * many))
    bare = [_metal(grounds, n, touch[:, n], many) for n in range(many)]
    for top, level in zip(tops, bare, strict=True):
        told.colour(top, level, slice(0, level.many), 1)
    below = bare
    for height in range(2, coats + 1):
        level = _laid(below, leaves, height - 1)
        below = [level.taken(lie[:, n]) for n in range(many)] if height < coats else []
        for low, high in _blocks(level.first):
            for top in tops:
                for start, stop in _runs(lie[low:high, top.leaf]):
                    columns = slice(int(level.first[low + start]), int(level.first[low + stop]))
                    told.colour(top, level, columns, height)
    return Stacks(told.lab, told.code, many)


def _how_many(touch: Mask, lie: Mask, coats: int) -> int:
    """Count the stacks of one coat to `coats` coats."""
    by_leaf = [touch.sum(axis=0)]
    for _ in range(coats - 1):
        by_leaf.append(by_leaf[-1] @ lie)
    return int(sum(one.sum() for one in by_leaf))


@dataclass(frozen=True, eq=False)
class _Level:
    """Unfinished stacks in columns, those with the same uppermost leaf together.

    `below` is their diffuse reflectance, `straight` what a straight path brings back of the metal's, `clear` what
    stays unscattered, each (36, stacks); `first` is where each uppermost leaf begins.
    """

    below: Single
    straight: Single
    clear: Single
    code: Codes
    first: Rows

    @property
    def many(self) -> int:
        return len(self.code)

    def taken(self, which: Mask) -> _Level:
        """Return the stacks whose uppermost leaf is one of these."""
        if which.all():
            return self
        rows = np.repeat(which, np.diff(self.first))
        return _Level(self.below[:, rows], self.straight[:, rows], self.clear[:, rows], self.code[rows], self.first)


def _metal(grounds: Grounds, leaf: int, touch: Mask, leaves: int) -> _Level:
    """Return bare metals as one leaf sees them."""
    below, straight = (
        np.ascontiguousarray(one[touch, leaf].T, np.float32) for one in (grounds.hemispherical, grounds.normal)
    )
    code = (np.flatnonzero(touch) * (leaves + 1) ** MOST_COATS).astype(np.uint32)
    return _Level(below, straight, np.ones_like(below), code, np.array([0, below.shape[1]]))


def _laid(parts: list[_Level], leaves: Leaves, height: int) -> _Level:
    """Lay each leaf on its stacks: the next level."""
    first = np.cumsum([0, *(level.many for level in parts)])
    below, straight, clear = (np.empty((BANDS.size, first[-1]), np.float32) for _ in range(3))
    code = np.empty(first[-1], np.uint32)
    for leaf, level in enumerate(parts):
        at = slice(int(first[leaf]), int(first[leaf + 1]))
        r, t2, path, free = (
            np.asarray(one[leaf], np.float32)[:, np.newaxis]
            for one in (leaves.reflected, leaves.passed**2, leaves.straight, leaves.clear)
        )
        below[:, at] = r + t2 * level.below / (1 - r * level.below)
        np.multiply(level.straight, path, out=straight[:, at])
        np.multiply(level.clear, free, out=clear[:, at])
        code[at] = level.code + _digit(leaf, height, len(leaves))
    return _Level(below, straight, clear, code, first)


def _digit(leaf: int, height: int, leaves: int) -> np.uint32:
    """Return what a leaf at a height, from 1 at the metal, adds to the code of a stack."""
    return np.uint32((leaf + 1) * (leaves + 1) ** (MOST_COATS - height))


def _blocks(first: Rows) -> Iterator[tuple[int, int]]:
    """Cut groups of columns into blocks that fit the cache."""
    low, last = 0, len(first) - 1
    for group in range(1, last + 1):
        if group == last or first[group + 1] - first[low] > BLOCK:
            yield low, group
            low = group


def _runs(which: Mask) -> Iterator[tuple[int, int]]:
    """Return where stretches of true begin and end."""
    edge = np.flatnonzero(np.diff(np.concatenate([[False], which, [False]]).astype(np.int8)))
    return zip(edge[::2].tolist(), edge[1::2].tolist(), strict=True)


@dataclass(frozen=True, eq=False)
class _Top:
    """One leaf with the air on it: what turns a level into colours, the weights of the light folded in.

    XYZ over white is `constant` + `per_t` t + `per_clear` clear + `per_both` clear t + `per_mirror` m, with
    t = R / (1 - d R) and m = x / (1 - x), where x = `bounce` straight.
    """

    leaf: int
    leaves: int
    mixed: bool
    d: Single
    bounce: Single
    constant: Single
    per_t: Single
    per_clear: Single
    per_both: Single
    per_mirror: Single

    @classmethod
    def of(cls, leaves: Leaves, n: int, weights: Array, h: float, v: float) -> _Top:
        """Fold one leaf, its surface and the light together."""
        share = (weights / weights.sum(axis=0)).T
        k1, k2 = float(normal_reflectance(leaves.index[n])), float(internal_reflectance(leaves.index[n]))
        r, t2 = leaves.reflected[n], leaves.passed[n] ** 2
        inside, lost = 1 - k2 * r, t2 - r**2
        a, d = r / inside, (r + k2 * lost) / inside
        g = lost / inside + a * d
        c, scattered = (1 - k1) * (1 - k2), (1 - h) * leaves.clear[n]
        parts = (
            d[:, np.newaxis],
            (k1 * leaves.straight[n])[:, np.newaxis],
            (c * share @ a)[:, np.newaxis],
            c * share * g,
            -c * share * (scattered * a),
            -c * share * (scattered * g),
            (1 - h) * v * (1 - k1) ** 2 / k1 * share,
        )
        return cls(n, len(leaves), h < 1, *(np.ascontiguousarray(one, np.float32) for one in parts))

    def shares(self, level: _Level, columns: slice, room: Single) -> Single:
        """Return XYZ over white of this leaf on some stacks of a level, (3, stacks); `room` is for its workings."""
        below = level.below[:, columns]
        t, rest = (part[:, : below.shape[1]] for part in room)
        np.multiply(below, self.d, out=t)
        np.subtract(1, t, out=t)
        np.divide(below, t, out=t)
        found = self.per_t @ t
        found += self.constant
        if self.mixed:
            clear = level.clear[:, columns]
            found += self.per_clear @ clear
            t *= clear
            found += self.per_both @ t
            np.multiply(level.straight[:, columns], self.bounce, out=t)
            np.subtract(1, t, out=rest)
            np.divide(t, rest, out=t)
            found += self.per_mirror @ t
        return np.asarray(found)


@dataclass(eq=False)
class _Told:
    """The colours as they are found, and room for workings that is asked of the machine only once."""

    lab: Single
    code: Codes
    room: Single
    at: int = 0

    @classmethod
    def begin(cls, stacks: int, widest: int) -> _Told:
        """Make room for all of them, and for the widest block."""
        # Lab by rows of stacks, but each of L*, a* and b* together in memory.
        lab = np.empty((3, stacks), np.float32).T
        return cls(lab, np.empty(stacks, np.uint32), np.empty((2, BANDS.size, widest), np.float32))

    def colour(self, top: _Top, level: _Level, columns: slice, height: int) -> None:
        """Colour one leaf, with the air on it, on some stacks of a level."""
        share = top.shares(level, columns, self.room)
        part = slice(self.at, self.at + share.shape[1])
        _lab_into(share, self.lab[part])
        np.add(level.code[columns], _digit(top.leaf, height, top.leaves), out=self.code[part])
        self.at = part.stop


def _lab_into(share: Single, lab: Single) -> None:
    """Write CIELAB of XYZ over white, as :func:`~.colour_space.lab_of` does, in single precision."""
    dark = share < _KNEE
    curved = np.cbrt(share)
    if dark.any():
        curved[dark] = _STEEP * share[dark] + _STEP
    np.multiply(curved[1], _L, out=lab[:, 0])
    lab[:, 0] -= _L_FROM
    np.multiply(curved[0] - curved[1], _A, out=lab[:, 1])
    np.multiply(curved[1] - curved[2], _B, out=lab[:, 2])


#: CIELAB is a cube root above this share of white and a straight line below (CIE 15): 216/24389.
_KNEE = np.float32(216 / 24389)
# The straight line over 116, and the scales of L*, a* and b*, all of CIE 15.
_STEEP, _STEP = np.float32(24389 / 27 / 116), np.float32(16 / 116)
_L, _L_FROM, _A, _B = np.float32(116), np.float32(16), np.float32(500), np.float32(200)
