"""A piece as its record has it: what is on it, what it comes to next, and what of its plan was never done."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.as_fired import as_fired
from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import Plan
from enamelwright.figure import Figure, Origin
from enamelwright.pictures.stack import looks
from enamelwright.web import sections
from enamelwright.workshop.firings import firings_of, open_load_of
from enamelwright.workshop.measures import measures_of
from enamelwright.workshop.plan_firings import next_firings, order_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed


@dataclass(frozen=True)
class AsItIs:
    """A piece by its record.

    Attributes
    ----------
    working : bool
        Whether more is to come.
    plan : Plan
        To draw it of.
    firing : int or None
        Of that plan, after which it is drawn; None for everything on it.
    words : str
        What the drawing shows.
    number : int or None
        The firing of its own plan it comes to, or is in; None when every one is done.
    again : bool
        Whether that firing was done before.
    inside : str
        The load it is in at this moment; empty when it is in none.
    never : str
        What was never laid, for a piece that is finished; empty when everything was.
    bow : str
        As measured last; empty when it was not.
    """

    working: bool
    plan: Plan
    firing: int | None
    words: str
    number: int | None
    again: bool
    inside: str
    never: str
    bow: str


def as_it_is(studio: Studio, row: Row[Any], plan: Plan, known: Bench) -> AsItIs:
    """Hold a piece's record against its plan.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        The piece.
    plan : Plan
        Its plan.
    known : Bench
        Where jars are looked up.
    """
    order = order_of(plan)
    standing = next_firings(studio, [row.id])[row.id]
    through = standing.past.through(order)
    working = row.state in sections.IN_WORK
    so_far = through.so_far(order)
    measured = measures_of(studio, row.id, "bow")
    bow = "" if not measured or measured[-1].length is None else as_typed(measured[-1], "length", "mm")
    drawn, firing = plan, None
    if not working or not sections.straight(order, through, working):
        seen = _bow(measured[-1], plan) if bow and not working else None
        drawn, firing = as_fired(plan, through.done, through.coats, over=not working, bow=seen)
    elif order.first_undone(through.done) is not None:
        firing = so_far
    load = open_load_of(studio, row.id) if working else None
    number = standing.to_do(order) if working else None
    if load is not None:
        inside = [one.firing for one in firings_of(studio, row.id) if one.number == load.number]
        number = int(inside[0]) if inside and inside[0] else number
    return AsItIs(
        working, drawn, firing, _words(working, firing, standing.past.times, drawn is plan), number,
        number in through.done, str(load.number) if load is not None else "",
        "" if working else _never(plan, known, through.coats), bow,
    )  # fmt: skip


def _words(working: bool, firing: int | None, times: int, planned: bool) -> str:
    if not working:
        return "As its record has it." if times else "As its record has it: no firing is written down."
    if firing is None:
        return "With everything on it."
    if not times:
        return "Bare metal: nothing is fired yet."
    if planned:
        return f"As it is after firing {firing}."
    return f"As it is, fired {'once' if times == 1 else f'{times} times'}, not in the order of the plan."


def _bow(measured: Row[Any], plan: Plan) -> Figure | None:
    """Return a bow that was measured over the longest measure of the piece, as a drawing wants it."""
    span = measured.over or plan.chord
    bow = measured.length * (plan.chord / span) ** 2 if span else measured.length
    return Figure(
        value=bow, low=bow, high=bow, dimension="length", origin=Origin(kind="measured", source=str(measured.at)[:10])
    )


def _never(plan: Plan, known: Bench, fired: Iterable[int]) -> str:
    """Say which coats of the plan were never laid, neighbours of one face together."""
    there = {*fired, *(n for n, coat in enumerate(plan.piece.coats) if coat.fired)}
    missing = sorted(
        ((one.face, one.place, one.key) for one in looks(plan, None, known) if one.number not in there),
        key=lambda one: (one[0] != "back", one[1]),
    )
    spans = []
    for _, run in groupby(enumerate(missing), key=lambda one: (one[1][0], one[1][1] - one[0])):
        names = [one[2] for _, one in run]
        spans.append(names[0] if len(names) == 1 else f"{names[0]}–{names[-1]}")
    if not spans:
        return ""
    what = f"Coat {spans[0]} was" if len(missing) == 1 else f"Coats {' and '.join(spans)} were"
    return f"{what} never laid, by its record."
