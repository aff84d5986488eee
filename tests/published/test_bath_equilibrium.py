"""pH and dissolved copper of baths, fresh, used and settled, against other ways to the same equilibrium.

Sources
-------
* The independent solver beside this file: mass balances and neutrality by scipy, constants of NIST Standard Reference
  Database 46 as carried by MINTEQA2 version 4, typed in again.
* PHREEQC 3 (US Geological Survey) with the databases it is distributed with: minteq.v4 with its zero-size gamma
  lines removed, and the older and independent compilation minteq (MINTEQA2 3.11).
* pH of 5 % acetic acid 2.4: weak-acid formula with the thermodynamic pK 4.756 of CRC handbooks, from memory.
"""

from __future__ import annotations

import importlib.resources
import math
import random
import re

import pytest
from phreeqc import Phreeqc

from bath_solver import bath_at_rest
from enamelwright.craft.baths.equilibrium import at_rest
from enamelwright.reference.loader import text

ACETIC, SALT, OXIDE, COPPER = 60.052, 58.443, 79.545, 63.546
#: mol/kg of acid, salt and copper: 50 g/L acetic acid, 30 g/L salt, 4 g/L of CuO
ACID, NACL, CU = 50 / ACETIC, 30 / SALT, 4 / OXIDE
BATH = {"H1Acetate1": ACID, "NaCl": NACL, "CuO": CU}
SOLIDS = {"malachite": "Malachite", "hydroxide": "Cu(OH)2(s)"}

# CuO in half a litre [g], pH as worked out by the independent solver; its rounding
USED = [(0.0, 2.36), (0.5, 2.91), (2.0, 3.37), (10.0, 4.07)]
# soda factor, solid, log10 of the pressure of CO2, pH, copper [mg/kg], by the independent solver
SETTLED = [
    (1.05, "malachite", -1.5, 7.72, 0.812),
    (1.05, "hydroxide", -2.5, 8.57, 1.51),
    (1.00, "malachite", -0.5, 6.30, 139.0),
    (1.20, "malachite", -3.4, 9.50, 0.243),
]


def settled(factor, solid, log_gas):
    return at_rest(1.0, {**BATH, "Na2CO3": factor * ACID / 2}, SOLIDS[solid], log_gas)


@pytest.mark.parametrize(("grams", "ph"), USED)
def test_used_vinegar_bath(grams, ph):
    found = at_rest(0.5, {"H1Acetate1": 0.5 * ACID, "NaCl": 0.5 * NACL, "CuO": grams / OXIDE})
    assert found.ph == pytest.approx(ph, abs=0.06)
    if grams == 2:
        assert found.copper * COPPER * 1000 == pytest.approx(3193, rel=0.003)


@pytest.mark.parametrize(("factor", "solid", "log_gas", "ph", "copper"), SETTLED)
def test_settled_vinegar_bath(factor, solid, log_gas, ph, copper):
    found = settled(factor, solid, log_gas)
    assert found.ph == pytest.approx(ph, abs=0.05)
    assert found.copper * COPPER * 1000 == pytest.approx(copper, rel=0.2)


@pytest.mark.parametrize("copper", [0.0, CU])
def test_the_independent_solver_agrees_on_a_used_bath(copper):
    found, (ph, dissolved) = at_rest(1.0, {**BATH, "CuO": copper}), bath_at_rest(ACID, NACL, copper)
    assert found.ph == pytest.approx(ph, abs=0.003)
    assert found.copper == pytest.approx(dissolved, rel=0.01, abs=1e-12)


@pytest.mark.parametrize(("factor", "solid", "log_gas", "ph", "copper"), SETTLED)
def test_the_independent_solver_agrees_on_a_settled_bath(factor, solid, log_gas, ph, copper):
    found = settled(factor, solid, log_gas)
    again, dissolved = bath_at_rest(ACID, NACL, CU, factor * ACID, solid, log_gas)
    assert found.ph == pytest.approx(again, abs=0.005)
    assert found.copper == pytest.approx(dissolved, rel=0.015)


@pytest.mark.parametrize("seed", range(8))
def test_the_independent_solver_agrees_all_over_the_field(seed):
    """Its neutrality and mass balances hold wherever a bath may be: weak and strong, sour and settled."""
    drawn = random.Random(seed)
    acid, salt = drawn.uniform(0.1, 1.0), drawn.uniform(0.05, 0.6)
    copper = drawn.uniform(0.02, 0.4) * acid
    found, (ph, dissolved) = (
        at_rest(1.0, {"H1Acetate1": acid, "NaCl": salt, "CuO": copper}), bath_at_rest(acid, salt, copper)
    )  # fmt: skip
    assert found.ph == pytest.approx(ph, abs=0.005)
    assert found.copper == pytest.approx(dissolved, rel=0.01)
    factor, solid, log_gas = drawn.uniform(1.02, 1.4), drawn.choice(sorted(SOLIDS)), drawn.uniform(-3.4, -0.5)
    parts = {"H1Acetate1": acid, "NaCl": salt, "CuO": copper, "Na2CO3": factor * acid / 2}
    found = at_rest(1.0, parts, SOLIDS[solid], log_gas)
    again, dissolved = bath_at_rest(acid, salt, copper, factor * acid, solid, log_gas)
    assert found.ph == pytest.approx(again, abs=0.01)
    assert found.copper == pytest.approx(min(dissolved, copper), rel=0.02)


def database(name):
    """A database of the engine as distributed, its gamma lines left out: Davies for every ion, as in our own table."""
    written = (importlib.resources.files("phreeqc") / "databases" / name).read_text(encoding="latin-1")
    engine = Phreeqc()
    assert engine.LoadDatabaseString(re.sub(r"(?m)^\s*-gamma.*$", "", written)) == 0
    return engine


