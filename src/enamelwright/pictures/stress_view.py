"""The stress left in every coat, drawn coat above coat as they lie: to the left pressed, to the right pulled."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import Plan
from enamelwright.figure import Figure
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light
from enamelwright.pictures.section import state_after
from enamelwright.pictures.stack import looks

# Measures of the drawing [mm].
ROW, METAL, HEAD, FOOT = 6.4, 2.6, 5.0, 1.2
LEFT, RIGHT = 9.0, 17.0
WORD, SMALL, EDGE, THIN, HEAVY = 2.75, 2.5, 0.22, 0.16, 0.7
#: The scale reaches at least so far [MPa], so that almost nothing does not look like much.
LEAST = 20.0
#: Room kept beyond the largest stress.
ROOM = 1.08


@dataclass(frozen=True)
class CoatStress:
    """Stress through one coat.

    Parameters
    ----------
    key : str
        Its name on the section, e.g. ``F2``.
    name : str
        Name of its jar.
    face : str
        Face it lies on.
    inner, outer : Figure
        At the metal's side and at the free side [Pa]; tension positive.
    """

    key: str
    name: str
    face: str
    inner: Figure
    outer: Figure


def stresses(plan: Plan, firing: int | None = None, bench: Bench | None = None) -> tuple[CoatStress, ...]:
    """Return the stress of every coat on the piece after a firing, the front's outermost first.

    Parameters
    ----------
    plan : Plan
        The plan.
    firing : int or None
        After which firing; None for the finished piece.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    """
    state = state_after(plan, firing)
    if state is None:
        return ()
    seen = {coat.number: coat for coat in looks(plan, firing, bench)}
    rows = [
        CoatStress(seen[one.coat].key, seen[one.coat].name, seen[one.coat].face, one.inner, one.outer)
        for one in state.coats
        if one.coat in seen
    ]
    return tuple(reversed(rows))


def stress_words(rows: tuple[CoatStress, ...]) -> str:
    """Say what the drawing shows in a sentence."""
    if not rows:
        return "Stress is not worked out for this form."
    pulled = max((one for row in rows for one in ((row.inner, row), (row.outer, row))), key=lambda pair: pair[0].high)
    pressed = min((one for row in rows for one in ((row.inner, row), (row.outer, row))), key=lambda pair: pair[0].low)
    most = f"pressed most in {pressed[1].key}, by {_megapascal(abs(min(pressed[0].value, 0.0)))} MPa"
    if pulled[0].high <= 0:
        return f"Cold, all the glass is pressed together, which it bears well; {most}."
    if pulled[0].value <= 0:
        return f"Cold, the glass is pressed together; {most}. {pulled[1].key} may come out pulled."
    words = f"Cold, {pulled[1].key} is pulled by {_megapascal(pulled[0].value)} MPa, which glass bears badly"
    return f"{words}; {most}." if pressed[0].value < 0 else f"{words}."


def stress_svg(
    plan: Plan,
    firing: int | None = None,
    width_mm: float = 62.0,
    light: Light = "paper",
    *,
    bench: Bench | None = None,
    key: str = "stress",
) -> str:
    """Draw the stress through every coat, cold, after a firing.

    Parameters
    ----------
    plan : Plan
        The plan.
    firing : int or None
        After which firing; None for the finished piece.
    width_mm : float
        Width of the picture.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input. The hatched stretch is the range, the heavy line the
        likely value; every coat is a group with ``data-key``.
    """
    tokens = LIGHTS[light]
    rows = stresses(plan, firing, bench)
    front = [row for row in rows if row.face == "front"]
    back = [row for row in rows if row.face == "back"]
    height = HEAD + ROW * len(rows) + METAL + FOOT
    reach = _reach(rows)
    zero = (LEFT + width_mm - RIGHT) / 2
    half = (width_mm - RIGHT - LEFT) / 2

    def at(stress: float) -> float:
        return zero + half * units.from_si(stress, "MPa", "stress") / reach

    drawn = [_hatch(key, tokens.text)]
    drawn.append(svg.text(zero - 1.5, WORD + 0.4, "pressed", SMALL, tokens.quiet, "end"))
    drawn.append(svg.text(zero + 1.5, WORD + 0.4, "pulled", SMALL, tokens.quiet))
    y = HEAD
    for row in front:
        drawn += _row(row, y, at, tokens.text, key, width_mm)
        y += ROW
    drawn.append(svg.rect(LEFT, y + 0.4, 2 * half, METAL - 0.8, f'fill="{tokens.rule}" data-part="metal"'))
    drawn.append(svg.text(width_mm - RIGHT + 2.0, y + METAL / 2 + 0.95, "metal", SMALL, tokens.quiet))
    y += METAL
    for row in back:
        drawn += _row(row, y, at, tokens.text, key, width_mm)
        y += ROW
    drawn.append(svg.line((zero, HEAD - 0.8), (zero, height - FOOT), tokens.text, THIN * 2))
    title = f"{plan.piece.name}, stress through the coats"
    return svg.document(width_mm, height, drawn, title, stress_words(rows), key, tokens.text)


def _reach(rows: tuple[CoatStress, ...]) -> float:
    """Return how far the scale reaches to each side [MPa]."""
    ends = [abs(end) for row in rows for one in (row.inner, row.outer) for end in (one.low, one.high)]
    most = max((units.from_si(end, "MPa", "stress") for end in ends), default=0.0)
    return max(LEAST, most) * ROOM


def _row(row: CoatStress, y: float, at: object, ink: str, key: str, width: float) -> list[str]:
    """Draw one coat: the free side of a front coat is up, that of a back coat down."""
    assert callable(at)
    top, low = y + 0.5, y + ROW - 0.5
    free, metal_side = (top, low) if row.face == "front" else (low, top)

    def edge(end: str) -> list[svg.Point]:
        return [(at(getattr(row.outer, end)), free), (at(getattr(row.inner, end)), metal_side)]

    area = svg.points([*edge("low"), *reversed(edge("high"))])
    path = svg.points(edge("value"))
    middle = (top + low) / 2
    return [
        f'<g data-key="{svg.safe(row.key)}"><title>{svg.safe(row.key)} {svg.safe(row.name)}</title>',
        f'<polygon points="{area}" fill="url(#{svg.safe(key)}-range)" stroke="{ink}"'
        f' stroke-width="{svg.number(THIN)}"/>',
        f'<polyline points="{path}" {svg.outlined(ink, HEAVY)}/>',
        svg.text(LEFT - 1.2, middle + 0.95, row.key, WORD, ink, "end", bold=True),
        svg.text(width - RIGHT + 2.0, middle + 0.95, _shown(row.outer), SMALL, ink),
        "</g>",
    ]


def _shown(figure: Figure) -> str:
    """Print the stress at the free side."""
    return f"{_megapascal(figure.value)} MPa"


def _megapascal(stress: float) -> str:
    value = round(units.from_si(stress, "MPa", "stress"))
    return f"−{abs(value)}" if value < 0 else f"{value}"


def _hatch(key: str, ink: str) -> str:
    return (
        f'<defs><pattern id="{svg.safe(key)}-range" patternUnits="userSpaceOnUse" width="0.9" height="0.9"'
        f' patternTransform="rotate(45)"><rect width="0.14" height="0.9" fill="{ink}"/></pattern></defs>'
    )
