"""The heat every coat has had when the piece is done: its gloss clock, and the second clock of colours."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, log10

import numpy as np

from enamelwright import units
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.plan import CoatHeat, CoatWeight
from enamelwright.craft.verdict import Place, Verdict
from enamelwright.craft.window.aims import mark_sd
from enamelwright.craft.window.fusing import melt_of
from enamelwright.craft.window.loaded import present
from enamelwright.craft.window.powders import powder_of
from enamelwright.craft.window.thresholds import thresholds_of
from enamelwright.figure import Z95, Figure, Origin
from enamelwright.reference import loader

RULE = "COLOUR-TURNS"
OVER_RULE = "COAT-OVERFIRED"
#: Points a second on which a clock is summed along the course of a firing.
FINE = 2
_ORIGIN = Origin(kind="computed", source="second clock, heat/turning_energy", status="assumption")
_GLOSS = Origin(kind="computed", source="gloss clock, heat/rule_late", status="assumption")


def heat_of_coats(firings: Sequence[Firing], layup: Layup, weights: Sequence[CoatWeight]) -> tuple[CoatHeat, ...]:
    """Return what heat each coat gets over all planned firings; empty where nothing is worked out.

    Parameters
    ----------
    firings : sequence of Firing
        With their windows.
    layup : Layup
        The piece.
    weights : sequence of CoatWeight
        One a coat, in file order.
    """
    found = []
    for layer in layup.layers:
        hot = [
            (firing, firing.window)
            for firing in firings
            if firing.window is not None and firing.window.course is not None and layer in present(firing, layup)
        ]
        if hot:
            found.append(_heat(layer, hot, layup, weights))
    return tuple(found)


def _heat(layer: Layer, hot: list[tuple[Firing, Window]], layup: Layup, weights: Sequence[CoatWeight]) -> CoatHeat:
    melt = melt_of(layer.jar)
    powder = powder_of(layer, hot[0][0], layup, weights, _point(hot[0][1]))
    marks = thresholds_of(powder).moved(melt.shift)
    work = 0.0
    spent = {"low": 0.0, "value": 0.0, "high": 0.0}
    for _, window in hot:
        if window.course is None:
            continue
        until = window.seconds.value if window.seconds is not None else window.course.seconds[-1]
        at = np.linspace(0.0, until, int(FINE * until) + 2)
        piece = np.interp(at, window.course.seconds, window.course.piece)
        work += float(np.trapezoid(10 ** -melt.law.log_viscosity(piece), at))
        if window.turning is not None:
            spent = {end: spent[end] + getattr(window.turning, end) for end in spent}
    return CoatHeat(
        coat=layer.number,
        firings=len(hot),
        glosses=work / 10**marks.gloss,
        overs=None
        if any(firing.target == "over-fired" for firing, _ in hot)  # wanted so
        else _overs(log10(work) - marks.over, hypot(melt.sd, powder.sd, powder.law_sd, mark_sd("over-fired"))),
        turned=Figure(**spent, dimension="time", origin=_ORIGIN),
        limit=layer.jar.fusing.turns,
    )


def _point(window: Window) -> float:
    """Return the set point of a firing that has been worked out [K]."""
    return window.set_point.value if window.set_point is not None else loader.value("heat/top_temperature")


def _overs(decades: float, sd: float) -> Figure:
    """Return a clock over that of over-firing, with its band."""
    low, value, high = (10 ** (decades + k * Z95 * sd) for k in (-1, 0, 1))
    return Figure(value=value, low=low, high=high, dimension="ratio", origin=_GLOSS)


def overfired_verdicts(heat: Sequence[CoatHeat], layup: Layup) -> tuple[Verdict, ...]:
    """Warn of coats that the firings of the whole piece over-fire, be it under a harder coat laid later.

    Parameters
    ----------
    heat : sequence of CoatHeat
        Of the coats.
    layup : Layup
        The piece.
    """
    found = []
    for one in heat:
        # Clocks of a class are known to a factor of several: only what is over-fired at their low end is told.
        if one.overs is None or one.overs.low <= 1.0:
            continue
        layer = layup.layers[one.coat]
        found.append(
            Verdict(
                rule=OVER_RULE,
                level="watch",
                words=f"{layer.jar.name} gets far more heat than it needs and is likely over-fired.",
                remedy="Lay a harder glass under a softer one, or fire the later coats cooler.",
                because=(
                    f"{layer.words}: its gloss clock runs {one.overs.value:.0f} times as far as over-firing takes, "
                    f"over {one.firings} firings",
                ),
                sources=("gloss clock, heat/rule_late",),
                figure=one.overs,
                place=Place(face=layer.coat.face, coats=(layer.number,)),
            )
        )
    return tuple(found)


def turning_verdicts(heat: Sequence[CoatHeat], layup: Layup) -> tuple[Verdict, ...]:
    """Warn of colours that get more heat than their owner's tests allow.

    Parameters
    ----------
    heat : sequence of CoatHeat
        Of the coats.
    layup : Layup
        The piece.
    """
    found = []
    for one in heat:
        if one.limit is None or one.turned.high <= one.limit:
            continue
        layer = layup.layers[one.coat]
        limit, likely = (units.show(end, "time", "s", 5.0) for end in (one.limit, one.turned.value))
        sure = one.turned.value > one.limit
        found.append(
            Verdict(
                rule=RULE,
                level="watch",
                words=f"{layer.jar.name} {'gets' if sure else 'may get'} more heat than turns its colour.",
                remedy="Lay it later, fire it fewer times or cooler.",
                because=(
                    f"{layer.words}: about {likely} at 800 °C in {one.firings} firings, {limit} by your own test",
                    "counted by an assumed rate: no rate is published",
                ),
                sources=("your own limit of the jar",),
                figure=one.turned,
                place=Place(face=layer.coat.face, coats=(layer.number,)),
            )
        )
    return tuple(found)
