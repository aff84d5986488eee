"""Which jar may lie on which metal and over which jar, asked of the rules of the trade; for a search of many stacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.laying import shape_of
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.metal import Metal, metal
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.craft.plan import Flatness
from enamelwright.craft.rules import Case, rules
from enamelwright.craft.rules.book import predicates
from enamelwright.craft.verdict import Advice

#: Rules of order, barrier and metal that jars and metal alone decide.
ASKED = ("ORD-HARD", "ORD-EXP", "ORD-LEAD", "BAR-WARM", "BAR-WARM-AG", "STEEL-GROUND", "ALLOY-ZINC")
#: Those that two jars alone decide.
ORDER = ASKED[:3]
#: Size of the disc the rules are asked about [m]; none of them looks at it.
DISC, SHEET = 0.025, 0.001
#: Answers that are kept: every pair of a hundred jars, and more.
MOST_KEPT = 16384


@dataclass(frozen=True)
class Objection:
    """What one rule says of a stack.

    Parameters
    ----------
    rule, severity, words : str
        Its id, ``watch`` or ``stop``, and its sentence.
    """

    rule: str
    severity: str
    words: str


@dataclass(frozen=True)
class _Unplanned:
    """A stack nobody has planned: no step and no firing."""

    operations: tuple[Operation, ...] = ()
    firings: tuple[Firing, ...] = ()
    advice: tuple[Advice, ...] = ()


@dataclass(frozen=True)
class StackRules:
    """The rules, asked of stacks of some jars on some metals.

    Parameters
    ----------
    bench : Bench
        The studio.
    """

    bench: Bench

    def of(self, metal_name: str, jars: Sequence[str]) -> tuple[Objection, ...]:
        """Return what the rules object to in one stack.

        Parameters
        ----------
        metal_name : str
            The sheet.
        jars : sequence of str
            Ids from the metal outward.
        """
        return _objections(self.bench, metal_name, tuple(jars), ASKED)

    def may_touch(self, metal_name: str, jar: str) -> bool:
        """Whether no rule stops a jar on a metal."""
        return not _stopped(_objections(self.bench, metal_name, (jar,), ASKED))

    def may_lie(self, lower: str, upper: str, metal_name: str = "copper") -> bool:
        """Whether no rule of order stops a jar over another."""
        return not _stopped(_objections(self.bench, metal_name, (lower, upper), ORDER))


def _stopped(found: tuple[Objection, ...]) -> bool:
    return any(one.severity == "stop" for one in found)


@lru_cache(maxsize=MOST_KEPT)
def _objections(bench: Bench, metal_name: str, jars: tuple[str, ...], asked: tuple[str, ...]) -> tuple[Objection, ...]:
    layers = tuple(
        Layer(place, place + 1, Coat(face="front", jar=jar), bench.jar(jar), _glass(bench, jar), DISC**2)
        for place, jar in enumerate(jars)
    )
    piece, stuff, shape = _disc(metal_name)
    case = Case(Layup(piece, stuff, SHEET, shape, layers), (), _Unplanned(), bench, Flatness(reach="not applicable"))
    found, known = [], rules()
    for name in asked:
        first = next(iter(predicates()[name](case)), None)
        if first is not None and (first.severity or known[name].severity) != "note":
            row = known[name]
            found.append(Objection(name, first.severity or row.severity, first.words or row.words))
    return tuple(found)


@lru_cache(maxsize=64)
def _disc(metal_name: str) -> tuple[Piece, Metal, Shape]:
    stuff = metal(metal_name)
    piece = Piece(
        name="a stack", metal=Sheet(kind=stuff.id, thickness=SHEET), outline=Circle(shape="circle", diameter=DISC)
    )
    return piece, stuff, shape_of(piece, stuff)


@lru_cache(maxsize=1024)
def _glass(bench: Bench, jar: str) -> JarGlass:
    return glass_of(bench.jar(jar))
