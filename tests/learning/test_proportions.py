"""Intervals of shares against scipy's own and the printed definitions."""

import pytest
from scipy.stats import binomtest

from enamelwright.errors import InputError
from enamelwright.learning.proportions import at_most, exact, wilson

COUNTS = [(0, 5), (1, 8), (2, 20), (7, 9), (30, 30), (50, 1000)]


@pytest.mark.parametrize(("count", "of"), COUNTS)
@pytest.mark.parametrize("sure", [0.8, 0.95, 0.99])
def test_exact_and_wilson_agree_with_an_independent_library(count: int, of: int, sure: float) -> None:
    """scipy.stats.binomtest(...).proportion_ci."""
    for ours, method in ((exact, "exact"), (wilson, "wilson")):
        other = binomtest(count, of).proportion_ci(confidence_level=sure, method=method)
        assert ours(count, of, sure) == pytest.approx((other.low, other.high), abs=1e-9)


def test_two_of_twenty() -> None:
    """Definitions evaluated by an independent computation (Clopper-Pearson, Wilson)."""
    assert exact(2, 20) == pytest.approx((0.0123485, 0.3169827), abs=1e-6)
    assert wilson(2, 20) == pytest.approx((0.0278665, 0.3010336), abs=1e-6)


def test_none_of_thirty_is_not_never() -> None:
    assert at_most(30) == pytest.approx(0.0950339, abs=1e-6)
    assert exact(0, 30, 0.9)[1] == pytest.approx(at_most(30), abs=1e-12)


@pytest.mark.parametrize(("count", "of"), COUNTS)
def test_intervals_mirror_and_nest(count: int, of: int) -> None:
    for ours in (exact, wilson):
        low, high = ours(count, of)
        other = ours(of - count, of)
        assert (1 - high, 1 - low) == pytest.approx(other, abs=1e-12)
        assert 0 <= low <= count / of + 1e-12
        assert count / of - 1e-12 <= high <= 1
        assert ours(count, of, 0.8)[0] >= low


@pytest.mark.parametrize(("count", "of", "sure"), [(3, 2, 0.9), (-1, 4, 0.9), (0, 0, 0.9), (1, 2, 1.0)])
def test_impossible_counts_are_refused(count: int, of: int, sure: float) -> None:
    with pytest.raises(InputError):
        exact(count, of, sure)
