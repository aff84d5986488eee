"""What one jar's facets say of its glass: the description joined with the estimate."""

from __future__ import annotations

from enamelwright.craft.jar import Jar
from enamelwright.craft.data_sheet import expansion_from_sheet
from enamelwright.craft.jar_glass import JarGlass, jar_glass

#: Kinds whose opacity comes from crystals in the glass.
_OPAQUE = frozenset({"opaque", "counter", "ground", "liquid", "painting"})


def glass_of(jar: Jar) -> JarGlass:
    """Estimate the glass of a jar from whatever is known of it, each rung with its own uncertainty.

    Parameters
    ----------
    jar : Jar
        As described; unknown facets fall back on its generic class, then on the general default.

    Raises
    ------
    InputError
        When a printed number is impossible, or its kind is not known.
    """
    facts = jar.glass
    expansion = None
    if facts.expansion is not None:
        sheet = facts.expansion
        expansion = expansion_from_sheet(sheet.value, sheet.kind, "1/K", sheet.basis, sheet.low, sheet.high)
    low, high = jar.fusing.low, jar.fusing.high
    if low is None and high is None:
        low = high = jar.fusing.maturity
    return jar_glass(
        composition=facts.composition,
        expansion=expansion,
        density=facts.density,
        young=facts.young,
        transformation=facts.transformation,
        softening=facts.softening,
        fuse_low=low,
        fuse_high=high,
        starter=jar.starter,
        lead=jar.hazards.lead,
        opaque=jar.kind in _OPAQUE,
    )
