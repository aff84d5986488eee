"""The work at the bench that belongs to one firing: lay, dry, fire, cool, clean, stone."""

from __future__ import annotations

from enamelwright.craft.coat import Face
from enamelwright.craft.operation import Faces, Firing, Operation
from enamelwright.craft.sequence.cleaning import clean_oxide
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.loads import Lay, Load
from enamelwright.craft.sequence.sides import grounded, scales
from enamelwright.craft.sequence.stages import on_bare_metal
from enamelwright.craft.sequence.supports import is_torch
from enamelwright.craft.sequence.wording import lay_words, listed, rolled_words
from enamelwright.craft.sequence.workbench import Workbench
from enamelwright.figure import Figure, Origin
from enamelwright.reference.loader import fact

_MEASURED = Origin(kind="measured", source="piece file", status="the maker's own")


def before_fire(load: Load, firing: Firing, at: Workbench) -> list[Operation]:
    """Return the work from the last firing to this one: place, lay, dry, scratch, turn.

    Parameters
    ----------
    load : Load
        What is fired.
    firing : Firing
        The firing it belongs to.
    at : Workbench
        State of the piece.
    """
    steps = [*_foils(load, firing), *_wires(load, firing)]
    back = [lay for lay in load.lays if lay.layer.coat.face == "back"]
    front = [lay for lay in load.lays if lay.layer.coat.face == "front"]
    for lay in back:
        steps += _laying(lay, firing, at)
    if back and front:
        steps.append(_dry(back, firing, "Dry the back until the hold is bone dry."))
        steps.append(_turn(load, firing, at))
    for lay in front:
        steps += _laying(lay, firing, at)
    hot = bool(load.lays) and all(_rolled(lay, at) for lay in load.lays)
    if (load.lays or load.foils or load.wires) and not hot:
        steps.append(_dry(list(front or back), firing))
    for lay in load.lays:
        if lay.layer.coat.scratched:
            steps.append(_scratch(lay, firing, at))
    return steps


def _turn(load: Load, firing: Firing, at: Workbench) -> Operation:
    """Say how the second face is reached while the first carries unfired enamel."""
    largest = fact("trade/turn_by_hand")
    if at.layup.piece.form != "sheet" or at.layup.shape.chord <= largest.value:
        words = "Turn it over on the fingertips or a spatula."
        why = "Powder that is dry and held can be turned over; moist powder drops off."
    elif all(lay.layer.coat.method in {"slip", "spray"} for lay in load.lays):
        words = "Hang it by a hole or hook and coat the front hanging; let no hand or bench touch the dry back."
        why = "A plate this large sheds its dry back when it is turned on the fingers."
    else:
        words = "Do not turn it by hand: lay both faces as slip or spray and hang it, or fire one face after the other."
        why = "A plate this large or heavy sheds dry powder from the face below when it is turned."
    return Operation(work="turn", face="both", words=words, hand=time_of("turn"), firing=firing.number, why=why)


def _rolled(lay: Lay, at: Workbench) -> bool:
    """Tell whether a coat is taken up hot: a bead at the torch is rolled in dry powder, so nothing is dried."""
    return at.layup.piece.form == "bead" and lay.layer.coat.method == "sift" and is_torch(at.layup, at.bench)


def _foils(load: Load, firing: Firing) -> list[Operation]:
    if not load.foils:
        return []
    words = f"Pierce the {listed(foil.metal for foil in load.foils)} foil all over, cut it, and lay it on thinned gum."
    why = "Air under an unpierced foil blisters."
    return [Operation(work="place", face="front", words=words, hand=time_of("foil"), firing=firing.number, why=why)]


def _wires(load: Load, firing: Firing) -> list[Operation]:
    if not load.wires:
        return []
    words = (
        f"Bend the {listed(wire.metal for wire in load.wires)} wires and stand them on the fired coat with thinned gum."
    )
    why = "They sink a little into the glass below and are held by it before the cells are filled."
    return [Operation(work="place", face="front", words=words, hand=time_of("wires"), firing=firing.number, why=why)]


