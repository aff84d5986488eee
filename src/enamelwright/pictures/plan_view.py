"""The plan view: the outline from the front, with its cells and holes, to scale."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from enamelwright import units
from enamelwright.craft.outline_shape import Shape
from enamelwright.pictures import svg
from enamelwright.pictures.fills import INKS
from enamelwright.pictures.foretold import Foretold, words_of
from enamelwright.pictures.lights import LIGHTS, Light, contrast

# Weights of line and room for the measure beside its words [mm].
EDGE, CELL, MARGIN, MEASURE = 0.45, 0.22, 0.6, 1.7
#: Least height of a word, and what share of the picture's width it is where that is more: a page draws it smaller.
WORD, WORD_SHARE = 2.5, 0.055
#: Height of the words on the colours and their room, as shares of a word.
SMALL, WORDS = 0.84, 1.36
#: Most points of one line worth drawing; finer outlines are thinned evenly.
MOST_POINTS = 400
#: Cells named on the drawing at most; the rest are told in the description only.
MOST_NAMES = 8


def plan_view_svg(
    shape: Shape,
    width_mm: float = 60.0,
    height_mm: float = 60.0,
    light: Light = "paper",
    *,
    name: str = "the piece",
    names: bool = True,
    measure: bool = True,
    colours: Mapping[str, Foretold] | None = None,
    key: str = "plan-view",
) -> str:
    """Draw the outline seen from the front.

    Parameters
    ----------
    shape : Shape
        The outline, with cells and holes.
    width_mm, height_mm : float
        Room for the picture; the drawing keeps its proportions.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    name : str
        What the piece is called, for a reader who cannot see it.
    names : bool
        Whether cells are lettered a, b, c ...
    measure : bool
        Whether the width stands below with its arrows.
    colours : mapping of str to Foretold, optional
        Colour of each cell by name, and of the ground under an empty name; not used on paper.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input. Each cell carries ``data-cell``.
    """
    tokens = LIGHTS[light]
    left, bottom, right, top = shape.extent
    word = max(WORD, WORD_SHARE * width_mm)
    foot = (MEASURE + word if measure else 0.0) + (WORDS * word if measure and colours and light != "paper" else 0.0)
    scale = min((width_mm - 2 * MARGIN) / (right - left), (height_mm - 2 * MARGIN - foot) / (top - bottom))
    wide, tall = (right - left) * scale, (top - bottom) * scale
    shift = (width_mm - wide) / 2

    def place(points: Iterable[Sequence[float]]) -> list[svg.Point]:
        return [(shift + (x - left) * scale, MARGIN + (top - y) * scale) for x, y in points]

    told = {} if light == "paper" else dict(colours or {})
    painted = {name: one.colour for name, one in told.items()}
    ground = painted.get("", tokens.panel)
    dash = ' stroke-dasharray="1 0.7"' if shape.kind == "area only" else ""
    body = [
        f'<path data-part="outline" d="{_ring(place(shape.boundary_points()))}" fill="{ground}"'
        f' stroke="{tokens.text}" stroke-width="{svg.number(EDGE)}"{dash}/>'
    ]
    for number, cell in enumerate(shape.cells.values()):
        rings = [_ring(place(ring)) for ring in (cell.boundary, *cell.islands)]
        ink = _ink(painted.get(cell.name, painted.get("", "")), tokens.text)
        edge = _ink(painted.get("", ""), tokens.text)
        body.append(
            f'<path data-cell="{svg.safe(cell.name)}" d="{"".join(rings)}"'
            f' fill="{painted.get(cell.name, "none")}" fill-rule="evenodd"'
            f' stroke="{edge}" stroke-width="{svg.number(CELL)}"><title>{svg.safe(cell.name)}</title></path>'
        )
        if names and number < MOST_NAMES:
            x, y = _middle(place(cell.boundary))
            body.append(svg.text(x, y + word / 3, chr(ord("a") + number), word, ink, "middle", bold=True))
    for hole in shape.holes:
        body.append(
            f'<path data-hole="{svg.safe(hole.name)}" d="{_ring(place(hole.boundary))}" fill="{tokens.ground}"'
            f' stroke="{tokens.text}" stroke-width="{svg.number(EDGE)}"/>'
        )
    height = tall + 2 * MARGIN + foot
    if measure:
        body += _measure(shift, shift + wide, tall + 2 * MARGIN + 1.0, right - left, word, tokens.text)
        if told:
            words = words_of(told.values())
            body.append(svg.text(width_mm / 2, height - 0.8, words, SMALL * word, tokens.quiet, "middle"))
    said = f"{_said(shape)} {words_of(told.values())}".rstrip()
    return svg.document(width_mm, height, body, f"{name}, seen from the front", said, key, tokens.text)


def _ink(ground: str, usual: str) -> str:
    """Return what can be read on a colour, in small letters so that it keeps in every light; else the usual ink."""
    return max(INKS.values(), key=lambda ink: contrast(ink, ground)).lower() if ground else usual


def _ring(points: list[svg.Point]) -> str:
    step = max(1, -(-len(points) // MOST_POINTS))
    kept = points[::step]
    return "M" + "L".join(f"{svg.number(x)} {svg.number(y)}" for x, y in kept) + "Z"


def _middle(points: list[svg.Point]) -> svg.Point:
    """Return the centroid of a ring, or the mean of its points when it has no area."""
    twice = sx = sy = 0.0
    for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True):
        cross = x0 * y1 - x1 * y0
        twice += cross
        sx += (x0 + x1) * cross
        sy += (y0 + y1) * cross
    if twice == 0:
        return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)
    return sx / (3 * twice), sy / (3 * twice)


def _measure(start: float, end: float, y: float, width: float, word: float, ink: str) -> list[str]:
    ends = [svg.line((x, y - 0.8), (x, y + 0.8), ink, CELL) for x in (start, end)]
    words = f"{units.from_si(width, 'mm', 'length'):.0f} mm"
    return [
        svg.line((start, y), (end, y), ink, CELL),
        *ends,
        svg.text((start + end) / 2, y + 0.4 + word, words, word, ink, "middle"),
    ]


def _said(shape: Shape) -> str:
    width, height = (f"{units.from_si(side, 'mm', 'length'):.0f} mm" for side in (shape.width, shape.height))
    words = (
        "Outline not drawn, only its area is known; shown as an oval"
        if shape.kind == "area only"
        else f"Outline {shape.kind}"
    )
    words += f", {width} wide and {height} high"
    if shape.holes:
        words += f", {len(shape.holes)} hole" + ("s" if len(shape.holes) > 1 else "")
    cells = list(shape.cells)
    if cells:
        words += f", cells: {', '.join(cells[:MOST_NAMES])}" + (" and more" if len(cells) > MOST_NAMES else "")
    return words + "."
