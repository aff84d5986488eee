"""Whether what was foretold of a firing is of the heat it is now known to have had: settings can be put right."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

#: Settings that differ by no more are one, as displays show whole degrees [K].
SAME_SETTING = 1.0


def of_another_heat(load: Any, figures: Mapping[str, Any]) -> bool:
    """Tell whether a firing was foretold at another setting than its load is now said to have had.

    What was frozen stays as it was told, but then it is no foretelling of what happened, and teaches nothing.

    Parameters
    ----------
    load : Row
        With its `set_point` [K], None where nobody says.
    figures : mapping
        As frozen.
    """
    window = (figures.get("firing") or {}).get("window") or {}
    told = (window.get("set_point") or {}).get("value")
    if told is None or load.set_point is None:
        return False
    return bool(abs(told - load.set_point) > SAME_SETTING)
