"""Lists that go with finished pieces: what is packed for a fair, what is left with a seller, what came back."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.press import Sheet

TEMPLATE = "list_sheet.typ"
#: Signs that fit a cell, and what is said above and below: names and options are told whole.
LONGEST_CELL, LONGEST_LINE = 240, 3000
#: A day is not broken over two lines.
_DAY = re.compile(r"\b(\d{1,2}) ([A-Z][a-z]{2}) (\d{4})\b")


@dataclass(frozen=True)
class Listed:
    """A list of pieces.

    Attributes
    ----------
    title, about : str
        What it is, and for whom or where.
    columns : tuple of str
        Heads; what begins with a square is a box to tick.
    rows : tuple of tuple of str
        As many cells as columns without the boxes.
    boxes : tuple of str
        Heads of the boxes to tick at the end of each row.
    sums : tuple of (str, str)
        Noun and sum, under the list.
    lines : tuple of str
        What is agreed, one sentence each.
    signs : tuple of str
        Who signs.
    sums_of : tuple of int
        Columns that are set to the right.
    crossed : tuple of (int or None)
        Which box of each row is crossed already; none when left out.
    recipient : tuple of str or None
        Name and address lines of whom it is for; a blank line to write on when empty, nothing when None.
    """

    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    boxes: tuple[str, ...] = ()
    sums: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    sums_of: tuple[int, ...] = ()
    crossed: tuple[int | None, ...] = ()
    recipient: tuple[str, ...] | None = None


def list_sheet_data(listed: Listed, invented: bool = False) -> dict[str, Any]:
    """Gather what the template prints."""
    return {
        "title": words.plain(listed.title), "invented": invented,
        "about": _DAY.sub("\\1\u00a0\\2\u00a0\\3", words.plain(listed.about, LONGEST_LINE)),
        "columns": [words.plain(one) for one in listed.columns], "boxes": [words.plain(one) for one in listed.boxes],
        "rows": [[words.plain(cell, LONGEST_CELL) for cell in row] for row in listed.rows],
        "sums": [[words.plain(noun), words.plain(told)] for noun, told in listed.sums],
        "lines": [words.plain(one, LONGEST_LINE) for one in listed.lines],
        "signs": [words.plain(one) for one in listed.signs], "right": list(listed.sums_of),
        "named": listed.recipient is not None,
        "recipient": [words.plain(one, LONGEST_CELL) for one in listed.recipient or ()],
        "crossed": [
            -1 if one is None else one for one in listed.crossed or (None,) * len(listed.rows)
        ],
    }  # fmt: skip


#: Sets a list on A4.
list_sheet = Sheet(TEMPLATE, list_sheet_data)


def lists(rows: Sequence[Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Return rows as a list takes them."""
    return tuple(tuple(row) for row in rows)
