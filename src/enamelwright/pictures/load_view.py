"""How a piece stands in the kiln, edge-on: what carries it, where, which face looks up, what is unfired."""

from __future__ import annotations

import math

from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import Form, Support
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light

# Measures of the drawing [mm].
WIDE, TALL = 42.0, 18.0
BAR, GRAIN, STROKE, HEAVY = 1.7, 0.42, 0.25, 0.7
PIECE_LEFT, PIECE_RIGHT, SEAT = 5.0, 37.0, 8.2

#: Most a dome is drawn high; radius of a bead, of its bore and of an upright ring.
MOST_RISE, BEAD, BORE, RING = 5.0, 3.2, 0.8, 4.6
#: Forms without a face that looks up, and supports that carry a cup by its rim.
ROUND_FORMS: frozenset[Form] = frozenset({"bead", "ring"})
HELD_AT_RIM: frozenset[Support] = frozenset({"torch ring"})

SUPPORT_WORDS: dict[Support, str] = {
    "mesh": "mesh", "trivet": "trivet", "plate": "plate", "mica": "mica sheet", "hung": "hung up", "fork": "fork",
    "torch ring": "ring over the torch",
}  # fmt: skip


def load_svg(
    firing: Firing, light: Light = "paper", key: str = "load", *, form: Form = "sheet", dome: float = 0.0
) -> str:
    """Draw one firing's load.

    Parameters
    ----------
    firing : Firing
        The firing.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    form : str
        A bead and a ring are drawn round, anything else lying.
    dome : float
        Height of the dome as a share of the longest measure, positive when the front is high.
    """
    tokens = LIGHTS[light]
    ink = tokens.text
    up_loaded = firing.loaded in ("both", firing.face_up)
    down_loaded = firing.loaded == "both" or firing.loaded not in ("none", firing.face_up)
    rise = max(-MOST_RISE, min(MOST_RISE, dome * (PIECE_RIGHT - PIECE_LEFT)))
    rise = rise if firing.face_up == "front" else -rise
    round_form = form in ROUND_FORMS
    # How far the drawing moves down to make room over the support.
    lift = 0.0
    if round_form:
        body, lift = _round(firing, form, tokens.ground, ink)
        if firing.support != "hung":
            body += _SUPPORTS[firing.support](ink)
    elif firing.support == "hung":
        body = _hung(firing, ink)
    else:
        hanging = rise < 0 and firing.support in HELD_AT_RIM
        seat = SEAT if rise >= 0 or hanging else SEAT + rise
        lift = max(0.0, rise, SEAT - seat)
        body = [_slab(seat, rise, ink)]
        if up_loaded:
            body += _powder(seat - BAR - GRAIN, -1, ink, rise)
        if down_loaded:
            body += _powder(seat + GRAIN, 1, ink, rise)
        body.append(
            svg.text((PIECE_LEFT + PIECE_RIGHT) / 2, SEAT - BAR - 2.9 - lift, f"{firing.face_up} up", 3.0, ink,
                     "middle", True)
        )  # fmt: skip
        body += _SUPPORTS[firing.support](ink)
    if lift:
        body = [f'<g transform="translate(0 {svg.number(lift)})">', *body, "</g>"]
    return svg.document(WIDE, TALL + lift, body, "How it stands in the kiln", load_words(firing, form), key, ink)


def load_words(firing: Firing, form: Form = "sheet") -> str:
    """Say the load in one sentence; a bead or a ring has no face that looks up."""
    where = f", {firing.rests_on}" if firing.rests_on else ""
    carried = f"{SUPPORT_WORDS[firing.support]}{where}."
    if form in ROUND_FORMS:
        fresh = "Nothing unfired on it" if firing.loaded == "none" else "Unfired glass all round"
        return f"{fresh}; {carried}"
    fresh = {"none": "nothing unfired on it", "both": "both faces unfired"}.get(
        firing.loaded, f"{firing.loaded} unfired"
    )
    return f"{firing.face_up.capitalize()} up, {fresh}; {carried}"


