"""The named material set that the checks of the stress solvers use, in MPa and Celsius as printed.

It is fixed on purpose: published and independently computed check values were made with exactly
these numbers.  The product's own numbers live in its reference tables and may move.

Sources and status
------------------
* copper: expansion from memory, within 1.3 % of the recommended values of Wang & Reeber (1996,
  secondary source); E and 0.2 % proof stress of annealed strip, Smithells Metals Reference Book,
  8th ed., Table 22.7 (published); slopes and hardening from memory.
* fine silver: expansion polynomial of a supplier page (secondary source); E, nu, yield from memory.
* sterling: annealed yield 124 MPa and 19 ppm/K of a supplier page (secondary source); slopes from
  memory.
* enamelling steel: from memory.
* enamel: mid-range soft enamel, from memory; Ks and the liquid expansion are assumptions.
"""

from __future__ import annotations

import numpy as np

from enamelwright.physics.glass_solid import SolidGlass
from enamelwright.physics.laminate import Recovery
from enamelwright.physics.schedule import FiringCycle, Schedule, fire
from enamelwright.physics.sheet import SheetMetal
from enamelwright.physics.viscosity import VftViscosity

ZERO_C = 273.15
MPA = 1e6
MM = 1e-3
RECOVERY = Recovery(onset=450 + ZERO_C, fade=28.8, full=700 + ZERO_C)
"""Fading of hardening on heating (assumption)."""

_GRID = np.arange(0.0, 1001.0, 2.0)


def _metal(strain, young, poisson, proof, hardening) -> SheetMetal:
    over = _GRID - 20.0
    level = [np.maximum(a + b * over, floor) * MPA for a, b, floor in (proof, hardening)]
    return SheetMetal(
        temperature=_GRID + ZERO_C,
        free_strain=strain(_GRID) - strain(20.0),
        young=(young[0] + young[1] * over) * MPA,
        yield_stress=level[0],
        hardening=level[1],
        poisson=poisson,
    )


def linear_expansion(at_20: float, slope: float):
    """Strain whose instantaneous expansion is ``at_20 + slope (T - 20)``."""
    return lambda t: at_20 * (t - 20.0) + slope * (t - 20.0) ** 2 / 2


COPPER = _metal(linear_expansion(16.6e-6, 7.0e-9), (117e3, -40), 0.34, (48, -0.047, 10), (1200, -1.2, 150))
SILVER = _metal(
    lambda t: 19.494e-6 * t + 1.0379e-9 * t**2 + 2.375e-12 * t**3,
    (80e3, -35), 0.37, (40, -0.042, 7), (900, -1.0, 100),
)  # fmt: skip
STERLING = _metal(linear_expansion(18.4e-6, 4.4e-9), (76e3, -33), 0.37, (124, -0.15, 10), (1000, -1.1, 100))
STEEL = _metal(linear_expansion(11.6e-6, 9.6e-9), (207e3, -75), 0.29, (180, -0.19, 30), (1500, -1.5, 200))


def enamel(
    expansion: float = 10.5e-6,
    t12: float = 480.0,
    *,
    t66: float | None = None,
    liquid: float = 3.0,
    young: float = 70e9,
) -> SolidGlass:
    """Default enamel, or one with another expansion [1/K], T12 [C] or modulus [Pa]."""
    hot = t12 + 170.0 if t66 is None else t66
    law = VftViscosity.from_two_points((t12 + ZERO_C, 12.0), (hot + ZERO_C, 6.6), -2.0)
    return SolidGlass(
        young=young,
        poisson=0.22,
        expansion_glass=expansion,
        expansion_liquid=liquid * expansion,
        viscosity=law,
        activation_fraction=0.5,
        structural_modulus=10e9,
    )


def firings(count: int = 1, *, tau: float = 30.0, top: float = 790.0, steps: int = 160) -> Schedule:
    """Heat in 60 s, hold 60 s at the top, cool with the given time constant; count times."""
    cycle = FiringCycle(top + ZERO_C, 20 + ZERO_C, tau, 60.0, 60.0)
    return fire([cycle] * count, cooling_steps=steps)


def bow(curvature, chord: float = 25 * MM):
    """Bow in millimetres over a chord."""
    return curvature * chord**2 / 8 / MM
