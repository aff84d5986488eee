"""Which counter-coat keeps a piece flat enough: a band told in plain words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness_draws import Draws, Model
from enamelwright.craft.checks.flatness_history import Lamina
from enamelwright.craft.checks.flatness_states import Plate
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.checks.rim import rim_limit, rim_resistance
from enamelwright.craft.checks.wording import mm
from enamelwright.craft.plan import CounterBand
from enamelwright.figure import Array
from enamelwright.physics.counter_coat import REACH, SMALLEST, counter_band, counter_chance
from enamelwright.physics.counter_coat import CounterBand as NominalBand
from enamelwright.physics.fracture import spall_energy
from enamelwright.physics.laminate import LaminateResult

#: Thicknesses at which the counter-coat is tried; straight lines between them are within a micrometre of bow.
TRIED = 48
#: Thicknesses at which the draws are solved.
COUNTED = 10
#: Draws behind each chance: of a first answer, and when at least as many draws as `MANY` were asked for.
CHANCE_DRAWS, MANY, MANY_CHANCE_DRAWS = 40, 1000, 256
#: Share of a step that rounding to whole steps may forgive.
SLACK = 1e-6
#: Decimals of a metre kept: a tenth of a micrometre.
METRE_DIGITS = 7


@dataclass(frozen=True, eq=False)
class Counter:
    """A piece whose counter-coat can be made thicker or thinner.

    Parameters
    ----------
    model : Model
        The piece, with a counter-coat; an imagined one when it has none.
    back : tuple of int
        Positions of its layers.
    imagined : bool
        The piece as described has none.
    """

    model: Model
    back: tuple[int, ...]
    imagined: bool

    @classmethod
    def of(cls, model: Model) -> Counter | None:
        """Find the counter-coat, or imagine one of the first front coat's glass fired together with it."""
        history = model.history
        front, back = history.on("front"), history.on("back")
        if not front:
            return None
        if back:
            return cls(model, back, imagined=False)
        base = history.laminae[front[0]]
        coat = base.layer.coat.model_copy(update={"face": "back"})
        like = Lamina(replace(base.layer, number=-1, coat=coat), 0, base.firing, base.thickness, base.amount_sd)
        grown = replace(history, laminae=(like, *history.laminae))
        return cls(replace(model, history=grown), (0,), imagined=True)

    @property
    def nominal(self) -> float:
        """Glass on the back as described, all coats together [m]."""
        return float(self.model.thickness[list(self.back)].sum())

    def with_back(self, back: Array) -> Array:
        """Return layer thicknesses with so much glass on the back [m]; shape (..., n_coat)."""
        thick = np.broadcast_to(self.model.thickness, (*back.shape, self.model.thickness.size)).copy()
        at = list(self.back)
        thick[..., at] *= (back / self.nominal)[..., np.newaxis]
        return thick

    def bow(self, result: LaminateResult, thickness: Array, metal: Array | float) -> Array:
        """Return the bow after the last firing [m]."""
        plate = Plate.of(self.model.layup)
        return plate.bow(result.cold_curvature[:, -1], thickness.sum(axis=-1) + metal)


def allowed_bow(model: Model, bench: Bench) -> float:
    """Return the bow that still counts as flat over the piece's own chord [m].

    Parameters
    ----------
    model : Model
        The piece.
    bench : Bench
        Its house may set the limit over 25 mm.
    """
    limit = bench.house.bow_limit or level("bow_limit")
    return limit * model.layup.shape.chord / level("bow_chord")


def band_of(model: Model, draws: Draws, bench: Bench) -> CounterBand | None:
    """Return the counter-coats that keep the piece flat enough, in glass after firing.

    The band is where nine pieces in ten stay within the limit, cut where the rim of a thin, hard
    pressed counter-coat would chip.

    Parameters
    ----------
    model : Model
        The piece.
    draws : Draws
        Of the same piece; the counter-coat varies with them.
    bench : Bench
        House rules.
    """
    counter = Counter.of(model)
    if counter is None:
        return None
    tight = allowed_bow(model, bench)
    front = model.history.glass("front")
    grid = np.concatenate([[0.0], np.linspace(SMALLEST, REACH * front, TRIED)])
    thick = counter.with_back(grid)
    result = counter.model.varied(thick)
    curve = counter.bow(result, thick, model.layup.thickness)
    least = _chip_free(counter, grid, thick, result)

    def bow_of(back: Array) -> Array:
        return np.asarray(np.interp(back, grid, curve))

    share = _Share.of(counter, draws, grid)
    # The strict limit first; where no counter-coat reaches it reliably, or the one planned lies outside
    # and is called nearly flat all the same, the limit of "nearly flat".
    for limit in (tight, level("bow_watch") * tight):
        found = counter_band(bow_of, front, limit)
        if found.low is None:
            continue
        low, high = share.reliable(found, limit)
        if low is None:
            continue
        low = max(low, least)
        if counter.imagined or low <= counter.nominal <= (counter.nominal if high is None else high):
            return _told(low, high, found.flat, limit, counter, sure=True)
    if found.low is None:
        return CounterBand(low=None, high=None, flat=found.flat, limit=limit, words=_none(limit, counter))
    low, high = share.reliable(found, limit)
    sure = low is not None
    if low is None:
        low, high = found.low, found.high
    return _told(max(low, least), high, found.flat, limit, counter, sure)


