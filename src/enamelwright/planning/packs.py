"""In which packs an amount is bought: least left over, then fewest packs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from enamelwright.errors import InputError

#: Packs are told apart to a milligram [1/kg].
_PER_KILOGRAM = 1_000_000
#: Steps in which the largest pack is counted at most; finer sizes are counted short, so that enough is always bought.
_FINEST = 100_000
#: Amounts that are gone through at most.
_REACH = 1_000_000
#: A shortfall below this share of the amount is rounding.
ENOUGH = 1e-9


@dataclass(frozen=True)
class Purchase:
    """What to buy of one thing.

    Parameters
    ----------
    packs : tuple of (float, int)
        Size of a pack [kg] and how many, the largest first.
    amount : float
        All together [kg].
    """

    packs: tuple[tuple[float, int], ...]
    amount: float


def in_packs(amount: float, sizes: Sequence[float]) -> Purchase:
    """Round an amount up to the packs it is sold in: least over, then fewest packs.

    Parameters
    ----------
    amount : float
        At least this much [kg].
    sizes : sequence of float
        Sizes that are sold [kg]; nothing is rounded when there are none.

    Raises
    ------
    InputError
        For a pack too small to be told.

    Notes
    -----
    Of packs smaller than the largest, fewer than largest / (greatest common part) are ever wanted: among more of them
    some make up whole largest packs, which are fewer. So nearly all of a big amount comes in the largest pack, and what
    is left is counted through. Checked against trying every choice in tests/planning/test_packs.py.
    """
    if amount <= 0:
        return Purchase((), 0.0)
    sold = sorted({size for size in sizes if size > 0}, reverse=True)
    if not sold:
        return Purchase(((amount, 1),), amount)
    # Of the packs that hold all of it only the smallest is ever wanted.
    sold = [size for n, size in enumerate(sold) if n + 1 == len(sold) or sold[n + 1] < amount]
    if sold[-1] * _PER_KILOGRAM < 0.5:
        raise InputError("a pack of less than a milligram is none.", "Give the sizes it is sold in.", "packs")
    if amount / sold[0] > 1 / ENOUGH:
        raise InputError("this would be more packs than anybody sells.", "Check the amount and the packs.", "packs")
    grid = _grid(sold)
    sold = [size for size in sold if size > grid * (1 - ENOUGH)]  # the others are too small beside the largest to help
    # Counted downwards where a size is no whole number of steps: what is bought is never less than what was counted.
    parts = [math.floor(size / grid * (1 + ENOUGH)) for size in sold]
    need = math.ceil(amount / grid * (1 - ENOUGH))
    whole = max(0, (need - min(parts[0] * max(parts[1:], default=1), _REACH)) // parts[0])
    counts = _fewest(need - whole * parts[0], parts)
    counts[0] += whole
    packs = tuple((size, count) for size, count in zip(sold, counts, strict=True) if count)
    return Purchase(packs, sum(size * count for size, count in packs))


def _grid(sold: Sequence[float]) -> float:
    """Return the step in which all sizes are counted [kg]."""
    whole = [max(1, round(size * _PER_KILOGRAM)) for size in sold]
    common = reduce(math.gcd, whole)
    return max(common / _PER_KILOGRAM, sold[0] / _FINEST)


def _fewest(need: int, parts: Sequence[int]) -> list[int]:
    """Return how many of each, the largest first, reach the need with least over, then with fewest."""
    top = need + parts[0]
    fewest = np.full(top + 1, np.inf)
    fewest[0] = 0
    for part in parts:
        rows = -(-(top + 1) // part)
        table = np.full(rows * part, np.inf)
        table[: top + 1] = fewest
        # Down each column one more of this pack is taken: the best start above it, plus the rows from there.
        steps = np.arange(rows)[:, np.newaxis]
        table = np.minimum.accumulate(table.reshape(rows, part) - steps, axis=0) + steps
        fewest = table.reshape(-1)[: top + 1]
    total = need + int(np.flatnonzero(np.isfinite(fewest[need:]))[0])
    counts = [0] * len(parts)
    while total:
        place = next(n for n, part in enumerate(parts) if part <= total and fewest[total - part] == fewest[total] - 1)
        counts[place] += 1
        total -= parts[place]
    return counts
