"""Plans built by hand with realistic numbers, so that drawings and cards can be tried without the planner."""

from __future__ import annotations

import tomllib
from typing import Any

from enamelwright.craft.operation import Firing, Operation, Window
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatState, CoatWeight, CounterBand, FiringState, Flatness, JarTotal, Plan
from enamelwright.craft.verdict import Advice, Place, Verdict
from enamelwright.figure import Figure, Origin

COMPUTED = Origin(kind="computed")
PRACTICE = Origin(kind="reference", source="practice", status="common practice, no source")


def figure(value: float, low: float, high: float, dimension: str) -> Figure:
    return Figure(value=value, low=low, high=high, dimension=dimension, origin=COMPUTED)


def about(value: float, dimension: str, share: float = 0.2) -> Figure:
    ends = sorted((value * (1 - share), value * (1 + share)))
    return figure(value, ends[0], ends[1], dimension)


def window(celsius: float | None, seconds: tuple[float, float], look: bool = True) -> Window:
    middle = sum(seconds) / 2
    hot = None if celsius is None else figure(celsius + 273.15, celsius + 259.15, celsius + 287.15, "temperature")
    return Window(
        set_point=hot,
        seconds=figure(middle, *seconds, "time"),
        because=("thin sheet, first coat",),
        first_look=seconds[0] if look else None,
        look_every=20.0 if look else None,
    )


def weight(
    piece: Piece, number: int, fired_mm: float, grams: float, area: float, layings: int = 1, weighable: bool = True
) -> CoatWeight:
    coat = piece.coats[number]
    names = {jar.id: jar.name for jar in piece.jars}
    return CoatWeight(
        coat=number, face=coat.face, jar=coat.jar, jar_name=names.get(coat.jar, coat.jar), area=area,
        powder_depth=about(fired_mm / 0.45e3, "length"), fired_thickness=about(fired_mm / 1e3, "length"),
        to_weigh=about(grams / 1e3, "mass"), on_piece=about(grams * layings * 0.8e-3, "mass"),
        layings=layings, weighable=weighable, how="from powder depth",
    )  # fmt: skip


def state(firing: int, bow_mm: float, coats: tuple[int, ...]) -> FiringState:
    spread = max(abs(bow_mm) * 0.6, 0.01)
    stress = tuple(CoatState(coat=n, inner=about(-4e7, "stress"), outer=about(-3e7, "stress")) for n in coats)
    bow = figure(bow_mm / 1e3, (bow_mm - spread) / 1e3, (bow_mm + spread) / 1e3, "length")
    return FiringState(firing=firing, bow=bow, bow_hot=about(1e-5, "length"), coats=stress)


DISC = """
format = 1
name = "Harebell disc"
technique = "sift_opaque"
invented = true
[metal]
kind = "copper"
thickness_mm = 0.9
[outline]
shape = "circle"
diameter_mm = 38
[[jars]]
id = "J21"
name = "scrap counter"
kind = "counter"
synthetic = true
optics = { family = "mixed" }
[[jars]]
id = "J04"
name = "white, base"
kind = "opaque"
synthetic = true
optics = { family = "white" }
[[jars]]
id = "J11"
name = "harebell blue"
kind = "transparent"
synthetic = true
optics = { family = "blue" }
[[coats]]
face = "back"
jar = "J21"
powder_depth_mm = 0.85
mesh = 80
hold = { kind = "gum", ratio = 0.5 }
[[coats]]
face = "front"
jar = "J04"
powder_depth_mm = 0.5
mesh = 80
hold = { kind = "gum", ratio = 0.5 }
[[coats]]
face = "front"
jar = "J11"
powder_depth_mm = 0.4
mesh = 100
"""


