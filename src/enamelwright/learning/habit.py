"""A habit of the hand from few weighings: where the next one lies, about as sure as they allow.

A normal mean with a normal prior, and a scatter of which little is known beforehand
(:mod:`enamelwright.learning.hand_scatter`), so that the next one follows a mixture of normal laws. What lies far from
the middle of all is drawn in for the mean, so that one slip of the pen moves it little; the scatter counts it whole. Of
hands as they are believed to be, nine next weighings in ten fall in the band of 90 %, however many were told. A hand
that scatters three times as much as is usual shows it from a few weighings on, and not before: one tells it to nobody.
Several hands at one bench lean on each other (:func:`own_habits`), in how much they lose and in how they scatter.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.figure import Z95
from enamelwright.learning.hand_scatter import (
    WANDERS,
    WAYS,
    Series,
    Uneven,
    expected,
    middling,
    reach,
    shares,
    shown,
    ways,
)

Array = npt.NDArray[np.float64]

RECENT = 60
"""The newest so many count. Hands learn: the newest of them count most where the record shows it."""
FAR = 3.0
"""Values further from the median than this many scatters are drawn in to there."""
NORMAL = 1.4826
"""Standard deviation of a normal law over the median of its distances from the median."""
MIDDLED = 3
"""Values from which their middle tells a slip."""


@dataclass(frozen=True)
class Habit:
    """Where the next value lies.

    Attributes
    ----------
    mean : float
        Likely.
    sd : float
        Of the normal law that has the 5-95 % band of the next one.
    mean_sd : float
        Of the mean.
    count : int
        Values it stands on.
    """

    mean: float
    sd: float
    mean_sd: float
    count: int


@dataclass(frozen=True)
class Shares:
    """How the spread between hands is shared out, as shares of its variance; what is left is of one person and mesh.

    Attributes
    ----------
    bench : float
        Of the bench, alike for all who work there: powder, sieves, balance.
    person : float
        Of the person.
    mesh : float
        Of the mesh.
    """

    bench: float
    person: float
    mesh: float

    @property
    def rest(self) -> float:
        """Of one person with one mesh."""
        return 1 - self.bench - self.person - self.mesh


#: One person and one mesh.
Cell = tuple[str, int]
#: A lone hand: nothing is shared with anybody.
ALONE = Shares(1.0, 0.0, 0.0)


def habit(values: Sequence[float], usual: float, usual_sd: float, scatter: float, uneven: Uneven) -> Habit:
    """Return the habit behind values, the oldest first.

    Parameters
    ----------
    values : sequence of float
        One a weighing.
    usual, usual_sd : float
        Of hands at large.
    scatter : float
        Usual scatter of one hand, from one weighing to the next.
    uneven : Uneven
        How far scatters of hands lie apart.

    Raises
    ------
    InputError
        Without a value, or with one that is no number.
    """
    return own_habits({("", 0): values}, usual, usual_sd, scatter, uneven, ALONE)["", 0]


def own_habits(
    told: Mapping[Cell, Sequence[float]], usual: float, usual_sd: float, scatter: float, uneven: Uneven,
    share: Shares, wanted: Collection[str] | None = None,
) -> dict[Cell, Habit]:  # fmt: skip
    """Return the habit of each person with each mesh, and with any; whoever has weighed little leans on the others.

    Each value is that of hands at large and what bench, person, mesh and this person with this mesh add to it, all
    normal about nought (partial pooling: Gelman et al., chapter 5 and section 15.1). A lone person with one mesh has
    the habit that :func:`habit` tells. How much a hand scatters leans on the others too, as far as hands are alike.
    While one hand is told, the others are taken to scatter as much as is likeliest of them.

    Parameters
    ----------
    told : mapping
        Person and mesh to values, the oldest first; mesh 0 where it was not told. Somebody who has weighed nothing yet
        has none, and leans on the others alone.
    usual, usual_sd, scatter, uneven
        As for :func:`habit`.
    share : Shares
        Of the variance `usual_sd` squared.
    wanted : collection of str, optional
        People whose habits are wanted; everybody's when left out.

    Returns
    -------
    dict
        Every person with every mesh, and with mesh 0 for any; `count` is of the person's own newest.

    Raises
    ------
    InputError
        As for :func:`habit`.
    """
    weighed = {cell: _finite(values) for cell, values in sorted(told.items()) if len(values)}
    if not weighed:
        raise InputError("nothing was weighed", "Weigh a piece before and after a coat.")
    meshes = sorted({mesh for _, mesh in weighed})
    whole = np.concatenate(list(weighed.values()))
    hands = {who: _Hand.of(who, meshes, weighed, whole, (usual, usual_sd, scatter)) for who, _ in told}
    beliefs = expected({who: one.shows for who, one in hands.items()}, uneven)
    spread = usual_sd**2 * np.array([share.bench, *[share.mesh] * len(meshes)])
    of_one = usual_sd**2 * (share.person + share.rest * np.eye(len(meshes)))
    rows = np.hstack((np.ones((len(meshes), 1)), np.eye(len(meshes))))
    speaks = {who: one.of_bench(beliefs[who], rows, of_one) for who, one in hands.items()}
    every = [np.sum([one[part] for one in speaks.values()], axis=0) for part in (0, 1)]
    used = np.array([sum(len(values) for (_, at), values in weighed.items() if at == mesh) for mesh in meshes])
    found = {}
    for who, one in hands.items():
        if wanted is not None and who not in wanted:
            continue
        # Bench and meshes by the others alone; roots of the spreads on either side, as some of them may be nought.
        others, pull = (part - own for part, own in zip(every, speaks[who], strict=True))
        root = np.sqrt(spread)
        left = root[:, np.newaxis] * np.linalg.solve(
            np.eye(len(root)) + root[:, np.newaxis] * others * root, np.diag(root)
        )
        before = rows @ left @ pull, rows @ left @ rows.T + of_one
        for mesh, got in zip((*meshes, 0), one.habits(beliefs[who], *before, used), strict=True):
            found[who, mesh] = got
    return found


@dataclass(frozen=True, eq=False)
class _Hand:
    """What one person weighed: through which meshes, what each series says, and which way the hand is likely to be."""

    at: list[int]
    told: list[Series]
    odd: Array
    shows: Array
    usual: float
    scatter: float

    @classmethod
    def of(
        cls, who: str, meshes: Sequence[int], weighed: Mapping[Cell, Array], whole: Array,
        law: tuple[float, float, float],
    ) -> _Hand:  # fmt: skip
        usual, usual_sd, scatter = law
        at = [k for k, mesh in enumerate(meshes) if (who, mesh) in weighed]
        mine = [weighed[who, meshes[k]] for k in at]
        inside = [_drawn_in(one, whole, usual_sd, scatter) for one in mine]
        told = [Series.of(*pair) for pair in zip(mine, inside, strict=True)]
        odd = np.array([_odd(*pair) for pair in zip(mine, inside, strict=True)])
        return cls(at, told, odd, shown(told, scatter), usual, scatter)

    def _by_way(self) -> tuple[Array, Array]:
        """Return of each way the means off the usual one, and the values each of them counts; shape (n_way, n_mesh)."""
        means = np.array([one.means - self.usual for one in self.told]).reshape(len(self.told), -1)
        counts = np.array([one.counts for one in self.told]).reshape(len(self.told), -1)
        times = WAYS // len(WANDERS)
        return np.repeat(means.T, times, axis=0), np.repeat(counts.T, times, axis=0)

    def of_bench(self, belief: Array, rows: Array, of_one: Array) -> tuple[Array, Array]:
        """Return what this person's means say of bench and meshes: information, and which way it pulls."""
        if not self.at:
            return np.zeros((rows.shape[1],) * 2), np.zeros(rows.shape[1])
        share = shares(belief + self.shows)
        means, counts = (share @ one for one in self._by_way())
        mine, at = rows[self.at], np.ix_(self.at, self.at)
        weight = np.linalg.inv(of_one[at] + np.diag(middling(share, self.scatter) / counts + self.odd))
        return mine.T @ weight @ mine, mine.T @ weight @ means

    def habits(self, belief: Array, before: Array, before_covariance: Array, used: Array) -> list[Habit]:
        """Return the habit with each mesh, and last with any, by each way as well as it is believed."""
        every, next_one = ways(self.scatter)
        own = np.zeros(len(before), dtype=np.int64)
        own[self.at] = [one.freedom + 1 for one in self.told]
        mixed = own if own.any() else used
        rows = np.vstack((np.eye(len(before)), mixed / mixed.sum()))
        share, means, covariance = shares(belief + self.shows), before[np.newaxis], before_covariance[np.newaxis]
        if self.at:
            told, counts = self._by_way()
            kept, off = before_covariance[self.at], told - before[self.at]
            noise = every[:, np.newaxis] ** 2 / counts + self.odd
            seen = kept[:, self.at] + noise[:, :, np.newaxis] * np.eye(len(self.at))
            inverse = np.linalg.inv(seen)
            fits = np.einsum("si,sij,sj->s", off, inverse, off) + np.linalg.slogdet(seen)[1]
            share = shares(belief + self.shows - fits / 2)
            gain = kept.T @ inverse
            means = before + np.einsum("smi,si->sm", gain, off)
            covariance = before_covariance - gain @ kept
        means = np.broadcast_to(means @ rows.T, (len(every), len(rows)))
        unsure = np.maximum(np.einsum("srj,rj->sr", rows @ covariance, rows), 0.0)
        middle = share @ means
        # With any mesh: how far the person's meshes lie apart comes on top.
        apart = np.zeros(len(rows))
        apart[-1] = rows[-1] @ (middle[:-1] - middle[-1]) ** 2
        ends = reach(share, means - middle, np.sqrt(unsure + next_one[:, np.newaxis] + apart))
        mean_sd = np.sqrt(share @ (unsure + (means - middle) ** 2))
        return [
            Habit(self.usual + float(mean), float(end) / Z95, float(unsure_by), int(count))
            for mean, end, unsure_by, count in zip(middle, ends, mean_sd, (*own, own.sum()), strict=True)
        ]


def _finite(values: Sequence[float]) -> Array:
    newest = np.asarray(values[-RECENT:], dtype=np.float64)
    if not np.isfinite(newest).all():
        raise InputError("a weighing is no number", "Leave it out.")
    return newest


def _drawn_in(mine: Array, whole: Array, usual_sd: float, scatter: float) -> Array:
    """Draw in what lies far from the middle: of these, or of all where these are too few to have one."""
    of = mine if len(mine) >= MIDDLED else whole
    middle = float(np.median(of))
    wide = max(scatter, NORMAL * float(np.median(np.abs(mine - middle)))) if of is mine else np.hypot(scatter, usual_sd)
    return np.clip(mine, middle - FAR * wide, middle + FAR * wide)


def _odd(mine: Array, inside: Array) -> float:
    """Return by how much values of a cell too small to tell a slip were drawn in [variance]: so little they count."""
    return float(np.mean((mine - inside) ** 2)) if len(mine) < MIDDLED else 0.0
