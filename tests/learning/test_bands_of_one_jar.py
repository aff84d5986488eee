"""A band of the first gloss, learned from a handful of firings of one jar, holds nine times in ten.

Workshops are drawn from the spreads a record begins with, but for the hand: it scatters as is usual or half as much again,
and nobody tells which. Found with 300 workshops: 92, 89 and 91 %. Choosing the scatter that fits best held 80 to 85 %.
"""

from __future__ import annotations

import numpy as np
from scipy.stats import binom

from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.proportions import wilson
from enamelwright.learning.stage_records import Foretold, StageRecord

COURSE = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
USUAL, JAR_SD = 0.12, 0.13
SPREADS = Spreads(kiln=0.28, drift=0.02, kind=0.08, repeat=USUAL, eye=4.0, lapse=0.03, jump=0.13, haste=0.15, early=0.8)
#: Firings before the one foretold, and the true scatter of the hand [decades].
CASES = ((5, USUAL), (6, 1.5 * USUAL), (10, USUAL))
WORKSHOPS = 150
#: At least so many of the bands ought to hold for "nine in ten" to be fair.
LEAST = 0.86


def holds(firings: int, scatter: float, seed: int) -> bool:
    """Tell whether the band of the next firing holds in one workshop."""
    rng = np.random.default_rng([firings, round(100 * scatter), seed])
    needed = rng.normal(0, np.sqrt(SPREADS.kiln**2 + JAR_SD**2 + SPREADS.kind**2))
    drift = np.cumsum(rng.normal(0, SPREADS.drift, firings + 1))
    seen = [
        max(20.0, COURSE.seconds_at(needed + off + rng.normal(0, scatter)) + rng.normal(0, SPREADS.eye))
        for off in drift
    ]
    records = [
        StageRecord(k, "small", 1, float(k), "J1", "disc", COURSE, to_gloss=seconds)
        for k, seconds in enumerate(seen[:-1])
    ]
    known = kiln_clock(records, {"J1": JAR_SD}, SPREADS)
    low, _, high = known.gloss_time(COURSE, "small", "J1", "disc", float(firings))
    return low <= seen[-1] <= high


def test_bands_from_a_handful_of_firings_hold() -> None:
    held = [sum(holds(firings, scatter, seed) for seed in range(WORKSHOPS)) for firings, scatter in CASES]
    for one in held:
        # None of the cases is below by more than chance brings once in a hundred.
        assert binom.cdf(one, WORKSHOPS, LEAST) > 0.01
    # All together they are above it beyond chance.
    assert wilson(sum(held), WORKSHOPS * len(CASES), 0.9)[0] > LEAST
