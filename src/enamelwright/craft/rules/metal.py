"""The metal itself: melting, zinc, solder, ground coat."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.metal import Metal
from enamelwright.craft.rules.book import Finding, Severity, rule
from enamelwright.craft.rules.case import FACES, Case
from enamelwright.craft.rules.shown import degrees, degrees_apart, percent
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value

#: Key of the alloy with rules of its own.
STERLING = "sterling_silver"
#: Key of the metal kept well below its melting point by custom.
FINE_SILVER = "fine_silver"


def _parts(case: Case) -> Iterator[tuple[str, Metal]]:
    """Yield the base and the metals laid on it, each once."""
    yield "base", case.metal
    seen = {case.metal.id}
    for what, stuff, _, _ in case.metals_on():
        if stuff.id not in seen:
            seen.add(stuff.id)
            yield what, stuff


@rule("ALLOY-STER-R")
def sterling_melts(case: Case) -> Iterator[Finding]:
    """Find a firing that begins to melt sterling, judged by the hottest the piece may get."""
    yield from _melting(case, STERLING, {"stop"})


@rule("ALLOY-STER-A")
def sterling_near_melting(case: Case) -> Iterator[Finding]:
    """Find a firing of sterling above its cap, or one that might melt it in an unchecked kiln."""
    if list(_melting(case, STERLING, {"stop"})):
        return
    cap = value("trade/sterling_cap")
    for what, stuff in _parts(case):
        if stuff.id != STERLING or case.hottest is None:
            continue
        firing, heat = case.hottest
        set_high = max(heat.set_point.high for _, heat in case.heats)
        if set_high > cap or heat.reaches(stuff.solidus.value):
            yield Finding(
                because=(
                    f"{stuff.name} ({what}): begins to melt at {degrees(stuff.solidus.value)}, cap {degrees(cap)}",
                    *heat.because,
                ),
                place=Place(face="metal", firing=firing.number),
                figure=heat.piece,
            )
            return


def _melting(case: Case, only: str, levels: set[str]) -> Iterator[Finding]:
    if case.hottest is None:
        return
    firing, heat = case.hottest
    for what, stuff in _parts(case):
        if (stuff.id == STERLING) != (only == STERLING):
            continue
        level = heat.reaches(stuff.solidus.value)
        margin = value("metals/fine_silver_margin") if stuff.id == FINE_SILVER else 0.0
        close = not level and heat.piece.value >= stuff.solidus.value - margin
        severity: Severity = "stop" if level == "stop" else "watch"
        if (level or close) and severity in levels:
            yield Finding(
                because=(
                    f"{stuff.name} ({what}): begins to melt at {degrees(stuff.solidus.value)}",
                    *([f"custom keeps {degrees_apart(margin)} below it"] if margin else []),
                    *heat.because,
                ),
                place=Place(face="metal", firing=firing.number),
                figure=heat.piece,
                severity=severity,
                words="This firing comes nearer to the melting point of the metal than custom allows." if close else "",
            )


@rule("ALLOY-SOLIDUS")
def metal_melts(case: Case) -> Iterator[Finding]:
    """Find a firing that may begin to melt the base, a wire or a foil."""
    yield from _melting(case, "", {"stop", "watch"})


@rule("ALLOY-DEPLETE")
def skin_not_raised(case: Case) -> Iterator[Finding]:
    """Find sterling whose fine-silver skin has been raised too few times; ask when nobody said."""
    if case.metal.id != STERLING:
        return
    cycles, least = case.piece.metal.depletion_cycles, value("trade/depletion_cycles")
    if cycles is None:
        yield Finding(because=("the file does not say how many cycles were done",), severity="note")
    elif cycles < least:
        facts = f"{cycles} cycles so far, {least:.0f} are the least reported"
        yield Finding(because=(facts,), place=Place(face="metal"))


@rule("ALLOY-ZINC")
def zinc(case: Case) -> Iterator[Finding]:
    """Find an alloy with more zinc than enamel bears."""
    if case.metal.zinc_bearing and case.metal.enamelable == "no":
        most = value("metals/zinc_limit_sheet")
        yield Finding(
            because=(f"{case.metal.name}", f"zinc borne in sheet: at most {percent(most)}"),
            place=Place(face="metal"),
        )


@rule("ALLOY-CAUTION")
def alloy_caution(case: Case) -> Iterator[Finding]:
    """Give the caution of an alloy that takes enamel with care, such as gilding metal."""
    if case.metal.enamelable == "caution" and case.metal.id != STERLING:
        yield Finding(because=(case.metal.name,), place=Place(face="metal"), words=case.metal.caution)


@rule("ALLOY-SOLDER")
def solder_flows(case: Case) -> Iterator[Finding]:
    """Find a solder that may flow in the hottest firing."""
    if case.hottest is None:
        return
    firing, heat = case.hottest
    margin = value("trade/solder_margin")
    for solder in case.piece.metal.solder:
        if not solder.after_enamel and solder.flow < heat.piece.value + margin:
            yield Finding(
                because=(
                    f"{solder.name or 'solder'} flows at {degrees(solder.flow)}",
                    f"the piece may be near {degrees(heat.piece.value)} in firing {firing.number}",
                    f"{degrees_apart(margin)} are kept between",
                ),
                place=Place(face="metal", firing=firing.number),
                figure=heat.piece,
            )


@rule("SOLDER-AFTER")
def solder_after_enamel(case: Case) -> Iterator[Finding]:
    """Find soldering planned after enamelling."""
    for solder in case.piece.metal.solder:
        if solder.after_enamel and case.piece.coats:
            facts = f"{solder.name or 'a joint'} is to be soldered after the enamel"
            yield Finding(because=(facts,), place=Place(face="metal"))


@rule("STEEL-GROUND")
def steel_without_ground(case: Case) -> Iterator[Finding]:
    """Find steel whose first coat, on a face that is enamelled, is no ground coat."""
    if case.metal.family != "steel":
        return
    for face in FACES:
        layers = case.layup.on(face)
        if layers and layers[0].jar.kind != "ground":
            yield Finding(
                because=(f"{layers[0].words}: {layers[0].jar.kind}",), place=Place(face=face, coats=(layers[0].number,))
            )
