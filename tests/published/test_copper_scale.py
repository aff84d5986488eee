"""Scale on copper against published oxidation rates and molar volumes.

Sources
-------
* Moore and Selikson, diffusion of radioactive copper during oxidation of copper foil, 1951, abstract:
  D = 0.0358 exp(-37000/RT) cm2/s (cal/mol), 800 to 1000 °C; by Wagner's theory K = D of the outer face.
* Corrosion handbooks, from memory: oxygen uptake kp = 0.266 exp(-37660/RT) g2/cm4/s, 550 to 900 °C.
* Y. Zhu, K. Mimura, M. Isshiki, Mater. Trans. 43 (2002) 2173: 111 kJ/mol, 600 to 800 °C, abstract.
* Pilling-Bedworth ratio of Cu2O 1.68: corrosion handbooks, from memory.
"""

from __future__ import annotations

from math import exp

import pytest

from enamelwright.craft.oxide_growth import copper_oxide, told
from enamelwright.physics.constants import GAS_CONSTANT, ZERO_CELSIUS
from enamelwright.physics.oxide import isothermal, volume_ratio

#: cal/mol/K and J/cal, as those papers use them.
GAS_CONSTANT_CAL, CALORIE = 1.98720, 4.184

# °C; K of the low set is the published diffusivity itself
DIFFUSIVITY = [800.0, 850.0, 900.0]
# °C; the handbook rate is told as oxygen uptake squared a time: x = uptake / (oxygen share x density)
UPTAKE = [700.0, 800.0, 900.0]


@pytest.mark.parametrize("celsius", DIFFUSIVITY)
def test_low_set_is_the_tracer_diffusivity(celsius):
    kelvin = celsius + ZERO_CELSIUS
    printed = 0.0358e-4 * exp(-37000 / (GAS_CONSTANT_CAL * kelvin))
    # the table is rounded to three digits
    assert copper_oxide("low").rate_at(kelvin) == pytest.approx(printed, rel=0.01)


@pytest.mark.parametrize("celsius", UPTAKE)
def test_high_set_is_the_handbook_uptake(celsius):
    kelvin = celsius + ZERO_CELSIUS
    uptake = 0.266 * 1e2 * exp(-37660 / (GAS_CONSTANT_CAL * kelvin))  # kg2/m4/s
    density, share = told("copper_oxide/density").value, told("copper_oxide/oxygen_share").value
    # two digits in the table
    assert 2 * copper_oxide("high").rate_at(kelvin) == pytest.approx(uptake / (density * share) ** 2, rel=0.02)


# set, thickness in µm after an hour at 800 °C: sqrt(2 K t), worked out by hand
HOUR = [("low", 27.4), ("high", 67.3)]


@pytest.mark.parametrize(("rate", "micron"), HOUR)
def test_an_hour_at_800(rate, micron):
    assert isothermal(copper_oxide(rate), 800 + ZERO_CELSIUS, 3600.0) * 1e6 == pytest.approx(micron, rel=0.005)


def test_activation_of_the_middle_set_is_the_published_one():
    law = copper_oxide("mid")
    ratio = law.rate_at(800 + ZERO_CELSIUS) / law.rate_at(600 + ZERO_CELSIUS)
    assert ratio == pytest.approx(exp(111e3 / GAS_CONSTANT * (1 / 873.15 - 1 / 1073.15)), rel=1e-9)


def test_volume_of_the_oxide_over_that_of_the_metal():
    """Molar masses: 143.09 and 63.546 g/mol."""
    ratio = volume_ratio(0.14309, told("copper_oxide/density").value, 0.063546, 8960.0, 2)
    assert ratio == pytest.approx(1.68, abs=0.01)


def test_oxygen_share_of_cuprous_oxide():
    """15.999 of 2 x 63.546 + 15.999."""
    assert told("copper_oxide/oxygen_share").value == pytest.approx(15.999 / 143.091, abs=5e-5)
