"""Sheet gauges and sieve openings.

ASTM B258 (Brown & Sharpe, a geometric series by definition), British standard wire gauge (from memory),
ASTM E11 and ISO 3310-1 test sieves.
"""

from __future__ import annotations

import pytest

from enamelwright.craft.gauge import BROWN_SHARPE, STANDARD_WIRE, gauge_thickness
from enamelwright.craft.sieve import ISO, mesh_of_opening, opening_of_mesh, sieves
from material_cases import Case, cases

INCH = 0.0254


@pytest.mark.parametrize("case", cases("gauge_bs"))
def test_brown_and_sharpe(case: Case) -> None:
    found = gauge_thickness(case["inputs"]["gauge"], BROWN_SHARPE)
    assert found * 1e3 == pytest.approx(case["value"], abs=case["tolerance"])


# ASTM B258 Table 1, diameters in inches as printed there (from memory, verify); rounding 0.0001 in
@pytest.mark.parametrize(
    ("number", "inch"),
    [(10, 0.1019), (16, 0.0508), (18, 0.0403), (20, 0.0320), (22, 0.0253), (24, 0.0201), (36, 0.0050)],
)
def test_brown_and_sharpe_in_inches(number: int, inch: float) -> None:
    assert gauge_thickness(number, BROWN_SHARPE) / INCH == pytest.approx(inch, abs=6e-5)


# British standard wire gauge in millimetres (from memory, verify); rounding 0.001 mm
@pytest.mark.parametrize(("number", "mm"), [(18, 1.219), (20, 0.914), (22, 0.711), (24, 0.559)])
def test_british_gauge(number: int, mm: float) -> None:
    assert gauge_thickness(number, STANDARD_WIRE) * 1e3 == pytest.approx(mm, abs=1e-3)


# ASTM E11, nominal openings in micrometres (standard numbers, common knowledge of the standard)
@pytest.mark.parametrize(
    ("mesh", "micrometres"),
    [(20, 850), (40, 425), (60, 250), (80, 180), (100, 150), (140, 106), (200, 75), (325, 45), (400, 38)],
)
def test_astm_sieve(mesh: int, micrometres: float) -> None:
    assert opening_of_mesh(mesh) == pytest.approx(micrometres * 1e-6, rel=1e-6)
    assert mesh_of_opening(micrometres * 1e-6).mesh == mesh


def test_both_standards_share_their_common_openings() -> None:
    """ISO 3310-1 holds the R20/3 openings that ASTM E11 uses, such as 180, 125 and 90 micrometres."""
    iso = {round(entry.opening * 1e6, 2) for entry in sieves(ISO)}
    assert {180.0, 125.0, 90.0, 63.0, 45.0} <= iso
