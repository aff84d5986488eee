"""Stages by fusion work, when they are reached, and the second clock."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.physics.gloss_clock import over_work, progress, stage_time, thresholds, turning_work
from heated_cases import HARD, MEDIUM, MM, RULES, SOFT, ZERO_C, laws, marks


def test_stages_of_the_base_coat():
    """150 um, 0.2 mm: 1.8e-5, 2.794e-4 and, by the whole law over all waves, 0.1149 1/Pa (independent computation).

    Upright it has run 1 mm, 1.3 times as thick, after 1.2064 1/Pa.
    """
    got = laws(tilt=1.0)
    for value, wanted, within in zip(
        (got.neck, got.dense, got.gloss, got.over), (1.8e-5, 2.794e-4, 0.1149, 1.2064), (5e-3, 5e-3, 0.01, 5e-3),
        strict=True,
    ):  # fmt: skip
        assert value == pytest.approx(wanted, rel=within)


def test_medium_enamel_law():
    """475, 590, 760 C: A -4.3929, B 3837.68, t0 240.893 C, 295.9 Pa s at 800 C (independent computation)."""
    assert MEDIUM.log_prefactor == pytest.approx(-4.3929, rel=1e-3)
    assert MEDIUM.slope == pytest.approx(3837.68, rel=1e-3)
    assert MEDIUM.pole - ZERO_C == pytest.approx(240.893, rel=1e-3)
    assert 10 ** MEDIUM.log_viscosity(800 + ZERO_C) == pytest.approx(295.9, rel=5e-3)


#: Law, viscosity at 750 and 800 C [Pa s], times longer for 10 K colder than 800: independent computation.
LAWS = [(SOFT, 328, 85, 1.28), (MEDIUM, 1400, 296, 1.33), (HARD, 6330, 1165, 1.37)]


@pytest.mark.parametrize(("law", "at_750", "at_800", "longer"), LAWS)
def test_three_classes(law, at_750, at_800, longer):
    eta = [10 ** float(law.log_viscosity(t + ZERO_C)) for t in (750, 790, 800)]
    assert eta[0] == pytest.approx(at_750, rel=0.02)
    assert eta[2] == pytest.approx(at_800, rel=0.02)
    assert eta[1] / eta[2] == pytest.approx(longer, abs=0.01)


#: Isothermal seconds of the medium enamel to gloss and over-firing: independent computation, whole seconds.
ISOTHERMAL = [(750, 138, 1685), (800, 29, 357), (825, 15, 181), (850, 8, 98)]


@pytest.mark.parametrize(("celsius", "gloss", "over"), ISOTHERMAL)
def test_isothermal_times(celsius, gloss, over):
    eta, got = 10 ** float(MEDIUM.log_viscosity(celsius + ZERO_C)), marks()
    assert float(got.gloss) * eta == pytest.approx(gloss, abs=0.6)
    assert float(got.over) * eta == pytest.approx(over, rel=0.005)


def test_a_level_face_is_over_fired_late_after_gloss_within_bounds():
    """Twelve times gloss for an ordinary coat; a fine one no sooner, a coarse one no later than the bounds say."""
    assert laws().over == pytest.approx(12.0 * laws().gloss)
    assert laws(60e-6).over == pytest.approx(RULES.level_low)
    coarse = laws(200e-6)
    assert coarse.over == pytest.approx(RULES.level_high)
    assert coarse.over > RULES.least * coarse.gloss


def test_a_starved_coat_is_not_over_fired_as_soon_as_it_glosses():
    starved = laws(250e-6, 0.1 * MM)
    assert starved.over == pytest.approx(RULES.least * starved.gloss)


def test_a_level_face_does_not_run_and_a_steeper_one_runs_sooner():
    """Thick glass: 0.15 mm laid on 0.5 mm. Glass on the level stays where it is."""
    level, gentle, steep = (float(laws(coat=0.15 * MM, melt=0.65 * MM, tilt=tilt).over) for tilt in (0.0, 0.3, 1.0))
    assert steep < gentle <= level


def test_run_of_a_vertical_film():
    """1 mm of run at 1.30 and 0.23 1/Pa for 0.25 and 0.60 mm (independent computation): rho g h^2 W / 2."""
    free = replace(RULES, level_low=99.0, level_high=99.0, least=0.0)
    for depth, work in ((0.25, 1.30), (0.60, 0.23)):
        # The rule takes a coat 1.3 times as thick.
        got = over_work(0.01, depth * MM / 1.3, density=2500.0, rules=free, tilt=1.0)
        assert float(got) == pytest.approx(work, rel=0.02)
        half = over_work(0.01, depth * MM / 1.3, density=2500.0, rules=free, tilt=0.5)
        assert float(half) == pytest.approx(2 * float(got))


def test_second_coat_needs_less_work():
    """Levelling over molten glass is quicker, and in rising order all the same."""
    first, second = laws(), laws(melt=0.4 * MM)
    assert second.gloss < 0.5 * first.gloss
    assert second.neck < second.dense < second.gloss < second.over


@given(st.floats(40, 300), st.floats(0.08, 0.6), st.floats(0.0, 0.8), st.floats(0.0, 1.0))
def test_order_of_the_stages(grain, coat, below, tilt):
    got = laws(grain * 1e-6, coat * MM, (coat + below) * MM, tilt)
    assert got.neck < got.dense
    assert got.gloss < got.over


def test_arrays_and_single_numbers_agree():
    grain, coat = np.array([75e-6, 150e-6, 250e-6]), np.array([0.1, 0.2, 0.5]) * MM
    many = laws(grain, coat)
    for i in range(3):
        one = laws(grain[i], coat[i])
        for name in ("neck", "dense", "gloss", "over"):
            assert getattr(many, name)[i] == pytest.approx(float(getattr(one, name)), rel=1e-12)


@pytest.mark.parametrize("change", [{"grain": 0.0}, {"coat": -1e-4}, {"melt": 1e-4}, {"grain": float("nan")}])
def test_impossible_coats_are_refused(change):
    with pytest.raises(InputError):
        laws(**change)


def test_packing_beyond_dense_is_refused():
    with pytest.raises(InputError):
        thresholds(1e-4, 1e-4, 1e-4, tension=0.25, density=2500.0, packing=0.96, rules=RULES)


def test_learned_jar_moves_gloss_and_over_only():
    got, moved = marks(), marks().moved(0.3)
    assert moved.gloss / got.gloss == pytest.approx(10**0.3)
    assert moved.over / got.over == pytest.approx(10**0.3)
    assert (moved.neck, moved.dense) == (got.neck, got.dense)


def test_progress_at_and_between_the_marks():
    """0 two decades before necks, then 1 to 4 at the marks, straight in the logarithm."""
    got = marks()
    work = np.array([got.neck / 100, got.neck, got.dense, got.gloss, got.over])
    assert progress(work, got) == pytest.approx([0, 1, 2, 3, 4], abs=1e-12)
    assert progress(np.sqrt(got.gloss * got.over), got) == pytest.approx(3.5)
    assert progress(0.0, got) == 0.0
    assert progress(1e9, got) == pytest.approx(4.0)


def test_stage_time_on_a_straight_clock():
    times = np.arange(0.0, 11.0)
    clock = 2.0 * times
    assert stage_time(times, clock, 7.0, steady_from=0.0) == pytest.approx(3.5)
    assert stage_time(times, clock, 0.0) == 0.0
    assert stage_time(times, clock, 20.0) == pytest.approx(10.0)
    assert np.isinf(stage_time(times, clock, 20.1))


def test_stage_time_on_a_steep_clock():
    """A clock that grows tenfold a step is read in its logarithm, and evenly once it is steady."""
    times = np.arange(0.0, 10.0)
    clock = 10.0**times
    assert stage_time(times, clock, 10**4.5) == pytest.approx(4.5)
    steady = stage_time(times, clock, (10**4 + 10**5) / 2, steady_from=4.0)
    assert steady == pytest.approx(4.5)


def test_clocks_add_over_firings():
    """Twice half the work is the work."""
    times = np.linspace(0, 100, 51)
    clock = np.stack([times, times / 2]) * 1e-3
    assert stage_time(times, clock + 0.05, 0.10) == pytest.approx([50.0, 100.0])


def test_turning_clock_keeps_time_at_its_reference():
    times = np.linspace(0, 120, 61)
    at = turning_work(times, np.full(61, 800 + ZERO_C), 175e3, 800 + ZERO_C)
    assert at[-1] == pytest.approx(120.0)


def test_turning_clock_doubles_as_arrhenius_says():
    """175 kJ/mol: 780 C runs slower by exp(-(Q/R)(1/T - 1/Tref))."""
    times = np.linspace(0, 60, 31)
    kelvin = np.stack([np.full(31, 780 + ZERO_C), np.full(31, 840 + ZERO_C)])
    got = turning_work(times, kelvin, np.array([175e3, 150e3]), 800 + ZERO_C)[:, -1] / 60
    wanted = [
        np.exp(-q / 8.314462618 * (1 / (t + ZERO_C) - 1 / (800 + ZERO_C))) for q, t in ((175e3, 780), (150e3, 840))
    ]
    assert got == pytest.approx(wanted, rel=1e-9)
    assert got[0] < 1 < got[1]
