"""Pairs and sets from the record: which finished or begun pieces of a design belong together, and the odd one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright.errors import InputError
from enamelwright.planning import matching
from enamelwright.planning.day.rates import rate
from enamelwright.records.schema.pieces import measure
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.records.writing import current
from enamelwright.workshop.pieces import pieces_of_design
from enamelwright.workshop.studio import Studio

#: States of pieces that can be matched; begun ones only when asked for.
DONE, BEGUN = frozenset({"finished"}), frozenset({"planned", "in work"})
#: Places from which a piece comes back no more.
GONE = frozenset({"sold", "given"})
#: What is measured of a piece -> what it is called here, and how the record calls it.
MEASURES = {
    "width": ("width",), "weight": ("weight", "weight after"), "thickness": ("total thickness",), "bow": ("bow",),
}  # fmt: skip
#: The three numbers of a colour, in steps an eye tells apart.
COLOUR = ("lightness", "a", "b")


@dataclass(frozen=True)
class Pairs:
    """What belongs together.

    Parameters
    ----------
    sets : tuple of (tuple of Row, float)
        Pieces of each set and how far the two least alike are apart, in allowances; the best match first.
    odd : tuple of Row
        Left over.
    unmeasured : tuple of (Row, str)
        Pieces that lack a measure the others have, and which.
    by : tuple of (str, float)
        What they are compared by, with what the eye forgives [SI].
    needs : str
        What has to be measured before any of them can be matched; empty when they can.
    """

    sets: tuple[tuple[tuple[Row[Any], ...], float], ...]
    odd: tuple[Row[Any], ...]
    unmeasured: tuple[tuple[Row[Any], str], ...]
    by: tuple[tuple[str, float], ...]
    needs: str = ""


def pairs(
    studio: Studio, design: int, size: int = 2, begun: bool = False, forgiven: Mapping[str, float] | None = None
) -> Pairs:
    """Offer sets of pieces of one design that are most alike.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    size : int
        Pieces of a set.
    begun : bool
        Whether pieces still in work count.
    forgiven : mapping of str to float, optional
        What the eye forgives of a measure [SI; of weight a share]; those of the table for the rest.

    Raises
    ------
    InputError
        When there are too few pieces.
    """
    states = DONE | BEGUN if begun else DONE
    rows = [one for one in pieces_of_design(studio, design) if one.state in states and one.place not in GONE]
    if len(rows) < size:
        raise InputError(
            f"{len(rows)} {'piece is' if len(rows) == 1 else 'pieces are'} there, and a set has {size}.",
            "Count those in work too, or finish some first.",
        )
    known = _measured(studio, [int(one.id) for one in rows])
    # a measure counts when at least half of the pieces have it, so that one weighing does not stop all
    counts = {name: sum(name in known[int(one.id)] for one in rows) for name in (*MEASURES, "colour")}
    least = max(size, (len(rows) + 1) // 2)
    by = [name for name, count in counts.items() if count >= least]
    if not by:
        there = ", ".join(f"{name} of {count}" for name, count in counts.items() if count) or "nothing of any"
        needs = f"{least} of these {len(rows)} pieces need one measure in common; now there is {there}."
        return Pairs((), (), _lacking(rows, known, list(counts)), (), needs)
    full = [one for one in rows if all(name in known[int(one.id)] for name in by)]
    lacking = _lacking(rows, known, by)
    if len(full) < size:
        have = f"{len(full)} {'has' if len(full) == 1 else 'have'} them"
        needs = f"{size} of these {len(rows)} pieces need all of {', '.join(by)}; {have}."
        return Pairs((), (), lacking, (), needs)
    allowed = {name: (forgiven or {}).get(name) or rate(f"pair_{name}").value for name in by}
    if "weight" in allowed:  # a share of the middle one
        weights = sorted(known[int(one.id)]["weight"][0] for one in full)
        allowed["weight"] *= weights[len(weights) // 2]
    allowance = [allowed[name] for name in by for _ in known[int(full[0].id)][name]]
    told = {str(one.number): [v for name in by for v in known[int(one.id)][name]] for one in full}
    found = matching.match(told, allowance, size)
    at = {str(one.number): one for one in full}
    return Pairs(
        tuple((tuple(at[name] for name in mine), apart) for mine, apart in zip(found.sets, found.apart, strict=True)),
        tuple(at[name] for name in found.odd), lacking, tuple(allowed.items()),
    )  # fmt: skip


def _lacking(
    rows: Sequence[Row[Any]], known: Mapping[int, Mapping[str, tuple[float, ...]]], by: Sequence[str]
) -> tuple[tuple[Row[Any], str], ...]:
    """Return the pieces that lack a measure, and which."""
    told = ((one, ", ".join(name for name in by if name not in known[int(one.id)])) for one in rows)
    return tuple((one, what) for one, what in told if what)


def _measured(studio: Studio, keys: Sequence[int]) -> dict[int, dict[str, tuple[float, ...]]]:
    """Return the newest measures of pieces [SI] and their colours."""
    found: dict[int, dict[str, tuple[float, ...]]] = {key: {} for key in keys}
    wanted = {word: name for name, words in MEASURES.items() for word in words}
    with studio.reading() as connection:
        rows = current(measure).where(measure.c.piece.in_(keys), measure.c.what.in_(list(wanted)))
        for row in connection.execute(rows.order_by(measure.c.at, measure.c.id)):
            value = row.mass if row.mass is not None else row.length
            if value is not None:
                found[int(row.piece)][wanted[row.what]] = (float(value),)
        rows = current(colour_reading).where(colour_reading.c.piece.in_(keys), colour_reading.c.lightness.is_not(None))
        for row in connection.execute(rows.order_by(colour_reading.c.at, colour_reading.c.id)):
            found[int(row.piece)]["colour"] = tuple(float(getattr(row, name) or 0.0) for name in COLOUR)
    return found
