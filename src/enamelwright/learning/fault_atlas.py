"""The atlas of faults: every cause that is known for a fault, when and where it shows, and how to tell it from others.

Rows of `reference/trade/faults`. Moments and places there are words of the trade; here they are matched with the words
of the record.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache

from enamelwright.errors import UnknownName
from enamelwright.reference import loader

_SHORT, _NEAR = 3, 3
"""Longest word that is passed over, and most names that are offered."""
_SLIP, _SPELT = 0.8, 0.6
"""How like two words and two whole names must be, from 0 to 1."""

WHENS = ("in the kiln", "first minute", "hours later", "next days", "on stoning", "on setting", "later")
"""When a fault was seen, in the words of the record."""

_MOMENTS: dict[str, tuple[str, ...]] = {
    "kiln": ("in the kiln",),
    "sifting": ("in the kiln",),
    "drying": ("in the kiln",),
    "first firing": ("in the kiln", "first minute"),
    "later firing": ("in the kiln", "later"),
    "cooling": ("first minute",),
    "first minute": ("first minute",),
    "minutes": ("first minute", "hours later"),
    "minutes to hours": ("first minute", "hours later"),
    "minutes to days": ("first minute", "hours later", "next days"),
    "hours": ("hours later",),
    "hours to days": ("hours later", "next days"),
    "days": ("next days", "later"),
    "pickle": ("first minute", "later"),
    "stoning": ("on stoning",),
    "setting": ("on setting",),
    "on handling": ("next days", "later"),
    "years": ("later",),
    "any": WHENS,
}
"""Moments of the atlas in the words of the record."""
_PLACES: dict[str, tuple[str, ...]] = {
    "wire": ("wire", "cell wall", "cloison"),
    "edge": ("edge", "rim", "border"),
    "foil": ("foil",),
    "joint": ("joint", "solder", "seam"),
    "thick": ("thick", "middle of the dome", "heavy"),
    "thin": ("thin",),
    "colour": ("colour", "jar", "accent", "glow", "quarter"),
    "all over": ("all", "whole", "everywhere", "across"),
    "support": ("support", "trivet", "mesh", "point", "back"),
    "corner": ("corner", "rear", "one side"),
    "silver": ("silver",),
    "metal": ("bare", "metal"),
    "stoned": ("stoned", "ground", "sky", "water"),
    "ring": ("ring", "round"),
    "bend": ("bend", "formed", "hammered"),
    "centre": ("centre", "middle"),
}
"""Places of the atlas, by a word they hold, in words a maker may use."""


@dataclass(frozen=True)
class Cause:
    """One cause of one fault.

    Attributes
    ----------
    fault, name : str
        Id and name of the fault.
    number : int
        Place in the atlas, 1 for the most usual.
    words : str
        The cause.
    when, where : str
        When and where it shows, in the words of the atlas.
    test : str
        What tells it from the others.
    remedy, prevention : str
        What to do now and the next time.
    sources : tuple of str
        Cited on one line each.
    status : str
        How far the row can be trusted.
    """

    fault: str
    name: str
    number: int
    words: str
    when: str
    where: str
    test: str
    remedy: str
    prevention: str
    sources: tuple[str, ...]
    status: str

    @property
    def moments(self) -> str:
        """When it shows, in the words of the record."""
        return " or ".join(_MOMENTS.get(self.when, (self.when,)))

    def shows_when(self, when: str) -> bool | None:
        """Whether it is seen at a moment of the record; None when the atlas does not know the moment."""
        moments = _MOMENTS.get(self.when)
        return None if moments is None or not when else when in moments

    def shows_where(self, place: str) -> bool | None:
        """Whether it is seen at a place; None when either may be anywhere."""
        told = place.casefold()
        words = [word for key, words in _PLACES.items() if key in self.where for word in words]
        if not told or not words:
            return None
        if any(word in told for word in words) or self.where in told:
            return True
        known = any(word in told for words in _PLACES.values() for word in words)
        return False if known else None


@lru_cache(maxsize=1)
def atlas() -> dict[str, tuple[Cause, ...]]:
    """Return the causes of every fault by its id, the most usual first."""
    known = loader.sources()
    table: dict[str, list[Cause]] = {}
    for row in loader.rows("trade/faults"):
        cited = {key.strip() for part in ("source", "cause_source") for key in row[part].split(";") if key.strip()}
        table.setdefault(row["fault_id"], []).append(
            Cause(
                row["fault_id"], row["fault"], int(row["rank"]), row["cause"], row["when_seen"], row["where_seen"],
                row["distinguishing_test"], row["remedy"], row["prevention"],
                tuple(known[key].words() for key in sorted(cited)), row["cause_status"],
            )
        )  # fmt: skip
    return {fault: tuple(sorted(causes, key=lambda one: one.number)) for fault, causes in table.items()}


def fault_of(text: str) -> str:
    """Return the id of a fault by its id or its name.

    Parameters
    ----------
    text : str
        As told.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    asked = text.strip().casefold()
    for fault, causes in atlas().items():
        if asked in {fault, causes[0].name.casefold(), causes[0].name.partition("(")[0].strip().casefold()}:
            return fault
    raise UnknownName(f"{_unknown(text)}.", f"{_offer(text)}.")


def near(text: str) -> str:
    """Say in one sentence that no fault is called so, and which names are near.

    Parameters
    ----------
    text : str
        As told.
    """
    return f"{_unknown(text)}; {_low(_offer(text))}."


def _low(words: str) -> str:
    return words[:1].lower() + words[1:]


def _unknown(text: str) -> str:
    return f"no fault is called '{text.strip()[:60]}' here"


def _offer(text: str) -> str:
    names = nearest(text)
    if names:
        return f"Near are {', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else f"Near is {names[0]}"
    return f"None is near; known are {'; '.join(_names().values())}"


def nearest(text: str) -> tuple[str, ...]:
    """Return the names of the faults that are nearest to a text: those that share a word, then those spelt alike.

    Parameters
    ----------
    text : str
        As told.
    """
    names = _names()
    asked = {word.rstrip("s") for word in re.findall(r"\w+", text.casefold()) if len(word) > _SHORT}
    share = [
        fault
        for fault, name in names.items()
        if any(_alike(one, word) for one in asked for word in _words(fault, name))
    ]
    written = {name.casefold(): fault for fault, name in names.items()}
    spelt = get_close_matches(text.strip().casefold(), [*written], n=_NEAR, cutoff=_SPELT)
    share += [written[one] for one in spelt if written[one] not in share]
    return tuple(names[fault] for fault in share[:_NEAR])


def _alike(one: str, other: str) -> bool:
    """Whether two words are one but for their ending: speck, specks; or for a slip."""
    return one.startswith(other) or other.startswith(one) or bool(get_close_matches(one, [other], cutoff=_SLIP))


def _words(fault: str, name: str) -> list[str]:
    return [word for word in re.findall(r"\w+", f"{fault} {name}".casefold()) if len(word) > _SHORT]


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    return {fault: causes[0].name.partition("(")[0].strip() for fault, causes in atlas().items()}


def places(fault: str) -> tuple[str, ...]:
    """Return the places at which a fault may show, in the order of its causes.

    Parameters
    ----------
    fault : str
        Id.
    """
    return tuple(dict.fromkeys(cause.where for cause in atlas().get(fault, ())))
