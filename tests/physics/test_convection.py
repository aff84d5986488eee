"""The film of air on a small level piece."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from heated_cases import AIR, MM, ZERO_C


@pytest.mark.parametrize("kelvin", [300.0, 500.0, 700.0, 900.0])
def test_air_against_the_standard_atmosphere(kelvin):
    """Conductivity within 8 %, kinematic viscosity within 5 % of the U.S. Standard Atmosphere of 1976.

    Power laws against Sutherland's; a twentieth in a film that carries a tenth of the heat is no matter.
    """
    assert AIR.conductivity_at(kelvin) == pytest.approx(ATMOSPHERE_1976.thermal_conductivity(kelvin), rel=0.08)
    density = ATMOSPHERE_1976.density(kelvin, 101325.0)
    viscosity = ATMOSPHERE_1976.viscosity(kelvin) / density
    # Ra over (difference x length^3) holds the square of the viscosity.
    assert AIR.buoyancy_at(kelvin) == pytest.approx(9.80665 * 0.69 / (kelvin * viscosity**2), rel=0.10)


def test_films_of_the_base_disc():
    """About 20 W/m2/K on the mean of both faces at the cold start, 15 when warm (independent computation)."""
    cold = np.mean(AIR.coefficients(20 + ZERO_C, 700 + ZERO_C, 8 * MM))
    warm = np.mean(AIR.coefficients(760 + ZERO_C, 800 + ZERO_C, 8 * MM))
    assert cold == pytest.approx(20.0, abs=2.0)
    assert warm == pytest.approx(15.0, abs=2.0)


def test_the_smallest_pieces_are_left_to_conduction():
    """Ever smaller pieces: the film tends to k / L."""
    upper, lower = AIR.coefficients(300.0, 301.0, 0.01 * MM)
    assert upper * 0.01 * MM / AIR.conductivity_at(300.5) == pytest.approx(1.0, abs=0.01)
    assert lower < upper


def test_larger_pieces_follow_the_law_of_plates():
    """Half a metre: Nu = 0.54 Ra^(1/4) and a floor that no longer matters."""
    upper, _ = AIR.coefficients(400.0, 300.0, 0.5)
    nusselt = upper * 0.5 / AIR.conductivity_at(350.0)
    assert nusselt == pytest.approx(0.54 * AIR.rayleigh(400.0, 300.0, 0.5) ** 0.25, rel=0.02)
