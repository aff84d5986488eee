"""Colours foretold for a drawing: of each coat where it ends, and of each cell of the finished piece."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face
from enamelwright.craft.colour.colour_stack import own_stack, stack_of
from enamelwright.craft.colour.fired_colour import look_for_picture, nominal_look
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.jar import Jar
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures.stack import CoatLook

#: Plans whose colours are kept: a page asks for them for its drawing, and again for its words.
PLANS = 4


@dataclass(frozen=True)
class Foretold:
    """A colour for a drawing.

    Parameters
    ----------
    colour : str
        ``#rrggbb``.
    on_screen : bool
        Whether a screen can show it; if not, the nearest of its hue stands in.
    invented : bool
        Whether any curve behind it is invented.
    """

    colour: str
    on_screen: bool
    invented: bool

    def words(self) -> str:
        """Say what the colour is worth."""
        said = "colour foretold from invented curves" if self.invented else "colour foretold"
        return said if self.on_screen else f"{said}, beyond what a screen shows"


def words_of(colours: Iterable[Foretold]) -> str:
    """Say what the colours of a drawing are worth; empty when none is foretold.

    Parameters
    ----------
    colours : iterable of Foretold
        All that are drawn.
    """
    found = list(colours)
    if not found:
        return ""
    invented = any(one.invented for one in found)
    return "Colours foretold over the metal" + ("; invented where no tiles were fitted." if invented else ".")


def _at(plan: Plan, bench: Bench, cell: str, face: Face, through: int | None, firing: int | None) -> Foretold | None:
    """Foretell one place; None where nothing tells a colour, and the drawing keeps that of the family."""
    try:
        stack = stack_of(plan, cell, face, through=through, firing=firing)
        if not stack.coats:
            return None
        look, invented = look_for_picture(stack, bench)
        return Foretold(look.hex, look.in_gamut, invented)
    except EnamelwrightError:
        return None


def _studio(plan: Plan, bench: Bench | None) -> Bench:
    return (bench or Bench.starter()).with_jars(plan.piece.jars)


def coat_colours(
    plan: Plan, coats: Iterable[CoatLook], firing: int | None = None, bench: Bench | None = None
) -> Mapping[int, Foretold]:
    """Return how the piece looks from above where each coat is uppermost, by number of the coat.

    Parameters
    ----------
    plan : Plan
        The plan.
    coats : iterable of CoatLook
        Those to be drawn.
    firing : int or None
        After which firing; None for the finished piece.
    bench : Bench, optional
        Where jars are looked up.
    """
    return _colours_of(_Same(plan), _Same(bench), firing, tuple((coat.number, coat.face) for coat in coats))


@dataclass(frozen=True, eq=False)
class _Same:
    """Carries something into a cache that knows it by being the very same, however large it is."""

    thing: Any

    def __hash__(self) -> int:
        return id(self.thing)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.thing is self.thing


@lru_cache(maxsize=PLANS)
def _colours_of(
    of: _Same, known: _Same, firing: int | None, coats: tuple[tuple[int, Face], ...]
) -> dict[int, Foretold]:
    plan = of.thing
    studio = _studio(plan, known.thing)
    found = {}
    for number, face in coats:
        cells = plan.piece.coats[number].cells
        one = _at(plan, studio, cells[0] if cells else "", face, number, firing)
        if one is not None:
            found[number] = one
    return found


def cell_colours(plan: Plan, firing: int | None = None, bench: Bench | None = None) -> dict[str, Foretold]:
    """Return how each cell of the front looks, by its name; the ground under an empty name.

    Parameters
    ----------
    plan : Plan
        The plan.
    firing : int or None
        After which firing; None for the finished piece.
    bench : Bench, optional
        Where jars are looked up.
    """
    studio = _studio(plan, bench)
    names = dict.fromkeys(["", *(name for coat in plan.piece.coats for name in coat.cells)])
    told = {name: _at(plan, studio, name, "front", None, firing) for name in names}
    return {name: one for name, one in told.items() if one is not None}


def jar_colour(jar: Jar) -> str | None:
    """Return the colour of a jar on its own when its tiles or its measured colour tell one, else None.

    Opaque glass is shown on itself, any other over fluxed silver, where it is clearest.

    Parameters
    ----------
    jar : Jar
        As described.
    """
    try:
        optics = of_jar(jar)
        if optics.basis == "invented":
            return None
        return nominal_look(own_stack(jar), Bench(jars=(jar,))).hex
    except EnamelwrightError:
        return None
