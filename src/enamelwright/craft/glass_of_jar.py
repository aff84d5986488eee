"""What one jar's facets say of its glass: the description joined with the estimate."""

from __future__ import annotations

from dataclasses import replace

from enamelwright.craft.data_sheet import SheetNumber, expansion_from_sheet
from enamelwright.craft.jar import Jar, SheetExpansion
from enamelwright.craft.jar_glass import JarGlass, jar_glass
from enamelwright.reference import loader

#: Kinds whose opacity comes from crystals in the glass.
_OPAQUE = frozenset({"opaque", "counter", "ground", "liquid", "painting"})
_KIND_UNKNOWN = (
    "The expansion on the data sheet is called neither linear nor cubical, so it is not used: ask the supplier."
)


def glass_of(jar: Jar) -> JarGlass:
    """Estimate the glass of a jar from whatever is known of it, each rung with its own uncertainty.

    An expansion whose kind is unknown is not used; the jar's class, its composition or the wide
    default stands in and a caution says so.

    Parameters
    ----------
    jar : Jar
        As described; unknown facets fall back on its generic class, then on the general default.

    Raises
    ------
    InputError
        When a printed number is impossible.
    """
    facts = jar.glass
    sheet = facts.expansion
    number = _read(sheet, bool(jar.starter or facts.composition)) if sheet is not None else None
    low, high = jar.fusing.low, jar.fusing.high
    if low is None and high is None:
        low = high = jar.fusing.maturity
    found = jar_glass(
        composition=facts.composition,
        expansion=number,
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
    if sheet is not None and number is None:
        return replace(found, cautions=(*found.cautions, _KIND_UNKNOWN))
    return found


def _read(sheet: SheetExpansion, otherwise_known: bool) -> SheetNumber | None:
    """Turn the printed expansion into a figure; None leaves it to the class or the composition."""
    if sheet.kind != "unknown":
        return expansion_from_sheet(sheet.value, sheet.kind, "1/K", sheet.basis, sheet.low, sheet.high)
    if otherwise_known:
        return None
    wide = loader.fact("glass/expansion_unknown").figure()
    return SheetNumber(wide, wide.sd, _KIND_UNKNOWN)
