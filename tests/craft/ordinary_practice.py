"""Stacks that makers fire every day and that end well, and stacks known to end badly.

Used by ``test_must_not_cry_wolf.py`` and by the documentation (``table()``). Each stack names what it
rests on; "common practice, no source" where nothing printed says it. Glass thickness follows from
powder depth through ``weigh``, so the bands are those a maker would see. The firings are written out
by hand, so that these checks do not move when the planner's order of work does.

Jars named J.. belong to an invented workshop; all their numbers are invented. The others are the
generic classes of the reference tables.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.laying import lay_up
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Flatness
from enamelwright.craft.verdict import Advice, Verdict
from enamelwright.craft.weights import weigh

OPAQUE, CLEAR, SOFT = (
    "lead_free_opaque_titania_medium",
    "lead_free_transparent_medium",
    "lead_free_flux_or_transparent_soft",
)
HARD, LEADED, LEADED_CLEAR = "lead_free_opaque_hard", "leaded_transparent_medium", "leaded_flux_clear"
LEADED_OPAQUE = "leaded_opaque"


def _jar(key: str, name: str, kind: str, expansion: float, density: float, maturity: float) -> dict[str, Any]:
    """Describe one invented jar."""
    return {
        "id": key,
        "name": name,
        "kind": kind,
        "synthetic": True,
        "starter": OPAQUE if kind in {"opaque", "counter", "painting", "liquid"} else CLEAR,
        "glass": {
            "density_g_per_cm3": density,
            "expansion": {
                "value_e7_per_k": expansion,
                "kind": "linear",
                "basis": "measured",
                "low_c": 20,
                "high_c": 400,
            },
        },
        "fusing": {"maturity_c": maturity},
    }


WORKSHOP = [
    _jar("J01", "flux, hard, copper", "flux", 105, 2.55, 800),
    _jar("J02", "flux, hard, silver", "flux", 104, 2.60, 785),
    _jar("J04", "white, base", "opaque", 105, 2.66, 790),
    _jar("J06", "counter, scrap blend", "counter", 103, 2.70, 785),
    _jar("J07", "black, hard", "opaque", 105, 2.60, 810),
    _jar("J08", "black, soft", "opaque", 101, 2.64, 760),
    _jar("J09", "slate blue", "opaque", 103, 2.65, 785),
    _jar("J10", "sea green", "opaque", 103, 2.64, 785),
    _jar("J14", "pale blue transparent", "transparent", 103, 2.58, 780),
    _jar("J15", "deep green transparent", "transparent", 103, 2.60, 780),
    _jar("J16", "amber transparent, leaded", "transparent", 102, 3.55, 760),
    _jar("J17", "rose transparent, gold-bearing", "transparent", 102, 2.63, 785),
    _jar("J18", "opal white", "opal", 103, 2.62, 785),
    _jar("J19", "liquid white, base", "liquid", 105, 2.60, 790),
    _jar("J20", "painting white", "painting", 102, 2.62, 770),
    _jar("J21", "counter, single batch", "counter", 103, 2.70, 785),
]


@dataclass(frozen=True)
class Stack:
    """One piece with its firings.

    Parameters
    ----------
    name : str
        What it is.
    basis : str
        Where the build comes from.
    piece : dict
        Outside form of the piece, without name and jars.
    fires : sequence of sequences of int
        Numbers of the coats that each firing melts for the first time.
    """

    name: str
    basis: str
    piece: dict[str, Any]
    fires: Sequence[Sequence[int]] = field(default_factory=list)


def disc(diameter: float) -> dict[str, Any]:
    return {"shape": "circle", "diameter_mm": diameter}


def oval(width: float, height: float) -> dict[str, Any]:
    return {"shape": "ellipse", "width_mm": width, "height_mm": height}


def plate(width: float, height: float) -> dict[str, Any]:
    return {"shape": "rounded rectangle", "width_mm": width, "height_mm": height, "corner_mm": 1}


def back(jar: str, powder: float, **more: Any) -> dict[str, Any]:
    return {"face": "back", "jar": jar, "powder_depth_mm": powder, **more}


def front(jar: str, powder: float, **more: Any) -> dict[str, Any]:
    return {"face": "front", "jar": jar, "powder_depth_mm": powder, **more}


def build(
    metal: str, thickness: float, outline: dict[str, Any], coats: list[dict[str, Any]], **more: Any
) -> dict[str, Any]:
    return {"metal": {"kind": metal, "thickness_mm": thickness}, "outline": outline, "coats": coats, **more}


WIRE = {"metal": "fine_silver", "height_mm": 1.0, "thickness_mm": 0.1, "after_coat": 1}
_EACH = [[0], [1], [2]]
PRACTICE = "common practice, no source"
PENDANT = "Glass on Metal, pendant article (published): 0.5-1.0 t of powder a coat, back 1.0-1.5 times the front"
WORKSHOP_BASIS = "invented workshop, piece that ended well"

ORDINARY: tuple[Stack, ...] = (
    Stack("pendant disc 51 mm, 1.02 copper, two front coats", PENDANT,
          build("copper", 1.024, disc(51), [back(OPAQUE, 0.8), front(OPAQUE, 0.5), front(OPAQUE, 0.4)]), _EACH),
    Stack("disc 25 mm, 18 gauge copper, one coat a side", PENDANT,
          build("copper", 1.024, disc(25), [back(OPAQUE, 0.55), front(OPAQUE, 0.5)]), [[0], [1]]),
    Stack("disc 25 mm, 18 gauge copper, other counter-enamel", PRACTICE,
          build("copper", 1.024, disc(25), [back(LEADED_OPAQUE, 0.6), front(OPAQUE, 0.5)]), [[0], [1]]),
    Stack("stud 22 mm, domed, four firings", WORKSHOP_BASIS,
          build("copper", 0.90, disc(22), [back("J21", 0.85), front("J04", 0.45), front("J10", 0.35),
                front("J09", 0.3, share=0.17, stencil=True)], dome_mm=2, technique="stencil"), [[0], [1], [2], [3]]),
    Stack("silver pendant 34 x 24, cloisonne, fourteen firings", WORKSHOP_BASIS,
          build("fine_silver", 0.81, oval(34, 24),
                [back("J02", 0.5), front("J02", 0.4), back("J04", 0.5), front("J14", 0.25, times=4),
                 front("J15", 0.25, times=3), front("J17", 0.2), front("J16", 0.2)],
                dome_mm=3, wires=[WIRE], technique="cloisonne_silver"),
          [[0], [1], [], [2], [3], [3], [3], [3], [4], [4], [4], [5], [6], []]),
    Stack("champleve brooch 46 x 30, 2 mm copper", WORKSHOP_BASIS,
          build("copper", 2.0, oval(46, 30), [front("J01", 0.3), front("J15", 0.3), front("J14", 0.3)],
                recess={"depth_mm": 0.45}, technique="champleve"), _EACH),
    Stack("painted plaque 60 x 45, 0.30 copper, dome 5", WORKSHOP_BASIS + "; plate and counter as in Glass on Metal 11(1)",
          build("copper", 0.30, oval(60, 45), [back("J06", 1.2), front("J07", 0.6), front("J18", 0.2),
                front("J20", 0.08, times=5)], dome_mm=5, technique="grisaille"),
          [[0], [1], [2], [3], [3], [3], [3], [3]]),
    Stack("class square 40 mm, liquid white and dark", WORKSHOP_BASIS,
          build("copper", 0.81, plate(40, 40), [back("J21", 0.5), front("J19", 0.25, method="slip"),
                front("J08", 0.3)], technique="sgraffito_liquid"), _EACH),
    Stack("class square 40 mm, two firings", WORKSHOP_BASIS,
          build("copper", 0.81, plate(40, 40), [back("J21", 0.5), front("J19", 0.4, method="slip")]), [[0], [1]]),
    Stack("plate 100 x 60, 20 gauge copper, five firings", "trade: copper up to 4 x 10 in in 20 gauge, about five firings",
          build("copper", 0.81, plate(100, 60), [back(OPAQUE, 0.5), front(OPAQUE, 0.5), front(OPAQUE, 0.3),
                back(OPAQUE, 0.3), front(OPAQUE, 0.2)], dome_mm=3), [[0], [1], [2], [3], [4]]),
    Stack("bowl 100 mm, 18 gauge copper, dome 20", "trade: plates and vessels in 18 gauge, counter-enamelled",
          build("copper", 1.024, disc(100), [back(OPAQUE, 0.6), front(OPAQUE, 0.5), front(OPAQUE, 0.4)], dome_mm=20), _EACH),
    Stack("high-fired bowl 120 mm, six coats", "trade: high-fired bowls, ten to twelve firings; Guild 2012 (published)",
          build("copper", 1.024, disc(120), [back(OPAQUE, 0.5), front(OPAQUE, 0.4), back(OPAQUE, 0.3), front(OPAQUE, 0.3),
                front(CLEAR, 0.2), front(CLEAR, 0.2)], dome_mm=25, technique="high_fire"), [[0], [1], [2], [3], [4], [5]]),
    Stack("silver cloisonne pendant 30 mm, 20 gauge", "trade: fine silver pendant 20 gauge; counter near half way",
          build("fine_silver", 0.81, disc(30), [back(CLEAR, 0.5), front(CLEAR, 0.4), front(CLEAR, 0.25, times=5),
                back(CLEAR, 0.6)], dome_mm=2, wires=[WIRE], technique="cloisonne_silver"),
          [[0], [1], [], [2], [2], [3], [2], [2], [2], []]),
    Stack("silver earring 15 mm, 22 gauge", "trade: fine silver earring 22 gauge",
          build("fine_silver", 0.64, disc(15), [back(CLEAR, 0.5), front(CLEAR, 0.3), front(CLEAR, 0.2, times=3)], dome_mm=1),
          [[0], [1], [2], [2], [2]]),
    Stack("domed fine silver 38 mm, 26 gauge", "trade: domed fine silver, 1.5 in, 26 gauge",
          build("fine_silver", 0.405, disc(38), [back(CLEAR, 0.4), front(CLEAR, 0.25), front(CLEAR, 0.2)], dome_mm=5), _EACH),
    Stack("thin silver earring 12 mm, counter first", PRACTICE,
          build("fine_silver", 0.40, disc(12), [back(CLEAR, 0.3), front(CLEAR, 0.3)]), [[0], [1]]),
    Stack("painted miniature 60 mm, 0.30 copper, heavy counter", "Glass on Metal 11(1) (published): 1/16 in of counter powder",
          build("copper", 0.30, oval(60, 48), [back(OPAQUE, 1.6), front(OPAQUE, 0.6), front(OPAQUE, 0.4),
                front("J20", 0.06, times=4)], dome_mm=6, technique="limoges"), [[0], [1], [2], [3], [3], [3], [3]]),
    Stack("china paint on a dome 60 mm, 18 gauge", "trade: overglaze on 18 gauge domes",
          build("copper", 1.024, disc(60), [back(OPAQUE, 0.7), front(OPAQUE, 0.5), front(OPAQUE, 0.4),
                front("J20", 0.03, times=3)], dome_mm=6, technique="overglaze"), [[0], [1], [2], [3], [3], [3]]),
    Stack("cuff link 18 mm, 2 mm base, glass 0.35, no counter", "trade: champleve cuff link, 2 mm base with 0.3-0.4 mm glass",
          build("copper", 2.0, disc(18), [front(CLEAR, 0.35), front(CLEAR, 0.35)]), [[0], [1]]),
    Stack("medieval plate 50 mm, 3 mm copper, no counter", "trade: recreated medieval plates in 3-5 mm copper, glass in recesses",
          build("copper", 3.0, plate(50, 50), [front(CLEAR, 0.5), front(CLEAR, 0.5)], recess={"depth_mm": 0.5},
                technique="champleve"), [[0], [1]]),
    Stack("steel tile 100 mm, 0.75 mm, ground both faces", "Guild 2010 (published): ground coat on both faces",
          build("steel", 0.75, plate(100, 100), [back(HARD, 0.25), front(HARD, 0.25, with_previous=True), back(HARD, 0.25),
                front(HARD, 0.3)], technique="steel"), [[0, 1], [2], [3]]),
    Stack("steel panel 150 mm, 1.5 mm, thin coats", "Guild 2010 (published): to 1.5 mm for larger work",
          build("steel", 1.5, plate(150, 150), [back(HARD, 0.25), front(HARD, 0.25, with_previous=True), front(HARD, 0.3)],
                technique="steel"), [[0, 1], [2]]),
    Stack("transparents over flux 30 mm, flux first", "trade: flux front first, then counter, then thin transparents",
          build("copper", 0.81, disc(30), [front(SOFT, 0.3), back(SOFT, 0.7), front(CLEAR, 0.2, times=3)],
                technique="transparent_flux", dome_mm=1), [[0], [1], [2], [2], [2]]),
    Stack("transparent on bare copper 30 mm", "trade",
          build("copper", 0.81, disc(30), [front(CLEAR, 0.3), back(CLEAR, 0.5), front(CLEAR, 0.2)],
                technique="transparent_direct"), _EACH),
    Stack("stencil on a fired base, 40 mm", "trade, common practice",
          build("copper", 0.81, disc(40), [back(OPAQUE, 0.6), front(OPAQUE, 0.5), front(OPAQUE, 0.3, share=0.3, stencil=True)],
                technique="stencil"), _EACH),
    Stack("dry sgraffito 50 mm square", "Guild, Sgraffito I (published)",
          build("copper", 1.024, plate(50, 50), [back(OPAQUE, 0.7), front(OPAQUE, 0.5), front(OPAQUE, 0.35)],
                technique="sgraffito_dry"), _EACH),
    Stack("foil under transparents, 40 mm", "How to Enamel, ch. VII (published): two thin coats over the foil",
          build("copper", 0.81, disc(40), [back(OPAQUE, 0.7), front(HARD, 0.45), front(CLEAR, 0.2), front(CLEAR, 0.2)],
                technique="foil", foils=[{"metal": "fine_silver", "thickness_mm": 0.01, "after_coat": 1}], dome_mm=2),
          [[0], [1], [], [2], [3]]),
    Stack("threads and lumps on a square 50 mm", "Glass on Metal 19(1) (published): local thickness needs more counter",
          build("copper", 1.024, plate(50, 50), [back(OPAQUE, 0.9), front(OPAQUE, 0.5),
                front(OPAQUE, 0.6, share=0.2, method="place")], technique="placed_glass"), _EACH),
    Stack("torch-fired earring 15 mm, one side, slight dome", "trade",
          build("copper", 0.64, disc(15), [front(OPAQUE, 0.3)], technique="torch", dome_mm=1), [[0]]),
    Stack("both faces at once, disc 40 mm, 0.5 copper", "thin sheet is coated on both faces at once; " + PRACTICE,
          build("copper", 0.51, disc(40), [back(OPAQUE, 0.35), front(OPAQUE, 0.35, with_previous=True)],
                technique="both_sides"), [[0, 1]]),
    Stack("button 18 mm, 1.0 copper, one thin side, dome 2", PRACTICE,
          build("copper", 1.024, disc(18), [front(OPAQUE, 0.3)], dome_mm=2), [[0]]),
    Stack("disc 30 mm, 14 gauge copper, one side", "trade: at 1.3 mm and more usually no counter",
          build("copper", 1.63, disc(30), [front(OPAQUE, 0.4), front(OPAQUE, 0.3)]), [[0], [1]]),
    Stack("one-sided test disc 25 mm, 18 gauge", PRACTICE,
          build("copper", 1.024, disc(25), [front(OPAQUE, 0.4)]), [[0]]),
    Stack("sample tile 50 x 25, two front coats", "trade: sample tiles take two coats",
          build("copper", 0.81, plate(50, 25), [back(OPAQUE, 0.6), front(OPAQUE, 0.4), front(CLEAR, 0.3)]), _EACH),
    Stack("gilding metal disc 30 mm, both faces", "trade: gilding metal is enamelled in sheet",
          build("gilding metal", 0.81, disc(30), [back(OPAQUE, 0.5), front(OPAQUE, 0.5)]), [[0], [1]]),
    Stack("sterling pendant 25 mm, leaded transparents", PRACTICE,
          build("sterling", 0.81, disc(25), [back(LEADED, 0.5), front(LEADED_CLEAR, 0.25), front(LEADED, 0.2, times=2)],
                dome_mm=1), [[0], [1], [2], [2]]),
    Stack("18 ct disc 18 mm, transparent, both faces", PRACTICE,
          build("18 ct yellow gold", 0.7, disc(18), [back(LEADED, 0.35), front(LEADED, 0.35)]), [[0], [1]]),
)  # fmt: skip


@dataclass(frozen=True)
class Bad:
    """A stack known or computed to end badly, and the check that must say so."""

    stack: Stack
    rule: str
    levels: frozenset[str]


def _too_much(expansion: float) -> dict[str, Any]:
    glass = {"value_ppm_per_k": expansion, "kind": "linear", "basis": "measured", "low_c": 20, "high_c": 400}
    return {
        "id": "X",
        "name": "glass of unsuitable expansion",
        "kind": "opaque",
        "synthetic": True,
        "starter": CLEAR,
        "glass": {"expansion": glass},
    }


_COMPUTED = "computed by an independent implementation of the same mechanics"
_WARN, _STOP = frozenset({"watch", "stop"}), frozenset({"stop"})

BAD: tuple[Bad, ...] = (
    Bad(Stack("0.4 mm glass on one side of 0.5 copper", "thick enamel on thin metal cracks: trade; " + _COMPUTED,
              build("copper", 0.5, disc(25), [front(OPAQUE, 0.8)]), [[0]]), "FLAT-FACE", _STOP),
    Bad(Stack("0.4 mm glass on one side of 0.8 copper", _COMPUTED,
              build("copper", 0.8, disc(25), [front(OPAQUE, 0.8)]), [[0]]), "FLAT-FACE", _WARN),
    Bad(Stack("thick glass on one side of thin silver", _COMPUTED,
              build("fine_silver", 0.4, disc(20), [front(CLEAR, 0.7)]), [[0]]), "FLAT-FACE", _STOP),
    Bad(Stack("stud 22 mm with a thin counter and a heavy front", "invented workshop: hairlines next day",
              build("copper", 0.90, disc(22), [back("J21", 0.39), front("J04", 0.65), front("J10", 0.4)], dome_mm=2),
              _EACH), "FLAT-FACE", _WARN),
    Bad(Stack("the same, flat", _COMPUTED,
              build("copper", 0.90, disc(22), [back("J21", 0.2), front("J04", 0.65), front("J10", 0.4)]),
              _EACH), "FLAT-FACE", _WARN),
    Bad(Stack("copper plate 75 mm, one side", "flat one-sided sheet warps: trade; " + _COMPUTED,
              build("copper", 0.8, disc(75), [front(OPAQUE, 0.4)]), [[0]]), "FLAT-BOW", _WARN),
    Bad(Stack("disc 25 mm, 0.5 copper, one side", _COMPUTED,
              build("copper", 0.5, disc(25), [front(OPAQUE, 0.3)]), [[0]]), "FLAT-BOW", _WARN),
    Bad(Stack("glass of 18.5 ppm/K on copper, both faces", "crazing: a glass that shrinks more than the metal; " + _COMPUTED,
              build("copper", 0.8, disc(25), [back("X", 0.4), front("X", 0.4)], jars=[_too_much(18.5)]), [[0], [1]]),
        "FLAT-FACE", _WARN),
    Bad(Stack("glass of 5 ppm/K on 2 mm copper, both faces", "shivering: a glass that shrinks far less than the metal",
              build("copper", 2.0, disc(25), [back("X", 0.5), front("X", 0.5)], jars=[_too_much(5.0)]), [[0], [1]]),
        "FLAT-RIM", _WARN),
    Bad(Stack("a thin, hard pressed counter of 0.05 mm", _COMPUTED,
              build("copper", 0.8, disc(25), [back(OPAQUE, 0.1), front(OPAQUE, 0.6)]), [[0], [1]]), "FLAT-RIM", _WARN),
    Bad(Stack("very thick glass both sides of sterling", _COMPUTED,
              build("sterling", 0.8, disc(25), [back(OPAQUE, 0.6), front(OPAQUE, 0.6)]), [[0], [1]]), "FLAT-RIM", _WARN),
)  # fmt: skip


def firings_of(fires: Sequence[Sequence[int]], coats: Sequence[dict[str, Any]]) -> tuple[Firing, ...]:
    """Write out firings that melt these coats in turn."""
    seen: set[int] = set()
    result = []
    for number, fuses in enumerate(fires, 1):
        faces = {coats[n]["face"] for n in fuses}
        loaded = "both" if len(faces) == 2 else next(iter(faces), "none")
        result.append(
            Firing(
                number=number, fuses=tuple(fuses), reheats=tuple(sorted(seen)), loaded=loaded, face_up="front",
                support="trivet", rests_on="rim", target="gloss",
            )
        )  # fmt: skip
        seen.update(fuses)
    return tuple(result)


Judgement = tuple[Flatness, tuple[Verdict, ...], tuple[Advice, ...]]


def judge(stack: Stack, draws: int = 256) -> Judgement:
    """Judge one stack."""
    outside = {"name": stack.name[:100], **stack.piece}
    outside["jars"] = [*WORKSHOP, *stack.piece.get("jars", [])]
    piece = Piece.from_outside(outside)
    bench = Bench.starter()
    layup = lay_up(piece, bench)
    return judge_flatness(layup, weigh(layup, bench), firings_of(stack.fires, stack.piece["coats"]), bench, draws)


def warnings(verdicts: Sequence[Verdict]) -> list[str]:
    """Return level and rule of everything that is not good."""
    return [f"{verdict.level} {verdict.rule}" for verdict in verdicts if verdict.level != "good"]


def table(judge_one: Callable[[Stack], Judgement] = judge) -> str:
    """Return every stack with what the checks say, as two tables; levels only, so that digits may move."""
    head = ["| piece | it rests on | model reaches | verdict |", "| --- | --- | --- | --- |"]
    lines = ["## Ordinary practice", "", *head]
    for stack in ORDINARY:
        flatness, verdicts, _ = judge_one(stack)
        lines.append(_line(stack, flatness, ", ".join(warnings(verdicts)) or ("good" if verdicts else "not judged")))
    lines += ["", "## Known to end badly, and caught", "", *head]
    for bad in BAD:
        flatness, verdicts, _ = judge_one(bad.stack)
        lines.append(_line(bad.stack, flatness, ", ".join(warnings(verdicts)) or "missed"))
    return "\n".join(lines)


def _line(stack: Stack, flatness: Flatness, says: str) -> str:
    return f"| {stack.name} | {stack.basis} | {flatness.reach} | {says} |"


if __name__ == "__main__":
    print(table())