def by_database(engine, factor, log_gas):
    asked = (
        "SOLUTION 1\n temp 25\n pH 7\nREACTION 1\n"
        + "".join(f" {part} {amount:.12g}\n" for part, amount in {**BATH, "Na2CO3": factor * ACID / 2}.items())
        + f" 1\nEQUILIBRIUM_PHASES 1\n Malachite 0 0\n CO2(g) {log_gas} 0\nSELECTED_OUTPUT 1\n -reset false\n"
        '-high_precision true\nUSER_PUNCH 1\n -headings ph cu\n -start\n 10 PUNCH -LA("H+"), TOT("Cu")\n -end\nEND\n'
    )
    assert engine.RunString(asked) == 0, engine.GetErrorString()
    found = engine.GetSelectedOutput()
    return found["ph"][-1], found["cu"][-1]


# soda factor, log10 of the pressure of CO2
POINTS = [(0.9, -1.5), (1.0, -0.5), (1.05, -1.5), (1.05, -2.5), (1.2, -3.4), (1.5, -2.5)]


@pytest.mark.parametrize(("factor", "log_gas"), POINTS)
def test_the_whole_compilation_gives_what_our_short_table_gives(factor, log_gas):
    """Same constants, a thousand species more: nothing that matters was left out of the short table."""
    found = settled(factor, "malachite", log_gas)
    ph, copper = by_database(database("minteq.v4.dat"), factor, log_gas)
    assert found.ph == pytest.approx(ph, abs=0.001)
    assert found.copper == pytest.approx(copper, rel=0.002)


@pytest.mark.parametrize(("factor", "log_gas"), POINTS)
def test_an_older_compilation_lies_within_the_range_that_is_shown(factor, log_gas):
    """Constants of MINTEQA2 3.11: another choice of copper carbonates; within the factor 2 that the product adds."""
    found = settled(factor, "malachite", log_gas)
    ph, copper = by_database(database("minteq.dat"), factor, log_gas)
    assert found.ph == pytest.approx(ph, abs=0.11)
    assert 1 / 2 < copper / found.copper < 2


def test_vinegar_by_the_weak_acid_formula():
    """pH = (pK - log c) / 2 for a weak acid, before activities: 2.42 for 50 g/L; salt lowers it by some hundredths."""
    formula = (4.756 - math.log10(ACID)) / 2
    assert at_rest(1.0, {"H1Acetate1": ACID}).ph == pytest.approx(formula, abs=0.02)


@pytest.mark.parametrize(("oxide", "ph"), [(0.0, 1.87), (4.0, 2.38)])
def test_citric_bath(oxide, ph):
    found = at_rest(1.0, {"H3Citrate1": 50 / 192.124, "CuO": oxide / OXIDE})
    assert found.ph == pytest.approx(ph, abs=0.06)


@pytest.mark.parametrize("log_gas", [-0.5, -2.0, -3.4])
def test_citric_bath_keeps_its_copper(log_gas):
    """Soda for 0.8 of three protons: above 3100 mg/kg stay at every state of the gas."""
    acid = 50 / 192.124
    found = at_rest(1.0, {"H3Citrate1": acid, "CuO": 4 / OXIDE, "Na2CO3": 0.8 * 1.5 * acid}, "Malachite", log_gas)
    assert found.copper * COPPER * 1000 > 3100


@pytest.mark.parametrize(("soda", "ph", "copper"), [(0.0, 4.03, 8.0), (0.5, 8.1, None)])
def test_rinse(soda, ph, copper):
    """5 mL of the used bath in 2 L of soft water, without soda and with half a gram, in open air."""
    part = {name: amount * 0.005 for name, amount in BATH.items()}
    found = at_rest(2.005, {**part, "NaHCO3": soda / 84.007}, "Malachite" if soda else None, -3.4 if soda else None)
    assert found.ph == pytest.approx(ph, abs=0.06)
    if copper is not None:
        assert found.copper * COPPER * 1000 == pytest.approx(copper, rel=0.01)
    else:
        assert 0.01 < found.copper * COPPER * 1000 < 0.06


@pytest.mark.parametrize("solid", ["malachite", "hydroxide"])
@pytest.mark.parametrize("factor", [1.0, 1.05, 1.1, 1.2])
def test_copper_falls_as_the_gas_leaves(solid, factor):
    left = [settled(factor, solid, log_gas).copper for log_gas in (-0.5, -1.5, -2.5, -3.4)]
    assert left == sorted(left, reverse=True)


@pytest.mark.parametrize("factor", [0.9, 1.0, 1.1, 1.5])
@pytest.mark.parametrize("log_gas", [-0.5, -1.5, -2.5, -3.4])
def test_fresh_solid_leaves_no_less_than_aged_solid(factor, log_gas):
    assert settled(factor, "hydroxide", log_gas).copper >= settled(factor, "malachite", log_gas).copper * (1 - 1e-9)


def test_baking_soda_of_the_same_acid_settles_alike_once_the_gas_is_gone():
    ash = settled(1.1, "malachite", -2.5)
    baking = at_rest(1.0, {**BATH, "NaHCO3": 1.1 * ACID}, "Malachite", -2.5)
    assert baking.ph == pytest.approx(ash.ph, abs=0.002)
    assert baking.copper == pytest.approx(ash.copper, rel=0.005)


def test_our_table_of_species_has_no_gamma_line():
    """A zero gamma would ask for the bare limiting law and overstate the carbonate complexes many times."""
    lines = [line.strip() for line in text("health/bath_species").splitlines() if not line.strip().startswith("#")]
    assert not [line for line in lines if "gamma" in line]
