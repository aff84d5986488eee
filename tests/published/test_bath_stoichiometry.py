"""Acid, soda, gas and sludge of a cleaning bath, counted by moles.

Sources
-------
* Molar masses summed from the standard atomic weights of IUPAC; reactions of copper oxide and carbonate from any
  textbook of inorganic chemistry: CuO + 2 H+ -> Cu2+ + H2O, CO3 2- + 2 H+ -> CO2 + H2O. Worked by hand.
* C. W. Davies, Ion Association (1962): log10 of activity coefficients.
"""

from __future__ import annotations

import pytest

from enamelwright.physics import bath_chemistry as law
from enamelwright.reference.loader import value

#: standard atomic weights (IUPAC, abridged)
WEIGHTS = {"H": 1.008, "C": 12.011, "O": 15.999, "Na": 22.990, "Cl": 35.45, "Cu": 63.546}
# key of the table, atoms
FORMULAS = [
    ("copper", {"Cu": 1}),
    ("cupric_oxide", {"Cu": 1, "O": 1}),
    ("cuprous_oxide", {"Cu": 2, "O": 1}),
    ("salt", {"Na": 1, "Cl": 1}),
    ("soda_ash", {"Na": 2, "C": 1, "O": 3}),
    ("soda_crystals", {"Na": 2, "C": 1, "O": 13, "H": 20}),
    ("baking_soda", {"Na": 1, "H": 1, "C": 1, "O": 3}),
    ("malachite", {"Cu": 2, "C": 1, "O": 5, "H": 2}),
    ("copper_hydroxide", {"Cu": 1, "O": 2, "H": 2}),
    ("copper_acetate", {"Cu": 1, "C": 4, "H": 8, "O": 5}),
]
ACETIC = 60.052e-3  # kg/mol
LITRE = 1e-3


@pytest.mark.parametrize(("key", "atoms"), FORMULAS)
def test_molar_masses_are_sums_of_atomic_weights(key, atoms):
    summed = sum(count * WEIGHTS[atom] for atom, count in atoms.items())
    assert 1000 * value(f"health/molar/{key}") == pytest.approx(summed, rel=2e-4)  # tables differ in the last digit


def test_acid_a_gram_of_oxide_takes_up():
    """25.143 mmol of acid a gram of CuO, which is 30.20 mL of vinegar with 50 g/L."""
    taken = law.ACID_PER_COPPER * law.amount(1e-3, value("health/molar/cupric_oxide"))
    assert taken == pytest.approx(25.143e-3, rel=0.005)
    assert taken * ACETIC / 50 == pytest.approx(30.20e-6, rel=0.005)


def test_copper_after_two_grams_of_oxide():
    """3195 mg/L in half a litre by molarity, and a share 2 x 25.143 / 416.3 of the acid."""
    copper = law.amount(2e-3, value("health/molar/cupric_oxide"))
    assert copper * value("health/molar/copper") / (0.5 * LITRE) == pytest.approx(3.195, rel=0.003)
    assert law.acid_taken_up(copper, 0.025 / ACETIC) == pytest.approx(0.121, abs=0.0005)
    assert law.oxide_to_the_end(0.025 / ACETIC, value("health/molar/cupric_oxide")) == pytest.approx(16.56e-3, rel=1e-3)


# soda, factor, acids it takes, grams for half a litre of 50 g/L acetic acid
SODAS = [("soda_ash", 1.0, 2, 22.06), ("soda_ash", 1.05, 2, 23.16), ("baking_soda", 1.10, 1, 38.47)]


@pytest.mark.parametrize(("key", "factor", "takes", "grams"), SODAS)
def test_soda_that_answers_the_acid(key, factor, takes, grams):
    mass = law.soda_mass(0.025 / ACETIC, factor, value(f"health/molar/{key}"), takes)
    assert 1000 * mass == pytest.approx(grams, rel=0.005)


def test_washing_soda_with_its_water_weighs_2_70_times_as_much():
    ratio = value("health/molar/soda_crystals") / value("health/molar/soda_ash")
    assert ratio == pytest.approx(2.70, abs=0.005)


def test_gas_of_soda_ash_and_of_baking_soda():
    """5.27 L at 24.1 L/mol for 1.05 times the acid; baking soda gives twice as much for the same acid."""
    acid, molar = 0.025 / ACETIC, value("health/molar/gas")
    assert law.gas_volume(1.05 * acid / 2, molar) == pytest.approx(5.27 * LITRE, rel=0.02)
    assert law.gas_volume(acid, molar) == pytest.approx(2 * law.gas_volume(acid / 2, molar), rel=1e-12)
    # ideal gas at 20 °C and 101.325 kPa
    assert molar == pytest.approx(8.314462618 * 293.15 / 101325, rel=0.003)


def test_sludge_of_two_grams_of_oxide():
    """2.780 g as malachite, 2.453 g as hydroxide."""
    copper = law.amount(2e-3, value("health/molar/cupric_oxide"))
    assert law.solid_mass(copper, value("health/molar/malachite"), 2) == pytest.approx(2.780e-3, rel=0.002)
    assert law.solid_mass(copper, value("health/molar/copper_hydroxide")) == pytest.approx(2.453e-3, rel=0.002)


def test_copper_in_scale_is_that_of_the_two_oxides():
    from enamelwright.reference.loader import fact

    share = fact("health/bath/copper_share")
    assert share.high == pytest.approx(2 * 63.546 / 143.091, abs=5e-4)
    assert share.low == pytest.approx(63.546 / 79.545, abs=5e-4)


def test_drag_out_into_a_rinse():
    """5 mL of 3195 mg/L into 2 L: 3195 x 5 / 2005."""
    assert law.carried_over(3.195, 5e-6, 2e-3) == pytest.approx(3.195 * 5 / 2005, rel=1e-12)


def test_davies_for_a_double_charge():
    """-0.37 at 1.10 mol/kg: 0.509 x 4 x (1.0488 / 2.0488 - 0.33)."""
    found = law.davies(2, 1.10, value("health/activity/davies_slope"), value("health/activity/davies_rise"))
    assert found == pytest.approx(-0.37, abs=0.01)
