"""A sheet with the blanks that are cut from it, to scale or at true size: what is cut, kept and lost."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.outline_ring import Ring
from enamelwright.pictures import svg
from enamelwright.pictures.laid_out import HAIR, LINE, MM, Frame, LaidPiece, measure, piece, round_length
from enamelwright.pictures.lights import LIGHTS, Light

# Room round the sheet, the foot with grain and measure, and the length of the measure [mm; m].
SIDE, FOOT, TOP, RULE = 3.0, 12.0, 3.0, 0.05

#: Room for the words at the measure, for the direction of rolling, and between the two below each other [mm].
WORDS, ROLLED, LOWER = 14.0, 48.0, 6.0

Region = tuple[Ring, tuple[Ring, ...]]


def blanks_svg(
    sheet: Region, pieces: Sequence[LaidPiece], remnants: Sequence[Region] = (), *, grain: bool = False,
    across: float | None = 160.0, light: Light = "paper", key: str = "blanks", name: str = "",
) -> str:  # fmt: skip
    """Draw a sheet with its blanks.

    Parameters
    ----------
    sheet : (Ring, tuple of Ring)
        Its edge and openings [m].
    pieces : sequence of LaidPiece
        Blanks, in the sheet's measures.
    remnants : sequence of (Ring, tuple of Ring)
        What is kept [m].
    grain : bool
        Whether the direction of rolling matters and is shown.
    across : float or None
        Width of the picture [mm]; None for true size.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    name : str
        What the sheet is called.
    """
    tokens = LIGHTS[light]
    x, y = [at[0] for at in sheet[0]], [at[1] for at in sheet[0]]
    width, height = max(x) - min(x), max(y) - min(y)
    scale = 1.0 if across is None else (across - 2 * SIDE) / (width * 1000)
    whole = extent(sheet[0], scale, grain)
    frame = Frame(min(x), max(y), scale, SIDE, TOP)
    deep = frame.length(height)
    body = [
        f'<path d="{frame.path([sheet[0], *sheet[1]])}" fill="{tokens.panel}" fill-rule="evenodd"'
        f' stroke="{tokens.text}" stroke-width="0.6"/>'
    ]
    for n, (edge, windows) in enumerate(remnants, 1):
        body.append(
            f'<path data-part="kept" d="{frame.path([edge, *windows])}" fill="none" fill-rule="evenodd"'
            f' stroke="{tokens.rule}" stroke-width="{svg.number(LINE)}" stroke-dasharray="2.4 1.2"/>'
        )
        at = _inside(edge, windows)
        words = "kept" if len(remnants) == 1 else f"kept {n}"
        body.append(svg.text(*frame.at(at), words, 3.6, tokens.quiet, "middle"))
    for one in pieces:
        body += piece(one, frame, tokens.text, tokens.ground if light != "paper" else "#EFEFEF", tokens.quiet)
    foot = TOP + deep + 6.0
    body += measure(SIDE, foot, round_length(RULE, width), frame, tokens.text)
    if grain:
        end = whole[0] - SIDE
        foot = whole[1] - FOOT + 6.0  # below the measure where both have no room side by side
        start = end - 22.0
        body += [
            svg.text(start - 1.5, foot + 1.2, "rolled this way", 3.2, tokens.text, "end"),
            svg.line((start, foot), (end, foot), tokens.text, LINE),
            *(
                svg.line((tip, foot), (tip + 2.0 * side, foot + lift), tokens.text, LINE)
                for tip, side in ((start, 1), (end, -1)) for lift in (-1.2, 1.2)
            ),
        ]  # fmt: skip
    said = f"{len(pieces)} blanks on a sheet {width * 1000:.0f} by {height * 1000:.0f} mm; what is kept is dashed"
    return svg.document(
        *whole,
        body,
        name or "Blanks on a sheet",
        said + ".",
        key,
        tokens.text,
    )


def extent(edge: Ring, scale: float, grain: bool) -> tuple[float, float]:
    """Return how wide and high the drawing of a sheet is [mm].

    Parameters
    ----------
    edge : Ring
        Of the sheet [m].
    scale : float
        Picture over reality; 1 at true size.
    grain : bool
        Whether the direction of rolling is shown.
    """
    wide, high = ((max(side) - min(side)) * MM * scale for side in zip(*edge, strict=True))
    beside = wide >= RULE * MM * scale + WORDS + ROLLED
    below = LOWER if grain and not beside else 0.0
    return max(wide, ROLLED if grain else WORDS) + 2 * SIDE, high + TOP + FOOT + below


def _inside(edge: Ring, windows: Sequence[Ring]) -> tuple[float, float]:
    """Return a point well inside a region, for its word."""
    from shapely import Polygon
    from shapely.ops import polylabel

    region = Polygon(edge, windows)
    if not region.is_valid or region.is_empty:
        return edge[0]
    middle = polylabel(region, HAIR / 100)
    return float(middle.x), float(middle.y)
