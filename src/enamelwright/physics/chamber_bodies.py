"""What a small kiln is made of: box, lining, element, hearth, case, doorway, probe, and what is put in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]


def _positive(thing: object, *names: str) -> None:
    """Refuse a body one of whose measures is not a positive finite number."""
    for name in names:
        number = getattr(thing, name)
        if not (np.isfinite(number) and number > 0):
            raise InputError(f"the {name.replace('_', ' ')} of a kiln must be more than nothing, not {number:g}.")


@dataclass(frozen=True)
class Box:
    """Inside of the chamber.

    Attributes
    ----------
    width, depth, height : float
        Inside measures [m]; the door takes the whole front, width times height.
    """

    width: float
    depth: float
    height: float

    def __post_init__(self) -> None:
        """Refuse a box without an inside."""
        _positive(self, "width", "depth", "height")

    @property
    def area(self) -> float:
        """All six inside faces [m2]."""
        return 2 * (self.width * self.depth + self.width * self.height + self.depth * self.height)

    def grown(self, wall: float) -> Box:
        """Return the outside of a box whose walls have this thickness [m]."""
        return Box(self.width + 2 * wall, self.depth + 2 * wall, self.height + 2 * wall)


@dataclass(frozen=True)
class Lining:
    """The insulating wall, the same on all six sides.

    Attributes
    ----------
    thickness : float
        [m].
    density, specific_heat : float
        [kg/m3], [J/(kg K)].
    conductivity : tuple of float
        Coefficients of a polynomial in absolute temperature, constant first [W/(m K), K].
    emissivity : float
        Of the hot face.
    film : float
        Air film on the hot face [W/(m2 K)].
    """

    thickness: float
    density: float
    specific_heat: float
    conductivity: tuple[float, ...]
    emissivity: float
    film: float

    def __post_init__(self) -> None:
        """Refuse a wall of nothing."""
        _positive(self, "thickness", "density", "specific_heat", "emissivity")

    def conducts(self, temperature: Array) -> Array:
        """Return the conductivity at temperatures [K] in W/(m K)."""
        total = np.full_like(temperature, self.conductivity[-1])
        for coefficient in self.conductivity[-2::-1]:
            total *= temperature
            total += coefficient
        return total


@dataclass(frozen=True)
class Body:
    """One lump that radiates into the chamber: element, hearth or load.

    Attributes
    ----------
    area : float
        Radiating area [m2].
    emissivity : float
        Of that area.
    film : float
        Air film [W/(m2 K)].
    temperature, heat : tuple of float
        Heat capacity [J/K] at temperatures [K], linear between, ends held. One entry each: constant.
    """

    area: float
    emissivity: float
    film: float
    temperature: tuple[float, ...]
    heat: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse a body without area or heat."""
        _positive(self, "area", "emissivity")
        if len(self.heat) != len(self.temperature) or not self.heat or min(self.heat) <= 0:
            raise InputError("a body in the kiln needs a heat capacity above nothing at every temperature.")

    def heat_at(self, temperature: float) -> float:
        """Return the heat capacity [J/K] at a temperature [K]."""
        if len(self.heat) == 1:
            return self.heat[0]
        return float(np.interp(temperature, self.temperature, self.heat))


@dataclass(frozen=True)
class Case:
    """Steel skin of the kiln.

    Attributes
    ----------
    heat : float
        Heat capacity [J/K].
    emissivity : float
        Of its outside.
    film : float
        Free convection outside is this times the cube root of the excess over the room [W/(m2 K^4/3)].
    """

    heat: float
    emissivity: float
    film: float


@dataclass(frozen=True)
class Doorway:
    """What passes the front of the chamber.

    Attributes
    ----------
    width, height : float
        Clear opening [m].
    face : float
        Share of the opening that the hot inner face of the open door adds; 0 when it is turned away.
    exchange : float
        Air through the opening is this times area, density and the square root of gravity, height and
        relative difference of density (orifice with flow both ways).
    leak : float
        Air through the closed door [kg/s].
    """

    width: float
    height: float
    face: float
    exchange: float
    leak: float

    @property
    def area(self) -> float:
        """Clear opening [m2]."""
        return self.width * self.height

    @property
    def black_area(self) -> float:
        """Area of a black hole that would let out as much radiation as the open door [m2]."""
        return self.area * (1 + self.face)


@dataclass(frozen=True)
class Probe:
    """Thermocouple standing in the chamber; too small to act back on it.

    Attributes
    ----------
    heat : float
        Heat capacity for each area [J/(m2 K)]: density, specific heat and radius.
    emissivity : float
        Of its sheath.
    film : float
        Air film [W/(m2 K)].
    """

    heat: float
    emissivity: float
    film: float


@dataclass(frozen=True)
class Room:
    """The air outside.

    Attributes
    ----------
    temperature : float
        [K].
    air_density : float
        At that temperature [kg/m3].
    air_heat : float
        Specific heat of air, a mean of hot and cold [J/(kg K)].
    gravity : float
        [m/s2].
    """

    temperature: float
    air_density: float
    air_heat: float
    gravity: float


@dataclass(frozen=True)
class Chamber:
    """A whole small kiln with its door at the front.

    Attributes
    ----------
    box : Box
        Inside.
    lining : Lining
        Wall.
    element, hearth : Body
        Heating wire; tile on the floor (or a muffle, which covers more than the floor).
    hearth_contact : float
        Hearth to the lining behind it [W/(m2 K)].
    case : Case
        Skin.
    doorway : Doorway
        Front.
    probe : Probe
        Thermocouple.
    room : Room
        Outside.
    power : float
        Of the element at full duty [W].
    """

    box: Box
    lining: Lining
    element: Body
    hearth: Body
    hearth_contact: float
    case: Case
    doorway: Doorway
    probe: Probe
    room: Room
    power: float

    def __post_init__(self) -> None:
        """Refuse a kiln that cannot heat, or whose parts do not fit into each other."""
        _positive(self, "power", "hearth_contact")
        if self.hearth.area >= self.box.area:
            raise InputError("the hearth is larger than the inside of the kiln.")
        if self.doorway.area > self.box.area / 2:
            raise InputError("the opening of the door is larger than the kiln.")
        if self.lining.thickness >= WIDEST_WALL * min(self.box.width, self.box.depth, self.box.height):
            raise InputError(
                "the wall is too thick for so small an inside: the rule for edges and corners no longer holds.",
                "Check inside size and wall.",
            )


WIDEST_WALL = 5.0
"""The edge and corner rule holds while every inside measure exceeds a fifth of the wall."""