def disc(name: str = "", **changes: Any) -> Plan:
    """Three coats on copper: one Watch on the back, good otherwise."""
    data = tomllib.loads(DISC)
    if name:
        data["name"] = name
    piece = Piece.from_outside(data)
    area = 11.34e-4
    trivet = {"support": "trivet", "rests_on": "rim only"}
    firings = (
        Firing(number=1, fuses=(0,), loaded="back", face_up="back", target="orange peel", window=window(788, (90, 150)),
               words="counter-enamel, to orange peel", why="back first, so that the front is clean", **trivet),
        Firing(number=2, fuses=(1,), reheats=(0,), loaded="front", face_up="front", target="orange peel",
               window=window(788, (90, 150)), words="white base, to orange peel", **trivet),
        Firing(number=3, fuses=(2,), reheats=(0, 1), loaded="front", face_up="front", target="gloss",
               window=window(774, (120, 180)), words="harebell blue, to gloss", **trivet),
    )  # fmt: skip
    operations = (
        Operation(work="prepare", face="both", words="Scour both faces and rinse until water runs off in a sheet."),
        Operation(work="lay", face="back", coats=(0,), words="Gum the back and sift scrap counter over it.", firing=1),
        Operation(work="fire", coats=(0,), words="Fire the counter-enamel to orange peel.", firing=1),
        Operation(
            work="clean oxide", face="front", words="Lift the loose scale off the front and scour it bright.", firing=1
        ),
        Operation(work="lay", face="front", coats=(1,), words="Sift the white base.", firing=2),
        Operation(work="fire", coats=(1,), words="Fire the white.", firing=2),
        Operation(work="lay", face="front", coats=(2,), words="Sift harebell blue, two thin passes.", firing=3),
        Operation(work="fire", coats=(2,), words="Fire to gloss.", firing=3),
        Operation(work="finish", face="none", words="Stone the rim and wax it."),
    )
    verdicts = (
        Verdict(rule="FLAT-BOW", level="good", words="It stays flat enough to set.", figure=figure(8e-5, 2e-5, 1.5e-4, "length")),
        Verdict(rule="BAL-FACE", level="watch", words="The back is a little thin for two front coats.",
                remedy="Sift the back to 0.95 mm of powder.", figure=figure(0.86, 0.7, 1.05, "ratio"),
                place=Place(face="back", coats=(0,))),
        Verdict(rule="ORD-HARD", level="good", words="Each coat is at least as hard as the one over it.", place=Place(face="front", coats=(1, 2))),
        Verdict(rule="MET-MELT", level="good", words="The metal stays well below its melting range.", place=Place(face="metal")),
    )  # fmt: skip
    base = Plan(
        piece=piece, area=area, chord=0.038, metal_mass=about(9.1e-3, "mass", 0.02), metal_name="copper",
        weights=(weight(piece, 0, 0.38, 1.45, area), weight(piece, 1, 0.23, 0.86, area), weight(piece, 2, 0.18, 0.62, area)),
        operations=operations, firings=firings,
        flatness=Flatness(reach="full", states=(state(1, -0.31, (0,)), state(2, -0.06, (0, 1)), state(3, 0.08, (0, 1, 2))),
                          chord=0.038, counter=CounterBand(low=3e-4, high=5e-4, flat=4.1e-4, limit=1e-4,
                          words="anything from 0.30 to 0.50 mm of fired counter keeps it under 0.1 mm"),
                          limits=("flat sheet with an even coat",), draws=256),
        verdicts=verdicts, advice=(Advice(rule="DRY", words="Dry until it stops steaming."),),
        totals=(JarTotal(jar="J21", jar_name="scrap counter", grams=about(1.45e-3, "mass")),),
        cautions=("Lead is not known for one jar: wear a dust mask that fits, wipe up wet, and follow its safety data sheet.",
                  "Kiln glare: filter glasses.", "The piece stays hot long after it looks cold."),
        hand_time=about(2700, "time"),
    )  # fmt: skip
    return base.model_copy(update=changes)


