"""How far the curves of a jar may be off when no covariance says so: wide where nobody measured it."""

from __future__ import annotations

from functools import lru_cache
from math import ceil
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.craft.jar import FITTED
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]
Basis = Literal["fitted", "described", "one colour", "invented"]


@lru_cache(maxsize=16)
def prior_rows(basis: Basis, milky: bool) -> Array:
    """Return rows F whose F'F is the covariance of (ln K at the bands, ln S, power) of a jar that states none.

    Parameters
    ----------
    basis : str
        What its curves rest on. Of one colour that hides only the ratio of K to S is known, so both move together.
    milky : bool
        Whether its scattering falls with wavelength, and how steeply is then open too.

    Returns
    -------
    ndarray, shape (r, 38)
        A common strength, a smooth change of shape, the scattering, and its power.
    """
    kind = "invented" if basis == "invented" else "described"
    strength, shape, power = (value(f"colour/jar/{kind}_{part}_sd") for part in ("strength", "shape", "power"))
    hidden = "described" if basis in ("fitted", "described") else "invented"
    cloud = value(f"colour/jar/{hidden}_scattering_sd")
    bumps = _bumps()
    many = BANDS.size
    found = np.zeros((len(bumps) + 2 + milky, FITTED))
    found[0, :many] = strength
    found[1 : len(bumps) + 1, :many] = shape * bumps
    place = len(bumps) + 1
    found[place, many] = cloud
    if basis == "one colour":
        found[place, :many] = cloud
    if milky:
        found[place + 1, many + 1] = power
    found.setflags(write=False)
    return found


def _bumps() -> Array:
    """Return smooth bumps side by side, shape (bumps, 36), whose squares add up to one at every band."""
    length = value("colour/jar/shape_length")
    low, high = float(BANDS[0]), float(BANDS[-1])
    centres = np.linspace(low, high, ceil((high - low) / length) + 1)
    bumps = np.exp(-0.5 * ((BANDS - centres[:, np.newaxis]) / length) ** 2)
    found: Array = bumps / np.sqrt(np.sum(bumps**2, axis=0))
    return found
