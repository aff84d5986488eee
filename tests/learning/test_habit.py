"""A habit from few weighings, against hands whose scatter is known because they are drawn."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.habit import Habit, Shares, habit, own_habits
from enamelwright.learning.interval_score import interval_score

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


SHARES = Shares(0.2, 0.6, 0.1)
#: Shares the hands below are drawn with in turn: as assumed, and otherwise.
WORLDS = (SHARES, Shares(0.5, 0.2, 0.2))


def newcomers(count: int, shares: Shares) -> list[tuple[Habit, Habit, Habit, float]]:
    """Hands with so many weighings at a bench where somebody has twenty: pooled, alone, everybody's, and the next one."""
    rng = np.random.default_rng(count)
    rest = 1 - shares.bench - shares.person - shares.mesh
    found = []
    for _ in range(HANDS // 3):
        bench, told, following = rng.normal(0, USUAL_SD * shares.bench**0.5), {}, 0.0
        for who, weighings in (("old", 20), ("new", count)):
            own = sum(rng.normal(0, USUAL_SD * part**0.5) for part in (shares.person, shares.mesh, rest))
            scatter = SCATTER * np.exp(rng.normal(0, 0.3))  # hands scatter differently, and the pool does not know how
            *told[who, 80], following = USUAL + bench + own + rng.normal(0.0, scatter, weighings + 1)
        got = own_habits(told, USUAL, USUAL_SD, SCATTER, SHARES)["new", 80]
        every = [value for values in told.values() for value in values]
        alone, all_ = (habit(values, USUAL, USUAL_SD, SCATTER) for values in (told["new", 80], every))
        found.append((got, alone, all_, following))
    return found


def inside(some: Habit, value: float) -> bool:
    return abs(value - some.mean) <= Z * some.sd


def price(some: Habit, value: float) -> float:
    return interval_score(some.mean - Z * some.sd, some.mean + Z * some.sd, value)


@pytest.mark.parametrize("shares", WORLDS)
@pytest.mark.parametrize("count", [1, 2, 3])
def test_a_newcomer_leans_on_the_others_and_the_band_holds(count: int, shares: Shares) -> None:
    drawn = newcomers(count, shares)
    assert 0.86 < np.mean([inside(got, following) for got, _, _, following in drawn]) < 0.94
    pooled, alone, everybodys = (np.mean([price(one[at], one[3]) for one in drawn]) for at in range(3))
    assert pooled < alone
    assert pooled < 0.9 * everybodys


def test_a_lone_hand_is_what_it_is_alone() -> None:
    values = [0.10, 0.12, 0.11]
    alone, pooled = (
        habit(values, USUAL, USUAL_SD, SCATTER),
        own_habits({("A", 80): values}, USUAL, USUAL_SD, SCATTER, SHARES),
    )
    for one in (pooled["A", 80], pooled["A", 0]):
        assert (one.mean, one.sd, one.count) == pytest.approx((alone.mean, alone.sd, 3))


def test_many_weighings_of_ones_own_leave_the_others_behind() -> None:
    others = [0.25] * 20
    mine = {n: own_habits({("A", 80): [0.1] * n, ("B", 80): others}, USUAL, USUAL_SD, SCATTER, SHARES)["A", 80].mean
            for n in (1, 3, 20)}  # fmt: skip
    assert 0.25 > mine[1] > mine[3] > mine[20] == pytest.approx(0.1, abs=0.01)


def test_a_mesh_only_others_used_is_told_from_them_and_ones_own() -> None:
    told = {("A", 80): [0.10] * 10, ("B", 80): [0.20] * 10, ("B", 200): [0.30] * 10}
    got = own_habits(told, USUAL, USUAL_SD, SCATTER, SHARES)
    assert got["A", 200].count == 0
    assert got["A", 80].mean < got["A", 200].mean < got["B", 200].mean
    assert got["A", 200].sd > got["A", 80].sd


def test_one_slip_of_a_newcomer_is_drawn_in() -> None:
    others = {("B", 80): [0.14, 0.15, 0.16] * 5}
    good, slip = (
        own_habits({**others, ("A", 80): [value]}, USUAL, USUAL_SD, SCATTER, SHARES) for value in (0.16, 0.59)
    )
    assert slip["A", 80].mean - good["A", 80].mean < 0.12
    assert slip["B", 80].sd < 1.2 * good["B", 80].sd
