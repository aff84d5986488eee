"""What may not go into one container: a second chemistry, or what gives gas, heat or fire with the first."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from enamelwright.craft.baths.bath_made import KINDS, chemistry, never_mix
from enamelwright.reference.loader import rows

#: What the people who take waste in need, where nothing worse is known of a pair.
_SORTED = "a mixture that the people who take it in cannot sort"
#: Words before a name that take it back: "no bleach".
_DENIED = re.compile(r"\b(?:no|not|never|without)\s+(?:any\s+)?$")


@lru_cache(maxsize=1)
def _words() -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(rf"\b{re.escape(row['word'])}\b"), row["is"]) for row in rows("health/waste_words"))


@lru_cache(maxsize=1)
def _gives() -> dict[str, str]:
    return {row["key"]: row["gives"] for row in rows("health/never_mix")}


def named_in(text: str) -> frozenset[str]:
    """Return what a label or an entry names: kinds of bath, and keys of the list of what never comes together.

    Parameters
    ----------
    text : str
        As written. What it says is not in it does not count.
    """
    said = text.casefold()
    return frozenset(
        what
        for pattern, what in _words()
        if any(not _DENIED.search(said[: found.start()]) for found in pattern.finditer(said))
    )


def clash(one: str, other: str) -> str:
    """Return what comes of two chemistries in one container; empty when they may share it.

    Parameters
    ----------
    one, other : str
        Kinds of bath, or keys of the list of what never comes together.
    """
    if one == other:
        return ""
    known = [each for each in (one, other) if each in KINDS]
    if len(known) == 2:
        return _of_baths(*known)
    if not known:
        return ""  # two things of which neither is an acid: no list here speaks of them
    bath, thing = known[0], one if known[0] == other else other
    use = chemistry(bath).use
    if use == "water" or thing not in _gives():
        return ""
    if thing == "nitric":
        return _gives()["nitric"] if bath == "nitric acid" else ""
    return _gives()[thing]


def _of_baths(one: str, other: str) -> str:
    uses = {chemistry(each).use for each in (one, other)}  # type: ignore[arg-type]
    if uses == {"water", "pickle"} and "other" not in {one, other}:
        return ""  # grit and rinse water go the way of the pickle
    if "etch" in uses:
        return _gives()["nitric"] if "nitric acid" in {one, other} and uses == {"etch"} else _gives()["etch"]
    if {one, other} == {"vinegar and salt", "citric acid"}:
        return f"{_gives()['citric']}, and {_SORTED}"
    return _SORTED


def refusal(held: Iterable[str], told: Iterable[str]) -> str:
    """Say why something does not go into a container; empty when it may.

    Parameters
    ----------
    held, told : iterable of str
        What is in it, and what is to go in: kinds of bath and keys as :func:`clash` knows them.
    """
    for other in sorted(set(told)):
        for one in sorted(set(held)):
            if found := clash(one, other):
                return f"it holds {_called(one)}, and {_called(other)} with it gives {found}"
    return ""


def _called(what: str) -> str:
    if what == "other":
        return "a bath of unknown make"
    return next((row.other for row, key in zip(never_mix(), _gives(), strict=True) if key == what), what)
