"""The invented workshop's money: a commission with its deposit, a fair, prices, evening classes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta
from typing import Any

from enamelwright.demo.script import PieceRow, happenings, pieces
from enamelwright.demo.world import World
from enamelwright.workshop.orders import add_line, change_order, keep_customer, pay, take_order
from enamelwright.workshop.pieces import change_piece
from enamelwright.workshop.selling import keep_outlet, move_piece, set_price, sold
from enamelwright.workshop.studio import Studio

#: Hours of the day at which money moves.
SHOP, CLASS_ENDS, AFTER_WORK = time(17, 0), time(21, 0), time(22, 10)
#: Students take their squares home a week later.
HOME_AFTER = timedelta(days=7)


def plan_selling(world: World) -> None:
    """Put the commission, the fair, the prices and the classes on the agenda."""
    told = happenings()
    _plan_order(world, told["order"])
    for one in told["prices"]:
        world.plan(datetime.combine(one["valid_from"], SHOP), _price, one)
    fair = told["fair"]
    opens = datetime.combine(fair["on"], time(9, 0))
    world.plan(opens - timedelta(days=1), _go_to_fair, world, told["sales"], fair)
    for n, sale in enumerate(told["sales"], 1):
        world.plan(opens + timedelta(minutes=40 * n), _sell, world, sale, fair["name"])
    for day in told["classes"]["evenings"]:
        world.plan(datetime.combine(day, CLASS_ENDS), _class, told)
    for piece in pieces().values():
        if piece.finished is None:
            continue
        if piece.place == "given":
            words = f"{piece.owner} took it home"
            world.plan(datetime.combine(piece.finished, SHOP) + HOME_AFTER, _leave, world, piece, words)
        elif piece.place == "kept":
            world.plan(datetime.combine(piece.finished, AFTER_WORK), _leave, world, piece, piece.ends)


def _sum(minor: int) -> str:
    """Write coins as a person would."""
    return f"{minor // 100}.{minor % 100:02d}"


def _leave(studio: Studio, world: World, piece: PieceRow, words: str) -> None:
    move_piece(studio, world.pieces[piece.label], piece.place, words=words)


# --- the commission -------------------------------------------------------------------------------


def _plan_order(world: World, told: Mapping[str, Any]) -> None:
    """From asking to collecting; the body that failed and the one that was sold are both for its one line."""
    world.plan(datetime.combine(told["asked"], SHOP), _ask, world, told)
    world.plan(datetime.combine(told["deposit_paid"], SHOP), _deposit, world, told)
    for piece in pieces().values():
        if piece.design == told["design"]:
            world.plan(datetime.combine(piece.started, time(8, 40)), _begin_work, world, piece.label)
    made = pieces()[told["piece"]].finished
    if made is not None:
        world.plan(datetime.combine(made, AFTER_WORK), _ready, world)
    world.plan(datetime.combine(told["collected"], SHOP), _collect, world, told)


def _ask(studio: Studio, world: World, told: Mapping[str, Any]) -> None:
    keep_customer(studio, told["customer"])
    agreed = _sum(told["agreed_minor"])
    row = take_order(
        studio, told["brief"], customer=told["customer"], agreed=agreed, deposit_due_on=told["deposit_due"],
        due_on=told["due"],
    )  # fmt: skip
    world.order, world.order_line = row.id, add_line(studio, row.id, design=told["design"], each=agreed)


def _deposit(studio: Studio, world: World, told: Mapping[str, Any]) -> None:
    pay(studio, "deposit", _sum(told["deposit_minor"]), order=world.order, how="cash")
    change_order(studio, world.order, state="agreed")


def _begin_work(studio: Studio, world: World, label: str) -> None:
    change_piece(studio, world.pieces[label], order_line=world.order_line)
    change_order(studio, world.order, state="in work")


def _ready(studio: Studio, world: World) -> None:
    change_order(studio, world.order, state="ready")


def _collect(studio: Studio, world: World, told: Mapping[str, Any]) -> None:
    piece = world.pieces[told["piece"]]
    pay(
        studio,
        "balance",
        _sum(told["agreed_minor"] - told["deposit_minor"]),
        order=world.order,
        piece=piece,
        how="card",
    )
    move_piece(studio, piece, "sold", order=world.order, words="commission collected")
    change_order(studio, world.order, state="collected", collected_on=told["collected"])


# --- prices, fair, classes ------------------------------------------------------------------------


def _price(studio: Studio, one: Mapping[str, Any]) -> None:
    set_price(studio, _sum(one["minor"]), design=one["design"], channel=one["channel"], words=one.get("words"))


def _each(sale: Mapping[str, Any]) -> str:
    """Return the price of one of the pieces sold together."""
    return _sum(sale["minor"] // len(sale["pieces"]))


def _go_to_fair(studio: Studio, world: World, sales: Sequence[Mapping[str, Any]], fair: Mapping[str, Any]) -> None:
    keep_outlet(studio, fair["name"], fair["kind"])
    for sale in sales:
        for label in sale["pieces"]:
            move_piece(studio, world.pieces[label], "fair", outlet=fair["name"], asked=_each(sale))


def _sell(studio: Studio, world: World, sale: Mapping[str, Any], fair: str) -> None:
    for label in sale["pieces"]:
        sold(studio, world.pieces[label], _each(sale), outlet=fair, how="cash", words=sale.get("words"))


def _class(studio: Studio, told: Mapping[str, Any]) -> None:
    for label, role in told["people"].items():
        if role == "student":
            pay(studio, "class", _sum(told["classes"]["each_minor"]), how="cash", words=f"evening, {label}")
