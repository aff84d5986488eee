"""The surface at each stage of firing, edge-on and enlarged, with what the eye sees hot and cold."""

from __future__ import annotations

import math
from dataclasses import dataclass

from enamelwright.craft.coat import Stage
from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light

# Measures of the drawing [mm].
WIDE, TALL = 42.0, 13.0
METAL, STROKE = 2.6, 0.28
LEFT, RIGHT = 0.3, 41.0
GRAIN = 1.25


@dataclass(frozen=True)
class StageLook:
    """What a stage looks like; common knowledge of the trade (course notes, secondary)."""

    hot: str
    cold: str


LOOKS: dict[Stage, StageLook] = {
    "powder": StageLook("matt, paler as it dries", "loose grains"),
    "sugar": StageLook("dark, grains joined", "like sugar"),
    "orange peel": StageLook("dark and glinting, bumpy", "shiny but bumpy"),
    "gloss": StageLook("as red as the trivet, mirrors the fork", "smooth and shiny"),
    "cleared": StageLook("bright orange and clear", "clear down to the metal"),
    "over-fired": StageLook("edges creep, pits open", "black rim, thin edges, pits"),
}  # fmt: skip


def stage_svg(stage: Stage, light: Light = "paper", key: str = "stage") -> str:
    """Draw the surface at one stage.

    Parameters
    ----------
    stage : str
        A stage of firing.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    """
    tokens = LIGHTS[light]
    ink = tokens.text
    floor = TALL - METAL
    metal = svg.rect(LEFT, floor, RIGHT - LEFT, METAL, f'fill="{ink}"')
    look = LOOKS[stage]
    words = f"{stage}: hot, {look.hot}; cold, {look.cold}."
    return svg.document(WIDE, TALL, [*_surface(stage, floor, ink), metal], f"Stage: {stage}", words, key, ink)


def _surface(stage: Stage, floor: float, ink: str) -> list[str]:
    if stage == "powder":
        return _grains(floor, ink, gap=1.12, rows=3)
    if stage == "sugar":
        return _sugar(floor, ink)
    if stage == "orange peel":
        return [_wave(floor, 5.4, 0.75, 9, ink), *_hatch(floor, 4.2, ink)]
    if stage == "gloss":
        return [_wave(floor, 5.0, 0.0, 1, ink), *_hatch(floor, 5.0, ink), *_glint(floor, ink)]
    if stage == "cleared":
        return [_wave(floor, 4.4, 0.0, 1, ink), *_rays(floor, 4.4, ink)]
    return _over_fired(floor, ink)


def _circle(x: float, y: float, radius: float, ink: str) -> str:
    return svg.circle((x, y), radius, svg.outlined(ink, STROKE))


def _xy(*pairs: svg.Point) -> str:
    """Write points of a path."""
    return " ".join(f"{svg.number(x)} {svg.number(y)}" for x, y in pairs)


def _path(path: str, ink: str, weight: float = 1.0) -> str:
    return f'<path d="{path}" {svg.outlined(ink, STROKE * weight)}/>'


def _grains(floor: float, ink: str, gap: float, rows: int) -> list[str]:
    step = 2 * GRAIN * gap
    drawn = []
    for row in range(rows):
        shift = step / 2 * (row % 2)
        count = int((RIGHT - LEFT - 2 * GRAIN - shift) / step) + 1
        y = floor - GRAIN - row * step * math.sqrt(3) / 2
        drawn += [
            _circle(LEFT + GRAIN + shift + n * step, y, GRAIN * (0.78 + 0.22 * ((n * 7 + row * 3) % 4) / 3), ink)
            for n in range(count)
        ]
    return drawn


def _sugar(floor: float, ink: str) -> list[str]:
    """Grains grown together: one outline of scallops, hollows left inside."""
    step = 2 * GRAIN * 0.95
    count = int((RIGHT - LEFT) / step)
    radius = (RIGHT - LEFT) / count / 2
    top = floor - 4.2
    path = f"M{svg.number(LEFT)} {svg.number(floor)}V{svg.number(top)}"
    for n in range(count):
        path += f"A{_xy((radius, radius * 0.95))} 0 0 1 {_xy((LEFT + 2 * radius * (n + 1), top))}"
    path += f"V{svg.number(floor)}"
    hollows = [_circle(LEFT + 2 * radius * (n + 1), top + 1.5 + 0.8 * (n % 2), 0.38, ink) for n in range(count - 1)]
    return [_path(path, ink), *hollows]


def _wave(floor: float, depth: float, swing: float, waves: int, ink: str) -> str:
    long = (RIGHT - LEFT) / waves
    top = floor - depth
    path = f"M{svg.number(LEFT)} {svg.number(floor)}V{svg.number(top)}"
    if swing == 0:
        path += f"H{svg.number(RIGHT)}"
    else:
        for n in range(waves):
            x = LEFT + n * long
            path += "Q" + _xy((x + long / 4, top - 2 * swing), (x + long / 2, top))
            path += "Q" + _xy((x + 3 * long / 4, top + 2 * swing), (x + long, top))
    path += f"V{svg.number(floor)}"
    return _path(path, ink, 1.6)


def _hatch(floor: float, depth: float, ink: str) -> list[str]:
    lines = []
    x = LEFT + 0.6
    while x + depth <= RIGHT:
        lines.append(svg.line((x, floor), (x + depth, floor - depth), ink, STROKE * 0.55))
        x += 1.3
    return lines


def _glint(floor: float, ink: str) -> list[str]:
    top = floor - 5.0
    return [svg.line((24.0 + 2.2 * n, top - 1.0), (25.2 + 2.2 * n, top - 2.6), ink, STROKE) for n in range(3)]


def _rays(floor: float, depth: float, ink: str) -> list[str]:
    top = floor - depth
    drawn = []
    for x in (8.0, 20.5, 33.0):
        path = [(x - 2.6, top - 2.4), (x - 1.3, top), (x, floor), (x + 1.3, top), (x + 2.6, top - 2.4)]
        drawn.append(f'<polyline points="{svg.points(path)}" {svg.outlined(ink, STROKE * 0.7)}/>')
    return drawn


def _over_fired(floor: float, ink: str) -> list[str]:
    middle = (LEFT + RIGHT) / 2
    path = "M" + _xy((LEFT + 3, floor))
    path += "C" + _xy((LEFT + 4, floor - 6), (LEFT + 8, floor - 3), (middle, floor - 2.6))
    path += "C" + _xy((RIGHT - 8, floor - 3), (RIGHT - 4, floor - 6), (RIGHT - 3, floor))
    pits = [_circle(x, floor - 1.5, 0.65, ink) for x in (12.0, 18.5, 26.0)]
    return [_path(path, ink, 1.6), *pits]
