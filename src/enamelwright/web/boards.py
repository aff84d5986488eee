"""The drawing board behind a page: of a design, or of one piece; and what is said after a change."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from fastapi import Request
from markupsafe import Markup

from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import editing, starters
from enamelwright.workshop.editing import Board


@dataclass(frozen=True)
class Said:
    """A line after a change, with the way back.

    Parameters
    ----------
    words : str
        What was done.
    undo : str
        What the button beside it does; empty for no button.
    button : str
        What stands on it.
    """

    words: str
    undo: str = ""
    button: str = ""


#: What is said after each change, by the code in the address.
SAID: dict[str, Said] = {
    "undone": Said("Went back one step.", "again", "Do it again"),
    "again": Said("Done again.", "undo", "Undo"),
    "nothing": Said("There is nothing to undo."),
    "laid": Said("One more coat lies on it, of the jar beneath. Choose its jar and how much.", "undo", "Undo"),
    "off": Said("The coat is off.", "undo", "Undo"),
    "fresh": Said("Everything is as it was kept.", "undo", "Undo"),
    "kept": Said("Kept as a new version. Earlier ones stay as they were.", "take-back", "Take it back"),
    "same": Said("Nothing has changed since it was kept."),
    "taken-back": Said("The version was taken back; your changes lie here again, not kept."),
    "first": Said("A first version stays: pieces and cards may stand on it."),
    "shape": Said("The shape is changed. Keep it as a version when you are done.", "undo", "Undo"),
    "cells": Said("The shape is changed. Cells it has not are taken out of the coats that named them.", "undo", "Undo"),
    "begun": Said("The design is kept as version 1. Lay its coats."),
}


def board_of(request: Request) -> Board:
    """Return the board an address speaks of."""
    studio = studio_of(request)
    if "design" in request.path_params:
        return editing.of_design(studio, int(request.path_params["design"]))
    return editing.of_piece(studio, str(request.path_params["number"]))


def address_of(request: Request) -> str:
    """Return where the pages of a board begin."""
    if "design" in request.path_params:
        return f"/designs/{int(request.path_params['design'])}"
    return f"/pieces/{request.path_params['number']}"


def said(request: Request) -> Said | None:
    """Return what is to be said, if anything."""
    found = SAID.get(request.query_params.get("said", ""))
    if found is not None and found is SAID["begun"]:
        technique = board_of(request).piece.technique
        more = starters.why_not(technique, bench_of(request)) if technique else ""
        found = replace(found, words=f"{found.words} {more}".strip())
    return found


def json_text(value: Any) -> Markup:
    """Write JSON so that it may stand inside a page: nothing in it can end the element it stands in."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    return Markup(text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e"))
