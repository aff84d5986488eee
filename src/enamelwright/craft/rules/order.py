"""What may lie over what: hardness, expansion and lead."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright import units
from enamelwright.craft.layup import Layer
from enamelwright.craft.rules.book import Finding, Severity, rule
from enamelwright.craft.rules.case import FACES, Case, overlaps
from enamelwright.craft.rules.maturity import by_class_only, maturity_of, not_known, same_basis
from enamelwright.craft.rules.shown import degrees, degrees_apart
from enamelwright.craft.verdict import Place
from enamelwright.figure import Figure, Origin
from enamelwright.reference.loader import value


def lead_of(layer: Layer) -> str:
    """Return what is known of the lead in a coat: its label, else its composition."""
    label = layer.jar.hazards.lead
    if label == "unknown" and layer.glass.known_by == "composition" and layer.glass.leaded is not None:
        return "yes" if layer.glass.leaded else "no"
    return label


_COMPUTED = Origin(kind="computed", source="upper less lower")
#: How many places one rule of order names; more say nothing new.
MOST_PLACES = 3


def _pair(lower: Layer, upper: Layer) -> Place:
    return Place(face=upper.coat.face, coats=(lower.number, upper.number))


def _difference(lower: Figure, upper: Figure, unknown: float, dimension: str) -> Figure:
    gap = upper.value - lower.value
    return Figure(value=gap, low=gap - unknown, high=gap + unknown, dimension=dimension, origin=_COMPUTED)


def _by_knowledge(one: Figure, other: Figure) -> Severity | None:
    """A jar of which only the class is known is watched, not stopped."""
    return "watch" if by_class_only(one) or by_class_only(other) else None


@rule("ORD-HARD")
def hard_over_soft(case: Case) -> Iterator[Finding]:
    """Find a harder enamel over a softer one, beyond tolerance and what is not known."""
    tolerance = value("trade/hardness_tolerance")
    found = 0
    for lower, upper in case.pairs:
        one, other = maturity_of(lower.jar), maturity_of(upper.jar)
        if one is None or other is None or found == MOST_PLACES:
            continue
        unknown = not_known(one, other)
        if other.value - one.value > tolerance + unknown:
            found += 1
            yield Finding(
                because=(
                    f"{upper.words}: glosses near {one_degree(other)}",
                    f"{lower.words} below: near {one_degree(one)}",
                    f"judged beyond a tolerance of {degrees_apart(tolerance)}, "
                    f"and {degrees_apart(unknown)} not known of the jars",
                ),
                place=_pair(lower, upper),
                figure=_difference(one, other, unknown, "temperature_difference"),
                severity=_by_knowledge(one, other),
            )


def one_degree(figure: Figure) -> str:
    """Print a temperature to the degree, with the class named when only that is known."""
    tail = "" if figure.origin.kind == "data sheet" else f" ({figure.origin.kind})"
    return f"{degrees(figure.value)}{tail}"


@rule("ORD-EXP")
def expands_more_above(case: Case) -> Iterator[Finding]:
    """Find a layer that expands less than the one above it, beyond tolerance and what is not known."""
    tolerance = value("trade/expansion_tolerance")
    found = 0
    for lower, upper in case.pairs:
        one, other = lower.glass.expansion, upper.glass.expansion
        if found == MOST_PLACES:
            continue
        unknown = 0.0 if same_basis(lower, upper) else not_known(one, other)
        if other.value - one.value > tolerance + unknown:
            found += 1
            alike = "printed on the same basis" if same_basis(lower, upper) else "not known of the jars"
            yield Finding(
                because=(
                    f"{upper.words}: {_e7(other.value)}",
                    f"{lower.words} below: {_e7(one.value)}",
                    f"judged beyond a tolerance of {_e7(tolerance)} and {_e7(unknown)} ({alike})",
                ),
                place=_pair(lower, upper),
                figure=_difference(one, other, unknown, "expansion"),
                severity=_by_knowledge(one, other),
            )


def _e7(number: float) -> str:
    return units.show(number, "expansion", "e-7/K")


@rule("EXP-UNK")
def expansion_of_unknown_kind(case: Case) -> Iterator[Finding]:
    """Ask once when an expansion number does not say whether it is linear or cubical."""
    unknown = {
        layer.jar.name: layer.number
        for layer in case.layup.layers
        if layer.jar.glass.expansion is not None and layer.jar.glass.expansion.kind == "unknown"
    }
    if unknown:
        yield Finding(because=(f"jars: {', '.join(unknown)}",), place=Place(coats=tuple(unknown.values())))


@rule("ORD-LEAD")
def lead_free_over_leaded(case: Case) -> Iterator[Finding]:
    """Find a lead-free layer with a leaded one anywhere under it."""
    for face in FACES:
        worst = next(
            (
                (lower, upper)
                for upper in case.layup.on(face)
                if lead_of(upper) == "no" and not upper.coat.fired
                for lower in case.layup.on(face)
                if lower.place < upper.place and lead_of(lower) == "yes" and overlaps(lower, upper)
            ),
            None,
        )
        if worst is not None:
            lower, upper = worst
            yield Finding(
                because=(f"{lower.words}: leaded", f"{upper.words}, over it: lead-free"), place=_pair(lower, upper)
            )


@rule("ORD-LEAD-UNK")
def lead_not_known(case: Case) -> Iterator[Finding]:
    """Say once that the lead order cannot be checked."""
    doubtful = {
        layer.jar.name: layer.number
        for lower, upper in case.pairs
        for layer in (lower, upper)
        if lead_of(layer) in {"mixed", "unknown"}
    }
    if doubtful:
        yield Finding(because=(f"jars: {', '.join(doubtful)}",), place=Place(coats=tuple(doubtful.values())))


@rule("ORD-CAP")
def lead_free_cap(case: Case) -> Iterator[Finding]:
    """Find a lead-free cap planned over a leaded layer that has cracked along its wires."""
    fault = case.piece.so_far.fault.casefold()
    if "crack" not in fault or "wire" not in fault:
        return
    leaded = [layer for layer in case.layup.on("front") if layer.coat.fired and lead_of(layer) == "yes"]
    for cap in case.layup.on("front"):
        if not cap.coat.fired and lead_of(cap) == "no" and leaded:
            yield Finding(
                because=(f"fault noted: {case.piece.so_far.fault}", f"{leaded[-1].words}: leaded"),
                place=_pair(leaded[-1], cap),
            )
            return
