"""The clocks at which a coat passes from stage to stage, from its powder and depth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import e, hypot, log10

from enamelwright.craft.window.facts import number
from enamelwright.physics.gloss_clock import StageRules, thresholds
from enamelwright.reference import loader

#: The gloss law goes with the cube of the grain and the inverse square of the depth.
GRAIN_POWER, DEPTH_POWER = 3.0, 2.0
#: Coats remembered.
REMEMBERED = 4096


@dataclass(frozen=True)
class Powder:
    """One coat as powder and as melt.

    Attributes
    ----------
    grain : float
        Effective diameter of its grains [m].
    grain_sd : float
        Of the logarithm of the grain.
    depth : float
        Fused thickness of this coat [m].
    melt : float
        Fused thickness of all that is molten with it, itself included [m].
    depth_sd : float
        Of the logarithm of the depth.
    """

    grain: float
    grain_sd: float
    depth: float
    melt: float
    depth_sd: float

    @property
    def sd(self) -> float:
        """What is not known of powder and depth, as decades of the clock of gloss."""
        return float(hypot(GRAIN_POWER * self.grain_sd, DEPTH_POWER * self.depth_sd) * log10(e))


@dataclass(frozen=True)
class Thresholds:
    """Stages as log10 of the clock [1/Pa].

    Attributes
    ----------
    neck, dense, gloss, over : float
        Grains stick; 95 % dense; glossy; over-fired.
    """

    neck: float
    dense: float
    gloss: float
    over: float

    def moved(self, decades: float) -> Thresholds:
        """Return the stages of a jar whose gloss lies so many decades off the law.

        What runs, runs by its viscosity alone, so only the other measure of over-firing goes with the gloss.

        Parameters
        ----------
        decades : float
            Positive for a jar that needs more.
        """
        # Gloss cannot come before the powder has closed, however thick and fine it is.
        gloss = max(self.gloss + decades, self.dense)
        late = gloss + log10(number("rule_late"))
        return Thresholds(self.neck, self.dense, gloss, max(self.over, late))


@lru_cache(maxsize=1)
def stage_rules() -> StageRules:
    """Return where the looks of a coat change."""
    return StageRules(
        neck=number("rule_neck"),
        dense=number("rule_dense"),
        slope=number("slope_seen"),
        run=number("rule_run"),
        thick=number("rule_thick"),
        late=number("rule_late"),
    )


def thresholds_of(powder: Powder) -> Thresholds:
    """Return the stages of a coat by the laws of sintering and levelling.

    Parameters
    ----------
    powder : Powder
        The coat.
    """
    return _thresholds(powder.grain, powder.depth, powder.melt)


@lru_cache(maxsize=REMEMBERED)
def _thresholds(grain: float, depth: float, melt: float) -> Thresholds:
    found = thresholds(
        grain,
        depth,
        melt,
        tension=loader.value("heat/surface_tension"),
        density=number("melt_density"),
        packing=number("powder_packing"),
        rules=stage_rules(),
    )
    return Thresholds(*(log10(float(x)) for x in (found.neck, found.dense, found.gloss, found.over)))
