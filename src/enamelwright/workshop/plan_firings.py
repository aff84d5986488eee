"""Which firing of its plan a piece comes to next: by its coats, not by how often the door was opened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.plan import Plan
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.writing import current
from enamelwright.workshop.studio import Studio

#: Said in the history when a firing gets another number because one before it was told later.
TOLD_LATER = "a firing before it was told later"


@dataclass(frozen=True)
class NextFiring:
    """The firing a piece comes to.

    Attributes
    ----------
    number : int
        Of its plan, from 1.
    again : str
        Why it is a firing it has been through before; empty when it is a new one.
    coats : tuple of Row
        Coats that are laid and not fired: `coat`, `face`, `code`.
    """

    number: int
    again: str
    coats: tuple[Row[Any], ...]

    def of_plan(self, plan: Plan) -> NextFiring:
        """Return the firing once its plan is known: the one that lays what lies unfired on the piece.

        Parameters
        ----------
        plan : Plan
            Of the piece.
        """
        here = next((one for one in plan.firings if one.number == self.number + 1), None)
        if self.again == NO_NEW_COAT and here is not None and not here.lays:
            return NextFiring(self.number + 1, "", self.coats)  # wires sunk, or a flash: nothing is laid for it
        wanted = {n for coat in self.coats for n in _places(coat, plan)}
        fitting = [one.number for one in plan.firings if wanted & set(one.lays)]
        if not fitting or self.number in fitting:
            return self
        return NextFiring(min(fitting, key=lambda one: (abs(one - self.number), one)), self.again, self.coats)


NO_NEW_COAT = "no new coat is written down"
BROKEN_OFF = "it was broken off"


def next_firings(studio: Studio, pieces: Sequence[int], at: str | None = None) -> dict[int, NextFiring]:
    """Say which firing each piece comes to.

    Where coats of a piece are written down, a firing without a new one is the same firing again; a firing that
    was broken off stays the same firing. Where no coats are written down, firings are counted.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int
        Rows.
    at : str, optional
        When it goes in, as the record writes moments; after everything known when left out.
    """
    inside = current(load_piece).where(load_piece.c.piece.in_(pieces)).subquery()
    loads = current(load_table).subquery()
    laid = current(coat_laid).where(coat_laid.c.piece.in_(pieces)).subquery()
    with studio.reading() as connection:
        fired = connection.execute(
            select(inside.c.piece, inside.c.firing, loads.c.at, loads.c.closed_at, loads.c.interrupted)
            .join(loads, loads.c.of == inside.c.load)
            .order_by(loads.c.at, loads.c.of)
        ).all()
        coats = connection.execute(
            select(laid.c.piece, laid.c.at, laid.c.coat, laid.c.face, jar_table.c.code)
            .outerjoin(jar_table, jar_table.c.id == laid.c.jar)
            .order_by(laid.c.at)
        ).all()
    return {piece: _next(_of(piece, fired), _of(piece, coats), at) for piece in pieces}


def done_so_far(studio: Studio, pieces: Sequence[int]) -> dict[int, int]:
    """Return the last firing of its plan each piece has been through, 0 for none; one broken off does not count.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : sequence of int
        Rows.
    """
    inside = current(load_piece).where(load_piece.c.piece.in_(pieces)).subquery()
    loads = current(load_table).subquery()
    with studio.reading() as connection:
        rows = connection.execute(
            select(inside.c.piece, inside.c.firing, loads.c.interrupted).join(loads, loads.c.of == inside.c.load)
        ).all()
    done = dict.fromkeys(pieces, 0)
    for row in rows:
        if not row.interrupted:
            done[row.piece] = max(done[row.piece] + 1 if row.firing is None else row.firing, done[row.piece])
    return done


def make_room(studio: Studio, piece: int, number: int, at: str) -> None:
    """Give the firings after one that is told late the numbers that follow it.

    Parameters
    ----------
    studio : Studio
        The studio, writing.
    piece : int
        Row of the piece.
    number : int
        Of the firing told late.
    at : str
        When it went in, as the record writes moments.
    """
    inside = current(load_piece).where(load_piece.c.piece == piece, load_piece.c.firing >= number).subquery()
    loads = current(load_table).subquery()
    with studio.reading() as connection:
        later = connection.execute(
            select(inside.c.of, inside.c.firing).join(loads, loads.c.of == inside.c.load).where(loads.c.at > at)
        ).all()
    if any(one.firing == number for one in later):
        for one in later:
            studio.correct(load_piece, one.of, TOLD_LATER, firing=one.firing + 1)


def _of(piece: int, rows: Sequence[Any]) -> list[Row[Any]]:
    return [one for one in rows if one.piece == piece]


def _next(fired: Sequence[Row[Any]], coats: Sequence[Row[Any]], at: str | None) -> NextFiring:
    before = [one for one in fired if at is None or one.at <= at]
    after = next((one for one in fired if at is not None and one.at > at), None)
    if not before:
        number, again, since = 1, "", ""
    else:
        last = before[-1]
        number, again = (last.firing or len(before)) + 1, ""
        whole = [one for one in before if not one.interrupted]
        # A coat typed in the same breath as a firing lies after its beginning and before its end.
        since = (whole[-1].closed_at or whole[-1].at) if whole else ""
        if last.interrupted:
            number, again = number - 1, BROKEN_OFF
    until = (after.closed_at or after.at) if after is not None else None
    new = tuple(one for one in coats if (one.at or "") >= since and (until is None or (one.at or "") < until))
    if before and not again and coats and not new:
        number, again = number - 1, NO_NEW_COAT
    return NextFiring(number, again, new)


def _places(coat: Row[Any], plan: Plan) -> set[int]:
    """Return the coats of the plan that one laid may be, from 0."""
    if coat.coat is not None:
        return {int(coat.coat) - 1}
    return {
        n
        for n, one in enumerate(plan.piece.coats)
        if coat.code and one.jar.casefold() == coat.code.casefold() and coat.face in (None, one.face)
    }
