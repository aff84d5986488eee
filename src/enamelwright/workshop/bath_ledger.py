"""The ledger of a bath out of the record: each dip with the scale it brought, and the question it puts to the craft.

How a bath was made stands in its `made_of` as the outside form of :class:`enamelwright.craft.baths.bath_made.BathMade`;
what was cleaned in it stands in its entries. Weighings win over areas with their firing, these over bare areas.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from sqlalchemy import Row

from enamelwright.craft.baths import counted as craft
from enamelwright.craft.baths.bath import BathState, state_of
from enamelwright.craft.baths.bath_made import BathMade, Cleaned, Topped
from enamelwright.craft.health.dust_limits import weighed_share
from enamelwright.craft.jar import Jar
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.figure import Figure
from enamelwright.physics.bath_chemistry import acid_taken_up
from enamelwright.workshop.baths import MET_COLUMNS, bath_entries, bath_row
from enamelwright.workshop.coats import coats_on
from enamelwright.workshop.designs import piece_of, version_row
from enamelwright.workshop.firings import firing_rows, load_row
from enamelwright.workshop.jars import jars
from enamelwright.workshop.kept_drawings import outline_of
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio

#: Metals whose share in the glass a jar may tell by its composition.
WEIGHED: tuple[Literal["lead", "cadmium"], ...] = ("lead", "cadmium")
#: What `made_of` may hold, by the fields of a bath; everything else of a bath comes from columns and entries.
MADE_KEYS = ("kind", "strength", "poured", "acid", "salt", "also", "cleared_in")
#: What it has met beyond the columns lead, cadmium and silver; kept in `made_of` under this key.
FURTHER_MET = ("chromium", "nickel", "unknown enamel")


#: Share of a bath below which it counts as emptied: what clings to the vessel.
NEARLY_EMPTY = 0.02


@dataclass(frozen=True)
class Line:
    """One entry of the ledger.

    Attributes
    ----------
    entry : Row
        As it was written down.
    scale : Figure or None
        What it brought [kg]; None for what brings none.
    how : str
        How that is known.
    taken_up : float or None
        Share of the acid taken up after it; None where none is counted.
    """

    entry: Row[Any]
    scale: Figure | None
    how: str
    taken_up: float | None


@dataclass(frozen=True)
class BathBook:
    """A bath as its record tells it.

    Attributes
    ----------
    row : Row
        The bath.
    made : BathMade
        What went into it.
    book : Ledger
        Counted.
    state : BathState
        How far it is used.
    lines : tuple of Line
        What happened in it, the first first.
    uncounted : int
        Dips of which neither weight nor area is known, and none like them to go by.
    guessed : int
        Those that were taken to be like the others.
    """

    row: Row[Any]
    made: BathMade
    book: craft.Ledger
    state: BathState
    lines: tuple[Line, ...]
    uncounted: int
    guessed: int


def made_of(told: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is kept of how a bath was made, after checking that it can be read.

    Parameters
    ----------
    told : mapping
        Text as typed, by the keys of :data:`MADE_KEYS`, and ``volume``.

    Raises
    ------
    InputError
        Naming what cannot be read.
    """
    kept = {key: told[key] for key in MADE_KEYS if told.get(key)}
    # A time alone says nothing to the question, so a fresh clearing time is read with itself beside it.
    asked = {**kept, "volume": told.get("volume") or "1 L"}
    if "cleared_in" in asked:
        asked["clears_in"] = asked["cleared_in"]
    BathMade.from_outside(asked, "the bath")
    return kept


def book_of(studio: Studio, which: Which) -> BathBook:
    """Count a bath from its record.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row or name of the bath.

    Raises
    ------
    InputError
        When its volume is not known, since nothing can be counted then.
    """
    with studio.reading():
        row = bath_row(studio, which)
        entries = bath_entries(studio, int(row.id))
        told = _cleaned(studio, entries)
        shares = _glass_met(studio, entries)
    if row.volume is None:
        raise InputError(
            f"how much liquor is in {row.name}?", "Say its volume; without it nothing can be counted.", "volume"
        )
    made, steps, counted, guessed = _made(row, entries, told)
    made = made.model_copy(update=shares)
    book = craft.ledger(made)
    lines = tuple(_lines(book, entries, steps))
    return BathBook(row, made, book, state_of(made, book), lines, counted, guessed)


