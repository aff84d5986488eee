"""A record that asks more of learning than any likely one: 60 designs, 20 jars, two pieces of five with several coats."""

from __future__ import annotations

import numpy as np

from enamelwright.learning.stage_records import Melting, StageRecord
from invented_kilns import foretellings

DESIGNS, JARS, TOGETHER = 60, 20, 0.4


def crowded(firings: int = 1000, days: int = 250, designs: int = DESIGNS, jars: int = JARS) -> list[StageRecord]:
    """Return firings over some days; each day of a kiln and each coat is a part of what is learned."""
    rng, base, records = np.random.default_rng(1), foretellings(), []
    cases = list(base)
    drawn = [
        (cases[rng.integers(len(cases))], rng.choice(jars, int(rng.integers(2, 5)), replace=False))
        for _ in range(designs)
    ]
    late = rng.normal(0, 0.12, jars)
    for number in range(firings):
        design = int(rng.integers(designs))
        case, mine = drawn[design]
        mine = mine if rng.random() < TOGETHER else rng.choice(mine, 1)
        course, day = base[case], float(days * number // firings)
        own, *beside = (
            Melting(
                f"J{jar}", course, f"{design} {jar}", 0.12, float(rng.choice((-10.0, 0.0, 10.0))),
                float(rng.normal(0, 0.2)),
            )
            for jar in mine
        )  # fmt: skip
        needed = max(float(late[jar]) + float(rng.normal(0, 0.08)) for jar in mine) + 0.1 * float(np.sin(day / 60))
        gloss = course.seconds_at(needed)
        records.append(
            StageRecord(
                number, "small", 0, day, own.jar, f"design {design}", course, "gloss", 1.15 * gloss,
                gloss if rng.random() < 0.6 else None, 0.3 if number % 4 else 0.0, own.coat, own.coat_sd, own.hotter,
                own.law, tuple(beside), "gloss",
            )
        )  # fmt: skip
    return records
