"""One load as it is read again: its pieces, its looks, how it was fired and how it came out."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import Row
from starlette.responses import HTMLResponse

from enamelwright.web import sections
from enamelwright.web.kiln_view import STARTS
from enamelwright.web.piece_view import minutes
from enamelwright.web.posting import show_page
from enamelwright.web.viewer import degrees
from enamelwright.web.visit import studio_of
from enamelwright.workshop.firings import load_row, looks_of, pieces_in
from enamelwright.workshop.history import states
from enamelwright.workshop.people import label_of
from enamelwright.workshop.photos import photos_of_load
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.says_two import says_two_of
from enamelwright.workshop.typed import as_typed

router = APIRouter(include_in_schema=False)

#: What is told of a load: column, words, unit for a number that was not typed.
_LINES = (
    ("set_point", "Set to", "°C"), ("shown_at_load", "Display when it went in", "°C"),
    ("shown_lowest", "Lowest the display fell", "°C"), ("start", "Time counted", None),
    ("seconds", "In the kiln for", "s"), ("to_gloss", "First gloss after", "s"), ("stage_seen", "Came out at", None),
    ("target", "Meant to stop at", None), ("face_up", "Face up", None), ("support", "Stood on", None),
    ("idle_before", "Pause before", "min"), ("cooled", "Cooled", None), ("programme", "Programme", None),
)  # fmt: skip


@router.get("/loads/{number}")
def load(request: Request, number: str) -> HTMLResponse:
    """Show one load."""
    studio = studio_of(request)
    row = load_row(studio, number)
    pieces = pieces_in(studio, int(row.of))
    beside = sections.shown_of(studio, [piece_row(studio, one.piece) for one in pieces], after=row.at)
    lines = [(words, _said(row, column, unit)) for column, words, unit in _LINES if row._mapping[column] is not None]
    looks = [
        ", ".join(
            str(part)
            for part in (minutes(one.seconds), one.stage_seen, one.words, "back in" if one.back_in else None)
            if part
        )
        for one in looks_of(studio, int(row.of))
    ]  # fmt: skip
    corrected = any(one.why and one.why != "closed" for one in states(studio, "load", int(row.of)))
    return show_page(
        request, "load.html", load=row, pieces=pieces, lines=lines, looks=looks, beside=beside, minutes=minutes,
        sheet=sections.sheet(studio, list(beside.values())), who=label_of(studio, row.who), corrected=corrected,
        photos=photos_of_load(studio, int(row.of)), two=says_two_of(studio, int(row.of)),
        closed=row.closed_at is not None and not row.interrupted,
    )  # fmt: skip


@router.get("/loads/{number}/odd")
def odd(request: Request, number: str) -> HTMLResponse:
    """Say whether a load stands far off the others of its kiln, and the likeliest reason; nothing where it does not."""
    from enamelwright.web import learned_view  # what learns is loaded when it is asked for

    studio = studio_of(request)
    row = load_row(studio, number)
    told = [one for kiln in learned_view.worked_out(studio).kilns for one in kiln.odd if one.number == row.number]
    return show_page(request, "load_odd.html", told=told)


def _said(row: Row[Any], column: str, unit: str | None) -> str:
    """Say one line as every page does: heat on both scales, time as the clock of the kiln shows it."""
    value = row._mapping[column]
    if column == "start":
        return STARTS[value]
    if unit == "°C":
        return degrees(value)
    return minutes(value) if unit == "s" else as_typed(row, column, unit)
