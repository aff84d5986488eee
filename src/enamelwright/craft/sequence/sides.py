"""Which side goes first, and how the loads of both faces are laid into one order.

The rules of the trade are asked in the order: painted, flux or transparent first, thin, thick with a
bare back, otherwise back first. What the maker or the house decided comes before them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from enamelwright.craft.bench import Bench
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.piece import PAINTED
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.sequence.loads import Load, open_backed, see_through
from enamelwright.craft.verdict import Advice, Place
from enamelwright.reference.loader import fact

Side = Literal["back", "front", "both", "back complete", "one"]


@dataclass(frozen=True)
class SideChoice:
    """Which side goes first, and why.

    Parameters
    ----------
    side : str
        ``back``, ``front``, ``both``, ``back complete`` (all back coats before the front) or ``one``.
    rule : str
        Rule of the table that decided.
    words : str
        The reason, for the plan.
    sources : tuple of str
        Where the rule comes from, as recorded.
    """

    side: Side
    rule: str
    words: str
    sources: tuple[str, ...] = ()

    def advice(self) -> Advice:
        """Return it as a line of the plan."""
        face: Literal["front", "back", ""] = "front" if self.side == "front" else "back" if self.side != "both" else ""
        return Advice(rule=self.rule, words=self.words, sources=self.sources, place=Place(face=face))


_TRADE = ("trade web page, unverified",)
_PENDANT = ("published: Glass on Metal, introductory two-sided pendant article",)
_OWN = ("the maker's own decision",)


def scales(layup: Layup) -> bool:
    """Tell whether the bare metal grows a dark scale in every firing, as copper, its alloys and steel do."""
    return layup.metal.family in {"copper", "copper_zinc", "steel"}


def clears(layup: Layup) -> bool:
    """Tell whether clear glass must take up a red oxide skin on this metal; silver, gold and steel have none."""
    return layup.metal.family in {"copper", "copper_zinc"}


def skinned(layup: Layup) -> bool:
    """Tell whether the metal wears a raised fine-silver skin that no abrasive may touch."""
    return layup.metal.id == "sterling_silver"


def oxidises(layup: Layup) -> bool:
    """Tell whether the bare metal grows an oxide that must be cleaned away."""
    return scales(layup) or skinned(layup)


def is_painted(layup: Layup) -> bool:
    """Tell whether the front is painted, by its jars and methods or because the file says so."""
    front = layup.on("front")
    return layup.piece.technique in PAINTED or any(
        layer.jar.kind == "painting" or layer.coat.method == "paint" for layer in front
    )


def grounded(layer: Layer) -> bool:
    """Tell whether a coat is the ground that steel needs on both faces."""
    return layer.jar.kind == "ground"


def choose_side(layup: Layup, weights: tuple[CoatWeight, ...], bench: Bench) -> SideChoice:
    """Decide which side goes first.

    Parameters
    ----------
    layup : Layup
        The piece.
    weights : tuple of CoatWeight
        In file order.
    bench : Bench
        House rules.
    """
    front, back = layup.on("front"), layup.on("back")
    if not front or not back:
        return _single(layup, weights)
    choice = _decided(layup, bench) or _by_rule(layup, front, back)
    return _under_way(choice, layup)


def _under_way(choice: SideChoice, layup: Layup) -> SideChoice:
    """Give the reason as the piece stands now: a face that carries glass is neither bare nor first."""
    fired = {layer.coat.face for layer in layup.layers if layer.coat.fired}
    if not fired:
        return choice
    if len(fired) == 2:
        words = "Both faces already carry glass; the order goes on from there."
    elif "front" in fired:
        words = "The front already carries glass, so the back comes next."
    else:
        words = "The back already carries glass, so the front comes next."
    return replace(choice, words=words)


def _single(layup: Layup, weights: tuple[CoatWeight, ...]) -> SideChoice:
    front = layup.on("front")
    if open_backed(layup) and not see_through(layup):
        return SideChoice(
            "one", "SIDE-OPEN", "The shell stays bare behind the glass: it is etched away at the end.", _TRADE
        )
    if open_backed(layup):
        return SideChoice("one", "SIDE-OPEN", "Open cells have no back: front and back glass melt together.", _TRADE)
    if not front:
        return SideChoice("one", "SIDE-BACK", "Only the back is laid in this plan.", ())
    thick = layup.thickness >= fact("trade/counter_no").value
    if layup.piece.form == "sheet" and thick and _thin_glass(layup, weights):
        return SideChoice(
            "one",
            "SIDE-5",
            "The metal is thick for so little glass, so the back may stay bare; "
            "the ratio alone promises nothing on an uneven section.",
            _TRADE,
        )
    return SideChoice("one", "SIDE-FRONT", "There is no counter-enamel in this plan: only the front is fired.", ())


def _thin_glass(layup: Layup, weights: tuple[CoatWeight, ...]) -> bool:
    """Tell whether the front is one coat deep and thin against the metal."""
    front = layup.on("front")
    named = [name for layer in front for name in layer.coat.cells]
    one_deep = len(front) == 1 or (all(layer.coat.cells for layer in front) and len(named) == len(set(named)))
    most = fact("trade/counter_bare_ratio").value * layup.thickness
    return one_deep and all(_glass(weights[layer.number], layer) <= most for layer in front)


def _glass(weight: CoatWeight, layer: Layer) -> float:
    """Return the glass of a coat in all its layings; a fill is told by its final glass already."""
    return weight.fired_thickness.value * (1 if layer.coat.fill else weight.layings)


def _decided(layup: Layup, bench: Bench) -> SideChoice | None:
    habits = layup.piece.firing
    if habits.both_at_once:
        words = "Both sides at once, as the file asks: the faces stay in balance in every firing."
        return SideChoice("both", "SIDE-OWN", words, _OWN)
    first = bench.house.first_side
    if first == "both" and habits.both_at_once is None:
        return SideChoice("both", "SIDE-HOUSE", "Both sides at once, as this house does.", _OWN)
    if first in {"front", "back"}:
        return SideChoice(
            "front" if first == "front" else "back", "SIDE-HOUSE", f"The {first} first, as this house does.", _OWN
        )
    return None


def _by_rule(layup: Layup, front: tuple[Layer, ...], back: tuple[Layer, ...]) -> SideChoice:
    first = front[0]
    if layup.metal.family == "steel" and grounded(first) and grounded(back[0]):
        words = "Steel: the ground coat goes on both faces in one firing, before the metal can scale."
        return SideChoice("both", "SIDE-STEEL", words, ("published: Guild of Enamellers journal 2010",))
    if is_painted(layup):
        words = "Painted work: the back first and heavy, so that the thin plate holds its form through many firings."
        return SideChoice("back complete", "SIDE-3", words, ("published: Glass on Metal 11(1), 1992",))
    if scales(layup) and first.coat.scratched:
        words = (
            "The front first: the scratched line must oxidise in this firing on metal "
            "that is still free of grease and scale."
        )
        return SideChoice("front", "SIDE-1", words, ("published: Guild of Enamellers, Sgraffito II-III",))
    if clears(layup) and first.jar.kind in {"flux", "transparent"}:
        words = "The front first, to cleared: flux or transparent needs metal that has not yet been through the kiln."
        return SideChoice("front", "SIDE-1", words, _TRADE)
    if layup.piece.form == "sheet" and layup.thickness < fact("trade/thin_both_sides").value:
        if layup.piece.firing.both_at_once is False:
            return SideChoice("back", "SIDE-OWN", "The back first: the file asks for one side at a time.", _OWN)
        words = "Thin metal: both sides at once, because a one-sided firing would bend it."
        return SideChoice("both", "SIDE-4", words, _PENDANT)
    if skinned(layup):
        words = "The back first, only to orange peel; the fine-silver skin keeps the bare front nearly clean of oxide."
    elif oxidises(layup):
        words = "The back first, only to orange peel, so that the scale on the bare front stays loose."
    else:
        words = "The back first, only to orange peel; this metal grows no scale on the bare front."
    return SideChoice("back", "SIDE-2", words, _TRADE)


def merge(front: list[Load], back: list[Load], choice: SideChoice) -> list[Load]:
    """Lay the loads of both faces into one order.

    Further counter coats are spread over the front loads, so a second one comes near half way; on
    painted work the back is complete before the front begins.

    Parameters
    ----------
    front, back : list of Load
        In order, without flash firings.
    choice : SideChoice
        Which side goes first.
    """
    if not front or not back:
        return list(front or back)
    if choice.side == "back complete":
        return _linked([_because(back[0], choice), *back[1:], *front])
    count = len(front)
    slots: dict[int, list[Load]] = {}
    for turn, load in enumerate(back[1:], start=1):
        # A further back coat waits for its share of the front, and never comes before the first front load.
        slots.setdefault(max(1, math.ceil(count * turn / len(back))), []).append(_half_way(load))
    order: list[Load] = []
    if choice.side == "back":
        order.append(_because(back[0], choice))
    for turn, load in enumerate(front, start=1):
        if turn == 1 and choice.side == "both":
            order.append(_because(back[0].with_other(load), choice))
        else:
            order.append(_because(load, choice) if turn == 1 and choice.side == "front" else load)
        if turn == 1 and choice.side == "front":
            order.append(back[0])
        order += slots.get(turn, [])
    return _linked(order)


def _because(load: Load, choice: SideChoice) -> Load:
    return replace(load, why=choice.words)


def _half_way(load: Load) -> Load:
    if load.round > 1:
        return load
    words = "A further counter coat here, so that the back keeps pace with the front instead of pulling at the end."
    return replace(load, why=words)


def _linked(order: list[Load]) -> list[Load]:
    """Join loads whose coats the file wants fired together across the faces.

    The earlier one waits for the later where nothing of its own face lies between; otherwise the later
    comes forward, and where neither can move without upsetting the order of a face the wish is dropped.
    """
    result: list[Load] = []
    for load in order:
        partner = _partner(load, result)
        if partner is None:
            result.append(load)
            continue
        earlier, between = result[partner], result[partner + 1 :]
        joined = replace(
            earlier.with_other(load), why="Both faces in one firing, because the file lays these coats together."
        )
        if not any(set(other.faces) & set(earlier.faces) for other in between):
            result = [*result[:partner], *between, joined]
        elif not any(set(other.faces) & set(load.faces) for other in between):
            result[partner] = joined
        else:
            result.append(load)
    return result


def _partner(load: Load, before: list[Load]) -> int | None:
    mine = {lay.layer.number: lay for lay in load.lays if lay.first}
    for index, other in enumerate(before):
        if set(other.faces) & set(load.faces):
            continue
        theirs = {lay.layer.number: lay for lay in other.lays if lay.last}
        for number, lay in mine.items():
            if lay.layer.coat.with_previous and number - 1 in theirs:
                return index
        for number, lay in theirs.items():
            if lay.layer.coat.with_previous and number - 1 in mine:
                return index
    return None
