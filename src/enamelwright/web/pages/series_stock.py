"""What is short: powder and metal for what is planned, begun and ordered, and what is bought."""

from __future__ import annotations

import math

from fastapi import APIRouter, Depends, Request
from starlette.responses import HTMLResponse

from enamelwright import units
from enamelwright.craft.weights import Hand
from enamelwright.figure import Figure
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import no_guests
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import (
    metal_needs,
    stock_plan,
)
from enamelwright.workshop.day_lots import needed_first

router = APIRouter(include_in_schema=False, dependencies=[Depends(no_guests)])


@router.get("/series/stock")
def stock(request: Request) -> HTMLResponse:
    """Say what planned and begun pieces need of each jar, and what is bought."""
    studio = studio_of(request)
    answer = stock_plan.shortages(studio, stock_plan.ordered_versions(studio))
    known = bench_of(request)
    names = {jar.id: jar.name for jar in known.jars}
    laid = needed_first(studio)
    lines = [
        (one, laid.get(one.jar.casefold(), ""))
        for one in answer.payload.lines if one.need.value > 0 or one.short.value > 0 or one.buy
    ]  # fmt: skip
    lines.sort(key=lambda told: (told[0].short.value <= 0, not told[1], told[1]))
    metals, step = metal_needs.metal_needs(studio), Hand.of(known).balance_step
    return show_page(
        request, "series_stock.html", tab="stock", answer=answer, names=names, lines=lines,
        weighed=lambda figure: as_weighed(figure, step),
        metals=metals, planned=any(moment for _, moment in lines),
        to_buy=any(one.buy for one, _ in lines) or any(one.short or one.perhaps for one in metals),
        grams=lambda mass: f"{units.from_si(mass, 'g', 'mass'):.0f} g",
    )  # fmt: skip


@router.get("/series/short")
def short(request: Request) -> HTMLResponse:
    """Say in one line which jars will not last, for the page of the jars."""
    studio = studio_of(request)
    return show_page(
        request, "series_short.html", answer=stock_plan.shortages(studio, stock_plan.ordered_versions(studio))
    )


#: From here on the bench reads tenths of a gram, then whole ones [g].
_TENTHS, _WHOLE = 10, 100


def as_weighed(figure: Figure, step: float) -> str:
    """Write powder with the digits the balance shows, and fewer of a large amount.

    Parameters
    ----------
    figure : Figure
        The powder [kg].
    step : float
        Smallest step of the balance [kg].
    """
    grams, smallest = (units.from_si(one, "g", "mass") for one in (figure.value, step))
    places = max(0, math.ceil(-math.log10(smallest) - _SLACK)) if smallest > 0 else 1
    places = min(places, 0 if grams >= _WHOLE else 1 if grams >= _TENTHS else places)
    if 0 < grams < smallest / 2:
        return f"under {smallest:.{places}f} g"
    return f"{grams:.{places}f} g"


#: Rounding of a step that is a power of ten.
_SLACK = 1e-9
