"""What a band is filled with: a colour, foretold or of its family, on a screen; hatching on paper; a pattern on both.

Opaque, transparent and opalescent glass each have their own pattern, so that nothing hangs on colour.
"""

from __future__ import annotations

from enamelwright.pictures import svg
from enamelwright.pictures.lights import FAMILY_COLOURS, LIGHTS, Light, Pattern, contrast, metal_colour, pattern_of
from enamelwright.pictures.stack import CoatLook

# Spacing and weight of the patterns [mm].
CLOSE, WIDE, DOTS = 0.62, 1.5, 0.9
THIN, DOT = 0.13, 0.17
INKS = {"dark": "#15191C", "light": "#FFFFFF"}


def pattern_definitions(light: Light, key: str) -> str:
    """Write the patterns once for each picture.

    Parameters
    ----------
    light : str
        Light of the picture.
    key : str
        Start of every id.
    """
    inks = {"dark": LIGHTS["paper"].text} if light == "paper" else INKS
    return "<defs>" + "".join(_pattern(key, name, colour) for name, colour in inks.items()) + "</defs>"


def _pattern(key: str, ink: str, colour: str) -> str:
    start = f'<pattern id="{svg.safe(key)}-{{}}-{ink}" patternUnits="userSpaceOnUse"'
    close, wide, dots = svg.number(CLOSE), svg.number(WIDE), svg.number(DOTS)
    thin = svg.number(THIN)
    opaque = (
        start.format("opaque") + f' width="{close}" height="{close}" patternTransform="rotate(45)">'
        f'<rect width="{thin}" height="{close}" fill="{colour}"/></pattern>'
    )
    transparent = (
        start.format("transparent") + f' width="{wide}" height="{wide}" patternTransform="rotate(-60)">'
        f'<rect width="{thin}" height="{wide}" fill="{colour}"/></pattern>'
    )
    opalescent = (
        start.format("opalescent")
        + f' width="{dots}" height="{dots}" patternTransform="rotate(30)">'
        + svg.circle((DOTS / 2, DOTS / 2), DOT, f'fill="{colour}"')
        + "</pattern>"
    )
    return opaque + transparent + opalescent


def fill_of(coat: CoatLook | None, light: Light, key: str, metal: str, foretold: str | None = None) -> tuple[str, str]:
    """Return (ground fill, pattern fill) of a coat, or of metal when `coat` is None.

    Parameters
    ----------
    coat : CoatLook or None
        The coat.
    light : str
        Light of the picture; paper has no colour.
    key : str
        Start of every id.
    metal : str
        What the metal is called.
    foretold : str, optional
        Colour foretold for the coat; that of its family stands in.
    """
    paper = light == "paper"
    if coat is None:
        return (LIGHTS["paper"].text if paper else metal_colour(metal)), "none"
    pattern: Pattern = pattern_of(coat.jar.kind if coat.jar else None)
    if paper:
        return LIGHTS["paper"].ground, f"url(#{svg.safe(key)}-{pattern}-dark)"
    family = (coat.jar.optics.family if coat.jar else None) or "mixed"
    if coat.jar and coat.jar.kind == "flux":
        family = coat.jar.optics.family or "clear"
    colour = foretold or FAMILY_COLOURS[family]
    ink = max(INKS, key=lambda name: contrast(INKS[name], colour))
    return colour, f"url(#{svg.safe(key)}-{pattern}-{ink})"
