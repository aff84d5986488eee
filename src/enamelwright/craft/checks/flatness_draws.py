"""From a history to the solver: the nominal stack, its draws, and the same piece with another counter coat.

All uncertainty is owned here: the same factor name gives the same draws in every plan, so that two
plans are compared on the same jars, hands and sheet.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from enamelwright.craft.checks.flatness_history import History, Lamina
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.layup import Layup
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.solids import (
    KELVIN_STEP,
    Course,
    expansion_to_set,
    glass_table,
    recovery,
    sheet_of,
    sheet_table,
    solid_of,
)
from enamelwright.figure import Array, Distribution, Figure, Normal, Spread
from enamelwright.physics.glass_solid import SolidGlass
from enamelwright.physics.laminate import LaminateResult, solve, stack
from enamelwright.physics.sheet import SheetMetal
from enamelwright.reference import loader

#: Steps of a cooling and a heating for the one answer, and for a batch of draws.
ANSWER_STEPS, BATCH_STEPS = (160, 120), (50, 40)
#: Metal sublayers of a batch of any size.
BATCH_SUBLAYERS = 6
#: Strain to which a batch is balanced.
BATCH_TOLERANCE = 1e-9
#: Setting temperatures are drawn in five equal groups, at these points in standard deviations: the
#: middles of the groups, scaled so that their own standard deviation is one.
GROUPS = (-1.41, -0.68, 0.0, 0.68, 1.41)
#: Threads of a batch; the solver lets other threads run.
THREADS = 2
#: Stratified draws from which a standard deviation is read.
SETTLED = 256
#: Factor of how dense these hands lay powder.
PACKING = "hand: packing"
#: Factor of how much of what an earlier firing bent is lost in the heat of the next.
LOST = "sheet: earlier bow lost"
#: A factor told in its own standard deviations.
STANDARD = Normal(mean=0.0, sd=1.0)

Whole = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Model:
    """A piece ready to be solved.

    Parameters
    ----------
    layup : Layup
        The piece.
    history : History
        Its layers and firings.
    own_sheet : SheetMetal, optional
        Curves of the metal where they are not those of the tables.
    to_set : Figure, optional
        How much more the glasses expand up to their setting than to 300 °C, on average [1/K].
    """

    layup: Layup
    history: History
    own_sheet: SheetMetal | None = None
    to_set: Figure = field(default_factory=expansion_to_set)

    @property
    def sheet(self) -> SheetMetal:
        """Return the curves of the metal."""
        return sheet_of(self.layup.metal.id) if self.own_sheet is None else self.own_sheet

    @cached_property
    def _jars(self) -> dict[str, SolidGlass]:
        return {one.layer.jar.id: solid_of(one.layer.glass, self.to_set) for one in self.history.laminae}

    def solid(self, lamina: Lamina) -> SolidGlass:
        """Return the glass of one layer."""
        return self._jars[lamina.layer.jar.id]

    def course(self, steps: tuple[int, int]) -> Course:
        """Return the temperatures at one resolution."""
        return Course(self.history.tops, self.history.cooling, *steps)

    @cached_property
    def thickness(self) -> Array:
        """Nominal thickness of every layer [m], shape (n_coat,)."""
        return np.array([one.thickness for one in self.history.laminae])

    @cached_property
    def spread(self) -> Spread:
        """Everything uncertain about this piece."""
        factors: dict[str, Distribution] = {}
        metal = self.layup.metal
        factors[f"metal {metal.id}: yield"] = metal.yield_scale
        factors[f"metal {metal.id}: expansion"] = metal.expansion_scale
        factors[f"metal {metal.id}: thickness"] = Normal(mean=1.0, sd=loader.value("metals/thickness_relative_sd"))
        # The names are those of the weights, so the same hand and jar are drawn alike there and here.
        factors[PACKING] = STANDARD
        factors[LOST] = STANDARD
        for one in self.history.laminae:
            factors[one.factor] = Normal(mean=1.0, sd=loader.value("trade/coat_thickness_sd"))
            factors[one.own_amount] = STANDARD
            factors[f"jar {one.layer.jar.id}: density"] = STANDARD
            factors[f"jar {one.layer.jar.id}: expansion to setting"] = _normal(self.to_set)
        spread = Spread(factors)
        for jar, glass in self._glasses.items():
            spread = spread.joined(_jar_spread(jar, glass))
        return spread

    @cached_property
    def _glasses(self) -> dict[str, JarGlass]:
        return {one.layer.jar.id: one.layer.glass for one in self.history.laminae}

    @cached_property
    def taught(self) -> dict[str, LearnedBow]:
        """What own strips have taught, by jar."""
        return {one.jar: one for one in self.layup.taught}

    @cached_property
    def give(self) -> tuple[float, float] | None:
        """Logarithm of the factor on the yield of this metal and its spread, as the best known jar on it has it."""
        best = min(self.layup.taught, key=lambda one: one.give_sd, default=None)
        return None if best is None else (best.give, best.give_sd)

    @cached_property
    def scales(self) -> dict[str, Any]:
        """Likely factors on yield and on the free strain of every layer, for the solver; none if nothing is taught."""
        if self.give is None:
            return {}
        strains = [self.taught[jar].strain if jar in self.taught else 0.0 for jar in self.jars_laid]
        return {"yield_scale": float(np.exp(self.give[0])), "coat_strain_scale": np.exp(strains)[np.newaxis]}

    @property
    def jars_laid(self) -> list[str]:
        """Jar of every layer."""
        return [one.layer.jar.id for one in self.history.laminae]

    def nominal(self, hold_flat: bool = False, forgetful: bool = False) -> LaminateResult:
        """Solve the piece as described, finely.

        Parameters
        ----------
        hold_flat : bool
            Keep it flat, as the middle of a high dome is.
        forgetful : bool
            Every firing begins flat, as if nothing stayed of what an earlier one bent.
        """
        course = self.course(ANSWER_STEPS)
        order = list(self._jars)
        piece = stack(
            self.layup.thickness,
            self.history.coats,
            self.thickness,
            firings=len(self.history.tops),
            coat_table=np.array([order.index(one.layer.jar.id) for one in self.history.laminae], dtype=np.int64),
            pressed_flat=(True,) * len(self.history.tops) if forgetful else self.history.pressed,
            **self.scales,
        )
        melts = [glass_table(self._jars[jar], course) for jar in order]
        sheet = sheet_table(self.sheet, course)
        return solve(piece, course.schedule, sheet, melts, recovery=recovery(), hold_flat=hold_flat)

    def varied(
        self,
        thickness: Array,
        draws: Draws | None = None,
        hold_flat: bool = False,
        scales: Mapping[str, Any] | None = None,
    ) -> LaminateResult:
        """Solve many pieces at once, coarsely.

        Parameters
        ----------
        thickness : ndarray, shape (n_draw, n_coat)
            Of every layer [m].
        draws : Draws, optional
            What else varies; nothing when left out.
        hold_flat : bool
            Keep them flat.
        scales : mapping, optional
            `yield_scale` and `coat_strain_scale` of each, in place of what was taught, where nothing else varies.
        """
        course = self.course(BATCH_STEPS)
        order = list(self._jars)
        table = np.array([order.index(one.layer.jar.id) for one in self.history.laminae], dtype=np.int64)
        extra: dict[str, Any]
        if draws is None:
            melts = [glass_table(self._jars[jar], course) for jar in order]
            extra = {"coat_table": table, **(self.scales if scales is None else scales)}
        else:
            melts = [
                glass_table(self._jars[jar].shifted(shift) if shift else self._jars[jar], course)
                for jar in order
                for shift in self._shifts[jar]
            ]
            extra = {
                "coat_table": table * len(GROUPS) + draws.group,
                "yield_scale": draws.yield_scale,
                "coat_strain_scale": draws.coat_strain,
                "metal_strain_scale": draws.metal_strain,
            }
        metal = self.layup.thickness if draws is None else draws.metal
        piece = stack(
            metal,
            self.history.coats,
            thickness,
            firings=len(self.history.tops),
            pressed_flat=self.history.pressed,
            **extra,
        )
        return solve(
            piece,
            course.schedule,
            sheet_table(self.sheet, course),
            melts,
            recovery=recovery(),
            hold_flat=hold_flat,
            sublayers=BATCH_SUBLAYERS,
            tolerance=BATCH_TOLERANCE,
            threads=THREADS,
        )

    @cached_property
    def _shifts(self) -> dict[str, tuple[float, ...]]:
        """Kelvin by which the set point of each group of draws lies off the nominal, per jar."""
        found = {}
        for jar in self._jars:
            name = f"jar {jar}: isokom 12"
            sd = float(np.std(self.spread.draw([name], SETTLED)[name]))
            found[jar] = tuple(round(point * sd / KELVIN_STEP) * KELVIN_STEP for point in GROUPS)
        return found

    def _strain(self, jar: str, expansion: Array) -> Array:
        """Turn drawn expansions into factors on the free strain; never narrower than a known glass allows.

        Parameters
        ----------
        jar : str
            Its id.
        expansion : ndarray, shape (n_draw,)
            Mean expansion down from the setting [1/K].
        """
        nominal = self._glasses[jar].expansion.value + self.to_set.value
        scale = expansion / nominal
        spread = float(np.std(scale))
        taught = self.taught.get(jar)
        if taught is not None and spread > 0:
            scale = np.exp(taught.strain + taught.strain_sd * (scale - float(np.mean(scale))) / spread)
        elif 0 < spread < (least := loader.value("glass/strain_scale_sd")):
            scale = 1 + (scale - 1) * least / spread
        return np.clip(scale, level("strain_lowest"), level("strain_highest"))

    def _yields(self, drawn: Array) -> Array:
        """Turn drawn factors on the yield of a bought sheet into those of this studio's own."""
        if self.give is None:
            return drawn
        middle, sd = self.give
        return np.asarray(np.exp(middle + sd * np.log(drawn) / loader.value("metals/yield_log_sd")))

    def draws(self, n: int) -> Draws:
        """Draw everything uncertain `n` times; the same names give the same numbers in every plan."""
        from scipy.special import ndtr

        drawn = self.spread.draw(self.spread.factors, n)
        metal = f"metal {self.layup.metal.id}"
        laminae = self.history.laminae
        least = level("thinnest_draw")
        factor = np.stack([drawn[one.factor] + _amount(one, drawn) for one in laminae], axis=-1)
        scale = {
            jar: self._strain(jar, drawn[f"jar {jar}: expansion"] + drawn[f"jar {jar}: expansion to setting"])
            for jar in self._jars
        }
        # A learned strain holds where the glass sets too: strips do not tell the two apart.
        place = {
            jar: np.full(n, len(GROUPS) // 2) if jar in self.taught else _group(drawn[f"jar {jar}: isokom 12"])
            for jar in self._jars
        }
        strain = np.stack([scale[one.layer.jar.id] for one in laminae], axis=-1)
        group = np.stack([place[one.layer.jar.id] for one in laminae], axis=-1)
        return Draws(
            factor=np.maximum(factor, least),
            metal=self.layup.thickness * np.maximum(drawn[f"{metal}: thickness"], least),
            yield_scale=self._yields(drawn[f"{metal}: yield"]),
            metal_strain=np.maximum(drawn[f"{metal}: expansion"], least),
            coat_strain=strain,
            group=group,
            lost=ndtr(drawn[LOST]),
        )


def _amount(one: Lamina, drawn: dict[str, Array]) -> Array:
    """Return how far the amount of one coat is off, as a share; a denser glass lies thinner."""
    amount = one.amount
    own, density = drawn[one.own_amount], drawn[f"jar {one.layer.jar.id}: density"]
    return amount.hand * drawn[PACKING] + amount.own * own - amount.jar * density


def _jar_spread(jar: str, glass: JarGlass) -> Spread:
    """Return the factors of one jar that matter here, with those that move together."""
    whole = glass.spread(jar)
    wanted = {f"jar {jar}: expansion": glass.expansion, f"jar {jar}: isokom 12": glass.isokom_12}
    factors = {name: whole.factors.get(name, _normal(figure)) for name, figure in wanted.items()}
    return Spread(factors, {pair: rho for pair, rho in whole.together.items() if set(pair) <= set(wanted)})


def _normal(figure: Figure) -> Normal:
    return Normal(mean=figure.value, sd=figure.sd)


def _group(drawn: Array) -> Whole:
    """Sort draws into equal groups by size."""
    rank = np.empty(drawn.size, dtype=np.int64)
    rank[np.argsort(drawn, kind="stable")] = np.arange(drawn.size)
    return rank * len(GROUPS) // drawn.size


@dataclass(frozen=True, eq=False)
class Draws:
    """The same piece made many times.

    Parameters
    ----------
    factor : ndarray, shape (n_draw, n_coat)
        Thickness of every layer over its nominal.
    metal : ndarray, shape (n_draw,)
        Sheet thickness [m].
    yield_scale, metal_strain : ndarray, shape (n_draw,)
        Factors on yield and on the expansion of the metal.
    coat_strain : ndarray, shape (n_draw, n_coat)
        Factor on the free strain of every layer.
    group : ndarray of int, shape (n_draw, n_coat)
        Which of the five setting temperatures.
    lost : ndarray, shape (n_draw,)
        Share of what an earlier firing bent that the next one takes away.
    """

    factor: Array
    metal: Array
    yield_scale: Array
    metal_strain: Array
    coat_strain: Array
    group: Whole
    lost: Array

    def first(self, n: int) -> Draws:
        """Return the first `n` draws; they are in random order, so any part is a fair one."""
        return Draws(*(getattr(self, name)[:n] for name in self.__dataclass_fields__))

    def repeated(self, times: int) -> Draws:
        """Return the draws over and over, for a grid of variants judged on the same draws."""
        return Draws(
            *(
                np.tile(value, (times,) + (1,) * (value.ndim - 1))
                for value in (getattr(self, name) for name in self.__dataclass_fields__)
            )
        )