@dataclass(frozen=True, eq=False)
class _Share:
    """How many of the drawn pieces bow how far, for every counter-coat.

    Parameters
    ----------
    grid : ndarray, shape (n_grid,)
        Nominal glass on the back [m], the bare back first.
    bow : ndarray, shape (n_grid, n_draw)
        Bow of every draw [m].
    """

    grid: Array
    bow: Array

    @classmethod
    def of(cls, counter: Counter, draws: Draws, grid: Array) -> _Share:
        """Solve a coarse grid on shared draws; every draw's bow runs straight between its points."""
        few = draws.first(MANY_CHANCE_DRAWS if draws.metal.size >= MANY else CHANCE_DRAWS)
        if counter.imagined:
            few = counter.model.draws(few.metal.size)
        # Finest near the low end, where the bow falls steeply.
        coarse = grid[-1] * np.linspace(0.0, 1.0, COUNTED) ** 2
        whole = few.repeated(COUNTED)

        def bow_of(back: Array) -> Array:
            thick = counter.with_back(back.ravel())
            thick *= np.where(np.isin(np.arange(thick.shape[1]), counter.back), 1.0, whole.factor)
            result = counter.model.varied(thick, whole)
            return counter.bow(result, thick, whole.metal).reshape(back.shape)

        weight = counter.model.thickness[list(counter.back)] / counter.nominal
        factor = few.factor[:, list(counter.back)] @ weight
        bow = counter_chance(bow_of, coarse, factor, np.inf).bow
        left = np.clip(np.searchsorted(coarse, grid, side="right") - 1, 0, COUNTED - 2)
        part = ((grid - coarse[left]) / (coarse[left + 1] - coarse[left]))[:, np.newaxis]
        return cls(grid, np.asarray(bow[left] * (1 - part) + bow[left + 1] * part))

    def reliable(self, found: NominalBand, limit: float) -> tuple[float | None, float | None]:
        """Narrow a nominal band to where nine pieces in ten pass; (None, None) when nowhere.

        Parameters
        ----------
        found : NominalBand
            Band of the nominal piece.
        limit : float
            Bow allowed [m].
        """
        chance = np.mean(np.abs(self.bow) <= limit, axis=1)
        wanted = level("counter_chance")
        low, top = found.low or 0.0, self.grid[-1] if found.high is None else found.high
        inside = (self.grid >= low - SMALLEST) & (self.grid <= top + SMALLEST)
        good = np.nonzero(inside & (chance >= wanted))[0]
        if not good.size:
            return None, None
        first, last = int(good[0]), int(good[0])
        while last + 1 < self.grid.size and inside[last + 1] and chance[last + 1] >= wanted:
            last += 1
        start, end = float(self.grid[first]), float(self.grid[last])
        if first and chance[first - 1] < wanted:
            start = float(np.interp(wanted, chance[first - 1 : first + 1], self.grid[first - 1 : first + 1]))
        if last + 1 == self.grid.size:
            return max(start, low), None
        if chance[last + 1] < wanted:
            # np.interp wants rising abscissae, and the chance falls here
            end = float(np.interp(wanted, chance[last : last + 2][::-1], self.grid[last : last + 2][::-1]))
        return max(start, low), min(end, float(top))


def _told(
    low: float, high: float | None, flat: float | None, limit: float, counter: Counter, sure: bool
) -> CounterBand:
    """Round a band inwards to whole steps and put it in words."""
    step = level("counter_step")
    low = round(ceil(low / step - SLACK) * step, METRE_DIGITS)
    if high is not None:
        high = max(round(floor(high / step + SLACK) * step, METRE_DIGITS), low)
    return CounterBand(low=low, high=high, flat=flat, limit=limit, words=_words(low, high, limit, counter, sure))


def _chip_free(counter: Counter, grid: Array, thick: Array, result: LaminateResult) -> float:
    """Return the thinnest counter-coat whose rim holds [m]."""
    energy = np.zeros(grid.size)
    for n in counter.back:
        glass = counter.model.solid(counter.model.history.laminae[n])
        inner, outer = result.coat_stress[:, -1, n, 0], result.coat_stress[:, -1, n, 1]
        energy += np.nan_to_num(spall_energy(inner, outer, thick[:, n], glass.young, glass.poisson))
    glass = counter.model.solid(counter.model.history.laminae[counter.back[0]])
    ratio = energy / rim_resistance(glass)
    bad = np.nonzero(ratio > rim_limit(counter.model.layup.metal))[0]
    # Thinner coats are pressed harder but free less energy; only a run of bad ones below good ones counts.
    if not bad.size or bad[-1] == grid.size - 1:
        return 0.0
    return float(grid[bad[-1] + 1])


def _words(low: float, high: float | None, limit: float, counter: Counter, sure: bool) -> str:
    under = f"keeps it under {mm(limit)} of bow"
    if low <= 0 and high is None:
        return f"It stays under {mm(limit)} of bow with a bare back, and with any counter-coat."
    if low <= 0:
        return f"It stays under {mm(limit)} of bow with a bare back, and with up to {mm(high or 0.0)} of glass on it."
    if high is None:
        words = f"anything from {mm(low)} of glass on the back upward {under}; no upper limit was found"
    elif high - low < level("counter_step"):
        words = f"about {mm(low)} of glass on the back {under}, and little else does"
    else:
        words = f"anything from {mm(low)} to {mm(high)} of glass on the back {under}"
    if counter.imagined:
        words = f"with a counter-coat of the same glass, fired with the first front coat, {words}"
    if sure:
        return f"{words[0].upper()}{words[1:]}."
    return (
        f"Most likely {words}. Uneven coats and jars nobody measured can move it further: "
        "fire a test strip of each jar."
    )


def _none(limit: float, counter: Counter) -> str:
    what = "No thickness of that glass" if counter.imagined else "No thickness of this counter-enamel"
    return (
        f"{what} brings it under {mm(limit)} of bow in this order of firing: fire both faces together, press it "
        "flat while hot, or choose a counter-enamel that is harder or expands less."
    )
