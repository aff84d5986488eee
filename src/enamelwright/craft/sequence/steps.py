"""The work at the bench that belongs to one firing: lay, dry, fire, cool, clean, stone."""

from __future__ import annotations

from dataclasses import dataclass, field

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Faces, Firing, Operation
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.loads import Lay, Load
from enamelwright.craft.sequence.sides import grounded, oxidises
from enamelwright.craft.sequence.stages import on_bare_metal
from enamelwright.craft.sequence.supports import is_torch
from enamelwright.craft.sequence.wording import lay_words, listed
from enamelwright.figure import Figure, Origin

_MEASURED = Origin(kind="measured", source="piece file", status="the maker's own")


@dataclass
class Workbench:
    """What the steps of every firing need to know.

    Parameters
    ----------
    layup, weights, bench
        The piece, its coats weighed, the studio.
    glassed : set of str
        Faces that carry fired glass at this moment.
    """

    layup: Layup
    weights: tuple[CoatWeight, ...]
    bench: Bench
    glassed: set[Face] = field(default_factory=set)

    @property
    def pickles(self) -> bool:
        """Whether oxide is cleaned in a pickle here."""
        own = self.layup.piece.firing.pickle
        return bool(own if own is not None else self.bench.house.pickle)


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
        words, why = (
            "Turn it over on the fingertips or a spatula.",
            "A dry, held back can be turned; a moist one drops off.",
        )
        steps.append(
            Operation(work="turn", face="both", words=words, hand=time_of("turn"), firing=firing.number, why=why)
        )
    for lay in front:
        steps += _laying(lay, firing, at)
    if load.lays or load.foils or load.wires:
        steps.append(_dry(list(front or back), firing))
    for lay in load.lays:
        if lay.layer.coat.scratched:
            steps.append(_scratch(lay, firing, at))
    return steps


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
            words=lay_words(lay, weight, "wires" if at.layup.piece.wires else "metal"),
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
    why = "The bare line oxidises dark in this firing." if bare else "The drawn line shows the colour below."
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
    up = f"{firing.face_up} up, on the {firing.support}"
    verb = "Flash fire" if firing.flash else "Fire"
    what = f"{verb} {firing.words.removeprefix('flash fire, ')}"
    words = f"{what}; flame from below, in circles." if torch else f"{what}; {up}."
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
    steps += clean_oxide(firing, at, load)
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


def clean_oxide(firing: Firing, at: Workbench, load: Load) -> list[Operation]:
    """Return the cleaning of what went bare through the fire; none on silver and gold."""
    if not oxidises(at.layup):
        return []
    steps = []
    bare: list[Face] = [face for face in ("front", "back") if face not in at.glassed]
    one_sheet = at.layup.piece.form == "sheet"
    if bare and one_sheet:
        steps.append(_clean_faces(bare, firing, at))
    elif at.layup.piece.firing.edges_cleaned is not False:
        steps.append(
            Operation(
                work="clean oxide",
                face="none",
                words="Take the oxide off the edges and bare metal with an abrasive stick, and rinse.",
                hand=time_of("oxide_edge"),
                firing=firing.number,
                why="Flakes from the edge become black specks in the next coat.",
            )
        )
    lined = [lay for lay in load.lays if lay.layer.coat.scratched and on_bare_metal(lay.layer, at.layup)]
    if lined:
        words = (
            "Pickle the front until the drawn line is bright, rinse and dry."
            if at.pickles
            else "Leave the drawn line black; wipe the front only."
        )
        why = "Bright lines turn gold under flux." if at.pickles else "Black lines turn brown under flux."
        steps.append(
            Operation(
                work="clean oxide", face="front", words=words, hand=time_of("oxide_edge"), firing=firing.number, why=why
            )
        )
    return steps


def _clean_faces(bare: list[Face], firing: Firing, at: Workbench) -> Operation:
    faces: Faces = "both" if len(bare) == 2 else bare[0]
    where = listed(bare)
    if at.pickles:
        words = f"Pickle the bare {where} clean, edges too, brush, rinse and dry."
        key, why = "oxide_pickle", "Scale under a coat makes it flake; scale on the edge sheds black specks."
    else:
        words = f"Rub the oxide off the bare {where} and the edges with an abrasive pad and water; rinse."
        key, why = "oxide_abrade", "Scale under a coat makes it flake; scale on the edge sheds black specks."
    return Operation(
        work="clean oxide", face=faces, words=words, hand=time_of(key, len(bare)), firing=firing.number, why=why
    )


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
