"""Burns at a touch: the model of skin against thresholds others published, and the semi-infinite solid.

Sources
-------
* A. R. Moritz, F. C. Henriques, Am. J. Pathol. 23 (1947) 695: skin held at 44 °C burns after some six hours, at
  60 °C after some 5 s, at 70 °C within a second (their time-temperature curve, from memory).
* ASTM C1055 and handbooks quote the same constants of Henriques: P 3.1e98 1/s, 6.28e5 J/mol (from memory).
* List of times to a burn on hot metal, quoted at second hand on an engineers' list of 1997: 68 °C 1 s, 66 °C 1.5 s,
  60 °C under 5 s, 57 °C 10 s.
* H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2.5 and 2.9: half-space with a fixed surface and with a
  fixed flux.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.health.touch import model_limit, skin, table_limit, touch_limit
from enamelwright.physics.burn import effusivity, meeting_temperature, surface_rise
from enamelwright.physics.constants import ZERO_CELSIUS

# s, °C of the surface of the skin at a burn, and how far the curve can be read [K]
HELD = [(1.0, 67, 4), (5.0, 60, 3), (10.0, 58, 3), (60.0, 53, 3)]


@pytest.mark.parametrize(("seconds", "celsius", "off"), HELD)
def test_skin_held_hot(seconds, celsius, off):
    """The surface held at one temperature, as under running water."""
    lower, upper = (float(skin().damage(celsius + sign * off + ZERO_CELSIUS, seconds)) for sign in (-1, 1))
    assert lower < 1 < upper


# s, °C of hot metal in the list; it does not say which metal, nor how bad a burn
METAL = [(1.0, 68), (1.5, 66), (5.0, 60), (10.0, 57)]


@pytest.mark.parametrize(("seconds", "celsius"), METAL)
def test_hot_metal_of_the_list(seconds, celsius):
    assert model_limit("copper", seconds) - ZERO_CELSIUS == pytest.approx(celsius, abs=3)


@pytest.mark.parametrize(("seconds", "celsius"), METAL)
def test_what_is_told_stays_below_the_list(seconds, celsius):
    assert touch_limit("copper", seconds) < celsius + ZERO_CELSIUS


# material, s, °C: computed by an independent implementation
COMPUTED = [
    ("copper", 1, 67),
    ("copper", 10, 59),
    ("steel", 2, 66),
    ("glass", 1, 93),
    ("glass", 60, 72),
    ("ceramic", 10, 77),
]


@pytest.mark.parametrize(("material", "seconds", "celsius"), COMPUTED)
def test_model_against_a_second_implementation(material, seconds, celsius):
    assert model_limit(material, float(seconds)) - ZERO_CELSIUS == pytest.approx(celsius, abs=2)


# material, s, °C: points of ISO 13732-1 as remembered; the tables were not seen
POINTS = [("copper", 60, 51), ("copper", 600, 48), ("copper", 28800, 43), ("glass", 60, 56), ("wood", 60, 60)]


@pytest.mark.parametrize(("material", "seconds", "celsius"), POINTS)
def test_points_of_the_standard(material, seconds, celsius):
    assert table_limit(material, seconds) - ZERO_CELSIUS == pytest.approx(celsius, abs=1e-6)


def test_two_half_spaces_meet_between():
    """Carslaw and Jaeger 2.15: copper at 60 °C on skin at 33 °C: 59.1 °C."""
    copper = float(effusivity(390, 8940, 390))
    met = meeting_temperature(33.0, skin().effusivity, 60.0, copper)
    assert met == pytest.approx(59.15, abs=0.05)


def test_surface_of_granite_under_a_steady_flux():
    """k 2.8, rho c 2.0935e6, 10 kW/m2, 300 s: 2 q sqrt(t / pi k rho c) = 80.724 K."""
    assert surface_rise(1e4, 300.0, np.sqrt(2.8 * 2.0935e6)) == pytest.approx(80.724, rel=1e-4)
