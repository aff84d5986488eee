"""The thermocouple against the published table of type K and the fixed points of ITS-90.

Sources
-------
* NIST Monograph 175 (1993), table of type K in steps of one degree, reference junction at 0 °C, printed to
  0.001 mV; the same as IEC 60584-1.
* H. Preston-Thomas, The International Temperature Scale of 1990, Metrologia 27 (1990) 3, Table 1.
* IEC 60584-1 (2013), tolerance classes of type K as reproduced by makers of instruments.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.kiln_anchor import point
from enamelwright.craft.thermocouple_budget import told
from enamelwright.craft.type_k import type_k
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.thermocouple import tolerance

# printed to 0.001 mV: half a digit and its rounding; the last three from memory of the same table, and the
# rest as commonly reprinted
TABLE = [
    # °C, mV, tolerance mV
    (-200, -5.891, 0.0006),
    (100, 4.096, 0.0006),
    (1300, 52.410, 0.0006),
    (0, 0.000, 0.0006),
    (500, 20.644, 0.0006),
    (1000, 41.276, 0.0006),
]

# values of the published function with more digits, worked out from the coefficients by a second program
FUNCTION = [
    (300.0, 12.2086),
    (660.323, 27.4607),
    (700.0, 29.1290),
    (779.1, 32.4164),
    (800.0, 33.2754),
    (961.78, 39.7781),
    (1000.0, 41.2756),
    (1084.62, 44.5351),
]

# rise of the voltage, µV/K, rounded to 0.01
SLOPES = [(660.323, 42.19), (779.1, 41.20), (800.0, 41.00), (961.78, 39.38), (1084.62, 38.04)]

# °C, ITS-90 Table 1; the eutectic: NIST phase data of silver and copper
POINTS = [
    ("tin", 231.928),
    ("zinc", 419.527),
    ("aluminium", 660.323),
    ("silver", 961.78),
    ("gold", 1064.18),
    ("copper", 1084.62),
    ("silver-copper foil", 779.1),
]

# class, °C, limit K
TOLERANCES = [("class_1", 800, 3.2), ("class_2", 800, 6.0), ("class_1", 100, 1.5), ("class_2", 100, 2.5)]


@pytest.mark.parametrize(("celsius", "millivolt", "within"), TABLE)
def test_printed_table(celsius, millivolt, within):
    assert type_k().emf(celsius + ZERO_CELSIUS) * 1e3 == pytest.approx(millivolt, abs=within)


@pytest.mark.parametrize(("celsius", "millivolt"), FUNCTION)
def test_reference_function(celsius, millivolt):
    assert type_k().emf(celsius + ZERO_CELSIUS) * 1e3 == pytest.approx(millivolt, abs=0.0002)


@pytest.mark.parametrize(("celsius", "microvolt"), SLOPES)
def test_rise_of_the_voltage(celsius, microvolt):
    assert type_k().slope(celsius + ZERO_CELSIUS) * 1e6 == pytest.approx(microvolt, abs=0.006)


@pytest.mark.parametrize(("name", "celsius"), POINTS)
def test_fixed_points(name, celsius):
    assert point(f"melt/{name}").value - ZERO_CELSIUS == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(("kind", "celsius", "limit"), TOLERANCES)
def test_tolerance_classes(kind, celsius, limit):
    floor, share = told(f"{kind}_floor").value, told(f"{kind}_share").value
    assert tolerance(celsius + ZERO_CELSIUS, floor, share) == pytest.approx(limit, abs=1e-9)


def test_the_published_inverse_agrees_within_its_own_error():
    """The published inverse polynomial of 500 to 1372 °C (NIST), stated good to -0.05 to 0.06 °C."""
    inverse = np.array([
        -1.318058e2, 4.830222e1, -1.646031, 5.464731e-2, -9.650715e-4, 8.802193e-6, -3.110810e-8,
    ])  # fmt: skip
    millivolt = np.linspace(20.644, 54.886, 300)
    celsius = np.polynomial.polynomial.polyval(millivolt, inverse)
    # 0.005 more: the coefficients are printed to seven digits
    assert np.max(np.abs(type_k().temperature(millivolt / 1e3) - ZERO_CELSIUS - celsius)) < 0.065
