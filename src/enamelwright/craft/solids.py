"""Metals and jars as the stress solvers take them, with their temperature histories, made once and kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.metal import metal
from enamelwright.figure import Figure
from enamelwright.physics.glass_solid import SolidGlass
from enamelwright.physics.laminate import Recovery
from enamelwright.physics.schedule import FiringCycle, Schedule, fire
from enamelwright.physics.sheet import SheetMetal, SheetTable
from enamelwright.physics.structural_relaxation import GlassTable, relax_structure
from enamelwright.physics.viscosity import VftViscosity
from enamelwright.reference import loader

#: How many tables are kept; a bench has some tens of jars, each in six variants.
KEPT_TABLES = 1024
#: Isokoms are told apart to this many kelvin, so that jars share tables.
KELVIN_STEP = 0.5


@dataclass(frozen=True)
class Course:
    """The temperatures of a row of firings, as a key under which tables are kept.

    Parameters
    ----------
    tops : tuple of float
        Peak of each firing [K].
    cooling : float
        e-fold time of each cooling [s].
    cooling_steps, heating_steps : int
        Resolution.
    """

    tops: tuple[float, ...]
    cooling: float
    cooling_steps: int
    heating_steps: int

    @property
    def schedule(self) -> Schedule:
        """The history itself."""
        return _schedule(self)


def expansion_to_set() -> Figure:
    """Return how much more a glass expands up to its setting than to 300 °C, both as means from room [1/K]."""
    return loader.fact("glass/set_expansion_add").figure()


def solid_of(glass: JarGlass, to_set: Figure) -> SolidGlass:
    """Return what the solvers need of a jar.

    A coat contracts with the metal from its setting down, so the solvers take the mean expansion up to
    there: what is known of the jar, about 20-300 °C, and a little more.

    The melt is taken to expand three times as much as the glass, and the frozen structure to keep half
    of the activation energy: nobody measures these on enamels.

    Parameters
    ----------
    glass : JarGlass
        What is known of the jar.
    to_set : Figure
        Mean expansion up to the setting less that to 300 °C [1/K]; see `expansion_to_set`.
    """
    cold, hot = (round(point.value / KELVIN_STEP) * KELVIN_STEP for point in (glass.isokom_12, glass.isokom_6_6))
    return _solid(glass.expansion.value + to_set.value, glass.young.value, cold, hot)


@lru_cache(maxsize=KEPT_TABLES)
def _solid(expansion: float, young: float, cold: float, hot: float) -> SolidGlass:
    return SolidGlass(
        young=young,
        poisson=loader.value("glass/poisson"),
        expansion_glass=expansion,
        expansion_liquid=loader.value("glass/liquid_expansion_factor") * expansion,
        viscosity=VftViscosity.from_two_points(
            (cold, loader.value("glass/transformation_log_viscosity")),
            (hot, loader.value("glass/softening_log_viscosity")),
            loader.value("glass/log_prefactor"),
        ),
        activation_fraction=loader.value("glass/activation_fraction"),
        structural_modulus=loader.value("glass/structural_modulus"),
    )


@lru_cache(maxsize=1)
def recovery() -> Recovery:
    """Return how annealing wipes out the hardening of a metal."""
    return Recovery(*(loader.value(f"metals/recovery_{part}") for part in ("onset", "fade", "full")))


@lru_cache(maxsize=KEPT_TABLES)
def _schedule(course: Course) -> Schedule:
    cycles = [
        FiringCycle(
            top,
            loader.value("heat/room"),
            course.cooling,
            loader.value("heat/heating_time"),
            loader.value("heat/hold_time"),
        )
        for top in course.tops
    ]
    return fire(cycles, cooling_steps=course.cooling_steps, heating_steps=course.heating_steps)


@lru_cache(maxsize=64)
def sheet_of(metal_id: str) -> SheetMetal:
    """Return the curves of a metal by its key."""
    return metal(metal_id).sheet()


@lru_cache(maxsize=KEPT_TABLES)
def sheet_table(sheet: SheetMetal, course: Course) -> SheetTable:
    """Return a metal along a course."""
    return sheet.table(course.schedule)


@lru_cache(maxsize=KEPT_TABLES)
def glass_table(glass: SolidGlass, course: Course) -> GlassTable:
    """Return a glass along a course; about a millisecond a firing the first time."""
    return relax_structure(glass, course.schedule)
