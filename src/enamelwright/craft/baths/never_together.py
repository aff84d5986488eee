"""What may not go into one container: whatever is not known to go together, and why the worst of it must not."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from enamelwright.craft.baths.bath_made import KINDS, chemistry
from enamelwright.reference.loader import Row, rows, source_keys

#: What stands for something of which nothing is known.
UNKNOWN = "unknown"
#: Names of which two need not be the same: a bath or an acid of unknown make, one oxidiser and another.
UNSAID = frozenset({"other", "acid", "oxidiser"})
#: What is said of what nobody has named.
UNKNOWN_WORDS = "unknown contents: a container of its own"
#: What the people who take waste in need, where nothing worse is known of a pair.
_SORTED = "a mixture that the people who take it in cannot sort"
#: Letters of the chart -> words, the worst first; P, which is plastics setting, is felt as heat.
_SAID = {
    "GT": "poisonous gas", "E": "an explosion", "F": "fire", "GF": "gas that burns", "H": "heat",
    "P": "heat", "G": "gas that bursts a closed lid",
}  # fmt: skip
#: Groups of the chart that are acids: mineral, oxidising, organic.
_ACIDS = frozenset({"1", "2", "3"})
#: Words before a name that take it back: "no bleach".
_DENIED = re.compile(r"\b(?:no|not|never|without)\s+(?:any\s+)?$")


@lru_cache(maxsize=1)
def _words() -> tuple[re.Pattern[str], dict[str, str]]:
    """Return the pattern of every beginning of a word, the longest first, and what each is."""
    what = {row["word"]: row["is"] for row in rows("health/waste_words")}
    begins = "|".join(re.escape(word) for word in sorted(what, key=len, reverse=True))
    # "citric acid" names one acid, so its second word is not a further one
    return re.compile(rf"\b({begins})\w*(?:[\s-]+acids?\b)?"), what


@lru_cache(maxsize=1)
def _named() -> dict[str, Row]:
    return {row["key"]: row for row in rows("health/waste_named")}


@lru_cache(maxsize=1)
def _chart() -> dict[frozenset[str], tuple[str, ...]]:
    return {frozenset((row["one"], row["other"])): source_keys(row["gives"]) for row in rows("health/waste_chart")}


@lru_cache(maxsize=1)
def _together() -> frozenset[frozenset[str]]:
    return frozenset(frozenset((row["one"], row["other"])) for row in rows("health/waste_together"))


@lru_cache(maxsize=1)
def pickles() -> frozenset[str]:
    """Return the kinds of bath that the word pickle leaves open, one of unknown make among them."""
    return frozenset(kind for kind in KINDS if chemistry(kind).use == "pickle")


def named_in(text: str) -> frozenset[str]:
    """Return what a label or an entry names: kinds of bath, and other things that end in a container.

    Parameters
    ----------
    text : str
        As written. What it says is not in it does not count; nothing at all when no word of it is known.
    """
    said = text.casefold()
    pattern, what = _words()
    found = {what[one[1]] for one in pattern.finditer(said) if not _DENIED.search(said[: one.start()])}
    if found & (pickles() - {"other"}):
        found -= {"other"}  # the text says which pickle
    return frozenset(found)


def clash(one: str, other: str) -> str:
    """Return what comes of two things in one container; empty when they are known to go together.

    Parameters
    ----------
    one, other : str
        Kinds of bath, or other names as :func:`named_in` gives them. Whatever is not listed counts as unknown.
    """
    if any(each not in _named() for each in (one, other)):
        return UNKNOWN_WORDS
    if one == other:
        return _SORTED if one in UNSAID else ""  # two of which nobody has said the make may be two things
    if frozenset((one, other)) in _together():
        return ""
    for thing, with_it in ((one, other), (other, one)):
        if _named()[thing]["with_acid"] and _ACIDS & set(_groups(with_it)):
            return _named()[thing]["with_acid"]
    found = {
        letter
        for first in (*_groups(one), one)
        for second in (*_groups(other), other)
        for letter in _chart().get(frozenset((first, second)), ())
    }
    return ", ".join(dict.fromkeys(words for letter, words in _SAID.items() if letter in found)) or _SORTED


def _groups(name: str) -> tuple[str, ...]:
    return source_keys(_named()[name]["groups"])


def refusal(held: Iterable[str], told: Iterable[str]) -> str:
    """Say why something does not go into a container; empty when it may.

    Parameters
    ----------
    held, told : iterable of str
        What is in it, nothing when it is empty, and what is to go in, nothing when it names nothing known.
    """
    inside, more = sorted(set(held)), sorted(set(told)) or [UNKNOWN]
    found = [(one, other, clash(one, other)) for other in more for one in inside]
    if any(said == UNKNOWN_WORDS for _, _, said in found):
        return UNKNOWN_WORDS
    return next((f"it holds {_called(a)}, and {_called(b)} with it gives {said}" for a, b, said in found if said), "")


def _called(what: str) -> str:
    return _named()[what]["words"]
