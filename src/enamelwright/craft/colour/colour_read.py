"""A colour as it was read off a tile, for its own light and with its gloss, and what that is in daylight without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from enamelwright.craft.colour.fired_tile import TAKEN, Taking
from enamelwright.craft.colour.light import LIGHT_WORDS, LIGHTS, LightName, Observer, seen_under
from enamelwright.errors import OutOfReach
from enamelwright.physics.colour.colour_space import adapted, lab_of, xyz_of_lab
from enamelwright.physics.colour.layer_optics import normal_reflectance
from enamelwright.reference.loader import value

Lab = tuple[float, float, float]
OBSERVERS: tuple[Observer, ...] = ("2", "10")
#: Light and observer of every colour the pages compare, match and show: what screens are made for.
DAYLIGHT: LightName = "D65"
EYE: Observer = "2"


@dataclass(frozen=True)
class ColourRead:
    """One reading.

    Attributes
    ----------
    lab : tuple of float
        L*, a*, b* as read.
    light, observer : str
        For which they hold; the light empty when nobody told, and daylight is meant.
    taken : str
        How the tile was lit: it decides whether mirroring metal and gloss are in it.
    index : float or None
        Refractive index of the uppermost glass; of lead-free glass when left out.
    reflectance : tuple of float or None
        At the 36 bands, when an instrument told it.
    """

    lab: Lab
    light: str = ""
    observer: str = EYE
    taken: Taking = "unknown"
    index: float | None = None
    reflectance: tuple[float, ...] | None = None

    @property
    def gloss(self) -> float:
        """Share of the light that the surface of the glass adds to the reading."""
        if not self.light:
            return 0.0
        top = self.index if self.index is not None else value("colour/index/lead_free")
        return float(TAKEN[self.taken][1] * normal_reflectance(top))

    @property
    def mirrors(self) -> bool:
        """Whether bright surroundings mirrored in the metal are in the reading."""
        return TAKEN[self.taken][0] > 0

    def in_daylight(self) -> Lab:
        """Return the same surface under daylight D65 for 2 degrees, its gloss taken off.

        Raises
        ------
        OutOfReach
            When its light or observer is not known here.

        Notes
        -----
        Gloss has no colour of its own, so it is taken off as a share of white. A reflectance is lit anew; L*, a*, b*
        alone are carried over by :func:`enamelwright.physics.colour.colour_space.adapted`.
        """
        day = seen_under(DAYLIGHT, EYE)
        if self.reflectance is not None:
            return _three(day.lab(np.maximum(np.array(self.reflectance) - self.gloss, 0.0)))
        if not self.light or (self.light, self.observer, self.gloss) == (DAYLIGHT, EYE, 0.0):
            return self.lab
        light = next((one for one in LIGHTS if one == self.light), None)
        observer = next((one for one in OBSERVERS if one == self.observer), None)
        if light is None or observer is None:
            raise OutOfReach(
                f"a colour for '{self.light[:20]}' and '{self.observer[:10]}' degrees cannot be carried to daylight.",
                "Read it again, or correct what was written.",
            )
        there = seen_under(light, observer)
        plain = np.maximum(xyz_of_lab(self.lab, there.white) - self.gloss * there.white, 0.0)
        return _three(lab_of(np.maximum(adapted(plain, there.white, day.white), 0.0), day.white))

    def words(self) -> str:
        """Say in one line what was done to it, empty when nothing was."""
        if not self.light:
            return "its light was not told; daylight is taken"
        done = [] if self.light == DAYLIGHT else [f"read for {LIGHT_WORDS.get(self.light, self.light)}"]  # type: ignore[call-overload]
        if self.observer != EYE:
            done.append(f"for {self.observer} degrees")
        if self.gloss:
            done.append("with the gloss of the glass")
        return f"{', '.join(done)}; shown in daylight without" if done else ""


def _three(lab: Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]]) -> Lab:
    lightness, a, b = (float(one) for one in lab)
    return lightness, a, b