def met_of(row: Row[Any]) -> tuple[str, ...] | None:
    """Return what a bath has met; None when nobody has said.

    Parameters
    ----------
    row : Row
        The bath.
    """
    answers = [row._mapping[column] for column in MET_COLUMNS.values()]
    further = [one for one in (row.made_of or {}).get("met", ()) if one in FURTHER_MET]
    found = [metal for metal, column in MET_COLUMNS.items() if row._mapping[column]]
    if all(one is None for one in answers) and not further:
        return None
    if any(one is None for one in answers):
        further = [*further, *(() if "unknown enamel" in further else ("unknown enamel",))]
    return tuple(dict.fromkeys([*found, *further]))


def _glass_met(studio: Studio, entries: list[Row[Any]]) -> dict[str, float]:
    """Return the most lead and cadmium that the jars on the dipped pieces tell by their composition."""
    pieces = {int(entry.piece) for entry in entries if entry.piece is not None}
    used = {coat.jar for piece in pieces for coat in coats_on(studio, piece)}
    known = [Jar.from_outside(row.described, row.code) for row in jars(studio, everything=True) if row.id in used]
    found = {metal: max((weighed_share(jar, metal) for jar in known), default=0.0) for metal in WEIGHED}
    return {metal: share for metal, share in found.items() if share > 0}


def _cleaned(studio: Studio, entries: list[Row[Any]]) -> dict[int, tuple[Cleaned, str] | None]:
    """Return what each dip cleaned and how that is known; None where nobody knows."""
    found: dict[int, tuple[Cleaned, str] | None] = {}
    for entry in entries:
        if entry.what == "dip":
            found[entry.id] = _one(studio, entry)
    return found


def _one(studio: Studio, entry: Row[Any]) -> tuple[Cleaned, str] | None:
    lost = None
    if entry.before is not None and entry.after is not None:
        lost = max(0.0, entry.before - entry.after)
    area, how = entry.copper_area, "area"
    if area is None and entry.piece is not None:
        area, how = _face(studio, int(entry.piece)), "one face of its design"
    if lost is None and area is None and entry.before is None:
        return None
    firing = _firing(studio, entry)
    temperature, time = firing if firing else (None, None)
    load = Cleaned(oxide=lost, area=area, mass=entry.before, temperature=temperature, time=time)
    if lost is not None:
        return load, "weighed"
    if area is None:
        how = "by the weight of its pieces"
    return load, f"{how} and its firing" if firing else how


def _face(studio: Studio, piece: int) -> float | None:
    row = piece_row(studio, piece)
    if not row.design_version:
        return None
    try:
        version = version_row(studio, row.design_version)
        return float(outline_of(piece_of(version), version.drawing).area)
    except EnamelwrightError:  # a design that cannot be read: nobody knows its area here
        return None


def _firing(studio: Studio, entry: Row[Any]) -> tuple[float, float] | None:
    """Return (set temperature, seconds) of the firing a dip came from; None when it is not known."""
    load: Any = None
    if entry.load is not None:
        load = load_row(studio, int(entry.load))
    elif entry.piece is not None:
        with studio.reading() as connection:
            before = [one for one in firing_rows(connection, int(entry.piece)) if one.at <= entry.at]
        load = before[-1] if before else None
    if load is None or load.set_point is None or not load.seconds:
        return None
    return float(load.set_point), float(load.seconds)


@dataclass
class _Counted:
    """What was counted so far; drawing off takes a share of everything."""

    volume: float
    salt: float | None
    acid: float | None
    poured: float | None
    topped: list[Topped]
    loads: list[tuple[int, Cleaned, str]]

    def whole(self) -> float:
        return self.volume + sum(one.volume for one in self.topped)

    def keep(self, share: float) -> None:
        """Leave a share of all that is in it."""
        self.volume *= share
        self.salt = None if self.salt is None else self.salt * share
        self.acid = None if self.acid is None else self.acid * share
        self.poured = None if self.poured is None else self.poured * share
        self.topped = [
            Topped(
                volume=one.volume * share, strength=one.strength, acid=None if one.acid is None else one.acid * share
            )
            for one in self.topped
        ]
        self.loads = [(row, _part(load, share), how) for row, load, how in self.loads]


