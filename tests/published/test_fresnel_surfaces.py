"""Surface of glass: A. Fresnel's reflectances, and their average over the half sphere summed independently.

Printed percentages at normal incidence are those of dictionaries of optics (secondary source); k1, re and k2 for
1.5 and 1.52 were computed independently of this code.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from enamelwright.physics.colour.layer_optics import (
    hemispherical_reflectance,
    internal_reflectance,
    metal_reflectance,
    metal_under_glass,
    normal_reflectance,
)

#: index, per cent of light that bounces straight back, tolerance of the printing
STRAIGHT = [(1.5, 4.00, 0.05), (1.523, 4.3, 0.05), (1.7, 6.72, 0.05)]
#: index, k1, re, k2
SURFACES = [(1.5, 0.04000, 0.09178, 0.59635), (1.52, 0.04258, 0.09470, 0.60815)]


@pytest.mark.parametrize(("index", "percent", "tolerance"), STRAIGHT)
def test_straight_back(index: float, percent: float, tolerance: float) -> None:
    assert 100 * float(normal_reflectance(index)) == pytest.approx(percent, abs=tolerance)


@pytest.mark.parametrize(("index", "outer", "around", "inner"), SURFACES)
def test_three_reflectances_of_a_surface(index: float, outer: float, around: float, inner: float) -> None:
    assert float(normal_reflectance(index)) == pytest.approx(outer, abs=1e-4)
    assert float(hemispherical_reflectance(index)) == pytest.approx(around, abs=1e-4)
    assert float(internal_reflectance(index)) == pytest.approx(inner, abs=1e-4)


def fresnel(one: float, other: complex, sine: float) -> float:
    """Unpolarised reflectance from sines and amplitudes, written apart from the product's own."""
    c1 = np.sqrt(1 - sine**2)
    c2 = np.sqrt(1 - (one * sine / other) ** 2 + 0j)
    s = (one * c1 - other * c2) / (one * c1 + other * c2)
    p = (other * c1 - one * c2) / (other * c1 + one * c2)
    return float((abs(s) ** 2 + abs(p) ** 2) / 2)


@pytest.mark.parametrize("index", [1.05, 1.33, 1.5, 1.52, 1.6, 1.7, 2.2])
def test_diffuse_reflectance_is_the_sum_over_angles(index: float) -> None:
    outside = integrate.quad(lambda s: fresnel(1.0, index, s) * 2 * s, 0, 1, epsabs=1e-10)[0]
    critical = 1 / index
    inside = integrate.quad(lambda s: fresnel(index, 1.0, s) * 2 * s, 0, critical, epsabs=1e-10)[0] + 1 - critical**2
    assert float(hemispherical_reflectance(index)) == pytest.approx(outside, abs=1e-7)
    assert float(internal_reflectance(index)) == pytest.approx(inside, abs=1e-6)


@pytest.mark.parametrize("metal", [0.06 + 3.597j, 1.007 + 2.582j, 2.9 + 3.0j])
def test_diffuse_reflectance_of_metal_is_the_sum_over_angles(metal: complex) -> None:
    told = integrate.quad(lambda s: fresnel(1.5, metal, s) * 2 * s, 0, 1, epsabs=1e-9)[0]
    around = metal_under_glass(1.5, np.full(36, metal))[1]
    assert around == pytest.approx(np.full(36, told), abs=1e-5)


@pytest.mark.parametrize("cosine", [1.0, 0.7, 0.2, 1e-6])
def test_metal_without_absorption_is_glass(cosine: float) -> None:
    told = fresnel(1.0, 1.5, np.sqrt(1 - cosine**2))
    assert float(metal_reflectance(1.0, 1.5, cosine)) == pytest.approx(told, abs=1e-8)  # 1 - cos^2 loses digits


def test_air_has_no_surface() -> None:
    assert (
        float(normal_reflectance(1.0)) == float(hemispherical_reflectance(1.0)) == float(internal_reflectance(1.0)) == 0
    )
