"""Sudden cooling through the faces."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.slab import SlabLayer, chill, cooling_time_constant
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import COPPER as COPPER_SHEET
from named_materials import MM, enamel, firings

# Conductivity, density, heat capacity from memory; see named_materials for the rest.
ENAMEL = {
    "conductivity": 1.0, "heat_capacity": 2600 * 800.0, "modulus": 70e9 / 0.78,
    "expansion": 10.5e-6,
}  # fmt: skip
COPPER = {
    "conductivity": 380.0, "heat_capacity": 8940 * 400.0, "modulus": 110e9 / 0.66,
    "expansion": 17.5e-6,
}  # fmt: skip
SHEET = [SlabLayer(0.2e-3, **ENAMEL), SlabLayer(0.8e-3, **COPPER), SlabLayer(0.2e-3, **ENAMEL)]
AIR = (45.0, 293.15)

CASES = [
    # start C, film coefficient on the back, surroundings C, printed MPa, tolerance
    (500, 2000.0, 20, 95.0, 1.5),
    (500, 200.0, 20, 13.3, 0.3),
    (200, 8000.0, 20, 90.0, 2.0),
    (500, 45.0, 20, 3.4, 0.3),
]


@pytest.mark.parametrize(("start", "film", "surroundings", "printed", "tolerance"), CASES)
def test_largest_tension(start, film, surroundings, printed, tolerance):
    """Copper .2/.8/.2 (independent computation); water wets both faces, a slab only the back."""
    front = (film, surroundings + 273.15) if film == 8000.0 else AIR
    out = chill(SHEET, start + 273.15, (film, surroundings + 273.15), front, 3.0)
    stress, time, face = out.worst()
    assert stress / 1e6 == pytest.approx(printed, abs=tolerance)
    assert film in (45.0, 8000.0) or face == "back"
    assert time < 1.0 or film == 45.0


def test_a_hot_kiln_squeezes_the_surface():
    out = chill(SHEET, 293.15, (45.0, 1073.15), (45.0, 1073.15), 3.0)
    assert out.worst()[0] < 1e5


def test_quasi_steady_drop():
    """Still air: the enamel drops by q t / k, here 4 K, and its face carries about 0.8 B a dT."""
    out = chill(SHEET, 773.15, AIR, AIR, 3.0)
    stress = out.worst()[0]
    drop = 45.0 * 480.0 * 0.2e-3 / 1.0
    assert stress / (70e9 / 0.78 * 10.5e-6 * drop) == pytest.approx(0.8, abs=0.1)


def test_energy_balance():
    """Heat lost through the faces equals the fall of the mean temperature."""
    out = chill(SHEET, 773.15, (2000.0, 293.15), AIR, 1.0, steps=2000)
    flux = 2000.0 * (out.back_temperature - 293.15) + 45.0 * (out.front_temperature - 293.15)
    capacity = sum(layer.heat_capacity * layer.thickness for layer in SHEET)
    # Implicit: each step loses heat at the rate of its end.
    lost = float(np.sum(flux[1:] * np.diff(out.time)))
    assert lost == pytest.approx(capacity * (773.15 - out.mean_temperature[-1]), rel=1e-9)


def test_uniform_layer_against_the_series_solution():
    """One face cooled, one insulated: first roots of z tan z = Bi (Carslaw & Jaeger 3.11)."""
    from scipy.optimize import brentq

    layer = SlabLayer(1e-3, **ENAMEL)
    film, duration = 5000.0, 0.2
    biot = film * layer.thickness / layer.conductivity
    diffusivity = layer.conductivity / layer.heat_capacity
    fourier = diffusivity * duration / layer.thickness**2
    roots = [
        brentq(lambda z: z * np.sin(z) - biot * np.cos(z), n * np.pi + 1e-9, n * np.pi + np.pi / 2) for n in range(12)
    ]
    surface = sum(4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.cos(z) * np.exp(-z * z * fourier) for z in roots)
    out = chill([layer], 600.0, (0.0, 300.0), (film, 300.0), duration, cells=200, steps=4000)
    assert (out.front_temperature[-1] - 300) / 300 == pytest.approx(surface, rel=1e-3)


def test_cells_are_ample():
    fine = chill(SHEET, 773.15, (2000.0, 293.15), AIR, 3.0, cells=120, steps=2000).worst()[0]
    assert chill(SHEET, 773.15, (2000.0, 293.15), AIR, 3.0).worst()[0] == pytest.approx(fine, rel=0.01)


def test_mirror():
    left = chill(SHEET, 773.15, (2000.0, 293.15), AIR, 1.0)
    right = chill(SHEET, 773.15, AIR, (2000.0, 293.15), 1.0)
    assert left.back_stress == pytest.approx(right.front_stress, abs=1.0)


def test_cooling_constant():
    """About 40 s at 45 W/m2K each side (independent computation)."""
    assert cooling_time_constant(SHEET, 45.0, 45.0) == pytest.approx(40, abs=1.5)


def test_impossible_input():
    with pytest.raises(ValueError, match="layer"):
        chill([], 500.0, AIR, AIR, 1.0)


def test_gradient_scales_with_the_drop():
    """Linear conduction and elasticity: stress in proportion to (T - surroundings)."""
    one = chill(SHEET, 393.15, (2000.0, 293.15), (0.0, 293.15), 1.0).worst()[0]
    four = chill(SHEET, 693.15, (2000.0, 293.15), (0.0, 293.15), 1.0).worst()[0]
    assert four == pytest.approx(4 * one, rel=1e-9)


@pytest.mark.parametrize(("celsius", "printed"), [(500, 97), (400, 32), (300, -16), (200, -48)])
def test_landing_on_a_slab_with_the_residual_stress(celsius, printed):
    """Gradient plus what the cooling has left so far, film 2000 (independent computation)."""
    path = firings()
    piece = stack(0.8 * MM, [Coat(Side.FRONT), Coat(Side.BACK)], [0.2 * MM] * 2)
    tables = COPPER_SHEET.table(path), relax_structure(enamel(), path)
    trace = solve(piece, path, *tables, trace=True).trace
    kelvin = celsius + 273.15
    residual = np.interp(kelvin, trace.temperature[:0:-1], trace.coat_stress[0, :0:-1, 1, 1])
    gradient = chill(SHEET, kelvin, (2000.0, 293.15), AIR, 1.0).worst()[0]
    assert (gradient + residual) / 1e6 == pytest.approx(printed, abs=3)
