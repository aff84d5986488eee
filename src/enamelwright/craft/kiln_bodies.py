"""From the facts of a kiln and the tables of heat to the bodies of the heat balance."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from enamelwright import units
from enamelwright.craft.heat_capacity import specific_heat
from enamelwright.craft.kiln_facts import KilnFacts, kiln_fact, lining_row
from enamelwright.craft.metal_curves import curve
from enamelwright.errors import InputError, UnknownName
from enamelwright.physics.chamber_bodies import Body, Box, Case, Chamber, Doorway, Lining, Probe, Room
from enamelwright.physics.chamber_control import Control, OnOff, ProportionalIntegral
from enamelwright.reference import loader
from enamelwright.reference.loader import value

#: Temperatures at which the heat capacity of a load is kept [K]; its curves are straight between them.
LOAD_POINTS = (300.0, 600.0, 900.0, 1200.0)


def number(key: str) -> float:
    """Return the SI number of one constant of the table of kilns."""
    return kiln_fact(key).value


def chamber_of(facts: KilnFacts, conductivity: float = 1.0, storage: float = 1.0) -> Chamber:
    """Build the bodies of a kiln.

    Parameters
    ----------
    facts : KilnFacts
        The kiln.
    conductivity, storage : float
        Factors on the conductivity of the lining, and on the heat that lining and hearth store; 1 until
        the owner's own observations say otherwise.

    Raises
    ------
    InputError
        When such a kiln cannot be.
    """
    box = Box(facts.width, facts.depth, facts.height)
    row = lining_row(facts.lining)
    film = number("film_inside")
    lining = Lining(
        thickness=facts.wall,
        density=storage * float(row["density"]),
        specific_heat=float(row["specific_heat"]),
        conductivity=tuple(conductivity * float(row[f"c{power}"]) for power in range(4)),
        emissivity=float(row["emissivity"]),
        film=film,
    )
    margin = number("hearth_margin")
    if min(facts.width, facts.depth) <= 2 * margin:
        raise InputError("the inside of this kiln is too small for a hearth.", "Check width and depth.")
    clay = (facts.width - margin) * (facts.depth - margin)
    if facts.hearth_cover is not None:
        clay = facts.hearth_cover * box.area
    clay_heat = clay * facts.hearth_thickness * number("hearth_density") * number("hearth_specific_heat")
    wire = facts.power / number("element_loading")
    wire_heat = wire * number("element_areal_mass") * number("element_specific_heat")
    skin = box.grown(facts.wall).area * number("case_areal_mass") * number("case_specific_heat")
    room = value("heat/room")
    return Chamber(
        box=box,
        lining=lining,
        element=Body(wire, number("element_emissivity"), film, (room,), (wire_heat,)),
        hearth=Body(clay, number("hearth_emissivity"), film, (room,), (storage * clay_heat,)),
        hearth_contact=number("hearth_contact"),
        case=Case(skin, number("case_emissivity"), number("case_film")),
        doorway=Doorway(
            facts.door_width,
            facts.door_height,
            0.0 if facts.door == "lifts away" else number("door_face"),
            number("door_exchange"),
            number("door_leak"),
        ),
        probe=Probe(
            number("probe_volume_heat") * number("probe_radius"), number("probe_emissivity"), number("probe_film")
        ),
        room=Room(room, number("air_density"), number("air_heat"), number("gravity")),
        power=facts.power,
    )


def control_of(facts: KilnFacts) -> Control:
    """Return the controller of a kiln; a dial is run up to heat by hand as a steady controller would.

    Parameters
    ----------
    facts : KilnFacts
        The kiln.
    """
    if facts.control == "on-off":
        return OnOff(number("control_hysteresis"))
    return ProportionalIntegral(number("control_gain"), number("control_rate"), number("control_lowest"), 1.0)


def load_body(steel: float, ceramic: float, copper: float, area: float, emissivity: float) -> Body:
    """Return what stands in the kiln as one lump.

    Parameters
    ----------
    steel, ceramic, copper : float
        Masses [kg]; ceramic includes glass.
    area, emissivity : float
        Of its outside [m2].

    Raises
    ------
    InputError
        When it has no mass.
    """
    at = np.array(LOAD_POINTS)
    heat = (
        steel * specific_heat("stainless", at)
        + ceramic * specific_heat("glass", at)
        + copper * curve("copper/specific_heat")(at)
    )
    return Body(area, emissivity, number("film_load"), LOAD_POINTS, tuple(float(h) for h in heat))


@lru_cache(maxsize=1)
def load_classes() -> dict[str, Body]:
    """Return the loads of the table, lightest first."""
    return {row["load"]: _row_body(row) for row in loader.rows("heat/kiln_loads")}


def _row_body(row: loader.Row) -> Body:
    steel, ceramic, copper = (
        units.to_si(float(row[f"{name}_g"]), "g", "mass") for name in ("steel", "ceramic", "copper")
    )
    area = units.to_si(float(row["area_cm2"]), "cm2", "area")
    return load_body(steel, ceramic, copper, area, float(row["emissivity"]))


def load_class(name: str) -> Body | None:
    """Return one load of the table; ``none`` is the door alone.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    if name == "none":
        return None
    if name not in load_classes():
        raise UnknownName.among("load", name, ["none", *load_classes()])
    return load_classes()[name]
