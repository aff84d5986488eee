"""Cooling of a lump against closed forms, an adaptive solver and values of a second program."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enamelwright.craft.air import air_film
from enamelwright.errors import InputError
from enamelwright.physics.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS
from enamelwright.physics.cooling import cooling_times

ROOM = 20 + ZERO_CELSIUS


def still(kelvin):
    return np.zeros_like(kelvin)


def constant(value):
    return lambda kelvin: np.full_like(kelvin, value)


def test_radiation_alone_is_the_closed_form():
    """Exact: t = (F(T1) - F(T0)) C / (4 K T_r^3), F = ln((T+T_r)/(T-T_r)) + 2 atan(T/T_r), K = 2 eps sigma."""
    heat, shine, start = 3200.0, 1.6, 1073.15
    goals = np.array([900.0, 600.0, 400.0, 300.0])
    closed = lambda t: np.log((t + ROOM) / (t - ROOM)) + 2 * np.arctan(t / ROOM)  # noqa: E731
    exact = heat / (4 * shine * STEFAN_BOLTZMANN * ROOM**3) * (closed(goals) - closed(start))
    found = cooling_times(start, ROOM, goals, heat=constant(heat), emissivity=shine, film=still)[0]
    assert found == pytest.approx(exact, rel=1e-9)


def test_air_alone_is_an_exponential():
    heat, film = 3200.0, 25.0
    goals = np.array([900.0, 400.0, ROOM + 1])
    exact = heat / film * np.log((1073.15 - ROOM) / (goals - ROOM))
    found = cooling_times(1073.15, ROOM, goals, heat=constant(heat), emissivity=0.0, film=constant(film))[0]
    assert found == pytest.approx(exact, rel=1e-12)


def test_both_against_an_adaptive_solver():
    air, length = air_film(), 0.008

    def heat(kelvin):
        return 8960 * 9e-4 * (385 + 0.1 * (kelvin - 300)) + 1000.0

    def film(kelvin):
        return sum(air.coefficients(kelvin, ROOM, length))

    def falling(_, t):
        lost = 1.5 * STEFAN_BOLTZMANN * (t**4 - ROOM**4) + film(t) * (t - ROOM)
        return -lost / heat(t)

    times = cooling_times(1073.15, ROOM, [800.0, 500.0, 330.0], heat=heat, emissivity=1.5, film=film)[0]
    solved = solve_ivp(falling, (0, 400), [1073.15], rtol=1e-9, atol=1e-9, t_eval=times)
    assert solved.y[0] == pytest.approx([800.0, 500.0, 330.0], abs=0.01)


# A copper disc with 0.5 kg/m2 of enamel on each face, 430 J/kg/K and 2.5 times that for the glass, emissivity
# 0.88 a face, from 795 °C in still air of 20 °C: seconds by stepping 0.1 s in a second program
DISCS = [
    (0.032, 9e-4, {700: 3.2, 560: 10.4, 475: 17.1, 300: 43, 100: 153, 51: 267, 43: 307}),
    (0.100, 1.2e-3, {700: 4.4, 560: 14, 475: 24, 300: 63, 100: 238, 51: 426, 43: 493}),
]


@pytest.mark.parametrize(("diameter", "sheet", "seconds"), DISCS)
def test_discs(diameter, sheet, seconds):
    air = air_film()
    capacity = 430 * (8960 * sheet + 2.5 * 2 * 0.5)
    found = cooling_times(
        795 + ZERO_CELSIUS,
        ROOM,
        np.array(list(seconds)) + ZERO_CELSIUS,
        heat=constant(capacity),
        emissivity=2 * 0.88,
        film=lambda kelvin: sum(air.coefficients(kelvin, ROOM, diameter / 4)),
    )[0]
    assert found == pytest.approx(list(seconds.values()), rel=0.03)


@given(st.floats(400, 1200), st.floats(290, 390), st.floats(0.1, 2.0))
def test_colder_takes_longer_and_order_does_not_matter(start, low, shine):
    goals = np.array([low, low + 3, low + 9])
    kwargs = {"heat": constant(2000.0), "emissivity": shine, "film": constant(10.0)}
    down = cooling_times(start, 280.0, goals, **kwargs)[0]
    up = cooling_times(start, 280.0, goals[::-1], **kwargs)[0]
    assert np.all(np.diff(down) <= 0)
    assert down == pytest.approx(up[::-1])


def test_what_never_comes_and_what_is_past():
    found = cooling_times(
        1000.0, 330.0, [1100.0, 1000.0, 330.0, 300.0], heat=constant(2e3), emissivity=1.0, film=constant(10.0)
    )[0]
    assert found[:2] == pytest.approx([0, 0])
    assert np.all(np.isinf(found[2:]))


def test_a_piece_colder_than_the_room_waits_for_nothing():
    found = cooling_times(300.0, 330.0, [320.0], heat=constant(2e3), emissivity=1.0, film=constant(10.0))
    assert not np.any(np.isnan(found))


def test_members_are_independent():
    start, shine = np.array([1000.0, 1073.0, 1100.0]), np.array([1.0, 1.5, 1.7])
    kwargs = {"heat": constant(2e3), "film": constant(12.0)}
    together = cooling_times(start, ROOM, [500.0, 320.0], emissivity=shine, **kwargs)
    for row, (one, eps) in enumerate(zip(start, shine, strict=True)):
        alone = cooling_times(one, ROOM, [500.0, 320.0], emissivity=eps, **kwargs)
        assert together[row] == pytest.approx(alone[0])


def test_heat_scales_time():
    kwargs = {"heat": constant(2e3), "emissivity": 1.0, "film": constant(12.0)}
    one = cooling_times(1000.0, ROOM, [320.0], **kwargs)
    assert cooling_times(1000.0, ROOM, [320.0], scale=1.7, **kwargs) == pytest.approx(1.7 * one)


@pytest.mark.parametrize(
    "change",
    [{"start": np.nan}, {"start": -1.0}, {"room": 0.0}, {"targets": [np.inf]}, {"emissivity": 2.5}, {"scale": 0.0}],
)
def test_impossible_entries(change):
    entries = {"start": 1000.0, "room": ROOM, "targets": [400.0], "emissivity": 1.0, "scale": 1.0} | change
    with pytest.raises(InputError):
        cooling_times(heat=constant(2e3), film=constant(1.0), **entries)


def test_nothing_to_carry_heat_away():
    with pytest.raises(InputError):
        cooling_times(1000.0, ROOM, [400.0], heat=constant(2e3), emissivity=0.0, film=still)
