"""How fast a thin piece cools in still air, as one lump."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.constants import STEFAN_BOLTZMANN

Array = npt.NDArray[np.float64]

#: A law of the temperature [K], shape kept.
Law = Callable[[Array], Array]

PANELS = 192
"""Panels of the integral between two neighbouring temperatures; a few kelvin each, so that a sharp peak of
the specific heat is met by several."""
NODES, WEIGHTS = np.polynomial.legendre.leggauss(3)


def cooling_times(
    start: npt.ArrayLike,
    room: npt.ArrayLike,
    targets: npt.ArrayLike,
    *,
    heat: Law,
    emissivity: npt.ArrayLike,
    film: Law,
    scale: npt.ArrayLike = 1.0,
) -> Array:
    """Seconds until a piece has cooled to each of several temperatures.

    Both faces radiate to a black room and give heat to its air; edges, and whatever the piece lies on, are
    left out. Nothing in the room changes with time, so the time is an integral over the temperature,
    ``t = int C dT / q``, taken over the logarithm of the excess over the room; no stepping in time.

    Parameters
    ----------
    start : array_like, shape (members,) or scalar
        Temperature out of the kiln [K].
    room : array_like, shape (members,) or scalar
        Air and walls [K]; a piece over something warm has a warm room.
    targets : array_like, shape (k,) or (members, k)
        Temperatures to wait for [K].
    heat : callable
        Heat capacity of piece and glass to a square metre of one face [J/m2/K].
    emissivity : array_like, shape (members,) or scalar
        Of the two faces together, 0 to 2.
    film : callable
        Heat transfer to the air from both faces together [W/m2/K].
    scale : array_like, shape (members,) or scalar
        Factor on the heat capacity.

    Returns
    -------
    ndarray, shape (members, k)
        0 where the target is not below the start, infinite where it is not above the room.

    Raises
    ------
    InputError
        When a temperature is not a positive finite number, or nothing carries the heat away.
    """
    first, air, factor, shine = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(one, dtype=np.float64)) for one in (start, room, scale, emissivity))
    )
    wanted = np.asarray(targets, dtype=np.float64)
    if not all(np.all(np.isfinite(one)) and np.all(one > 0) for one in (first, air, wanted, factor)):
        raise InputError("cooling needs absolute temperatures and a heat capacity above zero")
    if not np.all(np.isfinite(shine)) or np.any(shine < 0) or np.any(shine > 2):
        raise InputError("two faces together have an emissivity between 0 and 2")
    members = max(first.size, wanted.shape[0] if wanted.ndim == 2 else 1)
    first, air, factor, shine = (np.broadcast_to(one, (members,)) for one in (first, air, factor, shine))
    wanted = np.broadcast_to(np.atleast_1d(wanted), (members, wanted.shape[-1] if wanted.ndim else 1))
    order = np.argsort(-wanted, axis=1)
    falling = np.take_along_axis(wanted, order, axis=1)
    seconds = np.zeros(wanted.shape)
    above, passed = first.copy(), np.zeros(members)
    for k in range(falling.shape[1]):
        goal = np.minimum(falling[:, k], above)
        reached = goal > air
        ends = np.where(reached[:, None], np.stack([goal, above], axis=1), (air + 1)[:, None])
        passed = passed + factor * _between(ends[:, 0], ends[:, 1], air, shine, heat, film)
        seconds[:, k] = np.where(reached, passed, np.inf)
        above = np.where(reached, goal, above)
    result = np.empty_like(seconds)
    np.put_along_axis(result, order, seconds, axis=1)
    return result


def _between(low: Array, high: Array, room: Array, emissivity: Array, heat: Law, film: Law) -> Array:
    """Seconds from `high` down to `low`, both above the room, by Gauss-Legendre panels."""
    ends = np.log(low - room), np.log(high - room)
    width = (ends[1] - ends[0]) / PANELS
    middles = ends[0][:, None] + width[:, None] * (np.arange(PANELS) + 0.5)
    result = np.zeros(low.shape)
    cold = room[:, None]
    for node, weight in zip(NODES, WEIGHTS, strict=True):
        kelvin = cold + np.exp(middles + width[:, None] * node / 2)
        # q / (T - T0), regular down to the room itself
        radiated = emissivity[:, None] * STEFAN_BOLTZMANN * (kelvin**2 + cold**2) * (kelvin + cold)
        carried = radiated + film(kelvin)
        if np.any(carried <= 0):
            raise InputError("nothing carries the heat of the piece away")
        result += weight / 2 * width * np.sum(heat(kelvin) / carried, axis=1)
    return result
