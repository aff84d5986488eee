"""Closed estimates of glass stress on two-sided sheet, and what a data sheet is worth.

Symmetric sheet, plane stress: sigma_m = d / ((h_m / sum h_g) (1 - nu_g) / E_g + (1 - nu_m) / E_m), capped at
the yield; sigma_g = -sigma_m h_m / sum h_g. Values by a second program by another hand; 1 MPa and 0.5 MPa
are their rounding.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.data_sheet import expansion_from_sheet, points_from_fuse_range
from enamelwright.physics.elastic_laminate import biaxial_modulus, solve_elastic
from material_cases import ZERO_C, Case, cases, checks


def elastic(case: Case) -> tuple[float, float]:
    """Metal and glass stress [MPa] of a case by the general elastic solver."""
    x = case["inputs"]
    glass, metal = (biaxial_modulus(x[f"E_{k}_GPa"] * 1e9, x[f"nu_{k}"]) for k in ("glass", "metal"))
    half = x["glass_total_mm"] * 1e-3 / 2
    state = solve_elastic(
        np.array([half, x["metal_mm"] * 1e-3, half]),
        np.array([glass, metal, glass]),
        -x["cooling_K"] * 1e-6 * np.array([x["alpha_glass_ppm"], x["alpha_metal_ppm"], x["alpha_glass_ppm"]]),
    )
    return float(state.front_stress[1]) / 1e6, float(state.front_stress[2]) / 1e6


@pytest.mark.parametrize("case", cases("sandwich_elastic"))
def test_elastic_stress(case: Case) -> None:
    assert elastic(case) == pytest.approx(case["value"], abs=case["tolerance"])


@pytest.mark.parametrize("case", cases("sandwich_capped"))
def test_stress_capped_at_yield(case: Case) -> None:
    x = case["inputs"]
    metal = min(elastic(case)[0], x["yield_MPa"])
    glass = -metal * x["metal_mm"] / x["glass_total_mm"]
    assert (metal, glass) == pytest.approx(case["value"], abs=case["tolerance"])


@pytest.mark.parametrize("case", cases("cubical"))
def test_cubical_is_three_times_linear(case: Case) -> None:
    """330e-7 cubical is 11.0 ppm/K linear, by definition."""
    found = expansion_from_sheet(330, "cubical", "e-7/K", "measured", 293.15, 573.15)
    assert found.figure.value * 1e6 == pytest.approx(case["value"], rel=1e-9)


@pytest.mark.parametrize("case", [*cases("fuse_3_5"), *cases("fuse_12")])
def test_firing_range(case: Case) -> None:
    low, high = (celsius + ZERO_C for celsius in case["inputs"]["fuse_range_degC"])
    points = points_from_fuse_range(low, high, "leaded" if case["inputs"]["leaded"] else "lead_free")
    name = "isokom_3_5" if case["check"] == "fuse_3_5" else "isokom_12"
    centre, sd = case["value"]
    assert getattr(points, name).value - ZERO_C == pytest.approx(centre, abs=case["tolerance"])
    assert points.sd[name] == pytest.approx(sd, abs=case["tolerance"])


def test_every_check_of_the_file_has_a_test() -> None:
    """Each kind of case is asked for by some test of this folder."""
    from pathlib import Path

    text = "".join(p.read_text(encoding="utf-8") for p in Path(__file__).parent.glob("test_*.py"))
    assert not {check for check in checks() if f'cases("{check}")' not in text}
