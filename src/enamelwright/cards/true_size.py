"""Drawings at true size on A4: over several pages where they are larger, with a measure to check."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.press import press

TEMPLATE = "true_size.typ"
#: What a page shows, and by how much neighbours overlap [mm]; A4 less margins any printer can do without.
WIDE, HIGH, OVERLAP = 186.0, 256.0, 10.0
#: The same of a page that lies.
LYING = (273.0, 168.0)
#: Signs of what is said over a drawing: one line of small type.
LONGEST = 110
#: Below a drawing that leaves room: columns, how far off they begin, height of a line [mm], signs that surely fit one.
COLUMNS, BELOW, LINE, SURE = 2, 6.0, 4.8, 44
#: Pages one drawing may take each way; what is larger is cut by a machine.
MOST = 12


@dataclass(frozen=True)
class TrueDrawing:
    """One drawing to print at true size.

    Parameters
    ----------
    name : str
        What it is called.
    svg : str
        The drawing, measured in millimetres.
    width, height : float
        Its size [mm].
    lines : tuple of str
        What is said under its name; what is more than the head of a page holds stands below the drawing, where that
        leaves room, else on a page of its own.
    """

    name: str
    svg: str
    width: float
    height: float
    lines: tuple[str, ...] = ()


def true_size(drawings: Sequence[TrueDrawing], title: str, invented: bool = False) -> bytes:
    """Set drawings at true size.

    Parameters
    ----------
    drawings : sequence of TrueDrawing
        At least one.
    title : str
        Of the file.
    invented : bool
        Whether they belong to a demonstration.

    Returns
    -------
    bytes
        A PDF; byte-identical for identical input.
    """
    return press(TEMPLATE, true_size_data(drawings, title, invented))


def true_size_data(drawings: Sequence[TrueDrawing], title: str, invented: bool = False) -> dict[str, Any]:
    """Gather what the template prints."""
    pages, lists = [], []
    for one in drawings:
        upright = one.width <= WIDE and one.height <= HIGH
        turned = not upright and one.width <= LYING[0] and one.height <= LYING[1]
        across, down = LYING if turned else (WIDE, HIGH)
        columns, rows = (
            min(max(math.ceil((size - OVERLAP) / (room - OVERLAP)), 1), MOST)
            for size, room in ((one.width, across), (one.height, down))
        )
        whole = rows * columns == 1
        head, below, more = _placed(
            [words.plain(line, LONGEST) for line in one.lines], down - one.height if whole else 0.0
        )
        for row in range(rows):
            for column in range(columns):
                pages.append(
                    {
                        "name": words.plain(one.name, 60), "svg": one.svg, "width": one.width, "height": one.height,
                        "x": column * (across - OVERLAP), "y": row * (down - OVERLAP), "wide": across, "high": down,
                        "turned": turned, "lines": head, "below": below, "below_at": one.height + BELOW,
                        "part": f"{row + 1}.{column + 1} of {rows}.{columns}" if rows * columns > 1 else "",
                    }
                )  # fmt: skip
        if more:
            lists.append({"name": words.plain(one.name, 60), "lines": more})
    return {"title": words.plain(title), "invented": invented, "overlap": OVERLAP, "pages": pages, "lists": lists}


def _placed(lines: Sequence[str], room: float) -> tuple[list[str], list[list[str]], list[str]]:
    """Return what stands over a drawing, in columns below it, and on a page of its own.

    Parameters
    ----------
    lines : sequence of str
        All that is said.
    room : float
        Height that is left below the drawing [mm].
    """
    if not lines:
        return [], [], []
    first, told = lines[0], "; ".join(lines[1:])
    if len(first) <= LONGEST and len(told) <= LONGEST:
        return [first, *([told] if told else [])], [], []
    half = math.ceil((len(lines) - 1) / COLUMNS)
    below = [list(lines[1 + n * half : 1 + (n + 1) * half]) for n in range(COLUMNS)]
    high = max(sum(math.ceil(len(line) / SURE) for line in one) for one in below) * LINE
    if BELOW + high <= room:
        return [first], below, []
    return [first, "What the numbers are stands on a page of its own."], [], list(lines[1:])
