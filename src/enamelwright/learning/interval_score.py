"""The price of a band: how wide it is, and what it misses by."""

from __future__ import annotations


def interval_score(low: float, high: float, happened: float, sure: float = 0.9) -> float:
    """Price of a band: its width, and what it misses by, dearer the surer it claimed to be; smaller is better.

    Parameters
    ----------
    low, high : float
        Ends of the band, in any unit.
    happened : float
        In the same unit.
    sure : float
        Share of bands that ought to hold.

    Source
    ------
    T. Gneiting, A. E. Raftery, J. Am. Stat. Assoc. 102 (2007) 359, eq. 43.
    """
    miss = max(low - happened, 0.0) + max(happened - high, 0.0)
    return (high - low) + 2 / (1 - sure) * miss
