"""One colour as seen: its numbers, what a screen shows of it, and whether the metal catches the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.light import Seen, seen_under
from enamelwright.physics.colour.colour_space import srgb_of, xyz_of_lab

Array = npt.NDArray[np.float64]

#: How a piece is held: the metal mirrors something bright, or something dark.
View = Literal["catching the light", "turned away"]
VIEWS: tuple[View, ...] = ("catching the light", "turned away")
_BYTE = 255  # steps of one channel of a screen


def mirrored(view: View) -> float:
    """Return how bright what the metal mirrors is: 1 as white, 0 dark."""
    return 1.0 if view == VIEWS[0] else 0.0


@dataclass(frozen=True)
class Look:
    """One colour as seen.

    Attributes
    ----------
    lab : tuple of float
        Under the first light asked for.
    daylight : tuple of float
        Lab under daylight D65, 2 degrees, as a screen shows it.
    rgb : tuple of float
        Channels of a screen under daylight D65, 0 to 1, cut to what it can show.
    in_gamut : bool
        Whether a screen can show it.
    """

    lab: tuple[float, float, float]
    daylight: tuple[float, float, float]
    rgb: tuple[float, float, float]
    in_gamut: bool

    @property
    def hex(self) -> str:
        """The colour for a screen as ``#rrggbb``; beyond the screen, the nearest of its own hue."""
        return _hex(self.rgb) if self.in_gamut else _fitted(self.daylight)


def looks_of(reflectance: Array, seen: Seen) -> list[Look]:
    """Return the looks of reflectances.

    Parameters
    ----------
    reflectance : ndarray, shape (n, 36)
        To be seen.
    seen : Seen
        The light and observer their Lab is told for; a screen always shows daylight.
    """
    day = seen_under("D65")
    labs = seen.lab(reflectance).tolist()
    daylight = labs if seen is day else day.lab(reflectance).tolist()
    rgb, inside = srgb_of(day.xyz(reflectance))
    return [
        Look(three(lab), three(shown), three(channels), bool(fits))
        for lab, shown, channels, fits in zip(labs, daylight, rgb.tolist(), inside.tolist(), strict=True)
    ]


def three(values: Sequence[float]) -> tuple[float, float, float]:
    """Return three numbers as a tuple."""
    a, b, c = values
    return float(a), float(b), float(c)


def _hex(rgb: Sequence[float]) -> str:
    return "#" + "".join(f"{round(channel * _BYTE):02x}" for channel in rgb)


@lru_cache(maxsize=4096)
def _fitted(lab: tuple[float, float, float]) -> str:
    """Bring a colour beyond the screen onto it by lowering its chroma, lightness and hue held."""
    from coloraide import Color

    found = Color("lab-d65", list(lab)).fit("srgb", method="oklch-chroma").convert("srgb")
    return _hex([min(max(float(channel), 0.0), 1.0) for channel in found.coords()])


def screen_colour(lab: Sequence[float]) -> tuple[str, bool]:
    """Return (``#rrggbb``, whether a screen can show it) of a Lab under daylight D65.

    Parameters
    ----------
    lab : sequence of float
        2 degree observer.
    """
    rgb, inside = srgb_of(np.maximum(xyz_of_lab(lab, seen_under("D65").white), 0.0))
    return (_hex(rgb.tolist()) if inside else _fitted(three(lab))), bool(inside)
