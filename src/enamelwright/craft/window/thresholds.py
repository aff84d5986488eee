"""The clocks at which a coat passes from stage to stage, from its powder and depth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import e, hypot, log10

from enamelwright.craft.window.facts import band_sd, number
from enamelwright.physics.gloss_clock import StageRules, over_work, thresholds
from enamelwright.physics.levelling import gloss_work
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
        Depth of all that is molten with it, itself included, counted as glass of its own viscosity [m].
    depth_sd : float
        Of the logarithm of the depth.
    tilt : float
        Sine of the steepest slope it lies on: 0 level, 1 upright.
    """

    grain: float
    grain_sd: float
    depth: float
    melt: float
    depth_sd: float
    tilt: float = 0.0

    @property
    def sd(self) -> float:
        """What is not known of powder and depth, as decades of the clock of gloss."""
        return float(hypot(GRAIN_POWER * self.grain_sd, DEPTH_POWER * self.depth_sd) * log10(e))

    @property
    def depth_part(self) -> float:
        """What is not known of the depth alone, as decades of the clock of gloss."""
        return float(DEPTH_POWER * self.depth_sd * log10(e))

    @property
    def law(self) -> float:
        """Decades by which the law of gloss moves this coat away from the ordinary one."""
        return _gloss(self.grain, self.depth, self.melt) - base_gloss()

    @property
    def law_sd(self) -> float:
        """How far the laws are not trusted to move this coat away from the ordinary one [decades]."""
        return band_sd("law_share") * abs(self.law)


@dataclass(frozen=True)
class Thresholds:
    """Stages as log10 of the clock [1/Pa].

    Attributes
    ----------
    neck, dense, gloss, done, over : float
        Grains stick; 95 % dense; gloss shows; makers take it out; over-fired.
    """

    neck: float
    dense: float
    gloss: float
    done: float
    over: float

    def moved(self, decades: float) -> Thresholds:
        """Return the stages of a jar that lies so many decades off the law.

        Whatever the reason, viscosity or level, gloss and over-firing of one jar stand on one scale.

        Parameters
        ----------
        decades : float
            Positive for a jar that needs more.
        """
        # Gloss cannot come before the powder has closed, however thick and fine it is.
        step = max(decades, self.dense - self.gloss)
        return Thresholds(self.neck, self.dense, self.gloss + step, self.done + step, self.over + step)


@lru_cache(maxsize=1)
def stage_rules() -> StageRules:
    """Return where the looks of a coat change."""
    ordinary = 10 ** base_gloss()
    return StageRules(
        neck=number("rule_neck"),
        dense=number("rule_dense"),
        slope=number("slope_seen"),
        run=number("rule_run"),
        thick=number("rule_thick"),
        late=number("rule_late"),
        level_low=number("rule_level_low") * ordinary,
        level_high=number("rule_level_high") * ordinary,
        least=number("rule_least"),
    )


def base_powder() -> Powder:
    """Return the coat of the ordinary disc."""
    depth = number("base_coat")
    return Powder(number("base_grain"), 0.0, depth, depth, 0.0)


@lru_cache(maxsize=1)
def base_gloss() -> float:
    """Return log10 of the clock [1/Pa] at which the coat of the ordinary disc glosses by the law alone."""
    base = base_powder()
    return _gloss(base.grain, base.depth, base.melt)


def base_done() -> float:
    """Return log10 of the clock [1/Pa] at which makers take the ordinary disc out, by the laws alone."""
    return thresholds_of(base_powder()).done


@lru_cache(maxsize=REMEMBERED)
def _gloss(grain: float, depth: float, melt: float) -> float:
    work = gloss_work(
        grain,
        depth,
        melt,
        tension=loader.value("heat/surface_tension"),
        density=number("melt_density"),
        slope=number("slope_seen"),
    )
    return log10(float(work))


def thresholds_of(powder: Powder) -> Thresholds:
    """Return the stages of a coat by the laws of sintering and levelling.

    Of the way the law of gloss moves a coat from the ordinary one, only a share is taken as given: the settings in
    print for slips, thick coats and later coats differ less from the ordinary ones than the law says.

    Parameters
    ----------
    powder : Powder
        The coat.
    """
    return _thresholds(powder.grain, powder.depth, powder.melt, powder.tilt)


@lru_cache(maxsize=REMEMBERED)
def _thresholds(grain: float, depth: float, melt: float, tilt: float) -> Thresholds:
    density, rules = number("melt_density"), stage_rules()
    found = thresholds(
        grain,
        depth,
        melt,
        tension=loader.value("heat/surface_tension"),
        density=density,
        packing=number("powder_packing"),
        rules=rules,
    )
    gloss = base_gloss() + number("law_share") * (log10(float(found.gloss)) - base_gloss())
    over = log10(float(over_work(10**gloss, melt, density=density, rules=rules, tilt=tilt)))
    # Where little room is left before over-firing, it is taken out in the middle of it.
    done = min(gloss + number("done_decades"), (gloss + over) / 2)
    return Thresholds(log10(float(found.neck)), log10(float(found.dense)), gloss, done, over)
