"""Bands of bow in whole invented workshops, whose law of bow is none of the product's: they hold, and strips sharpen them.

A slice of benchmarks/bows.py, without badly read bows, as one of them outweighs so few bands.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bowed_workshops import Banded, Truth, keep, scores

SEEDS = range(700, 704)
MM = 1e-3


@pytest.fixture(scope="module")
def bands(tmp_path_factory: pytest.TempPathFactory) -> dict[bool, list[Banded]]:
    """Bands of the later discs of each workshop, by whether strips were fired before them."""
    folder: Path = tmp_path_factory.mktemp("bowed")
    return {
        strips: [
            band
            for seed in SEEDS
            for band in keep(folder / f"{seed} {strips}", seed, strips=strips, each=1, slips=0.0)
            if band.after
        ]
        for strips in (True, False)
    }


def test_frozen_bands_of_bow_hold(bands: dict[bool, list[Banded]]) -> None:
    """Forty workshops held nine in ten; of sixteen bands fewer than twelve would hold once in sixty times."""
    for mine in bands.values():
        assert len(mine) == 4 * len(SEEDS)
        assert scores(mine).held >= 0.75


def test_strips_are_worth_their_trouble(bands: dict[bool, list[Banded]]) -> None:
    """The same discs, read the same way: width and misses together cost less once strips were fired."""
    assert [one.happened for one in bands[True]] == [one.happened for one in bands[False]]
    taught, plain = (scores(bands[strips]) for strips in (True, False))
    assert taught.price < 0.85 * plain.price
    assert taught.width < 0.7 * plain.width


@pytest.mark.parametrize("seed", range(3))
def test_the_invented_law_is_a_law(seed: int) -> None:
    """Turned over, a disc bows the other way; in one firing like glass on both faces cancels; an elastic strip is exact."""
    truth = Truth(seed)
    coat = 0.2 * MM
    front, back = (truth.bow(0.8 * MM, [[(face, 0, coat)]], 25 * MM)[0] for face in ("front", "back"))
    assert front == pytest.approx(-back)
    assert front > 0
    assert truth.bow(0.8 * MM, [[("front", 0, coat), ("back", 0, coat)]], 25 * MM)[0] == pytest.approx(0, abs=1e-9)
    truth.gives = 1e12  # never gives: S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233, eq. 4
    metal, glass = truth.moduli
    m, n = coat / (0.8 * MM), glass / metal
    wider = (truth.metal - truth.glass[0]) * (truth.stiff[0] - 20)
    curvature = 6 * wider * (1 + m) ** 2 / (1.0 * MM * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))
    assert truth.bow(0.8 * MM, [[("front", 0, coat)]], None)[0] == pytest.approx(
        curvature * (50 * MM) ** 2 / 8, rel=2e-3
    )


def test_what_is_drawn_is_as_in_print() -> None:
    """Annealed copper gives at 31 to 75 MPa (Smithells 8th ed., table 22.7: 48 and 54), enamel sets near 480 degrees."""
    drawn = [Truth(seed) for seed in range(60)]
    assert 35e6 < np.median([one.gives for one in drawn]) < 55e6
    assert 470 < np.median([one.stiff for one in drawn]) < 490
