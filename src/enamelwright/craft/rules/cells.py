"""Recesses, foils and fills to level."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.depth import EDGE
from enamelwright.craft.rules.shown import mm
from enamelwright.craft.verdict import Place
from enamelwright.craft.weights import Hand, rounds_to_level
from enamelwright.reference.loader import value


@rule("LUMP-RECESS")
def lumps_in_shallow_recess(case: Case) -> Iterator[Finding]:
    """Find lumps or canes meant for a recess too shallow to hold them."""
    recess = case.piece.recess
    least = value("trade/lump_recess")
    if recess is None or recess.depth >= least * (1 - EDGE):
        return
    for layer in case.layup.on("front"):
        if (layer.jar.kind == "placed" or layer.coat.method == "place") and not layer.coat.fired:
            yield Finding(
                because=(f"recess {mm(recess.depth)}, lumps want {mm(least)}",),
                place=Place(face="front", coats=(layer.number,)),
            )


@rule("RECESS-WHOLE")
def whole_face_taken(case: Case) -> Iterator[Finding]:
    """Say that fills of a recessed piece without cells are weighed for the whole face."""
    if case.piece.recess is None or case.piece.cells:
        return
    for layer in case.layup.on("front"):
        if layer.coat.fill and layer.coat.share is None and not layer.coat.fired:
            yield Finding(because=("no cells are given",), place=Place(face="front", coats=(layer.number,)))
            return


@rule("ETCH-MIN")
def shallow_etch(case: Case) -> Iterator[Finding]:
    """Advise when a champlevé recess is shallow for its metal."""
    recess = case.piece.recess
    if case.technique != "champleve" or recess is None or not case.sheet:
        return
    if recess.depth < value("trade/etch_lowest") * case.thickness * (1 - EDGE):
        facts = f"recess {mm(recess.depth)} in {mm(case.thickness)} of metal"
        yield Finding(because=(facts,), place=Place(face="metal"))


@rule("ETCH-LINE")
def narrow_line(case: Case) -> Iterator[Finding]:
    """Find an etched line so narrow that the bath undercuts it."""
    recess = case.piece.recess
    least = value("trade/resist_line")
    if recess is not None and recess.made == "etched" and recess.line is not None and recess.line < least * (1 - EDGE):
        yield Finding(because=(f"narrowest line {mm(recess.line)}, least {mm(least)}",), place=Place(face="metal"))


@rule("FILLS")
def too_few_fills(case: Case) -> Iterator[Finding]:
    """Advise when the fills a maker counted do not reach the rim of the cell."""
    packing = Hand.of(case.bench).packing.value
    needed = rounds_to_level(packing, value("trade/fill_residual"))
    for layer in case.layup.on("front"):
        if layer.coat.fill and 1 < layer.coat.times < needed and not layer.coat.fired:
            yield Finding(
                because=(f"{layer.words}: {layer.coat.times} fills given, about {needed} reach the level",),
                place=Place(face="front", coats=(layer.number,)),
            )


@rule("FOIL-PIERCE")
def foil_not_pierced(case: Case) -> Iterator[Finding]:
    """Find a foil that is laid unpierced; remind once when nobody said."""
    for foil in case.piece.foils:
        if foil.pierced is not True:
            yield Finding(
                because=(f"{foil.metal} foil after front coat {foil.after_coat}",),
                place=Place(face="front"),
                severity="stop" if foil.pierced is False else "note",
            )
            return
