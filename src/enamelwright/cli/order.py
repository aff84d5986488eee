"""`enamelwright order`, `sold`: who asked for what until when, and what was paid."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, day_of, listing, say
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption

order = typer.Typer(help="Orders, deposits, due dates.", no_args_is_help=True)

OrderArgument = Annotated[str, typer.Argument(help="Number of the order, e.g. 2026-C001.")]


@order.command("take")
def take(
    brief: Annotated[str, typer.Argument(help="What is wanted.")],
    customer: Annotated[str, typer.Option("--for", help="Label of the customer; kept when new.")] = "",
    agreed: Annotated[str, typer.Option("--agreed", help='The sum, e.g. "460 EUR".')] = "",
    due: Annotated[str, typer.Option("--due", help="Day it is due.")] = "",
    deposit_due: Annotated[str, typer.Option("--deposit-due", help="Day the deposit is due.")] = "",
    design: Annotated[str, typer.Option("--design", help="A design that is ordered.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, help="How many of it.")] = 1,
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Take an order; it gets its number."""
    from enamelwright.workshop.orders import add_line, customers, keep_customer, take_order

    with at_bench(home, who) as studio, studio.writing():
        asked_by: int | None = None
        if customer:
            known = {row.label.casefold(): row.id for row in customers(studio)}
            asked_by = known.get(customer.casefold()) or keep_customer(studio, customer)
        row = take_order(
            studio, brief, customer=asked_by, agreed=agreed or None, state="agreed" if agreed else "asked",
            due_on=day_of(due, "--due"), deposit_due_on=day_of(deposit_due, "--deposit-due"), words=note or None,
        )  # fmt: skip
        line = add_line(studio, row.id, design=design, count=count) if design else None
    say(f"Order {row.number}{f', due {row.due_on}' if row.due_on else ''}.")
    if line is not None:
        say(f'Start its pieces with: piece start "{design}" --count {count} --order-line {line}')


@order.command("state")
def state(
    number: OrderArgument,
    state_: Annotated[str, typer.Argument(help="offered, agreed, in work, ready, collected, declined, cancelled.")],
    agreed: Annotated[str, typer.Option("--agreed", help="The sum agreed on.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say how far an order is."""
    from enamelwright.workshop.orders import change_order

    with at_bench(home, who) as studio:
        changes: dict[str, Any] = {"state": state_}
        if state_ == "collected":
            changes["collected_on"] = studio.today()
        if agreed:
            changes["agreed"] = agreed
        change_order(studio, number, **changes)
    say(f"Order {number}: {state_}.")


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
    from enamelwright.workshop.orders import order_row, paid, pay

    with at_bench(home, who, at) as studio:
        pay(studio, kind, money, order=number, how=how or None)
        row = order_row(studio, number)
        so_far = paid(studio, number)
        owed = None if row.agreed_minor is None else row.agreed_minor - so_far
        say(f"Order {number}: {show_money(studio, so_far, row.currency)} paid.")
        if owed is not None and owed > 0:
            say(f"{show_money(studio, owed, row.currency)} still to pay.")


@order.command("list")
def list_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the orders that are not over, the first due first."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.orders import open_orders, paid

    with at_bench(home) as studio:
        rows = []
        for row in open_orders(studio):
            sums = (show_money(studio, minor, row.currency) for minor in (row.agreed_minor, paid(studio, row.id)))
            rows.append((row.number, row.customer_label, row.brief, row.state, row.due_on, *sums))
    listing(("order", "for", "what", "state", "due", "agreed", "paid"), rows, json_, "No order is open.")


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
    say(f"{customer} is removed; {left} {'order' if left == 1 else 'orders'} stay without a name.")


def sold(
    piece: Annotated[str, typer.Argument(help="Number or label.")],
    money: Annotated[str, typer.Argument(help='The sum taken, e.g. "38 EUR".')],
    how: Annotated[str, typer.Option("--how", help="Cash, card ...")] = "",
    outlet: Annotated[str, typer.Option("--outlet", help="Gallery or fair, when it was sold there.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a sale: the piece is gone and the money has come in."""
    from enamelwright.workshop.money import read_money, show_money
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.selling import sold as record

    with at_bench(home, who, at) as studio:
        record(studio, piece, money, outlet=outlet or None, how=how or None, words=note or None)
        row = piece_row(studio, piece)
        say(f"{row.number} is sold for {show_money(studio, *read_money(studio, money))}.")
