"""Which counter-coat keeps a piece flat enough."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.counter_words import Span, Strict, told, too_thick
from enamelwright.craft.checks.flatness_draws import Draws, Model
from enamelwright.craft.checks.flatness_history import Lamina
from enamelwright.craft.checks.flatness_states import Plate
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.checks.rim import rim_limit, rim_resistance
from enamelwright.craft.plan import CounterBand
from enamelwright.figure import Array
from enamelwright.physics.counter_coat import REACH, SMALLEST, counter_band, counter_chance
from enamelwright.physics.fracture import spall_energy
from enamelwright.physics.laminate import LaminateResult
from enamelwright.reference import loader

#: Thicknesses at which the counter-coat is tried; straight lines between them are within a micrometre of bow.
TRIED = 48
#: Thicknesses at which the draws are solved.
COUNTED = 10
#: Draws behind each chance: of a first answer, and when at least as many draws as `MANY` were asked for.
CHANCE_DRAWS, MANY, MANY_CHANCE_DRAWS = 40, 1000, 256


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
        like = Lamina(replace(base.layer, number=-1, coat=coat), 0, base.firing, base.thickness, base.amount)
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


def band_of(model: Model, draws: Draws, bench: Bench, bow: float | None = None) -> CounterBand | None:
    """Return the counter-coats that keep the piece flat enough, in glass after firing.

    The band is where nine pieces in ten stay within the limit, cut where the rim of a thin, hard
    pressed counter-coat would chip. The strict limit is tried first; where the counter-coat planned
    does not keep it, the limit of "nearly flat", and then both are told.

    Parameters
    ----------
    model : Model
        The piece.
    draws : Draws
        Of the same piece; the counter-coat varies with them.
    bench : Bench
        House rules.
    bow : float, optional
        Unfavourable end of the bow of the piece as planned [m]: it was found with more draws than any
        counter-coat is tried with here, so where it keeps a limit the planned counter-coat does.
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
    tried = _Tried(counter, curve, _Share.of(counter, draws, grid), bow, least)
    strict = tried.span(tight)
    if strict is not None and (counter.imagined or strict.planned):
        return told(strict, None, tight, counter.imagined)
    loose = level("bow_watch") * tight
    span = tried.span(loose) or tried.likely(loose)
    if span is None and tried.beyond(loose):
        together = len({one.firing for one in counter.model.history.laminae}) == 1
        return too_thick(tried.flat(loose), loose, together)
    return told(span, Strict(tight, strict), loose, counter.imagined)


@dataclass(frozen=True, eq=False)
class _Tried:
    """A counter-coat in all its thicknesses, and which of them pass.

    Parameters
    ----------
    counter : Counter
        The piece.
    curve : ndarray, shape (n_grid,)
        Nominal bow [m].
    share : _Share
        Bow of the draws.
    bow : float or None
        Unfavourable end of the bow as planned [m].
    least : float
        Thinnest counter-coat whose rim holds [m].
    """

    counter: Counter
    curve: Array
    share: _Share
    bow: float | None
    least: float

    @property
    def planned(self) -> float:
        """Glass on the back as planned [m]; none when the counter-coat is imagined."""
        return 0.0 if self.counter.imagined else self.counter.nominal

    @property
    def most(self) -> float:
        """Most glass on the back worth telling [m]: people read a higher end as leave to overload."""
        return loader.value("trade/back_to_front_high") * self.counter.model.history.glass("front")

    def beyond(self, limit: float) -> bool:
        """Whether more glass than is customary would keep a limit, everything at its likely value."""
        return bool(np.any(np.abs(self.curve[self.share.grid > self.most]) <= limit))

    def span(self, limit: float) -> Span | None:
        """Return the counter-coats that keep a limit in nine pieces of ten; None when there are none."""
        chance = np.mean(np.abs(self.share.bow) <= limit, axis=1)
        # Both must hold, so the worse of the two decides; 1 is just good enough.
        merit = np.minimum(chance / level("counter_chance"), limit / np.maximum(np.abs(self.curve), limit / 2))
        return self._best(merit, limit, sure=True)

    def likely(self, limit: float) -> Span | None:
        """Return the counter-coats that keep a limit with everything at its likely value."""
        return self._best(limit / np.maximum(np.abs(self.curve), limit / 2), limit, sure=False)

    def _best(self, merit: Array, limit: float, sure: bool) -> Span | None:
        """Return the run of good thicknesses that holds the one planned, else the widest; None beyond `most`.

        The bow need not fall all the way: a thick counter-coat may bring a piece back into the limit
        that a thin one sent out on the other side.
        """
        grid, planned = self.share.grid, self.planned
        good = merit >= 1
        kept = self.bow is not None and self.bow <= limit and planned <= grid[-1]
        if kept:
            right = int(np.searchsorted(grid, planned))
            good[max(right - (grid[right] > planned), 0) : right + 1] = True
        edge = np.diff(np.concatenate([[0], good.astype(int), [0]]))
        runs = list(zip(np.nonzero(edge == 1)[0].tolist(), (np.nonzero(edge == -1)[0] - 1).tolist(), strict=True))
        if not runs:
            return None
        ends = [(_start(grid, merit, first), _end(grid, merit, last)) for first, last in runs]
        if kept:
            ends = [
                (min(low, planned), max(high, planned)) if grid[first] <= planned <= grid[last] else (low, high)
                for (first, last), (low, high) in zip(runs, ends, strict=True)
            ]
        holding = [(low, high) for low, high in ends if low <= planned <= high]
        within = [(low, min(high, self.most)) for low, high in ends if low <= self.most]
        if holding:
            low, high = holding[0]
            # A thicker one that was planned and keeps the limit where less does not is told as it is.
            high = min(high, self.most if low <= self.most else planned)
        elif within:
            low, high = max(within, key=lambda pair: pair[1] - pair[0])
        else:
            return None
        return Span(low, high, self.flat(limit), self.least, sure, planned=bool(holding))

    def flat(self, limit: float) -> float | None:
        """Return the counter-coat that leaves no bow [m]."""

        def bow_of(back: Array) -> Array:
            return np.asarray(np.interp(back, self.share.grid, self.curve))

        return counter_band(bow_of, self.counter.model.history.glass("front"), limit).flat


def _start(grid: Array, merit: Array, first: int) -> float:
    """Return where a run of good thicknesses begins, between the last bad one and its first."""
    if first == 0 or merit[first] < 1:
        return float(grid[first])
    return float(np.interp(1.0, merit[first - 1 : first + 1], grid[first - 1 : first + 1]))


def _end(grid: Array, merit: Array, last: int) -> float:
    """Return where it ends."""
    if last + 1 == grid.size or merit[last] < 1:
        return float(grid[last])
    # np.interp wants rising abscissae, and the merit falls here
    return float(np.interp(1.0, merit[last : last + 2][::-1], grid[last : last + 2][::-1]))


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
