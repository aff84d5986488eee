"""Coats that join, go, or are pressed flat between firings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.physics.elastic_laminate import solve_elastic
from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import COPPER, MM, RECOVERY, STEEL, bow, enamel, firings
from test_laminate_laws import resultants

FRONT, BACK = Side.FRONT, Side.BACK


def run(coats, thickness, count, *, metal=COPPER, steps=80, glass=None, **options):
    path = firings(count, steps=steps)
    piece = stack(0.8 * MM, coats, np.array(thickness) * MM, firings=count, **options)
    return solve(
        piece, path, metal.table(path), relax_structure(glass or enamel(), path),
        recovery=RECOVERY, trace=True,
    )  # fmt: skip


def test_counter_fired_later_does_not_undo_the_bend():
    later = run([Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], 2)
    together = run([Coat(FRONT), Coat(BACK)], [0.2, 0.2], 1)
    assert abs(bow(together.cold_curvature[0, 0])) < 1e-9
    assert bow(later.cold_curvature[0, 1]) > 0.05


def test_pressed_flat_forgets_everything():
    """Pressing at the second firing gives the stack fired once with both coats."""
    pressed = run([Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], 2, pressed_flat=[False, True])
    assert pressed.hot_curvature[0, 1] == 0
    assert abs(bow(pressed.cold_curvature[0, 1])) < 1e-6
    once = run([Coat(FRONT), Coat(BACK)], [0.2, 0.2], 1)
    # The glass table of the second firing starts from a held, fully relaxed melt as the first does.
    np.testing.assert_allclose(pressed.coat_stress[0, 1], once.coat_stress[0, 0], rtol=1e-3)


def test_a_coat_is_absent_before_its_firing():
    out = run([Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], 2)
    assert np.all(np.isnan(out.coat_stress[0, 0, 1]))
    assert np.all(np.isnan(out.heating_peak[0, :, 1]))
    assert not np.any(np.isnan(out.coat_stress[0, 1]))
    assert np.isnan(out.outer_stress("back")[0, 0])
    alone = run([Coat(FRONT)], [0.2], 1)
    assert out.cold_curvature[0, 0] == pytest.approx(alone.cold_curvature[0, 0], rel=1e-12)


def test_a_coat_of_no_thickness_is_no_coat():
    out = run([Coat(FRONT), Coat(BACK)], [0.2, 0.0], 1)
    alone = run([Coat(FRONT)], [0.2], 1)
    assert out.cold_curvature[0, 0] == pytest.approx(alone.cold_curvature[0, 0], rel=1e-12)
    assert np.all(np.isnan(out.coat_stress[0, 0, 1]))
    assert out.interface_energy()[0, 0] == pytest.approx(0.0, abs=1e-20)


def test_two_coats_of_one_glass_are_one_thick_coat():
    two = run([Coat(FRONT), Coat(FRONT)], [0.1, 0.15], 1)
    one = run([Coat(FRONT)], [0.25], 1)
    assert two.cold_curvature[0, 0] == pytest.approx(one.cold_curvature[0, 0], rel=1e-9)
    assert two.coat_stress[0, 0, 0, 0] == pytest.approx(one.coat_stress[0, 0, 0, 0], rel=1e-8)
    assert two.coat_stress[0, 0, 1, 1] == pytest.approx(one.coat_stress[0, 0, 0, 1], rel=1e-8)
    assert two.coat_stress[0, 0, 0, 1] == pytest.approx(two.coat_stress[0, 0, 1, 0], rel=1e-8)
    assert two.outer_stress("front")[0, 0] == two.coat_stress[0, 0, 1, 1]


def test_stoning_rebalances():
    """Half the coat stoned off cold, then fired: balances hold and the fresh coat is thinner."""
    out = run([Coat(FRONT)], [0.3], 2, remaining=[[1.0], [0.5]])
    assert out.layer_thickness[0, 1, 1] == pytest.approx(0.15 * MM)
    force, moment, scale = resultants(out, firing=1)
    assert abs(force) < 1e-8 * scale
    assert abs(moment) < 1e-8 * scale * MM


def test_stoning_an_elastic_piece_is_the_elastic_answer():
    """Removing part of a coat from an unyielding metal leaves the closed form of the thinner one.

    On re-heating, an elastic stack with the thinner coat follows the same film stress, so the
    state just after stoning equals that of a piece fired thin from the start.
    """
    steel = {"metal": STEEL.scaled(yield_stress=1e3), "glass": enamel(9.0e-6)}
    thinned = run([Coat(FRONT)], [0.3], 2, remaining=[[1.0], [0.5]], **steel)
    thin = run([Coat(FRONT)], [0.15], 2, **steel)
    # Bending strains a coat while it sets, so the two differ by that little.
    start = firings(2, steps=80).firings[1].start
    assert thinned.trace.curvature[0, start + 1] == pytest.approx(thin.trace.curvature[0, start + 1], rel=0.02)
    assert thinned.cold_curvature[0, 1] == pytest.approx(thin.cold_curvature[0, 1], rel=1e-6)
    assert thinned.trace.coat_stress[0, start + 1, 0] == pytest.approx(
        thin.trace.coat_stress[0, start + 1, 0], rel=0.02
    )


def test_all_glass_removed_leaves_an_elastic_metal_flat():
    out = run(
        [Coat(FRONT), Coat(FRONT, 1)], [0.2, 0.1], 2, remaining=[[1.0, 1.0], [0.0, 1.0]],
        metal=STEEL.scaled(yield_stress=1e3),
    )  # fmt: skip
    assert abs(out.hot_curvature[0, 1]) < 1e-9
    bare = run([Coat(FRONT)], [0.1], 1, metal=STEEL.scaled(yield_stress=1e3))
    assert out.cold_curvature[0, 1] == pytest.approx(bare.cold_curvature[0, 0], rel=1e-3)
    assert np.all(np.isnan(out.coat_stress[0, 1, 0]))


def test_removing_the_enamel_of_a_yielded_sheet_leaves_a_bend():
    out = run([Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], 2, remaining=[[1.0, 1.0], [0.0, 1.0]])
    assert bow(out.hot_curvature[0, 1]) > 0.02


def test_metal_profile_after_release_matches_the_elastic_release():
    """Taking all glass off a yielded sheet changes its stress by an elastic line only."""
    kept = run([Coat(FRONT)], [0.2], 1)
    z, stress = kept.metal_height()[0], kept.metal_stress[0, 0]
    modulus = kept.metal_modulus[0, 0]
    force, moment = stress.mean() * 0.8 * MM, (stress * z).mean() * 0.8 * MM
    line = force / (0.8 * MM) + moment * 12 / (0.8 * MM) ** 3 * z
    released = stress - line
    assert np.abs(released).max() < 60e6  # stays inside the yield surface, so the release is elastic
    state = solve_elastic([0.8 * MM], [modulus], [0.0])
    assert state.curvature == 0
    assert released.mean() == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize(
    ("coats", "options", "message"),
    [
        ([Coat(FRONT, 1), Coat(FRONT, 0)], {}, "outward"),
        ([Coat(FRONT, 2)], {}, "firing"),
        ([Coat(FRONT)], {"remaining": [[0.5], [1.0]]}, "grow"),
        ([Coat(FRONT), Coat(FRONT)], {"remaining": [[1, 1], [0.5, 1]]}, "outermost"),
        ([Coat(FRONT)], {"pressed_flat": [True]}, "every firing"),
        ([Coat(FRONT)], {"yield_scale": 0.0}, "positive"),
        ([Coat(FRONT)], {"coat_table": 0.5}, "whole"),
    ],
)
def test_impossible_stacks_are_refused(coats, options, message):
    with pytest.raises(ValueError, match=message):
        stack(0.8 * MM, coats, [0.2 * MM] * len(coats), firings=2, **options)


def test_tables_of_another_schedule_are_refused():
    path, other = firings(1), firings(2)
    piece = stack(0.8 * MM, [Coat(FRONT)], [0.2 * MM])
    with pytest.raises(ValueError, match="another schedule"):
        solve(piece, path, COPPER.table(other), relax_structure(enamel(), path))
    with pytest.raises(ValueError, match="number of firings"):
        solve(piece, other, COPPER.table(other), relax_structure(enamel(), other))


def test_a_bare_sheet_stays_flat_and_unstressed():
    out = run([], [], 2)
    assert np.all(out.cold_curvature == 0)
    assert np.abs(out.metal_stress).max() < 1.0
    assert out.coat_stress.shape == (1, 2, 0, 2)
    assert out.interface_energy().shape == (1, 0)
    assert np.isnan(out.largest_tension("cooling")[0]).all()
    assert np.all(out.largest_tension("heating")[2] == -1)


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_any_history_stays_in_balance(data):
    """Coats in any order on either side, stoned or not, pressed flat or not."""
    count = data.draw(st.integers(1, 4))
    coats, thickness = [], []
    for side in Side:
        laid = sorted(data.draw(st.lists(st.integers(0, count - 1), max_size=3)))
        coats += [Coat(side, firing) for firing in laid]
        thickness += [data.draw(st.floats(0.03, 0.4)) for _ in laid]
    remaining = np.ones((count, len(coats)))
    for side in Side:
        members = [i for i, coat in enumerate(coats) if coat.side is side]
        if members:
            outer = members[-1]
            after = coats[outer].firing + 1
            remaining[after:, outer] = data.draw(st.sampled_from([1.0, 0.7, 0.0]))
    pressed = data.draw(st.lists(st.booleans(), min_size=count, max_size=count))
    sheet = data.draw(st.floats(0.4, 1.5))
    path = firings(count, steps=40)
    piece = stack(sheet * MM, coats, np.array(thickness) * MM, firings=count, remaining=remaining, pressed_flat=pressed)
    tables = COPPER.table(path), relax_structure(enamel(), path)
    out = solve(piece, path, *tables, recovery=RECOVERY)
    for firing in range(count):
        force, moment, scale = resultants(out, firing=firing)
        assert abs(force) < 1e-8 * scale + 1e-6
        assert abs(moment) < (1e-8 * scale + 1e-6) * sheet * MM
        assert not pressed[firing] or out.hot_curvature[0, firing] == 0
        energy = out.interface_energy(firing)
        assert np.all(energy >= 0)
    assert np.all(out.plastic_strain >= 0)
