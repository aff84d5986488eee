"""Viscous sintering of a powder of glass, early and late.

Sources
-------
* J. Frenkel, J. Phys. (USSR) 9 (1945) 385: growth of necks and early shrinkage (from memory).
* J. K. Mackenzie, R. Shuttleworth, Proc. Phys. Soc. B 62 (1949) 833: closed pores to full density (formula
  from memory; here its closed form against its own differential equation and printed reduced times).
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from enamelwright.errors import InputError
from enamelwright.physics.sintering import density_after, linear_shrinkage, neck, neck_work, work_to_density

RADIUS, GAMMA = 75e-6, 0.25

#: Packing, reduced work (gamma W / a) until full density; derived, five decimals.
FULL = [(0.40, 1.80110), (0.50, 1.67128)]


@pytest.mark.parametrize(("packing", "reduced"), FULL)
def test_full_density(packing, reduced):
    """Reduced work until full density."""
    assert GAMMA * work_to_density(RADIUS, packing, 1.0, GAMMA) / RADIUS == pytest.approx(reduced, abs=1e-4)


@pytest.mark.parametrize("packing", [0.40, 0.50, 0.62])
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.98])
def test_closed_form_against_the_differential_equation(packing, share):
    """d rho / dW = (3 gamma / 2 a)(1 - rho)^(2/3) rho^(1/3), by a library's integrator."""
    work = share * float(work_to_density(RADIUS, packing, 1.0, GAMMA))

    def rate(w, rho):
        return 1.5 * GAMMA / RADIUS * (1 - rho) ** (2 / 3) * rho ** (1 / 3)

    out = solve_ivp(rate, (0.0, work), [packing], method="DOP853", rtol=1e-12, atol=1e-14)
    assert density_after(RADIUS, packing, work, GAMMA) == pytest.approx(float(out.y[0, -1]), abs=1e-8)


def test_frenkel_early_shrinkage():
    """Five per cent of linear shrinkage at 0.1333, where the necks measure 0.4472 of the radius."""
    work = 0.13333333 * RADIUS / GAMMA
    assert linear_shrinkage(RADIUS, work, GAMMA) == pytest.approx(0.05, rel=1e-6)
    assert neck(RADIUS, work, GAMMA) == pytest.approx(0.4472, abs=1e-4)


def test_neck_and_its_work_are_inverse():
    """The ends of one formula."""
    assert neck(RADIUS, neck_work(RADIUS, 0.3, GAMMA), GAMMA) == pytest.approx(0.3, rel=1e-12)
    # 150 um: 0.3 at 1.8e-5 1/Pa (independent computation)
    assert neck_work(RADIUS, 0.3, GAMMA) == pytest.approx(1.8e-5, rel=5e-3)


def test_early_shrinkage_of_both_laws_agrees_in_size():
    """Where Frenkel gives 1 %, closed pores of a loose powder give the same within a factor of two."""
    work = 0.01 * 8 * RADIUS / (3 * GAMMA)
    density = float(density_after(RADIUS, 0.5, work, GAMMA))
    assert 0.5 < (1 - (0.5 / density) ** (1 / 3)) / 0.01 < 2.0


@given(st.floats(0.2, 0.8), st.floats(1e-7, 1e-1))
def test_density_rises_from_the_packing_to_one(packing, work):
    """Never below the packing, never above full density, never less for more work."""
    first, second = (float(density_after(RADIUS, packing, w, GAMMA)) for w in (work, 1.1 * work))
    assert packing - 1e-12 <= first <= second + 1e-12
    assert second <= 1.0


def test_impossible_powder_is_refused():
    """A powder looser than nothing or denser than its goal."""
    for packing, goal in ((0.0, 0.9), (0.9, 0.5), (0.5, 1.1)):
        with pytest.raises(InputError):
            work_to_density(RADIUS, packing, goal, GAMMA)
