"""The compiled loop of a landing spot: hot loads set down one after another on a stack of layers.

It calls no kernel of another file, releases the interpreter lock and spreads over no threads itself.
Imported only when a landing spot is worked out, because the compiler takes a second to load.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numba import njit

from enamelwright.physics.constants import STEFAN_BOLTZMANN

if TYPE_CHECKING:
    import numpy.typing as npt

    Array = npt.NDArray[np.float64]

SIGMA = STEFAN_BOLTZMANN
PARTS = 4
"""Steps of the load within one step of the stack: a thin support loses some tens of kelvin a second at first."""
COLUMNS = (
    "room", "start", "top_film", "top_emissivity", "covered",
    "mass_heat", "area", "emissivity", "view", "film", "contact", "contact_area",
    "piece_heat", "piece_area", "piece_top", "piece_view", "piece_film", "piece_gap", "piece_support", "piece_share",
)  # fmt: skip
"""What the kernel reads of the load and the bench, in this order ..."""
(
    ROOM, START, TOP_FILM, TOP_EMISSIVITY, COVERED,
    MASS_HEAT, AREA, EMISSIVITY, VIEW, FILM, CONTACT, CONTACT_AREA,
    PIECE_HEAT, PIECE_AREA, PIECE_TOP, PIECE_VIEW, PIECE_FILM, PIECE_GAP, PIECE_SUPPORT, PIECE_SHARE,
) = range(20)  # fmt: skip
"""... and the number of each."""


@njit(nogil=True, cache=True, error_model="numpy")
def land(
    decay: Array,
    gain: Array,
    shape: Array,
    project: Array,
    expand: Array,
    areas: Array,
    inside: Array,
    face: Array,
    half_cell: float,
    told: Array,
    count: int,
    steps: int,
    dwell: int,
    dt: float,
    course: Array,
    last: Array,
) -> float:
    """Run a session; fill `course` with (centre, mean, plate) of every step, and `last` with the state at its end.

    The stack is linear and goes by its own modes, exactly for a flux that is steady during a step; only the
    flux through the top is not linear, and is taken from the temperatures at the beginning of the step.

    Parameters
    ----------
    decay, gain, shape, face : ndarray, shape (modes, layers)
        Of every mode: what is left after a step, what a unit of flux adds, and the weights of top and wood face.
    project, expand : ndarray, shape (modes, rings) and (rings, modes)
        From rings to modes and back.
    areas, inside : ndarray, shape (rings,)
        Of the rings [m2], and the share of each below the load.
    half_cell : float
        Resistance from the middle of the first cell to its surface [m2 K/W].
    told : ndarray
        In the order of `COLUMNS`.
    count, steps, dwell : int
        Loads, steps from one to the next, and steps each lies there.
    dt : float
        [s].
    course : ndarray, shape (count * steps, 3)
        Filled: excess of the wood face over the room in the middle, on the mean, and of the top on the mean [K].
    last : ndarray, shape (layers,)
        Filled: the modes that are even over the rings, at the end.

    Returns
    -------
    float
        Net heat that went in through the top [J].
    """
    modes, layers = decay.shape
    rings = areas.size
    state = np.zeros((modes, layers))
    top = np.zeros(rings)
    flux = np.zeros(rings)
    below = 0.0
    for i in range(rings):
        below += areas[i] * inside[i]
    room = told[ROOM]
    room4 = room**4
    taken = 0.0
    for load in range(count):
        support = told[START]
        piece = told[START]
        for step in range(steps):
            lies = step < dwell
            heat = 0.0
            if lies:
                spot = 0.0
                for i in range(rings):
                    spot += areas[i] * inside[i] * top[i]
                spot = room + spot / below
                spot4 = spot**4
                small = dt / PARTS
                for _ in range(PARTS):
                    support4 = support**4
                    down = told[AREA] / 2 * told[VIEW] * told[EMISSIVITY] * SIGMA * (support4 - spot4) + told[
                        CONTACT
                    ] * told[CONTACT_AREA] * (support - spot)
                    away = told[AREA] / 2 * told[EMISSIVITY] * SIGMA * (support4 - room4) + told[FILM] * told[AREA] * (
                        support - room
                    )
                    piece4 = piece**4
                    share = told[PIECE_SUPPORT]
                    under = told[PIECE_AREA] * (
                        told[PIECE_VIEW] * SIGMA * (piece4 - share * support4 - (1 - share) * spot4)
                        + told[PIECE_GAP] * (piece - (support + spot) / 2)
                    )
                    over = told[PIECE_AREA] * (
                        told[PIECE_TOP] * SIGMA * (piece4 - room4) + told[PIECE_FILM] * (piece - room)
                    )
                    to_spot = told[PIECE_SHARE] * under
                    support += small * (under - to_spot - down - away) / told[MASS_HEAT]
                    piece -= small * (under + over) / told[PIECE_HEAT]
                    heat += (down + to_spot) / PARTS
            for i in range(rings):
                warm = room + top[i] / 2  # middle of surface and room
                film = told[TOP_FILM] + told[TOP_EMISSIVITY] * 4 * SIGMA * warm**3
                if lies:
                    film *= 1 - inside[i] * told[COVERED]
                flux[i] = heat / below * inside[i] - film * top[i]
                taken += flux[i] * areas[i] * dt
            for i in range(rings):
                top[i] = half_cell * flux[i]
            centre = 0.0
            mean = 0.0
            plate = 0.0
            for m in range(modes):
                into = 0.0
                for i in range(rings):
                    into += project[m, i] * flux[i]
                surface = 0.0
                wood = 0.0
                for n in range(layers):
                    value = state[m, n] * decay[m, n] + gain[m, n] * into
                    state[m, n] = value
                    surface += shape[m, n] * value
                    wood += face[m, n] * value
                for i in range(rings):
                    top[i] += expand[i, m] * surface
                centre += expand[0, m] * wood
                if m == 0:
                    mean = expand[0, 0] * wood
                    plate = expand[0, 0] * surface
            at = load * steps + step
            course[at, 0] = centre
            course[at, 1] = mean
            course[at, 2] = plate
    last[:] = state[0]
    return taken
