"""Colour: what each place of a piece or design is foretold to look like, own tiles first, for eyes of every kind."""

from __future__ import annotations

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.craft.colour.light import LIGHT_CODES
from enamelwright.web.boards import board_of, said
from enamelwright.web.colour_view import eye_rows, place_view
from enamelwright.web.render import show
from enamelwright.web.visit import studio_of
from enamelwright.workshop import colours, trying
from enamelwright.workshop.lot_tiles import new_lots
from enamelwright.workshop.own_colours import own_colours

router = APIRouter(include_in_schema=False)


@router.get("/designs/{design:int}/colour")
@router.get("/pieces/{number}/colour")
def colour(request: Request) -> HTMLResponse:
    """Foretell the colours of what is on the board."""
    studio, board = studio_of(request), board_of(request)
    tried = trying.settle(studio, board.subject, board.piece, board.shape())
    fared = own_colours(studio, tried.bench.with_jars(tried.plan.piece.jars))
    told = colours.places(studio, tried.plan, tried.bench, fared)
    heads, eyes = eye_rows(told)
    mine = {coat.jar.casefold() for coat in tried.plan.piece.coats}
    return show(
        request, "colour.html", board=board, said=said(request),
        places=[place_view(one, number) for number, one in enumerate(told)], alike=colours.alike(told),
        heads=heads, eyes=eyes, codes=LIGHT_CODES, running=fared.running if fared.beside else None,
        fresh=[one for one in new_lots(studio).values() if one.code.casefold() in mine],
        made_up=any(one.colour is not None and one.colour.invented for one in told),
    )  # fmt: skip
