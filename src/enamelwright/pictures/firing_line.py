"""One firing as the glass itself, edge-on along the time: grains, sugar, orange peel, a smooth face, a run.

The page moves a mark along it and fills the glass up to now; the drawing carries what it needs for that
in ``data-left``, ``data-scale`` [mm/s] and ``data-end`` [s].
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from enamelwright.craft.coat import Stage
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light


@dataclass(frozen=True)
class Measures:
    """Room for the drawing on one width of screen [mm]."""

    wide: float
    word: float
    row: float
    glass: float
    ticks: int


WIDE = Measures(wide=250.0, word=3.8, row=4.2, glass=6.5, ticks=14)
NARROW = Measures(wide=92.0, word=3.9, row=4.4, glass=5.5, ticks=5)

# Measures of the drawing [mm].
EDGE, METAL, STROKE, BAND = 1.0, 2.0, 0.3, 2.0
#: Powder stands this much higher than the glass it becomes; the rest of the room is air.
POWDER, FUSED = 0.95, 0.55
GRAIN = 1.0
#: A name stands this far beside its band, and a letter is this share of its height wide.
BESIDE, LETTER = 1.6, 0.6
#: The line goes on this far past the last second that matters.
TAIL = 1.06
#: Seconds between ticks; the first that gives few enough.
TICKS = (15, 30, 60, 120, 300, 600, 1800)
_MINUTE = 60


@dataclass(frozen=True)
class Mark:
    """When a stage begins: earliest, middle and latest [s]."""

    stage: Stage
    low: float
    value: float
    high: float


def firing_line_svg(
    marks: Sequence[Mark],
    last: float,
    *,
    target: str = "",
    looks: Sequence[float] = (),
    over: float | None = None,
    measures: Measures = WIDE,
    light: Light = "daylight",
    key: str = "line",
) -> str:
    """Draw a firing along its time.

    Parameters
    ----------
    marks : sequence of Mark
        The stages in their order, at least one.
    last : float
        Last second that matters [s].
    target : str
        Stage to stop at.
    looks : sequence of float
        When to look [s].
    over : float or None
        When glass begins to run [s].
    measures : Measures
        Room for it.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.

    Returns
    -------
    str
        SVG text; byte-identical for identical input.
    """
    tokens = LIGHTS[light]
    ink, quiet, action = tokens.text, tokens.quiet, tokens.action
    end = last * TAIL
    scale = (measures.wide - 2 * EDGE) / end

    def at(seconds: float) -> float:
        return EDGE + min(max(seconds, 0.0), end) * scale

    shown = [mark for mark in marks if mark.value < end]
    top = EDGE
    body: list[str] = []
    for n, mark in enumerate(shown):
        body += _band(mark, at, top + n * measures.row, measures, end, mark.stage == target, ink, action, tokens.ground)
    floor = top + len(shown) * measures.row + measures.glass
    begun = {mark.stage: mark.value for mark in shown}
    outline = _surface(begun, over, end, at, floor, measures)
    grains = _grains(at(begun.get("sugar", next(iter(begun.values()), end))), floor, measures)
    for mark in shown:
        x = at(mark.value)
        body.append(svg.line((x, floor - measures.glass), (x, floor), quiet, STROKE / 2, "0.8 0.8"))
    clip = f"{svg.safe(key)}-until-now"
    body.append(
        f'<clipPath id="{clip}"><rect data-until="" x="{svg.number(EDGE)}" y="0" width="0"'
        f' height="{svg.number(floor)}"/></clipPath>'
    )
    filled = [svg.circle((x, y), r, f'fill="{action}"') for x, y, r in grains]
    body.append(
        f'<g clip-path="url(#{clip})" data-part="fired"><path d="{outline}" fill="{action}"/>{"".join(filled)}</g>'
    )
    body += [svg.circle((x, y), r, svg.outlined(ink, STROKE * 0.8)) for x, y, r in grains]
    body.append(f'<path d="{outline}" {svg.outlined(ink, STROKE)}/>')
    body.append(svg.rect(EDGE, floor, measures.wide - 2 * EDGE, METAL, f'fill="{ink}"'))
    tall = floor + METAL + measures.word * 2.1
    body += _looks([one for one in looks if one < end], at, floor + METAL, action)
    body += _axis(end, at, tall - measures.word * 0.25, measures, ink)
    body.append(_now(floor, ink, tokens.ground))
    body = [
        f'<g data-line="" data-left="{svg.number(EDGE)}" data-scale="{scale:.6f}" data-end="{svg.number(end)}">',
        *body, "</g>",
    ]  # fmt: skip
    said = "; ".join(
        f"{mark.stage} from about {_clock(mark.value)}, {_clock(mark.low)} to {_clock(mark.high)}" for mark in shown
    )
    return svg.document(measures.wide, tall, body, "The firing along its time", f"Expected: {said}.", key, ink)


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // _MINUTE}:{whole % _MINUTE:02d}"


def _band(
    mark: Mark, at: Callable[[float], float], y: float, measures: Measures, end: float, aimed: bool, ink: str,
    action: str, ground: str,
) -> list[str]:  # fmt: skip
    """Draw between which seconds a stage begins, its middle, and its name on the side with room."""
    left, right, middle = at(mark.low), at(min(mark.high, end)), at(mark.value)
    line = y + measures.row / 2
    colour = action if aimed else ink
    drawn = [
        svg.rect(left, line - BAND / 2, max(right - left, STROKE), BAND,
                 f'fill="{colour}"' if aimed else svg.outlined(colour, STROKE)),
    ]  # fmt: skip
    if aimed:
        drawn.append(svg.line((middle, line - BAND), (middle, line + BAND), ink, STROKE * 3))
    else:
        drawn.append(svg.line((middle, line - BAND / 2), (middle, line + BAND / 2), ink, STROKE * 3))
    base = line + measures.word * 0.36
    x, anchor, words = _label(mark, left, right, measures)
    if left < x < right and anchor == "start":
        wide = LETTER * measures.word * len(words)
        drawn.append(svg.rect(x - STROKE, line - BAND, wide, 2 * BAND, f'fill="{ground}"'))
    drawn.append(svg.text(x, base, words, measures.word, ink, anchor, bold=aimed))
    return drawn


def _label(mark: Mark, left: float, right: float, measures: Measures) -> tuple[float, str, str]:
    """Return where the name of a band stands, which way it runs, and its words: whole, and inside the drawing."""
    span = f"{mark.stage} {_clock(mark.low)} to {_clock(mark.high)}"
    for words in (span, mark.stage):
        wide = LETTER * measures.word * len(words)
        if right + BESIDE + wide < measures.wide:
            return right + BESIDE, "start", words
        if left - BESIDE - wide > 0:
            return left - BESIDE, "end", words
    # No room on either side: it stands on the band, its early end left bare.
    return (
        max(EDGE, min(left + BESIDE, measures.wide - EDGE - LETTER * measures.word * len(mark.stage))),
        "start",
        mark.stage,
    )


def _surface(
    begun: dict[Stage, float], over: float | None, end: float, at: Callable[[float], float], floor: float,
    measures: Measures,
) -> str:  # fmt: skip
    """Return the outline of the glass from where it first holds together to the end of the line."""
    start = begun.get("sugar", next(iter(begun.values()), end))
    peel = begun.get("orange peel", start)
    smooth = begun.get("gloss", begun.get("cleared", end))
    high, low = floor - measures.glass * POWDER * 0.8, floor - measures.glass * FUSED

    def level(seconds: float) -> float:
        """Return how high the glass stands: it settles until it is smooth."""
        share = min(1.0, max(0.0, (seconds - start) / max(smooth - start, 1e-9)))
        return high + (low - high) * share

    path = f"M{_xy(at(start), floor)}L{_xy(at(start), level(start))}"
    x = at(start)
    bumps = max(1, round((at(peel) - x) / (2.4 * GRAIN)))
    step = (at(peel) - x) / bumps
    for n in range(bumps if step > 0 else 0):
        y = level(start + (peel - start) * (n + 1) / bumps)
        path += f"A{_xy(step / 2, GRAIN * 1.2)} 0 0 1 {_xy(x + step * (n + 1), y)}"
    x = at(peel)
    waves = max(1, round((at(smooth) - x) / 5.0))
    step = (at(smooth) - x) / waves
    for n in range(waves if step > 0 else 0):
        swing = 1.5 * (1 - (n + 0.5) / waves)
        y = level(peel + (smooth - peel) * (n + 1) / waves)
        left = x + step * n
        path += f"Q{_xy(left + step / 4, y - 2 * swing)} {_xy(left + step / 2, y)}"
        path += f"Q{_xy(left + 3 * step / 4, y + swing)} {_xy(left + step, y)}"
    runs = end if over is None or over >= end else max(over, smooth)
    path += f"L{_xy(at(runs), low)}"
    if runs < end:
        left, right = at(runs), at(end)
        third = (right - left) / 3
        sunk = floor - measures.glass * FUSED * 0.35
        path += f"C{_xy(left + third, low - 1.2)} {_xy(left + 2 * third, sunk)} {_xy(right, sunk)}"
    return path + f"L{_xy(at(end), floor)}Z"


def _grains(right: float, floor: float, measures: Measures) -> list[tuple[float, float, float]]:
    """Return loose grains, row upon row, up to where they begin to hold together."""
    step = 2.2 * GRAIN
    rows = max(2, int(measures.glass * POWDER / (step * 0.87)))
    found = []
    for row in range(rows):
        shift = step / 2 * (row % 2)
        for n in range(max(0, int((right - EDGE - shift) / step))):
            radius = GRAIN * (0.78 + 0.22 * ((n * 7 + row * 3) % 4) / 3)
            found.append((EDGE + GRAIN + shift + n * step, floor - GRAIN - row * step * math.sqrt(3) / 2, radius))
    return found


def _xy(x: float, y: float) -> str:
    return f"{svg.number(x)} {svg.number(y)}"


def _axis(end: float, at: Callable[[float], float], base: float, measures: Measures, ink: str) -> list[str]:
    step = next((one for one in TICKS if end / one <= measures.ticks), TICKS[-1])
    drawn = []
    for n in range(math.floor(end / step) + 1):
        x = at(n * step)
        anchor = "start" if n == 0 else "middle"
        if x < measures.wide - measures.word:
            drawn.append(svg.text(x, base, _clock(n * step), measures.word, ink, anchor))
    return drawn


def _looks(looks: Sequence[float], at: Callable[[float], float], y: float, ink: str) -> list[str]:
    """Draw each look as a notch under the metal."""
    drawn = []
    for seconds in looks:
        x = at(seconds)
        corners = svg.points(((x, y + 0.3), (x - 1.1, y + 2.2), (x + 1.1, y + 2.2)))
        drawn.append(f'<polygon points="{corners}" fill="{ink}"/>')
    return drawn


def _now(floor: float, ink: str, ground: str) -> str:
    """Draw the mark of now: hidden until the page moves it."""
    return (
        f'<g data-now="" visibility="hidden">{svg.line((0, 0), (0, floor + METAL), ground, 1.6)}'
        f"{svg.line((0, 0), (0, floor + METAL), ink, 0.8)}</g>"
    )
