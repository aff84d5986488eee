"""How hot, how often and in which order of heat."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from enamelwright.craft.coat import STAGES
from enamelwright.craft.jar import WARM
from enamelwright.craft.layup import Layer
from enamelwright.craft.operation import Firing
from enamelwright.craft.practice import held_down
from enamelwright.craft.rules.barrier import at
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.shown import degrees
from enamelwright.craft.verdict import Place
from enamelwright.figure import Figure, Origin
from enamelwright.reference.loader import value


def _count(number: int, source: str) -> Figure:
    return Figure.exact(float(number), "count", Origin(kind="computed", source=source))


@rule("STAGE-CAP")
def cap_passed(case: Case) -> Iterator[Finding]:
    """Find a firing hotter than an earlier coat is meant to see again."""
    for layer in case.layup.layers:
        if layer.coat.cap is None:
            continue
        for firing in case.later_firings(layer):
            point = firing.window.set_point if firing.window is not None else None
            if point is not None and point.value > layer.coat.cap:
                yield Finding(
                    because=(
                        f"{layer.words}: not above {degrees(layer.coat.cap)}",
                        f"firing {firing.number} is set near {degrees(point.value)}",
                    ),
                    place=at(layer, firing.number),
                    figure=point,
                )
                break


@rule("HEAT-BUDGET")
def too_many_firings(case: Case) -> Iterator[Finding]:
    """Find a colour of the front that goes through more firings than its jar is known to survive."""
    for layer in case.layup.on("front"):
        most = layer.jar.fusing.firings
        count = len(case.hot_firings(layer))
        if most is not None and count > most:
            yield Finding(
                because=(f"{layer.words}: {count} firings planned, {most} survived",),
                place=at(layer),
                figure=_count(count, "firings this coat goes through"),
            )


@rule("WARM-LAST")
def warm_too_early(case: Case) -> Iterator[Finding]:
    """Find a warm colour that several later full firings heat again; a flash is short and does not count."""
    most = value("trade/warm_firings_after")
    for layer in case.layup.on("front"):
        count = sum(not firing.flash for firing in case.later_firings(layer))
        if layer.jar.optics.family in WARM and count >= most:
            yield Finding(
                because=(f"{layer.words}: heated {count} more times after its own firing",),
                place=at(layer),
                figure=_count(count, "later firings"),
            )


@rule("GRIS-FALL")
def rising_heat(case: Case) -> Iterator[Finding]:
    """Find a grisaille firing of the front that is hotter than the one before."""
    if case.technique != "grisaille":
        return
    fronts = [f for f in case.firings if f.loaded in {"front", "both"} and f.window is not None]
    for before, after in pairwise(fronts):
        one = before.window.set_point if before.window is not None else None
        other = after.window.set_point if after.window is not None else None
        if one is not None and other is not None and other.low > one.high:
            yield Finding(
                because=(
                    f"firing {before.number}: up to {degrees(one.high)}",
                    f"firing {after.number}: from {degrees(other.low)}",
                ),
                place=Place(face="front", firing=after.number),
                figure=other,
            )


@rule("HIGH-FIRE")
def high_fire(case: Case) -> Iterator[Finding]:
    """Find a firing so hot that the order rules are broken by it."""
    limit = value("trade/high_fire")
    for firing, heat in case.heats:
        if heat.set_point.value >= limit:
            yield Finding(
                because=(
                    f"firing {firing.number} is set near {degrees(heat.set_point.value)}",
                    f"high fire begins at {degrees(limit)}",
                ),
                place=Place(firing=firing.number),
                figure=heat.set_point,
            )
            return


@rule("START")
def start_not_said(case: Case) -> Iterator[Finding]:
    """Find firing times that do not say what they are counted from."""
    if case.piece.firing.start == "unknown":
        own = [case.piece.firing.seconds, *(layer.coat.seconds for layer in case.layup.layers)]
        timed = any(seconds is not None for seconds in own)
        yield Finding(because=("firing.start is 'unknown'",), severity=None if timed else "note")


@rule("FIRST-O")
def first_coat_not_bonded(case: Case) -> Iterator[Finding]:
    """Find a first coat on metal that is to be left at sugar while more is laid over it."""
    short = STAGES.index("orange peel")
    for layer in case.layup.layers:
        wanted = layer.coat.target
        if wanted is None or STAGES.index(wanted) >= short or case.below(layer) or not case.on_metal(layer):
            continue
        if any(other.place > layer.place and not other.coat.fired for other in case.layup.on(layer.coat.face)):
            yield Finding(because=(f"{layer.words}: left at {wanted}",), place=at(layer))


@rule("HEAT-HELD")
def held_too_low(case: Case) -> Iterator[Finding]:
    """Find the firing that a ceiling holds furthest below what its hardest coat wants."""
    found = [(firing, held_down(firing, case.layup, case.bench)) for firing in case.firings]
    short = [
        (held.wanted - held.middle, firing, held)
        for firing, held in found
        if held is not None and held.wanted - held.middle > value("trade/heat_held")
    ]
    if not short:
        return
    _, firing, held = max(short, key=lambda entry: entry[0])
    others = ", ".join(str(other.number) for _, other, _ in short if other is not firing)
    because = [
        f"{held.layer.words}: wants about {degrees(held.wanted)}",
        f"firing {firing.number} is held near {degrees(held.middle)}: {held.reason}",
    ]
    if others:
        because.append(f"held down as well: firing {others}")
    point = firing.window.set_point if firing.window is not None else None
    yield Finding(because=tuple(because), place=at(held.layer, firing.number), figure=point)


_MAYBE_GOLD = (
    "A red or pink transparent may hold gold: lay it last and coolest, give it more time rather than more heat, "
    "and fire a tile first."
)


def _maybe_gold(layer: Layer) -> bool:
    return layer.jar.kind == "transparent" and layer.jar.optics.family in {"red", "pink"}


def _set_near(firings: Iterable[Firing]) -> tuple[float, int] | None:
    """Return the highest set point among some firings [K] with the number of its firing."""
    return max(
        (
            (firing.window.set_point.value, firing.number)
            for firing in firings
            if firing.window is not None and firing.window.set_point is not None
        ),
        default=None,
    )


@rule("GOLD-LAST")
def gold_not_last_and_coolest(case: Case) -> Iterator[Finding]:
    """Find a gold-bearing colour fired hotter than the coat under it, or heated hotter later.

    A red or pink transparent that nobody calls gold-bearing gets an advice line; a flash is short and
    does not count, and settings closer than the tolerance of hardness are the same setting.
    """
    same = value("trade/hardness_tolerance")
    for layer in sorted(case.layup.on("front"), key=lambda layer: not layer.jar.gold_bearing):
        if not (layer.jar.gold_bearing or _maybe_gold(layer)):
            continue
        own = _set_near(f for f in case.firings if f.number in case.laid_in(layer))
        later = _set_near(f for f in case.later_firings(layer) if not f.flash)
        beneath = {number for lower in case.below(layer) for number in case.laid_in(lower)}
        under = _set_near(f for f in case.firings if f.number in beneath)
        because = []
        if own is not None and later is not None and later[0] > own[0] + same:
            because.append(f"heated again in firing {later[1]}, set near {degrees(later[0])}")
        if own is not None and under is not None and own[0] > under[0] + same:
            because.append(f"the coat under it is fired near {degrees(under[0])}")
        if own is not None and because:
            yield Finding(
                because=(f"{layer.words}: fired near {degrees(own[0])}", *because),
                place=at(layer, own[1]),
                severity=None if layer.jar.gold_bearing else "note",
                words="" if layer.jar.gold_bearing else _MAYBE_GOLD,
            )
            return


@rule("MATURITY-ODD")
def odd_maturity(case: Case) -> Iterator[Finding]:
    """Find a jar whose maturity is outside what enamels for metal usually have."""
    low, high = value("trade/maturity_lowest"), value("trade/maturity_highest")
    seen: set[str] = set()
    for layer in case.layup.layers:
        maturity = layer.jar.fusing.maturity
        if maturity is None or low <= maturity <= high or layer.jar.id in seen:
            continue
        seen.add(layer.jar.id)
        yield Finding(
            because=(f"{layer.jar.name}: {degrees(maturity)}, usual {degrees(low)} to {degrees(high)}",),
            place=at(layer),
        )
