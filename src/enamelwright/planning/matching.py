"""Pairs and sets: how many to start, and which of the finished ones belong together, the odd one named."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from enamelwright.errors import InputError
from enamelwright.planning.series import Yield, chance_of, to_start

#: Up to so many pieces every way of pairing is tried; beyond, neighbours are swapped until nothing gets better.
TRIED_WHOLE = 14


def to_start_of_each(sets: int, kinds: int, good: Yield, confidence: float, *, alike: int = 1) -> int:
    """Return how many of each kind to start for complete sets, such as left and right of a pair of ear-rings.

    Parameters
    ----------
    sets : int
        Complete sets wanted.
    kinds : int
        Different pieces of a set, each with its own blanks; 1 when any two pieces make a pair.
    good : Yield
        How likely a piece comes out good, the same for all kinds.
    confidence : float
        That all kinds suffice together.
    alike : int
        Pieces of each kind in one set: 2 for a pair of which any two match.

    Notes
    -----
    Kinds are taken as strangers, so each must reach the `kinds`-th root of the confidence.
    """
    if sets < 1 or kinds < 1 or alike < 1:
        raise InputError("how many sets, of how many pieces?", "Give whole numbers of at least one.", "sets")
    count = to_start(sets * alike, good, confidence ** (1 / kinds))
    while chance_of(sets * alike, (count,), good) ** kinds < confidence:  # the root is rounded
        count += 1
    return count


@dataclass(frozen=True)
class Matches:
    """Which pieces belong together.

    Parameters
    ----------
    sets : tuple of tuple of str
        Names of each set, the best match first.
    apart : tuple of float
        How far the two least alike of each set are apart, in units of the allowance; 1 is just allowed.
    odd : tuple of str
        Pieces left over.
    """

    sets: tuple[tuple[str, ...], ...]
    apart: tuple[float, ...]
    odd: tuple[str, ...]


def match(pieces: Mapping[str, Sequence[float]], allowance: Sequence[float], size: int = 2) -> Matches:
    """Offer sets of pieces that are most alike.

    As many sets as the pieces allow are made, so that the sum of their worst differences is least; what does
    not match within the allowance is still offered, last, and says so by a distance above 1.

    Parameters
    ----------
    pieces : mapping of str to sequence of float
        What was measured of each piece by its name: width, weight, a colour.
    allowance : sequence of float
        Difference of each measure that the eye forgives, above 0.
    size : int
        Pieces of a set, at least 2.

    Raises
    ------
    InputError
        When measures are missing, not finite, or there are too few pieces for one set.
    """
    if size < 2:
        raise InputError("a set has at least two pieces.", "Ask for pairs with size 2.", "size")
    if len(pieces) < size:
        raise InputError(f"{len(pieces)} piece{'' if len(pieces) == 1 else 's'} make no set of {size}.", "Add some.")
    if not allowance or any(not one > 0 for one in allowance):
        raise InputError("the allowance of every measure must be larger than nothing.", "Give what the eye forgives.")
    names = sorted(pieces)
    at = []
    for name in names:
        told = [float(value) for value in pieces[name]]
        if len(told) != len(allowance) or not all(map(math.isfinite, told)):
            raise InputError(f"'{name}' does not have {len(allowance)} measures.", "Measure it, or leave it out.")
        at.append([value / one for value, one in zip(told, allowance, strict=True)])
    apart = [[math.dist(one, other) for other in at] for one in at]
    chosen = _all_pairs(apart) if size == 2 and len(names) <= TRIED_WHOLE else _swapped(apart, size)
    sets = sorted((_worst(one, apart), one) for one in chosen)
    used = {number for one in chosen for number in one}
    return Matches(
        tuple(tuple(names[number] for number in one) for _, one in sets), tuple(worst for worst, _ in sets),
        tuple(name for number, name in enumerate(names) if number not in used),
    )  # fmt: skip


def _worst(group: Sequence[int], apart: Sequence[Sequence[float]]) -> float:
    return max(apart[one][other] for one, other in itertools.combinations(group, 2))


def _all_pairs(apart: Sequence[Sequence[float]]) -> list[tuple[int, ...]]:
    """Find the pairing of least total difference, one piece left over when their number is odd."""
    count = len(apart)
    best: dict[int, tuple[float, tuple[tuple[int, ...], ...]]] = {0: (0.0, ())}
    full = (1 << count) - 1
    for paired in range(1, full + 1):
        if paired.bit_count() % 2:
            continue
        first = (paired & -paired).bit_length() - 1
        rest = paired & ~(1 << first)
        best[paired] = min(
            (best[rest & ~(1 << other)][0] + apart[first][other], (*best[rest & ~(1 << other)][1], (first, other)))
            for other in range(first + 1, count)
            if rest >> other & 1
        )
    wholes = [full] if count % 2 == 0 else [full & ~(1 << left) for left in range(count)]
    return list(min(best[whole] for whole in wholes)[1])


def _swapped(apart: Sequence[Sequence[float]], size: int) -> list[tuple[int, ...]]:
    """Group the nearest first, then swap members between groups, and with those left over, while it helps."""
    left = set(range(len(apart)))
    groups: list[list[int]] = []
    while len(left) >= size:
        options = []
        for one in left:
            row = apart[one]
            near = sorted(left - {one}, key=row.__getitem__)[: size - 1]
            group = sorted([one, *near])
            options.append((_worst(group, apart), group))
        groups.append(min(options)[1])
        left -= set(groups[-1])
    every = [*groups, *([number] for number in sorted(left))]

    def total(*some: list[int]) -> float:
        return sum(_worst(group, apart) for group in some if len(group) > 1)

    better = True
    while better:
        better = False
        for first, second in itertools.combinations(every, 2):
            for i, j in itertools.product(range(len(first)), range(len(second))):
                before = total(first, second)
                first[i], second[j] = second[j], first[i]
                if total(first, second) < before - GAIN:
                    better = True
                else:
                    first[i], second[j] = second[j], first[i]
    return [tuple(sorted(group)) for group in groups]


#: A swap that gains less is rounding.
GAIN = 1e-12
