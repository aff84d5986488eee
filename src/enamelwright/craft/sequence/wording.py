"""The words of a firing and of a coat, as a maker would say them."""

from __future__ import annotations

from collections.abc import Iterable

from enamelwright import units
from enamelwright.craft.coat import Stage
from enamelwright.craft.layup import Layer
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sequence.loads import Lay, Load

_METHOD = {
    "sift": "Sift on", "wet-pack": "Wet-pack", "slip": "Lay as slip:", "spray": "Spray on", "paint": "Paint on",
    "trail": "Trail on", "place": "Place",
}  # fmt: skip


def listed(words: Iterable[str]) -> str:
    """Join words as a sentence does: ``a, b and c``."""
    parts = list(dict.fromkeys(words))
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def jars(lays: Iterable[Lay]) -> str:
    """Name the jars of some layings."""
    return listed(lay.layer.jar.name for lay in lays)


def firing_words(load: Load, target: Stage, sheet: bool = True) -> str:
    """Say in one line what a firing is for.

    Parameters
    ----------
    load : Load
        What is fired.
    target : str
        Stage to stop at.
    sheet : bool
        Whether the piece has a front and a back to name.
    """
    parts = []
    if load.foils:
        parts.append(f"{listed(foil.metal for foil in load.foils)} foil")
    if load.wires:
        parts.append(f"{listed(wire.metal for wire in load.wires)} wires")
    if load.lays:
        parts.append(_coats(load, sheet))
    if load.kind == "flash":
        parts.append("flash fire")
    if load.kind == "again":
        parts.append("put back in as it is")
    turn = f", round {load.round} of {load.rounds}" if load.round else ""
    return f"{' with '.join(parts)}{turn}, {'just ' if load.kind in {'wires', 'foils'} else ''}to {target}"


def _coats(load: Load, sheet: bool) -> str:
    """Name the coats of a load by face."""
    back = [lay for lay in load.lays if lay.layer.coat.face == "back"]
    front = [lay for lay in load.lays if lay.layer.coat.face == "front"]
    if all(lay.layer.jar.kind == "ground" for lay in load.lays):
        where = "both faces" if back and front else "the back" if back else "the front"
        return f"ground coat on {where} ({jars(load.lays)})"
    named = [f"front ({jars(front)})" if sheet else jars(front)] if front else []
    if back:
        named.append(f"counter-enamel ({jars(back)})")
    return " and ".join(named)


def amount(layer: Layer, weight: CoatWeight, rim: str = "metal") -> str:
    """Say how much of a coat is laid each time."""
    depth = f"{units.show(weight.powder_depth.value, 'length', 'mm')} of powder"
    if layer.coat.fill == "to level":
        grams = f", {weight.to_weigh.shown()} a fill on average" if weight.weighable else ""
        return f"flush with the {rim}{grams}"
    if layer.coat.siftings:
        return f"{layer.coat.siftings} siftings"
    if layer.coat.look:
        return {"thin": "thinly", "just hidden": "until what lies below is just hidden", "heavy": "heavily"}[
            layer.coat.look
        ]
    if weight.weighable:
        return f"{weight.to_weigh.shown()}, about {depth}"
    return depth


def rolled_words(lay: Lay, weight: CoatWeight) -> str:
    """Say how a bead takes up a coat at the torch: hot, so that the powder sticks by itself."""
    turn = f" (laying {lay.nth} of {lay.of})" if lay.of > 1 else ""
    how = amount(lay.layer, weight)
    return f"Heat it in the flame and roll or dip it in {lay.layer.jar.name}, or sift it on hot, {how}{turn}."


def lay_words(lay: Lay, weight: CoatWeight, rim: str = "metal") -> str:
    """Say how one coat is laid."""
    coat = lay.layer.coat
    turn = f" (laying {lay.nth} of {lay.of})" if lay.of > 1 else ""
    cells = f" in {listed(coat.cells)}" if coat.cells else ""
    name = lay.layer.jar.name
    how = amount(lay.layer, weight, rim)
    if coat.fill == "to level" and lay.last:
        how = f"heaped a little above the {rim} so that it stones level"
    return f"{_METHOD[coat.method]} {name}{cells}, {how}{turn}."
