"""Bow and stress after every firing, as figures: the nominal answer inside its 5-95 % band."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from enamelwright.craft.checks.flatness_draws import Draws, Model
from enamelwright.craft.checks.judgement import level
from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layup
from enamelwright.craft.plan import CoatState, FiringState
from enamelwright.figure import Array, Figure, Origin, quantiles_of_rows
from enamelwright.physics.deflection import bow_of_load, load
from enamelwright.physics.fracture import spall_energy
from enamelwright.physics.laminate import LaminateResult

_COMPUTED = Origin(kind="computed", source="stress model of an enamelled sheet", status="computed")


#: Stress, temperature and layer of the largest tension, each of shape (n_draw, n_firing).
Tension = tuple[Array, Array, NDArray[np.int64]]

#: Bow below this is the rounding of a balanced piece [m].
ROUNDING = 1e-9


@dataclass(frozen=True)
class Plate:
    """Outline and dome as the deflection law sees them: a disc of the same area.

    Parameters
    ----------
    chord : float
        Longest measure, over which the bow is told [m].
    disc : float
        Diameter of a disc of the same area [m].
    rise : float
        Dome rise over the disc [m], positive when the front is convex.
    poisson : float
        Poisson's ratio of the sheet.
    """

    chord: float
    disc: float
    rise: float
    poisson: float

    @classmethod
    def of(cls, layup: Layup) -> Plate:
        """Take the plate from a piece."""
        chord = layup.shape.chord
        disc = min(2 * sqrt(layup.shape.outer_area / pi), chord)
        return cls(chord, disc, layup.piece.dome, layup.metal.poisson.value)

    @property
    def stretch(self) -> float:
        """Chord over the diameter of the equal disc; 1 for a disc."""
        return self.chord / self.disc

    def load(self, curvature: Array, thickness: Array) -> Array:
        """Return the dimensionless load of the equal disc."""
        return load(curvature, self.disc, thickness)

    def bow(self, curvature: Array, thickness: Array) -> Array:
        """Change of bow over the chord under the curvature of a small piece [m]."""
        bow = bow_of_load(self.load(curvature, thickness), thickness, self.rise, self.poisson) * self.stretch**2
        return np.asarray(np.where(np.abs(bow) < ROUNDING, 0.0, bow))


@dataclass(frozen=True, eq=False)
class Solved:
    """The answer and its draws.

    Parameters
    ----------
    model : Model
        The piece.
    plate : Plate
        Its outline.
    draws : Draws
        How the draws differ.
    answer, band : LaminateResult
        One fine solution; all draws.
    held, held_band : LaminateResult or None
        The same held flat, for the middle of a dome.
    forgetful : LaminateResult or None
        The answer when nothing stays of what an earlier firing bent; None where there was none.
    """

    model: Model
    plate: Plate
    draws: Draws
    answer: LaminateResult
    band: LaminateResult
    held: LaminateResult | None
    held_band: LaminateResult | None
    forgetful: LaminateResult | None = None

    @property
    def thickness(self) -> Array:
        """Thickness of every layer and draw [m], shape (n_draw, n_coat)."""
        return np.asarray(self.model.thickness * self.draws.factor)

    def totals(self, coats: Array, metal: Array) -> Array:
        """Return the thickness of the whole piece after each firing [m], shape (n_draw, n_firing)."""
        steps = range(len(self.model.history.tops))
        there = np.array([[one.firing <= step for step in steps] for one in self.model.history.laminae])
        return np.asarray(coats @ there + metal[:, np.newaxis])

    @cached_property
    def _whole(self) -> tuple[Array, Array]:
        sheet = np.array([self.model.layup.thickness])
        return self.totals(self.model.thickness[np.newaxis], sheet), self.totals(self.thickness, self.draws.metal)

    @cached_property
    def _bows(self) -> tuple[Array, Array]:
        """Cold and hot bow of the answer and of all draws [m], shape (2, n_draw, n_firing)."""
        one, many = (
            self.plate.bow(np.stack([result.cold_curvature, result.hot_curvature]), whole)
            for result, whole in zip((self.answer, self.band), self._whole, strict=True)
        )
        if self.forgetful is not None:
            # Nobody measured how much stays of what gave: from all of it, as the answer has it, to nothing.
            fresh = self.plate.bow(self.forgetful.cold_curvature, self._whole[0])
            many[0] -= self.draws.lost[:, np.newaxis] * (one[0] - fresh)
        return one, many

    @cached_property
    def load(self) -> float:
        """Largest dimensionless bowing load after any planned firing, nominal."""
        found = self.plate.load(self.answer.cold_curvature, self._whole[0])
        return float(np.abs(found[:, self.model.history.before :]).max())

    def bow(self, step: int, hot: bool = False) -> Figure:
        """Return the bow after one firing of the history."""
        one, many = self._bows
        kind = 1 if hot else 0
        return Figure.of_draws(many[kind, :, step], "length", _COMPUTED, value=float(one[kind, 0, step]))

    def bow_draws(self, step: int) -> Array:
        """Return the cold bow of every draw after one firing [m], shape (n_draw,)."""
        return np.asarray(self._bows[1][0, :, step])

    def outer_draws(self, face: Face, step: int) -> tuple[Array, ...]:
        """Return the stress of every draw on the exposed glass of a face [Pa], of a dome also held flat."""
        members = [n for n in self.model.history.on(face) if self.model.history.laminae[n].firing <= step]
        layer = members[-1]
        bands = (self.band,) if self.held_band is None else (self.band, self.held_band)
        return tuple(np.asarray(band.coat_stress[:, step, layer, 1]) for band in bands)

    def stress(self, step: int, layer: int, outer: bool) -> Figure:
        """Return the stress of one face of one layer after one firing [Pa].

        In a dome the middle is held flat and the rim bends freely: the band spans both.
        """
        side = 1 if outer else 0
        at = (slice(None), step, layer, side)
        value = float(self.answer.coat_stress[at][0])
        low, high = self._stress_ends[at]
        if self.held is not None:
            value = float(self.held.coat_stress[at][0])
        return Figure(
            value=value, low=min(float(low), value), high=max(float(high), value), dimension="stress", origin=_COMPUTED
        )

    def heating(self, step: int) -> tuple[Figure, float, int] | None:
        """Return the largest tension on heating for one firing, its temperature and its layer."""
        (stress, kelvin, layer), (band, _, _) = self._heatings
        if np.isnan(stress[0, step]):
            return None
        many = band[:, step]
        found = Figure.of_draws(many, "stress", _COMPUTED, value=float(stress[0, step]))
        return found, float(kelvin[0, step]), int(layer[0, step])

    @cached_property
    def _stress_ends(self) -> Array:
        """Ends of the band of every face's stress [Pa], shape (2, n_firing, n_coat, 2); of a dome also held flat."""
        low, high = quantiles_of_rows(self.band.coat_stress, BAND)
        if self.held_band is not None:
            ends = quantiles_of_rows(self.held_band.coat_stress, BAND)
            low, high = np.minimum(low, ends[0]), np.maximum(high, ends[1])
        return np.stack([low, high])

    @cached_property
    def _heatings(self) -> tuple[Tension, Tension]:
        """Largest tension on heating of the answer and of all draws, of every firing at once."""
        return self.answer.largest_tension("heating"), self.band.largest_tension("heating")

    def rim_energy(self, face: Face, step: int) -> tuple[Array, Array]:
        """Return what a chip of one face's glass at the rim would set free [J/m2]: nominal, draws."""
        members = [n for n in self.model.history.on(face) if self.model.history.laminae[n].firing <= step]
        results = []
        for result, thick in (
            (self.answer, self.model.thickness[np.newaxis]),
            (self.band, self.thickness),
        ):
            energy = np.zeros(thick.shape[0])
            for n in members:
                glass = self.model.solid(self.model.history.laminae[n])
                inner, outer = result.coat_stress[:, step, n, 0], result.coat_stress[:, step, n, 1]
                energy = energy + spall_energy(inner, outer, thick[:, n], glass.young, glass.poisson)
            results.append(energy)
        return results[0], results[1]


