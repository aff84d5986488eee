"""Write cutting lines at true size for a machine or another program: DXF and SVG, both in millimetres.

Circles stay circles; anything else is a closed line through its points. Layers say what a line is: CUT for
outlines, HOLE for openings, SHEET for the edge of the metal, KEPT for remnants, NOTE for numbers.

Source: W3C, Scalable Vector Graphics (SVG) 1.1 (Second Edition), 7.10 (units); Autodesk, DXF Reference, header
variable $INSUNITS (4 is millimetres).
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from enamelwright.craft.outline_ring import Point, Ring

#: Layers with the colour number a drawing program shows them in.
LAYERS = {"SHEET": 8, "CUT": 1, "HOLE": 5, "KEPT": 3, "NOTE": 7}
_MM = 1000.0
#: Decimals of a millimetre.
_DECIMALS = 4
#: Height of numbers [mm].
_NOTE = 3.0


@dataclass(frozen=True)
class CutLine:
    """One line.

    Parameters
    ----------
    layer : str
        One of :data:`LAYERS`.
    ring : Ring
        Closed line through these points [m]; empty for a circle or a note.
    circle : (float, float, float), optional
        Middle and radius [m].
    note : str
        Words, at `at`.
    at : (float, float)
        Where the words stand [m].
    """

    layer: str
    ring: Ring = ()
    circle: tuple[float, float, float] | None = None
    note: str = ""
    at: Point = (0.0, 0.0)


def dxf(lines: Sequence[CutLine]) -> str:
    """Write lines as a DXF drawing in millimetres.

    Parameters
    ----------
    lines : sequence of CutLine
        y upwards.
    """
    from ezdxf import units
    from ezdxf.filemanagement import new

    drawing = new("R2010", setup=False)
    drawing.units = units.MM
    for name, colour in LAYERS.items():
        drawing.layers.add(name, color=colour)
    space = drawing.modelspace()
    for line in lines:
        layer = {"layer": line.layer}
        if line.circle is not None:
            x, y, radius = (size * _MM for size in line.circle)
            space.add_circle((x, y), radius, dxfattribs=layer)
        elif line.ring:
            space.add_lwpolyline([(x * _MM, y * _MM) for x, y in line.ring], close=True, dxfattribs=layer)
        elif line.note:
            text = space.add_text(line.note, height=_NOTE, dxfattribs=layer)
            text.set_placement((line.at[0] * _MM, line.at[1] * _MM))
    out = io.StringIO()
    drawing.write(out)
    return out.getvalue()


def svg(lines: Sequence[CutLine], title: str) -> str:
    """Write lines as an SVG drawing whose millimetres are real.

    Parameters
    ----------
    lines : sequence of CutLine
        y upwards; turned over for the file.
    title : str
        Of the drawing.
    """
    points = [at for line in lines for at in line.ring]
    points += [
        (x + side * radius, y + side * radius)
        for line in lines if line.circle is not None for x, y, radius in [line.circle] for side in (-1, 1)
    ]  # fmt: skip
    if not points:
        points = [(0.0, 0.0), (_NOTE / _MM, _NOTE / _MM)]
    left, right = (pick(at[0] for at in points) * _MM for pick in (min, max))
    low, top = (pick(at[1] for at in points) * _MM for pick in (min, max))

    def number(value: float) -> str:
        return f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".") or "0"

    def at(point: Point) -> str:
        return f"{number(point[0] * _MM - left)} {number(top - point[1] * _MM)}"

    body = [f"<title>{escape(title)}</title>"]
    for layer in LAYERS:
        inside = []
        for line in lines:
            if line.layer != layer:
                continue
            if line.circle is not None:
                x, y = at(line.circle[:2]).split()
                inside.append(f'<circle cx="{x}" cy="{y}" r="{number(line.circle[2] * _MM)}"/>')
            elif line.ring:
                inside.append(f'<path d="M{"L".join(at(point) for point in line.ring)}Z"/>')
            elif line.note:
                x, y = at(line.at).split()
                inside.append(
                    f'<text x="{x}" y="{y}" font-size="{number(_NOTE)}" fill="black" stroke="none">'
                    f"{escape(line.note)}</text>"
                )
        if inside:
            named = "guide" if layer in {"SHEET", "KEPT", "NOTE"} else layer.lower()
            body.append(
                f'<g id="{named}-{layer.lower()}" class="{named}" fill="none" stroke="black" stroke-width="0.1">'
                + "".join(inside) + "</g>"
            )  # fmt: skip
    wide, high = number(right - left), number(top - low)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}">'
        + "".join(body)
        + "</svg>\n"
    )
