"""Electricity of one firing: holding the heat, the load that carries heat out, and the open door."""

from __future__ import annotations

from functools import lru_cache

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_state import kiln_state
from enamelwright.craft.window.facts import number, window_fact
from enamelwright.craft.window.loaded import LoadedPiece
from enamelwright.craft.window.responses import load_heat
from enamelwright.figure import Figure, Origin
from enamelwright.physics.chamber_runs import holding_share
from enamelwright.physics.constants import STEFAN_BOLTZMANN
from enamelwright.reference import loader

#: Holding power is worked out for set points this far apart [K].
SET_STEP = 10.0


def firing_energy(
    kiln: Kiln, piece: LoadedPiece, set_point: float, pulled: float, end: float, looks: int, pieces: int = 1
) -> Figure:
    """Return what one firing takes from the socket while the kiln stays at heat [J].

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    piece : LoadedPiece
        What goes in.
    set_point : float
        [K].
    pulled, end : float
        Likely and latest time in the kiln [s].
    looks : int
        Most looks.
    pieces : int
        How many such pieces go in together.
    """
    hold = holding_power(kiln, round(set_point / SET_STEP) * SET_STEP)
    rise = set_point - loader.value("heat/room")
    load = load_heat(piece, pieces) * rise
    door = window_fact("door_loss")
    facts = kiln_state(kiln).facts
    black = STEFAN_BOLTZMANN * (set_point**4 - loader.value("heat/room") ** 4) * facts.width * facts.height

    def total(seconds: float, share: float, peeks: float) -> float:
        return hold * seconds + load + black * share * (2 * facts.door_open + peeks * number("look_open"))

    origin = Origin(kind="computed", source="holding power, heat of the load, open door", status="computed")
    likely = total(pulled, door.value, looks / 2)
    low, high = total(pulled, door.low, 0.0), total(end, door.high, looks)
    return Figure(value=likely, low=min(low, likely), high=max(high, likely), dimension="energy", origin=origin)


@lru_cache(maxsize=128)
def holding_power(kiln: Kiln, set_point: float) -> float:
    """Return the power that holds a kiln at heat for good [W].

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    set_point : float
        [K].
    """
    state = kiln_state(kiln)
    return min(1.0, holding_share(state.balance, set_point)) * state.facts.power
