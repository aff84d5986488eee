"""`enamelwright order`, `sold`: who asked for what until when, and what was paid."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, day_of, listing, say
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption
from enamelwright.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Row

    from enamelwright.workshop.studio import Studio

order = typer.Typer(help="Orders, deposits, due dates.", no_args_is_help=True)

#: Papers of an order, and states of a piece that is not through.
PAPERS, IN_WORK = ("offer", "bill"), ("planned", "in work")

OrderArgument = Annotated[str, typer.Argument(help="Number of the order, e.g. 2026-C001.")]


@order.command("take")
def take(
    brief: Annotated[str, typer.Argument(help="What is wanted.")],
    customer: Annotated[str, typer.Option("--for", help="Label of the customer; kept when new.")] = "",
    agreed: Annotated[str, typer.Option("--agreed", help='The sum, e.g. "460 EUR".')] = "",
    due: Annotated[str, typer.Option("--due", help="Day it is due.")] = "",
    option: Annotated[
        list[str] | None, typer.Option("--option", help="Something to choose from; may be told again.")
    ] = None,
    look: Annotated[str, typer.Option("--look", help="The look that was approved.")] = "",
    change_by: Annotated[str, typer.Option("--change-by", help="Last day for changes.")] = "",
    deposit_due: Annotated[str, typer.Option("--deposit-due", help="Day the deposit is due.")] = "",
    to: Annotated[
        list[str] | None,
        typer.Option("--to", help="A line of name and address for offer and bill; may be told again."),
    ] = None,
    design: Annotated[str, typer.Option("--design", help="A design that is ordered.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, help="How many of it.")] = 1,
    each: Annotated[str, typer.Option("--each", help="Price of one.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Take an order; it gets its number."""
    from enamelwright.workshop.orders import add_line, take_order
    from enamelwright.workshop.recipients import customer_for

    with at_bench(home, who, at) as studio, studio.writing():
        asked_by = customer_for(studio, customer, "\n".join(to or ()))
        row = take_order(
            studio, brief, customer=None if asked_by is None else asked_by.customer,
            agreed=agreed or None, state="agreed" if agreed else "asked",
            due_on=day_of(due, "--due"), deposit_due_on=day_of(deposit_due, "--deposit-due"), words=note or None,
            options=list(option or ()) or None, approved_look=look or None, change_by=day_of(change_by, "--change-by"),
        )  # fmt: skip
        line = add_line(studio, row.id, design=design, count=count, each=each or None) if design else None
    say(f"Order {row.number}{f', due {row.due_on}' if row.due_on else ''}.")
    if line is not None:
        say(f'Start its pieces with: piece start "{design}" --count {count} --order-line {line}')


