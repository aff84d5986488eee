"""Viscosity laws and the set temperature of a Maxwell glass."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.viscosity import EULER_GAMMA, VftViscosity, set_point
from named_materials import ZERO_C, enamel


def test_default_law():
    """T12 480 C, T6.6 650 C, A -2 give b 3790.370 K and T0 209.259 C (independent computation)."""
    law = enamel().viscosity
    assert law.slope == pytest.approx(3790.370, abs=1e-3)
    assert law.pole - ZERO_C == pytest.approx(209.259, abs=1e-3)
    assert law.activation_temperature(12.0) * 8.314 == pytest.approx(561.5e3, rel=1e-3)


def test_set_point():
    """q 15 K/s: T1 523.734 C, w 11.329 K, set 517.193 C (independent computation)."""
    glass = enamel()
    got = set_point(glass.viscosity, glass.modulus, 15.0)
    assert got.crossing - ZERO_C == pytest.approx(523.734, abs=0.01)
    assert got.width == pytest.approx(11.329, abs=0.01)
    assert got.temperature - ZERO_C == pytest.approx(517.193, abs=0.01)


@pytest.mark.parametrize("rate", [0.1, 1.0, 15.0, 50.0])
def test_set_point_against_an_integrated_maxwell_glass(rate):
    """An ODE solver's stress at constant rate, read as a set temperature: 1.1-2.0 K higher."""
    glass = enamel()
    law, modulus = glass.viscosity, glass.modulus
    start, end = 700 + ZERO_C, 300 + ZERO_C

    def strain(t, s):
        return rate - s / law.maxwell_time(start - rate * t, modulus)

    out = solve_ivp(strain, (0, (start - end) / rate), [0.0], method="LSODA", rtol=1e-9, atol=1e-9)
    exact = end + float(out.y[0, -1])
    above = exact - set_point(law, modulus, rate).temperature
    assert 0.9 < above < 2.2


def test_exponential_law_sets_at_the_gumbel_mean():
    """A relaxation time exponential in T: T1 520, w 10 -> 514.22784 C by direct quadrature."""
    width, below = 10.0, 400.0
    u = np.linspace(-40.0, below, 400_001)  # kelvin below T1
    survives = np.exp(-np.exp(-u / width))  # share of the strain laid down there
    shift = np.trapezoid(survives, u) - below
    assert shift == pytest.approx(-EULER_GAMMA * width, abs=1e-6)
    assert 520 + shift == pytest.approx(514.22784, abs=1e-4)


@given(st.floats(400, 900), st.floats(1000, 9000), st.floats(-5, 1), st.data())
def test_three_points_return_their_law(pole, slope, prefactor, data):
    law = VftViscosity(prefactor, slope, pole)
    logs = sorted((data.draw(st.floats(3, 13)) for _ in range(3)), reverse=True)
    assume(logs[0] - logs[1] > 0.5 and logs[1] - logs[2] > 0.5)
    points = [(law.temperature_at(v), v) for v in logs]
    back = VftViscosity.from_three_points(*points)
    for kelvin, log_eta in points:
        assert float(back.log_viscosity(kelvin)) == pytest.approx(log_eta, abs=1e-6)
    middle = law.temperature_at(sum(logs) / 3)
    assert float(back.log_viscosity(middle)) == pytest.approx(sum(logs) / 3, abs=1e-6)


def test_frozen_far_below_and_finite_at_the_pole():
    law = enamel().viscosity
    cold = law.log_viscosity([1.0, law.pole, law.pole + 1e-9, 293.15])
    assert np.all(cold == 25.0)


def test_viscosity_falls_with_temperature():
    law = enamel().viscosity
    assert np.all(np.diff(law.log_viscosity(np.linspace(650, 1300, 200))) < 0)


def test_shift_moves_every_isokom():
    law = enamel().viscosity
    for log_eta in (12.0, 6.6, 3.0):
        moved = law.shifted(20.0).temperature_at(log_eta)
        assert moved == pytest.approx(law.temperature_at(log_eta) + 20.0)


def test_bent_points_are_flagged():
    """Isokoms that lie close together leave the pole open."""
    sound = VftViscosity.from_three_points((753.15, 12.0), (923.15, 6.6), (1150.0, 3.8))
    assert not sound.ill_conditioned
    near = VftViscosity(-2.0, 3790.0, 482.0)
    close = [(near.temperature_at(v), v) for v in (12.0, 11.0, 10.0)]
    assert VftViscosity.from_three_points(*close).ill_conditioned


@pytest.mark.parametrize(
    "points",
    [
        ((753.0, 12.0), (740.0, 6.6), (1000.0, 4.0)),  # not rising
        ((753.0, 12.0), (923.0, 12.5), (1000.0, 4.0)),  # thicker when hotter
        ((753.0, 12.0), (923.0, 9.0), (1000.0, 2.0)),  # bends the wrong way
    ],
)
def test_impossible_points_are_refused(points):
    with pytest.raises(InputError):
        VftViscosity.from_three_points(*points)


def test_two_points_are_guarded():
    with pytest.raises(InputError):
        VftViscosity.from_two_points((900.0, 12.0), (800.0, 6.6), -2.0)
    with pytest.raises(InputError):
        VftViscosity.from_two_points((800.0, 12.0), (900.0, 6.6), 7.0)
    with pytest.raises(OutOfReach):
        enamel().viscosity.temperature_at(-3.0)


@given(st.floats(0.01, 100), st.floats(1.01, 20))
def test_faster_cooling_sets_hotter(rate, factor):
    glass = enamel()
    slow = set_point(glass.viscosity, glass.modulus, rate)
    fast = set_point(glass.viscosity, glass.modulus, rate * factor)
    assert fast.temperature > slow.temperature
