"""One small fibre kiln, 220 x 200 x 150 mm inside, 60 mm wall, 1800 W, written out in numbers."""

from __future__ import annotations

from enamelwright.physics.chamber_bodies import Body, Box, Case, Chamber, Doorway, Lining, Probe, Room
from enamelwright.physics.chamber_control import ProportionalIntegral

ROOM = 293.15
SET = 1073.15
FIBRE = (-0.0212699, 1.600556e-4, 0.0, 4.74355e-11)
STEEL = {300.0: 477.0, 600.0: 557.0, 900.0: 600.0, 1200.0: 640.0}
CLAY = {300.0: 780.0, 600.0: 1010.0, 900.0: 1180.0, 1200.0: 1230.0}


def small_kiln(wall: float = 0.06, power: float = 1800.0, hearth: float = 0.008, conductivity: float = 1.0) -> Chamber:
    box = Box(0.22, 0.20, 0.15)
    return Chamber(
        box=box,
        lining=Lining(wall, 200.0, 1130.0, tuple(conductivity * c for c in FIBRE), 0.6, 8.0),
        element=Body(0.036, 0.85, 8.0, (ROOM,), (0.18 * 700.0,)),
        hearth=Body(0.21 * 0.19, 0.85, 8.0, (ROOM,), (0.21 * 0.19 * hearth * 2000.0 * 1000.0,)),
        hearth_contact=60.0,
        case=Case(2.6 * 480.0, 0.8, 1.31),
        doorway=Doorway(0.22, 0.15, 0.8, 0.2, 2e-5),
        probe=Probe(3.8e6 * 1.5e-3, 0.85, 15.0),
        room=Room(ROOM, 1.2, 1100.0, 9.81),
        power=power,
    )


def controller() -> ProportionalIntegral:
    return ProportionalIntegral(0.02, 4e-4, -0.2, 1.0)


def load(steel: float, clay: float, area: float, emissivity: float) -> Body:
    heat = tuple(steel * STEEL[t] + clay * CLAY[t] for t in STEEL)
    return Body(area, emissivity, 10.0, tuple(STEEL), heat)


MESH = load(0.07, 0.0, 0.018, 0.75)
PLATE = load(0.07, 0.12, 0.042, 0.8)
