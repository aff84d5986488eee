"""The sheet of eyes: starting curves over fluxed silver as most eyes see them, and as three other kinds do."""

from __future__ import annotations

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.eyes import EYES, eye_words, look_alikes, plain_name, screen_as_seen
from enamelwright.craft.colour.fired_colour import nominal_look
from enamelwright.craft.colour.jar_optics import archetypes
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light

# Measures of the sheet [mm].
SWATCH, TALL, NAME, GAP, HEAD, LINE = 30.0, 8.0, 44.0, 1.6, 8.0, 3.6
WORD, SMALL, EDGE = 2.5, 2.1, 0.35
#: What lies on fine silver: flux, then the curve [mm].
UNDER, LAID = 0.12, 0.15
#: Pairs told below the sheet, the most alike first.
MOST_PAIRS = 5


def eyes_sheet_svg(light: Light = "daylight", key: str = "eyes-sheet") -> str:
    """Draw every invented curve as each kind of eyes sees it, with its name to most eyes beside it.

    Parameters
    ----------
    light : str
        ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    tokens, bench = LIGHTS[light], Bench()
    under = StackCoat(jar="flux clear", thickness=units.to_si(UNDER, "mm", "length"))
    laid = units.to_si(LAID, "mm", "length")
    looks = {
        curve.words: nominal_look(
            ColourStack(metal="fine silver", coats=(under, StackCoat(jar=curve.words, thickness=laid))), bench
        )
        for curve in archetypes().values()
    }
    pairs = look_alikes({name: look.daylight for name, look in looks.items()})[:MOST_PAIRS]
    heads = ("most eyes", *(eye_words(eyes) for eyes in EYES))
    width = NAME + len(heads) * (SWATCH + GAP)
    height = HEAD + len(looks) * (TALL + GAP) + LINE * (len(pairs) + 2)
    body = [svg.rect(0, 0, width, height, f'fill="{tokens.ground}"')]
    for place, head in enumerate(heads):
        body.append(svg.text(NAME + place * (SWATCH + GAP), HEAD - 2.0, head, SMALL, tokens.text, bold=True))
    for line, (name, look) in enumerate(looks.items()):
        top = HEAD + line * (TALL + GAP)
        body.append(svg.text(1.0, top + TALL / 2, name, WORD, tokens.text, bold=True))
        body.append(svg.text(1.0, top + TALL / 2 + 3.0, plain_name(look.daylight), SMALL, tokens.quiet))
        shown = (look.hex, *(screen_as_seen(look.daylight, eyes) for eyes in EYES))
        for place, colour in enumerate(shown):
            x = NAME + place * (SWATCH + GAP)
            body.append(svg.rect(x, top, SWATCH, TALL, f'fill="{colour}"'))
            body.append(svg.rect(x, top, SWATCH, TALL, svg.outlined(tokens.rule, EDGE)))
    foot = height - LINE * (len(pairs) + 1)
    for turn, pair in enumerate(pairs):
        words = f"{pair.words} {pair.apart:.0f} apart to most, {pair.close:.0f} to them."
        body.append(svg.text(1.0, foot + turn * LINE, words, SMALL, tokens.text))
    said = "INVENTED curves over flux on silver: no enamel was measured."
    body.append(svg.text(1.0, height - 1.5, said, SMALL, tokens.text, bold=True))
    return svg.document(width, height, body, "Colours to four kinds of eyes, invented", said, key, tokens.text)
