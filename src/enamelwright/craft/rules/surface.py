"""Drying, pickling, clean edges and cracks seen."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.layup import Layer
from enamelwright.craft.rules.barrier import at
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import OXIDISING, Case
from enamelwright.craft.rules.shown import minutes
from enamelwright.reference.loader import value

#: Silver alloy that oxidises although fine silver does not.
_STAINING = "sterling_silver"
_UNSURE = "The plan pickles with glass on the front, and not every jar there is known to resist acid: it may turn matt."
_TRY = "Pickle a fired test tile of this jar first, or clean the oxide by abrasion."


@rule("DRY")
def not_dry(case: Case) -> Iterator[Finding]:
    """Find a coat dried for less than its way of laying asks."""
    for layer in case.layup.layers:
        coat = layer.coat
        if coat.dried is None or coat.fired or coat.method == "place":
            continue
        least = value("trade/dry_minutes_wet" if coat.method == "wet-pack" else "trade/dry_minutes")
        if coat.dried < least:
            facts = f"{layer.words}: dried {minutes(coat.dried)}, least {minutes(least)} for {coat.method}"
            yield Finding(because=(facts,), place=at(layer))


def _oxidises(case: Case) -> bool:
    return case.metal.family in OXIDISING or case.metal.id == _STAINING


def _pickled_after(case: Case) -> list[Layer]:
    """Front coats that are fired when oxide is next taken off in a pickle."""
    habit = case.piece.firing.pickle
    pickles = habit if habit is not None else bool(case.bench.house.pickle)
    if not pickles or not _oxidises(case):
        return []
    cleaned = [op.firing for op in case.sequence.operations if op.work == "clean oxide"]
    baths = cleaned or [firing.number for firing in case.firings[1:]]
    last = max(baths, default=0)
    found = []
    for layer in case.layup.on("front"):
        first = min((f.number for f in case.firings if layer.number in f.fuses), default=0)
        if layer.coat.fired or 0 < first < last:
            found.append(layer)
    return found


@rule("PICKLE-ACID")
def acid_on_front(case: Case) -> Iterator[Finding]:
    """Find a front that the pickle would etch, known not to resist acid or not known to."""
    fronts = _pickled_after(case)
    weak = [layer for layer in fronts if layer.jar.hazards.acid_resistant == "no"]
    unsure = [layer for layer in fronts if layer.jar.hazards.acid_resistant in {"mixed", "unknown"}]
    for layer in (weak or unsure)[:1]:
        known = layer.jar.hazards.acid_resistant
        yield Finding(
            because=(f"{layer.words}: acid resistance {known}", "oxide is cleaned in a pickle after it is fired"),
            place=at(layer),
            severity=None if weak else "watch",
            words="" if weak else _UNSURE,
            remedy="" if weak else _TRY,
        )


@rule("EDGE-CLEAN")
def dirty_edges(case: Case) -> Iterator[Finding]:
    """Find oxide left on the edge between firings."""
    if case.piece.firing.edges_cleaned is False and _oxidises(case) and len(case.firings) > 1:
        yield Finding(because=(f"{case.metal.name}, {len(case.firings)} firings, edges not cleaned",))


@rule("CRACK-NOW")
def crack_seen(case: Case) -> Iterator[Finding]:
    """Say, when a crack is noted on the piece, that it should be fired at once."""
    fault = case.piece.so_far.fault.casefold()
    if "crack" in fault or "hairline" in fault:
        yield Finding(because=(f"fault noted: {case.piece.so_far.fault}",))
