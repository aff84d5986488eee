"""The air about a piece: its film, from the reference tables."""

from __future__ import annotations

from functools import lru_cache

from enamelwright.physics.convection import AirFilm
from enamelwright.reference.loader import facts_of


@lru_cache(maxsize=1)
def air_film() -> AirFilm:
    """Return the film of still air on a level piece."""
    facts = facts_of("heat/air")

    def told(key: str) -> float:
        return facts[f"heat/air/{key}"].value

    return AirFilm(
        reference=told("reference"),
        conductivity=told("conductivity"),
        conductivity_power=told("conductivity_power"),
        viscosity=told("viscosity"),
        viscosity_power=told("viscosity_power"),
        prandtl=told("prandtl"),
        upper=told("upper"),
        lower=told("lower"),
        floor=told("floor"),
    )
