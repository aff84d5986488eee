"""Elastic stacks against Timoshenko's bimetal and a published finite-element case.

Sources
-------
* S. Timoshenko, Analysis of bi-metal thermostats, J.O.S.A. & R.S.I. 11 (1925) 233, eq. 4:
  ``k = 6 de (1+m)^2 / {h [3 (1+m)^2 + (1+mn)(m^2 + 1/(mn))]}`` with m = t1/t2, n = E1/E2.
* Published finite-element verification example "E.15 temperature load by bimetal" (L 3000 mm,
  h 300 mm in two equal layers, 5e-6 and 10e-6 1/K, 50 K): closed form 5.625 mm, its finite elements
  5.67551 mm.  (The page prints the first figure in metres; the second shows that mm are meant.)
* G. G. Stoney, Proc. R. Soc. A 82 (1909) 172, thin-film limit, from memory.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.physics.elastic_laminate import solve_elastic


def timoshenko(m: float, n: float, height: float, strain: float) -> float:
    """Curvature of a bimetal; layer 2 wants to be longer by ``strain``."""
    ratio = m * n
    return 6 * strain * (1 + m) ** 2 / (height * (3 * (1 + m) ** 2 + (1 + ratio) * (m * m + 1 / ratio)))


CASES = [
    # m, n, k h / strain, tolerance, why, locator
    (1.0, 1.0, 1.5, 1e-12, "closed form", "Timoshenko eq. 6"),
    (1.0, 2.0, 24 / 16.5, 1e-12, "closed form", "eq. 5: 24 / (14 + n + 1/n)"),
    (1.0, 0.5, 24 / 16.5, 1e-12, "closed form, n and 1/n alike", "eq. 5"),
]


@pytest.mark.parametrize(("m", "n", "printed", "tolerance", "why", "locator"), CASES)
def test_printed_equal_thickness(m, n, printed, tolerance, why, locator):
    state = solve_elastic([m, 1.0], [n * 1e11, 1e11], [0.0, 1e-3])
    assert state.curvature * (1 + m) / 1e-3 == pytest.approx(printed, abs=tolerance), (why, locator)


@given(st.floats(0.02, 50), st.floats(0.05, 20), st.floats(1e-5, 1e-1), st.floats(-1e-2, 1e-2))
def test_any_bimetal(m, n, height, strain):
    thickness = height * np.array([m, 1.0]) / (1 + m)
    state = solve_elastic(thickness, [n * 1e11, 1e11], [0.0, strain])
    assert state.curvature == pytest.approx(timoshenko(m, n, height, strain), rel=1e-9)


def test_published_finite_element_case():
    """Cantilever: end deflection k L^2 / 2 of the closed form 5.625 mm; elements within 1 %."""
    state = solve_elastic([0.15, 0.15], [2e11, 2e11], [10e-6 * 50, 5e-6 * 50])
    deflection_mm = abs(float(state.curvature)) * 3.0**2 / 2 * 1e3
    assert deflection_mm == pytest.approx(5.625, abs=1e-9)
    # The finite-element figure carries that model's own discretisation error.
    assert deflection_mm == pytest.approx(5.67551, rel=0.01)


def test_face_stresses_of_equal_layers():
    """m = n = 1: faces of the lower and upper layer over B de (derived from the 1925 paper)."""
    state = solve_elastic([1.0, 1.0], [1.0, 1.0], [0.0, 1.0])
    assert [state.back_stress[0], state.front_stress[0]] == pytest.approx([-0.25, 0.5], abs=1e-12)
    assert [state.back_stress[1], state.front_stress[1]] == pytest.approx([-0.5, 0.25], abs=1e-12)


@pytest.mark.parametrize("ratio", [0.1, 0.01, 0.001])
def test_stoney_is_the_thin_limit(ratio):
    """Equal moduli: Stoney over exact is (1 + r)^3, so it is no use for thick glass."""
    exact = float(solve_elastic([1.0, ratio], [1.0, 1.0], [0.0, 1.0]).curvature)
    stoney = 6 * ratio
    assert stoney / exact == pytest.approx((1 + ratio) ** 3, rel=1e-9)
