"""How many firings more a colour stays good: from pieces that turned and pieces that stopped before, few of either.

The share still good after so many re-firings is the product-limit estimate; its interval is the beta product of
M. P. Fay, E. H. Brittain, M. A. Proschan, Biostatistics 14 (2013) 723, whose product of beta laws is replaced by the
beta law of the same mean and variance as they do. Without pieces that stopped early it is the exact interval of Clopper
and Pearson; it never says that a colour holds for ever.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.errors import InputError

#: Share of intervals that ought to hold.
SURE = 0.9


@dataclass(frozen=True)
class Stayed:
    """How a colour stood after so many re-firings.

    Attributes
    ----------
    refirings : int
        After the firing that first melted it.
    seen : int
        Pieces that were fired that often.
    turned : int
        Of which the colour turned in just that one.
    low, likely, high : float
        Share still good after it: where it may lie, and the estimate.
    """

    refirings: int
    seen: int
    turned: int
    low: float
    likely: float
    high: float


def heat_budget(pieces: Sequence[tuple[int, bool]], sure: float = SURE) -> list[Stayed]:
    """Return how a colour stood after each re-firing anybody made.

    Parameters
    ----------
    pieces : sequence of (int, bool)
        Of each piece the re-firings its colour was seen after, and whether it turned in the last of them. One that was
        never fired again and is good tells nothing.
    sure : float
        Share of intervals that ought to hold.

    Raises
    ------
    InputError
        For a number below nought.
    """
    if any(times < 0 for times, _ in pieces):
        raise InputError("a piece cannot be fired again less than never", "Count the firings after the first.")
    found: list[Stayed] = []
    factors: list[int] = []
    likely = 1.0
    for times in range(max((one for one, _ in pieces), default=-1) + 1):
        seen = sum(one >= times for one, _ in pieces)
        turned = sum(one == times and bad for one, bad in pieces)
        # Of pieces that turn together each leaves one less.
        factors += [seen - k for k in range(turned)]
        likely *= 1 - turned / seen
        after = seen - turned
        found.append(
            Stayed(times, seen, turned, _quantile([*factors, after], (1 - sure) / 2), likely,
                   _quantile(factors, (1 + sure) / 2))
        )  # fmt: skip
    return found


def _quantile(at_risk: Sequence[int], share: float) -> float:
    """Return a quantile of a product of beta laws (n, 1), one a piece that turned, as the beta law like it."""
    from scipy.special import betaincinv

    if not at_risk:
        return 1.0
    if min(at_risk) == 0:
        return 0.0
    mean = square = 1.0
    for n in at_risk:
        mean *= n / (n + 1)
        square *= n / (n + 2)
    whole = mean * (mean - square) / (square - mean**2)
    return float(betaincinv(whole, whole * (1 - mean) / mean, share))
