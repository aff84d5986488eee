"""What moves a cost, as bars about the cost itself: one line for each thing that is moved, the most first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light

# Measures of the drawing [mm]: a line, a bar, the column of words, the room for numbers.
LINE, BAR, WORDS, ENDS, TOP = 9.0, 4.2, 34.0, 16.0, 8.0
#: A line of a narrow drawing, the name over its bar [mm].
STACKED = 13.0
TEXT, SMALL = 3.8, 3.2
#: Width of a letter as a share of its height, a little more than on average.
LETTER = 0.6


@dataclass(frozen=True)
class Bar:
    """One thing that is moved.

    Parameters
    ----------
    name : str
        What it is.
    low, high : float
        The cost with it at its ends.
    low_words, high_words : str
        The same, as written.
    """

    name: str
    low: float
    high: float
    low_words: str
    high_words: str


def swings_svg(
    cost: float,
    words: str,
    bars: Sequence[Bar],
    *,
    width: float = 130.0,
    stacked: bool = False,
    light: Light = "paper",
    key: str = "swings",
) -> str:
    """Draw what moves a cost.

    Parameters
    ----------
    cost : float
        The cost itself.
    words : str
        The same, as written.
    bars : sequence of Bar
        In their order.
    width : float
        Of the drawing [mm].
    stacked : bool
        Whether each name stands over its bar, for a narrow page.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    tokens = LIGHTS[light]
    least = min([cost, *(min(bar.low, bar.high) for bar in bars)])
    most = max([cost, *(max(bar.low, bar.high) for bar in bars)])
    written = max((len(told) for bar in bars for told in (bar.low_words, bar.high_words)), default=0)
    ends_wide = max(ENDS, written * SMALL * LETTER + 2.0)
    left, right = (0.0 if stacked else WORDS) + ends_wide, width - ends_wide
    line, lower = (STACKED, TEXT + 1.2) if stacked else (LINE, 0.0)
    scale = (right - left) / (most - least) if most > least else 0.0

    def at(value: float) -> float:
        return left + (value - least) * scale if scale else (left + right) / 2

    height = TOP + line * len(bars) + 2.0
    middle = at(cost)
    body = [svg.text(middle, TEXT, words, TEXT, tokens.text, "middle", True)]
    for n, bar in enumerate(bars):
        y = TOP + line * n + lower
        ends = sorted(((bar.low, bar.low_words), (bar.high, bar.high_words)))
        start, end = at(ends[0][0]), at(ends[1][0])
        name_at = y - 1.4 if stacked else y + BAR / 2 + TEXT * 0.36
        body.append(svg.text(0.0, name_at, bar.name, TEXT, tokens.text))
        body.append(svg.rect(start, y, max(end - start, 0.4), BAR, f'fill="{tokens.rule}" data-part="swing"'))
        body.append(svg.text(start - 1.0, y + BAR / 2 + SMALL * 0.36, ends[0][1], SMALL, tokens.text, "end"))
        body.append(svg.text(end + 1.0, y + BAR / 2 + SMALL * 0.36, ends[1][1], SMALL, tokens.text))
    body.append(svg.line((middle, TOP - 2.0), (middle, height - 2.0), tokens.action, 0.5))
    most_moving = bars[0].name if bars else "nothing"
    said = f"The cost of {words} moves most with {most_moving}."
    return svg.document(width, height, body, "What moves the cost", said, key, tokens.text)
