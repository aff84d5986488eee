"""Criteria for water and bounds for waste against the regulations that state them.

Sources
-------
* 40 CFR 132, tables 1(b) and 2(b) (60 FR 15387, 1995; 65 FR 35286, 2000): exp(m ln H + b) times a factor; copper.
* North Carolina table of hardness-dependent metals: silver; hardness equation with factor 0.85.
* 40 CFR 261.24, table 1: toxicity characteristic; 40 CFR 261.22: corrosivity.
* 22 CCR 66261.24: soluble and total thresholds of copper, California.
* Regulation (EC) 1272/2008, annex I, table 4.1.2, and United Nations GHS, chapter 4.1: summation of chronic classes.
"""

from __future__ import annotations

import pytest

from enamelwright.craft.baths.bath_hazards import corrosive_waste, water_statement
from enamelwright.craft.health.limits import limit, limits
from enamelwright.physics.bath_chemistry import aquatic_class, glass_to_reach, hardness_criterion, water_to_reach
from enamelwright.reference.loader import STATUSES

# hardness [mg/L], acute criterion of dissolved copper [µg/L]: 0.960 exp(0.9422 ln H - 1.700)
ACUTE = [(25, 3.64), (100, 13.44), (200, 25.8)]
# hardness, chronic: 0.960 exp(0.8545 ln H - 1.702)
CHRONIC = [(25, 2.74), (50, 4.95), (100, 8.96)]


def criterion(kind, hardness):
    slope, intercept = limit(f"{kind}_slope"), limit(f"{kind}_intercept")
    factor = limit("ag_acute_fresh_factor" if kind.startswith("ag") else "cu_fresh_dissolved_factor")
    return hardness_criterion(hardness, slope.value, intercept.value, factor.value)


@pytest.mark.parametrize(("hardness", "printed"), ACUTE)
def test_acute_criterion_of_copper(hardness, printed):
    assert criterion("cu_acute_fresh", hardness) == pytest.approx(printed, rel=0.005)


@pytest.mark.parametrize(("hardness", "printed"), CHRONIC)
def test_chronic_criterion_of_copper(hardness, printed):
    assert criterion("cu_chronic_fresh", hardness) == pytest.approx(printed, rel=0.005)


def test_acute_criterion_of_silver():
    assert criterion("ag_acute_fresh", 100) == pytest.approx(3.22, rel=0.005)


# key, mg/L, number of the waste
TOXIC = [
    ("tc_as", 5, "D004"), ("tc_ba", 100, "D005"), ("tc_cd", 1, "D006"), ("tc_cr", 5, "D007"), ("tc_pb", 5, "D008"),
    ("tc_se", 1, "D010"), ("tc_ag", 5, "D011"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "level", "number"), TOXIC)
def test_toxicity_characteristic(key, level, number):
    found = limit(key)
    assert (found.value, found.unit, found.status) == (level, "mg/L", "published")
    assert number in found.clause


def test_copper_is_not_on_that_list():
    assert not [one for name, one in limits().items() if name.startswith("tc_") and "cu" in name]


# key, value, unit
OTHERS = [
    ("corrosive_ph_low", 2, "pH"), ("corrosive_ph_high", 12.5, "pH"), ("cu_stlc_california", 25, "mg/L"),
    ("cu_ttlc_california", 2500, "mg/kg"), ("cu_drinking_action", 1.3, "mg/L"), ("vsqg_limit", 100, "kg/month"),
]  # fmt: skip


@pytest.mark.parametrize(("key", "level", "unit"), OTHERS)
def test_other_bounds_of_waste(key, level, unit):
    assert (limit(key).value, limit(key).unit) == (level, unit)


@pytest.mark.parametrize(("ph", "said"), [(1.9, True), (2.0, True), (2.1, False), (12.4, False), (12.5, True)])
def test_corrosive_waste_is_said_at_the_bound(ph, said):
    assert bool(corrosive_waste((ph, ph))) is said


def test_glass_that_brings_half_a_litre_to_the_bound_of_cadmium():
    """25 mg of a glass with 2 % of cadmium, wholly dissolved, is 1.0 mg/L in 0.5 L."""
    assert glass_to_reach(0.5e-3, 1e-3, 0.02) == pytest.approx(25e-6, rel=1e-12)


def test_thinning_is_no_treatment():
    """Half a litre of 3193 mg/L would need 119 m3 to come down to 13.4 µg/L."""
    assert water_to_reach(0.5e-3, 3.193, 13.4e-6) == pytest.approx(119, rel=0.005)


# share of an ingredient of class 1 with M-factor 10, chronic class; bounds 2.5 %, 0.25 % and 0.025 %
SUMS = [(0.0251, 1), (0.0249, 2), (0.01, 2), (0.0024, 3), (0.0002, 0)]


@pytest.mark.parametrize(("share", "chronic"), SUMS)
def test_summation_of_chronic_classes(share, chronic):
    assert aquatic_class(share, 10, 0.25) == chronic


def test_the_worked_example_of_the_summation():
    """0.01 % of an ingredient of chronic class 1 with M-factor 10: 0.1, 1 and 10 % stay below 25 %."""
    assert aquatic_class(0.0001, 10, 0.25) == 0


def test_used_vinegar_bath_carries_h411():
    """3.19 g/L of copper is 1.0 % of copper acetate: H411, not H410."""
    found = water_statement(3.19)
    assert found is not None
    assert (found.code, found.sign) == ("H411", "environment")


def test_every_limit_has_place_clause_and_status():
    bad = [one.name for one in limits().values() if not (one.jurisdiction and one.clause and one.status in STATUSES)]
    assert not bad
    assert len(limits()) >= 135
