"""The cells of the kiln wall against the semi-infinite solid, exact while heat has not reached the far face.

Source: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959), section 2.9: constant flux q
into a half space raises its face by 2 q sqrt(t / (pi k rho c)). Granite properties from memory.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from enamelwright.physics.chamber_bodies import Box, Lining
from enamelwright.physics.chamber_wall import wall_of

GRANITE = {"density": 2650.0, "specific_heat": 790.0, "conductivity": (2.8,), "emissivity": 0.9, "film": 0.0}
FLUX, SECONDS = 1e4, 300.0


def rise(flux: float, seconds: float, conductivity: float, volume_heat: float) -> float:
    """Rise of the face of a half space under a constant flux [K]."""
    return 2 * flux * sqrt(seconds / (pi * conductivity * volume_heat))


def test_the_closed_form_by_hand():
    """2 x 10 000 x sqrt(300 / (pi x 2.8 x 2.0935e6)) = 80.724 K."""
    assert rise(FLUX, SECONDS, 2.8, 2.0935e6) == pytest.approx(80.724, abs=1e-3)


def face_of_the_wall(cells: int, thickness: float) -> float:
    """Rise of the hot face of a wall so wide that it is flat, its cells joined by their resistances."""
    box, k = Box(50.0, 50.0, 50.0), 2.8
    wall = wall_of(box, Lining(thickness=thickness, **GRANITE), cells)
    between = (wall.outer[:-1] + wall.inner[1:]) / k
    power = FLUX * box.area

    def warming(_, t):
        flow = (t[:-1] - t[1:]) / between
        return (np.concatenate(([power], flow)) - np.concatenate((flow, [0.0]))) / wall.heat

    solved = solve_ivp(warming, (0, SECONDS), np.zeros(cells), method="BDF", rtol=1e-8, atol=1e-8)
    return float(solved.y[0, -1] + power * wall.inner[0] / k)


def test_the_wall_follows_the_half_space():
    """18 cells over 0.2 m, ten thermal lengths: the face within half a percent."""
    assert face_of_the_wall(18, 0.2) == pytest.approx(rise(FLUX, SECONDS, 2.8, 2650 * 790.0), rel=0.005)


def test_more_cells_come_closer():
    exact = rise(FLUX, SECONDS, 2.8, 2650 * 790.0)
    coarse, fine = (abs(face_of_the_wall(cells, 0.2) - exact) for cells in (12, 48))
    assert fine < 0.3 * coarse