#: Ends of every band.
BAND = (0.05, 0.95)


def solve_all(model: Model, draws: int) -> Solved:
    """Solve a piece finely once and coarsely for all draws; a dome also held flat.

    Parameters
    ----------
    model : Model
        The piece.
    draws : int
        How many draws.
    """
    plate = Plate.of(model.layup)
    drawn = model.draws(draws)
    thickness = model.thickness * drawn.factor
    whole = model.layup.thickness + float(model.thickness.sum())
    domed = abs(plate.rise) >= level("dome_holds") * whole
    return Solved(
        model=model,
        plate=plate,
        draws=drawn,
        answer=model.nominal(),
        band=model.varied(thickness, drawn),
        held=model.nominal(hold_flat=True) if domed else None,
        held_band=model.varied(thickness, drawn, hold_flat=True) if domed else None,
        forgetful=model.nominal(forgetful=True) if len(model.history.tops) > 1 else None,
    )


def states_of(solved: Solved) -> tuple[FiringState, ...]:
    """Return the piece after each planned firing.

    Parameters
    ----------
    solved : Solved
        The answer and its draws.
    """
    history = solved.model.history
    states = []
    for firing in range(len(history.firings)):
        step = firing + history.before
        heat = solved.heating(step)
        numbers = dict.fromkeys(
            history.laminae[n].layer.number
            for n in (*reversed(history.on("back")), *history.on("front"))
            if history.laminae[n].firing <= step
        )
        coats = []
        for number in numbers:
            layings = history.of_coat(number, step)
            coats.append(
                CoatState(
                    coat=number,
                    inner=solved.stress(step, layings[0], outer=False),
                    outer=solved.stress(step, layings[-1], outer=True),
                )
            )
        states.append(
            FiringState(
                firing=history.firings[firing].number,
                bow=_moved(solved.bow(step), solved),
                bow_hot=_moved(solved.bow(step, hot=True), solved),
                coats=tuple(coats),
                heating_tension=heat[0] if heat else None,
                heating_tension_at=heat[1] if heat else None,
            )
        )
    return tuple(states)


def size_of(bow: Figure) -> Figure:
    """Return a bow without its sign: a small one of two enamelled faces is not resolved."""
    ends = sorted((abs(bow.low), abs(bow.high)))
    low = 0.0 if bow.low < 0 < bow.high else ends[0]
    return Figure(value=abs(bow.value), low=low, high=ends[1], dimension="length", origin=bow.origin)


def _moved(bow: Figure, solved: Solved) -> Figure:
    """Add the bow that was measured on the piece as it is, less what the model expects of it there."""
    measured = solved.model.layup.piece.so_far.bow
    if measured is None:
        return bow
    shift = measured - (solved.bow(0).value if solved.model.history.before else 0.0)
    return Figure(
        value=bow.value + shift, low=bow.low + shift, high=bow.high + shift, dimension="length", origin=bow.origin
    )
