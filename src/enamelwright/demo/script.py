"""The tables of the invented workshop, read into rows: what was meant, set and done, and what is scripted.

A cell left empty in the columns of outcomes is drawn from the hidden truth by the generator.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

#: The folder of tables and designs inside the package.
HERE = files("enamelwright.demo")


def _rows(name: str) -> list[dict[str, str]]:
    text = HERE.joinpath("tables", name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _number(text: str) -> float | None:
    return float(text) if text else None


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


@dataclass(frozen=True)
class JarRow:
    """An invented jar.

    Parameters
    ----------
    jar : str
        Code.
    described : mapping
        The outside form of a jar.
    maturity : float
        [C].
    density : float
        [g/cm3].
    mesh : int or None
        Of the powder as bought.
    price_minor : int
        For 100 g.
    stock, reorder : float
        On the shelf when the record begins, and where it should be bought again [g].
    opened : date
        When the lot was opened.
    condition, words : str
        Of the lot.
    """

    jar: str
    described: Mapping[str, Any]
    maturity: float
    density: float
    mesh: int | None
    price_minor: int
    stock: float
    reorder: float
    opened: date
    condition: str
    words: str


@dataclass(frozen=True)
class PieceRow:
    """A piece, tile or scrap.

    Parameters
    ----------
    label, kind, design, metal : str
        As the record writes them; an empty design is no plan.
    thickness, area, size, dome : float
        Metal [mm], face [mm2], square root of length times width [mm], rise [mm].
    batch, owner : str
        Worked with, and whose it is.
    started, finished : date or None
        Days.
    state, place : str
        Where the story leaves it.
    words, ends : str
        What is said of it when it is started, and when it is done.
    """

    label: str
    kind: str
    design: str
    metal: str
    thickness: float
    area: float
    size: float
    dome: float
    batch: str
    owner: str
    started: date
    finished: date | None
    state: str
    place: str
    words: str
    ends: str


@dataclass(frozen=True)
class InLoad:
    """A piece in a load: label, the face up and where it stood."""

    label: str
    face: str
    position: str


@dataclass(frozen=True)
class FiringRow:
    """One load.

    Parameters
    ----------
    firing : str
        Label of the script, ``FR-001``; the record gives its own number.
    at : datetime
        When the door closed on it, local time.
    batch : str
        Whose batch.
    pieces : tuple of InLoad
        What stood in it.
    face, support : str
        Face up and support of the load as a whole.
    set_point : float
        As shown [C].
    start : str
        ``load`` or ``recovered``.
    seconds : float
        As timed.
    jar, powder : str and float
        Layer that is judged, and its depth as powder [mm].
    reflow : bool
        Whether that layer was fused before.
    target, stage, seen : str
        Stage wanted; stage and words seen where scripted.
    to_gloss : float or None
        Seconds to the first gloss where scripted.
    dried : float
        Minutes.
    cooled, person, note : str
        As the record writes them.
    """

    firing: str
    at: datetime
    batch: str
    pieces: tuple[InLoad, ...]
    face: str
    support: str
    set_point: float
    start: str
    seconds: float
    jar: str
    powder: float
    reflow: bool
    target: str
    stage: str
    seen: str
    to_gloss: float | None
    dried: float
    cooled: str
    person: str
    note: str

    @property
    def day(self) -> date:
        """Calendar day."""
        return self.at.date()

    @property
    def heavy(self) -> bool:
        """Whether it stood on a heavy trivet."""
        return self.support == "heavy trivet"


@dataclass(frozen=True)
class CoatRow:
    """One coat laid on some or all pieces of a load, before it.

    Parameters
    ----------
    firing : str
        The load it went in with.
    pieces : tuple of str
        Labels; empty for all pieces of the load with that face up.
    face, jar : str
        Where and of what.
    powder : float
        Depth meant [mm].
    share : float
        Part of the face it covers.
    method : str
        As a coat writes it.
    gum : float or None
        Parts of gum to one of water.
    cell : str
        What it fills; empty for the whole face.
    grams : mapping of str to float
        Scripted grams on the piece.
    """

    firing: str
    pieces: tuple[str, ...]
    face: str
    jar: str
    powder: float
    share: float
    method: str
    gum: float | None
    cell: str
    grams: Mapping[str, float]


@dataclass(frozen=True)
class FaultRow:
    """A fault of the script, as the record writes it."""

    firing: str
    piece: str
    fault: str
    when_seen: str
    hours_later: float
    place: str
    severity: str
    remedy: str
    healed: bool
    words: str


@cache
def jars() -> dict[str, JarRow]:
    """Jars by code."""
    found = {}
    for row in _rows("jars.csv"):
        described: dict[str, Any] = {
            "id": row["jar"],
            "name": row["name"],
            "kind": row["kind"],
            "synthetic": True,
            "glass": {
                "density_g_per_cm3": float(row["density_g_per_cm3"]),
                "expansion": {
                    "value_e7_per_k": float(row["expansion_e7_per_k"]),
                    "kind": "linear",
                    "basis": "measured",
                    "low_c": 20,
                    "high_c": 400,
                },
            },
            "fusing": {"maturity_c": float(row["maturity_c"])},
            "optics": {"family": row["family"]},
            "hazards": {"lead": row["lead"], "cadmium": row["cadmium"]},
        }
        if row["mesh"]:
            described["mesh"] = int(row["mesh"])
        if row["gold_bearing"] == "yes":
            described["gold_bearing"] = True
        if row["washed"]:
            described["stock"] = {"washed": True}
        found[row["jar"]] = JarRow(
            jar=row["jar"],
            described=described,
            maturity=float(row["maturity_c"]),
            density=float(row["density_g_per_cm3"]),
            mesh=int(row["mesh"]) if row["mesh"] else None,
            price_minor=int(row["price_minor_per_100g"]),
            stock=float(row["stock_g"]),
            reorder=float(row["reorder_g"]),
            opened=date.fromisoformat(row["opened"]),
            condition=row["condition"],
            words=row["words"],
        )
    return found


@cache
def pieces() -> dict[str, PieceRow]:
    """Pieces by label, in the order they were started."""
    found = [
        PieceRow(
            label=row["label"],
            kind=row["kind"],
            design=row["design"],
            metal=row["metal"],
            thickness=float(row["thickness_mm"]),
            area=float(row["area_mm2"]),
            size=float(row["size_mm"]),
            dome=float(row["dome_mm"]),
            batch=row["batch"],
            owner=row["owner"],
            started=date.fromisoformat(row["started"]),
            finished=_day(row["finished"]),
            state=row["state"],
            place=row["place"],
            words=row["words"],
            ends=row["ends"],
        )
        for row in _rows("pieces.csv")
    ]
    return {one.label: one for one in sorted(found, key=lambda one: one.started)}


def _in_load(text: str, face: str) -> InLoad:
    rest, _, position = text.partition("@")
    label, _, other = rest.partition(":")
    return InLoad(label, other or face, position.replace("_", " ") or "centre")


@cache
def firings() -> tuple[FiringRow, ...]:
    """The loads in the order they were fired."""
    return tuple(
        FiringRow(
            firing=row["firing"],
            at=datetime.combine(date.fromisoformat(row["date"]), time.fromisoformat(row["time"])),
            batch=row["batch"],
            pieces=tuple(_in_load(text, row["face"]) for text in row["pieces"].split()),
            face=row["face"],
            support=row["support"],
            set_point=float(row["set_c"]),
            start=row["start"],
            seconds=float(row["seconds"]),
            jar=row["jar"],
            powder=float(row["powder_mm"]),
            reflow=row["reflow"] == "yes",
            target=row["target"],
            stage=row["stage"],
            seen=row["seen"],
            to_gloss=_number(row["to_gloss"]),
            dried=float(row["dry_min"]),
            cooled=row["cool"],
            person=row["person"],
            note=row["note"],
        )
        for row in _rows("firings.csv")
    )


@cache
def coats() -> tuple[CoatRow, ...]:
    """The coats in the order they were laid."""
    return tuple(
        CoatRow(
            firing=row["firing"],
            pieces=tuple(row["pieces"].split()),
            face=row["face"],
            jar=row["jar"],
            powder=float(row["powder_mm"]),
            share=float(row["share"]),
            method=row["method"],
            gum=_number(row["gum"]),
            cell=row["cell"],
            grams={label: float(grams) for label, _, grams in (part.partition("=") for part in row["grams"].split())},
        )
        for row in _rows("coats.csv")
    )


@cache
def faults() -> tuple[FaultRow, ...]:
    """The scripted faults."""
    return tuple(
        FaultRow(
            firing=row["firing"],
            piece=row["piece"],
            fault=row["fault"],
            when_seen=row["when_seen"],
            hours_later=float(row["hours_later"]),
            place=row["place"],
            severity=row["severity"],
            remedy=row["remedy"],
            healed=row["healed"] == "yes",
            words=row["words"],
        )
        for row in _rows("faults.csv")
    )


@cache
def happenings() -> Mapping[str, Any]:
    """Everything besides jars, pieces, coats, loads and faults, as the table writes it."""
    return tomllib.loads(HERE.joinpath("tables", "happenings.toml").read_text(encoding="utf-8"))


def design_file(name: str) -> Path:
    """Return the piece file of a design inside the package."""
    return Path(str(HERE.joinpath("designs", name)))
