"""When a jar is expected to gloss, by the windows that were foretold of it and what its kiln has taught since."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from sqlalchemy import Connection

from enamelwright.craft.learned_clock import ANY_JAR, LearnedClock
from enamelwright.records.schema.loads import prediction
from enamelwright.records.writing import current
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.studio import Studio

#: Newest loads whose windows are read: each is a long text.
_LOADS = 12


def gloss_foretold(
    studio: Studio, connection: Connection, jar: str, loads: Sequence[int], kiln: str
) -> tuple[float, float] | None:
    """Return setting [K] and time out [s] of the newest window to gloss of a jar, by what its kiln teaches now.

    A window to another stage tells its first gloss too, and counts where there is none to gloss. None where no window
    tells.

    Parameters
    ----------
    studio : Studio
        The studio.
    connection : Connection
        To read with.
    jar : str
        Code.
    loads : sequence of int
        Rows of its loads, the newest first.
    kiln : str
        Name.
    """
    wanted = list(dict.fromkeys(loads))[:_LOADS]
    rows = connection.execute(
        current(prediction, prediction.c.figures, prediction.c.asked)
        .where(prediction.c.load.in_(wanted))
        .order_by(prediction.c.id.desc())
    )
    clocks = {one.jar: one for one in kept_clocks(studio) if one.kiln == kiln and not (one.coat or one.lot)}
    now = clocks.get(jar) or clocks.get(ANY_JAR)
    first_gloss = None
    for row in rows:
        firing = (row.figures or {}).get("firing") or {}
        window = firing.get("window") or {}
        if firing.get("flash") or jar not in _melted(firing, row.asked or {}):
            continue
        heat = (window.get("set_point") or {}).get("value")
        out = (window.get("seconds") or {}).get("value")
        if not heat:
            continue
        before, after = _gloss_times(window, jar, now)
        if firing.get("target") == "gloss" and out:
            return float(heat), float(out) * (after / before if before and after else 1.0)
        if first_gloss is None and after:
            first_gloss = float(heat), after
    return first_gloss


def _melted(firing: Mapping[str, Any], asked: Mapping[str, Any]) -> set[str]:
    coats = (asked.get("piece") or {}).get("coats") or []
    return {str(coats[k].get("jar")) for k in firing.get("fuses") or [] if k < len(coats)}


def _gloss_times(window: Mapping[str, Any], jar: str, now: LearnedClock | None) -> tuple[float | None, float | None]:
    """Return when a coat of the jar was foretold to gloss [s], and when by what is taught now."""
    own = next((one for one in window.get("coats") or [] if one.get("jar") == jar and one.get("clock")), None)
    if own is None:
        begins = {one.get("stage"): (one.get("begins") or {}).get("value") for one in window.get("stages") or []}
        told = begins.get("gloss")
        return told, told
    seconds, clock = np.asarray(own["clock"], dtype=float).T
    mark = float(own["marks"][2])
    moved = 0.0 if now is None else now.at(float(own["hotter"]), float(own["law"]))[0] - float(own["learned"])
    before, after = (float(np.interp(mark + shift, clock, seconds)) for shift in (0.0, moved))
    return before, after
