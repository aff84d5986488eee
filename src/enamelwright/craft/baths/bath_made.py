"""A bath as it is described: what it was made of, what it has met, and what was cleaned in it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Literal, get_args

from pydantic import Field, model_validator

from enamelwright import units
from enamelwright.craft.baths.equilibrium import Part
from enamelwright.craft.description import Area, Described, Dimension, Mass, Temperature, Time
from enamelwright.errors import InputError, UnknownName
from enamelwright.reference.loader import rows, source_keys, sources, value

BathKind = Literal[
    "vinegar and salt", "citric acid", "sodium bisulfate", "dilute sulfuric acid", "abrasive only", "ferric chloride",
    "nitric acid", "other",
]  # fmt: skip
#: What a bath may have met that somebody has to be told of.
Met = Literal["lead", "cadmium", "chromium", "nickel", "silver", "unknown enamel"]
KINDS: tuple[BathKind, ...] = get_args(BathKind)
METALS: tuple[Met, ...] = get_args(Met)

_PERCENT = re.compile(r"(?P<number>[^%]*[0-9])\s*%\s*(?:acid|acidity)?")


def read_strength(text: str) -> float:
    """Read a strength [kg/m3]: ``50 g/L``, or ``5 %`` as bottles say it, grams in 100 mL.

    Parameters
    ----------
    text : str
        As typed.
    """
    percent = _PERCENT.fullmatch(text.strip())
    if percent is None:
        return units.parse(text, "concentration")
    # Grams in 100 mL are tens of grams in a litre, which is tens of kg/m3.
    return 10 * units.parse(percent["number"], "ratio")


Volume = Annotated[float, Dimension("volume", "l")]
Share = Annotated[float, Dimension("ratio", "percent")]
Strength = Annotated[float, Dimension("concentration", "g_per_l", read_strength)]


class Cleaned(Described):
    """One load that was cleaned: weighed before and after, its bare area or its weight; the firing it came from."""

    oxide: Annotated[Mass, Field(ge=0, le=1)] | None = Field(None, description="weight lost in the bath, all together")
    area: Annotated[Area, Field(ge=1e-8, le=10)] | None = Field(None, description="bare copper that was cleaned")
    mass: Annotated[Mass, Field(gt=0, le=100)] | None = Field(
        None, description="weight of the copper pieces, where neither weight lost nor bare area is known"
    )
    temperature: Temperature | None = Field(None, description="of the firing it came from")
    time: Annotated[Time, Field(gt=0, le=86400)] | None = Field(None, description="in the kiln")

    @model_validator(mode="after")
    def _something(self) -> Cleaned:
        if self.oxide is None and self.area is None and self.mass is None:
            raise InputError("a load needs its weight lost, its bare area or its weight.", "Weigh it, or measure it.")
        return self


class Topped(Described):
    """What was poured in later."""

    volume: Annotated[Volume, Field(ge=0, le=1)] = 0.0
    strength: Annotated[Strength, Field(ge=0, le=2000)] | None = Field(
        None, description="that of the bath when left out"
    )
    acid: Annotated[Mass, Field(ge=0, le=100)] | None = Field(None, description="acid weighed in dry")


class BathMade(Described):
    """A bath: what went into it and what it has met."""

    kind: BathKind = "vinegar and salt"
    also: Annotated[tuple[BathKind, ...], Field(max_length=8)] = Field((), description="other chemistries that got in")
    volume: Annotated[Volume, Field(ge=1e-6, le=1)] = Field(description="of liquor when it was made up")
    strength: Annotated[Strength, Field(ge=1e-3, le=2000)] | None = Field(
        None, description="acid in the bath or bottle: g/L or %"
    )
    poured: Annotated[Volume, Field(ge=1e-6, le=1)] | None = Field(
        None, description="how much of that bottle; the rest is water"
    )
    acid: Annotated[Mass, Field(gt=0, le=100)] | None = Field(
        None, description="acid weighed in, instead of a strength"
    )
    salt: Annotated[Mass, Field(ge=0, le=100)] | None = None
    topped: Annotated[tuple[Topped, ...], Field(max_length=500)] = ()
    cleaned: Annotated[tuple[Cleaned, ...], Field(max_length=2000)] = ()
    met: Annotated[tuple[Met, ...], Field(max_length=6)] | None = Field(
        None, description="an empty list says that it met none of these; left out, nobody knows"
    )
    lead: Annotated[Share, Field(gt=0, le=0.8)] | None = Field(None, description="mass of lead in the glass it has met")
    cadmium: Annotated[Share, Field(gt=0, le=0.3)] | None = Field(
        None, description="mass of cadmium in the glass it has met"
    )
    ph: Annotated[float, Field(ge=-2, le=16)] | None = Field(None, description="as measured")
    warm: Temperature | None = Field(None, description="of the bath in use")
    clears_in: Annotated[Time, Field(ge=1, le=86400)] | None = Field(None, description="time to clear a load now")
    cleared_in: Annotated[Time, Field(ge=1, le=86400)] | None = Field(None, description="and when it was fresh")

    @model_validator(mode="after")
    def _told_once(self) -> BathMade:
        if self.acid is not None and self.strength is not None:
            raise InputError("acid and strength say the same thing twice.", "Keep one of them.")
        if self.poured is not None and self.strength is None:
            raise InputError("how strong is what was poured in?", "Read it off the bottle, e.g. 5 %.", "strength")
        if self.poured is not None and self.poured > self.volume:
            raise InputError("more was poured in than the bath holds.", "Check both volumes.", "poured")
        if self.warm is not None and not value("health/bath/freezes") < self.warm < value("health/bath/boils"):
            raise InputError(
                "no pickle is worked frozen, boiling or hotter.",
                "Measure it with a thermometer of glass or plastic; if it does boil, take the heat away and keep off.",
                "warm",
            )
        if (self.clears_in is None) != (self.cleared_in is None):
            raise InputError("one time alone says nothing.", "Give the time to clear now and when fresh.", "clears_in")
        return self


@dataclass(frozen=True)
class Chemistry:
    """What is known of one kind of bath.

    Attributes
    ----------
    kind : str
        A :data:`BathKind`.
    acid : str
        Its acid in words; empty when it has none that is counted.
    part : str or None
        As the engine writes it.
    molar_mass : float
        Of the acid [kg/mol].
    usable, all : int
        Protons of one acid that take up oxide, and that soda answers.
    strength, strength_low, strength_high : float
        Usual strength and its range [kg/m3].
    salt : float
        Usual salt [kg/m3].
    use : str
        ``pickle``, ``etch`` or ``water``.
    why_held : str
        Why it is kept and handed in; empty when nothing of the kind.
    source : str
        Source and status.
    """

    kind: BathKind
    acid: str
    part: Part | None
    molar_mass: float
    usable: int
    all: int
    strength: float
    strength_low: float
    strength_high: float
    salt: float
    use: str
    why_held: str
    source: str


@lru_cache(maxsize=1)
def _chemistries() -> dict[str, Chemistry]:
    def number(row: dict[str, str], name: str, unit: str, dimension: str) -> float:
        return units.to_si(float(row[name]), unit, dimension) if row[name] else 0.0

    found = {}
    for line in rows("health/bath_kinds"):
        row = dict(line)
        found[row["kind"]] = Chemistry(
            kind=row["kind"],  # type: ignore[arg-type]
            acid=row["acid"],
            part=row["part"] or None,  # type: ignore[arg-type]
            molar_mass=number(row, "molar_g_per_mol", "g/mol", "molar_mass"),
            usable=int(row["usable"] or 0),
            all=int(row["all"] or 0),
            strength=number(row, "strength", "g/L", "concentration"),
            strength_low=number(row, "strength_low", "g/L", "concentration"),
            strength_high=number(row, "strength_high", "g/L", "concentration"),
            salt=number(row, "salt", "g/L", "concentration"),
            use=row["use"],
            why_held=row["why_held"],
            source=f"{row['kind']}: {_cited(row['source'])} ({row['status']})",
        )
    return found


def _cited(keys: str) -> str:
    return "; ".join(sources()[key].words() for key in source_keys(keys))


def chemistry(kind: BathKind) -> Chemistry:
    """Return what is known of one kind of bath.

    Parameters
    ----------
    kind : str
        A :data:`BathKind`.
    """
    return _chemistries()[kind]


def chemistry_named(name: str) -> Chemistry:
    """Return what is known of a kind of bath a person names.

    Parameters
    ----------
    name : str
        As typed.

    Raises
    ------
    UnknownName
        With the nearest kinds.
    """
    wanted = name.strip().casefold()
    for kind in KINDS:
        if kind == wanted:
            return chemistry(kind)
    raise UnknownName.among("bath", name, KINDS)


#: Use -> kind of the record: an etching liquor is never kept as a pickle.
_RECORDED = {"pickle": "pickle", "etch": "etching liquor", "water": "rinse"}


def record_kind(kind: BathKind) -> str:
    """Return the kind a record keeps a bath under.

    Parameters
    ----------
    kind : str
        A :data:`BathKind`.
    """
    return _RECORDED[chemistry(kind).use]


@dataclass(frozen=True)
class NeverMix:
    """Two things that never come together.

    Attributes
    ----------
    one, other, gives : str
        In words.
    status : str
        How well that is known here.
    """

    one: str
    other: str
    gives: str
    status: str


def never_mix(use: str = "") -> tuple[NeverMix, ...]:
    """List what never comes together.

    Parameters
    ----------
    use : str
        ``pickle``, ``etch`` or ``water``; all when empty.
    """
    return tuple(
        NeverMix(row["one"], row["with"], row["gives"], row["status"])
        for row in rows("health/never_mix")
        if not use or use in row["for"].split(";")
    )
