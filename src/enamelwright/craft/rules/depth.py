"""How much powder or glass for the metal under it."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.layup import Layer
from enamelwright.craft.piece import CELLED, PAINTED
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import FACES, Case
from enamelwright.craft.rules.shown import mm, two_digits
from enamelwright.craft.verdict import Place
from enamelwright.figure import Figure
from enamelwright.reference.loader import value

#: Amounts that a maker stated; an amount the plan chose itself is not held against it.
_STATED = frozenset({"weight", "powder_depth", "fired_thickness", "siftings"})
#: A share this close to its limit is on it: the two numbers were typed, not measured to more digits.
EDGE = 1e-6
#: Techniques that put lumps and threads on purpose where the sheet rules speak of even coats.
_HEAPED = frozenset({"placed_glass"})

_NO_STRESS = "Stress is not worked out for this piece: make a test piece; lay less, or use thicker metal."


def _first_coats(case: Case) -> Iterator[tuple[Layer, Figure]]:
    """Yield the first sifted opaque coats on bare metal whose amount was stated."""
    if not case.sheet or case.technique in PAINTED | CELLED:
        return
    for layer in case.layup.layers:
        coat = layer.coat
        if coat.fired or coat.method != "sift" or layer.jar.kind not in {"opaque", "counter"}:
            continue
        if coat.amount_words in _STATED and coat.share is None and not coat.cells and not case.below(layer):
            yield layer, case.weight(layer).powder_depth


def _shares(figure: Figure, thickness: float) -> Figure:
    return Figure(
        value=figure.value / thickness, low=figure.low / thickness, high=figure.high / thickness,
        dimension="ratio", origin=figure.origin,
    )  # fmt: skip


def _rounded(share: Figure) -> Figure:
    ends = {name: two_digits(getattr(share, name)) for name in ("value", "low", "high")}
    return share.model_copy(update=ends)


@rule("DEPTH-LOW")
def too_thin(case: Case) -> Iterator[Finding]:
    """Find a first coat too thin to hide sheet of ordinary thickness; heavy sheet is outside the source.

    A sifted coat wanders about its plan, so only a coat clearly short of the limit is called out.
    """
    if case.thickness >= value("trade/counter_no"):
        return
    least, sure = value("trade/depth_low"), 1 + value("trade/coat_thickness_sd")
    for layer, depth in _first_coats(case):
        share = _shares(depth, case.thickness)
        if share.value * sure < least * (1 - EDGE):
            yield Finding(
                because=(f"{layer.words}: powder {mm(depth.value)} on {mm(case.thickness)} of metal",),
                place=Place(face=layer.coat.face, coats=(layer.number,)),
                figure=_rounded(share),
            )


@rule("DEPTH-HIGH")
def too_thick(case: Case) -> Iterator[Finding]:
    """Find a first coat clearly deeper than the metal is thick."""
    most, sure = value("trade/depth_high"), 1 + value("trade/coat_thickness_sd")
    for layer, depth in _first_coats(case):
        share = _shares(depth, case.thickness)
        if share.value / sure > most * (1 + EDGE):
            yield Finding(
                because=(f"{layer.words}: powder {mm(depth.value)} on {mm(case.thickness)} of metal",),
                place=Place(face=layer.coat.face, coats=(layer.number,)),
                figure=_rounded(share),
            )


@rule("GLASS-HALF")
def half_thickness(case: Case) -> Iterator[Finding]:
    """Find a face that is likely to carry more glass than half the metal; celled and painted work is exempt.

    Houses differ on the half, and on whether powder or glass is meant, so only much more is a watch.
    """
    if not case.sheet or case.technique in PAINTED | CELLED | _HEAPED:
        return
    half, much = value("trade/glass_to_metal"), value("trade/glass_to_metal_watch")
    for face in FACES:
        layers = case.layup.on(face)
        least = sum(
            case.glass(layer) * case.weight(layer).fired_thickness.low / case.weight(layer).fired_thickness.value
            for layer in layers
        )
        if least > half * case.thickness * (1 + EDGE):
            facts = f"{mm(case.glass_on(face))} of glass, {mm(least)} at the least, on {mm(case.thickness)} of metal"
            yield Finding(
                because=(f"{face}: {facts}",),
                place=Place(face=face, coats=tuple(layer.number for layer in layers)),
                severity=None if least > much * case.thickness else "note",
                remedy=_NO_STRESS if case.flatness.reach == "not applicable" else "",
            )


@rule("GLASS-PAINT")
def painted_thin(case: Case) -> Iterator[Finding]:
    """Say that a thin painted plate is exempt from the half-thickness rule."""
    if case.sheet and case.technique in PAINTED and case.thickness <= value("trade/painted_plate_highest"):
        yield Finding(because=(f"{mm(case.thickness)} of metal, painted",), place=Place(face="metal"))


@rule("PAINT-THICK")
def painted_thick(case: Case) -> Iterator[Finding]:
    """Find painting enamel on metal so thick that crazing is reported."""
    if case.sheet and case.technique == "limoges" and case.thickness >= value("trade/painted_plate_thick"):
        yield Finding(because=(f"{mm(case.thickness)} of metal, painted",), place=Place(face="metal"))


@rule("GUM")
def strong_gum(case: Case) -> Iterator[Finding]:
    """Advise once when the gum is stronger than the house, or the trade, keeps it."""
    house = case.bench.house.gum_ratio
    most = house if house is not None else value("trade/gum_highest")
    for layer in case.layup.layers:
        hold = layer.coat.hold
        if hold is None or hold.kind != "gum" or hold.ratio is None or layer.coat.fired:
            continue
        if hold.ratio > most:
            yield Finding(
                because=(f"{layer.words}: gum to water {hold.ratio:g} : 1",),
                place=Place(face=layer.coat.face, coats=(layer.number,)),
            )
            return