def _part(load: Cleaned, share: float) -> Cleaned:
    changed = {
        "oxide": None if load.oxide is None else load.oxide * share,
        "area": None if load.area is None else load.area * share,
        "mass": None if load.mass is None else load.mass * share,
    }
    return load.model_copy(update=changed)


def _made(
    row: Row[Any], entries: list[Row[Any]], told: Mapping[int, tuple[Cleaned, str] | None]
) -> tuple[BathMade, dict[int, tuple[Cleaned, str]], int, int]:
    """Return the bath, what each dip cleaned as it was, how many dips are not counted, and how many are guessed."""
    asked = {key: one for key, one in (row.made_of or {}).items() if key in MADE_KEYS}
    asked.setdefault("kind", "other")  # what nobody has said is not taken to be vinegar
    fresh = asked.pop("cleared_in", None)
    first = BathMade.from_outside({**asked, "volume": f"{row.volume:.12g} m3"}, row.name)
    counted = _Counted(row.volume, first.salt, first.acid, first.poured, [], [])
    steps, blanks, ph, clears, warm = {}, 0, None, None, None
    likely = _mean([one[0] for one in told.values() if one is not None])
    guessed = 0
    for entry in entries:
        warm = entry.temperature or warm
        if entry.what == "dip":
            one = told[entry.id]
            if one is None and likely is not None:
                one, guessed = (likely, "taken to be like the others"), guessed + 1
            if one is None:
                blanks += 1
            else:
                counted.loads.append((entry.id, *one))
                steps[entry.id] = one
            clears = entry.duration or clears
        elif entry.what == "top up":
            counted.topped.append(Topped(volume=entry.volume or 0.0, acid=entry.mass))
            ph = None
        elif entry.what == "drawn off" and entry.volume:
            counted.keep(max(0.0, 1 - entry.volume / counted.whole()))
        elif entry.what == "acidity" and entry.ph is not None:
            ph = entry.ph
    emptied = counted.whole() <= NEARLY_EMPTY * row.volume
    if emptied:  # what it was stays readable after it went into the container
        counted = _Counted(
            row.volume, first.salt, first.acid, first.poured, [], [(n, *one) for n, one in steps.items()]
        )
    timed = {"clears_in": clears, "cleared_in": _time(fresh)} if fresh and clears else {}
    made = first.model_copy(
        update={
            "volume": counted.volume, "salt": counted.salt, "acid": counted.acid, "poured": counted.poured,
            "topped": tuple(counted.topped), "cleaned": tuple(load for _, load, _ in counted.loads),
            "met": met_of(row), "ph": ph, "warm": warm, **timed,
        }
    )  # fmt: skip
    return made, steps, blanks, guessed


def _time(text: str) -> float:
    from enamelwright.workshop.typed import read_quantity

    return read_quantity(text, "time")


def _mean(loads: list[Cleaned]) -> Cleaned | None:
    """Return a load like those that are known: of their mean weight lost, else mean area, else mean weight."""
    for key in ("oxide", "area", "mass"):
        known = [one for one in (getattr(load, key) for load in loads) if one is not None]
        if known:
            return Cleaned(**{key: sum(known) / len(known)})
    return None


def _lines(book: craft.Ledger, entries: list[Row[Any]], steps: Mapping[int, tuple[Cleaned, str]]) -> list[Line]:
    result, into = [], craft.NOTHING
    for entry in entries:
        scale = how = None
        if entry.id in steps:
            load, how = steps[entry.id]
            brought = craft.scale_of(load, book.rate)
            into = into.plus(craft.copper_in(brought))
            scale = brought.figure("mass")
        elif entry.what == "dip":
            how = "neither weight nor area is known: not counted"
        taken = None
        if book.acid is not None and not book.mixed and entry.id in steps:
            taken = acid_taken_up(into.value, book.acid.value)
        result.append(Line(entry, scale, how or "", taken))
    return result


def asked_of(found: BathBook, **more: Any) -> dict[str, Any]:
    """Return the bath as the questions ``bath`` and ``spent-bath`` are asked about it, in the outside form.

    Parameters
    ----------
    found : BathBook
        The bath.
    **more
        Further fields of the question.
    """
    return {"kind": found.made.kind, **found.made.to_outside(), **more}
