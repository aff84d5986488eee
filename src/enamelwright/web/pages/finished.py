"""Finished work: where each piece is, moving it, and a sale in two taps."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Depends, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import InputError
from enamelwright.records.schema.finished import outlet as outlet_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.web import sections
from enamelwright.web.posting import Form, Written, address, once, show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import studio_of
from enamelwright.workshop import costing, listing, outlets, selling
from enamelwright.workshop.money import show_money
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.takings import taken_for

router = APIRouter(include_in_schema=False)

#: Places in the order of the page; what is gone comes last.
PLACES = ("bench", "fair", "gallery", "lent", "kept", "unknown", "sold", "given")
GONE = frozenset({"sold", "given"})
#: Pieces listed at once.
MOST = 2 * listing.PAGE
OVER = ("finished", "second")
KINDS = outlet_table.c.kind.info["words"]
HOW = ("cash", "card", "transfer")
MOVES = whereabouts.c.place.info["words"]
_WORDS = {"bench": "On the shelf here", "fair": "At a fair", "gallery": "In a gallery", "lent": "Lent", "kept": "Kept",
          "unknown": "Not known where", "sold": "Sold", "given": "Given away"}  # fmt: skip


@router.get("/finished")
def finished(request: Request) -> HTMLResponse:
    """Show where every finished piece is."""
    studio = studio_of(request)
    place = request.query_params.get("place", "")
    place = place if place in PLACES else ""
    wanted = (place,) if place else tuple(one for one in PLACES if one not in GONE)
    here = listing.pieces_like(studio, states=OVER, kind="piece", places=wanted, most=MOST)
    counted = listing.counted_places(studio, OVER, "piece")
    prices = {piece: (row.minor, row.currency) for piece, row in listing.prices_of(studio, here).items()}
    beside = sections.shown_of(studio, here)
    groups = [(name, _WORDS[name], [one for one in here if (one.place or "bench") == name]) for name in PLACES]
    gone = [(name, _WORDS[name], counted.get(name, 0)) for name in PLACES if name in GONE]
    more = sum(counted.get(name, 0) for name in wanted) - len(here)
    return show_page(
        request, "finished.html", groups=[group for group in groups if group[2]], beside=beside, prices=prices,
        sheet=sections.sheet(studio, list(beside.values())), gone=gone,
        places=listing.last_places(studio, [one.id for one in here]),
        taken=taken_for(studio, [one.id for one in here if one.place == "sold"]),
        outlets=listing.outlets(studio), hands_on=_hands_on(studio), mine=selling.for_the_maker, how=HOW,
        moves=[one for one in MOVES if one != "sold"],
        kinds=KINDS, place=place, more=more, lists=_lists(studio),
        money=lambda minor, currency: show_money(studio, minor, currency),
    )  # fmt: skip


@router.get("/finished/hours", dependencies=[Depends(no_guests)])
def hours(request: Request) -> HTMLResponse:
    """Tell what an hour at each design has brought."""
    studio = studio_of(request)
    return show_page(
        request, "finished_hours.html", earned=costing.earned(studio),
        money=lambda minor, currency: show_money(studio, minor, currency),
    )  # fmt: skip


def _hands_on(studio: Studio) -> dict[str, float]:
    """Return what sellers who take the customer's money keep of it, by their name."""
    kept = [one for one in listing.outlets(studio) if one.kind in selling.HANDS_ON and one.commission]
    return {str(one.name): float(one.commission) for one in kept}


def _lists(studio: Studio) -> list[tuple[Row[Any], int]]:
    """List the outlets with how many pieces are there."""
    gone = listing.pieces_like(studio, states=OVER, places=outlets.AWAY, most=listing.PAGE * 40)
    places = listing.last_places(studio, [one.id for one in gone])
    counts: dict[int, int] = {}
    for one in gone:
        there = places[one.id].outlet if one.id in places else None
        if there:
            counts[there] = counts.get(there, 0) + 1
    return [(one, counts.get(one.id, 0)) for one in listing.outlets(studio)]


@router.get("/finished/at/{row:int}", dependencies=[Depends(no_guests)])
def at(request: Request, row: int) -> HTMLResponse:
    """Show what is at a fair or with a seller, what left it, and what could be taken there."""
    studio = studio_of(request)
    there = selling.outlet_row(studio, row)
    here = outlets.at_outlet(studio, row)
    ready = outlets.asked_there(studio, there, outlets.ready_to_go(studio))
    return show_page(
        request, "finished_at.html", outlet=there, there=here, gone=outlets.left_since(studio, row), ready=ready,
        how=HOW, hands_on=there.kind in selling.HANDS_ON, mine=selling.for_the_maker,
        money=lambda minor, currency: show_money(studio, minor, currency),
    )  # fmt: skip


@router.post("/finished/at/{row:int}")
def at_do(request: Request, row: int, form: Form) -> RedirectResponse:
    """Take pieces to a fair or a seller, or write down what came back and what was sold."""
    studio = studio_of(request)
    page = f"/finished/at/{row}"

    def work() -> str:
        if form.text("do") == "take":
            wrote = outlets.take_there(studio, row, form.every("piece"), form.maybe("until"))
            return address(page, "taken-there", wrote)
        if form.text("do") == "settle":
            told = {
                number: (became, form.text(f"sum-{number}"))
                for number, became in form.starting("became-").items()
                if became != "there"
            }
            wrote = outlets.settle(studio, row, told, form.maybe("how"))
            return address(page, "settled", wrote)
        raise InputError("this cannot be done here.", "Open the page again.")

    return once(request, form, work)


@router.post("/finished")
def do(request: Request, form: Form) -> RedirectResponse:
    """Sell a piece, move it, or keep a place where pieces are sold."""
    studio = studio_of(request)

    def work() -> str:
        if form.text("do") == "outlet":
            share = form.text("commission").rstrip("% ")
            if share and not share.replace(".", "", 1).isdecimal():
                raise InputError(f"'{share[:20]}' is no share.", "Write it like 40 %.", "commission")
            row = selling.keep_outlet(
                studio, form.text("name"), form.maybe("kind"), float(share) / _HUNDRED if share else None
            )
            return address("/finished", "words", [("outlet", row, 1)])
        piece = piece_row(studio, form.text("piece"))
        outlet = form.maybe("outlet")
        if form.text("do") == "sold":
            asked = form.text("money")
            money = outlets.sum_in(form.text("other"), asked.partition(" ")[2]) or asked
            if not money:
                raise InputError("for how much?", "Write the sum that was taken.", "money")
            there = selling.sold(studio, piece.id, money, outlet=outlet, how=form.maybe("how"))
            paid = listing.payments(studio, piece=int(piece.id))[-1]
            wrote: list[Written] = [*_moved(studio, piece), ("whereabouts", there, 0), ("payment", int(paid.of), 0)]
            return address("/finished", "sold", wrote)
        place = form.text("place")
        if place not in MOVES:
            raise InputError("where is it now?", "Choose one from the list.", "place")
        there = selling.move_piece(
            studio, piece.id, place, outlet=outlet, asked=form.maybe("asked"), until=form.maybe("until")
        )
        return address("/finished", "moved", [*_moved(studio, piece), ("whereabouts", there, 0)])

    return once(request, form, work)


#: Per cent of a whole.
_HUNDRED = 100


def _moved(studio: Studio, before: Row[Any]) -> list[Written]:
    """Return the piece as one of the things that were written, when its place changed."""
    row = int(before.id)
    now = piece_row(studio, row)
    return [("piece", row, int(now.version))] if now.version != before.version else []
