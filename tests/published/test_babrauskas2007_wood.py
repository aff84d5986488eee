"""The landing spot: layers against exact solutions, a second program's sessions, and limits for wood.

Sources
-------
* H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2.9: half-space under a steady flux.
* V. Babrauskas, B. F. Gray, M. L. Janssens, Fire Mater. 31 (2007) 125, abstract: 77 °C for long, 250 °C for short.
* V. Babrauskas, Interflam 2001, 71, abstract: 4.3 kW/m2 is the least flux that lights wood.
* Sessions of twenty firings on many stacks, computed by an independent implementation (implicit finite volumes).
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.health.landing_spot import StackLayer, spotted, told, usual_spot
from enamelwright.physics.constants import ZERO_CELSIUS

IRON, BOARD, FIBRE, GAP = ("iron", 4), ("board", 12), ("fibre", 10), ("gap", 5)
# stack, side [mm], load, what of wood is told, °C; contact and capacity differ a little between the programs
SESSIONS = [
    ((IRON, BOARD), 240, "mesh", "peak", 77), ((IRON, BOARD), 160, "mesh", "peak", 103),
    ((IRON, BOARD), 200, "mesh", "peak", 86), ((IRON, BOARD), 400, "mesh", "peak", 66),
    ((("iron", 2), BOARD), 240, "mesh", "peak", 92), ((("iron", 8), BOARD), 240, "mesh", "peak", 65),
    ((IRON, ("board", 24)), 240, "mesh", "peak", 60), ((BOARD,), 240, "mesh", "peak", 173),
    ((IRON,), 240, "mesh", "peak", 118), ((IRON,), 240, "mesh", "last", 94), ((("iron", 8),), 240, "mesh", "peak", 92),
    ((("stone", 20),), 240, "mesh", "peak", 124), ((IRON, GAP), 240, "mesh", "peak", 81),
    ((IRON, FIBRE), 240, "mesh", "peak", 68), ((IRON, BOARD, FIBRE), 240, "mesh", "peak", 56),
    ((IRON, BOARD, GAP, FIBRE), 240, "mesh", "peak", 49), ((IRON, BOARD), 240, "plate", "peak", 143),
    ((IRON,), 240, "plate", "peak", 234), ((IRON, BOARD), 240, "fork", "peak", 45),
]  # fmt: skip


@pytest.mark.parametrize(("stack", "side", "load", "which", "celsius"), SESSIONS)
def test_twenty_firings_against_a_second_program(stack, side, load, which, celsius):
    from dataclasses import replace

    layers = [StackLayer(material=name, thickness=mm / 1000) for name, mm in stack]
    spot = replace(usual_spot(layers, load), side=side / 1000, start=795 + ZERO_CELSIUS)
    landed = spotted(spot).landed
    found = (landed.peak if which == "peak" else landed.last_cycle) - ZERO_CELSIUS
    # a bare board meets the load itself: how its skin is cut into slices moves it by some kelvin
    bare = stack[0][0] == "board"
    assert found == pytest.approx(celsius, abs=4, rel=0.06 if bare else 0.025)


def test_a_thick_layer_is_a_half_space_under_a_steady_flux():
    """Granite, 10 kW/m2, 300 s: the surface rises by 80.724 K; the far side does not feel it yet."""
    from enamelwright.physics.landing import HotLoad, Layer, Surroundings, run

    # a load so heavy and a contact so loose that what crosses it stays the same
    load = HotLoad(
        start=10_293.15, mass_heat=1e12, area=0.01, emissivity=0.0, view=0.0, film=0.0, contact=1.0, contact_area=0.01,
        piece_heat=1e9, piece_area=0.0, piece_top=0.0, piece_view=0.0, piece_film=0.0, piece_gap=0.0,
        piece_support=0.0, piece_share=0.0,
    )  # fmt: skip
    layers = [Layer(0.016, 2650.0, 790.0, 2.8, 2.8)] + [Layer(0.016, 2650.0, 790.0, 2.8, 2.8)] * 6
    found = run(
        layers, 0, 0.01, 0.01, load, Surroundings(293.15, 0.0, 0.0, 0.0, 0.0), count=1, interval=300.0, dwell=300.0,
        longest_step=0.5,
    )  # fmt: skip
    surface = float(np.interp(300.0, found.times, found.centre)) - 293.15
    assert surface == pytest.approx(80.724, rel=0.01)


# key, °C or kW/m2 as the abstracts print them
WOOD = [("wood_long", 77.0), ("wood_short", 250.0)]


@pytest.mark.parametrize(("key", "celsius"), WOOD)
def test_limits_for_wood(key, celsius):
    assert told(key).value - ZERO_CELSIUS == pytest.approx(celsius)


def test_least_flux_that_lights_wood():
    assert told("wood_flux").value == pytest.approx(4300.0)


def test_the_note_lies_a_scatter_below_the_limit():
    assert told("wood_note").value + told("scatter").value <= told("wood_long").value


def test_heat_of_a_session_is_kept():
    """Nothing lost below: what came in through the top is in the layers, to rounding."""
    from enamelwright.craft.health import landing_spot
    from enamelwright.physics.landing import Surroundings, run

    spot = usual_spot([StackLayer(material="iron", thickness=0.004), StackLayer(material="board", thickness=0.012)])
    layers = [landing_spot._layer(layer.material, layer.thickness) for layer in spot.layers]
    found = run(
        layers, 1, 0.0576, 0.01, landing_spot._hot(spot), Surroundings(293.15, 10.0, 0.8, 0.5, 0.0), count=5,
        interval=240.0, dwell=180.0,
    )  # fmt: skip
    assert found.stored == pytest.approx(found.heat, rel=1e-9)
    assert np.all(found.centre >= 293.15)
