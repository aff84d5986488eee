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
ROUNDS = 8
"""Rounds in which the surface of all rings and what crosses it agree; two or three are the rule."""
AGREED = 1e-4
"""Below so many kelvin between two rounds they agree."""
LEAST = 1.0
"""No surface is taken below it while the rounds still search [K]."""
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
def _from_load(told: Array, spot: float, support: float, piece: float, dt: float) -> tuple[float, float, float, float]:
    """Return (heat to the spot [W], how much less of it for each kelvin of the spot, support, piece) over a step."""
    room = told[ROOM]
    room4, spot4 = room**4, spot**4
    slope = told[AREA] / 2 * told[VIEW] * told[EMISSIVITY] * 4 * SIGMA * spot**3 + told[CONTACT] * told[CONTACT_AREA]
    small = dt / PARTS
    heat = 0.0
    for _ in range(PARTS):
        support4 = support**4
        down = told[AREA] / 2 * told[VIEW] * told[EMISSIVITY] * SIGMA * (support4 - spot4) + told[CONTACT] * told[
            CONTACT_AREA
        ] * (support - spot)
        away = told[AREA] / 2 * told[EMISSIVITY] * SIGMA * (support4 - room4) + told[FILM] * told[AREA] * (
            support - room
        )
        piece4 = piece**4
        share = told[PIECE_SUPPORT]
        under = told[PIECE_AREA] * (
            told[PIECE_VIEW] * SIGMA * (piece4 - share * support4 - (1 - share) * spot4)
            + told[PIECE_GAP] * (piece - (support + spot) / 2)
        )
        over = told[PIECE_AREA] * (told[PIECE_TOP] * SIGMA * (piece4 - room4) + told[PIECE_FILM] * (piece - room))
        to_spot = told[PIECE_SHARE] * under
        support += small * (under - to_spot - down - away) / told[MASS_HEAT]
        piece -= small * (under + over) / told[PIECE_HEAT]
        heat += (down + to_spot) / PARTS
    return heat, slope, support, piece


