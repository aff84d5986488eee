"""Rows with a handful of numbers that are not nought, multiplied without all the others.

A record speaks of one kiln on one day, of a jar, a kind of piece and a coat, whatever else was learned of.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Rows:
    """A matrix of shape (rows, size), most of it nought.

    Attributes
    ----------
    at : ndarray of int, shape (rows, most)
        Places of the numbers; a row with fewer has noughts at place 0.
    value : ndarray, shape (rows, most)
        The numbers.
    size : int
        Length of a whole row.
    """

    at: npt.NDArray[np.int64]
    value: Array
    size: int

    @classmethod
    def of(cls, rows: Sequence[Mapping[int, float]], size: int) -> Rows:
        """Gather rows, each a mapping of place to number.

        Parameters
        ----------
        rows : sequence of mapping
            In order.
        size : int
            Length of a whole row.
        """
        most = max((len(row) for row in rows), default=1) or 1
        at, value = np.zeros((len(rows), most), dtype=np.int64), np.zeros((len(rows), most))
        for k, row in enumerate(rows):
            at[k, : len(row)], value[k, : len(row)] = list(row), list(row.values())
        return cls(at, value, size)

    def take(self, which: npt.NDArray[np.bool_]) -> Rows:
        """Return some of the rows."""
        return Rows(self.at[which], self.value[which], self.size)

    def times(self, state: Array) -> Array:
        """Return the product with a vector of shape (size,), shape (rows,)."""
        return np.asarray(np.sum(self.value * state[self.at], axis=1))

    def back(self, weights: Array) -> Array:
        """Return the sum of all rows, each so many times, shape (size,)."""
        found = np.bincount(self.at.ravel(), (self.value * weights[:, np.newaxis]).ravel(), self.size)
        return np.asarray(found, dtype=np.float64)

    def against(self, weights: Array, other: Rows) -> Array:
        """Return the sum over rows of weight times row times row of the other, shape (size, size)."""
        places = self.at[:, :, np.newaxis] * self.size + other.at[:, np.newaxis, :]
        left = self.value * weights[:, np.newaxis]
        whole = np.bincount(
            places.ravel(), (left[:, :, np.newaxis] * other.value[:, np.newaxis, :]).ravel(), self.size**2
        )
        return np.asarray(whole, dtype=np.float64).reshape(self.size, self.size)

    def spread(self, covariance: Array) -> Array:
        """Return row times covariance times row of each row, shape (rows,)."""
        inner = covariance[self.at[:, :, np.newaxis], self.at[:, np.newaxis, :]]
        return np.asarray(np.einsum("ri,rij,rj->r", self.value, inner, self.value))


@dataclass(frozen=True, eq=False)
class Blocks:
    """The rows of many records, several a record, over the parts that each record speaks of.

    Attributes
    ----------
    at : ndarray of int, shape (records, parts)
        Places of the parts; a record with fewer has place 0 with noughts.
    value : ndarray, shape (records, rows, parts)
        The numbers.
    size : int
        Length of a whole row.
    """

    at: npt.NDArray[np.int64]
    value: Array
    size: int

    @classmethod
    def of(cls, groups: Sequence[Rows], records: int) -> Blocks:
        """Gather rows; each group has equally many a record, those of a record one after the other.

        Parameters
        ----------
        groups : sequence of Rows
            The rows of the first group come first in every record.
        records : int
            How many.
        """
        each: list[dict[int, int]] = [{} for _ in range(records)]
        rows = [len(group.at) // records for group in groups]
        for group, many in zip(groups, rows, strict=True):
            for k, (places, numbers) in enumerate(zip(group.at.tolist(), group.value.tolist(), strict=True)):
                mine = each[k // many]
                for place, number in zip(places, numbers, strict=True):
                    if number:
                        mine.setdefault(place, len(mine))
        most = max((len(mine) for mine in each), default=1) or 1
        at, value = np.zeros((records, most), dtype=np.int64), np.zeros((records, sum(rows), most))
        for k, mine in enumerate(each):
            at[k, : len(mine)] = list(mine)
        first = 0
        for group, many in zip(groups, rows, strict=True):
            for k, (places, numbers) in enumerate(zip(group.at.tolist(), group.value.tolist(), strict=True)):
                for place, number in zip(places, numbers, strict=True):
                    if number:
                        value[k // many, first + k % many, each[k // many][place]] += number
            first += many
        return cls(at, value, groups[0].size)

    def gather(self, slopes: Array, bends: Array) -> tuple[Array, Array]:
        """Return the sums over records of rows times their slopes, and of rows times their bends times rows.

        Parameters
        ----------
        slopes : ndarray, shape (records, rows)
            One a row.
        bends : ndarray, shape (records, rows, rows)
            One a pair of rows of a record.
        """
        slope = np.bincount(self.at.ravel(), np.einsum("mr,mrp->mp", slopes, self.value).ravel(), self.size)
        places = self.at[:, :, np.newaxis] * self.size + self.at[:, np.newaxis, :]
        inner = np.swapaxes(self.value, 1, 2) @ (bends @ self.value)
        whole = np.bincount(places.ravel(), inner.ravel(), self.size**2).reshape(self.size, self.size)
        return np.asarray(slope, dtype=np.float64), np.asarray(whole, dtype=np.float64)
