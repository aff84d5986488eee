"""How long colours stay: the exact interval where nobody stopped early, and words for almost nothing."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta

from enamelwright.errors import InputError
from enamelwright.learning.heat_budget import heat_budget


@pytest.mark.parametrize(("of", "turned"), [(10, 3), (5, 1), (8, 7), (1, 1), (4, 4)])
def test_without_pieces_that_stopped_it_is_clopper_and_pearson(of: int, turned: int) -> None:
    """C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404: beta quantiles, here at 90 %."""
    got = heat_budget([(1, True)] * turned + [(1, False)] * (of - turned))[-1]
    good = of - turned
    low = beta.ppf(0.05, good, turned + 1) if good else 0.0
    high = beta.ppf(0.95, good + 1, turned)
    assert got.likely == pytest.approx(good / of)
    # The product of the beta laws is one beta law in this case, so their like is itself.
    assert (got.low, got.high) == pytest.approx((low, high), rel=1e-6)


def test_a_piece_that_stopped_counts_as_far_as_it_went() -> None:
    got = heat_budget([(3, True), (2, False), (3, False)])
    assert [one.seen for one in got] == [3, 3, 3, 2]
    assert got[2].likely == 1.0
    assert got[3].likely == 0.5
    assert got[3].low < 0.1


def test_few_good_ones_promise_little() -> None:
    """Ten pieces fired again once and all good leave a quarter open; the upper end is one, the lower far below."""
    once = heat_budget([(1, False)] * 10)[-1]
    assert once.high == 1.0
    assert once.low == pytest.approx(0.05 ** (1 / 10), rel=1e-6)  # rule of three, exactly
    assert heat_budget([]) == []
    with pytest.raises(InputError):
        heat_budget([(-1, False)])


def test_intervals_hold_as_often_as_they_say() -> None:
    rng = np.random.default_rng(2)
    truth, held, tried = 0.75, 0, 400
    for _ in range(tried):
        turned_at = rng.geometric(1 - truth, 12)
        stopped = rng.integers(1, 5, 12)
        pieces = [(int(min(t, s)), bool(t <= s)) for t, s in zip(turned_at, stopped, strict=True)]
        second = next(one for one in heat_budget(pieces) if one.refirings == 2)
        held += second.low <= truth**2 <= second.high
    assert held / tried > 0.87  # at least nine in ten, up to chance
