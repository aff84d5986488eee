"""What a person described, as it would be typed again: numbers with their units."""

from __future__ import annotations

from typing import Any, get_type_hints

from enamelwright import units
from enamelwright.craft.description import Described, Dimension

#: Units that forms are filled in with, where the usual one reads badly in a line.
_UNITS = {"length": "mm", "mass": "g", "temperature": "°C", "time": "s", "power": "W", "ratio": "%"}
#: A time beyond this is told in minutes [s].
_LONG = 600.0


def as_said(described: Described) -> dict[str, str]:
    """Return every field of a description as text for a form; empty where nothing is said.

    Parameters
    ----------
    described : Described
        A kiln, hands, house rules.
    """
    hints = get_type_hints(type(described), include_extras=True)
    said = {}
    for name in type(described).model_fields:
        value = getattr(described, name)
        dimension = _dimension(hints[name])
        if value is None or value == ():
            said[name] = ""
        elif isinstance(value, bool):
            said[name] = "yes" if value else "no"
        elif isinstance(value, float) and dimension is not None:
            unit = _UNITS.get(dimension.name)
            said[name] = units.show(value, dimension.name, "min" if unit == "s" and value >= _LONG else unit)
        else:
            said[name] = f"{value:g}" if isinstance(value, float) else str(value)
    return said


def _dimension(hint: Any) -> Dimension | None:
    """Return what a field is a quantity of; None when it is none."""
    for mark in getattr(hint, "__metadata__", ()):
        if isinstance(mark, Dimension):
            return mark
    for part in getattr(hint, "__args__", ()):
        found = _dimension(part)
        if found is not None:
            return found
    return None
