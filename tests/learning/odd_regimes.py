"""Workshops drawn from the product's own model in which something happens that it is not told: how often bands then hold.

That is no proof that the model is right, but shows what it cannot know: a step just made, a jar just swapped, a hand
that scatters far more than hands at large.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import Foretold, Melting, StageRecord
from enamelwright.workshop.learned_clocks import spreads

#: A firing that glosses while the piece heats up, and one that glosses long after [s, decades].
COURSES = (
    Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0)),
    Foretold((50.0, 69.0, 94.0, 240.0, 700.0), (-3.0, -1.9, -0.8, 0.0, 0.6), (-2.2, -1.1, 0.0, 1.0)),
)
JAR_SD, APART, LEAST = 0.14, 2.0, 15.0  # decades; days; s


@dataclass(frozen=True)
class Regime:
    """What happens, in decades, and how many firings are seen before one is foretold."""

    firings: int = 12
    scatter: float = 1.0  # times the usual
    step: float = 0.0
    step_at: int = 10
    swap: float = 0.0
    swap_at: int = 12
    a_day: float = 0.0
    lot: float = 0.0  # of a new one of jar A, which is told
    lot_at: int = 12
    early: bool = False
    together: bool = False  # a piece of each jar in every load, of which the first gloss is noted once


REGIMES = {
    "nothing": Regime(),
    "a step of 0.35 nobody noted, one firing seen since": Regime(11, step=0.35),
    "the same, two seen since": Regime(12, step=0.35),
    "the same, three seen since": Regime(13, step=0.35),
    "a step of 0.2, one seen since": Regime(11, step=0.2),
    "a jar swapped by 0.3, one firing of it since": Regime(13, swap=0.3),
    "the same, three of it since": Regime(17, swap=0.3),
    "a new lot of a jar that lies off by 0.2, one firing of it since": Regime(13, lot=0.2),
    "the same of the lot, three of it since": Regime(17, lot=0.2),
    "a hand that scatters twice as much as is usual": Regime(scatter=2.0),
    "a hand that scatters three times as much": Regime(scatter=3.0),
    "only firings pulled before gloss": Regime(early=True),
    "unlike pieces in each load, its first gloss noted once": Regime(together=True),
    "a drift of 0.005 a day": Regime(15, a_day=0.005),
    "a drift of 0.01 a day": Regime(15, a_day=0.01),
}


def holds(regime: Regime, seed: int) -> bool:
    """Whether the band of the next first gloss holds in one workshop."""
    usual = _spreads()
    rng = np.random.default_rng([7, seed])
    kiln, kind, pace = (rng.normal(0, one) for one in (usual.kiln, usual.kind, usual.pace))
    jars, sign = {jar: rng.normal(0, JAR_SD) for jar in "AB"}, rng.choice((-1, 1))
    records = []
    for k in range(regime.firings + 1):
        last = k == regime.firings
        jar = "A" if last and (regime.swap or regime.lot) else "AB"[k % 2]
        new_lot = bool(regime.lot) and jar == "A" and k >= regime.lot_at
        course = COURSES[int(rng.integers(2))]
        moved = regime.a_day * APART * k + (regime.step if k >= regime.step_at else 0.0)
        moved += regime.swap if jar == "A" and k >= regime.swap_at else 0.0
        moved += regime.lot if new_lot else 0.0
        needed = kiln + kind + jars[jar] + sign * moved + rng.normal(0, regime.scatter * usual.repeat)
        gloss = course.seconds_at(needed, pace)
        beside: tuple[Melting, ...] = ()
        if regime.together and not last:
            other = "BA"[k % 2]
            apart = jars[other] - jars[jar] + rng.normal(0, regime.scatter * usual.repeat)
            gloss = min(gloss, course.seconds_at(needed + apart, pace))
            beside = (Melting(other, course),)
        seen = max(LEAST, gloss + rng.normal(0, usual.eye))
        told = {"stage": "orange peel", "seconds": max(LEAST, gloss * rng.uniform(0.75, 0.97))}
        told = told if regime.early else {"to_gloss": seen}
        lot = "2" if new_lot else "1"
        of_load = {"beside": beside, "of_load": bool(beside)}
        records.append(StageRecord(k, "small", 0, APART * k, jar, "disc", course, lot=lot, **told, **of_load))  # type: ignore[arg-type]
    known = kiln_clock(records[:-1], dict.fromkeys("AB", JAR_SD), usual)
    low, _, high = known.gloss_time(course, "small", jar, "disc", APART * regime.firings, lot=lot)
    return bool(low <= seen <= high)


@cache
def _spreads() -> Spreads:
    return spreads()
