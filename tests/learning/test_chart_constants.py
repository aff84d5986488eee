"""Factors of control charts against printed tables and against simulation."""

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.chart_constants import chart_constants

#: Printed in ISO 7870-2 and in every handbook of quality control (values from memory, agreed with by quadrature).
PRINTED = {2: (1.12838, 0.85250, 0.79788), 3: (1.69257, 0.88837, 0.88623), 4: (2.05875, 0.87981, 0.92132)}


@pytest.mark.parametrize("n", PRINTED)
def test_against_printed_tables(n: int) -> None:
    got = chart_constants(n)
    assert (got.d2, got.d3, got.c4) == pytest.approx(PRINTED[n], abs=1e-5)


def test_derived_factors() -> None:
    two, four = chart_constants(2), chart_constants(4)
    assert two.e2 == pytest.approx(2.6587, abs=1e-4)
    assert four.a2 == pytest.approx(0.7286, abs=1e-4)
    assert four.d3_d4 == pytest.approx((0, 2.2821), abs=1e-4)
    assert four.a3 == pytest.approx(1.6281, abs=1e-4)
    assert four.b3_b4 == pytest.approx((0, 2.2660), abs=1e-4)


@pytest.mark.parametrize("n", [2, 5, 10, 25])
def test_against_simulation(n: int) -> None:
    sample = np.random.default_rng(1).normal(size=(200_000, n))
    spread = np.ptp(sample, axis=1)
    got = chart_constants(n)
    assert got.d2 == pytest.approx(np.mean(spread), rel=3e-3)
    assert got.d3 == pytest.approx(np.std(spread), rel=6e-3)
    assert got.c4 == pytest.approx(np.mean(np.std(sample, axis=1, ddof=1)), rel=2e-3)


@pytest.mark.parametrize("n", [0, 1, 26])
def test_other_groups_are_refused(n: int) -> None:
    with pytest.raises(InputError):
        chart_constants(n)
