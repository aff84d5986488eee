"""Structure of a glass along a schedule."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics.glass_solid import STRETCHED_06, RelaxationSpectrum
from enamelwright.physics.schedule import FiringMarks, Schedule, linear_ramp
from enamelwright.physics.structural_relaxation import (
    effective_set_temperature,
    film_stress,
    relax_structure,
)
from named_materials import COPPER, ZERO_C, enamel, firings


def ramp(rate: float, steps: int = 400) -> Schedule:
    time, kelvin = linear_ramp(790 + ZERO_C, 20 + ZERO_C, rate, steps)
    return Schedule(time, kelvin, (FiringMarks(0, 0, 0, steps),))


@pytest.mark.parametrize(("rate", "printed"), [(0.5, 476.5), (5.0, 497.3), (15.0, 508.4)])
def test_fictive_temperature(rate, printed):
    """Default enamel 790 -> 20 C (independent computation, 0.7 K)."""
    table = relax_structure(enamel(), ramp(rate))
    assert table.fictive_temperature[-1] - ZERO_C == pytest.approx(printed, abs=0.7)


@pytest.mark.parametrize(("tau", "printed"), [(10.0, 480), (30.0, 469.6), (300.0, 450), (3000.0, 433)])
def test_effective_set_temperature(tau, printed):
    """On copper (independent computation, 1 K and rounding)."""
    got = effective_set_temperature(enamel(), COPPER, firings(tau=tau, steps=640)) - ZERO_C
    assert got == pytest.approx(printed, abs=1.0)


def test_fluid_glass_keeps_up():
    """Hot, the structure is in equilibrium and the free strain that of the melt."""
    glass = enamel()
    time, kelvin = linear_ramp(790 + ZERO_C, 700 + ZERO_C, 1.0, 90)
    table = relax_structure(glass, Schedule(time, kelvin, (FiringMarks(0, 0, 0, 90),)))
    assert table.fictive_temperature == pytest.approx(kelvin, abs=0.5)
    assert table.free_strain.sum() == pytest.approx(-90 * glass.expansion_liquid, rel=5e-3)
    assert table.keep.max() < 1e-12


def test_frozen_glass_is_elastic():
    glass = enamel()
    _, kelvin = linear_ramp(790 + ZERO_C, 20 + ZERO_C, 15.0, 400)
    table = relax_structure(glass, ramp(15.0))
    cold = kelvin[1:] < 250 + ZERO_C
    own = glass.expansion_glass * np.diff(kelvin)
    assert table.free_strain[cold] == pytest.approx(own[cold], rel=1e-4)
    assert table.keep[cold] == pytest.approx(1.0, abs=1e-6)
    assert table.stiffness[cold] == pytest.approx(glass.modulus, rel=1e-6)


def test_second_coding_in_plain_python():
    """The compiled loop against a direct transcription of the published update."""
    glass, path = enamel(), firings(2)
    law, table = glass.viscosity, relax_structure(glass, path, largest_step=np.inf)
    part = np.full(8, path.temperature[0])
    now = path.temperature[0]
    lam, weight = np.array(glass.spectrum.ratios), np.array(glass.spectrum.weights)
    for k, dt in enumerate(np.diff(path.time)):
        mid = (path.temperature[k] + path.temperature[k + 1]) / 2
        structure = max(now, law.pole + 60)
        ln_eta = np.log(10) * (law.log_prefactor + law.slope / (structure - law.pole))
        ln_eta += glass.frozen_slope * (1 / mid - 1 / structure)
        eta = np.exp(min(ln_eta, np.log(1e25)))
        ts = eta / glass.structural_modulus * lam
        part = (ts * part + dt * path.temperature[k + 1]) / (ts + dt)
        new = float(weight @ part)
        step = glass.expansion_glass * (path.temperature[k + 1] - path.temperature[k])
        step += (glass.expansion_liquid - glass.expansion_glass) * (new - now)
        assert table.free_strain[k] == pytest.approx(step, rel=1e-9, abs=1e-15)
        now = new
        assert table.fictive_temperature[k + 1] == pytest.approx(now, rel=1e-12)


def test_first_order_in_the_substep():
    """Halving the substep halves the change of the fictive temperature; 1 K is within 0.3 K."""
    end = [
        relax_structure(enamel(), ramp(15.0, 10), largest_step=h).fictive_temperature[-1] for h in (2.0, 1.0, 0.5, 0.05)
    ]
    assert (end[0] - end[1]) / (end[1] - end[2]) == pytest.approx(2.0, abs=0.2)
    assert abs(end[1] - end[3]) < 0.3


def test_coarse_steps_fold_their_substeps():
    """A film on a rigid metal ends at the same stress with 20 steps as with 400."""
    stress = []
    for steps in (20, 400):
        path = ramp(15.0, steps)
        table = relax_structure(enamel(), path)
        strain = np.diff(COPPER.at("free_strain", path.temperature))
        stress.append(film_stress(table, strain)[-1])
    assert stress[0] == pytest.approx(stress[1], rel=2e-3)


def test_slower_cooling_relaxes_further():
    fictive = [relax_structure(enamel(), ramp(q)).fictive_temperature[-1] for q in (0.1, 1.0, 10.0, 100.0)]
    assert np.all(np.diff(fictive) > 0)


def test_film_follows_a_glass_like_metal_without_cold_stress():
    """A base that strains exactly like the glass leaves no stress at all."""
    table = relax_structure(enamel(), firings())
    assert np.all(film_stress(table, table.free_strain) == 0)


def test_default_spectrum_is_the_stretched_exponential():
    u = np.geomspace(3e-3, 10, 60)
    lam, weight = np.array(STRETCHED_06.ratios), np.array(STRETCHED_06.weights)
    fit = np.exp(-u[:, None] / lam) @ weight
    assert np.abs(fit - np.exp(-(u**0.6))).max() < 0.015


@pytest.mark.parametrize("exponent", [0.5, 0.6, 0.8, 1.0])
def test_fitted_spectra(exponent):
    spectrum = RelaxationSpectrum.stretched(exponent)
    u = np.geomspace(3e-3, 10, 60)
    fit = np.exp(-u[:, None] / np.array(spectrum.ratios)) @ np.array(spectrum.weights)
    assert sum(spectrum.weights) == pytest.approx(1.0, abs=1e-12)
    assert np.abs(fit - np.exp(-(u**exponent))).max() < 0.03
