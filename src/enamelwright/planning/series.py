"""How many pieces to start so that enough good ones come out, from a known yield or from the record.

A piece comes out good with a chance y (the yield). Pieces of one load are not strangers: a load lost as a
whole takes all its pieces with it, with a chance q. The number of good ones is then the sum over loads of
nothing with chance q and a binomial number otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from enamelwright.errors import InputError, OutOfReach

Array = NDArray[np.float64]

#: Equal parts into which the uncertainty of a yield is cut; the sum is then good to a few parts in ten thousand.
PARTS = 200
#: Chances nearer than this are the same; a confidence so near to what can be reached at all is not reached.
ROUNDING = 1e-12
#: Nobody starts more pieces than this at once; a larger answer is a slip of the yield.
MOST_STARTED = 5000


@dataclass(frozen=True)
class Yield:
    """Chance that one piece comes out good, as a Beta distribution; `good` + `bad` is how sure it is.

    Parameters
    ----------
    good, bad : float
        Its two parameters, above 0. Infinite together with `sure` set: the chance is known.
    sure : float, optional
        The chance itself when it is taken as known, 0 to 1.
    """

    good: float = math.inf
    bad: float = math.inf
    sure: float | None = None

    @classmethod
    def known(cls, chance: float) -> Yield:
        """Take a yield as known.

        Raises
        ------
        InputError
            When it is no chance, or nothing ever comes out.
        """
        if not 0 < chance <= 1:
            raise InputError("a yield is more than 0 and at most 1.", "Nine of ten good is 0.9.", "yield")
        return cls(sure=chance)

    @classmethod
    def record(cls, good: int, of: int) -> Yield:
        """Learn a yield from what came out, starting from knowing nothing (a half of either).

        Parameters
        ----------
        good, of : int
            How many were good, and how many were fired.

        Raises
        ------
        InputError
            For counts that cannot be.

        Notes
        -----
        Jeffreys' prior Beta(1/2, 1/2): H. Jeffreys, Theory of Probability, 3rd ed. (1961), section 3.10.
        """
        if not 0 <= good <= of:
            raise InputError(
                f"{good} good of {of} cannot be.", "Count the good ones among all that were fired.", "good"
            )
        return cls(good + 1 / 2, of - good + 1 / 2)

    @property
    def mean(self) -> float:
        """The chance to expect."""
        return self.sure if self.sure is not None else self.good / (self.good + self.bad)

    def parts(self) -> Array:
        """Return the chance in equally likely parts, the middle of each."""
        if self.sure is not None:
            return np.array([self.sure])
        from scipy.special import betaincinv

        return np.asarray(betaincinv(self.good, self.bad, (np.arange(PARTS) + 1 / 2) / PARTS), dtype=float)

    def between(self, low: float = 0.05, high: float = 0.95) -> tuple[float, float]:
        """Return the chances below which the share `low` and the share `high` of belief lies."""
        if self.sure is not None:
            return self.sure, self.sure
        from scipy.special import betaincinv

        return float(betaincinv(self.good, self.bad, low)), float(betaincinv(self.good, self.bad, high))


def binomial(count: int, chance: float | Array) -> Array:
    """Return the chances of 0, 1 ... `count` good ones among `count` pieces, a row for each chance.

    Parameters
    ----------
    count : int
        Pieces.
    chance : float or ndarray, shape (n, 1)
        That one is good.
    """
    from scipy.special import gammaln, xlog1py, xlogy

    good = np.arange(count + 1)
    ways = gammaln(count + 1) - gammaln(good + 1) - gammaln(count - good + 1)
    return np.asarray(np.exp(ways + xlogy(good, chance) + xlog1py(count - good, -np.asarray(chance))), dtype=float)


def spread_over(count: int, loads: int) -> tuple[int, ...]:
    """Spread pieces over loads as evenly as they go, the fuller loads first."""
    each, more = divmod(count, loads)
    return tuple(each + (1 if n < more else 0) for n in range(loads))


def good_ones(loads: Sequence[int], chance: float | Array, lost: float = 0.0) -> Array:
    """Return the chances of 0, 1 ... good pieces out of some loads, a row for each chance.

    Parameters
    ----------
    loads : sequence of int
        Pieces in each load.
    chance : float or ndarray, shape (n, 1)
        That a piece of a load that is not lost comes out good, 0 to 1.
    lost : float
        Chance that a whole load is lost, 0 to 1.

    Notes
    -----
    Convolution of the loads, done as a product of their transforms.
    """
    size = sum(loads) + 1
    product = np.ones(1, dtype=np.complex128)
    for pieces in sorted(set(loads)):
        one = np.fft.rfft(binomial(pieces, chance), size, axis=-1)
        product = product * (lost + (1 - lost) * one) ** list(loads).count(pieces)
    return np.asarray(np.clip(np.fft.irfft(product, size, axis=-1), 0.0, 1.0), dtype=float)


def chance_of(wanted: int, loads: Sequence[int], good: Yield, lost: float = 0.0) -> float:
    """Return the chance that at least `wanted` good pieces come out of some loads.

    Parameters
    ----------
    wanted : int
        Good pieces needed.
    loads : sequence of int
        Pieces in each load.
    good : Yield
        How likely a piece comes out good.
    lost : float
        Chance that a whole load is lost, 0 to 1.
    """
    count = sum(loads)
    if wanted <= 0:
        return 1.0
    if count < wanted:
        return 0.0
    if lost == 0:  # loads do not matter, and the sum has a closed form
        return float(_counts(count, good)[wanted:].sum())
    return float(good_ones(loads, good.parts()[:, None], lost)[:, wanted:].sum(axis=1).mean())


def _counts(count: int, good: Yield) -> Array:
    """Return the chances of 0, 1 ... good ones: binomial for a known yield, beta-binomial for a learned one."""
    if good.sure is not None:
        return binomial(count, good.sure)
    from scipy.special import betaln, gammaln

    came = np.arange(count + 1)
    ways = gammaln(count + 1) - gammaln(came + 1) - gammaln(count - came + 1)
    told = betaln(came + good.good, count - came + good.bad) - betaln(good.good, good.bad)
    return np.asarray(np.exp(ways + told), dtype=float)


def to_start(
    wanted: int,
    good: Yield,
    confidence: float,
    *,
    lost: float = 0.0,
    loads: int | None = None,
    per_load: int | None = None,
) -> int:
    """Return the fewest pieces to start so that `wanted` good ones come out with a confidence.

    Parameters
    ----------
    wanted : int
        Good pieces needed, at least 1.
    good : Yield
        How likely a piece comes out good.
    confidence : float
        Between 0 and 1.
    lost : float
        Chance that a whole load is lost.
    loads : int, optional
        Into how many loads they are spread evenly; one when left out.
    per_load : int, optional
        Most pieces of a load; then as few loads as hold them, instead of `loads`.

    Raises
    ------
    OutOfReach
        When no number of pieces reaches it: with L loads of chance q of loss, nothing exceeds 1 - q^L.
    """
    _check(wanted, confidence, lost)
    if loads is not None and lost and 1 - lost**loads <= confidence + ROUNDING:
        raise OutOfReach(
            f"no number of pieces in {loads} load{'' if loads == 1 else 's'} reaches {confidence:.0%}: "
            f"all of them are lost in {lost**loads:.1%} of cases.",
            "Spread them over more loads, or fire them in two waves.",
        )

    def enough(count: int) -> bool:
        split = loads if per_load is None else math.ceil(count / per_load)
        return chance_of(wanted, spread_over(count, split or 1), good, lost) >= confidence - ROUNDING

    if lost == 0 or per_load is None:  # more pieces never hurt, so halve the distance
        low, high = wanted - 1, wanted
        while not enough(high):
            low, high = high, 2 * high
            if high > MOST_STARTED:
                raise _too_many(wanted, good)
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if enough(middle) else (middle, high)
        return high
    for count in range(wanted, MOST_STARTED):  # one piece more may begin a new load, which may hurt
        if count > FAR * (wanted + per_load) / good.mean:
            break
        if enough(count):
            return count
    raise _too_many(wanted, good)


#: How many times the expected number is tried before it is called hopeless.
FAR = 20.0


def _too_many(wanted: int, good: Yield) -> OutOfReach:
    return OutOfReach(
        f"{wanted} good ones are not reached with any sensible number of pieces at a yield of {good.mean:.0%}.",
        "Ask for less confidence, put fewer pieces in a load, or look for what spoils them first.",
    )


def _check(wanted: int, confidence: float, lost: float) -> None:
    if wanted < 1:
        raise InputError("how many good pieces are wanted?", "Ask for at least one.", "wanted")
    if not 0 < confidence < 1:
        raise InputError("a confidence lies between 0 and 1.", "Nineteen times in twenty is 0.95.", "confidence")
    if not 0 <= lost < 1:
        raise InputError("the chance of losing a load lies between 0 and 1.", "One in fifty is 0.02.", "lost")


def expected_starts(wanted: int, good: Yield) -> tuple[float, float]:
    """Return mean and standard deviation of how many are started when one stops at `wanted` good ones.

    Notes
    -----
    Negative binomial: N/y and sqrt(N (1 - y))/y, at the yield to expect.
    """
    chance = good.mean
    return wanted / chance, math.sqrt(wanted * (1 - chance)) / chance


@dataclass(frozen=True)
class TwoWaves:
    """Fire a first load, look, then start replacements in a second one.

    Parameters
    ----------
    first : int
        Pieces of the first load.
    second : tuple of int
        Pieces to start after it, by how many are short: 0, 1, 2 ...
    chance : float
        That enough good ones come out of both together.
    expected : float
        Pieces started on average.
    """

    first: int
    second: tuple[int, ...]
    chance: float
    expected: float


def two_waves(wanted: int, first: int, good: Yield, confidence: float, lost: float = 0.0) -> TwoWaves:
    """Tell what a first load of `first` pieces and a second of replacements give.

    The second load is planned for `confidence` as far as single pieces go; that it may be lost as a whole is
    in the chance, not in the number. What the first load teaches about the yield is not used.

    Parameters
    ----------
    wanted : int
        Good pieces needed.
    first : int
        Pieces in the first load.
    good : Yield
        How likely a piece comes out good.
    confidence : float
        For the replacements.
    lost : float
        Chance that a whole load is lost.
    """
    _check(wanted, confidence, lost)
    second = [0] + [to_start(short, good, confidence) for short in range(1, wanted + 1)]
    parts = good.parts()[:, None]
    came = good_ones((first,), parts, lost)
    chance = expected = 0.0
    for number in range(first + 1):
        short = max(wanted - number, 0)
        more = second[short]
        enough = good_ones((more,), parts, lost)[:, short:].sum(axis=1) if short else 1.0
        chance += float((came[:, number] * enough).mean())
        expected += float(came[:, number].mean()) * (first + more)
    return TwoWaves(first, tuple(second), chance, expected)


def load_spread(loads: Sequence[tuple[int, int]]) -> float:
    """Return how alike the pieces of a load are: 0 strangers, 1 all good or all bad together.

    Parameters
    ----------
    loads : sequence of (int, int)
        (good, fired) of each load on record; loads of one piece say nothing.

    Returns
    -------
    float
        Intraclass correlation by the analysis of variance, not below 0.

    Notes
    -----
    Analysis-of-variance estimator for clusters of unequal size: A. Donner & J. J. Koval, Biometrics 36 (1980)
    19 (from memory, verify).
    """
    kept = [(good, of) for good, of in loads if of > 0]
    count, pieces = len(kept), sum(of for _, of in kept)
    if count < 2 or pieces <= count:
        return 0.0
    mean = sum(good for good, _ in kept) / pieces
    within = sum(good * (of - good) / of for good, of in kept) / (pieces - count)
    between = sum(of * (good / of - mean) ** 2 for good, of in kept) / (count - 1)
    size = (pieces - sum(of**2 for _, of in kept) / pieces) / (count - 1)
    whole = between + (size - 1) * within
    return min(max((between - within) / whole, 0.0), 1.0) if whole > 0 else 0.0
