"""Steel in fire: EN 1993-1-2:2005, clauses 3.2 and 3.4; numbers read in codes that cite it.

Tolerances are the rounding of the printed or computed value.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.metal import metal
from material_cases import ZERO_C, Case, cases


@pytest.mark.parametrize("case", cases("steel_strain"))
def test_strain_clause_3_4_1_1(case: Case) -> None:
    strain = float(metal("steel").free_strain(case["inputs"]["to_degC"] + ZERO_C))
    assert strain == pytest.approx(case["value"], abs=case["tolerance"])


@pytest.mark.parametrize("case", cases("steel_mean"))
def test_mean_expansion(case: Case) -> None:
    mean = metal("steel").mean_expansion_to(case["inputs"]["to_degC"] + ZERO_C)
    assert mean * 1e6 == pytest.approx(case["value"], abs=case["tolerance"])


def test_transformation_is_flat_and_the_mean_falls_above_it() -> None:
    """Clause 3.4.1.1: strain stands still from 750 to 860 C, so the mean expansion falls there."""
    steel = metal("steel")
    flat = steel.free_strain(np.array([750.0, 800.0, 860.0]) + ZERO_C)
    assert np.ptp(flat) < 1e-12
    assert steel.mean_expansion_to(860 + ZERO_C) < steel.mean_expansion_to(740 + ZERO_C)


def test_reduction_factors_table_3_1() -> None:
    """Table 3.1: k_E 0.6 and k_y 0.78 at 500 C, 0.13 and 0.23 at 700 C, of the values at 20 C."""
    steel = metal("steel")
    for celsius, k_e, k_y in ((500, 0.6, 0.78), (600, 0.31, 0.47), (700, 0.13, 0.23), (800, 0.09, 0.11)):
        at = celsius + ZERO_C
        assert float(steel.young_at(at)) / steel.young.value == pytest.approx(k_e, rel=1e-9)
        assert float(steel.yield_at(at)) / steel.yield_annealed.value == pytest.approx(k_y, rel=1e-9)


def test_heat_branches_meet_at_600() -> None:
    """Clause 3.4.1.2: the branches below and above 600 C give 760 J/kg/K there."""
    at = np.array([599.999, 600.001]) + ZERO_C
    assert metal("steel").specific_heat(at) == pytest.approx([760, 760], abs=2)
