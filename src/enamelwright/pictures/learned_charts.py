"""Charts of what was learned as Vega-Lite specifications with their data: kiln, control tile, foretold, faults."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from math import isfinite
from typing import Any

from enamelwright.pictures.lights import LIGHTS, Light

Spec = dict[str, Any]

STEP, ROOM = 44, 60
"""Height of one fault of the list, and of its axis [px]."""
SHAPES = ["circle", "triangle-up", "square"]
"""Of what came inside its band, outside, and of what had not come when somebody looked last."""
SLACK, EDGE = 0.5, 0.04
"""Share of the frame that a far band may add to it, and what is left free at its edges."""
DATES = 6
"""Days an axis names, at most."""
WIDTH = 520
"""Of a chart on paper [px]; in a page it is as wide as its figure."""


@cache
def _template(name: str) -> str:
    return (files(__package__) / f"{name}.vl.json").read_text(encoding="utf-8")


def kiln_days(
    days: Sequence[tuple[str, float, float, float]], changed: Iterable[str] = (), light: Light | None = None
) -> Spec:
    """Return the chart of when the same coat would have glossed on each day.

    Parameters
    ----------
    days : sequence of (day, low, likely, high)
        ISO day and seconds.
    changed : iterable of str
        Days on which the kiln became another one.
    light : str, optional
        Whose colours are filled in; the page's own when left out.
    """
    values = [{"day": _noon(day), "low": low, "likely": likely, "high": high} for day, low, likely, high in days]
    marks = [{"changed": _noon(day)} for day in changed]
    spec = _filled("kiln_days", values, marks, light)
    if not marks:  # a layer without a row has no extent, and the drawer complains of it
        del spec["layer"][-1]
    _dated(spec, sorted({day for day, *_ in days} | {one["changed"][: len("2026-03-02")] for one in marks}))
    return spec


@dataclass(frozen=True)
class TileDot:
    """One control tile of a chart.

    Attributes
    ----------
    day : str
        ISO day.
    value : float
        What was read, in the unit of the chart.
    out : bool
        Whether it is out of order.
    middle : float or None
        Of the first tiles since the kiln was changed; None where nobody can tell.
    limits : tuple of float
        Low and high it is judged by; the high one alone where low means nothing.
    """

    day: str
    value: float
    out: bool = False
    middle: float | None = None
    limits: tuple[float, ...] = ()


def control_tile(
    series: Sequence[Sequence[TileDot]],
    changes: Sequence[tuple[str, str]] = (),
    light: Light | None = None,
    unit: str = "seconds to first gloss",
) -> Spec:
    """Return the chart of a control tile over everything that was done to its kiln.

    Parameters
    ----------
    series : sequence of sequences of TileDot
        The tiles between two changes of the kiln, in order; no line joins two of them.
    changes : sequence of (day, what)
        ISO day and what was done.
    light : str, optional
        As for :func:`kiln_days`.
    unit : str
        Title of the axis.
    """
    values, lines = [], []
    for n, dots in enumerate(series):
        for dot in dots:
            told = {"day": _noon(dot.day), "series": n}
            values.append({**told, "value": dot.value, "said": "alarm" if dot.out else "as usual"})
            told["last"] = dot is dots[-1]
            if dot.middle is not None:
                lines.append({**told, "at": dot.middle, "line": "middle", "side": "middle"})
                sides = ("low", "high")[-len(dot.limits) :] if dot.limits else ()
                lines += [
                    {**told, "at": at, "line": "limit", "side": side}
                    for side, at in zip(sides, dot.limits, strict=True)
                ]
    days = sorted({dot.day for dots in series for dot in dots} | {day for day, _ in changes})
    middle = days[len(days) // 2] if days else ""
    marks = [
        {"changed": _noon(day), "what": what, "side": "right" if day > middle else "left"} for day, what in changes
    ]
    spec = _filled("control_tile", values, marks, light)
    spec["layer"][2]["data"] = {"values": lines}
    spec["layer"][0]["encoding"]["y"]["title"] = unit
    _dated(spec, days)
    rule, *names = spec["layer"][3]["layer"]
    marked = {one["side"] for one in marks}
    # A layer without a row has no extent, and the drawer complains of it.
    spec["layer"][3]["layer"] = [
        rule,
        *(one for one, side in zip(names, ("right", "left"), strict=True) if side in marked),
    ]
    spec["layer"] = spec["layer"][:2] + spec["layer"][2:3] * bool(lines) + spec["layer"][3:] * bool(marks)
    return spec


@dataclass(frozen=True)
class Case:
    """One band and what came of it.

    Attributes
    ----------
    low, high, happened : float
        In the unit of the chart; `high` is infinite where the band was open.
    held : bool
        Whether it counts as held: what a rule cannot read is no miss.
    not_yet : bool
        It had not come by then, when somebody looked last.
    """

    low: float
    high: float
    happened: float
    held: bool
    not_yet: bool = False


def foretold_happened(cases: Sequence[Case], unit: str, light: Light | None = None) -> Spec:
    """Return the chart of bands and what came of them.

    A band that goes on beyond the frame ends there with an arrow: one very wide band must not press all others flat.

    Parameters
    ----------
    cases : sequence of Case
        In order of time, in one unit.
    unit : str
        Title of the axis.
    light : str, optional
        As for :func:`kiln_days`.
    """
    bottom = top = 0.0
    if cases:
        happened = [one.happened for one in cases]
        lows, highs = sorted(one.low for one in cases), sorted(one.high for one in cases if isfinite(one.high))
        bottom = min(*happened, lows[len(lows) // 4])
        top = max(*happened, *highs[len(highs) * 3 // 4 :][:1], lows[-1])
        if lows[0] > bottom - (top - bottom) * SLACK:
            bottom = min(bottom, lows[0])
        if highs and highs[-1] < top + (top - bottom) * SLACK:
            top = max(top, highs[-1])
    values = [
        {"order": n, "low": max(one.low, bottom), "high": min(one.high, top), "happened": one.happened,
         "up": one.high > top, "down": one.low < bottom,
         "said": "outside" if not one.held else "not by then" if one.not_yet else "inside"}
        for n, one in enumerate(cases, 1)
    ]  # fmt: skip
    spec = _filled("foretold_happened", values, None, light)
    across = spec["layer"][0]["encoding"]
    names = ["inside", "outside"] + ["not by then"] * any(one["said"] == "not by then" for one in values)
    spec["layer"][1]["encoding"]["shape"]["scale"] = {"domain": names, "range": SHAPES[: len(names)]}
    across["y"]["title"] = unit
    if cases:
        room = (top - bottom or abs(top) or 1.0) * EDGE
        across["y"]["scale"]["domain"] = [bottom - room, top + room]
        across["x"]["scale"]["domain"] = [0, len(cases) + 1]
    return spec


def colour_course(off: Sequence[float], average: Sequence[float], light: Light | None = None) -> Spec:
    """Return the chart of how far fired tiles were from their forecast, and of the average so far.

    Parameters
    ----------
    off, average : sequence of float
        One a tile, as they were read [CIEDE2000].
    light : str, optional
        As for :func:`kiln_days`.
    """
    values = [
        {"order": n, "off": one, "average": so_far} for n, (one, so_far) in enumerate(zip(off, average, strict=True), 1)
    ]
    spec = _filled("colour_course", values, None, light)
    spec["layer"][0]["encoding"]["x"]["scale"]["domain"] = [0, len(values) + 1]
    return spec


def fault_list(faults: Sequence[tuple[str, float, float, float]], light: Light | None = None) -> Spec:
    """Return the chart of how often each fault was seen.

    Parameters
    ----------
    faults : sequence of (name, low, share, high)
        In a hundred firings of a piece, the most frequent first.
    light : str, optional
        As for :func:`kiln_days`.
    """
    values = [{"fault": name, "low": low, "share": share, "high": high} for name, low, share, high in faults]
    spec = _filled("fault_list", values, None, light)
    spec["height"] = STEP * len(faults) + ROOM
    return spec


def _noon(day: str) -> str:
    """Return a moment within a day, so that no reader's clock shows it as the day before."""
    return f"{day}T12:00:00"


