"""Orders: who asked, what for, when it is due, and what was paid on it."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import InputError
from enamelwright.records.schema.orders import customer_order
from enamelwright.records.schema.orders import payment as payment_table
from enamelwright.web.posting import Form, Written, address, is_row, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import bills, day_kept, day_ready, designs, listing, recipients, selling, short_orders
from enamelwright.workshop import orders as kept
from enamelwright.workshop.money import show_money
from enamelwright.workshop.owing import owing
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.settings import CURRENCY, setting
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])

STATES = customer_order.c.state.info["words"]
KINDS = tuple(one for one in payment_table.c.kind.info["words"] if one not in {"sale", "class"})
#: Options of one order.
MOST_OPTIONS = 12
#: Orders that are over, listed at once.
MOST = 60
#: States of a piece that is not through.
IN_WORK = ("planned", "in work")
_DAYS = ("due_on", "deposit_due_on", "change_by", "asked_on")


@router.get("/orders")
def orders(request: Request) -> HTMLResponse:
    """List the orders that are not over, the first due first, and those that are collected and not paid."""
    studio = studio_of(request)
    everything = request.query_params.get("show") == "all"
    told = request.query_params.get("skip", "")
    skip = int(told) if everything and is_row(told) else 0
    owed = owing(studio)
    open_ones = [*kept.open_orders(studio), *(one.order for one in owed)]
    found = listing.orders(studio, skip, MOST + 1) if everything else open_ones
    more, found = everything and len(found) > MOST, found[:MOST] if everything else found
    return show_page(
        request, "orders.html", orders=found, everything=everything,
        paid=listing.paid_on(studio, [int(one.id) for one in found]), more=more, skip=skip, page=MOST,
        customers=kept.customers(studio), states=STATES, over=kept.OVER, owing={one.order.id: one for one in owed},
        money=lambda minor, currency: show_money(studio, minor, currency),
    )  # fmt: skip


@router.post("/orders")
def take(request: Request, form: Form) -> RedirectResponse:
    """Take an order and give it its number."""
    studio = studio_of(request)

    def work() -> str:
        brief = form.text("brief")
        if not brief:
            raise InputError("what is wanted?", "Write it in a few words.", "brief")
        wrote: list[Written] = []
        who = recipients.customer_for(studio, form.text("customer"), form.text("to"))
        wrote += [("customer", who.customer, who.version)] if who is not None and who.wrote else []
        row = kept.take_order(
            studio, brief, customer=None if who is None else who.customer,
            agreed=form.maybe("agreed"), state=form.text("state") or "asked",
            options=_options(form.text("options")), **form.given(*_DAYS, "words", "approved_look"),
        )  # fmt: skip
        wrote.append(("order", int(row.id), 1))
        if form.text("deposit"):
            paid = kept.pay(studio, "deposit", form.text("deposit"), order=int(row.id))
            wrote.append(("payment", paid, 0))
        return address(f"/orders/{row.number}", "order", wrote)

    return once(request, form, work)


@router.get("/orders/{number}")
def order(request: Request, number: str) -> HTMLResponse:
    """Show one order."""
    studio = studio_of(request)
    row = kept.order_row(studio, number)
    who = next((one for one in kept.customers(studio) if one.id == row.customer), None)
    lines = kept.lines_of(studio, int(row.id))
    made = kept.pieces_for(studio, [int(one.id) for one in lines])
    currency = kept.currency_of(studio, row)
    figures = bills.bill_of(studio, int(row.id)) if currency else None
    names = {one.id: one for one in designs.designs(studio)}
    pieces = [one for mine in made.values() for one in mine]
    gone = [str(one.number) for one in pieces if one.state not in IN_WORK]
    ready = None if row.state in kept.OVER else day_ready.ready_of(
        studio, day_kept.kept_plan(studio), str(row.number), str(row.due_on or ""), gone
    )  # fmt: skip
    return show_page(
        request, "order.html", ready=ready, unfinished=[str(one.number) for one in pieces if one.state in IN_WORK],
         order=row, customer=who, lines=lines, made=made, designs=names, states=STATES,
        kinds=KINDS, payments=listing.payments(studio, order=int(row.id)), paid=kept.paid(studio, int(row.id)),
        over=kept.OVER, money=lambda minor, currency: show_money(studio, minor, currency), figures=figures,
        sum_of=lambda amount: f"{amount:.{figures.decimals}f}" if figures is not None else "",
        currency=currency, what=bills.what_of(studio, lines), agreed=_agreed(studio, row), options=options_of(row),
        short={one.line: one for one in short_orders.short_lines(studio, int(row.id))},
        recipient=recipients.recipient_of(studio, int(row.id)),
    )  # fmt: skip


@router.post("/orders/{number}")
def change(request: Request, number: str, form: Form) -> RedirectResponse:
    """Do one thing with an order."""
    studio = studio_of(request)

    def work() -> str:
        row = kept.order_row(studio, number)
        page, do = f"/orders/{row.number}", form.text("do")
        if do == "state":
            if form.text("state") == "collected":
                version, moved = selling.collect(studio, row.id, form.version())
                said = "collected"
            else:
                version, moved = selling.reopen(studio, row.id, form.version(), form.text("state"))
                said = "reopened"
            return address(
                page, said if moved else "order-state", selling.wrote_of(studio, row.id, version, moved)
            )  # fmt: skip
        if do == "change":
            changes: dict[str, Any] = {
                **form.given("brief"), **form.sent("agreed", *_DAYS, "words", "approved_look")
            }  # fmt: skip
            if form.sent("options"):
                changes["options"] = _options(form.text("options"))
            version = kept.change_order(studio, row.id, form.version(), **changes)
            return address(page, "words", [("order", int(row.id), version)])
        if do == "pay":
            made = kept.pay(
                studio, form.text("kind") or "deposit", form.text("money"), order=row.id, how=form.maybe("how")
            )
            return address(page, "paid", [("payment", made, 0)])
        if do == "another":
            another = short_orders.begin_again(studio, form.whole("line"))
            return address(page, "another", [("piece", int(another.id), 1)])
        if do == "to":
            out = recipients.make_out_to(studio, row.id, form.text("to"), form.version())
            named: list[Written] = []
            if out is not None:
                named += [("customer", out.customer, out.version)] if out.wrote else []
                named += [("order", int(row.id), out.order)] if out.order else []
            return address(page, "words", named)
        if do == "line":
            return _line(studio, row, form, page)
        raise InputError("this cannot be done with an order.", "Open the page again.")

    return once(request, form, work)


def _agreed(studio: Studio, row: Any) -> str:
    """Write the sum agreed on as it is typed: in the coins of the house without their name."""
    if row.agreed_minor is None:
        return ""
    amount = show_money(studio, row.agreed_minor, row.currency)
    return amount.removesuffix(f" {row.currency}") if row.currency == setting(studio, CURRENCY, "") else amount


def _line(studio: Studio, row: Any, form: Any, page: str) -> str:
    design, count = form.text("design"), form.whole("count", 1)
    if not design and not form.text("what"):
        raise InputError("what is ordered?", "Choose a design, or write what it is.", "what")
    line = kept.add_line(
        studio, row.id, form.maybe("what"), design=int(design) if is_row(design) else None, count=count,
        each=form.maybe("each"),
    )  # fmt: skip
    wrote: list[Written] = [("order line", line, 1)]
    if form.text("start") == "yes" and is_row(design):
        version = designs.version_row(studio, designs.design_row(studio, int(design)).name)
        started = start_pieces(studio, count, version.of, order_line=line)
        wrote += [("piece", int(one.id), 1) for one in started]
    return address(page, "line", wrote)


def _options(text: str) -> list[str] | None:
    """Read what was offered to choose from, one a line."""
    told = [line.strip() for line in text.splitlines() if line.strip()]
    if len(told) > MOST_OPTIONS:
        raise InputError(f"{len(told)} options are more than anybody chooses from.", f"At most {MOST_OPTIONS}.")
    return told or None


def options_of(row: Any) -> list[str]:
    """Return what was offered to choose from on an order."""
    return [str(one) for one in row.options] if isinstance(row.options, list) else []
