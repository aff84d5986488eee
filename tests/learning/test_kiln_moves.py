"""Kelvins of a kiln: the band of a quotient by simulation, signs, and what is not told."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest

from enamelwright.figure import Z95
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_moves import moves_of, quotient
from enamelwright.learning.kiln_parts import Spreads

SPREADS = Spreads(kiln=0.3, drift=0.02, kind=0.08, repeat=0.05, eye=4, lapse=0.03, jump=0.13, haste=0.15, early=0.8)
SLOPE = 0.014


def clock(days: dict[str, float], sd: float = 0.01, jumps: tuple[tuple[str, float], ...] = ()) -> KilnClock:
    names = ("jar A", *(f"kiln K#{one}" for one in days))
    covariance = np.diag([1.0, *[sd**2 / 2] * len(days)])
    mean = np.array([5.0, *days.values()])
    last = next(reversed(days))
    return KilnClock(
        names, mean, covariance, covariance, SPREADS, 0.0, jumps, (),
        {"K": (int(last[0]), float(last.partition("@")[2]))},
    )  # fmt: skip


@pytest.mark.parametrize("true", [0.0, 4.0, 12.0])
def test_the_band_holds_nine_times_in_ten_whatever_the_slope_really_is(true: float) -> None:
    """Fieller (1954): draws of both numbers about a truth, each with its own band."""
    rng = np.random.default_rng(3)
    slope_sd, sd = 0.0032, 0.04
    over = rng.normal(true * SLOPE, sd, 4000)
    under = rng.normal(SLOPE, slope_sd, 4000)
    held = [
        low <= true <= high for low, _, high in (quotient(a, sd, b, slope_sd) for a, b in zip(over, under, strict=True))
    ]
    assert 0.88 < np.mean(held) < 0.92


def test_with_a_sure_slope_it_is_the_band_of_what_is_divided() -> None:
    assert quotient(0.14, 0.028, SLOPE, 0.0) == pytest.approx((10 - 2 * Z95, 10.0, 10 + 2 * Z95))


def test_a_slope_that_is_not_told_from_nought_tells_nothing() -> None:
    assert quotient(0.14, 0.01, 0.003, 0.003)[::2] == (-inf, inf)


def test_a_drift_and_a_step_have_their_sense_and_their_days() -> None:
    """A hotter kiln needs less of the clock."""
    known = clock({"0@10.0": 0.0, "0@20.0": -0.07, "0@40.0": -0.14, "1@43.0": 0.03, "1@50.0": 0.03})
    drift, step, rest = moves_of(known, "K", SLOPE, 0.003)
    assert (drift.first, drift.last, drift.step) == (10.0, 40.0, False)
    assert drift.likely == pytest.approx(10.0)
    assert 0 < drift.low < 10.0 < drift.high
    assert drift.told
    assert (step.first, step.last, step.step) == (40.0, 43.0, True)
    assert step.likely == pytest.approx(-0.17 / SLOPE)
    assert step.high < 0
    assert not rest.told


def test_a_jump_nobody_wrote_down_divides_a_stretch_too() -> None:
    days = {"0@10.0": 0.0, "0@20.0": 0.0, "0@30.0": -0.14, "0@40.0": -0.14}
    moves = moves_of(clock(days, jumps=(("K", 30.0),)), "K", SLOPE, 0.001)
    assert [one.step for one in moves] == [False, True, False]
    assert moves[1].likely == pytest.approx(10.0)


def test_a_kiln_that_was_fired_on_one_day_has_not_moved() -> None:
    assert moves_of(clock({"0@10.0": 0.0}), "K", SLOPE, 0.003) == ()
    assert moves_of(clock({"0@10.0": 0.0}), "other", SLOPE, 0.003) == ()
