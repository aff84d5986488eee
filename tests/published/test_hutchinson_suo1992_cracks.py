"""Cracks across and chips off a coat.

Sources
-------
* J. W. Hutchinson & Z. Suo, Mixed mode cracking in layered materials, Adv. Appl. Mech. 29 (1992)
  63: Z = 1.976 (channel) and 3.951 (surface crack), table 1 (from memory; 1.976 also at second hand);
  plane-strain and equi-biaxial delamination energies.
* K_Ic 0.77, K_IIc 1.6 MPa m^0.5 of soda-lime glass: J. Eng. Mater. Technol. 112 (1990) 151
  (published); G_Ic 8.1 and G_IIc 34.8 J/m2 follow with E 70 GPa, nu 0.22.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics import fracture
from enamelwright.physics.elastic_laminate import biaxial_modulus, release_energy, solve_elastic

KIC, KIIC, K0 = 0.77e6, 1.6e6, 0.25e6
GLASS = (70e9, 0.22)

# thickness mm; channel stress steady, surface flaw; spall compression K_IIc, K_Ic (MPa, printed)
STRESSES = [
    (0.1, 55, 39, 226, 109),
    (0.2, 39, 27, 160, 77),
    (0.4, 27, 19, 113, 54),
    (0.5, 24, 17, 101, 49),
]


@pytest.mark.parametrize(("mm", "steady", "flaw", "shear", "opening"), STRESSES)
def test_critical_stresses(mm, steady, flaw, shear, opening):
    """Printed without decimals, so half a unit and rounding slack."""
    h = mm * 1e-3
    got = [
        fracture.channel_stress(KIC, h, fracture.STEADY_CHANNEL),
        fracture.channel_stress(KIC, h, fracture.SURFACE_FLAW),
        fracture.spall_stress(KIIC, h),
        fracture.spall_stress(KIC, h),
    ]
    assert np.array(got) / 1e6 == pytest.approx([steady, flaw, shear, opening], abs=0.75)


@pytest.mark.parametrize(("um", "at_once", "later"), [(20, 87, 28), (50, 55, 18), (100, 39, 13)])
def test_surface_flaws(um, at_once, later):
    assert fracture.flaw_stress(KIC, um * 1e-6) / 1e6 == pytest.approx(at_once, abs=0.6)
    assert fracture.flaw_stress(K0, um * 1e-6) / 1e6 == pytest.approx(later, abs=0.6)


def test_critical_energies():
    assert fracture.critical_energy(KIC, *GLASS) == pytest.approx(8.1, abs=0.06)
    assert fracture.critical_energy(KIIC, *GLASS) == pytest.approx(34.8, abs=0.06)


def test_film_on_a_thick_base_gives_the_island_energy():
    """(1 - nu) s^2 h / E = 219.7 J/m2 for 0.2 mm at -313.975 MPa (independent computation)."""
    stress, h = -313.975e6, 0.2e-3
    assert fracture.island_energy(stress, stress, h, *GLASS) == pytest.approx(219.7, rel=1e-3)
    modulus = float(biaxial_modulus(*GLASS))
    thickness = np.array([400.0e-3, h])
    state = solve_elastic(thickness, [117e9 / 0.66, modulus], [stress / modulus, 0.0])
    middle = (state.back_stress + state.front_stress) / 2
    slope = (state.front_stress - state.back_stress) / thickness
    energy = release_energy(thickness, [117e9 / 0.66, modulus], middle, slope)
    assert energy[0] == pytest.approx(219.7, rel=5e-3)


def test_energy_and_stress_agree():
    """At the critical stress the energy equals the critical energy, for both modes."""
    h = 0.3e-3
    s = fracture.channel_stress(KIC, h, fracture.STEADY_CHANNEL)
    g = fracture.channel_energy(s, h, *GLASS, fracture.STEADY_CHANNEL)
    assert g == pytest.approx(fracture.critical_energy(KIC, *GLASS), rel=1e-12)
    s = -fracture.spall_stress(KIIC, h)
    assert fracture.spall_energy(s, s, h, *GLASS) == pytest.approx(fracture.critical_energy(KIIC, *GLASS), rel=1e-12)


def test_compression_opens_no_channel_and_tension_pulls_no_rim():
    assert fracture.channel_energy(-1e8, 1e-4, *GLASS, fracture.STEADY_CHANNEL) == 0
    assert fracture.rim_pull(1e8, 1e-4, 1e-3) == 0


def test_rim_pull_of_a_coated_edge():
    """53 MPa at 0.4 mm rim radius, 21 at 1 mm, for -105.5 MPa in 0.2 mm (shell equilibrium)."""
    assert fracture.rim_pull(-105.5e6, 0.2e-3, 0.4e-3) / 1e6 == pytest.approx(53, abs=0.5)
    assert fracture.rim_pull(-105.5e6, 0.2e-3, 1.0e-3) / 1e6 == pytest.approx(21, abs=0.5)


def test_shock_resistance():
    """Kingery's R (from memory): 32 and 64 K at 30 and 60 MPa for 10.5 ppm/K."""
    got = fracture.shock_resistance([30e6, 60e6, 130e6, 160e6], *GLASS, 10.5e-6)
    assert got == pytest.approx([32, 64, 138, 170], abs=0.6)
