"""Made-up laws of when a coat glosses, none of them the product's: what invented workshops really do.

A dose grows e-fold every so many kelvin and asks for so much more with each millimetre of copper; the other is an
Arrhenius law on a disc that warms up with one time constant. In both a door cools the chamber by so many kelvin, which
come back with one time constant. Nothing of it is a formula of the product, which follows radiation, sintering and
levelling.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp
from typing import Literal

import numpy as np

Law = Literal["dose", "arrhenius"]

#: Step, and the longest time followed [s].
STEP, LONGEST = 0.5, 900.0
#: Over which a chamber comes back [s], room [degrees C] and gas constant [J/mol/K].
BACK, ROOM, GAS = 75.0, 20.0, 8.314
#: What a disc of 1 mm needs by the dose, and of 0.9 mm by the other law, at the heat of its glass [s].
DOSE, WORK = 50.0, 19.0
#: Time constant of a disc of 0.9 mm [s].
WARMS, USUAL = 20.0, 0.9


@dataclass(frozen=True)
class InventedLaw:
    """One law as one workshop has it.

    Attributes
    ----------
    law : str
        Which of the two.
    slow : float
        How many times as much of it everything needs.
    e_fold : float
        Kelvin over which the dose grows e-fold.
    by_metal : float
        How much more of the dose each millimetre of copper asks for.
    energy : float
        Of the Arrhenius law [J/mol].
    """

    law: Law
    slow: float
    e_fold: float
    by_metal: float
    energy: float

    @classmethod
    def drawn(cls, law: Law, rng: np.random.Generator) -> InventedLaw:
        """Draw one: glasses gain e-fold in 20 to 45 K, or have 250 to 420 kJ/mol; studios differ by a third."""
        slow = float(np.exp(rng.normal(0, 0.3)))
        return cls(
            law, slow, float(rng.uniform(20, 45)), float(rng.uniform(0.2, 0.9)), float(rng.uniform(250e3, 420e3))
        )

    def gloss(self, celsius: float, heat: float, thickness: float, drop: float) -> float:
        """Return when gloss comes [s]; infinite beyond a quarter of an hour.

        Parameters
        ----------
        celsius : float
            Of the chamber when it has come back [degrees C].
        heat : float
            Of the glass [degrees C].
        thickness : float
            Of the copper [mm].
        drop : float
            By which the door cools the chamber [K].
        """
        times = np.arange(STEP, LONGEST, STEP)
        chamber = celsius - drop * np.exp(-times / BACK)
        if self.law == "dose":
            needed = DOSE * self.slow * (1 + self.by_metal * (thickness - 1.0))
            rate = np.exp((chamber - heat) / self.e_fold) / needed
        else:
            piece, warmed = np.empty_like(times), ROOM
            keeps = exp(-STEP / (WARMS * thickness / USUAL))
            for k, around in enumerate(chamber.tolist()):
                warmed = around + (warmed - around) * keeps
                piece[k] = warmed
            turn = 1 / (heat + 273.15) - 1 / (piece + 273.15)
            rate = np.exp(self.energy / GAS * turn) / (WORK * self.slow)
        done = np.cumsum(rate) * STEP
        k = int(np.searchsorted(done, 1.0))
        return float(times[k]) if k < len(times) else float("inf")
