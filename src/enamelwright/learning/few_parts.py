"""Rows with a handful of numbers that are not nought, gathered a record and multiplied without all the others.

A record speaks of one kiln on one day, of a jar, a kind of piece and a coat, whatever else was learned of. Its rows,
one for each mark of each of its coats, share those parts.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Blocks:
    """The rows of many records, equally many a record, over the parts that each record speaks of.

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
    def of(cls, records: Sequence[Sequence[Mapping[int, float]]], size: int) -> Blocks:
        """Gather the rows of records, each row a mapping of place to number.

        Parameters
        ----------
        records : sequence of sequence of mapping
            Equally many rows each.
        size : int
            Length of a whole row.
        """
        spoken = [sorted({place for row in rows for place in row}) for rows in records]
        most = max((len(mine) for mine in spoken), default=1) or 1
        at = np.zeros((len(records), most), dtype=np.int64)
        value = np.zeros((len(records), len(records[0]) if records else 0, most))
        for k, (mine, rows) in enumerate(zip(spoken, records, strict=True)):
            at[k, : len(mine)] = mine
            for number, row in enumerate(rows):
                value[k, number, : len(mine)] = [row.get(place, 0.0) for place in mine]
        return cls(at, value, size)

    def stretched(self, places: Collection[int], by: Array) -> Blocks:
        """Return the same with the numbers of some parts taken so many times.

        Parameters
        ----------
        places : collection of int
            Of the parts.
        by : ndarray, shape (records, rows)
            How many times.
        """
        here = np.isin(self.at, list(places))[:, np.newaxis]
        return replace(self, value=np.where(here, self.value * by[:, :, np.newaxis], self.value))

    def times(self, state: Array) -> Array:
        """Return the product of each row with a vector of shape (size,), shape (records, rows)."""
        return np.asarray(np.einsum("mrp,mp->mr", self.value, state[self.at]))

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
        inner = np.swapaxes(self.value, 1, 2) @ (bends @ self.value)
        whole = np.bincount(self._pairs.ravel(), inner.ravel(), self.size**2).reshape(self.size, self.size)
        return np.asarray(slope, dtype=np.float64), np.asarray(whole, dtype=np.float64)

    def spread(self, covariance: Array) -> Array:
        """Return row times covariance times row of each row, shape (records, rows)."""
        inner = covariance.ravel()[self._pairs]
        return np.asarray(np.sum((self.value @ inner) * self.value, axis=2))

    @cached_property
    def _pairs(self) -> npt.NDArray[np.int64]:
        """Places of all pairs of parts of each record in a whole square."""
        return np.asarray(self.at[:, :, np.newaxis] * self.size + self.at[:, np.newaxis, :])
