"""How hot a firing may be set: the lowest of what metal, house, technique and fired coats allow."""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.technique import custom
from enamelwright.reference.loader import fact

#: Kept below the temperature at which flux over silver yellows (assumption) [K].
YELLOW_MARGIN = 2.0


def ceiling(firing: Firing, layup: Layup, bench: Bench) -> tuple[float, str]:
    """Return the lowest of the limits that hold for a firing [K], and whose it is.

    Parameters
    ----------
    firing : Firing
        The firing.
    layup : Layup
        The piece.
    bench : Bench
        House rules.
    """
    limits: list[tuple[float, str]] = []
    if layup.metal.id == "sterling_silver":
        limits.append((fact("trade/sterling_cap").value, "sterling is kept below its melting range"))
    solidus = layup.metal.solidus
    limits.append((solidus.low - fact("trade/solder_margin").value, f"{layup.metal.name} begins to melt"))
    if layup.metal.family.startswith("copper"):
        oxide = fact("metals/copper_oxide_eutectic").value - fact("trade/solder_margin").value
        limits.append((oxide, "copper melts together with its own oxide"))
    silver = _yellowing(firing, layup)
    if silver is not None:
        limits.append((silver - YELLOW_MARGIN, "flux over silver yellows when hotter"))
    if layup.metal.family.startswith("copper") and _wired(firing, layup):
        limits.append((custom("cloisonne_copper").high or solidus.low, "copper cloisonné is fired no hotter by custom"))
    if bench.house.hottest is not None:
        limits.append((bench.house.hottest, "the hottest this house goes"))
    for number in firing.reheats:
        coat = layup.layers[number].coat
        if coat.cap is not None:
            limits.append((coat.cap, f"{layup.layers[number].words} should not be fired hotter again"))
    return min(limits)


def _yellowing(firing: Firing, layup: Layup) -> float | None:
    """Return where flux or transparent lying on silver begins to yellow; None where there is none."""
    if layup.metal.family != "silver":
        return None
    there = [layup.layers[number] for number in (*firing.reheats, *firing.fuses)]
    over = [layer for layer in there if layer.place == 1 and layer.jar.kind in {"flux", "transparent"}]
    if not over:
        return None
    return min(layer.jar.fusing.yellows or fact("trade/flux_silver_yellow").value for layer in over)


def _wired(firing: Firing, layup: Layup) -> bool:
    """Tell whether wires stand on the piece in this firing."""
    if not layup.piece.wires:
        return False
    foot = min(wire.after_coat for wire in layup.piece.wires)
    there = [layup.layers[number] for number in (*firing.reheats, *firing.fuses)]
    return firing.embeds or any(layer.coat.face == "front" and layer.place > foot for layer in there)
