"""Two stacks side by side: what each comes to, and in what they differ."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from enamelwright import units
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.errors import InputError
from enamelwright.figure import Figure
from enamelwright.pictures.section import bow_words, scale_words, state_after
from enamelwright.web import drawings
from enamelwright.workshop import designs, kept_drawings, trying
from enamelwright.workshop.editing import Board
from enamelwright.workshop.studio import Studio

#: The board as it is now, among the versions.
NOW = "now"
#: Verdicts shown of each.
SHOWN = 3


@dataclass(frozen=True)
class Side:
    """One of the two stacks.

    Parameters
    ----------
    code, words : str
        ``now`` or the number of a version, and what it is called.
    piece : Piece
        As described.
    plan : Plan
        Its plan.
    drawing : Markup
        The section.
    bow : Figure or None
        After the last firing.
    bow_words, scale : str
        The same in words, and how the section is scaled.
    grams : str
        All powder.
    verdicts : tuple of Verdict
        The worst three.
    firings : int
        How many.
    """

    code: str
    words: str
    piece: Piece
    plan: Plan
    drawing: Markup
    bow: Figure | None
    bow_words: str
    scale: str
    grams: str
    verdicts: tuple[Verdict, ...]
    firings: int


@dataclass(frozen=True)
class Differs:
    """One place in which they differ, in words."""

    place: str
    left: str
    right: str


def sides(studio: Studio, board: Board, left: str, right: str) -> tuple[tuple[Side, Side], list[tuple[str, str]]]:
    """Return the two stacks asked for, and what may be asked for.

    Parameters
    ----------
    studio : Studio
        The studio.
    board : Board
        What is on the board.
    left, right : str
        ``now`` or the number of a version; the version kept last when empty.
    """
    rows = designs.versions(studio, board.design)
    names = [(NOW, "As it is now")] + [(str(row.number), f"Version {row.number}") for row in reversed(rows)]
    chosen_left = left or str(board.version_number)
    return (_side(studio, board, chosen_left, "left"), _side(studio, board, right or NOW, "right")), names


def _side(studio: Studio, board: Board, code: str, key: str) -> Side:
    if code == NOW:
        piece, drawing, words = board.piece, board.drawing, "As it is now"
    elif code.isdecimal():
        row = designs.version_row(studio, board.name, int(code))
        piece, drawing, words = designs.piece_of(row), row.drawing or None, f"Version {row.number}"
    else:
        raise InputError(f"'{code[:20]}' is no version.", "Choose one of the list.")
    tried = trying.settle(studio, f"{board.subject}:{code}", piece, kept_drawings.drawn_shape(piece, drawing))
    plan = tried.plan
    state = state_after(plan, None)
    grams = sum(weight.in_all.value for weight in plan.weights)
    worst = tuple(verdict for verdict in plan.leading if verdict.level != "good")
    return Side(
        code=code,
        words=words,
        piece=piece,
        plan=plan,
        drawing=drawings.beside(plan, tried.bench, key),
        bow=state.bow if state is not None else None,
        bow_words=bow_words(plan),
        scale=scale_words(plan, None, drawings.BESIDE, bench=tried.bench, body_mm=drawings.NARROW_BODY),
        grams=units.show(grams, "mass", "g", grams / 10),
        verdicts=worst[:SHOWN],
        firings=len(plan.firings),
    )


def what_differs(left: Piece, right: Piece) -> list[Differs]:
    """List in words what differs between two pieces.

    Parameters
    ----------
    left, right : Piece
        The two.
    """
    one, two = dict(_flat(left.to_outside())), dict(_flat(right.to_outside()))
    return [
        Differs(place, _said(one.get(place)), _said(two.get(place)))
        for place in dict.fromkeys((*one, *two))
        if one.get(place) != two.get(place)
    ]


def _flat(thing: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(thing, dict):
        for key, part in thing.items():
            yield from _flat(part, f"{place}, {_plain(key)}" if place else _plain(key))
    elif isinstance(thing, list) and thing and isinstance(thing[0], dict):
        for number, part in enumerate(thing, 1):
            yield from _flat(part, f"{place} {number}")
    else:
        yield place, thing


_UNITS = ("mm2", "mm", "g", "c", "s")


def _plain(key: str) -> str:
    """Write a key of a piece file as words."""
    stem, _, unit = key.rpartition("_")
    words = f"{stem} ({'°C' if unit == 'c' else unit})" if stem and unit in _UNITS else key
    return words.replace("_", " ").replace("coats", "coat")


def _said(value: Any) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(str(part) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)
