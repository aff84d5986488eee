"""What may be sold where: dated records of what rules say of lead and cadmium, never a judgement of a piece.

An answer names the rule, its number, what it says of enamel and what to do next. It never says that a piece
may or may not be sold; that is for the text in force, a laboratory and the authority of the place.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

from enamelwright.craft.health.limits import limits
from enamelwright.reference.loader import rows, sources

Market = Literal["EU", "Great Britain", "US federal", "US California", "elsewhere"]
Use = Literal["jewellery", "child", "mouth", "food", "decorative"]
Outcome = Literal[
    "restricted", "limit", "laboratory test", "exempt wording", "other parts only", "check the text", "ask"
]

#: Outcomes, those that ask for most first, with what they ask for.
NEXT: dict[Outcome, str] = {
    "restricted": "Restricted: look at the text in force before anything else.",
    "limit": "A limit: a laboratory measures the fired piece.",
    "laboratory test": "A laboratory test of the fired piece.",
    "check the text": "Check the text in force: what it says of enamel was not seen whole.",
    "ask": "No number is known here: ask the authority for consumer goods.",
    "other parts only": "Written for other parts, such as metal and findings: have those tested.",
    "exempt wording": "The text has wording that exempts some glass: read it yourself, and test the other parts.",
}
#: Uses for which only enamels without lead and cadmium should be thought of.
STRICT: frozenset[Use] = frozenset({"child", "mouth", "food"})


@dataclass(frozen=True)
class Rule:
    """One record.

    Attributes
    ----------
    id, market, use, metal : str
        Key; where; for what; ``lead``, ``cadmium`` or ``both``.
    outcome : str
        One of :data:`NEXT`.
    number, rule, on_enamel, date, status, locator, note : str
        The number with its unit; which text; what it says of enamel in our words; since when; how well it is
        known here; where in the source; remark.
    source : str
        Cited on one line.
    """

    id: str
    market: str
    use: str
    metal: str
    outcome: Outcome
    number: str
    rule: str
    on_enamel: str
    date: str
    status: str
    locator: str
    note: str
    source: str

    def next_step(self) -> str:
        """Say what to do about it."""
        return NEXT[self.outcome]


@lru_cache(maxsize=1)
def _shown() -> dict[str, str]:
    """Return every limit as it is printed, by name."""
    return {name: one.shown().replace(" ug", " µg") for name, one in limits().items()}


@lru_cache(maxsize=1)
def records() -> tuple[Rule, ...]:
    """Return every record, in the order of the table."""
    known = sources()
    found = []
    for row in rows("health/sell_where"):
        told = {name: row[name] for name in Rule.__dataclass_fields__ if name != "source"}
        assert told["outcome"] in get_args(Outcome)
        # what a limit says stands in the table of limits, and is put in here
        told |= {name: told[name].format_map(_shown()) for name in ("number", "on_enamel", "note")}
        cited = "; ".join(known[key.strip()].words() for key in row["source"].split(";"))
        found.append(Rule(**told, source=cited))  # type: ignore[arg-type]
    return tuple(found)


def rules_for(market: Market, use: Use, lead: str, cadmium: str) -> tuple[Rule, ...]:
    """Return the records that speak of a piece, those that ask for most first.

    Parameters
    ----------
    market, use : str
        Where it is sold, and for what.
    lead, cadmium : str
        Whether its enamels hold them: ``yes``, ``no``, ``mixed`` or ``unknown``. A metal that no enamel holds
        still has its records, since solder, findings and the metal itself may hold it.
    """
    markets = {market, "US federal"} if market == "US California" else {market}
    order = list(NEXT)
    wanted = {use, "jewellery", "child"} if use == "mouth" else {use, "any"}
    found = [one for one in records() if one.market in markets and one.use in wanted | {"any"}]
    if not found:
        found = [one for one in records() if one.market == "elsewhere" and one.use in {use, "jewellery"}]
    held = {"lead": lead != "no", "cadmium": cadmium != "no", "both": "no" not in (lead, cadmium)}
    found.sort(key=lambda one: (not held[one.metal], order.index(one.outcome)))
    # a thing for the mouth meets the texts for children and for jewellery, and where they say the same, once
    return tuple({(one.market, one.metal, one.rule, one.number): one for one in reversed(found)}.values())[::-1]


def first_words(use: Use, lead: str, cadmium: str) -> str:
    """Say first what follows from the use, before any rule.

    Parameters
    ----------
    use : str
        For what.
    lead, cadmium : str
        Whether its enamels hold them.
    """
    held = [name for name, one in (("lead", lead), ("cadmium", cadmium)) if one in {"yes", "mixed"}]
    unknown = [name for name, one in (("lead", lead), ("cadmium", cadmium)) if one == "unknown"]
    if use in STRICT:
        what = {"child": "For a child", "mouth": "For something that goes into the mouth", "food": "For food"}[use]
        if held:
            return f"{what}: not with these enamels, they hold {' and '.join(held)}. Choose others."
        if unknown:
            return f"{what}: not before it is known whether these enamels hold {' or '.join(unknown)}."
        return (
            f"{what}: enamels without lead and cadmium are where to begin; a laboratory report comes before any sale."
        )
    if held:
        return f"These enamels hold {' and '.join(held)}: say so to whoever buys, and read the texts below."
    if unknown:
        return f"Not known whether these enamels hold {' or '.join(unknown)}: ask their supplier first."
    return "These enamels are told to hold neither lead nor cadmium; solder, findings and base metal still count."