@njit(nogil=True, cache=True, error_model="numpy")
def _solved(surface: Array, film: Array, free: Array, top: Array, matrix: Array) -> None:
    """Fill `top` with the surface of rings that lose heat through their films; `matrix` is room to work in.

    By elimination without pivots: the matrix is that of a conducting body, positive in all its minors.
    """
    rings = top.size
    for i in range(rings):
        top[i] = free[i]
        for j in range(rings):
            matrix[i, j] = surface[i, j] * film[j]
        matrix[i, i] += 1.0
    for k in range(rings):
        for i in range(k + 1, rings):
            part = matrix[i, k] / matrix[k, k]
            if part != 0.0:
                for j in range(k + 1, rings):
                    matrix[i, j] -= part * matrix[k, j]
                top[i] -= part * top[k]
    for k in range(rings - 1, -1, -1):
        for j in range(k + 1, rings):
            top[k] -= matrix[k, j] * top[j]
        top[k] /= matrix[k, k]


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
    surface: Array,
    skin: float,
    told: Array,
    count: int,
    steps: int,
    dwell: int,
    dt: float,
    state: Array,
    top: Array,
    course: Array,
) -> float:
    """Run a session; fill `course` with (centre, mean, plate) of every step, and leave `state` as at its end.

    The stack is linear and goes by its own modes, exactly for a flux that is steady during a step. The flux
    through the top is not linear: it is found together with the surface at the end of the step, by rounds over
    the rings, so that no layer is too light or too bad a conductor for the step.

    Parameters
    ----------
    decay, gain, shape, face : ndarray, shape (modes, layers)
        Of every mode: what is left after a step, what a unit of flux adds, and the weights of top and wood face.
    project, expand : ndarray, shape (modes, rings) and (rings, modes)
        From rings to modes and back.
    areas, inside : ndarray, shape (rings,)
        Of the rings [m2], and the share of each below the load.
    surface : ndarray, shape (rings, rings)
        What a unit of flux on one ring adds to the surface of another within a step [m2 K/W].
    skin : float
        Resistance from where `face` is told to the face itself [m2 K/W]: not zero where the wood lies bare.
    told : ndarray
        In the order of `COLUMNS`.
    count, steps, dwell : int
        Loads, steps from one to the next, and steps each lies there.
    dt : float
        [s].
    state : ndarray, shape (modes, layers)
        Of the stack: as it begins, and changed to what it is at the end.
    top : ndarray, shape (rings,)
        Excess of the surface over the room, likewise [K].
    course : ndarray, shape (count * steps, 3)
        Filled: excess of the wood face over the room in the middle, on the mean, and of the top on the mean [K].

    Returns
    -------
    float
        Net heat that went in through the top [J].
    """
    modes, layers = decay.shape
    rings = areas.size
    flux = np.zeros(rings)
    free = np.zeros(rings)
    film = np.zeros(rings)
    bare = np.zeros(rings)
    matrix = np.zeros((rings, rings))
    reach = np.zeros(rings)
    below = 0.0
    whole = 0.0
    for i in range(rings):
        below += areas[i] * inside[i]
        whole += areas[i]
    for i in range(rings):
        for j in range(rings):
            reach[i] += surface[i, j] * inside[j] / below  # of the surface, for a watt of the load
    room = told[ROOM]
    taken = 0.0
    for load in range(count):
        support = told[START]
        piece = told[START]
        for step in range(steps):
            lies = step < dwell
            free[:] = 0.0
            for m in range(modes):
                left = 0.0
                for n in range(layers):
                    value = state[m, n] * decay[m, n]
                    state[m, n] = value
                    left += shape[m, n] * value
                for i in range(rings):
                    free[i] += expand[i, m] * left
            heat = 0.0
            hot, pieced = support, piece
            for _ in range(ROUNDS):
                stiff = 0.0
                spot = 0.0
                for i in range(rings):
                    warm = max(room + top[i] / 2, LEAST)  # middle of surface and room
                    film[i] = told[TOP_FILM] + told[TOP_EMISSIVITY] * 4 * SIGMA * warm**3
                    if lies:
                        film[i] *= 1 - inside[i] * told[COVERED]
                    spot += areas[i] * inside[i] * top[i] / below
                    stiff += areas[i] * inside[i] * reach[i] / (1 + surface[i, i] * film[i]) / below
                if lies:
                    asked, slope, hot, pieced = _from_load(told, max(room + spot, LEAST), support, piece, dt)
                moved = 0.0
                met = 0.0
                if lies:
                    # a short step: each ring for itself, its neighbours losing heat as they are
                    for i in range(rings):
                        beside = surface[i, i] * film[i] * top[i]
                        for j in range(rings):
                            beside -= surface[i, j] * film[j] * top[j]
                        bare[i] = (free[i] + beside) / (1 + surface[i, i] * film[i])
                        met += areas[i] * inside[i] * bare[i] / below
                    # Newton, the spot warming meanwhile
                    heat = asked - slope * (met + stiff * asked - spot) / (1 + stiff * slope)
                else:
                    # steps may be long here, and the rings feel each other within one
                    _solved(surface, film, free, bare, matrix)
                for i in range(rings):
                    one = bare[i] + heat * reach[i] / (1 + surface[i, i] * film[i])
                    moved = max(moved, abs(one - top[i]))
                    top[i] = one
                if moved < AGREED:
                    break
            support, piece = hot, pieced
            for i in range(rings):
                flux[i] = heat / below * inside[i] - film[i] * top[i]
                taken += flux[i] * areas[i] * dt
            centre = skin * flux[0]
            mean = 0.0
            plate = 0.0
            for i in range(rings):
                mean += skin * flux[i] * areas[i] / whole
                plate += top[i] * areas[i] / whole
            for m in range(modes):
                into = 0.0
                for i in range(rings):
                    into += project[m, i] * flux[i]
                wood = 0.0
                for n in range(layers):
                    value = state[m, n] + gain[m, n] * into
                    state[m, n] = value
                    wood += face[m, n] * value
                centre += expand[0, m] * wood
                if m == 0:
                    mean += expand[0, 0] * wood
            at = load * steps + step
            course[at, 0] = centre
            course[at, 1] = mean
            course[at, 2] = plate
    return taken
