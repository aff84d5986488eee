"""Charts of what was learned as Vega-Lite specifications with their data: kiln, control tile, foretold, faults."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from enamelwright.pictures.lights import LIGHTS, Light

Spec = dict[str, Any]

STEP, ROOM = 44, 60
"""Height of one fault of the list, and of its axis [px]."""
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
    values = [{"day": day, "low": low, "likely": likely, "high": high} for day, low, likely, high in days]
    return _filled("kiln_days", values, [{"changed": day} for day in changed], light)


def control_tile(
    tiles: Sequence[tuple[str, float]],
    trouble: Sequence[bool],
    middle: float | None,
    limits: Sequence[float] | None,
    light: Light | None = None,
    unit: str = "seconds to first gloss",
) -> Spec:
    """Return the chart of a control tile.

    Parameters
    ----------
    tiles : sequence of (label, value)
        In order, in one unit.
    trouble : sequence of bool
        Which of them are out of order; empty where nobody can tell.
    middle : float, optional
        Of the first tiles.
    limits : sequence of float, optional
        Low and high; the high one alone where low means nothing.
    light : str, optional
        As for :func:`kiln_days`.
    unit : str
        Title of the axis.
    """
    values = [
        {"tile": label, "value": value, "said": "alarm" if out else "as usual"}
        for (label, value), out in zip(tiles, trouble or [False] * len(tiles), strict=True)
    ]
    lines = [{"at": middle, "line": "middle"}] if middle is not None else []
    lines += [{"at": one, "line": "limit"} for one in limits or ()]
    spec = _filled("control_tile", values, lines, light)
    spec["layer"][0]["encoding"]["y"]["title"] = unit
    return spec


def foretold_happened(pairs: Sequence[tuple[float, float, float]], unit: str, light: Light | None = None) -> Spec:
    """Return the chart of bands and what came of them.

    Parameters
    ----------
    pairs : sequence of (low, high, happened)
        In order of time, in one unit.
    unit : str
        Title of the axis.
    light : str, optional
        As for :func:`kiln_days`.
    """
    values = [
        {"order": n, "low": low, "high": high, "happened": happened,
         "said": "inside" if low <= happened <= high else "outside"}
        for n, (low, high, happened) in enumerate(pairs, 1)
    ]  # fmt: skip
    spec = _filled("foretold_happened", values, None, light)
    axis = spec["layer"][0]["encoding"]["y"]
    axis["title"] = unit
    if pairs:  # one very wide band must not press all others flat
        happened = sorted(one[2] for one in pairs)
        axis["scale"]["domain"] = [
            min(min(one[0] for one in pairs), happened[0]),
            max(happened[-1], sorted(one[1] for one in pairs)[len(pairs) * 3 // 4]),
        ]
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