def _lifted(x: float, rise: float) -> float:
    """Return how far a domed piece stands over its rim at `x`."""
    share = (x - PIECE_LEFT) / (PIECE_RIGHT - PIECE_LEFT)
    return rise * (1 - (2 * share - 1) ** 2)


def _slab(seat: float, rise: float, ink: str) -> str:
    """Draw the piece edge-on, its rim on `seat`: flat, an arch or a cup."""
    if not rise:
        return _rect(PIECE_LEFT, seat - BAR, PIECE_RIGHT - PIECE_LEFT, BAR, ink)
    middle = svg.number((PIECE_LEFT + PIECE_RIGHT) / 2)
    left, right = svg.number(PIECE_LEFT), svg.number(PIECE_RIGHT)
    top, low = seat - BAR, seat
    # The control point of a parabola lies twice as far out as its middle.
    over, under = (svg.number(y - 2 * rise) for y in (top, low))
    path = (
        f"M{left} {svg.number(low)}V{svg.number(top)}Q{middle} {over} {right} {svg.number(top)}"
        f"V{svg.number(low)}Q{middle} {under} {left} {svg.number(low)}Z"
    )
    return f'<path data-part="domed" d="{path}" fill="{ink}"/>'


def _round(firing: Firing, form: Form, ground: str, ink: str) -> tuple[list[str], float]:
    """Draw a bead or an upright ring; return it and the room it needs above."""
    radius = BEAD if form == "bead" else RING
    x = WIDE / 2
    hung = firing.support == "hung"
    y = {"hung": 4.4 + radius, "trivet": SEAT + 3.0 - radius, "torch ring": SEAT - 1.4}.get(
        firing.support, SEAT + 0.1 - radius
    )
    drawn = []
    if hung:
        drawn += [svg.line((8.0, 1.2), (WIDE - 8.0, 1.2), ink, HEAVY), svg.line((x, 1.2), (x, y), ink, STROKE * 2)]
    if firing.support == "torch ring":
        drawn.append(svg.line((PIECE_LEFT + 1, y), (PIECE_RIGHT - 1, y), ink, HEAVY))
        drawn += [svg.line((post, y), (post, SEAT + 0.4), ink, HEAVY) for post in (PIECE_LEFT + 1, PIECE_RIGHT - 1)]
    drawn.append(svg.circle((x, y), radius, f'fill="{ink}" data-part="{form}"'))
    drawn.append(svg.circle((x, y), radius - BAR if form == "ring" else BORE, f'fill="{ground}"'))
    if firing.loaded != "none":
        count = int(2 * math.pi * (radius + GRAIN) / (2.3 * GRAIN))
        drawn += [
            svg.circle(
                (x + (radius + GRAIN) * math.cos(2 * math.pi * n / count),
                 y + (radius + GRAIN) * math.sin(2 * math.pi * n / count)),
                GRAIN * 0.8, svg.outlined(ink, 0.16),
            )
            for n in range(count)
        ]  # fmt: skip
    return drawn, max(0.0, radius + 3 * GRAIN - y)


def _rect(x: float, y: float, width: float, height: float, fill: str) -> str:
    return svg.rect(x, y, width, height, f'fill="{fill}"')


def _powder(y: float, side: int, ink: str, rise: float = 0.0) -> list[str]:
    """Loose grains in two staggered rows."""
    grains = []
    step = 2.3 * GRAIN
    count = int((PIECE_RIGHT - PIECE_LEFT - 2.4) / step)
    for row in (0, 1):
        for n in range(count - row):
            x = PIECE_LEFT + 1.4 + step * (n + 0.5 * row)
            centre = f'cx="{svg.number(x)}" cy="{svg.number(y + side * row * 0.8 - _lifted(x, rise))}"'
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
