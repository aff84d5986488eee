"""How far along its route each piece is, by the record: fired, laid, finished, or in the kiln at this moment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Row, select

from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import finish as finish_table
from enamelwright.records.writing import current
from enamelwright.workshop.firings import open_loads, pieces_in
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.plan_firings import Order, next_firings
from enamelwright.workshop.studio import Studio

#: What work after the kiln is called in the record -> in a plan.
FINISHES = {"burr out": "stone", "glass brush": "stone", "polish": "finish", "file edge": "finish"}


@dataclass(frozen=True)
class StepTold:
    """One step of a route, as the record can be held against it.

    Parameters
    ----------
    work : str
        Kind of work.
    firing : int
        Number of the firing it belongs to; 0 for none.
    coats : tuple of int
        Coats concerned, from 0.
    length, wait : float
        It takes [s], and after it nothing is done for [s].
    """

    work: str
    firing: int
    coats: tuple[int, ...]
    length: float
    wait: float


@dataclass(frozen=True)
class Route:
    """The steps of one design version.

    Parameters
    ----------
    design : str
        What it is.
    steps : tuple of StepTold
        In order.
    coats : tuple of (str, str)
        Jar and face of its coats.
    """

    design: str
    steps: tuple[StepTold, ...]
    coats: tuple[tuple[str, str], ...]

    def order(self) -> Order:
        """Return its firings with the coats each lays."""
        numbers = [step.firing for step in self.steps if step.work == "fire"]
        laid = {number: [one for one in self.steps if one.work == "lay" and one.firing == number] for number in numbers}
        return Order(
            tuple((number, tuple(n for step in laid[number] for n in step.coats)) for number in numbers), self.coats
        )

    def to_json(self) -> dict[str, Any]:
        """Return it as plain JSON."""
        rows = [[one.work, one.firing, list(one.coats), one.length, one.wait] for one in self.steps]
        return {"design": self.design, "steps": rows, "coats": [list(one) for one in self.coats]}

    @classmethod
    def from_json(cls, told: Mapping[str, Any]) -> Route:
        """Read what :meth:`to_json` wrote."""
        steps = tuple(
            StepTold(work, firing, tuple(coats), length, wait) for work, firing, coats, length, wait in told["steps"]
        )
        return cls(told["design"], steps, tuple((jar, face) for jar, face in told["coats"]))


def local(moment: datetime) -> str:
    """Write a moment as plans do, to the minute not before it."""
    here = moment.astimezone().replace(tzinfo=None)
    if here.second or here.microsecond:
        here = here.replace(second=0, microsecond=0) + timedelta(minutes=1)
    return here.isoformat(sep=" ", timespec="minutes")


class Record:
    """What the record says of pieces in work: firings, coats laid since, work after the kiln, loads that are in.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : list of Row
        The pieces.

    Attributes
    ----------
    kilns : dict of str to str
        Kiln that holds a load -> when that likely comes out; known once its pieces were asked for.
    """

    def __init__(self, studio: Studio, rows: list[Row[Any]]) -> None:
        keys = [int(row.id) for row in rows]
        self.now = studio.clock()
        self.coming = next_firings(studio, keys)
        self.inside: dict[int, tuple[str, datetime, int]] = {}
        self.kilns: dict[str, str] = {}
        self.open: dict[int, tuple[Row[Any], list[int]]] = {}
        self.kiln_of: dict[str, int | None] = {}
        for load in open_loads(studio):
            for one in pieces_in(studio, int(load.of)):
                self.inside[int(one.piece)] = (str(load.number), datetime.fromisoformat(load.at), int(one.firing or 0))
            self.kiln_of[str(load.number)] = load.kiln
        self.last = _last_out(studio, keys)
        self.finishes = _finishes(studio, keys)
        self._names = _kiln_names(studio)

    def progress(self, piece: int, route: Route) -> tuple[int, str, str]:
        """Return how many steps lie behind a piece, when the next can begin, and the load it is in.

        Parameters
        ----------
        piece : int
            Row of the piece.
        route : Route
            Its steps.
        """
        steps = route.steps
        if piece in self.inside:
            return self._in_the_kiln(piece, route)
        fired = self._so_far(piece, route)
        done = _after_firing(steps, fired)
        since = self.last.get(piece)
        coats = self.coming[piece].coats
        laid = {n for coat in coats for n in _coats_meant(coat, route.coats)}
        for place in range(done, _next_fire(steps, done)):
            if steps[place].work == "lay" and laid & set(steps[place].coats):
                done = place + 1
                since = max((datetime.fromisoformat(coat.at) for coat in coats if coat.at), default=since)
        for work, at in self.finishes.get(piece, ()):
            if since is not None and at < since:
                continue
            found = next((n for n in range(done, _next_fire(steps, done)) if steps[n].work == work), None)
            if found is not None:
                done, since = found + 1, at
        return done, self._ready(since, steps, done), ""

    def _ready(self, since: datetime | None, steps: tuple[StepTold, ...], done: int) -> str:
        if since is None or not done:
            return ""
        ready = since + timedelta(seconds=steps[done - 1].wait)
        return local(ready) if ready > self.now else ""

    def _so_far(self, piece: int, route: Route) -> int:
        """Return the firing of its route up to which nothing is left out."""
        order = route.order()
        return self.coming[piece].past.through(order).so_far(order)

    def _in_the_kiln(self, piece: int, route: Route) -> tuple[int, str, str]:
        steps = route.steps
        load, since, firing = self.inside[piece]
        number = firing or self._so_far(piece, route) + 1
        place = next((n for n, step in enumerate(steps) if step.work == "fire" and step.firing == number), None)
        if place is None:
            return len(steps), "", load
        out = max(since + timedelta(seconds=steps[place].length), self.now)
        name = self._names.get(self.kiln_of.get(load) or 0)
        if name is not None:
            self.kilns[name] = max(self.kilns.get(name, ""), local(out))
        return place + 1, local(out + timedelta(seconds=steps[place].wait)), load


def _after_firing(steps: tuple[StepTold, ...], fired: int) -> int:
    """Return how many steps lie behind a piece that was fired so often."""
    done = 0
    for place, step in enumerate(steps):
        if step.work == "fire" and step.firing <= fired:
            done = place + 1
    return done


def _next_fire(steps: tuple[StepTold, ...], done: int) -> int:
    return next((n for n in range(done, len(steps)) if steps[n].work == "fire"), len(steps))


def _coats_meant(coat: Row[Any], coats: tuple[tuple[str, str], ...]) -> set[int]:
    if coat.coat is not None:
        return {int(coat.coat) - 1}
    code = (coat.code or "").casefold()
    return {n for n, (jar, face) in enumerate(coats) if jar.casefold() == code and coat.face in (None, face)}


def _last_out(studio: Studio, keys: list[int]) -> dict[int, datetime]:
    """Return when each piece came out of the kiln last."""
    inside = current(load_piece, load_piece.c.piece, load_piece.c.load).where(load_piece.c.piece.in_(keys)).subquery()
    loads = current(load_table).subquery()
    rows = select(inside.c.piece, loads.c.closed_at).join(loads, loads.c.of == inside.c.load)
    with studio.reading() as connection:
        found: dict[int, datetime] = {}
        for row in connection.execute(rows.where(loads.c.closed_at.is_not(None))):
            at = datetime.fromisoformat(row.closed_at)
            found[int(row.piece)] = max(found.get(int(row.piece), at), at)
    return found


def _finishes(studio: Studio, keys: list[int]) -> dict[int, list[tuple[str, datetime]]]:
    """Return what was done after the kiln, in order."""
    found: dict[int, list[tuple[str, datetime]]] = {}
    with studio.reading() as connection:
        for row in connection.execute(current(finish_table).where(finish_table.c.piece.in_(keys))):
            found.setdefault(int(row.piece), []).append(
                (FINISHES.get(row.work, row.work), datetime.fromisoformat(row.at))
            )
    return {piece: sorted(told, key=lambda one: one[1]) for piece, told in found.items()}


def _kiln_names(studio: Studio) -> dict[int, str]:
    return {int(one.id): str(one.name) for one in kilns(studio)}
