"""The day on paper: one sheet for the bench with loads and work in order, and a sheet for each student to take home."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.press import Sheet

TEMPLATE, TAKE_HOME = "day_sheet.typ", "take_home.typ"
#: Signs that fit a cell and a sentence; who works and on which pieces is told of all, on as many lines as it takes.
LONGEST_CELL, LONGEST_LINE, LONGEST_PIECES = 110, 300, 20_000
#: A number and what it counts or measures stay on one line.
_MEASURE = re.compile(r"(?<=\d) (?=°|min\b|h\b|s\b|g\b|mm\b|pieces?\b)")


@dataclass(frozen=True)
class DayRow:
    """One line of a sheet.

    Attributes
    ----------
    begins, ends : str
        Times of the day.
    what : str
        Heat of a load; work at the bench.
    who : str
        Who does it, or the kiln.
    pieces : str
        Which pieces.
    """

    begins: str
    ends: str
    what: str
    who: str
    pieces: str


@dataclass(frozen=True)
class ShelfDrawn:
    """One of the next loads on its shelf.

    Attributes
    ----------
    title : str
        When it goes in, and how hot.
    svg : str
        The shelf in the light of paper, to scale; empty when no layout was found.
    words, places : str
        How it is laid out, and which piece has which number.
    """

    title: str
    svg: str
    words: str
    places: str


@dataclass(frozen=True)
class DaySheet:
    """A day.

    Attributes
    ----------
    title : str
        The day.
    next_ : str
        What goes in next, and when.
    good : str
        How good the plan is.
    bars : str
        The day as bars; SVG in the light of paper.
    bars_wide : float
        Their width [mm].
    bars_words : str
        The same in words, for who does not see it.
    loads, work : tuple of DayRow
        In order.
    lines : tuple of (str, str)
        Noun and sentence: what is late, what is short, what is left out.
    caution : str
        The one that matters most.
    made : str
        When it was planned.
    shelves : tuple of ShelfDrawn
        The first loads.
    """

    title: str
    next_: str
    good: str
    bars: str
    bars_wide: float
    bars_words: str
    loads: tuple[DayRow, ...]
    work: tuple[DayRow, ...]
    lines: tuple[tuple[str, str], ...] = ()
    caution: str = ""
    made: str = ""
    shelves: tuple[ShelfDrawn, ...] = ()


@dataclass(frozen=True)
class HomePiece:
    """One piece of a student.

    Attributes
    ----------
    number, design : str
        Which one.
    stands : str
        Where it stands.
    coats, loads, left : tuple of str
        Powder on it, when it was fired, what is still to come.
    """

    number: str
    design: str
    stands: str
    coats: tuple[str, ...]
    loads: tuple[str, ...]
    left: tuple[str, ...]


@dataclass(frozen=True)
class TakeHome:
    """The sheet of one student.

    Attributes
    ----------
    owner, day : str
        A label, never a full name; and the day.
    pieces : tuple of HomePiece
        What is theirs.
    cautions : tuple of str
        What to mind.
    """

    owner: str
    day: str
    pieces: tuple[HomePiece, ...]
    cautions: tuple[str, ...]


def day_sheet_data(sheet: DaySheet, invented: bool = False) -> dict[str, Any]:
    """Gather what the template prints."""
    return {
        "title": words.plain(sheet.title), "next": _whole(words.plain(sheet.next_, LONGEST_LINE)),
        "invented": invented,
        "good": words.plain(sheet.good, LONGEST_LINE), "bars": sheet.bars, "wide": sheet.bars_wide,
        "alt": words.plain(sheet.bars_words, LONGEST_LINE), "loads": _rows(sheet.loads),
        "work": _rows(sheet.work), "caution": words.plain(sheet.caution, LONGEST_LINE), "made": words.plain(sheet.made),
        "shelves": [
            {
                "title": words.plain(one.title), "svg": one.svg, "words": words.plain(one.words, LONGEST_LINE),
                "places": words.plain(one.places, LONGEST_PIECES),
            }
            for one in sheet.shelves
        ],
        "lines": [[words.plain(noun), words.plain(told, LONGEST_LINE)] for noun, told in sheet.lines],
    }  # fmt: skip


#: Sets the sheet of a day on A4.
day_sheet = Sheet(TEMPLATE, day_sheet_data)


def take_home_data(sheets: Sequence[TakeHome], invented: bool = False) -> dict[str, Any]:
    """Gather what the template prints."""
    pages = [
        {
            "owner": words.plain(one.owner, 40), "day": words.plain(one.day),
            "cautions": [words.plain(line, LONGEST_LINE) for line in one.cautions],
            "pieces": [
                {
                    "number": words.plain(piece.number), "design": words.plain(piece.design, 60),
                    "stands": words.plain(piece.stands, LONGEST_LINE),
                    **{
                        name: [words.plain(line, LONGEST_CELL) for line in getattr(piece, name)]
                        for name in ("coats", "loads", "left")
                    },
                }
                for piece in one.pieces
            ],
        }
        for one in sheets
    ]  # fmt: skip
    return {"title": "To take home", "invented": invented, "pages": pages}


#: Sets a page of A5 for each student.
take_home = Sheet(TAKE_HOME, take_home_data)


def _whole(told: str) -> str:
    """Keep numbers and what they count or measure on one line."""
    return _MEASURE.sub("\u00a0", told)


def _rows(rows: Sequence[DayRow]) -> list[list[str]]:
    return [
        [words.plain(one.begins), words.plain(one.ends), _whole(words.plain(one.what, LONGEST_CELL)),
         words.plain(one.who, LONGEST_PIECES), words.plain(one.pieces, LONGEST_PIECES)]
        for one in rows
    ]  # fmt: skip
