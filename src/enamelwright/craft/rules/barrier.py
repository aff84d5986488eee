"""Colours that want a barrier between them and the metal, and flux on its metal."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.coat import STAGES
from enamelwright.craft.jar import WARM
from enamelwright.craft.layup import Layer
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.shown import degrees
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value

#: Families that silver stains where they touch it.
STAINED: frozenset[str] = WARM | {"white"}


def at(layer: Layer, firing: int = 0) -> Place:
    """Return the place of one coat."""
    return Place(face=layer.coat.face, coats=(layer.number,), firing=firing)


def _bare(case: Case, families: frozenset[str], metals: set[str]) -> Iterator[Layer]:
    if case.metal.family not in metals:
        return
    for layer in case.layup.on("front"):
        if layer.jar.optics.family in families and not layer.coat.fired and case.on_metal(layer):
            yield layer


@rule("BAR-WARM")
def warm_on_copper(case: Case) -> Iterator[Finding]:
    """Find a warm colour laid straight on copper."""
    for layer in _bare(case, WARM, {"copper", "copper_zinc"}):
        yield Finding(
            because=(f"{layer.words}: {layer.jar.optics.family}", f"touches bare {case.metal.name}"), place=at(layer)
        )


@rule("BAR-WARM-AG")
def stained_on_silver(case: Case) -> Iterator[Finding]:
    """Find a colour that silver stains laid straight on it."""
    for layer in _bare(case, STAINED, {"silver"}):
        yield Finding(
            because=(f"{layer.words}: {layer.jar.optics.family}", f"touches bare {case.metal.name}"), place=at(layer)
        )


@rule("FLUX-CU")
def flux_short_on_copper(case: Case) -> Iterator[Finding]:
    """Find flux on bare copper that its maker wants to stop before it clears."""
    if case.metal.family != "copper":
        return
    for layer in case.layup.on("front"):
        wanted = layer.coat.target
        if layer.jar.kind != "flux" or wanted is None or not case.on_metal(layer):
            continue
        if STAGES.index(wanted) < STAGES.index("cleared"):
            yield Finding(because=(f"{layer.words}: to be stopped at {wanted}",), place=at(layer))


def _limit(layer: Layer) -> float:
    own = layer.jar.fusing.yellows
    return own if own is not None else value("trade/flux_silver_yellow")


@rule("FLUX-AG")
def flux_hot_on_silver(case: Case) -> Iterator[Finding]:
    """Find flux on silver whose whole window lies above the temperature at which it yellows.

    A window that only reaches past the limit is the technique's own ordinary range and is not called out.
    """
    if case.metal.family != "silver":
        return
    for layer in case.layup.on("front"):
        if layer.jar.kind != "flux" or not case.on_metal(layer):
            continue
        limit = _limit(layer)
        for firing in case.hot_firings(layer):
            point = firing.window.set_point if firing.window is not None else None
            if point is not None and point.low >= limit:
                yield Finding(
                    because=(
                        f"{layer.words}: yellows from {degrees(limit)}",
                        f"firing {firing.number} is set to {degrees(point.low)} or more",
                    ),
                    place=at(layer, firing.number),
                    figure=point,
                )
                break


@rule("GOLD-TIME")
def cloudy_gold(case: Case) -> Iterator[Finding]:
    """Advise longer, not hotter, when a gold-bearing colour came out cloudy on copper."""
    if case.metal.family != "copper" or "cloud" not in case.piece.so_far.fault.casefold():
        return
    for layer in case.layup.on("front"):
        if layer.jar.gold_bearing:
            facts = (f"{layer.words}: gold-bearing", f"fault noted: {case.piece.so_far.fault}")
            yield Finding(because=facts, place=at(layer))
            return


@rule("WASH")
def unwashed(case: Case) -> Iterator[Finding]:
    """Find a transparent known to be unwashed; a jar nobody spoke of is left alone."""
    seen: set[str] = set()
    for layer in case.layup.on("front"):
        if layer.coat.fired or layer.jar.id in seen:
            continue
        if layer.jar.see_through and layer.jar.stock.washed is False:
            seen.add(layer.jar.id)
            yield Finding(because=(f"{layer.jar.name}: not washed",), place=at(layer))
