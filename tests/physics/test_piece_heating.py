"""A piece that heats up in the kiln: closed forms, balances, batches and bad input."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.constants import STEFAN_BOLTZMANN
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.physics.piece_heating import Oxidation, VftStack, heat
from heated_cases import (
    AIR,
    COPPER,
    HARD,
    MEDIUM,
    MESH,
    MID_OXIDE,
    MM,
    PLATE,
    SILVER,
    SOFT,
    ZERO_C,
    clock,
    disc,
    marks,
    points,
    powder,
)

SET = 800 + ZERO_C
STEADY = KilnResponse.steady()


def radiator(**changes):
    """Copper, 0.9 mm, 400 J/kg/K, emissivity 0.8 on both faces and no rim, air or support."""
    body = disc(
        coat=0.0, specific_heat=lambda t: np.full_like(t, 400.0), edge_area=0.0, top_emissivity=0.8,
        bottom_emissivity=0.8, bottom_dark=None, support_mass=0.0, view=0.0, film=1e-12,
    )  # fmt: skip
    return replace(body, **changes)


def fire(body, response=STEADY, set_point=SET, duration=60.0, laws=(MEDIUM,), **more):
    return heat(body, response, set_point, duration, clocks=clock(*laws), air=AIR, **more)


def exact_time(kelvin, kiln, start):
    """Radiative heating of a lump: t = [ln((Tk + T)/(Tk - T)) + 2 atan(T/Tk)] / (4 K Tk^3), K = 2 eps sigma / C."""
    k = 2 * 0.8 * STEFAN_BOLTZMANN / (8960 * 400 * 0.9e-3)

    def primitive(t):
        return np.log((kiln + t) / (kiln - t)) + 2 * np.arctan(t / kiln)

    return (primitive(kelvin) - primitive(start)) / (4 * k * kiln**3)


#: Temperature [C], seconds; exact.
RADIATIVE = [(700.0, 24.437), (750.0, 29.955)]


@pytest.mark.parametrize(("celsius", "seconds"), RADIATIVE)
def test_radiative_heating_in_closed_form(celsius, seconds):
    assert exact_time(celsius + ZERO_C, SET, 20 + ZERO_C) == pytest.approx(seconds, abs=1e-3)
    got = fire(radiator(), dt=0.25)
    assert got.reaches(celsius + ZERO_C)[0] == pytest.approx(seconds, abs=0.01)


def test_runge_kutta_error_of_the_usual_step():
    """Steps of 2 s against the closed form: at most 0.0024 K (independent computation), 0.01 allowed."""
    got = fire(radiator(), dt=2.0)
    for time, kelvin in zip(got.times[1:], got.piece[0, 1:], strict=True):
        if kelvin < SET - 0.5:
            slope = 2 * 0.8 * STEFAN_BOLTZMANN * (SET**4 - kelvin**4) / (8960 * 400 * 0.9e-3)
            assert abs(exact_time(kelvin, SET, 20 + ZERO_C) - time) * slope < 0.01


def test_convergence_of_fourth_order():
    """Halving the step divides the error by about sixteen."""
    exact = fire(radiator(), dt=0.125, duration=24.0).piece[0, -1]
    errors = [abs(fire(radiator(), dt=dt, duration=24.0).piece[0, -1] - exact) for dt in (4.0, 2.0)]
    assert errors[0] / errors[1] > 10.0


def test_bare_piece_against_an_adaptive_integrator():
    """The same lumps, written out again and solved by a library at tight tolerance."""
    body = disc(coat=0.0, bare_top=True)

    def slopes(t, y):
        T, S, square = y
        eff, room = MESH.at(t)
        J, A = STEFAN_BOLTZMANN * (SET + float(eff)) ** 4, SET + float(room)
        e = 0.75 - 0.70 * np.exp(-np.sqrt(max(square, 0.0)) / 0.4e-6)
        above = 0.75 * (STEFAN_BOLTZMANN * S**4 - J)
        own = STEFAN_BOLTZMANN * T**4
        film = sum(float(h) for h in AIR.coefficients(T, A, body.length)) * (A - T)
        q = 2 * e * (J - own) + e * 0.30 * above + film + body.edge_area / body.area * e * (J - own)
        heavy = 8960 * 0.9e-3 * float(COPPER(T))
        carried = 0.016 * (15 * (A - S) - above) - body.area * e * 0.30 * above
        rate = 2 * 2.5e-13 * np.exp(-111e3 / 8.314462618 * (1 / T - 1 / SET))
        return [q / heavy, carried / (0.060 * float(body.support_specific_heat(S))), rate]

    begin = [20 + ZERO_C, 20 + ZERO_C, 0.0]
    exact = solve_ivp(
        slopes,
        (0, 120),
        begin,
        method="LSODA",
        rtol=1e-9,
        atol=[1e-7, 1e-7, 1e-22],
        max_step=1.0,
        t_eval=np.arange(0, 121, 2.0),
    )
    got = fire(body, MESH, duration=120.0, oxidation=MID_OXIDE)
    assert np.abs(got.piece[0] - exact.y[0]).max() < 0.5  # while it darkens, at 10 K/s
    assert np.abs(got.piece[0, -10:] - exact.y[0, -10:]).max() < 0.02
    assert np.abs(got.support[0] - exact.y[1]).max() < 0.1
    assert got.oxide[0, -1] == pytest.approx(float(np.sqrt(exact.y[2, -1])), rel=2e-3)


def test_clock_against_quadrature():
    """The fusion work is the integral of the fluidity along the trace."""
    got = fire(disc(), MESH, duration=200.0, dt=0.25, laws=(SOFT, HARD), oxidation=MID_OXIDE)
    for coat, law in enumerate((SOFT, HARD)):
        fluidity = 10.0 ** -law.log_viscosity(got.piece[0])
        work = np.trapezoid(fluidity, got.times)
        assert got.clocks[coat, 0, -1] == pytest.approx(work, rel=1e-3)


def test_isothermal_clock_and_oxide():
    """A piece that goes in at the temperature of the kiln: both run evenly, the oxide in its square."""
    body = radiator(start=SET, oxide_start=1e-6)
    got = fire(body, duration=3600.0, oxidation=MID_OXIDE)
    assert got.clocks[0, 0, -1] == pytest.approx(3600 * 10.0 ** -float(MEDIUM.log_viscosity(SET)), rel=1e-6)
    assert got.oxide[0, -1] == pytest.approx(np.sqrt(1e-12 + 2 * 2.5e-13 * 3600), rel=1e-6)
    assert got.piece[0] == pytest.approx(SET)


def test_an_hour_is_carried_on_at_the_reached_temperature():
    """The stretch that is not stepped agrees with stepping it, and needs few nodes."""
    long = fire(disc(), MESH, duration=3600.0, oxidation=MID_OXIDE, powder=powder())
    assert len(long.times) < 200
    assert long.steady_from < 400.0
    # A response with a wiggle at its very end keeps the solver stepping all the way.
    wiggle = KilnResponse(
        np.append(MESH.times, [3590.0, 3599.0]),
        np.append(MESH.radiant, [1.0, 4.0]),
        np.append(MESH.air, [-10.0, -10.0]),
    )
    stepped = fire(disc(), wiggle, duration=3500.0, oxidation=MID_OXIDE, powder=powder())
    assert stepped.steady_from == np.inf
    assert long.clock_at(3500.0)[0] == pytest.approx(stepped.clock_at(3500.0)[0], rel=2e-3)
    assert long.oxide_at(3500.0)[0] == pytest.approx(stepped.oxide_at(3500.0)[0], rel=1e-3)
    assert long.peak[0] == pytest.approx(stepped.peak[0], abs=0.01)


def test_a_dwell_that_is_no_whole_number_of_steps():
    """The last step is cut to the dwell."""
    got, longer = fire(disc(), MESH, duration=75.3), fire(disc(), MESH, duration=80.0)
    assert got.times[-1] == pytest.approx(75.3)
    assert got.piece[0, -1] == pytest.approx(longer.piece_at(75.3)[0], abs=0.05)
    assert fire(disc(), MESH, duration=0.7).times[-1] == pytest.approx(0.7)


def test_a_firing_carried_on_from_where_it_stood():
    """Two halves, the second with the state of the first, are the whole.

    Not to rounding: the first step after a start has no slope to foresee its middle by.
    """
    whole = fire(disc(), STEADY, duration=80.0, oxidation=MID_OXIDE)
    first = fire(disc(), STEADY, duration=40.0, oxidation=MID_OXIDE)
    state = {"start": first.piece[:, -1], "support_start": first.support[:, -1], "oxide_start": first.oxide[:, -1]}
    second = fire(disc(**state), STEADY, duration=40.0, oxidation=MID_OXIDE)
    assert second.piece[0, -1] == pytest.approx(whole.piece[0, -1], abs=1e-3)
    assert first.clocks[0, 0, -1] + second.clocks[0, 0, -1] == pytest.approx(whole.clocks[0, 0, -1], rel=1e-4)
    assert second.when(marks().gloss, before=first.clocks[0, :, -1])[0] + 40 == pytest.approx(
        whole.when(marks().gloss)[0], abs=1e-2
    )


def test_a_batch_is_its_members():
    """Members of several metals, supports, kilns and set points in one call, and over two threads."""
    n = 2300  # enough for two threads
    rng = np.random.default_rng(4)
    thick, size = rng.uniform(0.3, 1.5, n) * MM, rng.uniform(15, 90, n) * MM
    sets, kind = rng.uniform(740, 860, n) + ZERO_C, rng.integers(0, 2, n)
    body = disc(
        size, thick, specific_heat=[COPPER, SILVER], metal_kind=kind, metal_density=np.where(kind, 10490.0, 8960.0)
    )
    laws = VftStack.of([SOFT, HARD], rng.normal(0, 10, (2, n)))
    given = {"air": AIR, "oxidation": MID_OXIDE, "powder": powder(), "dt": 4.0}
    many = heat(body, [MESH, PLATE], sets, 150.0, clocks=laws, response_of=kind, threads=2, **given)
    for i in (0, 17, 1131, 2299):
        alone = heat(
            disc(size[i], thick[i], specific_heat=SILVER if kind[i] else COPPER, metal_density=body.metal_density[i]),
            (MESH, PLATE)[kind[i]], sets[i], 150.0, clocks=VftStack(*(np.broadcast_to(x, (2, n))[:, i : i + 1] for x in (laws.log_prefactor, laws.slope, laws.pole))), **given,
        )  # fmt: skip
        assert many.piece_at(149.0)[i] == pytest.approx(alone.piece_at(149.0)[0], abs=1e-9)
        assert many.clock_at(149.0, 1)[i] == pytest.approx(alone.clock_at(149.0, 1)[0], rel=1e-9)


def test_the_step_of_a_batch_is_fine_enough():
    """Steps of 4 s against 1 s: the times of gloss within a tenth of a second."""
    coarse, fine = (
        fire(
            disc(thickness=np.array([0.3, 0.9, 1.5]) * MM),
            MESH,
            duration=200.0,
            dt=dt,
            oxidation=MID_OXIDE,
            powder=powder(),
        )
        for dt in (4.0, 1.0)
    )
    assert coarse.when(marks().gloss) == pytest.approx(fine.when(marks().gloss), abs=0.1)


def test_thin_foil_is_stepped_finer():
    """A foil of 0.02 mm follows the chamber without ringing."""
    got = fire(disc(thickness=0.02 * MM, coat=0.05), MESH, duration=120.0, oxidation=MID_OXIDE)
    chamber = SET + MESH.at(got.times)[0]
    assert np.all(np.isfinite(got.piece))
    assert got.piece[0, -1] == pytest.approx(chamber[-1], abs=3.0)
    assert got.peak[0] <= chamber.max() + 1e-6


def test_steel_does_not_step_over_its_hump():
    """A hump of the heat capacity 20 K wide costs its own heat, by the flux in its middle."""
    flat = points([200, 2000], [600, 600])
    humped = points([200, 1000, 1010, 1020, 2000], [600, 600, 5600, 600, 600])  # 50 kJ/kg extra
    body = {"coat": 0.0, "metal_density": 7850.0, "top_emissivity": 0.8, "bottom_emissivity": 0.8, "bottom_dark": None,
            "support_mass": 0.0, "film": 1e-12}  # fmt: skip
    start, goal, hot = 880.0, 1030.0, 1123.15
    without, with_hump = (fire(disc(specific_heat=law, start=start, **body), set_point=hot) for law in (flat, humped))
    late = with_hump.reaches(goal)[0] - without.reaches(goal)[0]
    faces = 2 + float(disc().edge_area / disc().area)
    flux = faces * 0.8 * STEFAN_BOLTZMANN * (hot**4 - 1010.0**4)
    assert late == pytest.approx(7850 * 0.9e-3 * 50e3 / flux, rel=0.02)


def test_hollow_faces_see_less():
    """A hemisphere's inside, mouth over face one half: between a half and all of a flat face."""
    flat, bowl, black = (
        fire(radiator(top_emissivity=e, bottom_emissivity=e, top_mouth=m, bottom_mouth=m)).piece[0, 5]
        for e, m in ((0.8, 1.0), (0.8, 0.5), (1.0, 0.5))
    )
    half = fire(radiator(top_emissivity=0.5, bottom_emissivity=0.5)).piece[0, 5]
    assert black == pytest.approx(half, abs=1e-9)
    assert bowl < half < flat


