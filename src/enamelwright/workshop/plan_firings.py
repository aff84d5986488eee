"""Which firing of its plan a piece comes to next: by its coats, not by how often the door was opened."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
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
class Order:
    """The firings of a plan, as far as the record can be held against them.

    Attributes
    ----------
    firings : tuple of (int, tuple of int)
        In kiln order: the number of each, and the coats it lays, from 0.
    coats : tuple of (str, str)
        Jar and face of every coat.
    """

    firings: tuple[tuple[int, tuple[int, ...]], ...]
    coats: tuple[tuple[str, str], ...]

    def lays(self, number: int) -> frozenset[int]:
        """Return the coats a firing lays; none for a number the plan does not have."""
        return next((frozenset(lays) for one, lays in self.firings if one == number), frozenset())

    def first_undone(self, done: Collection[int]) -> int | None:
        """Return the first firing that was not done; None when all were."""
        return next((number for number, _ in self.firings if number not in done), None)

    def places(self, coat: Row[Any]) -> frozenset[int]:
        """Return the coats of the plan that one laid may be, from 0."""
        if coat.coat is not None:
            return frozenset({int(coat.coat) - 1}) & frozenset(range(len(self.coats)))
        code = (coat.code or "").casefold()
        return frozenset(
            n
            for n, (jar, face) in enumerate(self.coats)
            if code and jar.casefold() == code and coat.face in (None, face)
        )


def order_of(plan: Plan) -> Order:
    """Return the firings of a plan as the record is held against them."""
    return Order(
        tuple((one.number, tuple(one.lays)) for one in plan.firings),
        tuple((one.jar, one.face) for one in plan.piece.coats),
    )


@dataclass(frozen=True)
class Through:
    """What of a plan a piece has been through, by its record.

    Attributes
    ----------
    done : frozenset of int
        Numbers of the firings that are behind it, in whatever order they came.
    coats : frozenset of int
        Coats that were laid and fired, from 0.
    """

    done: frozenset[int] = frozenset()
    coats: frozenset[int] = frozenset()

    def so_far(self, order: Order) -> int:
        """Return the last firing up to which nothing of the plan is left out; 0 before the first."""
        last = 0
        for number, _ in order.firings:
            if number not in self.done:
                break
            last = number
        return last


@dataclass(frozen=True)
class Past:
    """What is written down of a piece.

    Attributes
    ----------
    firings : tuple of Row
        Those it came out of, none that was broken off, the first first.
    coats : tuple of Row
        Every coat, the first first.
    """

    firings: tuple[Row[Any], ...] = ()
    coats: tuple[Row[Any], ...] = ()

    @property
    def times(self) -> int:
        """How often it was fired."""
        return len(self.firings)

    def through(self, order: Order) -> Through:
        """Hold the record against a plan: which firings are behind the piece, and which coats are on it.

        A firing left out is passed over when it lays nothing, when what it lays was laid all the same, or when no
        coats of this piece are written down at all; else it is still to come.

        Parameters
        ----------
        order : Order
            Of the plan.
        """
        done: set[int] = set()
        coats: set[int] = set()
        left = list(self.coats)
        for n, one in enumerate(self.firings, 1):
            number = int(one.firing or n)
            until = one.closed_at or one.at
            here = [coat for coat in left if (coat.at or "") < until]
            left = left[len(here) :]
            matched: set[int] = set()
            for coat in here:
                places = order.places(coat)
                fresh = sorted(places - coats)
                matched |= places & order.lays(number) or set(fresh[:1]) or places
            coats |= matched or order.lays(number)
            done.add(number)
        for number, lays in order.firings:
            if number < max(done, default=0) and (not lays or not self.coats or set(lays) <= coats):
                done.add(number)
        return Through(frozenset(done), frozenset(coats))


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
    past : Past
        What is written down of it so far.
    """

    number: int
    again: str
    coats: tuple[Row[Any], ...]
    past: Past = Past()

    def of_plan(self, plan: Plan) -> NextFiring:
        """Return the firing once its plan is known: the first not done that lays what lies unfired on the piece.

        Parameters
        ----------
        plan : Plan
            Of the piece.
        """
        return self.of_order(order_of(plan))

    def of_order(self, order: Order) -> NextFiring:
        """Return the same as :meth:`of_plan` where only the order of the firings is known.

        Parameters
        ----------
        order : Order
            Of the plan.
        """
        done = self.past.through(order).done
        coming = order.first_undone(done)
        if self.again == NO_NEW_COAT:
            if coming is not None and not order.lays(coming):
                return replace(self, number=coming, again="")  # wires sunk, or a flash: nothing is laid for it
            return self
        wanted = {n for coat in self.coats for n in order.places(coat)}
        fitting = [number for number, lays in order.firings if wanted & set(lays)]
        if self.again == BROKEN_OFF and (not fitting or self.number in fitting):
            return self
        if not fitting:
            return self if coming is None else replace(self, number=coming)
        undone = [number for number in fitting if number not in done]
        nearest = min(fitting, key=lambda one: (abs(one - self.number), one))
        return replace(self, number=undone[0] if undone else nearest)

    def to_do(self, order: Order) -> int | None:
        """Return the firing to work towards: what lies unfired on it, else the first of the plan that is not done.

        Parameters
        ----------
        order : Order
            Of the plan.

        Returns
        -------
        int or None
            Its number; None when every firing is done.
        """
        if self.coats or self.again == BROKEN_OFF:
            return self.of_order(order).number
        return order.first_undone(self.past.through(order).done)


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
            select(laid.c.piece, laid.c.at, laid.c.coat, laid.c.face, laid.c.on_piece, laid.c.cell, jar_table.c.code)
            .outerjoin(jar_table, jar_table.c.id == laid.c.jar)
            .order_by(laid.c.at)
        ).all()
    firings, layings = _by_piece(fired), _by_piece(coats)
    return {piece: _next(firings.get(piece, ()), layings.get(piece, ()), at) for piece in pieces}


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


def _by_piece(rows: Sequence[Any]) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = {}
    for one in rows:
        found.setdefault(one.piece, []).append(one)
    return found


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
    out = tuple(one for one in before if one.closed_at and not one.interrupted)
    return NextFiring(number, again, new, Past(out, tuple(coats)))
