"""A habit from few weighings, against hands whose scatter is known because they are drawn."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.habit import habit

USUAL, USUAL_SD, SCATTER = 0.15, 0.05, 0.03
HANDS = 1500
Z = NormalDist().inv_cdf(0.95)


def held(count: int, times: float) -> float:
    """Share of next weighings within the band of 90 %, of hands that scatter so many times as much as is usual."""
    rng = np.random.default_rng(count)
    inside = 0
    for _ in range(HANDS):
        *told, following = rng.normal(USUAL, USUAL_SD) + rng.normal(0.0, times * SCATTER, count + 1)
        got = habit(told, USUAL, USUAL_SD, SCATTER)
        inside += abs(following - got.mean) <= Z * got.sd
    return inside / HANDS


@pytest.mark.parametrize("count", [3, 5, 10])
def test_the_next_weighing_falls_in_the_band_nine_times_in_ten_if_hands_are_as_assumed(count: int) -> None:
    assert held(count, 1.0) > 0.87


@pytest.mark.parametrize("count", [3, 5, 10])
@pytest.mark.parametrize("times", [2.0, 3.0])
def test_a_hand_that_scatters_more_than_is_usual_gets_a_band_nearly_wide_enough(count: int, times: float) -> None:
    """By drawing; a normal quantile with a spread worth four weighings held only 59 to 82 %."""
    assert held(count, times) > 0.82


def test_one_slip_moves_the_habit_little_and_widens_it() -> None:
    good = [0.14, 0.15, 0.16, 0.15, 0.14, 0.16]
    before, after = (habit(values, USUAL, USUAL_SD, SCATTER) for values in (good, [*good, 0.55]))
    assert abs(after.mean - before.mean) < SCATTER
    assert after.sd > 2 * before.sd


@pytest.mark.parametrize("values", [[], [0.1, float("nan")], [float("inf"), 0.2, 0.2]])
def test_nothing_and_no_numbers_are_refused(values: list[float]) -> None:
    with pytest.raises(InputError):
        habit(values, USUAL, USUAL_SD, SCATTER)
