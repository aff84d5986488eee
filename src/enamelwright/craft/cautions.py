"""Standing cautions a plan carries: what can hurt here, deferring to labels, data sheets and local rules."""

from __future__ import annotations

import re

from enamelwright.craft.bench import Bench
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Operation
from enamelwright.craft.sequence.supports import is_torch

DEFER = "Follow the safety data sheet and local rules."


def cautions_for(layup: Layup, operations: tuple[Operation, ...], bench: Bench | None = None) -> tuple[str, ...]:
    """Return the cautions that this piece calls for, the one that matters most first.

    Parameters
    ----------
    layup : Layup
        The piece with its jars.
    operations : tuple of Operation
        What will be done to it.
    bench : Bench or None
        Kilns, one of which may be a torch; the starter bench when left out.
    """
    result: list[str] = []
    hazards = {layer.jar.name: layer.jar.hazards for layer in layup.layers if not layer.coat.fired}
    cadmium = sorted(name for name, hazard in hazards.items() if hazard.cadmium in {"yes", "mixed"})
    lead = sorted(name for name, hazard in hazards.items() if hazard.lead in {"yes", "mixed"})
    unknown = sorted(name for name, hazard in hazards.items() if "unknown" in (hazard.lead, hazard.cadmium))
    if cadmium:
        result.append(
            f"Cadmium: {'; '.join(cadmium)}: keep its dust out of the air, off hands and food; no dry sanding. {DEFER}"
        )
    if lead:
        result.append(
            f"Lead in {'; '.join(lead)}: lay it wet where you can, wipe wet, wash hands, no food at the bench. {DEFER}"
        )
    if unknown:  # what one label says tells nothing of another jar
        result.append(
            f"Lead or cadmium not known for {'; '.join(unknown)}: treat as if present until the label says. {DEFER}"
        )
    work = {operation.work for operation in operations}
    if layup.layers and any(layer.coat.method in {"sift", "spray"} and not layer.coat.fired for layer in layup.layers):
        result.append(f"Powder dust: wear a fitted mask, ventilate, wipe wet. {DEFER}")
    if "stone" in work:
        result.append(f"Stone wet; never grind glass dry. {DEFER}")
    told = " ".join(operation.words.casefold() for operation in operations)
    if "pickl" in told:
        result.append(
            "Pickle: goggles and gloves; acid into water, never water into acid; warm, never boiling; lid on, window "
            f"open, nothing iron in it. Spent pickle and its rinse hold metal: keep them and hand them in. {DEFER}"
        )
    if re.search(r"\betch", told):
        result.append(
            "Etching: goggles, gloves and moving air; its liquor is a container of its own, never goes together with "
            f"pickle, and is only kept and handed in. {DEFER}"
        )
    torch = is_torch(layup, bench if bench is not None else Bench.starter())
    if "fire" in work and torch:
        result.append(
            "Torch: gas can leak and an open flame sets fire: check hose and joints, clear the bench, tie hair and "
            "sleeves back, and shut the gas off at the bottle. Ventilate well, since flame and hot powder give off "
            f"fumes and a short flame makes soot, which also clouds the glass. {DEFER}"
        )
        result.append(
            "Flame glare and hot metal: glasses rated for infrared, heat-proof tongs, and a landing spot that cannot "
            "burn. A piece that no longer glows still burns skin."
        )
    elif "fire" in work:
        result.append(
            "Kiln glare and hot metal: glasses rated for infrared, gloves, and a landing spot that cannot burn. "
            "A piece that no longer glows still burns skin."
        )
        result.append(
            "Live elements: kiln off at its door switch or plug before fork or hand comes near them. Kiln wash and "
            f"lining are dust: never brush or blow them dry. {DEFER}"
        )
    if layup.piece.use.food:
        result.append(
            "Food use is not something this plan can judge: have it tested and ask the authority where you sell."
        )
    if layup.piece.use.child:
        result.append(
            "For a child: ask for the rules where you sell and a laboratory test; this plan does not judge it."
        )
    return tuple(result)
