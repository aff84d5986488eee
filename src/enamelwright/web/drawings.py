"""Our drawings in a page: one picture for all lights, and the section as something to point at."""

from __future__ import annotations

import re

from markupsafe import Markup

from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.plan import Plan
from enamelwright.pictures.foretold import cell_colours
from enamelwright.pictures.lights import LIGHTS
from enamelwright.pictures.plan_view import plan_view_svg
from enamelwright.pictures.section import colour_words, scale_words, section_svg
from enamelwright.pictures.stress_view import stress_svg

#: Widths the section is drawn for [mm], so that its words stay readable: a tablet or screen, and a telephone.
WIDE, NARROW = 108.0, 58.0
#: Heights the layers may take [mm].
WIDE_BODY, NARROW_BODY = 21.0, 18.0

#: Width of the drawing of stress [mm].
STRESS = 62.0
#: Width of one of two sections side by side [mm].
BESIDE = 72.0

_TOKENS = LIGHTS["daylight"]
#: Colour of daylight -> name of the style rule that says it in every light; ground and panel are told apart first.
_NAMES = {
    _TOKENS.ground: "ground",
    _TOKENS.text: "text",
    _TOKENS.quiet: "quiet",
    _TOKENS.rule: "rule",
    _TOKENS.action: "action",
    _TOKENS.panel: "panel",
    **{colour: level for level, colour in _TOKENS.level.items()},
}
_PAINT = re.compile(r'(fill|stroke|color)="(#[0-9A-F]{6})"')
#: Inks on coloured glass do not change with the light of the room, and stand among the definitions.
_DEFINITIONS = re.compile(r"(<defs>.*?</defs>)", re.DOTALL)


def lit(drawing: str, inks: bool = False) -> Markup:
    """Let a drawing made for daylight follow whatever light the page is in.

    Parameters
    ----------
    drawing : str
        SVG text of one of our own pictures, drawn with ``light="daylight"``.
    inks : bool
        Whether the patterns of the drawing are in the colour of its writing, and follow too.
    """

    def swap(found: re.Match[str]) -> str:
        name = _NAMES.get(found.group(2))
        return f'{found.group(1)}="var(--{name})"' if name is not None else found.group(0)

    if inks:
        return Markup(_PAINT.sub(swap, drawing))
    parts = _DEFINITIONS.split(drawing)
    return Markup("".join(part if part.startswith("<defs>") else _PAINT.sub(swap, part) for part in parts))


def section(
    plan: Plan, bench: Bench | None = None, *, firing: int | None = None, narrow: bool = False, key: str = "section"
) -> Markup:
    """Draw the section for a page.

    Parameters
    ----------
    plan : Plan
        The plan.
    bench : Bench, optional
        Where jars are looked up.
    firing : int or None
        After which firing; None for the finished piece, 0 for bare metal.
    narrow : bool
        For a telephone.
    key : str
        Start of every id.
    """
    width, body = (NARROW, NARROW_BODY) if narrow else (WIDE, WIDE_BODY)
    return lit(
        section_svg(plan, firing, width, "daylight", bench=bench, body_mm=body, marks=1 if narrow else 3, key=key,
                    caption=False)
    )  # fmt: skip


def scale(plan: Plan, bench: Bench | None = None, *, firing: int | None = None, narrow: bool = False) -> str:
    """Say how the section of a page is scaled."""
    width, body = (NARROW, NARROW_BODY) if narrow else (WIDE, WIDE_BODY)
    words = scale_words(plan, firing, width, bench=bench, body_mm=body)
    return f"{words} {colour_words(plan, firing, bench=bench)}".rstrip()


def thumbnail(plan: Plan, bench: Bench | None = None, key: str = "thumbnail", width: float = 46.0) -> Markup:
    """Draw the section small, without words: for lists.

    Parameters
    ----------
    plan : Plan
        The plan.
    bench : Bench, optional
        Where jars are looked up.
    key : str
        Start of every id.
    width : float
        Width of the picture [mm].
    """
    return lit(
        section_svg(plan, None, width, "daylight", bench=bench, body_mm=9.0, labels=False, marks=0, caption=False,
                    key=key)
    )  # fmt: skip


def beside(plan: Plan, bench: Bench | None = None, key: str = "beside") -> Markup:
    """Draw the section for a column beside another."""
    return lit(
        section_svg(plan, None, BESIDE, "daylight", bench=bench, body_mm=NARROW_BODY, marks=1, caption=False, key=key)
    )


def stress(plan: Plan, bench: Bench | None = None, *, firing: int | None = None, key: str = "stress") -> Markup:
    """Draw the stress through the coats for a page."""
    return lit(stress_svg(plan, firing, STRESS, "daylight", bench=bench, key=key), inks=True)


def plan_view(
    shape: Shape,
    name: str,
    *,
    plan: Plan | None = None,
    bench: Bench | None = None,
    firing: int | None = None,
    key: str = "plan-view",
    width: float = 60.0,
    height: float = 60.0,
) -> Markup:
    """Draw the outline with its cells for a page, in the colours foretold when there is a plan.

    Parameters
    ----------
    shape : Shape
        The outline.
    name : str
        What the piece is called.
    plan : Plan, optional
        Tells the coats.
    bench : Bench, optional
        Where jars are looked up.
    firing : int or None
        After which firing; None for the finished piece.
    key : str
        Start of every id.
    width, height : float
        Room for the picture [mm].
    """
    colours = cell_colours(plan, firing, bench) if plan is not None else {}
    return lit(plan_view_svg(shape, width, height, "daylight", name=name, colours=colours, key=key))
