"""Lead and cadmium where people touch, learn or eat."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.layup import Layer
from enamelwright.craft.rules.barrier import at
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case

_PRESENT = frozenset({"yes", "mixed"})
_NOT_KNOWN_CHILD = "Whether a jar on this piece for a child holds lead or cadmium is not known."
_CHILD = "Read its label, have the piece tested by a laboratory, and ask the authority where you sell."
_NOT_KNOWN_FOOD = "Whether a jar on this piece for food holds lead or cadmium is not known."
_FOOD = (
    "Keep food off it until a laboratory has tested the finished piece, and ask the authority where you sell; "
    "nothing here replaces that test."
)
_ASK = "Whether this jar holds lead or cadmium is not noted: read its label before it goes on such a piece."


def _states(layer: Layer) -> set[str]:
    return {layer.jar.hazards.lead, layer.jar.hazards.cadmium}


def _facts(layer: Layer) -> tuple[str, ...]:
    return (f"{layer.words}: lead {layer.jar.hazards.lead}, cadmium {layer.jar.hazards.cadmium}",)


def _worst(layers: list[Layer]) -> tuple[Layer, bool] | None:
    """Return the first coat known to hold lead or cadmium, else the first not known; and whether it is known."""
    for layer in layers:
        if _states(layer) & _PRESENT:
            return layer, True
    for layer in layers:
        if "unknown" in _states(layer):
            return layer, False
    return None


def _finding(layer: Layer, known: bool) -> Finding:
    if known:
        return Finding(because=_facts(layer), place=at(layer))
    return Finding(because=_facts(layer), place=at(layer), severity="note", words=_ASK)


@rule("JAR-WEAR")
def worn_face(case: Case) -> Iterator[Finding]:
    """Find lead or cadmium on a face that is worn on the skin or handled by a child.

    Not knowing is asked about once; on a child's piece it is a watch.
    """
    use = case.piece.use
    faces = {"front", "back"} if use.child or use.skin == "both" else {use.skin} if use.worn else set()
    found = _worst([layer for layer in case.layup.layers if layer.coat.face in faces])
    if found is None:
        return
    layer, known = found
    if use.child and not known:
        yield Finding(because=_facts(layer), place=at(layer), severity="watch", words=_NOT_KNOWN_CHILD, remedy=_CHILD)
    else:
        yield _finding(layer, known)


@rule("CLASS-PBCD")
def class_powders(case: Case) -> Iterator[Finding]:
    """Find powders for students that hold lead or cadmium, or of which nobody knows."""
    if not case.piece.use.class_evening:
        return
    seen: set[str] = set()
    for layer in case.layup.layers:
        if layer.coat.fired or layer.jar.id in seen or not _states(layer) & (_PRESENT | {"unknown"}):
            continue
        seen.add(layer.jar.id)
        yield Finding(because=_facts(layer), place=at(layer))


@rule("LEAD-RECORD")
def leaded_for_sale(case: Case) -> Iterator[Finding]:
    """Give the record of the rule when a leaded piece is for sale."""
    for layer in case.layup.layers:
        if case.piece.use.for_sale and layer.jar.hazards.lead in _PRESENT:
            yield Finding(because=_facts(layer), place=at(layer))
            return


@rule("FOOD")
def food_contact(case: Case) -> Iterator[Finding]:
    """Find lead or cadmium on a piece meant for food; not knowing is a watch there."""
    if not case.piece.use.food:
        return
    found = _worst(list(case.layup.layers))
    if found is None:
        return
    layer, known = found
    if known:
        yield _finding(layer, known)
    else:
        yield Finding(because=_facts(layer), place=at(layer), severity="watch", words=_NOT_KNOWN_FOOD, remedy=_FOOD)
