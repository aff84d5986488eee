"""The only carrier of a physical number between layers, and the owner of its uncertainty.

`Figure` is a value with its 5-95 % band, its dimension and where it comes from. `Spread` names the
factors that make figures uncertain and how each is distributed, so that one jar in three coats is
one draw. `Draws` turns factor names into numbers: the same name and seed always give the same
numbers, so compared plans share their draws and a card repeats byte for byte.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from statistics import NormalDist
from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright import units

Kind = Literal["measured", "learned", "data sheet", "class default", "reference", "computed", "assumption"]

#: Which origin wins when several speak of one quantity; the losers are still shown.
LADDER: tuple[Kind, ...] = (
    "measured", "learned", "data sheet", "computed", "class default", "reference", "assumption",
)  # fmt: skip

Array = NDArray[np.float64]

#: Bands narrower than this share of the number are rounding of the arithmetic, not uncertainty.
ROUNDING = 1e-9

#: Rows of draws that are kept, since plans of one piece ask for the same names again and again.
KEPT_ROWS = 256
#: And of standard normal numbers, which take longer to make.
KEPT_SCORES = 1024

#: 95 % point of the standard normal: a 5-95 % band is twice this many standard deviations wide.
Z95 = 1.6448536269514722


class Origin(BaseModel):
    """Where a number comes from.

    Parameters
    ----------
    kind : str
        Rung of the ladder.
    source : str
        Source key of a reference table, a date, a record number or a few words.
    status : str
        Status of that source as recorded, e.g. ``"from memory, verify"``.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Kind
    source: str = ""
    status: str = ""

    def words(self) -> str:
        """Say it on one line."""
        tail = "; ".join(part for part in (self.source, self.status) if part)
        return f"{self.kind} ({tail})" if tail else self.kind


