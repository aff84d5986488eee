"""What is done to the bare metal before the first coat."""

from __future__ import annotations

from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Faces, Operation
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.loads import open_backed
from enamelwright.craft.sequence.sides import skinned
from enamelwright.reference.loader import fact

_RECESS = {
    "etched": ("etch", "Etch the recess"),
    "engraved": ("engrave", "Engrave the recess"),
    "stamped": ("stamp", "Stamp the recess"),
    "pierced and soldered": ("pierce", "Pierce the upper sheet and solder it on for the recess"),
    "cast": ("clean", "Clean out the cast recess"),
}

_GREASE = "Grease under enamel makes it draw back, and scale makes it flake."
_SCOUR = "Scour both faces until water runs off in a sheet, and keep fingers off."
_SKINNED = (
    "Pickle, brush with a glass or soft brass brush under water, rinse until water runs off in a sheet, "
    "and keep fingers off; never scour or rub it."
)
_SKIN_KEPT = "An abrasive cuts through the fine-silver skin to metal rich in copper."
#: What to do for each way of cleaning that the file may name, and why.
_CLEAN = {
    "scoured": (_SCOUR, _GREASE),
    "unknown": (_SCOUR, _GREASE),
    "pickled": (
        "Pickle both faces bright, brush, rinse until water runs off in a sheet, and keep fingers off.",
        _GREASE,
    ),
    "burned off": ("Burn the grease off in the hot kiln until it stops smoking, then brush both faces.", _GREASE),
    "greasy": (
        "Brush the metal; it is sifted dry on a trace of grease, as the file says.",
        "Some houses leave the grease to hold dry powder; it burns off.",
    ),
}


def begun(layup: Layup) -> bool:
    """Tell whether the piece has been through the kiln already."""
    return layup.piece.so_far.firings > 0 or any(layer.coat.fired for layer in layup.layers)


def preparing(layup: Layup) -> list[Operation]:
    """Return the operations on the bare metal, in order; none when the piece is under way already.

    Parameters
    ----------
    layup : Layup
        The piece.
    """
    if begun(layup):
        return []
    steps = [*_shape(layup), *_heat(layup)]
    if layup.piece.hallmark:
        steps.append(
            Operation(
                work="prepare",
                words="Have the marks struck now.",
                hand=time_of("mark"),
                why="A blow after enamelling breaks the glass.",
            )
        )
    clean, why = _CLEAN[layup.piece.metal.clean]
    if skinned(layup) and layup.piece.metal.clean != "greasy":
        clean, why = _SKINNED, _SKIN_KEPT
    if layup.metal.family == "steel":
        clean = "Degrease and pickle the steel on both faces, rinse and dry at once."
    sheet = layup.piece.form == "sheet"
    if not sheet:
        clean = clean.replace(" both faces bright", " it bright").replace(" on both faces", " all over")
        clean = clean.replace(" both faces", " it all over")
    face: Faces = "both" if sheet else "none"
    steps.append(Operation(work="prepare", face=face, words=clean, hand=time_of("clean"), why=why))
    return steps


def _shape(layup: Layup) -> list[Operation]:
    piece = layup.piece
    steps = []
    if piece.form == "sheet":
        words, why = "Cut the blank and file its edge smooth.", "A burr carries the glass thin and burns."
        steps.append(Operation(work="prepare", words=words, hand=time_of("cut"), why=why))
    if piece.holes:
        steps.append(
            Operation(
                work="prepare",
                words=f"Drill {len(piece.holes)} hole{'s' if len(piece.holes) > 1 else ''} and take off the burr.",
                hand=time_of("drill", len(piece.holes)),
                why="Drilling after enamelling cracks it.",
            )
        )
    if open_backed(layup) and piece.technique != "plique_etched":
        cells = max(1, len(piece.cells) or len(layup.shape.cells))
        words, why = (
            f"Pierce {cells} open cells; leave their walls a little rough.",
            "Wet enamel holds by the walls alone.",
        )
        steps.append(Operation(work="prepare", words=words, hand=time_of("pierce", cells), why=why))
    if piece.recess is not None:
        key, what = _RECESS[piece.recess.made]
        words = f"{what} with an even floor and rounded corners."
        why = "Sharp corners and steps in depth are where cracks begin."
        steps.append(Operation(work="prepare", face="front", words=words, hand=time_of(key), why=why))
    bare = [wire for wire in piece.wires if wire.after_coat == 0]
    if bare:
        words = "Bend the wires and solder them on, or stand them ready for the first fill to hold."
        why = "They stand on bare metal, so no glass is there to sink into."
        steps.append(Operation(work="place", face="front", words=words, hand=time_of("wires"), why=why))
    before = [joint for joint in piece.metal.solder if not joint.after_enamel]
    if before:
        words = f"Solder {len(before)} joint{'s' if len(before) > 1 else ''} and pickle off every trace of flux."
        why = "No soldering after enamelling; soldering flux left behind bubbles."
        steps.append(Operation(work="prepare", words=words, hand=time_of("solder", len(before)), why=why))
    return steps


def _heat(layup: Layup) -> list[Operation]:
    piece = layup.piece
    steps = []
    if piece.form == "sheet" and (piece.dome != 0 or piece.turned_edge > 0):
        words = "Dome the blank" + (" and turn its edge." if piece.turned_edge > 0 else ".")
        why = "A dome or a turned edge resists the pull of the glass."
        steps.append(Operation(work="prepare", words=words, hand=time_of("dome"), why=why))
    worked = piece.dome != 0 or piece.turned_edge > 0 or piece.metal.formed or piece.metal.temper == "hard"
    if worked or open_backed(layup):
        words = "Anneal it, quench or cool, and clean."
        why = "Metal still hard from forming moves in the kiln and cracks the glass."
        steps.append(Operation(work="prepare", words=words, hand=time_of("anneal"), why=why))
    if layup.metal.id == "sterling_silver":
        cycles = fact("trade/depletion_cycles")
        done = piece.metal.depletion_cycles
        count = cycles.value if done is None else max(0.0, cycles.value - done)
        if count > 0:
            steps.append(
                Operation(
                    work="prepare",
                    words=f"Raise the fine-silver skin: heat and pickle {count:.0f} times "
                    f"({cycles.low:.0f} to {cycles.high:.0f} are reported).",
                    hand=time_of("deplete", count),
                    why="Copper at the surface of sterling gasses and stains under the glass.",
                )
            )
    return steps
