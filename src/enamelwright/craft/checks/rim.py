"""What it takes to chip the glass off at the rim."""

from __future__ import annotations

from enamelwright.craft.checks.judgement import level
from enamelwright.craft.metal import Metal
from enamelwright.physics.fracture import critical_energy
from enamelwright.physics.glass_solid import SolidGlass
from enamelwright.reference import loader


def rim_resistance(glass: SolidGlass) -> float:
    """Return the energy a glass resists when sliding off along the metal [J/m2]."""
    return critical_energy(loader.value("glass/toughness_shear"), glass.young, glass.poisson)


def rim_limit(stuff: Metal) -> float:
    """Return the share of that energy from which the rim is told of; higher on steel, which grips better."""
    return level("rim_steel") if stuff.family == "steel" else level("rim_watch")
