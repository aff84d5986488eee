"""A patch of a foretold colour: the colour plain, its kind of glass as a pattern along the foot, two outlines."""

from __future__ import annotations

from enamelwright.pictures import svg
from enamelwright.pictures.fills import INKS, pattern_definitions
from enamelwright.pictures.lights import LIGHTS, Light, Pattern, contrast

# Measures [mm].
WIDE, TALL, FOOT, OUTER, INNER = 24.0, 15.0, 3.2, 0.5, 0.6


def patch_svg(
    colour: str, pattern: Pattern | None, name: str, *, wide: float = WIDE, tall: float = TALL,
    light: Light = "daylight", key: str = "patch",
) -> str:  # fmt: skip
    """Draw one colour.

    Parameters
    ----------
    colour : str
        ``#rrggbb``.
    pattern : str or None
        Kind of glass; None for a colour that is not of glass.
    name : str
        What it shows, for a reader who cannot see it.
    wide, tall : float
        Size [mm].
    light : str
        Light of the page.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input.
    """
    half, inset = OUTER / 2, OUTER + INNER / 2
    parts = [svg.rect(0, 0, wide, tall, f'fill="{colour}"')]
    if pattern is not None:
        ink = max(INKS, key=lambda one: contrast(INKS[one], colour))
        foot = min(FOOT, tall / 3)
        hatch = f'fill="url(#{svg.safe(key)}-{pattern}-{ink})"'
        parts += [
            pattern_definitions(light, key),
            svg.rect(OUTER, tall - foot, wide - 2 * OUTER, foot - OUTER, hatch),
        ]
    # White inside grey, so that the edge shows beside any colour and on any ground.
    parts += [
        svg.rect(inset, inset, wide - 2 * inset, tall - 2 * inset, svg.outlined("#FFFFFF", INNER)),
        svg.rect(half, half, wide - OUTER, tall - OUTER, svg.outlined(LIGHTS[light].rule, OUTER)),
    ]
    said = f"{pattern} glass" if pattern is not None else "a colour aimed at"
    return svg.document(wide, tall, parts, name, said, key, LIGHTS[light].text)
