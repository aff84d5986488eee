"""How far the stress model reaches for a piece, and the limits printed with every answer."""

from __future__ import annotations

from typing import Literal

from enamelwright.craft.checks.flatness_states import Solved
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import OPEN_BACKED
from enamelwright.physics.deflection import saddle_load

Reach = Literal["full", "rough", "not applicable"]


def out_of_reach(layup: Layup, firings: tuple[Firing, ...]) -> str:
    """Return why the stress model has nothing to say of a piece; empty when it has.

    Parameters
    ----------
    layup : Layup
        The piece.
    firings : tuple of Firing
        Its firings.
    """
    piece = layup.piece
    if piece.form != "sheet":
        return f"The stress model is for sheet; a {piece.form} has another shape."
    if piece.technique in OPEN_BACKED:
        return "There is no sheet behind the glass, so nothing here bows like a sheet."
    if piece.recess is not None:
        return (
            "The glass lies in recesses and the sheet is stiff beside and thin under them; "
            "the model knows even coats on an even sheet only."
        )
    if not layup.layers or not firings:
        return "There is no enamel to fire."
    return ""


def roughness(layup: Layup, solved: Solved) -> tuple[str, ...]:
    """Return what makes an answer rough, in plain words; empty when nothing does.

    Parameters
    ----------
    layup : Layup
        The piece.
    solved : Solved
        Its bow and stress.
    """
    piece = layup.piece
    found: list[str] = []
    if piece.wires:
        found.append(
            "the glass is taken as one even coat, as if the wires were not there; the stress beside them is not known"
        )
    if any(layer.coat.cells or layer.coat.share is not None or layer.coat.stencil for layer in layup.layers):
        found.append("coats that cover a part of the face are spread evenly over it")
    if piece.technique == "torch":
        found.append("a flame heats unevenly, the model assumes one temperature through the sheet")
    if any(layer.coat.method in {"place", "trail"} for layer in layup.layers):
        found.append("placed glass is thicker where it lies than the even coat assumed")
    if piece.turned_edge > 0:
        found.append("the turned edge stiffens the piece and is left out")
    if solved.plate.stretch > level("long_outline"):
        found.append("the outline is long and narrow, the bow along it differs from the bow across")
    load = solved.load if solved.held is None else 0.0
    if load > saddle_load(solved.plate.poisson):
        found.append("the piece is so large and thin that it may take a saddle shape")
    elif load > level("load_rough"):
        found.append("the piece bows by about its own thickness, which makes bow and stress rough figures")
    if piece.so_far.firings and not any(layer.coat.fired for layer in layup.layers):
        found.append("what the earlier firings left in the metal is not known")
    return tuple(found)


#: Printed with every answer of the stress model.
LIMITS = (
    "Even coats on an even sheet, round or compact, flat or slightly domed; wires, foils and solder are left out.",
    "Within about one thickness of the rim, a hole or a step the stress is not given.",
    "Good grip on the metal and bubble-free glass are assumed; strengths are those of clean glass.",
    "Soft metal is taken as annealed by every hot firing; sag on the support is not included.",
    "Yield of the sheet and expansion of the glass are general figures until you measure two strips of your own.",
    "Tension on heating is an upper estimate. Results rank designs; they promise nothing.",
)