class Figure(BaseModel):
    """One physical number with its band.

    Parameters
    ----------
    value, low, high : float
        SI; `low` and `high` are the 5 and 95 % points. They may touch `value` when the number is exact.
    dimension : str
        A dimension of :mod:`enamelwright.units`.
    origin : Origin
        Where it comes from.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    value: float
    low: float
    high: float
    dimension: str
    origin: Origin

    @model_validator(mode="after")
    def _ordered(self) -> Figure:
        slack = 1e-9 * max(abs(self.low), abs(self.high), 1e-300)
        if self.dimension not in units.UNITS:
            raise ValueError(f"unknown dimension {self.dimension}")
        if not self.low - slack <= self.value <= self.high + slack:
            raise ValueError("the value lies outside its own band")
        return self

    @classmethod
    def exact(cls, value: float, dimension: str, origin: Origin) -> Figure:
        """Build a figure whose band is the value itself."""
        return cls(value=value, low=value, high=value, dimension=dimension, origin=origin)

    @classmethod
    def of_draws(cls, draws: Array, dimension: str, origin: Origin, value: float | None = None) -> Figure:
        """Summarise draws as median (or the nominal `value`) and 5-95 % band.

        Parameters
        ----------
        draws : ndarray, shape (n,)
            SI.
        dimension : str
            Dimension of the draws.
        origin : Origin
            Where they come from.
        value : float, optional
            Nominal answer to report instead of the median; the band is widened to hold it.
        """
        low, middle, high = quantiles(draws, (0.05, 0.5, 0.95))
        centre = middle if value is None else float(value)
        if high - low <= ROUNDING * max(abs(low), abs(high)):
            low = high = centre
        return cls(value=centre, low=min(low, centre), high=max(high, centre), dimension=dimension, origin=origin)

    @property
    def sd(self) -> float:
        """Standard deviation of the normal distribution that has this 5-95 % band."""
        return (self.high - self.low) / (2 * Z95)

    def shown(self, unit: str | None = None) -> str:
        """Print value and band in one unit, with the digits the band deserves.

        Parameters
        ----------
        unit : str, optional
            Unit to show; the dimension's default otherwise.
        """
        width = self.high - self.low
        middle = units.show(self.value, self.dimension, unit, width)
        if width <= 0:
            return middle
        ends = [units.show(end, self.dimension, unit, width) for end in (self.low, self.high)]
        if ends[0] == ends[1]:
            return middle
        chosen = units.default_unit(self.dimension) if unit is None else unit
        bare = [end.removesuffix(chosen).strip() for end in ends]
        return f"{middle} ({bare[0]} to {bare[1]})"


def quantiles(draws: Array, shares: Sequence[float]) -> tuple[float, ...]:
    """Return quantiles of one row of draws, to the last bit those of ``numpy.quantile``.

    A plan asks for hundreds of them on short rows, where most of numpy's time is its own checks.

    Parameters
    ----------
    draws : ndarray, shape (n,)
        At least one.
    shares : sequence of float
        Within 0..1.

    References
    ----------
    R. J. Hyndman & Y. Fan, The American Statistician 50 (1996) 361, definition 7.
    """
    row = np.sort(draws, axis=None)
    if np.isnan(row[-1]):
        return (math.nan,) * len(shares)
    found = []
    for share in shares:
        place = share * (row.size - 1)
        under = math.floor(place)
        one, other = float(row[under]), float(row[min(under + 1, row.size - 1)])
        part, step = place - under, other - one
        if not part:
            found.append(one)
        elif math.isfinite(step):
            found.append(other - step * (1 - part) if part >= 1 / 2 else one + step * part)
        else:
            found.append(one * (1 - part) + other * part)
    return tuple(found)


def quantiles_of_rows(draws: Array, shares: Sequence[float]) -> tuple[Array, ...]:
    """Return the same of many rows at once, along the first axis.

    Parameters
    ----------
    draws : ndarray, shape (n, ...)
        At least one in each row.
    shares : sequence of float
        Within 0..1.
    """
    rows = np.sort(draws, axis=0)
    unknown = np.isnan(rows[-1])
    found = []
    for share in shares:
        place = share * (len(rows) - 1)
        under = math.floor(place)
        one, other = rows[under], rows[min(under + 1, len(rows) - 1)]
        part = place - under
        row = one if part == 0 else _between(one, other, part)
        found.append(np.where(unknown, math.nan, row))
    return tuple(found)


def _between(one: Array, other: Array, part: float) -> Array:
    """Return what lies between two rows, without end where one of them is."""
    with np.errstate(invalid="ignore"):
        step = other - one
        row = other - step * (1 - part) if part >= 1 / 2 else one + step * part
        return row if np.isfinite(step).all() else np.where(np.isfinite(step), row, one * (1 - part) + other * part)


class Normal(BaseModel):
    """A normal factor. `sd` in the unit of the factor; draws beyond `ends`, where told, are drawn in to them."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    shape: Literal["normal"] = "normal"
    mean: float
    sd: Annotated[float, Field(ge=0)]
    ends: tuple[float, float] | None = None


class LogNormal(BaseModel):
    """A log-normal factor: `median` times exp(`sd` * standard normal)."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    shape: Literal["lognormal"] = "lognormal"
    median: Annotated[float, Field(gt=0)]
    sd: Annotated[float, Field(ge=0)]


class StudentT(BaseModel):
    """A heavy-tailed factor; three degrees of freedom describe composition models well."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    shape: Literal["student_t"] = "student_t"
    mean: float
    scale: Annotated[float, Field(ge=0)]
    freedom: Annotated[float, Field(gt=1)] = 3.0


class Uniform(BaseModel):
    """A factor anywhere between two ends."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    shape: Literal["uniform"] = "uniform"
    low: float
    high: float


class Triangular(BaseModel):
    """A factor with a most likely value between two ends (judgement: low, likely, high)."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    shape: Literal["triangular"] = "triangular"
    low: float
    likely: float
    high: float


Distribution = Annotated[Normal | LogNormal | StudentT | Uniform | Triangular, Field(discriminator="shape")]


def _bell(distribution: Normal | LogNormal, score: Array) -> Array:
    """Turn standard normal numbers into draws of one distribution."""
    if isinstance(distribution, LogNormal):
        return distribution.median * np.exp(distribution.sd * score)
    drawn = distribution.mean + distribution.sd * score
    return drawn if distribution.ends is None else np.clip(drawn, *distribution.ends)


