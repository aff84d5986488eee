"""Two metals that melt into each other where they touch."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.rules.book import Finding, Severity, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.shown import degrees, degrees_apart
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value


def _touching(case: Case, one: set[str], other: set[str]) -> Iterator[tuple[str, int]]:
    """Yield (words, front coats below) of wires and foils that touch a base of the other family."""
    for what, stuff, coats, glass in case.metals_on():
        pair = {stuff.family} & one and {case.metal.family} & other
        pair = pair or ({stuff.family} & other and {case.metal.family} & one)
        if pair and not glass:
            yield f"{stuff.name} {what}", coats


def _contacts(case: Case, one: set[str], other: set[str], limit: float, margin: float) -> Iterator[Finding]:
    for words, coats in _touching(case, one, other):
        facts = (f"{words} on {case.metal.name}, no unbroken glass between",)
        later = [(firing, heat) for firing, heat in case.heats if _laid_by(case, coats, firing.number)]
        hottest = max(later, key=lambda pair: pair[1].piece.high, default=None)
        if hottest is None:
            if not case.heats and case.firings:
                yield Finding(because=(*facts, "no thermometer rules this firing"), severity="watch")
            continue
        firing, heat = hottest
        level = heat.reaches(limit, margin)
        if level:
            severity: Severity = "stop" if level == "stop" else "watch"
            yield Finding(
                because=(
                    *facts,
                    f"the contact melts from {degrees(limit)}; {degrees_apart(margin)} are kept below it",
                    *heat.because,
                ),
                place=Place(face="front", firing=firing.number),
                figure=heat.piece,
                severity=severity,
            )


def _laid_by(case: Case, coats: int, number: int) -> bool:
    """Whether a wire that stands on `coats` front coats is in the kiln at a firing."""
    below = [layer for layer in case.layup.on("front") if layer.place <= coats]
    return all(max(case.laid_in(layer), default=0) < number for layer in below)


@rule("CON-AGCU")
def silver_on_copper(case: Case) -> Iterator[Finding]:
    """Find bare silver touching bare copper that may reach their common melting point."""
    yield from _contacts(
        case,
        {"silver"},
        {"copper", "copper_zinc"},
        value("metals/eutectic_silver_copper"),
        value("metals/eutectic_margin"),
    )


@rule("CON-AUCU")
def gold_on_copper(case: Case) -> Iterator[Finding]:
    """Find bare gold touching bare copper that may reach the lowest melting point of the two."""
    yield from _contacts(
        case, {"gold"}, {"copper", "copper_zinc"}, value("metals/gold_copper_minimum"), value("metals/eutectic_margin")
    )