def test_what_makes_it_slower_and_what_quicker():
    """Gloss comes sooner in a hotter kiln; later with thicker metal, coarser powder, harder enamel."""
    sets = fire(disc(), MESH, np.array([760, 780, 800, 820, 840]) + ZERO_C, 900.0, powder=powder()).when(marks().gloss)
    assert np.all(np.diff(sets) < 0)
    gauges = fire(disc(thickness=np.array([0.5, 0.7, 0.9, 1.2]) * MM), MESH, SET, 900.0, powder=powder())
    assert np.all(np.diff(gauges.when(marks().gloss)) > 0)
    trace = fire(disc(), MESH, SET, 900.0, laws=(SOFT, MEDIUM, HARD), powder=powder())
    assert trace.when(marks().gloss, 0)[0] < trace.when(marks().gloss, 1)[0] < trace.when(marks().gloss, 2)[0]
    grains = trace.when(marks(grain=np.array(200e-6)).gloss)
    assert grains[0] > trace.when(marks().gloss)[0]


def test_never_hotter_than_chamber_nor_colder_than_the_room():
    got = fire(disc(), MESH, duration=300.0, powder=powder(), oxidation=MID_OXIDE)
    assert np.all(got.piece >= 20 + ZERO_C)
    assert got.peak[0] <= SET + MESH.radiant.max()
    assert np.all(np.diff(got.clocks) >= 0)
    assert np.all(np.diff(got.oxide) >= 0)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(5, 200),
    st.floats(0.05, 4),
    st.floats(0, 2),
    st.floats(0.0, 2.0),
    st.floats(600, 1100),
    st.floats(1, 4000),
)
def test_no_ordinary_input_gives_a_nan(diameter, thickness, coat, back, celsius, duration):
    body = disc(diameter * MM, thickness * MM, coat=coat, back=back)
    got = fire(body, MESH, celsius + ZERO_C, duration, powder=powder(coat, back), oxidation=MID_OXIDE)
    for values in (got.piece, got.support, got.clocks, got.oxide, got.peak):
        assert np.all(np.isfinite(values))
    assert not np.any(np.isnan(got.when(marks().gloss)))