CLOISONNE = """
format = 1
name = "Two herons"
technique = "cloisonne_silver"
dome_mm = 1.6
[metal]
kind = "fine silver"
thickness_mm = 0.6
[outline]
shape = "ellipse"
width_mm = 32
height_mm = 24
[[cells]]
name = "sky"
share = 0.5
[[cells]]
name = "herons"
share = 0.2
[[cells]]
name = "water"
share = 0.3
[[wires]]
metal = "fine silver"
height_mm = 0.9
thickness_mm = 0.2
after_coat = 1
[[jars]]
id = "J30"
name = "hard clear for silver"
kind = "flux"
optics = { family = "clear" }
[[jars]]
id = "J31"
name = "dawn rose"
kind = "transparent"
gold_bearing = true
optics = { family = "pink" }
[[jars]]
id = "J32"
name = "milk"
kind = "opal"
optics = { family = "white" }
[[jars]]
id = "J33"
name = "reed green"
kind = "transparent"
optics = { family = "green" }
[[coats]]
face = "back"
jar = "J30"
powder_depth_mm = 1.1
times = 2
[[coats]]
face = "front"
jar = "J30"
powder_depth_mm = 0.4
[[coats]]
face = "front"
jar = "J31"
cells = ["sky"]
fill = "to level"
method = "wet-pack"
[[coats]]
face = "front"
jar = "J32"
cells = ["herons"]
fill = "to level"
method = "wet-pack"
with_previous = true
[[coats]]
face = "front"
jar = "J33"
cells = ["water"]
fill = "to level"
method = "wet-pack"
with_previous = true
"""


def cloisonne(fills: int = 4) -> Plan:
    """Wires, cells, a dome and repeated fills that share a card; one Stop."""
    piece = Piece.from_outside(tomllib.loads(CLOISONNE))
    area = 6.03e-4
    trivet = {"support": "trivet", "rests_on": "rim only"}
    firings = [
        Firing(number=1, fuses=(0,), loaded="back", face_up="back", target="orange peel", window=window(780, (90, 140)),
               words="counter-enamel, to orange peel", **trivet),
        Firing(number=2, fuses=(1,), reheats=(0,), loaded="front", face_up="front", target="gloss", embeds=True,
               window=window(788, (90, 150)), words="clear undercoat, to gloss, wires set in", **trivet),
    ]  # fmt: skip
    for n in range(fills):
        firings.append(
            Firing(number=3 + n, fuses=(2, 3, 4), fill_round=n + 1, reheats=(0, 1), loaded="front", face_up="front",
                   target="orange peel", window=window(774, (60, 120)), words="fill the cells, to orange peel", **trivet)
        )  # fmt: skip
    last = 3 + fills
    firings.append(
        Firing(number=last, fuses=(), reheats=(0, 1, 2, 3, 4), loaded="none", face_up="front", target="gloss",
               window=window(760, (40, 70)), words="flash fire after stoning", flash=True, **trivet)
    )  # fmt: skip
    operations = tuple(Operation(work="fire", coats=f.fuses, words=f.words, firing=f.number) for f in firings[:-1]) + (
        Operation(work="stone", face="front", words="Stone level with the wires, then glass-brush under water."),
        Operation(work="fire", words="Flash fire.", firing=last),
        Operation(work="set", words="Set in a bezel."),
    )
    verdicts = (
        Verdict(rule="HEAT-GOLD", level="stop", words="The rose is hot seven times and keeps its colour for about five.",
                remedy="Lay it in the last two fills.", figure=figure(7, 7, 7, "count"), place=Place(face="front", coats=(2,))),
        Verdict(rule="BAL-FACE", level="watch", words="The front may end thicker than the back.", remedy="Add a third thin coat to the back.",
                figure=figure(1.25, 1.0, 1.6, "ratio"), place=Place(face="back", coats=(0,))),
        Verdict(rule="MET-SILVER", level="good", words="The silver stays well below its melting point.", place=Place(face="metal")),
    )  # fmt: skip
    states = Flatness(
        reach="not applicable", why="wires and cells are out of reach of the bow estimate; go by the back and the rim"
    )
    return Plan(
        piece=piece, area=area, chord=0.032, metal_mass=about(3.8e-3, "mass", 0.02), metal_name="fine silver",
        weights=(
            weight(piece, 0, 0.25, 0.72, area, layings=2), weight(piece, 1, 0.18, 0.31, area),
            weight(piece, 2, 0.8, 0.05, area * 0.5, layings=fills, weighable=False),
            weight(piece, 3, 0.8, 0.05, area * 0.2, layings=fills, weighable=False),
            weight(piece, 4, 0.8, 0.05, area * 0.3, layings=fills, weighable=False),
        ),
        operations=operations, firings=tuple(firings), flatness=states, verdicts=verdicts, advice=(),
        totals=(), cautions=("Filter glasses at the kiln; the piece stays hot long after it looks cold.",), hand_time=about(14000, "time"),
    )  # fmt: skip


