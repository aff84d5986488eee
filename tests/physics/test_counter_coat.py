"""The back coat that keeps a piece flat, on copper, silver, sterling and steel."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics.counter_coat import counter_band, counter_chance, crossing
from enamelwright.physics.elastic_laminate import solve_elastic
from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import COPPER, MM, SILVER, STEEL, STERLING, bow, enamel, firings

COATS = [Coat(Side.FRONT), Coat(Side.BACK)]


def bow_of(metal, sheet, front, *, front_glass=None, back_glass=None, steps=80):
    """Bow of a piece fired once, as a function of the back coat."""
    path = firings(steps=steps)
    glasses = [relax_structure(g or enamel(), path) for g in (front_glass, back_glass)]
    table = metal.table(path)

    def bows(back):
        thick = np.stack([np.full(back.shape, front * MM), back], axis=-1)
        piece = stack(sheet * MM, COATS, thick, coat_table=[0, 1])
        return bow(solve(piece, path, table, glasses, sublayers=12).cold_curvature[:, 0]) * MM

    return bows


BANDS = [
    # metal, sheet, front, enamel, low end at .1 mm, low end at .05 mm, high end at .05 mm
    (COPPER, 0.5, 0.2, None, 0.101, 0.134, None),
    (COPPER, 0.8, 0.2, None, 0.102, None, None),
    (COPPER, 0.8, 0.3, None, 0.121, 0.173, None),
    (COPPER, 0.8, 0.4, None, 0.131, 0.197, None),
    (SILVER, 0.8, 0.3, None, 0.113, 0.164, None),
    (STERLING, 0.8, 0.3, None, 0.186, None, None),
    (STEEL, 0.8, 0.3, enamel(9.0e-6), 0.021, 0.148, 0.534),
]


@pytest.mark.parametrize(("metal", "sheet", "front", "glass", "at_100", "at_50", "high_50"), BANDS)
def test_bands(metal, sheet, front, glass, at_100, at_50, high_50):
    """Same enamel on both sides, 25 mm chord (independent computation, .006 mm)."""
    bows = bow_of(metal, sheet, front, front_glass=glass, back_glass=glass)
    wide = counter_band(bows, front * MM, 0.1 * MM)
    assert wide.flat == pytest.approx(front * MM, rel=1e-3)
    assert wide.low == pytest.approx(at_100 * MM, abs=0.006 * MM)
    assert wide.high is None or metal is STEEL
    if at_50 is not None:
        tight = counter_band(bows, front * MM, 0.05 * MM)
        assert tight.low == pytest.approx(at_50 * MM, abs=0.006 * MM)
        if high_50 is not None:
            assert tight.high == pytest.approx(high_50 * MM, abs=0.012 * MM)


FLAT = [
    # back enamel, sheet, front, flat back coat (None: none)
    (enamel(11.5e-6), 0.8, 0.3, None),
    (enamel(t12=520.0), 0.8, 0.3, 0.209),
    (enamel(11.5e-6), 1.0, 0.3, 0.598),
    (enamel(t12=440.0), 1.0, 0.3, 0.451),
    (enamel(9.5e-6), 0.5, 0.3, 0.156),
]


@pytest.mark.parametrize(("glass", "sheet", "front", "printed"), FLAT)
def test_flat_value_of_another_enamel(glass, sheet, front, printed):
    """On copper (independent computation, .006 mm; the long flat tails answer to .015)."""
    band = counter_band(bow_of(COPPER, sheet, front, back_glass=glass, steps=160), front * MM, 0.1 * MM)
    if printed is None:
        assert band.flat is None
    else:
        tolerance = 0.006 if printed < 0.4 else 0.015
        assert band.flat == pytest.approx(printed * MM, abs=tolerance * MM)


def test_copper_with_a_growing_back_coat():
    """.8 copper, .3 front (independent computation)."""
    back = np.array([0.0, 0.05, 0.2, 0.3, 0.35]) * MM
    bows = bow_of(COPPER, 0.8, 0.3)(back) / MM
    assert bows == pytest.approx([0.328, 0.240, 0.034, 0.0, -0.009], abs=0.003)


def test_chance_with_common_random_numbers():
    """P(|bow| <= .1): .18/.84/.985/.997/1.0 at .1/.15/.2/.25/.3 back (independent computation)."""
    rng = np.random.default_rng(7)
    n = 1500
    path = firings(steps=50)
    shifts = (-25.0, -12.0, 0.0, 12.0, 25.0)
    glasses = [relax_structure(enamel(t12=480 + dt), path) for dt in shifts]
    table = COPPER.table(path)
    front = 0.3 * MM * (1 + 0.15 * rng.standard_normal(n))
    sheet = 0.8 * MM * (1 + 0.01 * rng.standard_normal(n))
    strength = np.exp(0.25 * rng.standard_normal(n))
    mismatch = 1 + 0.04 * rng.standard_normal(n)
    group = np.arange(n) % 5

    def bows(back):
        grid = back.shape[0]
        piece = stack(
            np.tile(sheet, grid), COATS,
            np.stack([np.tile(front, grid), back.ravel()], axis=-1).clip(1e-6),
            yield_scale=np.tile(strength, grid),
            coat_strain_scale=np.repeat(np.tile(mismatch, grid)[:, np.newaxis], 2, axis=1),
            coat_table=np.repeat(np.tile(group, grid)[:, np.newaxis], 2, axis=1),
        )  # fmt: skip
        out = solve(piece, path, table, glasses, threads=2)
        return bow(out.cold_curvature[:, 0]).reshape(back.shape) * MM

    grid = np.array([0.1, 0.15, 0.2, 0.25, 0.3]) * MM
    chance = counter_chance(bows, grid, 1 + 0.15 * rng.standard_normal(n), 0.1 * MM)
    # Standard error of a share of 1500 draws: up to .013.
    assert chance.chance == pytest.approx([0.18, 0.84, 0.985, 0.997, 1.0], abs=0.035)
    low, high = chance.band(0.9)
    assert (low, high) == (grid[2], grid[4])
    assert chance.band(1.01) is None


def test_elastic_metal_balances_its_own_mirror():
    """On an elastic sheet the band is symmetric in the sense of the closed form."""

    def bows(back):
        thick = np.stack([back, np.full(back.shape, 0.8e-3), np.full(back.shape, 0.2e-3)], -1)
        state = solve_elastic(thick, [9e10, 2e11, 9e10], [-4e-3, -6e-3, -4e-3])
        return bow(state.curvature) * MM

    band = counter_band(bows, 0.2 * MM, 0.02 * MM)
    assert band.flat == pytest.approx(0.2 * MM, rel=1e-6)
    assert band.low < band.flat < band.high


def test_a_piece_that_leans_back_is_balanced_too():
    """Bare, the front concave: the mirrored search."""
    band = counter_band(lambda t: -0.3e-3 + 1.5 * t, 0.2 * MM, 0.1e-3)
    assert band.low == pytest.approx(0.2e-3 / 1.5)
    assert band.flat == pytest.approx(0.3e-3 / 1.5)
    assert band.high == pytest.approx(0.4e-3 / 1.5)


def test_bare_back_may_pass_and_nothing_may():
    assert counter_band(lambda t: 0.05e-3 - t, 0.2 * MM, 0.1e-3).low == 0.0
    none = counter_band(lambda t: 0.5e-3 + 0 * t, 0.2 * MM, 0.1e-3)
    assert (none.flat, none.low, none.high) == (None, None, None)


def test_crossing_is_exact_on_a_line():
    assert crossing(lambda t: 1.0 - 2.0 * t, 0.0, 0.0, 3.0) == pytest.approx(0.5, abs=1e-12)
    assert crossing(lambda t: 1.0 + t, 0.0, 0.0, 3.0) is None


def test_a_bare_back_just_over_the_limit_still_has_a_band():
    # Plain arithmetic: 0.28 mm bare, 3.2 mm of bow less per mm of glass; 0.01 mm already brings it to 0.248 mm.
    found = counter_band(lambda back: 0.28e-3 - 3.2 * np.asarray(back), 0.2e-3, 0.25e-3)
    assert found.low is not None
    assert 0 < found.low <= 1e-5
    assert found.high == pytest.approx((0.28e-3 + 0.25e-3) / 3.2, rel=1e-6)
