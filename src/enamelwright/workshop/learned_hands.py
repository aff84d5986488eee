"""What weighings of coats teach of each hand: how much powder misses the piece through each mesh, and how it lies."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.learned_hand import ANY_MESH, ANYBODY, POSSIBLE, LearnedHand
from enamelwright.craft.metal import metal
from enamelwright.craft.weights import STEPS_WORTH_WEIGHING, Hand
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Z95
from enamelwright.learning.habit import RECENT, Habit, Shares, habit, own_habits
from enamelwright.learning.hand_scatter import Uneven
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.reference.loader import fact, facts_of
from enamelwright.workshop.coverage import WEIGHT, Compared
from enamelwright.workshop.kept_learned import Taught
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: Where hands at large are told.
USUAL = {"loss": "trade/sifting_loss", "packing": "trade/packing_fraction"}
#: Weighings that are foretold once more, at most.
MOST_FORETOLD = 100
#: Why a weighing teaches nothing.
IMPOSSIBLE, TOO_LITTLE = "more or less powder than can be", "too little powder for the balance"


def learned_hands(studio: Studio, known: Bench) -> Taught[LearnedHand]:
    """Return the habits of everybody and each person, over all meshes and each, and why weighings were left out.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        Its jars.
    """
    with studio.reading() as connection:
        coats = list(connection.execute(current(coat_laid).order_by(coat_laid.c.at, coat_laid.c.id)))
        pieces = {row.id: row for row in connection.execute(select(piece_table))}
        codes = {row.id: row.code for row in connection.execute(select(jar_table.c.id, jar_table.c.code))}
        people = {row.id: row.label for row in connection.execute(select(person_table.c.id, person_table.c.label))}
        here = set(connection.execute(select(person_table.c.label).where(in_use(person_table))).scalars())
    least = STEPS_WORTH_WEIGHING * Hand.of(known).balance_step
    found: dict[str, list[_Weighing]] = {}
    left_out: dict[str, int] = {}
    for one in coats:
        for what, value in (("loss", _loss(one)), ("packing", _packing(one, pieces[one.piece], codes, known))):
            if value is None:
                continue
            if one.on_piece < least:
                left_out[TOO_LITTLE] = left_out.get(TOO_LITTLE, 0) + 1
                break
            low, high = POSSIBLE[what]
            if not low <= value <= high:
                left_out[IMPOSSIBLE] = left_out.get(IMPOSSIBLE, 0) + 1
                continue
            who = people.get(one.who, ANYBODY)
            found.setdefault(what, []).append(_Weighing(who, one.mesh or ANY_MESH, value, one.id))
    made = [one for what, told in sorted(found.items()) for one in (*_everybodys(what, told), *_own(what, told, here))]
    return Taught(tuple(one for one, _ in made), tuple(rows for _, rows in made), left_out)


def weights_foretold(studio: Studio, known: Bench, most: int = MOST_FORETOLD) -> list[Compared]:
    """Put what lay on each piece beside where it would have been foretold, the newest first.

    Nothing of it was frozen: each band is worked out from what was weighed before that coat alone, by the hand of
    whoever laid it; before there are enough weighings it is that of hands at large.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        Its hands' balance.
    most : int
        So many, the newest.
    """
    with studio.reading() as connection:
        rows = list(connection.execute(current(coat_laid).order_by(coat_laid.c.at, coat_laid.c.id)))
        pieces = {row.id: row.number for row in connection.execute(select(piece_table.c.id, piece_table.c.number))}
        codes = {row.id: row.code for row in connection.execute(select(jar_table.c.id, jar_table.c.code))}
        people = {row.id: row.label for row in connection.execute(select(person_table.c.id, person_table.c.label))}
    step = Hand.of(known).balance_step
    low, high = POSSIBLE["loss"]
    weighed = []
    for one in rows:
        value = _loss(one)
        if value is not None and one.on_piece >= STEPS_WORTH_WEIGHING * step and low <= value <= high:
            weighed.append((one, _Weighing(people.get(one.who, ANYBODY), one.mesh or ANY_MESH, value, one.id)))
    told, found = [this for _, this in weighed], []
    for n in range(max(0, len(weighed) - most), len(weighed)):
        one, this = weighed[n]
        mean, down, up = _next(told[:n], this.who, this.mesh)
        found.append(
            Compared(
                WEIGHT, codes.get(one.jar, ""), pieces.get(one.piece, ""), one.at,
                one.weighed_out * (1 - up), one.weighed_out * (1 - mean), one.weighed_out * (1 - down),
                float(one.on_piece), read_to=step / 2,
            )
        )  # fmt: skip
    return found[::-1]


def _next(told: Sequence[_Weighing], who: str, mesh: int) -> tuple[float, float, float]:
    """Return what the next coat of a hand would lose by what was weighed so far: likely, 5 % and 95 %."""
    known = _own("loss", told, {who}, {who}) if who != ANYBODY else []
    mine = {(one.who, one.mesh): one for one, _ in known or _everybodys("loss", told)}
    for cell in ((who, mesh), (who, ANY_MESH), (ANYBODY, mesh), (ANYBODY, ANY_MESH)):
        if cell in mine:
            return mine[cell].value, mine[cell].value - Z95 * mine[cell].sd, mine[cell].value + Z95 * mine[cell].sd
    usual = fact(USUAL["loss"])
    return usual.value, usual.low, usual.high


@dataclass(frozen=True)
class _Weighing:
    """What one coat shows of a habit."""

    who: str
    mesh: int
    value: float
    row: int


#: A habit and the coats it stands on.
_Told = tuple[LearnedHand, tuple[int, ...]]


def _usual(what: str) -> tuple[float, float, float]:
    """Return the habit of hands at large, how they differ, and how one of them scatters."""
    facts = facts_of("heat/learning")
    sd, scatter = (facts[f"heat/learn_hand_{what}_{part}"].value for part in ("sd", "scatter"))
    return fact(USUAL[what]).value, sd, scatter


def uneven() -> Uneven:
    """Return how far scatters of hands are taken to lie apart."""
    facts = facts_of("heat/learning")
    return Uneven(*(facts[f"heat/learn_hand_uneven_{part}"].value for part in ("person", "bench")))


def _everybodys(what: str, told: Sequence[_Weighing]) -> list[_Told]:
    """Return the habits of everybody together, as whoever weighed most has them."""
    made = []
    for mesh in sorted({ANY_MESH, *(one.mesh for one in told)}):
        mine = [one for one in told if mesh in (ANY_MESH, one.mesh)]
        if len(mine) >= facts_of("heat/learning")["heat/learn_hand_fewest"].value:
            got = habit([one.value for one in mine], *_usual(what), uneven())
            made.append(_told(what, ANYBODY, mesh, got, mine, 0))
    return made


def _own(
    what: str, told: Sequence[_Weighing], newcomers: Collection[str] = (), wanted: Collection[str] | None = None
) -> list[_Told]:
    """Return the habits of each person, leaning on the others where there are few weighings, or none."""
    facts = facts_of("heat/learning")
    if len(told) < facts["heat/learn_hand_fewest"].value:
        return []
    cells: dict[tuple[str, int], list[_Weighing]] = {}
    for one in told:
        cells.setdefault((one.who, one.mesh), []).append(one)
    shares = Shares(*(facts[f"heat/learn_hand_share_{part}"].value for part in ("bench", "person", "mesh")))
    for who in newcomers:
        cells.setdefault((who, ANY_MESH), [])
    values = {cell: [one.value for one in mine] for cell, mine in cells.items()}
    found = own_habits(values, *_usual(what), uneven(), shares, wanted)
    made = []
    for (who, mesh), got in found.items():
        if who != ANYBODY:
            mine = [one for one in told if one.who == who and mesh in (ANY_MESH, one.mesh)]
            others = sum(one.who != who and mesh in (ANY_MESH, one.mesh) for one in told)
            made.append(_told(what, who, mesh, got, mine, others))
    return made


def _told(what: str, who: str, mesh: int, got: Habit, mine: Sequence[_Weighing], others: int) -> _Told:
    kept = LearnedHand(
        what=what, who=who, mesh=mesh, value=round(got.mean, 4), sd=round(got.sd, 4), weighings=len(mine),
        others=others,
    )  # fmt: skip
    return kept, tuple(one.row for one in mine[-RECENT:])


def _loss(one: Row[Any]) -> float | None:
    """Return the share that missed the piece; None for a coat that was not sifted or not weighed on both sides."""
    if one.method != "sift" or not one.on_piece or not one.weighed_out:
        return None
    return float(1 - one.on_piece / one.weighed_out)


def _packing(one: Row[Any], piece: Row[Any], codes: Mapping[int, str], known: Bench) -> float | None:
    """Return the solid share of a sifted bed whose depth was told; None where it cannot be had of the record."""
    whole = one.face in {"front", "back"} and not one.cell and one.method == "sift"
    told = one.on_piece and one.powder_depth and piece.metal and piece.thickness and piece.metal_mass
    if not (whole and told) or piece.design_version is not None:  # a design may lay a coat over a part of the face
        return None
    try:
        area = piece.metal_mass / (metal(piece.metal).density.value * piece.thickness)
        density = glass_of(known.jar(codes.get(one.jar, ""))).density.value
    except EnamelwrightError:
        return None
    return float(one.on_piece / (density * area * one.powder_depth))
