"""What is done after the last firing."""

from __future__ import annotations

from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Operation
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.sides import grounded, oxidises, skinned

_FACES: tuple[Face, ...] = ("front", "back")


def finishing(layup: Layup) -> list[Operation]:
    """Return the operations after the last firing, in order.

    Parameters
    ----------
    layup : Layup
        The piece.
    """
    piece = layup.piece
    steps = [_edge(layup)]
    steps.append(
        Operation(
            work="check",
            words="Leave it a day, then look for hairlines under a lamp"
            + (" and hold a straight edge to it." if piece.form == "sheet" and not piece.dome else "."),
            hand=time_of("check"),
            wait=time_of("settle"),
            why="Cracks from tension left in the glass can show hours or days later.",
        )
    )
    if piece.use.set_in in {"bezel", "prongs", "frame"}:
        steps.append(
            Operation(
                work="set",
                words=f"Set it in its {piece.use.set_in} on a cushion, rolling the metal over lightly from all sides.",
                hand=time_of("set"),
                why="Uneven pressure on a glass edge cracks it; heat is no longer possible.",
            )
        )
    if piece.findings:
        steps.append(
            Operation(
                work="set",
                words=f"Fix {', '.join(piece.findings)} by a cold joint.",
                hand=time_of("finish"),
                why="No soldering after enamelling.",
            )
        )
    return steps


def _edge(layup: Layup) -> Operation:
    matt = {"matt": "Rub the face to an even matt and wax it; ", "as fired": "Leave the face as fired; ", "gloss": ""}
    if layup.piece.form != "sheet":
        edge = "clean and polish the bare metal, working away from the enamel."
        why = "Polishing towards the glass chips its edge."
    elif layup.metal.family == "steel" and all(_grounded(layup, face) for face in _FACES):
        edge = "leave the ground coat on the edge whole; clean and wax only steel that shows bare."
        why = "The ground coat keeps the edge from rusting; filing towards the glass chips it."
    elif skinned(layup):
        edge = "burnish and polish the edge, working away from the enamel."
        why = "The fine-silver skin takes a polish by itself; filing towards the glass chips it."
    elif oxidises(layup):
        edge = "file the edge away from the enamel, wet, then polish, wax or darken it."
        why = "Oxide left on the edge goes on flaking; filing towards the glass chips it."
    else:
        edge = "burnish and polish the edge, working away from the enamel."
        why = "This metal needs no oxide taken off; filing towards the glass chips it."
    words = matt[layup.piece.finish] + edge
    return Operation(work="finish", words=words[0].upper() + words[1:], hand=time_of("finish"), why=why)


def _grounded(layup: Layup, face: Face) -> bool:
    """Tell whether a face begins with a ground coat."""
    return any(grounded(layer) for layer in layup.on(face)[:1])
