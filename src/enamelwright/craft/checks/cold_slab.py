"""What a cold slab does to a counter-enamelled face that is laid on it hot."""

from __future__ import annotations

from math import exp, sqrt

from enamelwright.craft.checks.flatness_states import Solved
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.coat import Face
from enamelwright.figure import Figure, Origin
from enamelwright.physics.slab import SlabLayer, chill
from enamelwright.reference import loader

#: Seconds followed: the tension peaks within the first fifth of one.
FOLLOWED = 2.0
FACES: tuple[Face, ...] = ("back", "front")


def landing_temperature(solved: Solved) -> float:
    """Return how hot the piece is when it is laid down [K].

    Parameters
    ----------
    solved : Solved
        The piece; how long it cools before it is lifted, when the maker says so.
    """
    waited = solved.model.layup.piece.firing.lift_after
    if waited is None:
        return level("slab_from")
    room, top = loader.value("heat/room"), solved.model.history.tops[-1]
    return room + (top - room) * exp(-waited / loader.value("heat/cooling_time_constant"))


def slab_tension(solved: Solved) -> Figure:
    """Return the largest tension of the back glass laid on a cold slab [Pa].

    Only the gradient counts: near 500 °C the glass carries no other stress worth naming. The band is
    that of the contact, from poor to close.

    Parameters
    ----------
    solved : Solved
        A piece with glass on its back.
    """
    start = landing_temperature(solved)
    contact = loader.fact("heat/slab_contact")
    low, high = (_tension(solved, start, film) for film in (contact.low, contact.high))
    middle = _tension(solved, start, sqrt(contact.low * contact.high))
    origin = Origin(kind="computed", source="conduction and elastic stress through the sheet", status="computed")
    return Figure(value=middle, low=min(low, middle), high=max(high, middle), dimension="stress", origin=origin)


def _tension(solved: Solved, start: float, film: float) -> float:
    room = loader.value("heat/room")
    result = chill(_layers(solved, start), start, (film, room), (loader.value("heat/air_film"), room), FOLLOWED)
    return max(float(result.back_stress.max()), 0.0)


def _layers(solved: Solved, kelvin: float) -> list[SlabLayer]:
    """Return the sheet from back to front: all glass of one face as one layer."""
    model = solved.model
    metal = model.layup.metal
    sheet = SlabLayer(
        thickness=model.layup.thickness,
        conductivity=float(metal.conductivity(kelvin)),
        heat_capacity=metal.density.value * float(metal.specific_heat(kelvin)),
        modulus=float(metal.young_at(kelvin)) / (1 - metal.poisson.value),
        expansion=metal.mean_expansion.value,
    )
    layers = [sheet]
    for face in FACES:
        members = model.history.on(face)
        if not members:
            continue
        one = model.history.laminae[members[0]]
        solid = model.solid(one)
        glass = SlabLayer(
            thickness=model.history.glass(face),
            conductivity=loader.value("glass/conductivity"),
            heat_capacity=one.layer.glass.density.value * loader.value("glass/specific_heat"),
            modulus=solid.modulus,
            expansion=solid.expansion_glass,
        )
        layers = [glass, *layers] if face == "back" else [*layers, glass]
    return layers
