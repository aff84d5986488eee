"""Differences of colour against colour-science and coloraide on colours of every kind."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.physics.colour.colour_difference import ciede2000, din99d, weighted_difference

GENERATOR = np.random.default_rng(6)
ONES = GENERATOR.uniform([0, -110, -110], [100, 110, 110], (4000, 3))
NEAR = ONES + GENERATOR.normal(0, 3, ONES.shape)
LABS = st.tuples(st.floats(0, 100), st.floats(-120, 120), st.floats(-120, 120))


@pytest.mark.parametrize("others", [NEAR, ONES[::-1]], ids=["near", "far"])
def test_ciede2000_is_that_of_colour_science(others: np.ndarray) -> None:
    assert ciede2000(ONES, others) == pytest.approx(colour.delta_E(ONES, others, method="CIE 2000"), abs=1e-8)


def test_ciede2000_is_that_of_coloraide() -> None:
    for one, other in zip(ONES[:60], NEAR[:60], strict=True):
        told = Color("lab-d65", one.tolist()).delta_e(Color("lab-d65", other.tolist()), method="2000")
        assert float(ciede2000(one, other)) == pytest.approx(told, abs=1e-6)


def test_din99d_is_that_of_colour_science_less_its_change_of_x() -> None:
    """Printed: Lab 50 20 -40 becomes 53.8286 15.2157 -27.2458."""
    assert din99d([50, 20, -40]) == pytest.approx([53.8286, 15.2157, -27.2458], abs=1e-3)
    assert din99d(ONES) == pytest.approx(colour.Lab_to_DIN99(ONES, method="DIN99d"), abs=1e-8)


@given(LABS, LABS)
def test_ciede2000_is_symmetric_and_never_negative(one: tuple, other: tuple) -> None:
    there, back = float(ciede2000(one, other)), float(ciede2000(other, one))
    assert there >= 0
    assert there == pytest.approx(back, abs=1e-9)
    assert float(ciede2000(one, one)) == pytest.approx(0, abs=1e-6)


def test_the_quick_stand_in_orders_near_colours_alike() -> None:
    """Of colours within a few units the nearest ten by either hold mostly the same."""
    target = np.array([55.0, 30.0, -20.0])
    cloud = target + np.random.default_rng(8).normal(0, 4, (2000, 3))
    exact = set(np.argsort(ciede2000(target, cloud))[:20].tolist())
    quick = set(np.argsort(weighted_difference(target, cloud))[:60].tolist())
    assert len(exact & quick) >= 18
    assert float(weighted_difference(target, target)) == 0


def test_greys_have_no_hue_to_differ_in() -> None:
    assert float(ciede2000([50, 0, 0], [60, 0, 0])) == pytest.approx(
        float(colour.delta_E(np.array([50.0, 0, 0]), np.array([60.0, 0, 0]), method="CIE 2000")), abs=1e-12
    )
