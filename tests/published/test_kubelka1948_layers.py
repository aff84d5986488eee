"""Layers that absorb and scatter: P. Kubelka, F. Munk, Z. tech. Phys. 12 (1931) 593; P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448.

The hyperbolic forms of 1948 are written out here as printed in textbooks (secondary source) and compared with the
product's own form; the limits are algebra.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.colour.jar_optics import archetypes
from enamelwright.craft.colour.light import seen_under
from enamelwright.physics.colour.layer_optics import layer, over, surface

#: K, S, thickness, reflectance and transmittance of the free layer, over 0.8: computed by two other forms that agree
WORKED = [(1.0, 10.0, 0.1, 0.461034, 0.445284, 0.712347)]


def hyperbolic(k: float, s: float, d: float) -> tuple[float, float]:
    """Reflectance and transmittance by sinh and cosh."""
    a = 1 + k / s
    b = np.sqrt(a**2 - 1)
    below = a * np.sinh(b * s * d) + b * np.cosh(b * s * d)
    return float(np.sinh(b * s * d) / below), float(b / below)


def over_background(k: float, s: float, d: float, ground: float) -> float:
    """Reflectance over a ground, by coth."""
    a = 1 + k / s
    b = np.sqrt(a**2 - 1)
    coth = 1 / np.tanh(b * s * d)
    return float((1 - ground * (a - b * coth)) / (a - ground + b * coth))


@pytest.mark.parametrize(("k", "s", "d", "reflected", "passed", "covered"), WORKED)
def test_worked_layer(k: float, s: float, d: float, reflected: float, passed: float, covered: float) -> None:
    found = layer(k, s, d)
    assert (float(found[0]), float(found[1])) == pytest.approx((reflected, passed), abs=1e-6)
    assert float(over(*found, 0.8)) == pytest.approx(covered, abs=1e-6)


@pytest.mark.parametrize("k", [0.01, 0.5, 3.0, 60.0])
@pytest.mark.parametrize("s", [0.1, 2.0, 30.0])
@pytest.mark.parametrize("d", [0.01, 0.1, 0.6])
def test_hyperbolic_forms(k: float, s: float, d: float) -> None:
    reflected, passed = layer(k, s, d)
    assert (float(reflected), float(passed)) == pytest.approx(hyperbolic(k, s, d), abs=1e-9)
    for ground in (0.0, 0.2, 0.95):
        assert float(over(reflected, passed, ground)) == pytest.approx(over_background(k, s, d, ground), abs=1e-9)


def test_two_halves_are_the_whole() -> None:
    whole = over(*layer(0.5, 10, 0.3), 0.2)
    half = layer(0.5, 10, 0.15)
    assert float(whole) == pytest.approx(0.684361, abs=1e-6)
    assert float(over(*half, over(*half, 0.2))) == pytest.approx(float(whole), abs=1e-12)


def test_only_absorbing_is_beer_and_lambert() -> None:
    reflected, passed = layer(2.0, 0.0, 0.3)
    assert float(reflected) == 0
    assert float(passed) == pytest.approx(np.exp(-0.6), abs=1e-9)
    assert float(passed) == pytest.approx(0.548812, abs=1e-6)


@pytest.mark.parametrize("turbid", [0.01, 0.5, 4.0, 500.0])
def test_only_scattering(turbid: float) -> None:
    reflected, passed = layer(0.0, turbid, 1.0)
    assert float(reflected) == pytest.approx(turbid / (1 + turbid), abs=1e-12)
    assert float(reflected + passed) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("ratio", [0.001, 0.05, 0.82, 10.0])
def test_masstone_tells_absorption_over_scattering(ratio: float) -> None:
    """(1 - R)^2 / 2R = K/S of a layer without end (Kubelka and Munk 1931)."""
    endless = float(layer(ratio * 50, 50, 1e3)[0])
    assert (1 - endless) ** 2 / (2 * endless) == pytest.approx(ratio, rel=1e-9)


def test_masstone_of_the_worked_layer() -> None:
    assert float(layer(1, 10, 1e4)[0]) == pytest.approx(0.641742, abs=1e-6)


def test_two_grounds_give_both_coefficients_back() -> None:
    """K = 1.2, S = 9 from the layer over black and over 0.8 (closed form of Kubelka 1948)."""
    k, s, d, ground = 1.2, 9.0, 0.15, 0.8
    black, pale = float(over(*layer(k, s, d), 0.0)), float(over(*layer(k, s, d), ground))
    a = (pale + (black - pale + ground) / (black * ground)) / 2
    b = np.sqrt(a**2 - 1)
    found = np.arctanh(b * black / (1 - a * black)) / (b * d)
    assert (found, found * (a - 1)) == pytest.approx((s, k), abs=1e-6)


@pytest.mark.parametrize(("millimetres", "printed"), [(0.1, 0.552), (0.2, 0.730), (0.88, 0.98)])
def test_contrast_ratio_of_an_invented_white(millimetres: float, printed: float) -> None:
    """Lightness over black against over white, gloss excluded, as ISO 6504-1 tells hiding; the glass is invented."""
    white = archetypes()["opaque_white"]
    free = layer(white.absorption, np.full(36, white.scattering), millimetres * 1e-3)
    seen = seen_under("D65")
    black, pale = (float(seen.xyz(surface(over(*free, ground), 1.52))[1]) for ground in (0.0, 1.0))
    assert black / pale == pytest.approx(printed, abs=0.002)
