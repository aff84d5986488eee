"""A load on its shelf, seen from above and to scale: where each piece stands, what is kept bare and free."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.pictures import svg
from enamelwright.pictures.laid_out import HAIR, LINE, Frame, LaidPiece, measure, piece, round_length
from enamelwright.pictures.lights import LIGHTS, Light

#: Spots kept free: middle and diameter [m], and why.
Spot = tuple[float, float, float, str]

# Room round the shelf, the foot with door and measure, and the length of the measure [mm; m].
SIDE, FOOT, TOP, RULE = 3.0, 12.0, 3.0, 0.05
#: Distance between the strokes of a spot that is kept free [mm].
STROKES = 2.4


def shelf_svg(
    width: float, depth: float, pieces: Sequence[LaidPiece], *, edge: float = 0.0, spots: Sequence[Spot] = (),
    across: float | None = 150.0, light: Light = "paper", key: str = "shelf", name: str = "",
) -> str:  # fmt: skip
    """Draw a load on its shelf.

    Parameters
    ----------
    width, depth : float
        Of the shelf [m].
    pieces : sequence of LaidPiece
        From its left front corner.
    edge : float
        Kept bare along the edges [m].
    spots : sequence of (float, float, float, str)
        Kept free, and why.
    across : float or None
        Width of the picture [mm]; None for true size, to lay under the pieces.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    name : str
        What the load is called.
    """
    tokens = LIGHTS[light]
    scale = 1.0 if across is None else (across - 2 * SIDE) / (width * 1000)
    frame = Frame(0.0, depth, scale, SIDE, TOP)
    wide, deep = frame.length(width), frame.length(depth)
    body = [svg.rect(SIDE, TOP, wide, deep, f'fill="{tokens.panel}" stroke="{tokens.text}" stroke-width="0.6"')]
    if edge > 0:
        bare = frame.length(edge)
        body.append(
            svg.rect(SIDE + bare, TOP + bare, wide - 2 * bare, deep - 2 * bare,
                     f'{svg.outlined(tokens.rule, HAIR)} stroke-dasharray="2 1.2"')
        )  # fmt: skip
    for x, y, size, why in spots:
        body += _spot(frame, x, y, size, why, tokens.rule, tokens.text, f"{key}-spot-{len(body)}")
    for one in pieces:
        body += piece(one, frame, tokens.text, tokens.ground if light != "paper" else "#EFEFEF", tokens.quiet)
    body.append(svg.line((SIDE, TOP + deep), (SIDE + wide, TOP + deep), tokens.text, 1.4))
    foot = TOP + deep + 6.0
    body.append(svg.text(SIDE + wide, foot + 1.1, "door side", 3.6, tokens.text, "end", True))
    body += measure(SIDE, foot, round_length(RULE, width), frame, tokens.text)
    said = f"{len(pieces)} pieces on a shelf {width * 1000:.0f} by {depth * 1000:.0f} mm, the door side below"
    if spots:
        said += f"; kept free: {', '.join(spot[3] for spot in spots)}"
    title = name or "A load on its shelf"
    return svg.document(wide + 2 * SIDE, deep + TOP + FOOT, body, title, said + ".", key, tokens.text)


def _spot(frame: Frame, x: float, y: float, size: float, why: str, ink: str, words: str, key: str) -> list[str]:
    """Draw a spot kept free: a circle with strokes across and its reason."""
    middle = frame.at((x, y))
    radius = frame.length(size) / 2
    body = [svg.circle(middle, radius, svg.outlined(ink, LINE) + f' id="{svg.safe(key)}"')]
    steps = int(2 * radius / STROKES)
    for n in range(1, steps + 1):
        off = -radius + n * 2 * radius / (steps + 1)
        half = max(radius**2 - off**2, 0.0) ** 0.5
        # strokes run upwards to the right: turned by an eighth about the middle
        c = 0.5**0.5
        one, other = ((off * c + t * c, off * c - t * c) for t in (-half, half))
        body.append(
            svg.line((middle[0] + one[0], middle[1] + one[1]), (middle[0] + other[0], middle[1] + other[1]), ink, HAIR)
        )
    wide = 1.9 * len(why) + 2.0
    body.append(svg.rect(middle[0] - wide / 2, middle[1] - 2.3, wide, 4.6, f'fill="{_GROUND}"'))
    body.append(svg.text(middle[0], middle[1] + 1.3, why, 3.6, words, "middle", True))
    return body


#: The plate under a word is the panel the shelf is drawn on; one colour that every light swaps.
_GROUND = LIGHTS["daylight"].panel
