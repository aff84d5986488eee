"""Bands learned from invented workshops hold about as often as they say, and are sharper than not learning at all.

The whole study (200 workshops a law) is benchmarks/learning.py; this is a slice of it.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import pytest

from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.workshop.learned_clocks import spreads
from invented_kilns import JAR_SD, JARS, Law, World, score


@pytest.mark.parametrize("law", ["dose", "arrhenius"])
def test_bands_are_honest_and_sharp(law: Law) -> None:
    rows = [score(World(law, seed)) for seed in range(900, 910)]
    total = {name: sum(row[name].count for row in rows if name in row) for name in rows[0]}
    held = {n: sum(r[n].held * r[n].count for r in rows if n in r) / total[n] for n in total}
    price = {n: sum(r[n].price * r[n].count for r in rows if n in r) / total[n] for n in total}
    # Some 250 firings in ten workshops, alike within each: 90 % is told to within about 6 % either side.
    assert 0.84 <= held["learned"] <= 0.97
    assert price["learned"] < 0.7 * price["no record"]
    assert price["learned"] < price["last good"]


@pytest.mark.parametrize("law", ["dose", "arrhenius"])
def test_first_gloss_hardly_depends_on_what_the_eye_calls_sugar(law: Law) -> None:
    """How far sugar and orange peel may lie off the laws is a judgement; half of it or half as much again moves gloss little.

    Found: by less than 1 %, over six workshops of 24 firings, a fifth of them pulled before gloss.
    """
    for seed in range(950, 953):
        *past, (record, *_) = islice(World(law, seed).firings(), 25)
        assert any(one.stage in {"sugar", "orange peel"} for one, *_ in past)
        bands = [
            kiln_clock(
                [one for one, *_ in past], {f"J{k}": JAR_SD for k in range(JARS)}, replace(spreads(), early=early)
            ).gloss_time(record.foretold, "small", record.jar, record.kind, record.day)
            for early in (0.4, 0.8, 1.2)
        ]
        for other in (bands[0], bands[2]):
            assert other == pytest.approx(bands[1], rel=0.03)
