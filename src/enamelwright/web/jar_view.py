"""What the shelf and the page of one jar show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from markupsafe import Markup
from sqlalchemy import Row

from enamelwright import units
from enamelwright.craft.description import Described
from enamelwright.craft.jar import Jar
from enamelwright.craft.starter import starter_jars
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures.foretold import jar_colour
from enamelwright.pictures.swatch import Glass, jar_svg
from enamelwright.web.drawings import lit
from enamelwright.workshop.bench import known_of
from enamelwright.workshop.jars import described, fact_dimension, fact_words, jars
from enamelwright.workshop.lots import levels
from enamelwright.workshop.studio import Studio

#: Facts that can be told on the page of a jar: facet and field, words, example.
TELLABLE: tuple[tuple[str, str, str], ...] = (
    ("fusing.maturity", "Maturity", "790 C"),
    ("fusing.low", "Fuses from", "760 C"),
    ("fusing.high", "Fuses to", "820 C"),
    ("glass.expansion.value", "Expansion", "105e-7/K"),
    ("glass.expansion.kind", "Expansion is called", "linear or cubical"),
    ("glass.density", "Density", "2.6 g/cm3"),
    ("hazards.lead", "Lead", "yes, no or mixed"),
    ("hazards.cadmium", "Cadmium", "yes, no or mixed"),
    ("hazards.acid_resistant", "Resists acid", "yes or no"),
    ("fusing.firings", "Firings the colour survives", "6"),
    ("optics.words", "Looks like", "deep sea green"),
)
ORIGINS = ("measured", "data sheet", "safety data sheet", "label", "told", "assumption")
_NAMES = {"starter": "Taken for", **{fact: words for fact, words, _ in TELLABLE}}


@dataclass(frozen=True)
class OnShelf:
    """One jar on the shelf.

    Parameters
    ----------
    row : Row
        The jar.
    jar : Jar
        As described.
    left : float or None
        Mass left [kg].
    words : str
        How much is left, in words.
    low : bool
        Whether it should be bought again.
    lots : tuple of str
        Labels of the lots in use.
    strip : Markup
        The band.
    hazards : str
        What can hurt, in words; empty when nothing is said to.
    owed : str
        How much more was used of a lot than was there by the record, in words; empty when nothing was.
    """

    row: Row[Any]
    jar: Jar
    left: float | None
    words: str
    low: bool
    lots: tuple[str, ...]
    strip: Markup
    hazards: str
    owed: str = ""


@dataclass(frozen=True)
class Fact:
    """One fact with its origin.

    Parameters
    ----------
    name, value, origin, at : str
        In words; `at` is a moment of the record.
    wins : bool
        Whether the bench goes by it.
    """

    name: str
    value: str
    origin: str
    at: str
    wins: bool


def hazards(jar: Jar) -> str:
    """Say what a jar is stated to hold; nothing for a jar that is stated to hold none."""
    held = [name for name in ("lead", "cadmium") if getattr(jar.hazards, name) in {"yes", "mixed"}]
    if held:
        return "holds " + " and ".join(held)
    unknown = [name for name in ("lead", "cadmium") if getattr(jar.hazards, name) == "unknown"]
    return f"{' and '.join(unknown)} not known" if unknown else ""


def glass_of(jar: Jar) -> Glass:
    """Return the glass of a jar as swatches need it."""
    return Glass(jar.optics.family, jar.kind, jar_colour(jar))


def shelf(studio: Studio, *, everything: bool = False) -> list[OnShelf]:
    """List the jars with what is left of each.

    Parameters
    ----------
    studio : Studio
        The studio.
    everything : bool
        Also what was put away.
    """
    left: dict[int, list[Any]] = {}
    for level in levels(studio):
        left.setdefault(level.jar, []).append(level)
    found = []
    for row in jars(studio, everything=everything):
        mine = left.get(row.id, [])
        known = [one.grams for one in mine if one.grams is not None]
        mass = sum(max(one, 0.0) for one in known) if known else None  # what is owed by one lot is not in another
        owed = -sum(one for one in known if one < -NOTHING)
        mark = row.reorder_below
        full = _full(mass, mark)
        jar = described(row)
        strip = jar_svg(
            glass_of(jar), f"{row.code} {row.name}", None if mass is None or full is None else mass / full,
            None if mark is None or full is None or mass is None else mark / full, "daylight", f"jar-{row.id}",
        )  # fmt: skip
        found.append(
            OnShelf(
                row, jar, mass, "not weighed" if mass is None else units.show(mass, "mass", "g"),
                mass is not None and mark is not None and mass < mark, tuple(one.label for one in mine),
                lit(strip), hazards(jar), units.show(owed, "mass", "g") if owed else "",
            )
        )  # fmt: skip
    return found


#: Less than this is rounding, not powder [kg].
NOTHING = 1e-7
#: A band is drawn full at this many times the mark for buying again; without a mark at this mass [kg].
FULL_MARKS, FULL_JAR = 5.0, 0.5


def _full(mass: float | None, mark: float | None) -> float | None:
    if mass is None:
        return None
    return max(mass, mark * FULL_MARKS if mark else FULL_JAR)


def facts(studio: Studio, row: Row[Any]) -> list[Fact]:
    """List what is known of a jar with where it comes from: what was told, then what it was described with.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        The jar.
    """
    told = known_of(studio, row)
    found = [
        Fact(fact_name(one.fact), fact_words(one.fact, one.value), one.origin, one.said_at, one.wins) for one in told
    ]
    named = {one.fact for one in told}
    for fact, value in _plain(described(row)):
        if fact not in named:
            found.append(Fact(fact_name(fact), fact_words(fact, value), "described", row.made_at, wins=True))
    return found


def fact_name(fact: str) -> str:
    """Return a fact's name for people."""
    return (
        _NAMES.get(fact)
        or fact.replace("glass.", "")
        .replace("fusing.", "")
        .replace("hazards.", "")
        .replace(".", ", ")
        .replace("_", " ")
        .capitalize()
    )


def taken_for(jar: Jar) -> str:
    """Name the kind of glass a jar is taken for until more is known; empty for none."""
    return next((one.name for one in starter_jars() if one.id == jar.starter), jar.starter or "")


def _plain(jar: Jar) -> list[tuple[str, Any]]:
    found: list[tuple[str, Any]] = []

    def walk(part: Described, start: str) -> None:
        for name in type(part).model_fields:
            value = getattr(part, name)
            if isinstance(value, Described):
                walk(value, f"{start}{name}.")
            elif isinstance(value, dict):
                found.append((f"{start}{name}", ", ".join(f"{key} {share:g}" for key, share in value.items())))
            elif value not in (None, "", "unknown", False) and not isinstance(value, tuple):
                found.append((f"{start}{name}", value))

    for facet in ("glass", "fusing", "hazards"):
        walk(getattr(jar, facet), f"{facet}.")
    for name in ("mesh", "starter", "note"):
        if getattr(jar, name):
            found.append((name, taken_for(jar) if name == "starter" else getattr(jar, name)))
    return found


def dimension(fact: str) -> str:
    """Return the dimension of a fact; empty when it is told in words or by a record that has none."""
    try:
        return fact_dimension(fact)
    except EnamelwrightError:
        return ""
