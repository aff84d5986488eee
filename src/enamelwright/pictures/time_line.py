"""The expected stages of one firing on a line of time, with the window and the looks."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from enamelwright.craft.coat import Stage
from enamelwright.craft.operation import Window
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light


@dataclass(frozen=True)
class Measures:
    """Room for the drawing on one width of sheet [mm].

    Parameters
    ----------
    wide : float
        Width of the drawing [mm].
    small : float
        Height of the words beside the looks [mm].
    ticks : int
        Most ticks of the clock.
    """

    wide: float
    small: float
    ticks: int


WIDE = Measures(wide=92.0, small=1.8, ticks=7)
NARROW = Measures(wide=44.0, small=1.9, ticks=4)

# Measures of the drawing [mm].
TALL, EDGE = 11.6, 1.0
BAR, HIGH = 3.0, 2.8
WORD, STROKE = 2.2, 0.25
#: Foot of the words beside the first look and where it is out.
BESIDE = 9.0
#: Room above the stages for when it was really taken out.
ABOVE = 2.9
#: A letter is this share of its height wide.
LETTER = 0.55
#: The line goes on this far past the last time shown.
TAIL = 1.12
#: Seconds between ticks, the first that gives no more than the most.
TICKS = (15, 30, 60, 120, 300)
#: Pattern of each stage: how densely it is hatched, 0 plain.
_HATCH: dict[Stage, float] = {"powder": 0.0, "sugar": 2.2, "orange peel": 1.3, "gloss": 0.0, "over-fired": 0.55}
_MINUTE = 60


def time_line_svg(
    window: Window, light: Light = "paper", key: str = "time-line", *, happened: float | None = None,
    measures: Measures = WIDE,
) -> str | None:  # fmt: skip
    """Draw the stages of a firing against time; None where no time is worked out.

    Parameters
    ----------
    window : Window
        Of the firing.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    happened : float or None
        When it was really taken out [s]; None leaves the mark out.
    measures : Measures
        Room for it.

    Returns
    -------
    str or None
        SVG text; byte-identical for identical input.
    """
    begun = [(one.stage, one.likely) for one in window.stages if math.isfinite(one.likely)]
    if window.seconds is None or not begun:
        return None
    ink = LIGHTS[light].text
    last = max(window.looks.out_by if window.looks is not None else 0.0, window.seconds.high)
    end = max(last, begun[min(2, len(begun) - 1)][1], happened or 0.0) * TAIL
    scale = (measures.wide - 2 * EDGE) / end

    def at(seconds: float) -> float:
        return EDGE + min(seconds, end) * scale

    starts: list[tuple[Stage, float]] = [("powder", 0.0), *begun]
    body: list[str] = []
    for (stage, start), (_, stop) in zip(starts, [*starts[1:], ("over-fired", end)], strict=True):
        if start < min(end, stop):
            body += _stage(stage, at(start), at(stop), ink, target=stage == _shown(window))
    body += _band(at(window.seconds.low), at(window.seconds.high), ink)
    body += _axis(end, at, ink, measures)
    if window.looks is not None:
        looks = window.looks.times
        body += [_mark(at(one), ink) for one in looks if one < end]
        body += _out_by(at(window.looks.out_by), ink)
        body.append(svg.text(at(window.looks.first) - 1.2, BESIDE, "look", measures.small, ink, "end"))
        body.append(svg.text(at(window.looks.out_by) + 1.2, BESIDE, "out", measures.small, ink))
    tall = TALL
    if happened is not None:
        body += _happened(at(happened), _clock(happened), ink, measures)
        tall = TALL + ABOVE
        body = [f'<g transform="translate(0 {svg.number(ABOVE)})">', *body, "</g>"]
    said = "; ".join(f"{stage} from about {_clock(value)}" for stage, value in begun)
    words = f"Expected: {said}. Window {_clock(window.seconds.low)} to {_clock(window.seconds.high)}."
    if window.looks is not None:
        words += f" A triangle is a look through the door; out by {_clock(window.looks.out_by)}, the cross."
    if happened is not None:
        words += f" Really out at {_clock(happened)}, the thick line."
    return svg.document(measures.wide, tall, body, "Stages against time", words, key, ink)


def _shown(window: Window) -> Stage:
    """Return the stage of the line that the target belongs to."""
    if window.target == "cleared" and any(one.stage == "cleared" and one.begins for one in window.stages):
        return "cleared"
    return "gloss" if window.target == "cleared" or window.target == "" else window.target


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // _MINUTE}:{whole % _MINUTE:02d}"


def _stage(stage: Stage, left: float, right: float, ink: str, target: bool) -> list[str]:
    body = [svg.rect(left, BAR, right - left, HIGH, svg.outlined(ink, STROKE))]
    step = _HATCH.get(stage, 0.0)
    if step:
        count = int((right - left) / step)
        body += [
            svg.line((left + n * step, BAR + HIGH), (min(left + n * step + HIGH / 2, right), BAR), ink, STROKE / 2)
            for n in range(count)
        ]
    if right - left >= LETTER * WORD * len(stage):
        body.append(svg.text((left + right) / 2, BAR - 0.7, stage, WORD, ink, "middle", bold=target))
    elif target:  # what it is fired to is named however short it is
        body.append(svg.text(left, BAR - 0.7, stage, WORD, ink, bold=True))
    return body


def _band(left: float, right: float, ink: str) -> list[str]:
    """Draw the window as a thick bracket under the bar."""
    y = BAR + HIGH + 0.9
    return [
        svg.line((left, y), (right, y), ink, STROKE * 4),
        *(svg.line((x, y - 0.9), (x, y + 0.9), ink, STROKE * 2) for x in (left, right)),
    ]


def _axis(end: float, at: Callable[[float], float], ink: str, measures: Measures) -> list[str]:
    step = next((one for one in TICKS if end / one <= measures.ticks), TICKS[-1])
    body = []
    for n in range(math.floor(end / step) + 1):
        x = at(n * step)
        anchor = "start" if n == 0 else "middle"
        body.append(svg.line((x, BAR), (x, BAR + HIGH), ink, STROKE / 2, "0.5 0.5"))
        body.append(svg.text(min(x, measures.wide - EDGE - 3.0), TALL - 0.5, _clock(n * step), WORD, ink, anchor))
    return body


def _out_by(x: float, ink: str) -> list[str]:
    """Mark when the piece is out at the latest, looks counted in: a cross on the line of the looks."""
    y = BAR + HIGH + 2.55
    return [
        svg.line((x - 0.6, y - 0.6), (x + 0.6, y + 0.6), ink, STROKE * 2),
        svg.line((x - 0.6, y + 0.6), (x + 0.6, y - 0.6), ink, STROKE * 2),
    ]


def _happened(x: float, clock: str, ink: str, measures: Measures) -> list[str]:
    """Mark when it was really taken out: a thick line through the stages, its words above their names."""
    words = f"was out {clock}"
    half = LETTER * WORD * len(words) / 2
    middle = min(max(x, EDGE + half), measures.wide - EDGE - half)
    return [
        *(
            svg.line((x, start), (x, end), ink, STROKE * 3)
            for start, end in ((-0.6, 0.2), (BAR - 0.5, BAR + HIGH + 0.6))
        ),
        svg.text(middle, -1.0, words, WORD, ink, "middle", bold=True),
    ]


def _mark(x: float, ink: str) -> str:
    """Draw one look: a small triangle under the window."""
    y = BAR + HIGH + 1.9
    corners = svg.points(((x, y), (x - 0.7, y + 1.3), (x + 0.7, y + 1.3)))
    return f'<polygon points="{corners}" fill="{ink}"/>'
