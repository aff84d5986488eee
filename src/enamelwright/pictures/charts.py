"""Charts of one firing as Vega-Lite specifications with their data filled in; drawing them is the caller's affair."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

from enamelwright import units
from enamelwright.craft.operation import Course, Window
from enamelwright.errors import OutOfReach
from enamelwright.pictures.lights import LIGHTS, Light

Spec = dict[str, Any]


@cache
def _template(name: str) -> str:
    return (files(__package__) / f"{name}.vl.json").read_text(encoding="utf-8")


def heat_chart(window: Window, light: Light = "daylight", title: str = "") -> Spec:
    """Return the chart of kiln and piece against time.

    Parameters
    ----------
    window : Window
        Of a firing, worked out.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    title : str
        Over the chart.

    Raises
    ------
    OutOfReach
        When the window holds no course: a torch, a kiln without degrees, a form that is not sheet.
    """
    course = _course(window)
    values: list[Spec] = [
        {"seconds": second, "celsius": round(units.from_si(kelvin, "°C", "temperature"), 1), "what": what}
        for what, row in (("kiln", course.kiln), ("piece", course.piece))
        for second, kelvin in zip(course.seconds, row, strict=True)
    ]
    return _filled("firing_heat", values, _band(window), light, title)


def stage_chart(window: Window, light: Light = "daylight", title: str = "") -> Spec:
    """Return the chart of the stage against time, with its 5 to 95 % band and the looks.

    Parameters
    ----------
    window : Window
        Of a firing, worked out.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    title : str
        Over the chart.

    Raises
    ------
    OutOfReach
        When the window holds no course.
    """
    course = _course(window)
    rows = zip(course.seconds, course.low, course.middle, course.high, strict=True)
    values: list[Spec] = [
        {"seconds": second, "low": low, "middle": middle, "high": high} for second, low, middle, high in rows
    ]
    marks: list[Spec] = []
    if window.looks is not None:
        marks = [{"look": one} for one in window.looks.times]
        marks = [mark for mark in marks if mark["look"] <= course.seconds[-1]]
    return _filled("firing_stages", values, marks, light, title)


def _course(window: Window) -> Course:
    if window.course is None:
        raise OutOfReach("nothing was worked out to draw for this firing.", "Ask for a firing of sheet in a kiln.")
    return window.course


def _band(window: Window) -> list[Spec]:
    if window.seconds is None:
        return []
    return [{"from": round(window.seconds.low, 1), "to": round(window.seconds.high, 1)}]


def _filled(name: str, values: list[Spec], marks: list[Spec], light: Light, title: str) -> Spec:
    """Put data and the colours of a light into a template; the last layer takes the marks."""
    spec: Spec = json.loads(_template(name))
    tokens = LIGHTS[light]
    spec["data"] = {"values": values}
    spec["layer"][-1]["data"] = {"values": marks}
    for layer in spec["layer"]:
        layer["mark"]["color"] = tokens.action
    quiet = {"labelColor": tokens.text, "titleColor": tokens.text, "gridColor": tokens.rule, "gridOpacity": 0.25}
    spec["config"] = {
        "background": tokens.ground,
        "font": "IBM Plex Sans, sans-serif",
        "axis": {**quiet, "domainColor": tokens.rule, "tickColor": tokens.rule},
        "legend": {"labelColor": tokens.text, "symbolStrokeColor": tokens.action},
        "title": {"color": tokens.text},
    }
    if title:
        spec["title"] = title
    return spec
