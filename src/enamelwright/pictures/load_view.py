"""How a piece stands in the kiln, edge-on: what carries it, where, which face looks up, what is unfired."""

from __future__ import annotations

from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Support
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light

# Measures of the drawing [mm].
WIDE, TALL = 42.0, 18.0
BAR, GRAIN, STROKE, HEAVY = 1.7, 0.42, 0.25, 0.7
PIECE_LEFT, PIECE_RIGHT, SEAT = 5.0, 37.0, 8.2

SUPPORT_WORDS: dict[Support, str] = {
    "mesh": "mesh", "trivet": "trivet", "plate": "plate", "mica": "mica sheet", "hung": "hung up", "fork": "fork",
    "torch ring": "ring over the torch",
}  # fmt: skip


def load_svg(firing: Firing, light: Light = "paper", key: str = "load") -> str:
    """Draw one firing's load.

    Parameters
    ----------
    firing : Firing
        The firing.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    tokens = LIGHTS[light]
    ink = tokens.text
    body: list[str] = []
    up_loaded = firing.loaded in ("both", firing.face_up)
    down_loaded = firing.loaded == "both" or firing.loaded not in ("none", firing.face_up)
    if firing.support == "hung":
        body += _hung(firing, ink)
    else:
        body.append(_rect(PIECE_LEFT, SEAT - BAR, PIECE_RIGHT - PIECE_LEFT, BAR, ink))
        if up_loaded:
            body += _powder(SEAT - BAR - GRAIN, -1, ink)
        if down_loaded:
            body += _powder(SEAT + GRAIN, 1, ink)
        body.append(
            svg.text((PIECE_LEFT + PIECE_RIGHT) / 2, SEAT - BAR - 2.9, f"{firing.face_up} up", 3.0, ink, "middle", True)
        )
        body += _SUPPORTS[firing.support](ink)
    return svg.document(WIDE, TALL, body, "How it stands in the kiln", load_words(firing), key, ink)


def load_words(firing: Firing) -> str:
    """Say the load in one sentence."""
    fresh = {"none": "nothing unfired on it", "both": "both faces unfired"}.get(
        firing.loaded, f"{firing.loaded} unfired"
    )
    where = f", {firing.rests_on}" if firing.rests_on else ""
    return f"{firing.face_up.capitalize()} up, {fresh}; {SUPPORT_WORDS[firing.support]}{where}."


def _rect(x: float, y: float, width: float, height: float, fill: str) -> str:
    return svg.rect(x, y, width, height, f'fill="{fill}"')


def _powder(y: float, side: int, ink: str) -> list[str]:
    """Loose grains in two staggered rows."""
    grains = []
    step = 2.3 * GRAIN
    count = int((PIECE_RIGHT - PIECE_LEFT - 2.4) / step)
    for row in (0, 1):
        for n in range(count - row):
            x = PIECE_LEFT + 1.4 + step * (n + 0.5 * row)
            centre = f'cx="{svg.number(x)}" cy="{svg.number(y + side * row * 0.8)}"'
            grains.append(
                f'<circle {centre} r="{svg.number(GRAIN * 0.8)}" fill="none" stroke="{ink}" stroke-width="0.16"/>'
            )
    return grains


def _floor(ink: str) -> str:
    return svg.line((0.3, TALL - 1.0), (WIDE - 0.3, TALL - 1.0), ink, STROKE)


def _mesh(ink: str) -> list[str]:
    dots = [
        f'<circle cx="{svg.number(2.6 + 1.84 * n)}" cy="{svg.number(SEAT + 0.75)}" r="0.5" fill="{ink}"/>'
        for n in range(21)
    ]
    feet = [svg.line((x, SEAT + 0.75), (x, TALL - 1.0), ink, HEAVY) for x in (2.6, 39.4)]
    return [svg.line((2.1, SEAT + 1.3), (39.9, SEAT + 1.3), ink, STROKE), *dots, *feet, _floor(ink)]


def _trivet(ink: str) -> list[str]:
    arms = []
    for rim, inward in ((PIECE_LEFT, 1), (PIECE_RIGHT, -1)):
        points = [(rim - 1.6 * inward, SEAT - 2.2), (rim + 2.2 * inward, SEAT + 3.4), (rim + 5.0 * inward, SEAT + 3.4)]
        arms.append(
            f'<polyline points="{svg.points(points)}" fill="none" stroke="{ink}" stroke-width="{svg.number(HEAVY)}"'
            ' stroke-linejoin="round"/>'
        )
    bar = svg.line((PIECE_LEFT + 2.2, SEAT + 3.4), (PIECE_RIGHT - 2.2, SEAT + 3.4), ink, HEAVY)
    feet = [svg.line((x, SEAT + 3.4), (x, TALL - 1.0), ink, HEAVY) for x in (PIECE_LEFT + 4, PIECE_RIGHT - 4)]
    return [*arms, bar, *feet, _floor(ink)]


def _plate(ink: str) -> list[str]:
    edge = f'fill="none" stroke="{ink}" stroke-width="{svg.number(STROKE)}"'
    slab = f'<rect x="2.5" y="{svg.number(SEAT + 0.2)}" width="37" height="2.4" {edge}/>'
    feet = [_rect(x, SEAT + 2.6, 3.0, TALL - 1.0 - SEAT - 2.6, ink) for x in (5.0, 34.0)]
    return [slab, *feet, _floor(ink)]


def _mica(ink: str) -> list[str]:
    return [svg.line((2.0, SEAT + 0.35), (40.0, SEAT + 0.35), ink, STROKE, "1.2 0.5"), *_plate(ink)]


def _fork(ink: str) -> list[str]:
    handle = svg.line((PIECE_LEFT + 2, SEAT + 0.5), (WIDE - 0.5, SEAT + 0.5), ink, HEAVY)
    return [handle, svg.line((PIECE_LEFT + 2, SEAT + 0.5), (PIECE_LEFT + 1, SEAT - 0.2), ink, HEAVY)]


def _ring(ink: str) -> list[str]:
    top, foot, middle = SEAT + 1.2, TALL - 1.0, WIDE / 2
    turns = ((middle + 3.4, top + 2.8), (middle + 3.2, foot - 1), (middle - 3.2, foot - 1), (middle - 3.4, top + 2.8))
    right, low, left, high = (f"{svg.number(x)} {svg.number(y)}" for x, y in turns)
    start, end = f"{svg.number(middle)} {svg.number(top)}", f"{svg.number(middle)} {svg.number(foot)}"
    flame = f'<path d="M{start}C{right} {low} {end}C{left} {high} {start}Z" {svg.outlined(ink, STROKE)}/>'
    posts = [svg.line((x, SEAT + 0.3), (x, TALL - 1.0), ink, HEAVY) for x in (PIECE_LEFT + 1, PIECE_RIGHT - 1)]
    return [flame, *posts]


def _hung(firing: Firing, ink: str) -> list[str]:
    rail = svg.line((8.0, 1.2), (WIDE - 8.0, 1.2), ink, HEAVY)
    hook = f'<path d="M21 1.2V3.4C21 4.6 22.4 4.6 22.4 3.6" fill="none" stroke="{ink}" stroke-width="0.4"/>'
    bar = _rect(20.2, 4.0, BAR, TALL - 6.0, ink)
    words = svg.text(24.5, 11.0, f"{firing.face_up} towards you", 3.0, ink, bold=True)
    return [rail, hook, bar, words]


_SUPPORTS = {
    "mesh": _mesh, "trivet": _trivet, "plate": _plate, "mica": _mica, "fork": _fork, "torch ring": _ring,
}  # fmt: skip
