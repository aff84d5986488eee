"""The named test pieces of the heating and fusing checks, and the two responses they are fired in.

Numbers chosen for the checks: a 32 mm x 0.9 mm copper disc with 0.5 kg/m2 of enamel on top, bright below,
on a mesh or a ceramic plate. Nothing here is a fact of the product.
"""

from __future__ import annotations

from dataclasses import replace
from math import pi

import numpy as np

from enamelwright.physics.convection import GRAVITY, AirFilm
from enamelwright.physics.gloss_clock import StageRules, Thresholds, thresholds
from enamelwright.physics.heated_bodies import HeatedBodies, Oxidation, Powder, VftStack
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.physics.levelling import thin_film_gloss
from enamelwright.physics.viscosity import VftViscosity

ZERO_C = 273.15
MM = 1e-3

_T = [0, 1, 2, 3, 5, 8, 12, 18, 25, 30, 35, 40, 50, 60, 70, 80, 90, 100, 120, 150, 180, 240, 290]
_MESH = (
    [-52, -48, -45, -42, -37, -29, -20, -7, 7, 15, 20, 24, 24, 20, 14, 8, 4, 2, 0, 1, 1, 1, 1],
    [-100, -94, -90, -85, -77, -66, -52, -34, -16, -6, 2, 6, 10, 7, 2, -2, -6, -9, -10, -10, -10, -10, -10],
)
_PLATE = (
    [-91, -89, -87, -86, -83, -80, -76, -71, -64, -59, -53, -47, -34, -20, -6, 5, 11, 14, 13, 6, 3, 1, 1],
    [
        -176,
        -172,
        -169,
        -165,
        -159,
        -151,
        -140,
        -125,
        -109,
        -99,
        -88,
        -79,
        -60,
        -43,
        -27,
        -14,
        -6,
        -1,
        0,
        -4,
        -7,
        -9,
        -9,
    ],
)


def response(columns: tuple[list[int], list[int]]) -> KilnResponse:
    return KilnResponse(np.array(_T, float), np.array(columns[0], float), np.array(columns[1], float))


MESH, PLATE = response(_MESH), response(_PLATE)


def points(kelvin: list[float], values: list[float]):
    """A specific heat as a straight-line table, ends held."""
    return lambda t: np.interp(t, kelvin, values)


COPPER = points([300, 400, 600, 800, 1000, 1200], [385, 397, 417, 433, 451, 480])
SILVER = points([300, 400, 600, 800, 1000, 1200], [235, 239, 250, 262, 277, 292])
GLASS = points([300, 600, 900, 1200], [780, 1010, 1180, 1230])
STAINLESS = points([300, 600, 900, 1200], [477, 557, 600, 640])

#: Soft, medium and hard enamel through 10^12, 10^6.6 and 10^3 Pa s.
SOFT, MEDIUM, HARD = (
    VftViscosity.from_three_points(*((t + ZERO_C, level) for t, level in zip(at, (12.0, 6.6, 3.0), strict=True)))
    for at in ((450, 555, 715), (475, 590, 760), (500, 622, 805))
)
AIR = AirFilm(300.0, 0.0264, 0.8, 1.6e-5, 1.7, 0.69, 0.54, 0.27, 1.0)
MID_OXIDE = Oxidation(2.5e-13, 111e3 / 8.314462618, 800 + ZERO_C, 0.4e-6)
RULES = StageRules(
    neck=0.3, dense=0.95, slope=0.010, run=1e-3, thick=1.3, late=12.0, level_low=0.7, level_high=2.5, least=4.0
)  # fmt: skip
FIXED_FILM = 13.0


def disc(diameter=32 * MM, thickness=0.9 * MM, *, coat=0.5, back=0.0, **changes) -> HeatedBodies:
    """A copper disc on a mesh of 60 g; entries may be arrays."""
    area = pi * np.asarray(diameter) ** 2 / 4
    bare = changes.pop("bare_top", False)
    lower = (
        {"bottom_emissivity": 0.90}
        if np.all(np.asarray(back) > 0)
        else {"bottom_emissivity": 0.05, "bottom_dark": 0.75}
    )
    upper = {"top_emissivity": 0.05, "top_dark": 0.75} if bare else {"top_emissivity": 0.90}
    body = HeatedBodies(
        area=area, edge_area=pi * np.asarray(diameter) * thickness, length=np.asarray(diameter) / 4,
        metal_density=8960.0, metal_thickness=thickness, specific_heat=COPPER,
        glass_top=coat, glass_bottom=back, glass_specific_heat=GLASS, **upper, **lower,
        support_mass=0.060, support_area=0.016, support_emissivity=0.75, support_film=15.0,
        support_specific_heat=STAINLESS, view=0.30, start=20 + ZERO_C, support_start=20 + ZERO_C,
    )  # fmt: skip
    return replace(body, **changes)


def powder(top=0.5, bottom=0.0, grain=150e-6, **changes) -> Powder:
    """Loose powder of the test grain, all of it fresh."""
    return Powder(top, bottom, grain / 2 / 0.25, packing=0.50, loose=0.22, melt=1.10, melt_density=2500.0, **changes)


#: The ceramic plate, its heat capacity given as that of steel.
ON_PLATE = {"support_mass": 0.19, "support_area": 0.042, "support_emissivity": 0.8, "view": 0.95}


def laws(grain=150e-6, coat=0.2 * MM, melt=None, tilt=0.0) -> Thresholds:
    """Stages by the laws of the product."""
    return thresholds(
        grain, coat, coat if melt is None else melt, tension=0.25, density=2500.0, packing=0.50, rules=RULES, tilt=tilt
    )


def marks(grain=150e-6, coat=0.2 * MM) -> Thresholds:
    """Stages the independent heating runs were told by: gloss in the limit of a thin film, over-firing the later of
    12 times that and 1 mm of run down a wall."""
    found = laws(grain, coat)
    gloss = thin_film_gloss(grain, coat, coat, tension=0.25, slope=RULES.slope)
    run = 2 * RULES.run / (2500.0 * GRAVITY * (RULES.thick * np.asarray(coat)) ** 2)
    return Thresholds(found.neck, found.dense, gloss, np.maximum(RULES.late * gloss, run))


def clock(*laws: VftViscosity) -> VftStack:
    return VftStack.of(laws)
