"""Many stacks with their colours, and the nearest of them to a target: by looking at all, or by an index."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from enamelwright.physics.colour.colour_difference import ciede2000, din99d, weighted_difference, weights_at

Array = npt.NDArray[np.float64]
Single = npt.NDArray[np.float32]
Rows = npt.NDArray[np.int64]

#: Colours ranked at once.
RANKED = 65536
#: Edge of a cell of the colour space in which stacks lie together, in DIN99d units: below what eyes tell apart.
CELL = 0.5
#: Stacks gathered for each one wanted before they are ranked, so that hardly a nearer one is missed.
GATHERED = 8
#: Stacks ranked by CIEDE2000 when nobody says how many.
LISTED = 200
#: Cells asked for at first.
FIRST_CELLS = 64
#: Most coats of a stack.
MOST_COATS = 3


@dataclass(frozen=True)
class Stacks:
    """Stacks with their colours.

    Parameters
    ----------
    lab : ndarray, shape (stacks, 3)
        Single precision, in the light of the weights.
    code : ndarray, shape (stacks,)
        Which stack, packed; read it with :meth:`parts`.
    leaves : int
        How many leaves there were to choose from.
    """

    lab: Single
    code: npt.NDArray[np.uint32]
    leaves: int

    def __len__(self) -> int:
        """Return how many stacks there are."""
        return len(self.code)

    def parts(self, which: int) -> tuple[int, tuple[int, ...]]:
        """Return (metal, leaves from the metal outward) of one stack.

        Parameters
        ----------
        which : int
            Its row.
        """
        rest, found = int(self.code[which]), []
        for _ in range(MOST_COATS):
            rest, leaf = divmod(rest, self.leaves + 1)
            if leaf:
                found.append(leaf - 1)
        return rest, tuple(reversed(found))

    def made_of(self, allowed: npt.NDArray[np.bool_]) -> Stacks:
        """Return the stacks that have no other leaves than those allowed.

        Parameters
        ----------
        allowed : ndarray, shape (leaves + 1,)
            First whether a place may stay without a coat, then each leaf.
        """
        rest, kept = self.code, np.ones(len(self), np.bool_)
        for _ in range(MOST_COATS):
            rest, leaf = np.divmod(rest, np.uint32(self.leaves + 1))
            kept &= allowed[leaf]
        return Stacks(self.lab[kept], self.code[kept], self.leaves)

    def best(self, target: npt.ArrayLike, count: int = LISTED) -> Rows:
        """Return rows of the stacks nearest to a target, all of them looked at, the nearest first.

        Ranked by the weighted difference, the best of those again by CIEDE2000.

        Parameters
        ----------
        target : array_like, shape (3,)
            Lab.
        count : int
            How many to rank at the end.
        """
        aim = np.asarray(target, np.float64)
        away = np.empty(len(self), np.float32)
        for part in _parts(len(self), RANKED):
            away[part] = _away(aim, self.lab[part])
        return self._ranked(aim, _least(away, count))

    def nearest(self, target: npt.ArrayLike, count: int = LISTED) -> Rows:
        """Return the same from the index of colours, in a few milliseconds once that is built.

        Parameters
        ----------
        target : array_like, shape (3,)
            Lab.
        count : int
            How many to rank at the end.
        """
        if not len(self):
            return np.zeros(0, np.int64)
        aim = np.asarray(target, np.float64)
        tree, first, order = self._cells
        wanted, near = min(GATHERED * count, len(self)), min(FIRST_CELLS, tree.n)
        cells = np.atleast_1d(tree.query(din99d(aim), k=near)[1])
        while near < tree.n and int((first[cells + 1] - first[cells]).sum()) < wanted:
            near = min(4 * near, tree.n)
            cells = np.atleast_1d(tree.query(din99d(aim), k=near)[1])
        rows = np.concatenate([order[first[cell] : first[cell + 1]] for cell in cells])
        return self._ranked(aim, rows[_least(weighted_difference(aim, self.lab[rows]), count)])

    def indexed(self) -> Stacks:
        """Return these stacks with the index of colours built, rather than at the first question."""
        if len(self):
            _ = self._cells
        return self

    def _ranked(self, target: Array, rows: Rows) -> Rows:
        away = ciede2000(target, self.lab[rows])
        return rows[np.lexsort((self.code[rows], away))]

    @cached_property
    def _cells(self) -> tuple[Any, Rows, Rows]:
        """Return a KD-tree over the occupied cells of DIN99d, where each cell begins, and the stacks by cell."""
        from scipy.spatial import cKDTree

        place = np.empty((len(self), 3), np.int32)
        for part in _parts(len(self), RANKED):
            place[part] = np.floor(din99d(self.lab[part]) / CELL)
        place -= place.min(axis=0)
        wide = place.max(axis=0).astype(np.int64) + 1
        key = (place[:, 0] * wide[1] + place[:, 1]) * wide[2] + place[:, 2]
        order = np.argsort(key, kind="stable")
        key = key[order]
        first = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]]))
        return cKDTree(din99d(self.lab[order[first]])), np.append(first, len(key)), order


def _parts(many: int, size: int) -> Iterator[slice]:
    """Cut a long row into parts."""
    return (slice(start, start + size) for start in range(0, many, size))


def _away(target: Array, lab: Single) -> Single:
    """Return the square of the weighted difference of many colours, in single precision."""
    sl, sc, sh = (np.float32(1 / one**2) for one in weights_at(target))
    light, red, yellow = (lab[:, n] for n in range(3))
    at = target.astype(np.float32)
    chroma = red * red
    chroma += yellow * yellow
    np.sqrt(chroma, out=chroma)
    chroma -= np.float32(np.hypot(target[1], target[2]))
    chroma *= chroma
    hue = (red - at[1]) ** 2
    hue += (yellow - at[2]) ** 2
    hue -= chroma
    np.maximum(hue, 0, out=hue)
    hue *= sh
    chroma *= sc
    found = (light - at[0]) ** 2
    found *= sl
    found += chroma
    found += hue
    return np.asarray(found)


def _least(away: npt.NDArray[Any], count: int) -> Rows:
    """Return where the smallest stand, in no order."""
    if len(away) <= count:
        return np.arange(len(away))
    return np.argpartition(away, count)[:count]
