"""The colour sheet: starting curves over several grounds, each a swatch with its numbers and words beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.fired_colour import FiredColour, fired_colour
from enamelwright.craft.colour.jar_optics import OpticalClass, archetypes, of_archetype
from enamelwright.pictures import svg
from enamelwright.pictures.fills import INKS, pattern_definitions
from enamelwright.pictures.lights import LIGHTS, Light, Pattern, contrast

# Measures of the sheet [mm].
SWATCH, TALL, NAME, GAP, HEAD, FOOT = 21.0, 11.0, 34.0, 1.6, 9.0, 9.0
WORD, SMALL, EDGE = 2.5, 1.9, 0.35
#: Parts of a swatch from left to right: thin, nominal and thick catching the light, then nominal turned away.
PARTS = 4


@dataclass(frozen=True)
class Row:
    """One line of the sheet.

    Parameters
    ----------
    name : str
        What was laid.
    pattern : str
        How it is hatched.
    stacks : tuple of ColourStack
        Over each ground, in the order of the heads.
    """

    name: str
    pattern: Pattern
    stacks: tuple[ColourStack, ...]


#: Grounds of the teaching sheet: words, metal, and the coat below with its thickness [mm].
GROUNDS: tuple[tuple[str, str, tuple[str, float] | None], ...] = (
    ("flux on copper", "copper", ("flux clear", 0.12)),
    ("flux on silver", "fine silver", ("flux clear", 0.12)),
    ("flux on gold", "fine gold", ("flux clear", 0.12)),
    ("flux on gilding metal", "gilding_metal_c22000", ("flux clear", 0.12)),
    ("white on copper", "copper", ("opaque white", 0.15)),
    ("bare steel", "steel", None),
)
#: Thickness of what is laid over them [mm].
LAID = 0.15
_PATTERNS: dict[OpticalClass, Pattern] = {"transparent": "transparent", "opal": "opalescent", "opaque": "opaque"}


def invented_sheet_svg(light: Light = "daylight", key: str = "colour-sheet") -> str:
    """Draw every invented curve over six grounds: what grounds do to colours, and no enamel of anybody's.

    Parameters
    ----------
    light : str
        ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    rows = []
    for name, curve in archetypes().items():
        stacks = tuple(
            ColourStack(metal=metal, coats=tuple(_coat(*one) for one in (below, (curve.words, LAID)) if one))
            for _, metal, below in GROUNDS
        )
        rows.append(Row(curve.words, _PATTERNS[of_archetype(name).kind], stacks))
    return colour_sheet_svg([words for words, _, _ in GROUNDS], rows, Bench(), light, key)


def _coat(jar: str, millimetres: float) -> StackCoat:
    return StackCoat(jar=jar, thickness=units.to_si(millimetres, "mm", "length"))


def colour_sheet_svg(
    heads: Sequence[str],
    rows: Sequence[Row],
    bench: Bench,
    light: Light = "daylight",
    key: str = "colour-sheet",
) -> str:
    """Draw a sheet of swatches: each shows thin, nominal and thick, and below them the colour turned away.

    Parameters
    ----------
    heads : sequence of str
        Names of the grounds.
    rows : sequence of Row
        What was laid over them.
    bench : Bench
        Where jars are looked up.
    light : str
        ``lamp`` or ``daylight``; paper shows no colour worth judging.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input.
    """
    tokens = LIGHTS[light]
    width = NAME + len(heads) * (SWATCH + GAP)
    height = HEAD + len(rows) * (TALL + GAP) + FOOT
    body = [pattern_definitions(light, key), svg.rect(0, 0, width, height, f'fill="{tokens.ground}"')]
    for place, head in enumerate(heads):
        x = NAME + place * (SWATCH + GAP)
        lines = head.rpartition(" on ")
        for turn, words in enumerate(part for part in (lines[0], f"on {lines[2]}" if lines[0] else head) if part):
            body.append(svg.text(x, HEAD - 5.0 + turn * 3.2, words, WORD, tokens.text, bold=True))
    invented = False
    for line, row in enumerate(rows):
        top = HEAD + line * (TALL + GAP)
        body.append(svg.text(1.0, top + TALL / 2, row.name, WORD, tokens.text, bold=True))
        body.append(svg.text(1.0, top + TALL / 2 + 3.0, row.pattern, SMALL, tokens.quiet))
        for place, stack in enumerate(row.stacks):
            found = fired_colour(stack, bench, ("D65",), draws=0)
            invented = invented or bool(found.invented)
            body.append(_swatch(found, NAME + place * (SWATCH + GAP), top, row.pattern, light, key))
    said = "Each swatch: thin, nominal, thick where it catches the light; below, turned away. "
    said += "L*, a*, b* in daylight; * beyond what a screen shows."
    body.append(svg.text(1.0, height - 5.0, said, SMALL, tokens.quiet))
    if invented:
        words = "INVENTED curves: no enamel was measured. For a feel of what grounds do, not for choosing a jar."
        body.append(svg.text(1.0, height - 2.0, words, SMALL, tokens.text, bold=True))
    title = "Colours over several grounds" + (", invented" if invented else "")
    return svg.document(width, height, body, title, said, key, tokens.text)


def _swatch(found: FiredColour, x: float, y: float, pattern: Pattern, light: Light, key: str) -> str:
    tokens = LIGHTS[light]
    high = TALL - 3.0
    upper, third = high * (PARTS - 1) / PARTS, SWATCH / len(found.looks)
    parts = [
        svg.rect(x + n * third, y, third, upper, f'fill="{look.catching.hex}"') for n, look in enumerate(found.looks)
    ]
    away = found.looks[1].away.hex
    parts.append(svg.rect(x, y + upper, SWATCH, high - upper, f'fill="{away}"'))
    ink = max(INKS, key=lambda name: contrast(INKS[name], away))
    parts.append(svg.rect(x, y + upper, SWATCH, high - upper, f'fill="url(#{svg.safe(key)}-{pattern}-{ink})"'))
    parts.append(svg.rect(x, y, SWATCH, high, svg.outlined(tokens.rule, EDGE)))
    numbers = " ".join(f"{part:.0f}" for part in found.nominal.lab).replace("-0", "0")
    mark = "" if found.nominal.in_gamut else " *"
    parts.append(svg.text(x, y + TALL - 0.6, numbers + mark, SMALL, tokens.text))
    return "".join(parts)
