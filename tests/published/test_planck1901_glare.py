"""Radiation of an open kiln, views of it, and limits for the eye.

Sources
-------
* CODATA 2018: Stefan-Boltzmann constant 5.670374419e-8, Wien displacement 2.897771955e-3 m K.
* Shares of black-body radiation below wavelength times temperature, as printed in tables of heat transfer
  (F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, table 12.1, from memory):
  1000 µm K 0.000321, 2000 0.066728, 2898 0.250108, 4000 0.480877, 6000 0.737818, 10000 0.914199.
* View of a rectangle from a patch: closed form against direct integration and the inverse square of far away.
* ICNIRP 1997 and Directive 2006/25/EC, index m and n: 18000 t^-0.75 up to 1000 s, 100 W/m2 beyond.
* EN 171 guidance as quoted by the Polish labour protection institute (CIOP-PIB), archiwum.ciop.pl/1379.html.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import dblquad, quad

from enamelwright.craft.health.glare_at_kiln import Opening, glare, scale_for
from enamelwright.craft.health.limits import limit
from enamelwright.physics import thermal_radiation as radiation
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.view_factor import patch_to_rectangle

# wavelength times temperature [µm K], share below it; printed with six decimals
SHARES = [(1000, 0.000321), (2000, 0.066728), (2898, 0.250108), (4000, 0.480877), (6000, 0.737818), (10000, 0.914199)]


@pytest.mark.parametrize(("product", "share"), SHARES)
def test_share_of_a_black_body_below_a_wavelength(product, share):
    # the printed tables used an older second radiation constant
    assert radiation.share_below(product * 1e-6 / 1000, 1000.0) == pytest.approx(share, abs=6e-5)


@pytest.mark.parametrize("celsius", [700, 790, 900])
def test_band_against_quadrature_of_plancks_law(celsius):
    kelvin = celsius + ZERO_CELSIUS
    exact = quad(lambda w: radiation.spectral_radiance(w, kelvin), 0.78e-6, 3e-6, epsrel=1e-10)[0]
    assert radiation.band_radiance(0.78e-6, 3e-6, kelvin) == pytest.approx(exact, rel=1e-8)


def test_plancks_law_with_the_constants_themselves():
    """CODATA: h 6.62607015e-34, c 299792458, k 1.380649e-23."""
    h, c, k, w, t = 6.62607015e-34, 299792458.0, 1.380649e-23, 2e-6, 1063.15
    exact = 2 * h * c**2 / w**5 / np.expm1(h * c / (w * k * t))
    assert radiation.spectral_radiance(w, t) == pytest.approx(exact, rel=1e-8)


def test_stefan_boltzmann_and_wien_at_790():
    kelvin = 790 + ZERO_CELSIUS
    assert radiation.emitted(kelvin) == pytest.approx(72.44e3, rel=1e-3)
    assert radiation.peak_wavelength(kelvin) == pytest.approx(2.726e-6, rel=1e-3)


@pytest.mark.parametrize("distance", [0.1, 0.3, 0.4, 1.0])
def test_view_of_a_rectangle_against_integration(distance):
    exact = dblquad(
        lambda y, x: distance**2 / (np.pi * (x * x + y * y + distance**2) ** 2), -0.075, 0.075, -0.05, 0.05
    )[0]
    assert patch_to_rectangle(0.15, 0.1, distance) == pytest.approx(exact, rel=1e-8)


def test_view_from_far_away_and_from_close_by():
    assert patch_to_rectangle(0.15, 0.1, 10.0) == pytest.approx(0.15 * 0.1 / (np.pi * 100), rel=1e-3)
    assert patch_to_rectangle(100.0, 100.0, 0.01) == pytest.approx(1.0, abs=1e-3)


# °C, m, W/m2, s without a filter, transmittance: computed by an independent implementation
OPENINGS = [
    (790, 0.30, 1145, 39, 0.087), (790, 0.40, 660, 82, 0.151), (790, 0.50, 428, 146, 0.234), (790, 1.00, 109, 910, 0.92),
    (850, 0.30, 1604, 25, 0.062), (850, 1.00, 152, 581, 0.66),
]  # fmt: skip


@pytest.mark.parametrize(("celsius", "distance", "strength", "seconds", "through"), OPENINGS)
def test_glare_of_an_opening_150_by_100(celsius, distance, strength, seconds, through):
    found = glare(Opening(celsius + ZERO_CELSIUS, 0.15, 0.1, distance), 8, 1, 8)
    assert found.irradiance.value == pytest.approx(strength, rel=0.005)
    assert found.once.value == pytest.approx(seconds, rel=0.015)
    assert found.transmittance.value == pytest.approx(through, rel=0.01)


def test_short_and_long_limit_meet_at_a_thousand_seconds():
    """18000 x 1000^-0.75 is 101.2: the two rows of the directive join within two per cent."""
    assert limit("ir_eye_short_coeff").value * 1000**-0.75 == pytest.approx(limit("ir_eye_long").value, rel=0.02)


# °C, scale number: rows of the quoted table and the steps between them
FILTERS = [
    (790, "4-1.2"),
    (1050, "4-1.2"),
    (1060, "4-1.4"),
    (1090, "4-1.7"),
    (1110, "4-2"),
    (1290, "4-4"),
    (2000, "4-10"),
]


@pytest.mark.parametrize(("celsius", "scale"), FILTERS)
def test_scale_number_of_a_filter(celsius, scale):
    assert scale_for(celsius + ZERO_CELSIUS) == scale
