"""Structural relaxation of a glass along a schedule (Tool-Narayanaswamy-Moynihan).

The structure of a thermorheologically simple glass does not depend on stress, so its free strain
and its stress relaxation are tabulated once for each glass and schedule and shared by all coats
and draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import OutOfReach
from enamelwright.physics.glass_solid import SolidGlass
from enamelwright.physics.root import root
from enamelwright.physics.schedule import Schedule
from enamelwright.physics.sheet import SheetMetal

Array = npt.NDArray[np.float64]

LARGEST_STEP = 1.0
"""Kelvin of one substep of the structure: fictive temperature within 0.3 K of a fine solution."""
ROOT_TOLERANCE = 1e-6
"""Kelvin to which the effective set temperature is solved."""


@dataclass(frozen=True, eq=False)
class GlassTable:
    """One glass along one schedule.

    Attributes
    ----------
    free_strain : ndarray, shape (n_step,)
        Strain of each step, spread evenly over its temperature, that would leave no new stress:
        the free strain of the glass, weighted by what survives to the end of the step.
    keep : ndarray, shape (n_step,)
        Share of a stress that survives the step.
    stiffness : ndarray, shape (n_step,)
        Stress at the end of the step per strain added evenly during it [Pa].
    fictive_temperature : ndarray, shape (n_step + 1,)
        Temperature whose equilibrium structure the glass has [K].
    modulus : float
        Biaxial modulus of the rigid glass [Pa].
    """

    free_strain: Array
    keep: Array
    stiffness: Array
    fictive_temperature: Array
    modulus: float


def relax_structure(glass: SolidGlass, schedule: Schedule, *, largest_step: float = LARGEST_STEP) -> GlassTable:
    """Tabulate the structure and stress relaxation of a glass along a schedule.

    The glass starts in equilibrium at the first temperature.  Structure is stepped implicitly
    (after Markovsky & Soules, J. Am. Ceram. Soc. 67 (1984) C56, from memory) and stress relaxes as
    a single Maxwell element with the same viscosity.

    Parameters
    ----------
    glass : SolidGlass
        The glass.
    schedule : Schedule
        The history.
    largest_step : float
        Steps of the schedule that change by more than this [K] are cut into substeps, so that a
        coarse schedule for the mechanics does not blur the transition of the glass.

    Returns
    -------
    GlassTable

    Notes
    -----
    Sources: Tool 1946; Narayanaswamy 1971; Moynihan et al. 1976 (from memory).  Checked in
    tests/physics/test_structural_relaxation.py.
    """
    # Deferred: numba takes a second to import, and only a solver needs it.
    from enamelwright.physics.laminate_kernel import relax_structure as kernel

    steps = schedule.step_count
    free_strain, keep, stiffness = np.empty(steps), np.empty(steps), np.empty(steps)
    fictive = np.empty(steps + 1)
    law = glass.viscosity
    kernel(
        np.ascontiguousarray(schedule.time),
        np.ascontiguousarray(schedule.temperature),
        law.log_prefactor,
        law.slope,
        law.pole,
        glass.frozen_slope,
        glass.structural_modulus,
        glass.modulus,
        glass.expansion_glass,
        glass.expansion_liquid,
        np.array(glass.spectrum.ratios),
        np.array(glass.spectrum.weights),
        largest_step,
        free_strain,
        keep,
        stiffness,
        fictive,
    )
    return GlassTable(free_strain, keep, stiffness, fictive, glass.modulus)


def film_stress(table: GlassTable, metal_strain: npt.ArrayLike) -> Array:
    """Stress of a thin film that follows a rigid metal.

    Parameters
    ----------
    table : GlassTable
        The glass along a schedule.
    metal_strain : array_like, shape (n_step,)
        Strain increment of the metal in each step.

    Returns
    -------
    ndarray, shape (n_step + 1,)
        Film stress at the nodes [Pa], tension positive, zero at the first.
    """
    stress = np.zeros(table.keep.size + 1)
    given = np.asarray(metal_strain, dtype=np.float64) - table.free_strain
    for step, added in enumerate(table.stiffness * given):
        stress[step + 1] = stress[step] * table.keep[step] + added
    return stress


def effective_set_temperature(glass: SolidGlass, metal: SheetMetal, schedule: Schedule) -> float:
    """Temperature at which an elastic film would have to set to end at the same stress.

    For words and for the elastic closed form; the incremental solver needs no such number.

    Parameters
    ----------
    glass : SolidGlass
        The glass.
    metal : SheetMetal
        The metal it follows.
    schedule : Schedule
        Ends at the temperature at which the stress counts.

    Returns
    -------
    float
        [K].

    Raises
    ------
    OutOfReach
        If no set temperature inside the schedule gives that stress (for instance equal expansion).
    """
    cold = float(schedule.temperature[-1])
    strain = metal.at("free_strain", schedule.temperature)
    stress = film_stress(relax_structure(glass, schedule), np.diff(strain))[-1]
    end = float(strain[-1])

    def gap(kelvin: float) -> float:
        shrunk = end - float(metal.at("free_strain", kelvin))
        own = glass.expansion_glass * (cold - kelvin)
        return glass.modulus * (shrunk - own) - float(stress)

    hot = float(schedule.temperature.max())
    if gap(cold) * gap(hot) > 0:
        raise OutOfReach("no single set temperature gives this film stress")
    return root(gap, cold, hot, near=ROOT_TOLERANCE)
