"""A layered model of a piece that heats up, solved by an adaptive implicit solver: the reference of the fast one.

Six cells of enamel above the metal and, where wanted, six below; powder that sinters and then conducts
better; the support beside it. Slow, for checks and benchmarks only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import PchipInterpolator

from enamelwright.physics.constants import STEFAN_BOLTZMANN
from enamelwright.physics.gloss_clock import stage_time
from enamelwright.physics.heated_bodies import HeatedBodies, Oxidation
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.physics.sintering import density_after
from enamelwright.physics.viscosity import VftViscosity

CELLS = 6
#: Conductivity of powder and of melt [W/m/K], from memory.
POWDER, MELT = 0.22, 1.10
DENSITY = 2500.0
#: The cell whose clock tells the stage, counted from the metal: the middle of the coat.
TOLD = 3


@dataclass(frozen=True)
class Layered:
    """Times of the reference run [s] and the state over time."""

    times: np.ndarray
    metal: np.ndarray
    clock: np.ndarray
    oxide: np.ndarray
    top: np.ndarray

    def reaches(self, kelvin: float) -> float:
        """First time the metal is so hot."""
        above = np.flatnonzero(self.metal >= kelvin)
        if not len(above):
            return float("inf")
        i = above[0]
        return float(np.interp(kelvin, self.metal[i - 1 : i + 1], self.times[i - 1 : i + 1]))

    def when(self, work: float) -> float:
        """First time the clock of the middle reaches some fusion work."""
        return float(stage_time(self.times, self.clock, work))


def densification(radius: float, packing: float, tension: float):
    """Relative density against fusion work, from the closed form, in the logarithm of the work."""
    work = np.geomspace(1e-7, 1e-2, 400)
    density = density_after(radius, packing, work, tension)
    rise = PchipInterpolator(np.log(work), density)
    return lambda w: float(rise(np.log(min(max(w, work[0]), work[-1]))))


def fire_layered(
    bodies: HeatedBodies,
    response: KilnResponse,
    set_point: float,
    duration: float,
    law: VftViscosity,
    air,
    oxidation: Oxidation,
    *,
    grain: float = 150e-6,
    packing: float = 0.50,
    tension: float = 0.25,
    sample: float = 0.5,
    tolerance: float = 1e-7,
    longest_step: float = 5.0,
    lumped_back: bool = True,
) -> Layered:
    """Fire one piece; the entries of ``bodies`` must be single numbers.

    With ``lumped_back`` the glass of the lower face shares the temperature of the metal.
    """
    b = bodies
    coat = float(b.glass_top)
    grown = densification(grain / 2, packing, tension)
    n = CELLS if coat > 0 else 0
    back = 0.0 if lumped_back else float(b.glass_bottom)
    nb = CELLS if back > 0 else 0
    mid = 3 + n + 3
    top_dark = b.top_emissivity if b.top_dark is None else b.top_dark
    low_dark = b.bottom_emissivity if b.bottom_dark is None else b.bottom_dark

    def radiant(t):
        eff, room = response.at(t)
        return STEFAN_BOLTZMANN * (set_point + b.offset + float(eff)) ** 4, set_point + b.offset + float(room)

    def fluidity(t):
        above = max(t - law.pole, 25.0)
        return 10.0 ** -max(min(law.log_prefactor + law.slope / above, 25.0), -6.0)

    def layers(metal, cells, clock, weight, absorbed):
        """Rates of the cells of one coat, counted from the metal, and the flux out of the metal."""
        dense = grown(clock)
        k = POWDER + (MELT - POWDER) * (dense - packing) / (1 - packing)
        step = weight / (DENSITY * dense) / CELLS
        flux = np.empty(CELLS + 1)  # outward
        flux[0] = 2 * k / step * (metal - cells[0])
        flux[1:CELLS] = k / step * (cells[:-1] - cells[1:])
        flux[CELLS] = -absorbed
        return (flux[:-1] - flux[1:]) / (weight / CELLS * b.glass_specific_heat(cells)), flux[0]

    def slopes(t, y):
        metal, carrier, square = y[0], y[1], max(y[2], 0.0)
        cells, clocks = y[3 : 3 + n], y[3 + n : mid]
        J, room = radiant(t)
        bright = np.exp(-np.sqrt(square) / oxidation.depth)
        e_low = low_dark - (low_dark - b.bottom_emissivity) * bright
        js = b.support_emissivity * STEFAN_BOLTZMANN * carrier**4 + (1 - b.support_emissivity) * J
        view = b.view if b.support_mass > 0 else 0.0
        out = np.empty_like(y)

        def below(surface):
            _, h = air.coefficients(surface, room, b.length)
            seen = view * js + (1 - view) * J
            return e_low * (seen - STEFAN_BOLTZMANN * surface**4) + float(h) * (room - surface)

        def above(surface, emissivity):
            h, _ = air.coefficients(surface, room, b.length)
            return emissivity * (J - STEFAN_BOLTZMANN * surface**4) + float(h) * (room - surface)

        if n:
            out[3 : 3 + n], flux = layers(metal, cells, clocks[1], coat, above(cells[-1], b.top_emissivity))
            q_top = -flux
            out[3 + n : mid] = [fluidity(cells[i]) for i in (0, TOLD, CELLS - 1)]
        else:
            q_top = above(metal, top_dark - (top_dark - b.top_emissivity) * bright)
            out[3:mid] = fluidity(metal)
        if nb:
            under = y[mid : mid + nb]
            out[mid : mid + nb], flux = layers(metal, under, y[mid + nb], back, below(under[-1]))
            q_low = -flux
            out[mid + nb] = fluidity(under[TOLD])
        else:
            q_low = below(metal)
        held = b.area * (b.metal_thickness * b.metal_density * b.specific_heat(metal))
        if not nb:
            held += b.area * b.glass_bottom * b.glass_specific_heat(metal)
        q_edge = e_low * (J - STEFAN_BOLTZMANN * metal**4)
        out[0] = (b.area * (q_top + q_low) + b.edge_area * q_edge) / held
        if b.support_mass > 0:
            gain = b.support_area * (
                b.support_emissivity * (J - STEFAN_BOLTZMANN * carrier**4) + b.support_film * (room - carrier)
            )
            out[1] = (gain - b.area * e_low * view * (js - J)) / (b.support_mass * b.support_specific_heat(carrier))
        else:
            out[1] = 0.0
        out[2] = 2 * oxidation.rate * np.exp(-oxidation.activation * (1 / metal - 1 / oxidation.reference))
        return out

    begin = [b.start, b.support_start, 0.0] + n * [b.start] + 3 * [0.0] + nb * [b.start] + min(nb, 1) * [0.0]
    scales = [1e-4, 1e-4, 1e-16] + n * [1e-4] + 3 * [1e-9] + nb * [1e-4] + min(nb, 1) * [1e-9]
    at = np.append(np.arange(0.0, duration, sample), duration)
    out = solve_ivp(
        slopes, (0.0, duration), begin, method="BDF", t_eval=at, rtol=tolerance, atol=scales, max_step=longest_step
    )
    assert out.success, out.message
    y = out.y
    top = y[2 + n] if n else y[0]
    return Layered(out.t, y[0], y[4 + n], np.sqrt(np.maximum(y[2], 0.0)), top)