def _laying(lay: Lay, firing: Firing, at: Workbench) -> list[Operation]:
    coat, layer = lay.layer.coat, lay.layer
    steps = []
    if coat.stencil:
        words, why = (
            "Brush on a light hold and lay the stencil.",
            "The stencil leaves the powder only where it is open.",
        )
        steps.append(
            Operation(
                work="place", face=coat.face, words=words, coats=(layer.number,), hand=time_of("stencil"),
                firing=firing.number, why=why,
            )
        )  # fmt: skip
    weight = at.weights[layer.number]
    steps.append(
        Operation(
            work="lay",
            face=coat.face,
            words=rolled_words(lay, weight)
            if _rolled(lay, at)
            else lay_words(lay, weight, "wires" if at.layup.piece.wires else "metal"),
            coats=(layer.number,),
            hand=time_of(coat.method),
            firing=firing.number,
            why=_why_laid(lay, at),
        )
    )
    if coat.stencil:
        words, why = "Lift the stencil straight up before the hold dries.", "A dried edge breaks when it is lifted."
        steps.append(
            Operation(
                work="lift stencil", face=coat.face, words=words, coats=(layer.number,), firing=firing.number, why=why
            )
        )
    return steps


def _why_laid(lay: Lay, at: Workbench) -> str:
    coat = lay.layer.coat
    if grounded(lay.layer):
        return "Colour does not hold on steel without a ground coat."
    if coat.face == "back":
        return "Glass on the back pulls against the glass on the front and keeps the piece flat."
    if lay.of > 1:
        return "Thin layings fire clearer than one thick one, and powder shrinks when it melts."
    if lay.layer.jar.kind == "flux" and on_bare_metal(lay.layer, at.layup):
        return "Clear flux lies between the metal and the colour."
    if coat.method == "paint":
        return "Each sitting of paint is fired before the next, so that nothing smears."
    return "Next coat of the file."


def _dry(lays: list[Lay], firing: Firing, words: str = "") -> Operation:
    methods = {lay.layer.coat.method for lay in lays}
    own = [lay.layer.coat.dried for lay in lays if lay.layer.coat.dried is not None]
    if methods & {"paint"}:
        key, said = "dry_paint", "Warm it slowly at the open kiln until the oil has smoked off."
    elif methods & {"wet-pack", "slip", "spray", "trail"} or not methods:
        key, said = "dry_wet", "Dry it on the kiln top until no vapour shows when it is put in and drawn out."
    else:
        key, said = "dry_sift", "Dry until no vapour shows when it is put in and drawn straight out."
    wait = Figure.exact(min(own), "time", _MEASURED) if own else time_of(key)
    return Operation(
        work="dry",
        face=firing.loaded,
        words=words or said,
        wait=wait,
        firing=firing.number,
        why="Steam or oil left behind lifts the powder and leaves bubbles.",
    )


def _scratch(lay: Lay, firing: Firing, at: Workbench) -> Operation:
    bare = on_bare_metal(lay.layer, at.layup)
    below = "to the metal" if bare else "to the fired coat below"
    dark = bare and scales(at.layup)
    shown = "bare metal" if bare else "colour below"
    why = "The bare line oxidises dark in this firing." if dark else f"The drawn line shows the {shown}."
    return Operation(
        work="scratch",
        face=lay.layer.coat.face,
        words=f"Scratch the drawing through {lay.layer.jar.name} {below} and blow the loose powder away.",
        coats=(lay.layer.number,),
        hand=time_of("scratch"),
        firing=firing.number,
        why=why,
    )


def the_fire(firing: Firing, at: Workbench) -> Operation:
    """Return the firing itself as an operation."""
    torch = is_torch(at.layup, at.bench)
    form = at.layup.piece.form
    up = f"{firing.face_up} up, on the {firing.support}" if form == "sheet" else f"on the {firing.support}"
    flame = "turn it in the flame on its mandrel" if form == "bead" else "flame from below, in circles"
    verb = "Flash fire" if firing.flash else "Fire"
    what = f"{verb} {firing.words.removeprefix('flash fire, ')}"
    words = f"{what}; {flame}." if torch else f"{what}; {up}."
    return Operation(
        work="fire",
        face=firing.loaded,
        words=words,
        coats=firing.fuses,
        hand=time_of("torch" if torch else "fire"),
        firing=firing.number,
        why=firing.why,
    )


