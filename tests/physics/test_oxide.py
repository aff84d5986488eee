"""Parabolic growth: squares add, histories and holds agree, and impossible entries are refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enamelwright.errors import InputError
from enamelwright.physics.oxide import ParabolicLaw, added, flaking_thickness, growth, isothermal, metal_lost

LAW = ParabolicLaw(rate=2.5e-13, activation=111e3, reference=1073.15)


def test_two_equal_exposures_make_the_root_of_two():
    one = isothermal(LAW, 1073.15, 100.0)
    assert isothermal(LAW, 1073.15, 100.0, one) == pytest.approx(np.sqrt(2) * one, rel=1e-12)
    assert added([one, one]) == pytest.approx(np.sqrt(2) * one, rel=1e-12)


@given(st.floats(0, 1e4), st.floats(0, 1e4), st.floats(400, 1350))
def test_exposures_add_as_squares(first, second, kelvin):
    a, b = (isothermal(LAW, kelvin, t) for t in (first, second))
    assert added([a, b]) == pytest.approx(float(isothermal(LAW, kelvin, first + second)), rel=1e-9, abs=1e-30)


def test_a_cut_history_is_the_whole_one():
    times = np.linspace(0, 200, 401)
    kelvin = 300 + 700 * np.minimum(times / 60, 1)
    whole = growth(LAW, times, kelvin)
    first = growth(LAW, times[:151], kelvin[:151])
    rest = growth(LAW, times[150:], kelvin[150:], first[-1])
    assert rest[-1] == pytest.approx(whole[-1], rel=1e-12)
    assert np.all(np.diff(whole) >= 0)


def test_a_flat_history_is_a_hold():
    assert growth(LAW, [0.0, 7.0, 60.0], [1000.0] * 3, 1e-6)[-1] == pytest.approx(
        isothermal(LAW, 1000.0, 60.0, 1e-6), rel=1e-12
    )


def test_a_rise_against_an_adaptive_solver():
    """scipy's solve_ivp on dx/dt = K/x; the trapezoid at 2 s steps is within a per mille."""

    def kelvin(t):
        return 300 + 800 * (1 - np.exp(-t / 25))

    solved = solve_ivp(lambda t, x: LAW.rate_at(kelvin(t)) / x, (0, 120), [1e-8], rtol=1e-10, atol=1e-14)
    times = np.arange(0, 121, 2.0)
    assert growth(LAW, times, kelvin(times), 1e-8)[-1] == pytest.approx(solved.y[0, -1], rel=1e-3)


def test_members_in_one_call():
    kelvin = np.array([[1000.0, 1000.0], [1073.15, 1073.15]])
    together = growth(LAW, [0.0, 50.0], kelvin, np.array([0.0, 1e-6]))
    assert together.shape == (2, 2)
    assert together[0, -1] == pytest.approx(isothermal(LAW, 1000.0, 50.0))
    assert together[1, -1] == pytest.approx(isothermal(LAW, 1073.15, 50.0, 1e-6))


def test_mass_is_kept():
    """Metal in the oxide is the metal gone from the sheet."""
    oxide, share = 6000.0, 0.8882
    assert metal_lost(5e-6, oxide, share, 8960.0) * 8960 == pytest.approx(5e-6 * oxide * share)


def test_flaking_by_hand():
    """x = Gc (1 - nu) / (E eps^2): 10 x 0.7 / (65e9 x 8.1e-5) = 1.33 µm."""
    assert flaking_thickness(10.0, 65e9, 0.3, 0.009) == pytest.approx(1.33e-6, rel=0.001)


@pytest.mark.parametrize("numbers", [(0.0, 1e5, 1073.0), (1e-13, -1.0, 1073.0), (1e-13, 1e5, 0.0), (np.nan, 1e5, 1e3)])
def test_impossible_laws(numbers):
    with pytest.raises(InputError):
        ParabolicLaw(*numbers)


def test_impossible_histories():
    for times, kelvin, start in (
        ([0, 1], [1000.0], 0.0),
        ([1, 0], [1000.0, 1000.0], 0.0),
        ([0, 1], [1000.0, -3.0], 0.0),
        ([0, 1], [1000.0, np.nan], 0.0),
        ([0, 1], [1000.0, 1000.0], -1e-6),
    ):
        with pytest.raises(InputError):
            growth(LAW, times, kelvin, start)
    with pytest.raises(InputError):
        isothermal(LAW, 1000.0, -1.0)
