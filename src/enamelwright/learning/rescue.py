"""Rescue of a piece, now: what can be done about a fault tonight, in order, what it costs, and whether waiting hurts.

Ways are rows of `reference/trade/rescues`. Each is weighed against the causes that lead on this piece by
`reference/trade/rescue_causes`: one that goes at the cause comes forward, one that leaves the cause as it is says so
and goes back, one that repeats it goes last. So does what this piece does not bear: a warm colour with no firing left,
a lead-free cap over leaded glass. With no telling sign the order is that of the table. Nothing here is done unasked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from pydantic import BaseModel, ConfigDict

from enamelwright import units
from enamelwright.craft.description import Described
from enamelwright.learning.fault_atlas import atlas
from enamelwright.learning.fault_finder import Ranked
from enamelwright.learning.fault_signs import FaultFacts, Sign, Words, signs
from enamelwright.reference import loader
from enamelwright.reference.loader import Row

OTHER = "other"
"""Fault of the table for whatever is in no atlas."""
HOT = "Infrared glasses and long gloves at the door; the piece stays hot long after it looks cold."
STRIP = "Grind stuck enamel off wet, or let it be: never hydrofluoric acid or fluoride creams, whose burns can kill."
WET = "Grind wet, with a mask against the dust; the sludge is glass, and some of it holds lead or cadmium."

_WORTH = {"mends": 1.0, "leaves": -1.0, "repeats": -2.0}
"""What a way is worth against a cause; only which is more matters."""
_NEVER_FIRST = 10.0
"""Taken from the worth of a way the piece does not bear: more than causes can make up."""


class Heats(Described):
    """What the kiln would be set to for a way out, in words; empty where it is not known.

    Attributes
    ----------
    as_then, hotter, cooler, early, longer : str
        As in the firing it came from, hotter and shorter, cooler, at the early end, and longer than then.
    """

    as_then: Words = ""
    hotter: Words = ""
    cooler: Words = ""
    early: Words = ""
    longer: Words = ""


class Option(BaseModel):
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
    fits : tuple of str
        How it goes at what leads among the causes.
    heed : tuple of str
        What it leaves as it is; such a way comes after those that leave nothing.
    against : tuple of str
        Why it repeats the fault, or why this piece does not bear it; such a way comes last.
    cautions : tuple of str
        What can hurt.
    source : str
        Where it comes from and how far it can be trusted.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

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
    fits: tuple[str, ...]
    heed: tuple[str, ...]
    against: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str


_WAITING = {
    "worse": "Waiting makes it worse: scale, dirt and strain go on working.",
    "no": "It can wait.",
}


def options(
    fault: str,
    facts: FaultFacts,
    leads: Sequence[tuple[Ranked, float]] = (),
    heats: Heats | None = None,
    plan_firings: int = 0,
) -> tuple[Option, ...]:
    """List the ways, the one to try first at the top.

    Parameters
    ----------
    fault : str
        Id of the fault; anything else is taken as a fault nobody knows.
    facts : FaultFacts
        Of the piece.
    leads : sequence of (Ranked, float)
        Of :func:`~enamelwright.learning.fault_finder.leading`: causes each way is weighed against, with their shares.
    heats : Heats, optional
        What the kiln would be set to.
    plan_firings : int
        Firings of the whole plan, for what is laid anew; 0 when not known.
    """
    told = signs(facts)
    found = []
    for row in _rows(fault):
        if row["only"] and not _holds(row["only"], told, facts):
            continue
        way = _ways()[row["way"]]
        firings = None if row["way"] == "strip" else int(row["firings"] or way["firings"])
        fits, heed, repeats, worth = _against_causes(row, leads, told, facts)
        cannot = _cannot(row, way, firings or 0, told, facts)
        hot = getattr(heats, row["heat"].replace(" ", "_")) if heats is not None and row["heat"] else ""
        option = Option(
            way=row["way"], name=way["name"], words=" ".join(filter(None, (row["words"], _where(row, facts), hot))),
            firings=firings, firings_words=_firings_words(firings, plan_firings), colour=_colour(way, facts),
            flatness=_flatness(row, way, facts), hand=way["hand"], waiting=_WAITING[row["waiting"]], why=row["why"],
            fits=fits, heed=heed, against=(*cannot, *repeats), cautions=_cautions(row, way),
            source=f"{loader.sources()[row['source']].words()} ({row['status']})",
        )  # fmt: skip
        found.append((worth - _NEVER_FIRST * bool(option.against), option))
    found.sort(key=lambda one: -one[0])  # a stable sort keeps the order of the table
    return tuple(option for _, option in found)


def waits(found: Sequence[Option]) -> bool:
    """Whether the piece may wait: False when the first way is worse off by waiting."""
    return not found or found[0].waiting == _WAITING["no"]


def heats_of(fault: str) -> frozenset[str]:
    """Return which fields of :class:`Heats` the ways of a fault want.

    Parameters
    ----------
    fault : str
        Id, or anything else for a fault nobody knows.
    """
    return frozenset(row["heat"].replace(" ", "_") for row in _rows(fault) if row["heat"])


def _rows(fault: str) -> tuple[Row, ...]:
    return _table().get(fault if fault in atlas() else OTHER, ())


@cache
def _table() -> dict[str, tuple[Row, ...]]:
    table: dict[str, list[Row]] = {}
    for row in loader.rows("trade/rescues"):
        table.setdefault(row["fault_id"], []).append(row)
    return {fault: tuple(rows) for fault, rows in table.items()}


@cache
def _ways() -> dict[str, Row]:
    return {row["way"]: row for row in loader.rows("trade/rescue_ways")}


@cache
def _verdicts() -> dict[tuple[str, str, int], tuple[Row, ...]]:
    table: dict[tuple[str, str, int], list[Row]] = {}
    for row in loader.rows("trade/rescue_causes"):
        table.setdefault((row["fault_id"], row["place"], int(row["rank"])), []).append(row)
    return {key: tuple(rows) for key, rows in table.items()}


def _against_causes(
    row: Row, leads: Sequence[tuple[Ranked, float]], told: Mapping[str, Sign], facts: FaultFacts
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], float]:
    """Weigh one way against the causes that lead: how it fits, what it leaves, what it repeats, and its worth."""
    fits, heed, repeats, worth = list[str](), list[str](), list[str](), 0.0
    for n, (one, share) in enumerate(leads):
        rows = _verdicts().get((row["fault_id"], row["place"], one.cause.number), ())
        here = [each for each in rows if _holds(each["when"], told, facts)]
        worth += share * min((_WORTH[each["effect"]] for each in here), default=0.0)
        for each in here:
            words = each["words"] if len(leads) == 1 else f"If it was {one.cause.words}: {_low(each['words'])}"
            if each["effect"] == "mends":
                fits.append(words)
            elif each["effect"] == "repeats" and n == 0:
                repeats.append(words)
            else:
                heed.append(words)
    return tuple(fits), tuple(heed), tuple(repeats), worth


def _low(words: str) -> str:
    return words[:1].lower() + words[1:]


def _holds(conditions: str, told: Mapping[str, Sign], facts: FaultFacts) -> bool:
    """Whether all of some conditions hold: names of signs, or a face that carries more; ``not`` before any turns it."""
    for condition in filter(None, conditions.split(";")):
        name = condition.removeprefix("not ")
        if name.endswith(" heavier"):
            holds = bool(told["uneven faces"].holds) and _heavier(facts) == name.removesuffix(" heavier")
        else:
            holds = bool(told[name].holds)
        if holds == condition.startswith("not "):
            return False
    return True


def _heavier(facts: FaultFacts) -> str:
    """Return the face that carries more powder; empty when that is not known or neither does."""
    if facts.front_powder is None or facts.back_powder is None or facts.front_powder == facts.back_powder:
        return ""
    return "front" if facts.front_powder > facts.back_powder else "back"


def _where(row: Row, facts: FaultFacts) -> str:
    """Say which face carries less and by how much, where new glass goes onto that."""
    heavier = _heavier(facts)
    if row["on"] != "thinner" or not heavier or facts.front_powder is None or facts.back_powder is None:
        return ""
    front, back = (units.show(one, "mass", "g") for one in (facts.front_powder, facts.back_powder))
    short = units.show(abs(facts.front_powder - facts.back_powder), "mass", "g")
    less, *both = ("back", back, front) if heavier == "front" else ("front", front, back)
    return (
        f"That is the {less}: {both[0]} of powder lie there, {both[1]} on the other face, so about {short} are wanting."
    )


def _firings_words(firings: int | None, plan_firings: int) -> str:
    if firings is None:
        return f"all {plan_firings} firings of the plan again" if plan_firings else "every firing of the plan again"
    return {0: "no firing", 1: "one firing", 2: "two firings"}.get(firings, f"{firings} firings")


def _fires(way: Row) -> bool:
    return way["firings"] != "0"


def _cannot(row: Row, way: Row, firings: int, told: Mapping[str, Sign], facts: FaultFacts) -> tuple[str, ...]:
    """Return why this piece does not bear a way, whatever the cause."""
    found = []
    left = facts.firings_left
    # A warm colour that has turned already spends nothing under a new coat.
    covered = row["fault_id"] == "redbrown" and row["way"] == "overcoat"
    if _fires(way) and left is not None and left < firings and not covered:
        found.append(
            f"The warm colours on it bear {left} more firing, and this takes {firings}; they turn."
            if left
            else "The warm colours on it bear no further firing; they turn."
        )
    leaded = told["leaded below lead-free"].holds
    if row["way"] in {"refill", "overcoat"} and leaded:
        found.append(
            "Leaded glass lies below: a lead-free cap repeats the fault that made the crack. Only leaded glass may go "
            "over it."
        )
    if row["way"] == "refire" and told["overheated"].holds:
        found.append("It has had too much heat already.")
    if row["way"] == "refire" and leaded:
        found.append("The order that cracked it stays: it is likely to crack again.")
    if row["way"] == "press flat" and told["strained glass"].holds:
        found.append("The plan warns of strain in the glass: it may crack under the weight.")
    if row["on"] == "back" and _heavier(facts) == "back" and told["uneven faces"].holds:
        found.append("The back carries more than the front already.")
    return tuple(found)


def _cautions(row: Row, way: Row) -> tuple[str, ...]:
    found = [row["caution"]] if row["caution"] else []
    if _fires(way):
        found.append(HOT)
    if row["way"] in {"refill", "overcoat", "strip"}:
        found.append(WET)
    if row["way"] == "strip":
        found.append(STRIP)
    return tuple(found)


def _colour(way: Row, facts: FaultFacts) -> str:
    left = facts.firings_left
    if _fires(way) and left is not None:
        return f"{way['colour']} Warm colours on it bear {left} more {'firing' if left == 1 else 'firings'}."
    return way["colour"]


def _flatness(row: Row, way: Row, facts: FaultFacts) -> str:
    heavier = _heavier(facts)
    if row["on"] not in {"front", "back"} or not heavier:
        return way["flatness"]
    other = "back" if row["on"] == "front" else "front"
    if heavier == row["on"]:
        return f"{way['flatness']} The {heavier} carries more already: lay as much on the {other}."
    return f"{way['flatness']} The {other} carries more, so new glass on the {row['on']} evens it."