def after_fire(load: Load, firing: Firing, at: Workbench, press: bool) -> list[Operation]:
    """Return the work after a firing, up to stoning: press, cool, clean oxide, burnish.

    Parameters
    ----------
    load : Load
        What was fired.
    firing : Firing
        The firing.
    at : Workbench
        State of the piece after it.
    press : bool
        Whether it is pressed flat while hot.
    """
    steps = []
    if press:
        words = "Press it under a flat weight while it still glows dully."
        why = "Only hot glass and metal give way; cold, the bend stays."
        steps.append(Operation(work="press flat", words=words, hand=time_of("press"), firing=firing.number, why=why))
    steps.append(_cool(firing, at))
    steps += clean_oxide(firing.number, at, load)
    if load.foils:
        words, why = "Burnish the foil down through paper.", "Foil that stands proud blisters under the next coat."
        steps.append(
            Operation(work="place", face="front", words=words, hand=time_of("burnish"), firing=firing.number, why=why)
        )
    return steps


def _cool(firing: Firing, at: Workbench) -> Operation:
    habits = at.layup.piece.firing
    torch = is_torch(at.layup, at.bench)
    if torch:
        words, wait = "Bury it in warm vermiculite until it can be held.", time_of("cool_slow")
    elif habits.cooling == "in the kiln":
        words, wait = "Leave it to cool in the closed kiln.", time_of("cool_slow")
    else:
        words, wait = f"Cool it on its {firing.support}, out of any draught, before lifting.", time_of("cool")
    if habits.lift_after is not None:
        wait = Figure.exact(habits.lift_after, "time", _MEASURED)
    why = "Lifted hot it sticks to its support and bends; cooled fast the glass cracks."
    return Operation(work="cool", words=words, wait=wait, firing=firing.number, why=why)


def stoning(faces: tuple[Face, ...], number: int, at: Workbench) -> list[Operation]:
    """Return stoning and the scrub after it."""
    if not faces:
        return []
    where: Faces = "both" if len(faces) == 2 else faces[0]
    both = "both faces" if len(faces) == 2 else f"the {faces[0]}"
    matt = at.layup.piece.finish == "matt"
    grade = ", coarse to fine, on to a fine paper for the matt face" if matt else ", coarse to fine"
    level = "until glass and metal are level" if at.layup.piece.technique or at.layup.piece.recess else "flat"
    return [
        Operation(
            work="stone",
            face=where,
            words=f"Stone {both} wet{grade}, {level}.",
            hand=time_of("stone", len(faces)),
            firing=number,
            why="Glass heaped above the metal is brought down to it.",
        ),
        Operation(
            work="stone",
            face=where,
            words=f"Scrub {both} with a glass brush under water and rinse; look for opened bubbles and refill them.",
            hand=time_of("glass_brush", len(faces)),
            firing=number,
            why="Stone dust left in the surface fires in as a grey veil.",
        ),
    ]


def remove_backing(name: str) -> Operation:
    """Return the step that opens the back of the cells."""
    if name == "copper shell":
        return Operation(
            work="remove backing",
            face="back",
            words="Stop out the rim, etch the copper shell away, rinse; keep the copper-bearing bath as waste.",
            hand=time_of("etch_away"),
            why="Only now does light pass through; the shell could not be fired away.",
        )
    return Operation(
        work="remove backing",
        face="back",
        words=f"Peel off the {name} and rub the back clean.",
        hand=time_of("backing"),
        why="The cells hold themselves now; the back still carries the print of what it lay on.",
    )


def place_backing(name: str) -> Operation:
    """Return the step that closes the back of the cells."""
    words = (
        "Form the copper shell that will carry the wires." if name == "copper shell" else f"Lay the frame on {name}."
    )
    why = "The fills need a floor until they hold themselves."
    return Operation(work="place", face="back", words=words, hand=time_of("backing"), why=why)
