"""The lights a colour is judged under, and the eye that judges: weights on the 36 bands."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.physics.colour.colour_space import BANDS, lab_of, xyz_of
from enamelwright.reference.loader import rows

Array = npt.NDArray[np.float64]
LightName = Literal["D65", "D50", "A", "LED-B3", "FL11"]
Observer = Literal["2", "10"]

_NM = 1e9  # nanometres in a metre
#: Heads of the columns, one a band, of the tables of this field.
COLUMNS: tuple[str, ...] = tuple(f"w{round(float(band) * _NM)}" for band in BANDS)

#: Every light there are weights for.
LIGHTS: tuple[LightName, ...] = ("D65", "D50", "A", "LED-B3", "FL11")
#: Lights a colour is told under when nobody chooses; the first is the one screens are made for.
USUAL: tuple[LightName, ...] = ("D65", "A", "LED-B3", "FL11")
LIGHT_WORDS: dict[LightName, str] = {
    "D65": "daylight",
    "D50": "warm daylight",
    "A": "lamp light",
    "LED-B3": "white LED lamp",
    "FL11": "fluorescent tube",
}
#: What the words stand for, in the codes of the standard, for those who ask.
LIGHT_CODES = "CIE illuminants: " + ", ".join(f"{words} is {code}" for code, words in LIGHT_WORDS.items())


@dataclass(frozen=True, eq=False)
class Seen:
    """One light and one observer.

    Attributes
    ----------
    light, observer : str
        Names; the observer in degrees.
    weights : ndarray, shape (36, 3)
        From a reflectance to XYZ with Y of white 100.
    white : ndarray, shape (3,)
        XYZ of a perfect white: the column sums of `weights`.
    """

    light: LightName
    observer: Observer
    weights: Array
    white: Array

    def xyz(self, reflectance: npt.ArrayLike) -> Array:
        """XYZ of a reflectance, shape (..., 36) to (..., 3)."""
        return xyz_of(reflectance, self.weights)

    def lab(self, reflectance: npt.ArrayLike) -> Array:
        """Lab of a reflectance under this light, shape (..., 36) to (..., 3)."""
        return lab_of(self.xyz(reflectance), self.white)


@lru_cache(maxsize=len(LIGHTS) * 2)
def seen_under(light: LightName = "D65", observer: Observer = "2") -> Seen:
    """Return the weights of one light and observer.

    Parameters
    ----------
    light : str
        One of :data:`LIGHTS`.
    observer : str
        ``"2"`` for small samples and screens, ``"10"`` for large ones side by side. Never mix them.

    Notes
    -----
    Tables made by tests/reference/colour_weights.py.
    """
    table = np.array(
        [[float(row[axis]) for axis in "xyz"] for row in rows(f"colour/weights_{light}_{observer}")], dtype=np.float64
    )
    white = table.sum(axis=0)
    for array in (table, white):
        array.setflags(write=False)
    return Seen(light, observer, table, white)
