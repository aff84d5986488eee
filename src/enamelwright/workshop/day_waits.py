"""What waits for the day, read from the record: pieces with the steps that lie behind them, orders, loads."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.piece import Cell, Drawing, Piece
from enamelwright.errors import EnamelwrightError
from enamelwright.planning.day.rates import TICK
from enamelwright.planning.day.routes import pace_of, route_of
from enamelwright.questions.day import planned
from enamelwright.records.schema.orders import customer_order, order_line
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day_habits import LEARNING
from enamelwright.workshop.day_progress import Record, Route, StepTold
from enamelwright.workshop.lot_tiles import NewLot, new_lots, untraced
from enamelwright.workshop.orders import OVER, lines_of, open_orders
from enamelwright.workshop.own_hand import own_hand
from enamelwright.workshop.people import people
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.series_work import outline_outside
from enamelwright.workshop.studio import Studio

#: States of an order whose pieces are made though none is begun.
MAKE = frozenset({"agreed", "in work"})
#: Pieces of one order line that are not begun and yet planned, at most.
MOST_OF_A_LINE = 200
#: Steps the record tells of; the rest of a route leaves no trace in it.
TRACED = frozenset({"lay", "fire"})
#: Longest label of a piece in a plan.
LABEL = 60


@dataclass(frozen=True)
class WaitingPiece:
    """One piece that waits.

    Parameters
    ----------
    name : str
        As the plan calls it.
    design : str
        What it is.
    steps : tuple of StepTold
        Its route.
    number : str
        Its permanent number; empty while it is only ordered.
    version : int
        Row of its design version.
    line : int
        Row of the order line it is for; 0 for none.
    order, owner, due : str
        Number of the order, label of the student whose it is, and the date; empty for none.
    done : int
        Steps that lie behind it.
    ready : str
        Nothing can be done before this moment, as it dries, cools or is in the kiln; empty for at once.
    inside : str
        Number of the load it is in; empty for none.
    after : tuple of str
        Tiles of new lots that come out before it is laid.
    """

    name: str
    design: str
    steps: tuple[StepTold, ...]
    number: str
    version: int
    line: int = 0
    order: str = ""
    owner: str = ""
    due: str = ""
    done: int = 0
    ready: str = ""
    inside: str = ""
    after: tuple[str, ...] = ()

    @property
    def is_tile(self) -> bool:
        """Whether it is the tile of a new lot."""
        return self.version < 0


@dataclass(frozen=True)
class Waits:
    """What waits, as one reading of the record.

    Parameters
    ----------
    pieces : tuple of WaitingPiece
        By due date, then number.
    told : mapping of int to Piece
        What is made, by the row of the design version; empty where routes were told.
    routes : mapping of int to Route
        Its steps.
    left_out : tuple of (str, str)
        What cannot be planned, and why.
    kilns : mapping of str to str
        Kiln that holds a load -> when that comes out.
    hands : mapping of int to float
        Hand time of one piece [s], by the row of the design version, where the record knows it.
    """

    pieces: tuple[WaitingPiece, ...]
    told: Mapping[int, Piece]
    routes: Mapping[int, Route]
    left_out: tuple[tuple[str, str], ...]
    kilns: Mapping[str, str] = field(default_factory=dict)
    hands: Mapping[int, float] = field(default_factory=dict)


def told_of(version: Row[Any]) -> Piece:
    """Return the piece of a design version as the question takes it: what is drawn becomes points and areas."""
    piece = designs.piece_of(version)
    if not isinstance(piece.outline, Drawing):
        return piece
    shape = designs.shape_of(version)
    if shape is None:
        return piece
    named = {cell.name for cell in piece.cells}
    cells = tuple(Cell(name=name, area=cell.area) for name, cell in shape.cells.items() if name not in named)
    return piece.model_copy(update={"outline": outline_outside(shape), "cells": (*piece.cells, *cells)})


def route_told(piece: Piece, known: Bench, hand: float | None = None) -> Route:
    """Return the steps of one piece as the plan of the day counts them.

    Parameters
    ----------
    piece : Piece
        What is made.
    known : Bench
        Jars and kilns.
    hand : float, optional
        Hand time of one piece by the record [s]; as planned when left out.
    """
    plan, layup = planned(piece, known)
    steps = []
    for step in route_of(plan, layup, pace=pace_of(plan, hand)).steps:
        operation = plan.operations[step.origin]
        length, wait = float(step.length * TICK), float(step.wait * TICK)
        steps.append(StepTold(operation.work, operation.firing, tuple(operation.coats), length, wait))
    return Route(piece.name, tuple(steps), tuple((coat.jar, coat.face) for coat in piece.coats))


def waits(studio: Studio, routes: Mapping[int, Route] | None = None) -> Waits:
    """Read what waits.

    Parameters
    ----------
    studio : Studio
        The studio.
    routes : mapping of int to Route, optional
        Steps of the designs as they were planned before. With them nothing is planned, and a piece whose design is
        not among them has no steps: enough to see where a plan and the record differ.
    """
    designs_told = _Designs(studio, routes)
    found: list[WaitingPiece] = []
    left: list[tuple[str, str]] = []
    with studio.reading():
        rows = pieces_in_work(studio)
        lines = _lines(studio, [int(row.order_line) for row in rows if row.order_line])
        owners = {int(one.id): str(one.label) for one in people(studio) if one.role in LEARNING}
        record = Record(studio, rows)
        for row in rows:
            name = f"{row.number} {row.label or ''}".strip()[:LABEL]
            version = int(row.design_version or 0)
            route = designs_told.route(version) if version else None
            if route is None:
                left.append((name, designs_told.why_not.get(version, "it has no plan.")))
                continue
            order, due = lines.get(int(row.order_line or 0), ("", ""))
            done, ready, inside = record.progress(int(row.id), route)
            found.append(
                WaitingPiece(
                    name, route.design, route.steps, str(row.number), version, int(row.order_line or 0), order,
                    owners.get(int(row.owner or 0), ""), due, done, ready, inside,
                )
            )  # fmt: skip
        for piece in _ordered(studio):
            route = designs_told.route(piece.version)
            if route is None:
                left.append((piece.name, designs_told.why_not[piece.version]))
            else:
                found.append(replace(piece, steps=route.steps, design=route.design))
        found = _with_tiles(found, new_lots(studio), designs_told, left)
    found.sort(key=lambda one: (not one.due, one.due, one.name))
    return Waits(tuple(found), designs_told.told, designs_told.routes, tuple(left), record.kilns, designs_told.hands)


def work_out(studio: Studio, version: int) -> None:
    """Plan a design for the day ahead of time, so that the first plan of a day is there at once.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : int
        Row of the design version; one that cannot be planned is left for the page to say.
    """
    _Designs(studio, None).route(version)


def _with_tiles(
    found: list[WaitingPiece], fresh: Mapping[str, NewLot], known: _Designs, left: list[tuple[str, str]]
) -> list[WaitingPiece]:
    """Put the tile of each new lot before the pieces that still need of it."""
    tiles: dict[str, WaitingPiece] = {}
    pieces = []
    for one in found if fresh else ():
        route = known.route(one.version)
        coats = route.coats if route is not None else ()
        needed = {coats[n][0].casefold() for step in one.steps[one.done :] if step.work == "lay" for n in step.coats
                  if n < len(coats)}  # fmt: skip
        for code in sorted(needed & fresh.keys() - tiles.keys()):
            lot = fresh[code]
            told = known.tile(lot)
            if told is None:
                left.append((lot.name, known.why_not.get(lot.version, "it has no plan.")))
            else:
                tiles[code] = WaitingPiece(lot.name, told.design, told.steps, "", lot.version)
        pieces.append(replace(one, after=tuple(tiles[code].name for code in sorted(needed & tiles.keys()))))
    return [*tiles.values(), *pieces] if tiles else found


class _Designs:
    """Designs that wait, planned when they are asked for, unless their steps are told."""

    def __init__(self, studio: Studio, routes: Mapping[int, Route] | None) -> None:
        self._studio, self._known = studio, bench(studio) if routes is None else None
        self.told: dict[int, Piece] = {}
        self.routes: dict[int, Route] = dict(routes or {})
        self.hands: dict[int, float] = {}
        self.why_not: dict[int, str] = {}

    def route(self, version: int) -> Route | None:
        """Return the steps of a design version; None when it cannot be planned."""
        if version not in self.routes and version not in self.why_not:
            try:
                row = designs.version_row(self._studio, version)
                if self._known is None:
                    return Route(str(row.piece.get("name", "")), (), ())
                self.told[version] = told_of(row)
                hand = own_hand(self._studio, int(row.design))
                self.routes[version] = route_told(self.told[version], self._known, hand)
                if hand is not None:
                    self.hands[version] = hand
            except EnamelwrightError as error:
                self.why_not[version] = str(error)
        return self.routes.get(version)

    def tile(self, lot: NewLot) -> Route | None:
        """Return the steps of the tile of a new lot; None when it cannot be planned."""
        if self._known is None:
            return self.routes.get(lot.version) or Route(lot.name, (), ())
        if lot.version not in self.routes and lot.version not in self.why_not:
            try:
                self.told[lot.version] = lot.tile()
                self.routes[lot.version] = untraced(route_told(self.told[lot.version], self._known))
            except EnamelwrightError as error:
                self.why_not[lot.version] = str(error)
        return self.routes.get(lot.version)


def _lines(studio: Studio, wanted: Collection[int]) -> dict[int, tuple[str, str]]:
    """Return (order, date) of order lines; what is left of an order that is over is wanted by no date."""
    rows = select(order_line.c.id, customer_order.c.number, customer_order.c.due_on, customer_order.c.state).join(
        customer_order, customer_order.c.id == order_line.c.customer_order
    )
    with studio.reading() as connection:
        return {
            int(one.id): (str(one.number), "" if one.state in OVER else str(one.due_on or ""))
            for one in connection.execute(rows.where(order_line.c.id.in_(set(wanted))))
        }


def _ordered(studio: Studio) -> list[WaitingPiece]:
    """List pieces that are ordered and not begun."""
    started: dict[int, int] = {}
    with studio.reading() as connection:
        rows = connection.execute(
            select(piece_table.c.order_line).where(
                piece_table.c.order_line.is_not(None), piece_table.c.state.not_in(("spoilt", "lost"))
            )
        )
        for row in rows:
            started[int(row.order_line)] = started.get(int(row.order_line), 0) + 1
    known = {int(one.id): str(one.name) for one in designs.designs(studio)}
    found = []
    for order in open_orders(studio):
        if order.state not in MAKE:
            continue
        for line in lines_of(studio, int(order.id)):
            left = int(line._mapping["count"] or 0) - started.get(int(line.id), 0)
            if line.design not in known or left <= 0:
                continue
            version = int(designs.version_row(studio, known[int(line.design)]).of)
            for n in range(min(left, MOST_OF_A_LINE)):
                name = f"{order.number} {known[int(line.design)]}"[: LABEL - 4] + f" {n + 1}"
                found.append(
                    WaitingPiece(
                        name, "", (), "", version, int(line.id), str(order.number), "", str(order.due_on or "")
                    )
                )
    return found
