"""Control charts of the NIST/SEMATECH e-Handbook of Statistical Methods.

Values from 6.3.2.2 (individuals) and 6.3.2.4 (EWMA); the handbook rounds d2 to 1.128 and its results to a few digits.
"""

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.control_chart import control_chart, drift_limits, drifting_mean, moving_range_sd

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def test_individuals_of_6_3_2_2() -> None:
    chart = control_chart(FLOW)
    assert chart.middle == pytest.approx(50.81, abs=1e-9)
    assert np.mean(np.abs(np.diff(FLOW))) == pytest.approx(1.877778, abs=1e-6)
    assert chart.limits == pytest.approx((45.8159, 55.8041), abs=3e-3)  # printed with d2 = 1.128
    assert chart.limits == pytest.approx((45.8176, 55.8024), abs=1e-4)  # with d2 = 2/sqrt(pi)
    assert not [one for one in chart.signals if one.rule == "beyond the limits"]


def test_drifting_mean_of_6_3_2_4() -> None:
    """Centre 50, s 2.0539, lambda 0.3: limits 47.4115 and 52.5884 in the long run."""
    half = drift_limits(200, 2.0539, 0.3)[-1]
    assert (50 - half, 50 + half) == pytest.approx((47.4115, 52.5884), abs=2e-4)
    values = [
        52.0,
        47.0,
        53.0,
        49.3,
        50.1,
        47.0,
        51.0,
        50.1,
        51.2,
        50.5,
        49.6,
        47.6,
        49.9,
        51.3,
        47.8,
        51.2,
        52.6,
        52.4,
        53.6,
        52.1,
    ]
    printed = [
        50.60,
        49.52,
        50.56,
        50.18,
        50.16,
        49.21,
        49.75,
        49.85,
        50.26,
        50.33,
        50.11,
        49.36,
        49.52,
        50.05,
        49.38,
        49.92,
        50.73,
        51.23,
        51.94,
        51.99,
    ]
    assert drifting_mean(values, 50.0, 0.3) == pytest.approx(printed, abs=6e-3)


def test_a_healthy_kiln_is_left_in_peace() -> None:
    """A year of weekly tiles after a base of three, the spread about as expected: under one false alarm in three years.

    1 in 370 values lies beyond three sigma (ISO 7870-2), so that half a year of single limits alone gives one in 14.
    """
    rng = np.random.default_rng(5)
    charts = [control_chart(rng.normal(160, 5, 55), base=3, known_sd=5.0, worth=3) for _ in range(300)]
    assert sum(bool(one.signals) for one in charts) / 300 < 0.35
    assert np.mean([len(one.signals) for one in charts]) < 0.45


def test_a_step_and_a_drift_are_found_in_time() -> None:
    rng = np.random.default_rng(6)
    healthy = rng.normal(160, 4, 12)
    step = control_chart([*healthy, *(rng.normal(160, 4, 8) + 20)], base=12)
    assert step.signals
    assert step.signals[0].at <= 13
    drift = control_chart([*healthy, *(rng.normal(160, 3, 20) - 2.5 * np.arange(20))], base=12)
    assert drift.signals
    assert drift.signals[0].at <= 12 + 9


def test_eight_on_one_side_and_the_middle_breaks_a_run() -> None:
    base = [10.0, 12.0, 8.0, 10.0] * 2
    run = control_chart([*base, *[10.5] * 8], base=8)
    assert ("eight on one side", 15) in [(one.rule, one.at) for one in run.signals]
    broken = control_chart([*base, *[10.5] * 7, 10.0, *[10.5] * 7], base=8)
    assert "eight on one side" not in [one.rule for one in broken.signals]


def test_the_spread_expected_beforehand_counts_as_much_as_it_is_worth() -> None:
    values = [10.0, 12.0, 9.0]
    own = moving_range_sd(values)
    assert moving_range_sd(values, 4.0, 0) == own
    assert own < moving_range_sd(values, 4.0, 4) < 4.0
    assert moving_range_sd([1.0], 4.0, 2) == pytest.approx(4.0)


@pytest.mark.parametrize("values", [[], [1.0, 2.0], [1.0, float("nan"), 2.0, 3.0]])
def test_too_little_is_refused(values: list[float]) -> None:
    with pytest.raises(InputError):
        control_chart(values)


def test_trouble_ends_when_tiles_are_in_order_again() -> None:
    chart = control_chart([100.0, 101.0, 99.0, 130.0, 100.0, 101.0, 99.0, 100.0, 100.0], base=3, known_sd=4.0, worth=3)
    assert chart.trouble[3]
    assert not chart.trouble[-3:].any()
