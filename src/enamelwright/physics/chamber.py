"""Heat balance of a small electric kiln: wall, case, element, hearth, load, air, door and thermocouple.

All inner surfaces exchange radiation through one common radiosity (a star), which conserves energy and
has the right limit for a small body in a large enclosure. Air has no heat capacity of its own. Not
modelled: differences of temperature across the chamber, which belong to the place in the kiln.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from enamelwright.physics.chamber_bodies import Body, Chamber
from enamelwright.physics.chamber_wall import Wall, wall_of
from enamelwright.physics.constants import STEFAN_BOLTZMANN

Array = npt.NDArray[np.float64]

CASE, ELEMENT, HEARTH, LOAD = 0, 1, 2, 3
"""Place of the lumps behind the cells of the wall."""
_LUMPS = 4


@dataclass
class EnergyBook:
    """Where the heat went, counted from the fluxes that were applied [J].

    Attributes
    ----------
    put_in : float
        By the element.
    stored : float
        In wall, case, element, hearth and the load that stands in the kiln.
    case, door, air : float
        Lost by the skin, by radiation through the open door, by air.
    carried : float
        Taken out in loads.
    """

    put_in: float = 0.0
    stored: float = 0.0
    case: float = 0.0
    door: float = 0.0
    air: float = 0.0
    carried: float = 0.0

    @property
    def imbalance(self) -> float:
        """What is not accounted for [J]."""
        return self.put_in - self.stored - self.case - self.door - self.air - self.carried


@dataclass
class ChamberState:
    """A kiln at one moment.

    Attributes
    ----------
    nodes : ndarray, shape (cells + 4,)
        Wall from the hot face outward, then case, element, hearth, load [K].
    probe : float
        Thermocouple [K].
    radiant, air : float
        What a small body sees and the air of the last step [K].
    load : Body or None
        What stands in the kiln.
    load_heat : float
        Taken up by it since it was put in [J].
    duty : float
        Share of the power of the last step.
    book : EnergyBook
        Since this state was begun.
    """

    nodes: Array
    probe: float
    radiant: float
    air: float
    load: Body | None = None
    load_heat: float = 0.0
    duty: float = 0.0
    book: EnergyBook = field(default_factory=EnergyBook)

    @property
    def hearth(self) -> float:
        """Temperature of the hearth [K]."""
        return float(self.nodes[HEARTH - _LUMPS])

    @property
    def element(self) -> float:
        """Temperature of the element [K]."""
        return float(self.nodes[ELEMENT - _LUMPS])

    @property
    def case(self) -> float:
        """Temperature of the skin [K]."""
        return float(self.nodes[CASE - _LUMPS])

    @property
    def wall(self) -> float:
        """Temperature of the hot face [K]."""
        return float(self.nodes[0])

    def copy(self) -> ChamberState:
        """Return a state that can go its own way."""
        return replace(self, nodes=self.nodes.copy(), book=replace(self.book))

    def put_in(self, load: Body, temperature: float) -> None:
        """Stand a load in the kiln.

        Parameters
        ----------
        load : Body
            What is put in, in the place of what was there.
        temperature : float
            Of the load [K].
        """
        self.take_out()
        self.load = load
        self.nodes[LOAD - _LUMPS] = temperature

    def take_out(self) -> None:
        """Take the load out with the heat it has taken up."""
        self.book.stored -= self.load_heat
        self.book.carried += self.load_heat
        self.load, self.load_heat = None, 0.0


class HeatBalance:
    """Steps a kiln forward in time by linearly implicit Euler steps.

    The radiative terms are linearised about the start of each step, conductivities and heat capacities
    are taken there. The energy book adds up exactly those fluxes, so that it closes to rounding.

    Parameters
    ----------
    chamber : Chamber
        The kiln.
    """

    def __init__(self, chamber: Chamber) -> None:
        self.chamber = chamber
        self.wall: Wall = wall_of(chamber.box, chamber.lining)
        self.cells = len(self.wall.heat)
        self.size = self.cells + _LUMPS
        self._seen = chamber.box.area - chamber.hearth.area
        # Surfaces of the star: hot face, element, hearth, load.
        self._faces = np.array([0, *(self.cells + lump for lump in (ELEMENT, HEARTH, LOAD))])
        self._skin = chamber.box.grown(chamber.lining.thickness).area
        self._heat = np.ones(self.size)
        self._heat[: self.cells] = self.wall.heat
        self._heat[self.cells + CASE] = chamber.case.heat
        self._across = (np.arange(self.cells), np.arange(1, self.cells + 1))

    def cold(self) -> ChamberState:
        """Return the kiln at the temperature of the room, empty."""
        room = self.chamber.room.temperature
        return ChamberState(nodes=np.full(self.size, room), probe=room, radiant=room, air=room)

    def draught(self, wall: float, open_door: bool) -> float:
        """Return the flow of air through the front [kg/s].

        Parameters
        ----------
        wall : float
            Hot face [K].
        open_door : bool
            Whether the door stands open.
        """
        door, room = self.chamber.doorway, self.chamber.room
        if not open_door:
            return door.leak
        lighter = max(0.0, 2 * (wall - room.temperature) / (wall + room.temperature))
        density = room.air_density / 2 * (1 + room.temperature / wall)
        return door.exchange * door.area * math.sqrt(room.gravity * door.height * lighter) * density + door.leak

    def step(self, state: ChamberState, step: float, share: float, open_door: bool = False) -> None:
        """Move a state forward by one step, in place.

        Parameters
        ----------
        state : ChamberState
            Changed.
        step : float
            [s].
        share : float
            Of the power of the element.
        open_door : bool
            Whether the door stands open.
        """
        import scipy.linalg.lapack as lapack

        chamber, cells, start = self.chamber, self.cells, state.nodes
        room = chamber.room.temperature
        bodies = (chamber.element, chamber.hearth, state.load)
        lining = chamber.lining

        # Matrix of (heat / step + losses) T_new = gains.
        matrix = np.zeros((self.size, self.size), order="F")
        heat = self._heat
        for lump, body in zip((ELEMENT, HEARTH, LOAD), bodies, strict=True):
            heat[cells + lump] = 1.0 if body is None else body.heat_at(float(start[cells + lump]))
        gains = heat / step * start
        diagonal = heat / step

        # Wall: half a cell and half the next one, each with its own conductivity; the last half leads to the case.
        conductivity = lining.conducts(start[:cells])
        resistance = self.wall.outer / conductivity
        resistance[:-1] += self.wall.inner[1:] / conductivity[1:]
        link = 1 / resistance
        left, right = self._across
        diagonal[left] += link
        diagonal[right] += link
        matrix[left, right] = -link
        matrix[right, left] = -link

        contact = chamber.hearth_contact * chamber.hearth.area
        diagonal[0] += contact
        diagonal[cells + HEARTH] += contact
        matrix[0, cells + HEARTH] -= contact
        matrix[cells + HEARTH, 0] -= contact

        # Case to the room.
        skin = float(start[cells + CASE])
        film = self._skin * chamber.case.film * max(0.0, skin - room) ** (1 / 3)
        glow = self._skin * chamber.case.emissivity * STEFAN_BOLTZMANN
        slope = 4 * glow * skin**3
        fixed = glow * (skin**4 - room**4) - slope * skin
        diagonal[cells + CASE] += film + slope
        gains[cells + CASE] += film * room - fixed

        # Star of radiation and star of air.
        faces, at = self._faces, start[self._faces]
        shine = np.array(
            [lining.emissivity * self._seen, *(0.0 if b is None else b.emissivity * b.area for b in bodies)]
        )
        touch = np.array([lining.film * self._seen, *(0.0 if b is None else b.film * b.area for b in bodies)])
        hole = chamber.doorway.black_area if open_door else 0.0
        cube = STEFAN_BOLTZMANN * at**3
        rise, rest = 4 * cube, -3 * cube * at  # E = rest + rise * T_new
        sum_shine = float(shine.sum()) + hole
        room_glow = hole * STEFAN_BOLTZMANN * room**4
        flow = self.draught(float(start[0]), open_door) * chamber.room.air_heat
        sum_touch = float(touch.sum()) + flow
        matrix[np.ix_(faces, faces)] -= np.outer(shine, shine * rise) / sum_shine + np.outer(touch, touch) / sum_touch
        diagonal[faces] += shine * rise + touch
        gains[faces] += shine * ((shine @ rest + room_glow) / sum_shine - rest) + touch * (flow * room / sum_touch)
        gains[cells + ELEMENT] += share * chamber.power

        matrix[np.arange(self.size), np.arange(self.size)] += diagonal
        after = lapack.dgesv(matrix, gains, overwrite_a=True)[2]

        # What was applied.
        hot = after[faces]
        radiosity = (float(shine @ (rest + rise * hot)) + room_glow) / sum_shine
        air = (float(touch @ hot) + flow * room) / sum_touch
        change = heat * (after - start)
        book = state.book
        book.put_in += share * chamber.power * step
        in_load = float(change[cells + LOAD]) if state.load is not None else 0.0
        book.stored += float(change[: cells + LOAD].sum()) + in_load
        state.load_heat += in_load
        outer = float(after[cells + CASE])
        book.case += step * (film * (outer - room) + slope * outer + fixed)
        book.door += step * (hole * radiosity - room_glow)
        book.air += step * flow * (air - room)

        state.nodes, state.air, state.duty = after, air, share
        state.radiant = (radiosity / STEFAN_BOLTZMANN) ** 0.25
        self._probe(state, radiosity, step)

    def _probe(self, state: ChamberState, radiosity: float, step: float) -> None:
        """Let the thermocouple follow."""
        probe, at = self.chamber.probe, state.probe
        slope = 4 * probe.emissivity * STEFAN_BOLTZMANN * at**3
        net = probe.emissivity * (radiosity - STEFAN_BOLTZMANN * at**4) + probe.film * (state.air - at)
        state.probe = at + step * net / (probe.heat + step * (slope + probe.film))