def _dated(spec: Spec, days: Sequence[str]) -> None:
    """Let the axis of days name a few of them, each once: two firings a day apart are not eight hours' names."""
    if not days:
        return
    first, last = date.fromisoformat(days[0]), date.fromisoformat(days[-1])
    steps = min(DATES - 1, (last - first).days)
    named = [first + (last - first) * n / steps for n in range(steps + 1)] if steps else [first]
    axis = spec["layer"][0]["encoding"]["x"]["axis"]
    axis["values"] = [{"year": one.year, "month": one.month, "date": one.day, "hours": 12} for one in named]


def _filled(name: str, values: list[Spec], marks: list[Spec] | None, light: Light | None) -> Spec:
    """Put data into a template, and the colours of a light; the last layer takes the marks where there are any."""
    spec: Spec = json.loads(_template(name))
    spec["data"] = {"values": values}
    if marks is not None:
        spec["layer"][-1]["data"] = {"values": marks}
    if light is None:
        return spec
    tokens = LIGHTS[light]
    spec["width"] = WIDTH
    del spec["autosize"]
    quiet = {"labelColor": tokens.text, "titleColor": tokens.text, "gridColor": tokens.rule, "gridOpacity": 0.25}
    spec["config"] = {
        "background": tokens.ground,
        "font": "IBM Plex Sans, sans-serif",
        "mark": {"color": tokens.action},
        "rule": {"color": tokens.text},
        "axis": {**quiet, "domainColor": tokens.rule, "tickColor": tokens.rule},
        "legend": {"labelColor": tokens.text, "symbolStrokeColor": tokens.action},
    }
    return spec
