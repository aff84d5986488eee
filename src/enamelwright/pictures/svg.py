"""Small helpers for SVG text: fixed decimals, escaping, and the three verdict shapes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from html import escape

from enamelwright.craft.verdict import Level

#: Decimals of every coordinate [mm]; a micrometre on paper, and identical text for identical input.
DECIMALS = 3
#: Stack of families a picture asks for; the first is the one that ships with the product.
FONT = "IBM Plex Sans, sans-serif"

Point = tuple[float, float]


def number(value: float) -> str:
    """Write a coordinate with fixed decimals, trailing noughts off, and no negative nought."""
    text = f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def safe(text: str) -> str:
    """Escape text for XML and drop what XML cannot hold."""
    kept = "".join(sign for sign in text if sign in "\t\n" or (ord(sign) >= 32 and not 0xD800 <= ord(sign) <= 0xDFFF))
    return escape(kept.replace("\ufffe", "").replace("\uffff", ""), quote=True)


def points(pairs: Iterable[Point]) -> str:
    """Write points for ``polygon`` or ``polyline``."""
    return " ".join(f"{number(x)},{number(y)}" for x, y in pairs)


def text(x: float, y: float, words: str, size: float, colour: str, anchor: str = "start", bold: bool = False) -> str:
    """Write one line of text; `y` is its base line [mm], `size` its height [mm]."""
    weight = ' font-weight="600"' if bold else ""
    where = f' text-anchor="{anchor}"' if anchor != "start" else ""
    return (
        f'<text x="{number(x)}" y="{number(y)}" font-size="{number(size)}"{where}{weight} fill="{colour}">'
        f"{safe(words)}</text>"
    )


def line(start: Point, end: Point, colour: str, width: float, dash: str = "") -> str:
    """Write one straight stroke."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{number(start[0])}" y1="{number(start[1])}" x2="{number(end[0])}" y2="{number(end[1])}"'
        f' stroke="{colour}" stroke-width="{number(width)}"{dashes}/>'
    )


def rect(x: float, y: float, width: float, height: float, paint: str) -> str:
    """Draw an upright rectangle; `paint` holds its fill and stroke attributes."""
    return f'<rect x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}" {paint}/>'


def circle(centre: Point, radius: float, paint: str) -> str:
    """Draw a circle; `paint` holds its fill and stroke attributes."""
    return f'<circle cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}" {paint}/>'


def outlined(ink: str, width: float) -> str:
    """Return the attributes of an outline without a fill."""
    return f'fill="none" stroke="{ink}" stroke-width="{number(width)}"'


def _corners(centre: Point, radius: float, turns: Sequence[float]) -> str:
    return points((centre[0] + radius * math.sin(t), centre[1] - radius * math.cos(t)) for t in turns)


def level_shape(level: Level, centre: Point, size: float, fill: str, edge: str) -> str:
    """Draw a verdict's shape: disc for good, triangle for watch, octagon for stop.

    Parameters
    ----------
    level : str
        Which one.
    centre : (float, float)
        Middle [mm].
    size : float
        Height of the shape [mm].
    fill, edge : str
        Colours; the edge parts the shape from what it stands on.
    """
    stroke = f'fill="{fill}" stroke="{edge}" stroke-width="{number(size / 9)}" stroke-linejoin="round"'
    if level == "good":
        return circle(centre, size / 2, stroke)
    if level == "watch":
        third = 2 * math.pi / 3
        low = (centre[0], centre[1] + size / 6)
        return f'<polygon points="{_corners(low, size * 2 / 3, (0, third, 2 * third))}" {stroke}/>'
    eighth = math.pi / 4
    turns = [eighth * (n + 0.5) for n in range(8)]
    return f'<polygon points="{_corners(centre, size / 2 / math.cos(eighth / 2), turns)}" {stroke}/>'


def document(
    width: float, height: float, body: Sequence[str], title: str, description: str, key: str, colour: str
) -> str:
    """Wrap a drawing measured in millimetres, with the title and sentence a screen reader says."""
    named = f'aria-labelledby="{safe(key)}-title {safe(key)}-desc"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" height="{number(height)}mm"'
        f' viewBox="0 0 {number(width)} {number(height)}" role="img" {named}'
        f' font-family="{FONT}" color="{colour}">'
        f'<title id="{safe(key)}-title">{safe(title)}</title><desc id="{safe(key)}-desc">{safe(description)}</desc>'
        + "".join(body)
        + "</svg>"
    )
