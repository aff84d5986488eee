"""Colour changes in the fire that optics cannot see: a table of risks and one predicate each.

They annotate a prediction and never change it. Rules of order, barrier and metal stand in their own book; a risk that
one of those already speaks of names it, so that nothing is said twice.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.jar_optics import jar_for
from enamelwright.craft.jar import WARM, Jar
from enamelwright.craft.metal import Metal, metal
from enamelwright.errors import HouseError
from enamelwright.reference.loader import facts_of, rows, source_keys, sources

Severity = Literal["note", "warn"]

#: What a risk counts in a choice between stacks: one warning weighs as much as three notes (assumption).
WEIGHT: dict[Severity, int] = {"note": 1, "warn": 3}
#: Risks that hold for every fired colour; told where somebody asks for a colour, not of every piece.
ALWAYS: frozenset[str] = frozenset({"OTHER-BASE", "JUDGED-HOT"})
#: Families deep enough to look murky straight on copper (common practice, no source).
DEEP: frozenset[str] = frozenset({"blue", "purple", "green", "brown", "grey", "black"})
#: Families that cadmium colours.
CADMIUM_COLOURS: frozenset[str] = frozenset({"red", "orange", "yellow", "warm yellow"})
#: Families that silver yellows when they are clear.
TURNED_BY_SILVER: frozenset[str] = WARM | {"yellow"}


@dataclass(frozen=True)
class Laid:
    """One coat as a risk sees it.

    Parameters
    ----------
    jar : Jar
        What it is of.
    thickness : float or None
        Fired [m]; None when nobody told.
    firings : int
        Firings it goes through; 0 when nobody told.
    """

    jar: Jar
    thickness: float | None = None
    firings: int = 0


@dataclass(frozen=True)
class Fired:
    """A stack as a risk sees it.

    Parameters
    ----------
    metal : Metal
        The sheet, or the foil that light meets instead.
    coats : tuple of Laid
        From the metal outward.
    wires : tuple of Metal
        Wires standing in the glass.
    """

    metal: Metal
    coats: tuple[Laid, ...]
    wires: tuple[Metal, ...] = ()

    @property
    def first(self) -> Laid | None:
        """The coat that touches the metal."""
        return self.coats[0] if self.coats else None

    @property
    def on_copper(self) -> bool:
        """Whether the metal is copper."""
        return self.metal.family == "copper"

    @property
    def on_silver(self) -> bool:
        """Whether the metal is silver."""
        return self.metal.family == "silver"


@dataclass(frozen=True)
class ColourRisk:
    """One thing that may turn the colour away from its prediction.

    Parameters
    ----------
    risk, severity : str
        Key of its row; ``note`` or ``warn``.
    words, remedy : str
        One plain sentence; what to do.
    coat : int
        Which coat from the metal outward, from 0; -1 for the whole stack.
    because : str
        The fact it rests on.
    sources : tuple of str
        Where it comes from, and how far that can be trusted.
    also_told_by : tuple of str
        Rules of the trade that speak of the same.
    """

    risk: str
    severity: Severity
    words: str
    remedy: str
    coat: int
    because: str
    sources: tuple[str, ...]
    also_told_by: tuple[str, ...]

    @property
    def weight(self) -> int:
        """What it counts in a choice between stacks."""
        return WEIGHT[self.severity]


Predicate = Callable[[Fired], Iterable[tuple[int, str]]]
_PREDICATES: dict[str, Predicate] = {}


def _risk(name: str) -> Callable[[Predicate], Predicate]:
    def keep(predicate: Predicate) -> Predicate:
        _PREDICATES[name] = predicate
        return predicate

    return keep


def limit(key: str) -> float:
    """Return one threshold of the table of looks, SI.

    Parameters
    ----------
    key : str
        Without its field, e.g. ``"risk/thin_coat"``.
    """
    try:
        return facts_of("colour/looks")[f"colour/{key}"].value
    except KeyError as error:
        raise HouseError(f"the table colour/looks does not state '{key}'.") from error


@lru_cache(maxsize=1)
def table() -> dict[str, ColourRisk]:
    """Return every row of the table by key, without the coat and the fact."""
    known = sources()
    return {
        row["risk"]: ColourRisk(
            row["risk"], cast("Severity", row["severity"]), row["words"], row["remedy"], -1, "",
            (*(known[key].words() for key in source_keys(row["source"])), f"status: {row['status']}"),
            source_keys(row["also_told_by"]),
        )
        for row in rows("colour/firing_risks")
    }  # fmt: skip


def judged() -> frozenset[str]:
    """Return the keys that have a predicate or hold always."""
    return frozenset(_PREDICATES) | ALWAYS


def risks_of(fired: Fired, told: Collection[str] = (), *, always: bool = False) -> tuple[ColourRisk, ...]:
    """Return what may turn the colour of a stack away from its prediction, in table order.

    Parameters
    ----------
    fired : Fired
        The stack.
    told : collection of str
        Rules that have spoken already; risks they also tell of are left out.
    always : bool
        Whether to add what holds for every fired colour.
    """
    found: list[ColourRisk] = []
    for name, row in table().items():
        if set(row.also_told_by) & set(told):
            continue
        if name in ALWAYS:
            found += [row] if always else []
            continue
        for coat, because in _PREDICATES[name](fired):
            found.append(
                ColourRisk(
                    name, row.severity, row.words, row.remedy, coat, because, row.sources, row.also_told_by
                )
            )  # fmt: skip
            break
    return tuple(found)


def weight_of(risks: Iterable[ColourRisk]) -> int:
    """Add up what risks count in a choice between stacks."""
    return sum(risk.weight for risk in risks)


def fired_of(stack: ColourStack, bench: Bench, firings: tuple[int, ...] = ()) -> Fired:
    """Return a stack as risks see it.

    Parameters
    ----------
    stack : ColourStack
        What light meets.
    bench : Bench
        Where jars are looked up; an invented curve is known by what its name tells.
    firings : tuple of int
        Firings each coat goes through, from the metal outward; when left out each coat is fired by itself.
    """
    many = len(stack.coats)
    times = firings or tuple(many - place for place in range(many))
    coats = tuple(
        Laid(jar_for(coat.jar, bench), coat.thickness, count) for coat, count in zip(stack.coats, times, strict=True)
    )
    return Fired(metal(stack.foil or stack.metal), coats)


def _named(coat: Laid, what: str) -> str:
    return f"{coat.jar.name}: {what}"


def _family(coat: Laid) -> str:
    return coat.jar.optics.family or ""


def _cadmium(coat: Laid) -> bool:
    return coat.jar.hazards.cadmium == "yes"


@_risk("WARM-ON-SILVER")
def _warm_on_silver(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if not fired.on_silver or first is None or first.jar.kind != "transparent":
        return
    # Gold gives reds and pinks: a jar that tells its gold and no family is one of them (common practice, no source).
    family = _family(first) or ("gold-bearing" if first.jar.gold_bearing else "")
    if family in TURNED_BY_SILVER or family == "gold-bearing":
        yield 0, _named(first, f"{family}, on {fired.metal.name}")


@_risk("WHITE-ON-SILVER")
def _white_on_silver(fired: Fired) -> Iterator[tuple[int, str]]:
    wired = any(wire.family == "silver" for wire in fired.wires)
    for place, coat in enumerate(fired.coats):
        pale = coat.jar.kind == "opal" or (coat.jar.kind == "opaque" and _family(coat) == "white")
        if pale and ((place == 0 and fired.on_silver) or wired):
            yield place, _named(coat, "touches silver" if place == 0 and fired.on_silver else "touches silver wire")


@_risk("FLUX-ON-SILVER")
def _flux_on_silver(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if fired.on_silver and first and first.jar.kind == "flux" and len(fired.coats) > 1:
        yield 0, _named(first, f"on {fired.metal.name}, and fired again")


@_risk("MANY-FIRINGS")
def _many_firings(fired: Fired) -> Iterator[tuple[int, str]]:
    for place, coat in enumerate(fired.coats):
        if _family(coat) in WARM and coat.firings > limit("risk/warm_firings"):
            yield place, _named(coat, f"{coat.firings} firings")


@_risk("GOLD-ON-COPPER")
def _gold_on_copper(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if fired.on_copper and first and first.jar.gold_bearing and first.jar.see_through:
        yield 0, _named(first, f"gold-bearing, on {fired.metal.name}")


@_risk("RED-FILM")
def _red_film(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if fired.on_copper and first and first.jar.kind == "flux" and all(one.jar.see_through for one in fired.coats):
        yield 0, _named(first, f"on {fired.metal.name}")


@_risk("THIN-ON-COPPER")
def _thin_on_copper(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if not fired.on_copper or first is None or first.jar.kind in {"flux", "painting", "ground", "counter"}:
        return
    if first.thickness is not None and first.thickness < limit("risk/thin_coat"):
        yield 0, _named(first, "thin, on copper")


@_risk("CADMIUM-ON-COPPER")
def _cadmium_on_copper(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if fired.on_copper and first and _cadmium(first) and _family(first) in CADMIUM_COLOURS and len(fired.coats) == 1:
        yield 0, _named(first, f"one coat, on {fired.metal.name}")


@_risk("DARK-ON-COPPER")
def _dark_on_copper(fired: Fired) -> Iterator[tuple[int, str]]:
    first = fired.first
    if fired.on_copper and first and first.jar.kind == "transparent" and _family(first) in DEEP:
        yield 0, _named(first, f"{_family(first)}, on {fired.metal.name}")


@_risk("CADMIUM-HEAT")
def _cadmium_heat(fired: Fired) -> Iterator[tuple[int, str]]:
    for place, coat in enumerate(fired.coats):
        if _cadmium(coat) and place + 1 < len(fired.coats):
            yield place, _named(coat, "holds cadmium, and is fired again")


@_risk("CADMIUM-BY-LEAD")
def _cadmium_by_lead(fired: Fired) -> Iterator[tuple[int, str]]:
    for place, (lower, upper) in enumerate(zip(fired.coats, fired.coats[1:], strict=False)):
        pair = {lower.jar.hazards.lead, upper.jar.hazards.lead}
        if (_cadmium(lower) != _cadmium(upper)) and "yes" in pair:
            yield place + 1, f"{upper.jar.name} on {lower.jar.name}: one holds cadmium, one lead"


@_risk("OPAL-TIME")
def _opal_time(fired: Fired) -> Iterator[tuple[int, str]]:
    for place, coat in enumerate(fired.coats):
        if coat.jar.kind == "opal" and coat.firings > limit("risk/opal_firings"):
            yield place, _named(coat, f"{coat.firings} firings")
