"""Cleaning of what the fire left bare: scale, edges, drawn lines, and the raised skin of sterling."""

from __future__ import annotations

from enamelwright.craft.coat import Face
from enamelwright.craft.operation import Faces, Operation
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.loads import Load, open_backed
from enamelwright.craft.sequence.sides import oxidises, scales, skinned
from enamelwright.craft.sequence.stages import on_bare_metal
from enamelwright.craft.sequence.wording import listed
from enamelwright.craft.sequence.workbench import Workbench

_SKIN = "An abrasive cuts through the fine-silver skin to metal rich in copper, which stains under the glass."
_SCALE = "Scale under a coat makes it flake; scale on the edge sheds black specks."
_SPECKS = "Flakes from the edge become black specks in the next coat."
_GROUND = "An abrasive takes the ground coat off the edge, and bare steel scales again in the next firing."


def clean_oxide(firing: int, at: Workbench, load: Load) -> list[Operation]:
    """Return the cleaning of what went bare through the fire; none on fine silver and gold.

    Parameters
    ----------
    firing : int
        Number of the firing it follows.
    at : Workbench
        State of the piece after it.
    load : Load
        What was fired.
    """
    if not oxidises(at.layup):
        return []
    steps = []
    bare: list[Face] = [face for face in ("front", "back") if face not in at.glassed]
    if bare and at.layup.piece.form == "sheet":
        steps.append(_faces(bare, firing, at))
    elif at.layup.piece.firing.edges_cleaned is not False:
        steps.append(_edge(firing, at))
    lined = [lay for lay in load.lays if lay.layer.coat.scratched and on_bare_metal(lay.layer, at.layup)]
    if lined and scales(at.layup):
        steps.append(_line(firing, at))
    return steps


def before_going_on(loads: list[Load], at: Workbench) -> list[Operation]:
    """Return the cleaning of a piece that comes back to the bench after earlier firings.

    A face that is bare has been through them too, and its scale must be gone before it takes its first coat.

    Parameters
    ----------
    loads : list of Load
        What is still to be fired.
    at : Workbench
        State of the piece as it is.
    """
    if not loads:
        return []
    laid = {face for load in loads for face in load.faces}
    bare: list[Face] = [face for face in ("front", "back") if face in laid and face not in at.glassed]
    if not bare or open_backed(at.layup):
        return []
    if at.layup.piece.form != "sheet":
        return [_edge(0, at)] if oxidises(at.layup) else []
    if oxidises(at.layup):
        return [_faces(bare, 0, at)]
    faces: Faces = "both" if len(bare) == 2 else bare[0]
    words = f"Brush the bare {listed(bare)} with a glass brush under water, rinse, and keep fingers off."
    why = "No scale grows on this metal, but handling leaves grease."
    return [Operation(work="prepare", face=faces, words=words, hand=time_of("clean"), why=why)]


def _faces(bare: list[Face], firing: int, at: Workbench) -> Operation:
    faces: Faces = "both" if len(bare) == 2 else bare[0]
    where = listed(bare)
    key, why = "oxide_pickle" if at.pickles else "oxide_abrade", _SCALE
    if skinned(at.layup):
        first = "Pickle, then brush" if at.pickles else "Brush"
        words = (
            f"{first} the bare {where} and the edges with a glass or soft brass brush under water; "
            "rinse, and use nothing that cuts."
        )
        why = _SKIN
    elif at.pickles:
        words = f"Pickle the bare {where} clean, edges too, brush, rinse and dry."
    else:
        words = f"Rub the oxide off the bare {where} and the edges with an abrasive pad and water; rinse."
    return Operation(work="clean oxide", face=faces, words=words, hand=time_of(key, len(bare)), firing=firing, why=why)


def _edge(firing: int, at: Workbench) -> Operation:
    sheet = at.layup.piece.form == "sheet"
    where = "edges and bare metal" if sheet else "bare metal"
    why = _SPECKS if sheet else "Flakes of oxide become black specks in the next coat."
    if skinned(at.layup):
        first = "Pickle, then brush" if at.pickles else "Brush"
        words = f"{first} the {where} with a glass or soft brass brush under water; rinse, and use nothing that cuts."
        why = _SKIN
    elif at.layup.metal.family == "steel":
        words, why = f"Brush only loose scale off the {where}, and rinse; leave the ground coat on them whole.", _GROUND
    else:
        words = f"Take the oxide off the {where} with an abrasive stick, and rinse."
    return Operation(work="clean oxide", face="none", words=words, hand=time_of("oxide_edge"), firing=firing, why=why)


def _line(firing: int, at: Workbench) -> Operation:
    words = (
        "Pickle the front until the drawn line is bright, rinse and dry."
        if at.pickles
        else "Leave the drawn line black; wipe the front only."
    )
    why = "Bright lines turn gold under flux." if at.pickles else "Black lines turn brown under flux."
    return Operation(work="clean oxide", face="front", words=words, hand=time_of("oxide_edge"), firing=firing, why=why)
