"""Levelling of a viscous film, and the sifted coat that follows from it.

Sources
-------
* S. E. Orchard, Appl. Sci. Res. A 11 (1962) 451: rate of decay of a wave on a film of any depth (formula
  from memory; both limits are checked here, the numbers by an independent computation).
* The law of the sifted coat is derived from it: grains fallen at random make white noise of thickness.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from enamelwright.physics.levelling import (
    decay,
    depth_factor,
    gloss_work,
    limiting_wave,
    thin_film_decay,
    thin_film_gloss,
)

MM, UM = 1e-3, 1e-6
GAMMA, RHO, SLOPE = 0.25, 2500.0, 0.010

#: Wave over depth, thin-film rate over the whole law with gravity at 0.2 mm: independent computation.
RATIOS = [(5.0, 3.782), (10.0, 1.688)]


@pytest.mark.parametrize(("wave", "ratio"), RATIOS)
def test_thin_film_overestimates(wave, ratio):
    """How far the law of the thin film overestimates the rate."""
    h = 0.2 * MM
    got = thin_film_decay(wave * h, h, GAMMA) / decay(wave * h, h, GAMMA, RHO)
    assert got == pytest.approx(ratio, abs=1e-3)


#: Wave [mm] and the work that levels it e-fold [1/Pa] on 0.2 mm: independent computation, two digits.
TIMES = [(1.0, 0.0036), (2.0, 0.026), (4.0, 0.28), (5.0, 0.63)]


@pytest.mark.parametrize(("wave", "work"), TIMES)
def test_work_that_levels_a_wave(wave, work):
    """Work that levels a wave e-fold."""
    assert 1 / decay(wave * MM, 0.2 * MM, GAMMA, RHO) == pytest.approx(work, rel=0.02)


def test_orchard_thin_film_limit():
    """Long waves without gravity: 16 pi^4 gamma h^3 / (3 lambda^4)."""
    wave, h = 40 * MM, 0.1 * MM
    assert decay(wave, h, GAMMA, 0.0) == pytest.approx(16 * np.pi**4 * GAMMA * h**3 / (3 * wave**4), rel=1e-3)
    assert thin_film_decay(wave, h, GAMMA) == pytest.approx(16 * np.pi**4 * GAMMA * h**3 / (3 * wave**4), rel=1e-12)


def test_orchard_deep_limit():
    """A deep melt: gamma q / 2, the rate of a half-space."""
    wave, h = 0.1 * MM, 2 * MM
    assert decay(wave, h, GAMMA, 0.0) == pytest.approx(np.pi * GAMMA / wave, rel=1e-6)


@given(st.floats(1e-4, 2e-3))
def test_depth_factor_is_smooth_where_its_series_begins(kappa):
    """No jump where the series takes over from the difference that cancels."""
    assert depth_factor(kappa) == pytest.approx(2 / 3 * kappa**3 * (1 - 9 / 5 * kappa**2), rel=1e-5)


@given(st.floats(0.01, 50.0))
def test_depth_factor_as_printed(kappa):
    """(sinh cosh - k) / (cosh^2 + k^2) in its own form."""
    sinh, cosh = np.sinh(kappa), np.cosh(kappa)
    assert depth_factor(kappa) == pytest.approx((sinh * cosh - kappa) / (cosh**2 + kappa**2), rel=1e-7)


#: Grain [um], coat [mm], work until gloss in the thin-film limit [1/Pa], as printed; independent computation.
GLOSS = [
    (75, 0.1, 0.049), (105, 0.1, 0.136), (150, 0.1, 0.395), (200, 0.1, 0.94),
    (75, 0.2, 0.0124), (105, 0.2, 0.034), (150, 0.2, 0.0988), (250, 0.2, 0.457),
    (75, 0.4, 0.0031), (150, 0.4, 0.0247), (200, 0.4, 0.059), (250, 0.4, 0.114),
]  # fmt: skip


@pytest.mark.parametrize(("grain", "coat", "work"), GLOSS)
def test_gloss_by_grain_and_coat(grain, coat, work):
    """Work until gloss by grain and thickness, thin film."""
    got = thin_film_gloss(grain * UM, coat * MM, coat * MM, tension=GAMMA, slope=SLOPE)
    assert got == pytest.approx(work, rel=0.03)  # printed with two or three digits


def test_slowest_wave_of_the_thin_film():
    """The slowest wave is 0.78 of the limiting one, and its work the closed form."""
    grain, h = 150 * UM, 0.2 * MM
    limit = float(limiting_wave(grain, h, SLOPE))

    def work(wave):
        return 2 * np.log(limit / wave) / float(thin_film_decay(wave, h, GAMMA))

    best = minimize_scalar(lambda w: -work(w), bounds=(limit / 10, limit), method="bounded", options={"xatol": 1e-9})
    assert best.x / limit == pytest.approx(np.exp(-0.25), abs=1e-3)
    assert best.x == pytest.approx(3.8 * MM, abs=0.05 * MM)
    closed = thin_film_gloss(grain, h, h, tension=GAMMA, slope=SLOPE)
    assert closed == pytest.approx(work(best.x), rel=1e-6)
    assert closed == pytest.approx(0.09880, abs=1e-4)


def test_whole_law_of_the_base_coat():
    """150 um, 0.2 mm with the whole law and gravity: 0.1149 1/Pa (independent computation)."""
    got = gloss_work(150 * UM, 0.2 * MM, 0.2 * MM, tension=GAMMA, density=RHO, slope=SLOPE)
    assert got == pytest.approx(0.1149, rel=0.01)


def test_second_coat():
    """0.2 mm on 0.2 mm of molten glass: thin film 0.01235, whole law 0.0221 (independent computation)."""
    thin = thin_film_gloss(150 * UM, 0.2 * MM, 0.4 * MM, tension=GAMMA, slope=SLOPE)
    whole = gloss_work(150 * UM, 0.2 * MM, 0.4 * MM, tension=GAMMA, density=RHO, slope=SLOPE)
    assert thin == pytest.approx(0.01235, rel=5e-3)
    assert whole == pytest.approx(0.0221, rel=0.02)


def test_scaling():
    """Eight times the work for twice the grain, a quarter for twice the coat or twice the visible slope."""
    one = thin_film_gloss(100 * UM, 0.1 * MM, 0.1 * MM, tension=GAMMA, slope=SLOPE)
    for grain, coat, slope, ratio in ((200, 0.1, SLOPE, 8), (100, 0.2, SLOPE, 0.25), (100, 0.1, 2 * SLOPE, 0.25)):
        other = thin_film_gloss(grain * UM, coat * MM, coat * MM, tension=GAMMA, slope=slope)
        assert other / one == pytest.approx(ratio, rel=1e-12)


@given(st.floats(40, 400), st.floats(0.05, 0.6), st.floats(0.0, 1.0), st.floats(0.004, 0.02))
def test_scan_finds_the_slowest_wave(grain, coat, below, slope):
    """The scanned maximum against a library's search over the wavelength."""
    d, own, melt = grain * UM, coat * MM, (coat + below) * MM
    limit = float(limiting_wave(d, own, slope))

    def slow(logarithm):
        wave = limit * np.exp(-logarithm)
        return -2 * logarithm / float(decay(wave, melt, GAMMA, RHO))

    best = minimize_scalar(slow, bounds=(1e-3, 3.0), method="bounded", options={"xatol": 1e-7})
    got = gloss_work(d, own, melt, tension=GAMMA, density=RHO, slope=slope)
    assert got == pytest.approx(-best.fun, rel=1e-3)


@given(st.floats(40, 400), st.floats(0.05, 0.6), st.floats(0.0, 1.0))
def test_the_whole_law_is_used_and_finer_powder_never_needs_more(grain, coat, below):
    """A thin film levels faster than any real one: the law used needs at least as much work, up to what gravity helps."""
    d, own, melt = grain * UM, coat * MM, (coat + below) * MM
    weightless = float(gloss_work(d, own, melt, tension=GAMMA, density=0.0, slope=SLOPE))
    thin = float(thin_film_gloss(d, own, melt, tension=GAMMA, slope=SLOPE))
    used = float(gloss_work(d, own, melt, tension=GAMMA, density=RHO, slope=SLOPE))
    assert weightless > thin * (1 - 1e-3)
    assert used <= weightless
    finer = gloss_work(d * 0.9, own, melt, tension=GAMMA, density=RHO, slope=SLOPE)
    assert float(finer) < used