def torch() -> Plan:
    """No thermometer: by stage."""
    plan = disc("Torch-fired leaf")
    firings = tuple(
        f.model_copy(update={"support": "torch ring", "window": window(None, (40, 90)), "rests_on": "rim only"})
        for f in plan.firings[:2]
    )
    return plan.model_copy(update={"firings": firings})


HOSTILE = '#let x = $1$ *bold* _it_ <tag> & [box] "q" `code` @ref \\u{41} //no'


def hostile() -> Plan:
    """Names full of markup, six coats, long words, three long verdicts."""
    data = tomllib.loads(DISC)
    data["name"] = HOSTILE
    data["invented"] = True
    for jar in data["jars"]:
        jar["name"] = f"{jar['name']} <b>#{jar['id']}</b> $a$ [x]"
    extra = [dict(data["coats"][2], jar="J04"), dict(data["coats"][2]), dict(data["coats"][2], jar="J04")]
    data["coats"] = data["coats"] + extra
    piece = Piece.from_outside(data)
    plan = disc()
    area = plan.area
    weights = tuple(weight(piece, n, 0.2 + 0.03 * n, 0.8, area) for n in range(6))
    long = "This is a long sentence that a rule may say when it has to name " + "harebell blue and white base " * 3
    verdicts = tuple(
        Verdict(rule=f"R{n}", level=level, words=long + str(n), remedy=long, place=Place(face=face, coats=coats))
        for n, (level, face, coats) in enumerate(
            (("stop", "front", (1,)), ("stop", "back", (0,)), ("watch", "metal", ()), ("watch", "front", (3,)))
        )
    )
    return plan.model_copy(update={"piece": piece, "weights": weights, "verdicts": verdicts, "cautions": (long * 2,)})


def very_long_name() -> Plan:
    return disc("Unbrokenwordthatneverends" * 4 + "ABCDEFGHIJ")


def twenty_firings() -> Plan:
    return cloisonne(fills=17)


def many_coats() -> Plan:
    """Twelve coats: more than a card lists."""
    data = tomllib.loads(DISC)
    data["coats"] = data["coats"] + [dict(data["coats"][2], jar="J04") for _ in range(9)]
    piece = Piece.from_outside(data)
    weights = tuple(weight(piece, n, 0.1, 0.8, 11.34e-4) for n in range(12))
    return disc().model_copy(update={"piece": piece, "weights": weights})


def no_coats() -> Plan:
    """Bare metal: nothing to weigh, nothing to fire."""
    data = tomllib.loads(DISC)
    data["coats"] = []
    bare = Flatness(reach="not applicable", why="there is no glass on it")
    return disc().model_copy(
        update={
            "piece": Piece.from_outside(data), "weights": (), "firings": (), "operations": (), "flatness": bare,
            "verdicts": (), "cautions": (), "totals": (),
        }
    )  # fmt: skip
