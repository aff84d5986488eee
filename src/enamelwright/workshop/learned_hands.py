"""What weighings of coats teach of each hand: how much powder misses the piece through each mesh, and how it lies."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.learned_hand import ANY_MESH, ANYBODY, POSSIBLE, LearnedHand
from enamelwright.craft.metal import metal
from enamelwright.craft.weights import STEPS_WORTH_WEIGHING, Hand
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.habit import RECENT, habit
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.people import person as person_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.reference.loader import fact, facts_of
from enamelwright.workshop.kept_learned import Taught
from enamelwright.workshop.studio import Studio

#: Where hands at large are told.
USUAL = {"loss": "trade/sifting_loss", "packing": "trade/packing_fraction"}
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
    least = STEPS_WORTH_WEIGHING * Hand.of(known).balance_step
    found: dict[tuple[str, str, int], list[tuple[float, int]]] = {}
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
            whos = dict.fromkeys((ANYBODY, people.get(one.who, ANYBODY)))
            for who in whos:
                for mesh in dict.fromkeys((ANY_MESH, one.mesh or ANY_MESH)):
                    found.setdefault((what, who, mesh), []).append((value, one.id))
    made = _habits(found)
    return Taught(tuple(one for one, _ in made), tuple(rows for _, rows in made), left_out)


def _habits(
    found: Mapping[tuple[str, str, int], Sequence[tuple[float, int]]],
) -> list[tuple[LearnedHand, tuple[int, ...]]]:
    """Return each habit and the coats it stands on."""
    facts = facts_of("heat/learning")
    made = []
    for (what, who, mesh), told in sorted(found.items()):
        if len(told) < facts["heat/learn_hand_fewest"].value:
            continue
        usual_sd, scatter = (facts[f"heat/learn_hand_{what}_{part}"].value for part in ("sd", "scatter"))
        got = habit([value for value, _ in told], fact(USUAL[what]).value, usual_sd, scatter)
        one = LearnedHand(
            what=what, who=who, mesh=mesh, value=round(got.mean, 4), sd=round(got.sd, 4), weighings=len(told)
        )
        made.append((one, tuple(row for _, row in told[-RECENT:])))
    return made


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