def _quantiles(distribution: Uniform | Triangular | StudentT, u: Array) -> Array:
    """Turn uniform numbers in (0, 1) into draws of one distribution."""
    if isinstance(distribution, Uniform):
        return distribution.low + (distribution.high - distribution.low) * u
    if isinstance(distribution, Triangular):
        low, likely, high = distribution.low, distribution.likely, distribution.high
        if high <= low:
            return np.full_like(u, likely)
        split = (likely - low) / (high - low)
        rising = low + np.sqrt(u * (high - low) * (likely - low))
        falling = high - np.sqrt((1 - u) * (high - low) * (high - likely))
        return np.where(u < split, rising, falling)
    from scipy import special

    tail = np.asarray(special.stdtrit(distribution.freedom, u), dtype=np.float64)
    return distribution.mean + distribution.scale * tail


@dataclass(frozen=True)
class Spread:
    """Named uncertain factors, and which of them move together.

    Parameters
    ----------
    factors : mapping of str to Distribution
        e.g. ``{"jar J04: expansion": Normal(mean=10.5e-6, sd=0.7e-6)}``.
    together : mapping of (str, str) to float
        Rank correlation of a pair of factors, -1..1. A factor may follow at most one other: the
        first name of the pair leads, the second follows.
    """

    factors: Mapping[str, Distribution] = field(default_factory=dict)
    together: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def joined(self, other: Spread) -> Spread:
        """Return both spreads in one; `other` wins where both name a factor."""
        return Spread({**self.factors, **other.factors}, {**self.together, **other.together})

    def draw(self, names: Iterable[str], n: int, seed: int = 0) -> dict[str, Array]:
        """Draw `n` values of every named factor.

        Parameters
        ----------
        names : iterable of str
            Factor names; unknown ones raise KeyError, since a factor without a spread is a bug.
        n : int
            Number of draws.
        seed : int
            Common random numbers: the same name, seed and n give the same values.

        Returns
        -------
        dict of str to ndarray, shape (n,)
        """
        leaders = {follower: (leader, rho) for (leader, follower), rho in self.together.items()}
        result: dict[str, Array] = {}
        for name in names:
            law = self.factors[name]
            if name in leaders:
                leader, rho = leaders[name]
                score = rho * standard(leader, n, seed) + np.sqrt(1 - rho**2) * standard(name, n, seed)
            if isinstance(law, Normal | LogNormal):
                result[name] = _bell(law, score if name in leaders else standard(name, n, seed))
            elif name in leaders:
                from scipy import special

                result[name] = _quantiles(law, special.ndtr(score))
            else:
                result[name] = _quantiles(law, stratified(name, n, seed))
        return result


@lru_cache(maxsize=KEPT_ROWS)
def stratified(name: str, n: int, seed: int = 0) -> Array:
    """Return `n` stratified uniform numbers in (0, 1), fixed by name and seed.

    One number falls in each of `n` equal strata, in an order shuffled by the name (Latin hypercube
    across names), so means and quantiles settle far faster than with independent numbers.

    Source: McKay, Beckman & Conover, Technometrics 21 (1979) 239.
    """
    digest = hashlib.blake2b(f"{seed}|{name}".encode(), digest_size=8).digest()
    generator = np.random.Generator(np.random.PCG64(int.from_bytes(digest, "little")))
    row: Array = (generator.permutation(n) + generator.random(n)) / n
    row.setflags(write=False)
    return row


@lru_cache(maxsize=KEPT_SCORES)
def standard(name: str, n: int, seed: int = 0) -> Array:
    """Return the `n` standard normal numbers that stand where :func:`stratified` stands.

    The inverse is the standard library's (Wichura, Applied Statistics 37 (1988) 477), so that a first page waits for
    no larger library to load; what it costs more than that one's is saved by keeping the rows.
    """
    row: Array = np.fromiter(map(NormalDist().inv_cdf, stratified(name, n, seed).tolist()), np.float64, n)
    row.setflags(write=False)
    return row
