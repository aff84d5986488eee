"""Inverse, reach and cold junction of the reference function."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.type_k import type_k
from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.thermocouple import tolerance


@given(st.floats(-269.0, 1372.0))
def test_there_and_back(celsius):
    kelvin = celsius + ZERO_CELSIUS
    # near the cold end the wires give a microvolt per kelvin, and rounding of the sum shows
    assert type_k().temperature(type_k().emf(kelvin)) == pytest.approx(kelvin, abs=1e-6)


def test_there_and_back_all_at_once():
    kelvin = np.linspace(1, 1370, 5000) + ZERO_CELSIUS
    assert np.max(np.abs(type_k().temperature(type_k().emf(kelvin)) - kelvin)) < 1e-6


def test_the_two_parts_meet_at_the_ice_point():
    """The published parts differ at 0 °C by the rounding of their coefficients only, below 1e-6 mV."""
    below, above = type_k().emf(np.array([-1e-9, 1e-9]) + ZERO_CELSIUS) * 1e3
    assert abs(above - below) < 1e-6


def test_slope_is_the_derivative():
    kelvin = np.linspace(-260, 1370, 400) + ZERO_CELSIUS
    step = 1e-3
    measured = (type_k().emf(kelvin + step) - type_k().emf(kelvin - step)) / (2 * step)
    assert type_k().slope(kelvin) == pytest.approx(measured, rel=1e-4)


def test_voltages_add_and_temperatures_do_not():
    wires, hot, room = type_k(), 800 + ZERO_CELSIUS, 25 + ZERO_CELSIUS
    voltage = wires.emf(hot) - wires.emf(room)
    assert wires.behind(voltage, room) == pytest.approx(hot, abs=1e-6)
    # 24.33 K: from the coefficients by a second program; adding the room's 25 K would be 0.67 K wrong
    shown = float(wires.shown_uncompensated(hot, room))
    assert shown - hot == pytest.approx(-24.33, abs=0.02)
    assert shown + 25 != pytest.approx(hot, abs=0.5)


def test_a_junction_at_the_ice_point_changes_nothing():
    assert type_k().shown_uncompensated(1000.0, ZERO_CELSIUS) == pytest.approx(1000.0, abs=1e-6)


@pytest.mark.parametrize("kelvin", [0.0, 3.0, 1646.0, 5000.0])
def test_nothing_is_extrapolated(kelvin):
    with pytest.raises(OutOfReach):
        type_k().emf(kelvin)


@pytest.mark.parametrize("volts", [-0.00646, 0.0549, 1.0, np.nan, np.inf])
def test_voltages_no_wire_gives(volts):
    with pytest.raises(OutOfReach):
        type_k().temperature(volts)


def test_no_nan():
    with pytest.raises(InputError):
        type_k().emf(np.nan)


def test_tolerance_is_alike_on_both_sides_of_zero():
    assert tolerance(ZERO_CELSIUS + 30, 0.1, 0.01) == pytest.approx(tolerance(ZERO_CELSIUS - 30, 0.1, 0.01))