@order.command("line")
def line_(
    number: OrderArgument,
    what: Annotated[str, typer.Argument(help="What is ordered, when it is no design.")] = "",
    design: Annotated[str, typer.Option("--design", help="A design that is ordered.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, help="How many of it.")] = 1,
    each: Annotated[str, typer.Option("--each", help="Price of one.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Put another line on an order."""
    from enamelwright.workshop.orders import add_line

    if not (what or design):
        raise InputError("what is ordered?", "Name a design with --design, or write what it is.", "what")
    with at_bench(home, who) as studio:
        line = add_line(studio, number, what or None, design=design or None, count=count, each=each or None)
    say(f"Order {number}: {count} x {design or what}.")
    if design:
        say(f'Start its pieces with: piece start "{design}" --count {count} --order-line {line}')


@order.command("recipient")
def recipient(
    number: OrderArgument,
    lines: Annotated[list[str] | None, typer.Argument(help="Name and address, a line each.")] = None,
    none: Annotated[bool, typer.Option("--none", help="Take the lines off; the label stays.")] = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say whom offer and bill name; kept with the customer, for all their orders. Shown when no line is told."""
    from enamelwright.workshop.recipients import make_out_to, recipient_of

    if none and lines:
        raise InputError("are there lines or none?", "Leave --none out, or the lines.", "lines")
    with at_bench(home, who) as studio:
        if none or lines:
            make_out_to(studio, number, "\n".join(lines or ()))
        told = recipient_of(studio, number)
    say(f"Offer and bill name: {', '.join(told)}." if told else "Offer and bill leave a line to write on.")


@order.command("state")
def state(
    number: OrderArgument,
    state_: Annotated[str, typer.Argument(help="offered, agreed, in work, ready, collected, declined, cancelled.")],
    agreed: Annotated[str, typer.Option("--agreed", help="The sum agreed on.")] = "",
    look: Annotated[str, typer.Option("--look", help="The look that was approved.")] = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say how far an order is."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.orders import change_order, currency_of, order_row, owed
    from enamelwright.workshop.selling import collect, reopen

    with at_bench(home, who, at) as studio, studio.writing():
        changes: dict[str, Any] = {}
        if agreed:
            changes["agreed"] = agreed
        if look:
            changes["approved_look"] = look
        if changes:
            change_order(studio, number, **changes)
        over = state_ == "collected"
        moved = (collect(studio, number) if over else reopen(studio, number, None, state_))[1]
        row = order_row(studio, number)
        left = owed(studio, row.id) or 0
        told = show_money(studio, left, currency_of(studio, row))
    say(f"Order {number}: {state_}.")
    if moved:
        numbers = ", ".join(str(one.number) for one in moved)
        say(f"Gone with it: {numbers}." if over else f"On the bench again: {numbers}.")
    if left > 0 and state_ in {"ready", "collected"}:
        say(f"{told} still to pay.")


@order.command("paid")
def paid_(
    number: OrderArgument,
    money: Annotated[str, typer.Argument(help='The sum, e.g. "184 EUR".')],
    kind: Annotated[str, typer.Option("--kind", help="deposit, balance or refund.")] = "deposit",
    how: Annotated[str, typer.Option("--how", help="Cash, card ...")] = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a payment on an order."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.orders import currency_of, order_row, owed, paid, pay

    with at_bench(home, who, at) as studio:
        pay(studio, kind, money, order=number, how=how or None)
        row = order_row(studio, number)
        currency = currency_of(studio, row)
        left = owed(studio, row.id)
        say(f"Order {number}: {show_money(studio, paid(studio, number), currency)} paid.")
        if left is not None and left > 0:
            say(f"{show_money(studio, left, currency)} still to pay.")


@order.command("list")
def list_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the orders that are not over, the first due first, then those handed over and not paid."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.orders import currency_of, open_orders, owed, paid
    from enamelwright.workshop.owing import owing

    with at_bench(home) as studio:
        rows = []
        for row in (*open_orders(studio), *(one.order for one in owing(studio))):
            currency, left = currency_of(studio, row), owed(studio, row.id)
            sums = (row.agreed_minor, paid(studio, row.id), None if left is None else max(left, 0))
            told = (None if minor is None else show_money(studio, minor, currency) for minor in sums)
            rows.append((row.number, row.customer_label, row.brief, row.state, row.due_on, *told))
    heads = ("order", "for", "what", "state", "due", "agreed", "paid", "to pay")
    listing(heads, rows, json_, "No order is open, and nothing is owed.")


@order.command("show")
def show(number: OrderArgument, home: HomeOption = None) -> None:
    """Show one order: what is made for it, when it is ready by the plan, and what is still to pay."""
    from enamelwright.workshop.bills import what_of
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.orders import currency_of, customers, lines_of, order_row, owed, paid, pieces_for

    with at_bench(home) as studio:
        row = order_row(studio, number)
        lines, currency = lines_of(studio, row.id), currency_of(studio, row)
        made, names = pieces_for(studio, [one.id for one in lines]), what_of(studio, lines)
        label = next((one.label for one in customers(studio) if one.id == row.customer), "nobody named")
        due = f", due {row.due_on}" if row.due_on else ""
        say(f"{row.number}: {row.brief or 'no brief'}, for {label}, {row.state}{due}.")
        for one in lines:
            each = f", {show_money(studio, one.each_minor, currency)} each" if one.each_minor is not None else ""
            begun = _states(made[one.id]) or f"none is started; start them with --order-line {one.id}"
            say(f"{one._mapping['count'] or 1} x {names[one.id]}{each}: {begun}.")
        _say_ready(studio, row, [str(one.number) for mine in made.values() for one in mine if one.state not in IN_WORK])
        got, left = paid(studio, row.id), owed(studio, row.id)
        of = "" if left is None else f" of {show_money(studio, got + left, currency)}"
        still = "" if left is None else f"; {show_money(studio, max(left, 0), currency)} still to pay"
        say(f"{show_money(studio, got, currency)}{of} paid{still}.")


def _states(pieces: Sequence[Row[Any]]) -> str:
    """Say how far the pieces of a line are, those of one state together."""
    from enamelwright.workshop.day_names import piece_names

    mine: dict[str, list[str]] = {}
    for one in pieces:
        mine.setdefault(str(one.state), []).append(str(one.number))
    return "; ".join(f"{piece_names(numbers)} {state}" for state, numbers in mine.items())


def _say_ready(studio: Studio, row: Row[Any], through: list[str]) -> None:
    """Say when an order is ready by the plan of the day; nothing of one that is over."""
    from enamelwright.workshop.day_kept import kept_plan
    from enamelwright.workshop.day_ready import ready_of
    from enamelwright.workshop.orders import OVER

    if row.state in OVER:
        return
    ready = ready_of(studio, kept_plan(studio), row.number, str(row.due_on or ""), through)
    if ready is None:
        say("No plan says when it is ready; make one with: day plan")
        return
    late = f", {ready.late} late" if ready.late else ""
    say(f"By the plan {'it was to be ready' if ready.over else 'ready'} {ready.words}{late}.")


@order.command("paper")
def paper(
    number: OrderArgument,
    what: Annotated[str, typer.Argument(help="offer or bill.")],
    out: Annotated[Path, typer.Argument(help="Where the PDF goes.")],
    home: HomeOption = None,
) -> None:
    """Write the offer or the bill of an order as a PDF."""
    from enamelwright.cards.press import press
    from enamelwright.files.atomic import write_bytes
    from enamelwright.web.paper_lists import order_paper

    if what not in PAPERS:
        raise InputError(f"'{what[:40]}' is no paper of an order.", f"One of {', '.join(PAPERS)}.", "what")
    with at_bench(home) as studio:
        sheet = order_paper(studio, number, what)
        made = press(sheet.template, sheet.data)
    write_bytes(out, made)
    say(f"Written: {out}")


@order.command("forget")
def forget(
    customer: Annotated[str, typer.Argument(help="Label of the customer.")],
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Remove a customer for good; their orders stay, without a name."""
    from enamelwright.workshop.orders import remove_customer

    with at_bench(home, who) as studio:
        left = remove_customer(studio, customer)
    say(f"{customer} is removed; {left} {'order stays' if left == 1 else 'orders stay'} without a name.")


def sold(
    piece: Annotated[str, typer.Argument(help="Number or label.")],
    money: Annotated[str, typer.Argument(help='What the customer paid, e.g. "38 EUR".')],
    how: Annotated[str, typer.Option("--how", help="Cash, card ...")] = "",
    outlet: Annotated[str, typer.Option("--outlet", help="Gallery or fair, when it was sold there.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a sale: the piece is gone and the money has come in."""
    from enamelwright.workshop.money import read_money, show_money, show_sums
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.selling import sold as record
    from enamelwright.workshop.takings import taken_for

    with at_bench(home, who, at) as studio:
        record(studio, piece, money, outlet=outlet or None, how=how or None, words=note or None)
        row = piece_row(studio, piece)
        told = f"{row.number} is sold for {show_money(studio, *read_money(studio, money))}"
        came = taken_for(studio, [int(row.id)])[int(row.id)].sums
        say(told + ("." if show_sums(studio, came) in told else f"; {show_sums(studio, came)} of it has come in."))