BAD = [
    {"area": 0.0}, {"metal_thickness": -1e-3}, {"top_emissivity": 1.2}, {"view": 1.5}, {"transfer": 0.0},
    {"support_area": 0.0}, {"start": -5.0}, {"glass_top": float("nan")}, {"metal_kind": 1}, {"top_mouth": 0.0},
    {"specific_heat": lambda t: -np.ones_like(t)},
]  # fmt: skip


@pytest.mark.parametrize("change", BAD, ids=lambda c: next(iter(c)))
def test_impossible_bodies_are_refused(change):
    with pytest.raises(InputError):
        fire(disc(**change))


@pytest.mark.parametrize("duration", [0.0, -10.0, float("nan"), 1e6])
def test_impossible_dwells_are_refused(duration):
    with pytest.raises(InputError):
        fire(disc(), duration=duration)


def test_other_refusals():
    with pytest.raises(OutOfReach):
        fire(disc(thickness=1e-10, coat=0.0))
    with pytest.raises(InputError):
        fire(disc(), set_point=float("nan"))
    with pytest.raises(InputError):
        fire(disc(), oxidation=Oxidation(-1.0, 1.0, 1.0, 1.0))
    with pytest.raises(InputError):
        fire(disc(), powder=powder(0.6))  # more powder than glass
    with pytest.raises(InputError):
        heat(disc(), STEADY, SET, 60.0, clocks=VftStack(np.ones(1), np.ones(1), np.ones(1)), air=AIR)
    with pytest.raises(InputError):
        fire(disc(), laws=(), powder=powder())  # no clock for the powder to sinter by
    with pytest.raises(OutOfReach):
        fire(disc(), duration=60.0).clock_at(61.0)


def test_bare_metal_needs_no_clock():
    """A batch without any glass: temperatures and oxide only."""
    got = fire(disc(coat=0.0, bare_top=True), MESH, laws=(), oxidation=MID_OXIDE)
    assert got.clocks.shape == (0, 1, len(got.times))
    assert got.oxide[0, -1] > 0
