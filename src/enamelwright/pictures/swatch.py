"""Swatches: a jar as a band of its own glass, and a spot of a tile edge-on; each is hatched by its kind."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.craft.jar import Family, Kind
from enamelwright.pictures import svg
from enamelwright.pictures.fills import INKS, pattern_definitions
from enamelwright.pictures.lights import FAMILY_COLOURS, LIGHTS, Light, contrast, metal_colour, pattern_of

# Measures of the drawings [mm].
WIDE, TALL, EDGE, THIN = 60.0, 6.0, 0.4, 0.25
STRIP, METAL, UNDER, OVER = 24.0, 3.2, 2.0, 3.4
#: A coat of this thickness [m] is drawn at its usual height; thicker and thinner ones in proportion, within these.
USUAL, LEAST, MOST = 0.0002, 1.4, 7.0


@dataclass(frozen=True)
class Glass:
    """A glass as a swatch needs it.

    Parameters
    ----------
    family : str or None
        Colour family.
    kind : str or None
        Kind of enamel; says how it is hatched.
    colour : str or None
        Its own colour as ``#rrggbb`` when tiles or a measurement tell one; that of the family otherwise.
    """

    family: Family | None
    kind: Kind | None
    colour: str | None = None


def _fills(glass: Glass, key: str) -> tuple[str, str]:
    colour = glass.colour or FAMILY_COLOURS[glass.family or ("clear" if glass.kind == "flux" else "mixed")]
    ink = max(INKS, key=lambda name: contrast(INKS[name], colour))
    return colour, f"url(#{svg.safe(key)}-{pattern_of(glass.kind)}-{ink})"


def _body(x: float, y: float, width: float, height: float, fill: str, pattern: str, ink: str) -> str:
    edge = f'stroke="{ink}" stroke-width="{svg.number(EDGE)}"'
    return svg.rect(x, y, width, height, f'fill="{fill}"') + svg.rect(x, y, width, height, f'fill="{pattern}" {edge}')


def jar_svg(glass: Glass, name: str, left: float | None = None, mark: float | None = None, light: Light = "paper",
            key: str = "jar") -> str:  # fmt: skip
    """Draw a jar as a band of its glass, as long as there is powder left.

    Parameters
    ----------
    glass : Glass
        What is in it.
    name : str
        What it is called, for a reader who cannot see it.
    left : float, optional
        Part of the last full jar that is left, 0 to 1; the whole band when it is not known.
    mark : float, optional
        Part at which it should be bought again; drawn as a notch.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input.
    """
    ink = LIGHTS[light].rule
    fill, pattern = _fills(glass, key)
    length = WIDE if left is None else max(0.0, min(left, 1.0)) * WIDE
    half = EDGE / 2
    parts = [pattern_definitions(light, key)]
    parts.append(svg.line((0.0, TALL - half), (WIDE, TALL - half), ink, EDGE))
    if length > EDGE:
        parts.append(_body(half, half, length - EDGE, TALL - EDGE, fill, pattern, ink))
    if mark is not None and 0 < mark < 1:
        parts.append(svg.line((mark * WIDE, 0.0), (mark * WIDE, TALL), LIGHTS[light].text, EDGE * 1.5, "1 0.6"))
    words = f"{glass.family or 'colour not said'}, {pattern_of(glass.kind)}"
    if left is not None:
        words += f", {left:.0%} left"
    return svg.document(WIDE, TALL, parts, name, words, key, LIGHTS[light].text)


def spot_svg(metal: str, coats: Sequence[tuple[Glass, float | None]], under: Glass | None, name: str, *,
             fired: bool = True, light: Light = "paper", key: str = "spot") -> str:  # fmt: skip
    """Draw one spot of a tile edge-on: metal, what lies under, and the coats tried.

    Parameters
    ----------
    metal : str
        Its metal.
    coats : sequence of (Glass, float or None)
        Each coat with its thickness [m], from the metal outward.
    under : Glass or None
        What lies under them; None for bare metal.
    name : str
        For a reader who cannot see it.
    fired : bool
        Whether it was fired; coats that were not are drawn as an outline of dashes.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    ink = LIGHTS[light].rule
    heights = [OVER if thick is None else max(LEAST, min(OVER * thick / USUAL, MOST)) for _, thick in coats]
    tall = METAL + (UNDER if under is not None else 0.0) + sum(heights) + EDGE
    y = tall
    parts = [pattern_definitions(light, key)]
    y -= METAL
    parts.append(_body(EDGE / 2, y, STRIP - EDGE, METAL - EDGE / 2, metal_colour(metal), "none", ink))
    if under is not None:
        y -= UNDER
        parts.append(_body(EDGE / 2, y, STRIP - EDGE, UNDER, *_fills(under, key), ink))
    for (glass, _), high in zip(coats, heights, strict=True):
        y -= high
        if fired:
            parts.append(_body(EDGE / 2, y, STRIP - EDGE, high, *_fills(glass, key), ink))
        else:
            dash = f'fill="none" stroke="{ink}" stroke-width="{svg.number(EDGE)}" stroke-dasharray="1.2 0.8"'
            parts.append(svg.rect(EDGE / 2, y, STRIP - EDGE, high, dash))
    said = ", ".join(glass.family or "colour not said" for glass, _ in coats) or "nothing laid"
    return svg.document(STRIP, tall, parts, name, f"{said} on {metal}", key, LIGHTS[light].text)
