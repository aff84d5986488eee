"""Yield and mismatch read back from the bows of two strips."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.errors import OutOfReach
from enamelwright.physics.bow_fit import fit_bows
from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import COPPER, MM, bow, enamel, firings

NO_PRIOR, PRIOR = [np.inf, np.inf], [0.25, 0.04]


def strips(*fronts):
    """Bows of one-sided strips on .8 mm copper, 25 mm chord, as a function of (ln s_y, ln s_e)."""
    path = firings()
    tables = COPPER.table(path), relax_structure(enamel(), path)

    def bows(x):
        points, pieces = x.shape[0], len(fronts)
        scale = np.repeat(np.exp(x), pieces, axis=0)
        piece = stack(
            0.8 * MM, [Coat(Side.FRONT)], np.tile(fronts, points)[:, np.newaxis] * MM,
            yield_scale=scale[:, 0], coat_strain_scale=scale[:, 1:],
        )  # fmt: skip
        out = solve(piece, path, *tables, tolerance=1e-12, sublayers=20)
        return bow(out.cold_curvature[:, 0]).reshape(points, pieces) * MM

    return bows


def test_printed_pair():
    """Bows .17802 and .29180 mm give s_y 1.200, s_e 1.030 (independent computation)."""
    fit = fit_bows(strips(0.1, 0.4), np.array([0.17802, 0.29180]) * MM, 0.01 * MM, NO_PRIOR)
    assert fit.scales[0] == pytest.approx(1.200, abs=0.02)
    assert fit.scales[1] == pytest.approx(1.030, abs=0.005)


def test_round_trip():
    bows = strips(0.1, 0.4)
    truth = np.log([0.85, 0.98])
    fit = fit_bows(bows, bows(truth[np.newaxis])[0], 0.01 * MM, NO_PRIOR)
    assert fit.logarithms == pytest.approx(truth, abs=1e-4)
    assert fit.residuals == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("sd", "strength", "mismatch"),
    [(0.005, 0.046, 0.010), (0.01, 0.084, 0.017), (0.02, 0.132, 0.026), (0.05, 0.194, 0.034)],
)
def test_posterior_spread(sd, strength, mismatch):
    """Pair .1/.4 with priors .25 and .04 (independent computation, at s = 1)."""
    bows = strips(0.1, 0.4)
    fit = fit_bows(bows, bows(np.zeros((1, 2)))[0], sd * MM, PRIOR)
    assert fit.deviations == pytest.approx([strength, mismatch], rel=0.08)


def test_choose_the_thin_strip_thin():
    """Without priors at .01 mm: pair .1/.4 .09/.020, pair .2/.4 .24/.026 (independent)."""
    for fronts, printed in (((0.1, 0.4), [0.09, 0.020]), ((0.2, 0.4), [0.24, 0.026])):
        bows = strips(*fronts)
        fit = fit_bows(bows, bows(np.zeros((1, 2)))[0], 0.01 * MM, NO_PRIOR)
        assert fit.deviations == pytest.approx(printed, rel=0.15)


def test_one_strip_cannot_tell_two_things():
    bows = strips(0.2)
    with pytest.raises(OutOfReach):
        fit_bows(lambda x: np.zeros((x.shape[0], 1)), [1e-4], 1e-5, NO_PRIOR)
    fit = fit_bows(bows, bows(np.zeros((1, 2)))[0], 0.01 * MM, PRIOR)
    assert fit.deviations == pytest.approx([0.21, 0.025], rel=0.1)
