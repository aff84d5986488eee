"""A strip or disc with glass on one face, as a reading of how strongly a jar pulls at a metal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from statistics import fmean

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness_draws import GROUPS, SETTLED, Draws, Model
from enamelwright.craft.checks.flatness_history import history_of
from enamelwright.craft.checks.flatness_states import Plate
from enamelwright.craft.laying import lay_up
from enamelwright.craft.learned_bow import WIDEST, LearnedBow
from enamelwright.craft.piece import Piece
from enamelwright.craft.sequence import order
from enamelwright.craft.weights import weigh
from enamelwright.errors import OutOfReach
from enamelwright.physics.bow_fit import fit_bows
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]

#: The middle of the groups of setting temperatures, and a small step of the logarithm of the free strain.
MIDDLE, PROBE = len(GROUPS) // 2, 0.02
#: Readings of a jar that are asked how far it may be off; all of one jar say nearly the same.
PROBED = 4
#: Spreads beforehand beyond which a factor is of something else: a jar mixed up, a bow told with the wrong sign.
FAR = 4.0
#: A fit is worse than its readings allow beyond this mean square; its spread is then widened to it.
FITTING = 1.0


@dataclass(frozen=True)
class BowReading:
    """One measured piece.

    Attributes
    ----------
    piece : Piece
        One face enamelled with one jar, its coats told as fired glass.
    bow : float
        Measured, positive when the front is convex [m].
    over : float or None
        Length of a narrow strip the bow was read over [m]; None for a disc read over its diameter.
    record : int
        Row it comes from.
    hand : int
        Whoever weighed it: amounts of one hand may be off together.
    bench : Bench
        Its jars.
    """

    piece: Piece
    bow: float
    over: float | None = None
    record: int = 0
    hand: int = 0
    bench: Bench = field(default_factory=Bench)

    @cached_property
    def _model(self) -> Model:
        plain = self.bench.model_copy(update={"learned_bows": ()})
        layup = lay_up(self.piece, plain)
        weights = weigh(layup, plain)
        return Model(layup, history_of(layup, weights, order(layup, weights, plain).firings))

    def setting(self) -> float:
        """Return the standard deviation of the logarithm by which this jar's free strain may be off.

        What is not known of where it sets counts as strain too: a bow does not tell the two apart.
        """
        model = self._model
        whole = model.draws(SETTLED)
        coats = len(model.thickness)
        one = np.ones(3)
        group = np.full((3, coats), MIDDLE)
        group[1] = MIDDLE + 1
        strain = np.ones((3, coats))
        strain[2] = np.exp(PROBE)
        glass = np.tile(model.thickness, (3, 1))
        probes = Draws(np.ones((3, coats)), model.layup.thickness * one, one, one, strain, group, one)
        usual, later, shorter = model.varied(glass, probes).cold_curvature[:, -1]
        worth = (later - usual) / (GROUPS[MIDDLE + 1] - GROUPS[MIDDLE]) / ((shorter - usual) / PROBE)
        places = np.array(GROUPS)[whole.group[:, 0]]
        return float(np.std(np.log(whole.coat_strain[:, 0]) + worth * places))

    def bows(self, logarithms: Array) -> Array:
        """Return its bow after its last firing [m] for logarithms of the factors on yield and strain, shape (n, 2).

        Parameters
        ----------
        logarithms : ndarray, shape (n, 2)
            Of the factor on the yield of the metal and on the free strain of the glass.
        """
        model, factors = self._model, np.exp(logarithms)
        coats = len(model.thickness)
        glass = np.tile(model.thickness, (len(factors), 1))
        scales = {"yield_scale": factors[:, 0], "coat_strain_scale": np.tile(factors[:, 1:], (1, coats))}
        curvature = model.varied(glass, scales=scales).cold_curvature[:, -1]
        if self.over is not None:
            # A narrow strip curves along its length alone, without stretching its middle.
            return np.asarray(curvature * self.over**2 / 8)
        whole = model.layup.thickness + glass.sum(axis=1)
        return Plate.of(model.layup).bow(curvature, whole)


def taught_by(metal: str, jar: str, readings: Sequence[BowReading]) -> LearnedBow:
    """Return what the readings of one jar on one metal teach, never more than they agree on.

    Beside the two factors the amount of glass of each hand may be off as a whole, so that many strips of one hand do
    not tell ever more. With priors that are right, squares of the residuals add up to the readings less the numbers
    they really fitted: by them a misfit is judged (D. J. C. MacKay, Neural Computation 4 (1992) 415).

    Parameters
    ----------
    metal, jar : str
        Their ids.
    readings : sequence of BowReading
        At least one.

    Raises
    ------
    OutOfReach
        When they do not settle, or on factors no metal and no glass have.
    """
    hands = sorted({one.hand for one in readings})
    facts = loader.facts_of("heat/learning")
    strange = max(loader.value("glass/strain_scale_sd"), fmean(one.setting() for one in readings[:PROBED]))
    factors = np.array([loader.value("metals/yield_log_sd"), strange])
    prior = np.append(factors, [facts["heat/learn_bow_hand"].value] * len(hands))
    measured = np.array([one.bow for one in readings])
    reading, amount = facts["heat/learn_bow_reading"].value, facts["heat/learn_bow_amount"].value
    deviation = np.hypot(reading, amount * measured)

    def bows(x: Array) -> Array:
        """Return all bows; those of a hand grow with its glass as far as they are off by it."""
        return np.stack([one.bows(x[:, :2]) * np.exp(x[:, 2 + hands.index(one.hand)]) for one in readings], axis=1)

    fit = fit_bows(bows, measured, deviation, prior)
    fitted = len(prior) - float(np.sum((fit.deviations / prior) ** 2))
    # Readings that scatter more than they should widen what they teach; few that agree by chance do not narrow it.
    misfit = float(np.sum((fit.residuals / deviation) ** 2)) / (len(readings) - fitted)
    sds = np.minimum(fit.deviations[:2] * np.sqrt(max(misfit, FITTING)), factors)
    if (np.abs(fit.logarithms[:2]) > np.minimum(FAR * factors, WIDEST)).any():
        raise OutOfReach("these bows belong to no such metal and glass.", "Check jar, metal and which side is convex.")
    give, strain = (float(value) for value in fit.logarithms[:2])
    return LearnedBow(
        metal=metal, jar=jar, strain=round(strain, 4), strain_sd=round(float(sds[1]), 4),
        strain_before=round(strange, 4), give=round(give, 4),
        give_sd=round(float(sds[0]), 4), pieces=len(readings),
    )  # fmt: skip
