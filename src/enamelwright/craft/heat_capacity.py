"""Specific heat of what is no metal of the piece: glass, ceramic supports, stainless supports."""

from __future__ import annotations

from functools import cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]
Material = Literal["glass", "stainless"]


def specific_heat(material: Material, temperature: npt.ArrayLike) -> Array:
    """Return the specific heat [J/kg/K], straight between the rows of the table, its ends held.

    Parameters
    ----------
    material : str
        ``glass``, which stands for ceramic too, or ``stainless``.
    temperature : array_like
        [K].
    """
    at, values = _table(material)
    return np.asarray(np.interp(np.asarray(temperature, dtype=np.float64), at, values))


@cache
def _table(material: Material) -> tuple[Array, Array]:
    found = [row for row in loader.rows("heat/heat_capacity") if row["curve"] == material]
    at = [units.to_si(float(row["temperature"]), row["temperature_unit"], "temperature") for row in found]
    values = [units.to_si(float(row["value"]), row["unit"], row["dimension"]) for row in found]
    return np.array(at), np.array(values)
