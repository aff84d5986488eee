"""The stage each load is fired to: from what the glass lies on and what comes after it."""

from __future__ import annotations

from enamelwright.craft.coat import STAGES, Stage
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.sequence.loads import Load
from enamelwright.craft.sequence.sides import clears, grounded


def on_bare_metal(layer: Layer, layup: Layup) -> bool:
    """Tell whether part of a coat lies on metal: nothing below it, or what is below is scratched through.

    Parameters
    ----------
    layer : Layer
        The coat.
    layup : Layup
        The piece it belongs to.
    """
    for below in layup.on(layer.coat.face):
        if below.place >= layer.place:
            break
        if below.coat.scratched or (below.coat.share is not None and not layer.coat.cells):
            continue
        if not below.coat.cells or (layer.coat.cells and set(layer.coat.cells) <= set(below.coat.cells)):
            return False
    return True


def target_of(load: Load, after: list[Load], layup: Layup) -> tuple[Stage, str]:
    """Return the stage to stop at and the reason in words.

    Parameters
    ----------
    load : Load
        What is fired.
    after : list of Load
        The loads that follow.
    layup : Layup
        The piece.
    """
    asked = [lay.layer.coat.target for lay in load.lays if lay.layer.coat.target is not None]
    if asked:
        return max(asked, key=STAGES.index), "the stage the file asks for"
    if load.kind == "flash":
        return "gloss", "only to bring back the fire polish; glass already fused needs less than a full firing"
    if load.kind == "again":
        return "gloss", "it came out short last time"
    if load.kind == "wires":
        return "orange peel", "just far enough for the wires to grip; longer and they sink"
    if load.kind == "foils":
        return "orange peel", "just far enough for the foil to stick, so that it can be burnished down"
    if any(grounded(lay.layer) for lay in load.lays):
        return "gloss", "a ground coat grips the steel only once it is mature"
    front = [lay for lay in load.lays if lay.layer.coat.face == "front"]
    if not front and layup.metal.family == "steel":
        return "gloss", "cover coats on steel are matured one by one"
    if not front:
        return "orange peel", "a counter coat is hot again in every later firing and would sag if it were matured now"
    return _front_target(load, [lay.layer for lay in front], after, layup)


def _front_target(load: Load, layers: list[Layer], after: list[Load], layup: Layup) -> tuple[Stage, str]:
    later = [other for other in after if "front" in other.faces]
    first = load.round <= 1
    clear = [layer for layer in layers if layer.jar.kind in {"flux", "transparent"} and on_bare_metal(layer, layup)]
    if clear and first and clears(layup):
        return (
            "cleared",
            "the first clear glass on this metal must take up the red oxide skin, which gloss alone does not do",
        )
    if clear and first and not any(layer.coat.cells for layer in layers) and layup.piece.recess is None:
        return "gloss", "clear glass on a metal without scale needs gloss only; hotter and flux yellows on silver"
    if any(layer.coat.scratched for layer in layers):
        return "gloss", "the drawn line is finished here"
    if any(layer.coat.method == "paint" for layer in layers):
        return "gloss", "painted work is fired bright each time, briefly"
    if layup.metal.family == "steel":
        return "gloss", "cover coats on steel are matured one by one"
    following = later[0] if later else None
    if following is None:
        return "gloss", "the last firing of the front"
    if "front" in load.stone and following.kind != "flash":
        return "gloss", "it is stoned flat next, so no pits may be left open"
    if following.wires or following.foils:
        return "gloss", "wires and foil want a smooth bed"
    paint = [lay.layer for other in later for lay in other.lays if _paints(lay.layer)]
    if paint and not any(_paints(layer) or layer.jar.kind == "opal" for layer in layers):
        return "gloss", "it is painted on next and must be smooth"
    return "orange peel", "more glass follows, and every later firing carries this coat further"


def _paints(layer: Layer) -> bool:
    return layer.coat.method == "paint" or layer.jar.kind == "painting"
