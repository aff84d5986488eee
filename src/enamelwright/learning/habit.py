"""A habit of the hand from few weighings: where the next one lies, about as sure as they allow.

A normal mean with a normal prior, and a scatter that leans on the usual one while weighings are few, so that the next
one follows Student's t (A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013), section 3.3). What lies far from the
middle of all is drawn in for the mean, so that one slip of the pen moves it little; the scatter counts it whole. Nine
next weighings in ten fall in the band of 90 % when a hand scatters as is usual; when it scatters two or three times as
much and was told from three weighings, still more than eight. Several hands at one bench lean on each other
(:func:`own_habits`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

RECENT = 20
"""The newest so many count: hands learn."""
WORTH = 1.0
"""Weighings the usual scatter is worth: one, as it is an assumption."""
FAR = 3.0
"""Values further from the median than this many scatters are drawn in to there."""
NORMAL = 1.4826
"""Standard deviation of a normal law over the median of its distances from the median."""
LEANING = 5.0
"""Weighings at most that the scatter of the others is worth for one hand: hands scatter differently."""
MIDDLED = 3
"""Values from which their middle tells a slip."""
END = 0.95
"""Share of the next ones below the upper end of a band of 90 %."""


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


def habit(values: Sequence[float], usual: float, usual_sd: float, scatter: float) -> Habit:
    """Return the habit behind values, the oldest first.

    Parameters
    ----------
    values : sequence of float
        One a weighing.
    usual, usual_sd : float
        Of hands at large.
    scatter : float
        Usual scatter of one hand, from one weighing to the next.

    Raises
    ------
    InputError
        Without a value, or with one that is no number.
    """
    from scipy.special import ndtri, stdtrit

    if not values:
        raise InputError("nothing was weighed", "Weigh a piece before and after a coat.")
    newest = np.asarray(values[-RECENT:], dtype=np.float64)
    if not np.isfinite(newest).all():
        raise InputError("a weighing is no number", "Leave it out.")
    middle = float(np.median(newest))
    reach = FAR * max(scatter, NORMAL * float(np.median(np.abs(newest - middle))))
    inside = np.clip(newest, middle - reach, middle + reach)
    n = len(inside)
    own = float(np.sum((newest - newest.mean()) ** 2))
    freedom = WORTH + n - 1
    variance = (WORTH * scatter**2 + own) / freedom
    precision = 1 / usual_sd**2 + n / variance
    mean = (usual / usual_sd**2 + n * float(inside.mean()) / variance) / precision
    wide = float(stdtrit(freedom, END) / ndtri(END))
    return Habit(mean, wide * sqrt(variance + 1 / precision), sqrt(1 / precision), n)


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


#: One person and one mesh.
Cell = tuple[str, int]


def own_habits(
    told: Mapping[Cell, Sequence[float]], usual: float, usual_sd: float, scatter: float, shares: Shares
) -> dict[Cell, Habit]:
    """Return the habit of each person with each mesh, and with any; whoever has weighed little leans on the others.

    Each value is that of hands at large and what bench, person, mesh and this person with this mesh add to it, all
    normal about nought (partial pooling: Gelman et al., chapter 5 and section 15.1). A lone person with one mesh has
    the habit that :func:`habit` tells. How much a hand scatters leans on the others too, for a few weighings' worth.

    Parameters
    ----------
    told : mapping
        Person and mesh to values, the oldest first; mesh 0 where it was not told.
    usual, usual_sd, scatter : float
        As for :func:`habit`.
    shares : Shares
        Of the variance `usual_sd` squared.

    Returns
    -------
    dict
        Every person with every mesh, and with mesh 0 for any; `count` is of the person's own newest.

    Raises
    ------
    InputError
        As for :func:`habit`.
    """
    from scipy.special import ndtri, stdtrit

    cells = sorted(cell for cell, values in told.items() if values)
    if not cells:
        raise InputError("nothing was weighed", "Weigh a piece before and after a coat.")
    newest = {cell: _finite(told[cell]) for cell in cells}
    inside = {cell: _drawn_in(newest[cell], newest, usual_sd, scatter) for cell in cells}
    people, meshes = sorted({who for who, _ in cells}), sorted({mesh for _, mesh in cells})
    spreads = {who: _scatter_of(who, newest, inside, scatter) for who in people}
    whole = [(who, mesh) for who in people for mesh in meshes]
    rows = {cell: _row(cell, people, meshes, whole) for cell in whole}
    rest = 1 - shares.bench - shares.person - shares.mesh
    parts = [shares.bench, *[shares.person] * len(people), *[shares.mesh] * len(meshes), *[rest] * len(whole)]
    prior = usual_sd**2 * np.array(parts)
    design = np.array([rows[cell] for cell in cells])
    means = np.array([float(inside[cell].mean()) - usual for cell in cells])
    noise = np.array([(spreads[cell[0]][0] + _odd(newest[cell], inside[cell])) / len(inside[cell]) for cell in cells])
    # Through the values, as they are fewer than the unknowns, some of which have no spread at all.
    gain = np.linalg.solve(design * prior @ design.T + np.diag(noise), design * prior).T
    middle, covariance = gain @ means, np.diag(prior) - gain @ design * prior
    found = {}
    for who in people:
        mine = np.array([len(newest[who, mesh]) if (who, mesh) in newest else 0 for mesh in meshes], dtype=np.float64)
        wanted = {(who, mesh): (rows[who, mesh], len(newest.get((who, mesh), ()))) for mesh in meshes}
        mixed = np.average([rows[who, mesh] for mesh in meshes], axis=0, weights=mine)
        between = float(np.average([(rows[who, m] @ middle - mixed @ middle) ** 2 for m in meshes], weights=mine))
        wanted[who, 0] = (mixed, int(mine.sum()))
        variance, freedom = spreads[who]
        wide = float(stdtrit(freedom, END) / ndtri(END))
        for cell, (row, count) in wanted.items():
            apart = between if cell[1] == 0 else 0.0
            unsure = max(float(row @ covariance @ row), 0.0)
            sd = wide * sqrt(variance + unsure + apart)
            found[cell] = Habit(usual + float(row @ middle), sd, sqrt(unsure), count)
    return found


def _finite(values: Sequence[float]) -> Array:
    newest = np.asarray(values[-RECENT:], dtype=np.float64)
    if not np.isfinite(newest).all():
        raise InputError("a weighing is no number", "Leave it out.")
    return newest


def _drawn_in(mine: Array, all_of: Mapping[Cell, Array], usual_sd: float, scatter: float) -> Array:
    """Draw in what lies far from the middle: of these, or of all where these are too few to have one."""
    if len(mine) >= MIDDLED:
        middle = float(np.median(mine))
        reach = FAR * max(scatter, NORMAL * float(np.median(np.abs(mine - middle))))
    else:
        middle, reach = (
            float(np.median(np.concatenate(list(all_of.values())))),
            FAR * float(np.hypot(scatter, usual_sd)),
        )
    return np.clip(mine, middle - reach, middle + reach)


def _odd(mine: Array, inside: Array) -> float:
    """Return by how much values of a cell too small to tell a slip were drawn in [variance]: so little they count."""
    return float(np.mean((mine - inside) ** 2)) if len(mine) < MIDDLED else 0.0


def _scatter_of(
    who: str, newest: Mapping[Cell, Array], inside: Mapping[Cell, Array], scatter: float
) -> tuple[float, float]:
    """Return the variance of one hand from coat to coat, and the degrees of freedom it stands on."""
    others = [values for (name, _), values in inside.items() if name != who]
    own = [values for (name, _), values in newest.items() if name == who]
    worth = WORTH + sum(len(values) - 1 for values in others)
    expected = (WORTH * scatter**2 + sum(_squares(values) for values in others)) / worth
    worth = min(worth, LEANING)
    freedom = worth + sum(len(values) - 1 for values in own)
    return (worth * expected + sum(_squares(values) for values in own)) / freedom, freedom


def _squares(values: Array) -> float:
    return float(np.sum((values - values.mean()) ** 2))


def _row(cell: Cell, people: Sequence[str], meshes: Sequence[int], whole: Sequence[Cell]) -> Array:
    """Return which unknowns add up in one cell: the bench, its person, its mesh, both together."""
    row = np.zeros(1 + len(people) + len(meshes) + len(whole))
    row[[0, 1 + people.index(cell[0]), 1 + len(people) + meshes.index(cell[1])]] = 1
    row[1 + len(people) + len(meshes) + whole.index(cell)] = 1
    return row
