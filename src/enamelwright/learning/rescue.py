"""Rescue of a piece, now: what can be done about a fault tonight, in order, what it costs, and whether waiting hurts.

Ways are rows of `reference/trade/rescues`; what the piece bears puts some of them back: a warm colour with no firing
left, a lead-free cap over leaded glass, a bow that more glass would add to. Nothing here is done unasked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.learning.fault_atlas import atlas
from enamelwright.learning.fault_signs import FaultFacts, signs
from enamelwright.reference import loader

OTHER = "other"
"""Fault of the table for whatever is in no atlas."""
HOT = "Infrared glasses and long gloves at the door; the piece stays hot long after it looks cold."
STRIP = "Grind stuck enamel off wet, or let it be: never hydrofluoric acid or fluoride creams, whose burns can kill."
WET = "Grind wet, with a mask against the dust; the sludge is glass, and some of it holds lead or cadmium."


@dataclass(frozen=True)
class Option:
    """One way.

    Attributes
    ----------
    way, name : str
        Id and name.
    words : str
        What to do.
    firings : int or None
        Firings it takes; None when every firing of the plan comes again.
    firings_words, colour, flatness, hand : str
        What it costs.
    waiting : str
        What waiting does.
    why : str
        Why it is offered.
    against : tuple of str
        What speaks against it on this piece; such a way comes after the others.
    cautions : tuple of str
        What can hurt.
    source : str
        Where it comes from and how far it can be trusted.
    """

    way: str
    name: str
    words: str
    firings: int | None
    firings_words: str
    colour: str
    flatness: str
    hand: str
    waiting: str
    why: str
    against: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str


_WAITING = {
    "worse": "Waiting makes it worse: scale, dirt and strain go on working.",
    "no": "It can wait.",
}


def options(
    fault: str, facts: FaultFacts, window: str = "", plan_firings: int = 0, hotter: str = ""
) -> tuple[Option, ...]:
    """List the ways, the one to try first at the top.

    Parameters
    ----------
    fault : str
        Id of the fault; anything else is taken as a fault nobody knows.
    facts : FaultFacts
        Of the piece.
    window : str
        Setting and time a refire would take, in words; empty when not known.
    plan_firings : int
        Firings of the whole plan, for what is laid anew; 0 when not known.
    hotter : str
        The same as `window` for a way that is to be fired hotter.
    """
    key = fault if fault in atlas() else OTHER
    ways = {row["way"]: row for row in loader.rows("trade/rescue_ways")}
    known = loader.sources()
    found = []
    for row in loader.rows("trade/rescues"):
        if row["fault_id"] != key:
            continue
        way = ways[row["way"]]
        against, cautions = _against(row["way"], facts), _cautions(row["way"], row["caution"])
        words = row["words"]
        at = hotter if row["heat"] == "hotter" else window
        if at and way["firings"] != "0":
            words = f"{words} {at}"
        firings = None if row["way"] == "strip" else int(way["firings"])
        found.append(
            Option(
                row["way"], way["name"], words, firings, _firings_words(firings, plan_firings),
                _colour(row["way"], way["colour"], facts), _flatness(row["way"], way["flatness"], facts), way["hand"],
                _WAITING[row["waiting"]], row["why"], against, cautions,
                f"{known[row['source']].words()} ({row['status']})",
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda one: len(one.against) > 0))  # a stable sort keeps the order of the table


def waits(found: Sequence[Option]) -> bool:
    """Whether the piece may wait: False when the first way is worse off by waiting."""
    return not found or found[0].waiting == _WAITING["no"]


def _firings_words(firings: int | None, plan_firings: int) -> str:
    if firings is None:
        return f"all {plan_firings} firings of the plan again" if plan_firings else "every firing of the plan again"
    return {0: "no firing", 1: "one firing"}.get(firings, f"{firings} firings")


def _against(way: str, facts: FaultFacts) -> tuple[str, ...]:
    told = signs(facts)
    found = []
    fires = way in {"refire", "refill", "overcoat", "press flat"}
    if fires and facts.firings_left == 0:
        found.append("The warm colours on it bear no further firing; they turn.")
    if way in {"refill", "overcoat"} and told["leaded below lead-free"].holds:
        found.append(
            "Leaded glass lies below: a lead-free cap repeats the fault that made the crack. Only leaded glass may go "
            "over it."
        )
    if way == "refire" and told["overheated"].holds:
        found.append("It has had too much heat already.")
    if way == "refire" and told["leaded below lead-free"].holds:
        found.append("The order that cracked it stays: it is likely to crack again.")
    if way == "press flat" and told["strained glass"].holds:
        found.append("The plan warns of strain in the glass: it may crack under the weight.")
    return tuple(found)


def _cautions(way: str, own: str) -> tuple[str, ...]:
    found = [own] if own else []
    if way in {"refire", "refill", "overcoat", "press flat"}:
        found.append(HOT)
    if way in {"refill", "overcoat", "strip"}:
        found.append(WET)
    if way == "strip":
        found.append(STRIP)
    return tuple(found)


def _colour(way: str, usual: str, facts: FaultFacts) -> str:
    if way in {"refire", "refill", "overcoat", "press flat"} and facts.firings_left is not None:
        left = facts.firings_left
        return f"{usual} Warm colours on it bear {left} more {'firing' if left == 1 else 'firings'}."
    return usual


def _flatness(way: str, usual: str, facts: FaultFacts) -> str:
    if way in {"refill", "overcoat"} and facts.front_powder and facts.back_powder:
        if facts.front_powder > facts.back_powder:
            return f"{usual} The front carries more already: lay as much on the back."
        return f"{usual} The back carries more, so new glass in front evens it."
    return usual
