"""What the incremental laminate must obey whatever the numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import root

from enamelwright.errors import OutOfReach
from enamelwright.physics.elastic_laminate import solve_elastic, stored_energy
from enamelwright.physics.laminate import Coat, Recovery, Side, solve, stack
from enamelwright.physics.schedule import FiringMarks, Schedule
from enamelwright.physics.sheet import SheetTable
from enamelwright.physics.structural_relaxation import GlassTable, relax_structure
from named_materials import COPPER, MM, MPA, RECOVERY, SILVER, STEEL, bow, enamel, firings

FRONT, BACK = Side.FRONT, Side.BACK
COPPER_MODULUS = 117e9 / 0.66
GLASS_MODULUS = 70e9 / 0.78


def ramp(steps: int = 1) -> Schedule:
    """A schedule that only counts steps."""
    return Schedule(
        np.arange(steps + 1.0),
        np.linspace(1000.0, 300.0, steps + 1),
        (FiringMarks(0, 0, 0, steps),),
    )


def constant_metal(strain: float, steps: int, proof: float, hardening: float) -> SheetTable:
    nodes = np.ones(steps + 1)
    return SheetTable(np.full(steps, strain / steps), COPPER_MODULUS * nodes, proof * nodes, hardening * nodes)


def rigid_glass(strain: float, steps: int) -> GlassTable:
    """An elastic layer as a glass that never relaxes."""
    each = np.ones(steps)
    return GlassTable(strain / steps * each, each, GLASS_MODULUS * each, np.ones(steps + 1), GLASS_MODULUS)


def resultants(out, draw: int = 0, firing: int = 0) -> tuple[float, float, float]:
    """Force, moment about the middle of the metal, and force scale of a cold stack."""
    t_metal = out.layer_thickness[draw, firing, out.metal_layer]
    z, s = out.metal_height()[draw], out.metal_stress[draw, firing]
    force, moment = s.mean() * t_metal, (s * z).mean() * t_metal
    scale = np.abs(s).mean() * t_metal
    edge = {"front": t_metal / 2, "back": t_metal / 2}
    for coat, layer in enumerate(out.layer_of_coat):
        inner, outer = out.coat_stress[draw, firing, coat]
        if np.isnan(inner):
            continue
        side = out.sides[coat]
        t = out.layer_thickness[draw, firing, layer]
        sign = 1.0 if side == "front" else -1.0
        middle = edge[side] + t / 2
        force += t * (inner + outer) / 2
        moment += sign * (t * (inner + outer) / 2 * middle + t**2 / 12 * (outer - inner))
        edge[side] += t
    return force, moment, scale


thicknesses = st.floats(0.02, 1.5)


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.1, 3.0),
    st.lists(st.tuples(st.booleans(), thicknesses, st.floats(-8e-3, 8e-3)), min_size=1, max_size=5),
    st.floats(-8e-3, 8e-3),
)
def test_elastic_limit_is_the_closed_form(sheet, layers, metal_strain):
    """A metal that cannot yield: many increments end where one elastic solution does."""
    steps = 7
    coats = [Coat(FRONT if front else BACK) for front, _, _ in layers]
    thick = np.array([t for _, t, _ in layers]) * MM
    piece = stack(sheet * MM, coats, thick, coat_table=np.arange(len(layers)))
    glasses = [rigid_glass(e, steps) for _, _, e in layers]
    metal = constant_metal(metal_strain, steps, 1e15, 1e9)
    out = solve(piece, ramp(steps), metal, glasses)
    order = [0.0] * (len(layers) + 1)
    height, modulus = np.empty(len(order)), np.full(len(order), GLASS_MODULUS)
    for coat, layer in enumerate(piece.layer_of_coat):
        height[layer], order[layer] = thick[coat], layers[coat][2]
    m = piece.metal_layer
    height[m], order[m], modulus[m] = sheet * MM, metal_strain, COPPER_MODULUS
    exact = solve_elastic(height, modulus, order)
    size = 1e-2 / height.sum()
    assert out.cold_curvature[0, 0] == pytest.approx(float(exact.curvature), abs=1e-10 * size)
    for coat, layer in enumerate(piece.layer_of_coat):
        faces = [exact.back_stress[layer], exact.front_stress[layer]]
        if coats[coat].side is BACK:
            faces.reverse()
        assert out.coat_stress[0, 0, coat] == pytest.approx(faces, abs=1e-9 * GLASS_MODULUS * 1e-2)


@pytest.mark.parametrize("strain", [0.3e-3, 1e-3, 4e-3, 10e-3])
def test_yielding_sandwich_closed_form(strain):
    """Symmetric, monotone, constant properties: sm = (d + sy/2H) / (1/Bm + 1/2H + h/(2 te Be)).

    At d = 4e-3: sm 53.981907, se -107.963814 MPa (independent computation).
    """
    h, te, proof, hard = 0.8, 0.2, 48e6, 1200e6
    piece = stack(h * MM, [Coat(FRONT), Coat(BACK)], [te * MM, te * MM])
    out = solve(piece, ramp(5), constant_metal(-strain, 5, proof, hard), rigid_glass(0.0, 5))
    yielding = (strain + proof / (2 * hard)) / (1 / COPPER_MODULUS + 1 / (2 * hard) + h / (2 * te * GLASS_MODULUS))
    elastic = strain / (1 / COPPER_MODULUS + h / (2 * te * GLASS_MODULUS))
    expected = yielding if elastic > proof else elastic
    assert out.metal_stress[0, 0] == pytest.approx(expected, rel=1e-11)
    assert out.coat_stress[0, 0] == pytest.approx(-expected * h / (2 * te), rel=1e-11)
    if strain == 4e-3:
        assert expected / MPA == pytest.approx(53.981907, abs=1e-5)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.3, 1.5), st.floats(0.05, 0.6), st.floats(0.0, 0.6), st.sampled_from([0, 1, 2]))
def test_force_and_moment_balance(sheet, front, back, which):
    """After every firing of a history, and at every step by the solver's own account."""
    path = firings(2, steps=60)
    metal = (COPPER, SILVER, STEEL)[which]
    piece = stack(sheet * MM, [Coat(FRONT), Coat(BACK, 1)], np.array([front, back]) * MM, firings=2)
    out = solve(piece, path, metal.table(path), relax_structure(enamel(), path), recovery=RECOVERY)
    for firing in range(2):
        force, moment, scale = resultants(out, firing=firing)
        assert abs(force) < 1e-8 * scale
        assert abs(moment) < 1e-8 * scale * sheet * MM
    assert out.unbalanced[0, 0] < 1e-5 * 1e6 * sheet * MM


@settings(max_examples=25, deadline=None)
@given(st.floats(0.3, 1.5), st.lists(st.floats(0.05, 0.5), min_size=3, max_size=3))
def test_mirror_image(sheet, thickness):
    """Front and back exchanged: every bow changes sign and every coat keeps its stress."""
    path = firings(2, steps=40)
    tables = COPPER.table(path), relax_structure(enamel(), path)
    sides = [FRONT, BACK, FRONT]
    out = []
    for flip in (False, True):
        coats = [
            Coat((BACK if side is FRONT else FRONT) if flip else side, firing)
            for side, firing in zip(sides, (0, 1, 1), strict=True)
        ]
        piece = stack(sheet * MM, coats, np.array(thickness) * MM, firings=2)
        out.append(solve(piece, path, *tables, recovery=RECOVERY))
    assert out[1].cold_curvature == pytest.approx(-out[0].cold_curvature, rel=1e-7, abs=1e-9)
    assert out[1].hot_curvature == pytest.approx(-out[0].hot_curvature, rel=1e-7, abs=1e-9)
    np.testing.assert_allclose(out[1].coat_stress, out[0].coat_stress, rtol=1e-7, atol=10.0)
    np.testing.assert_allclose(out[1].heating_peak, out[0].heating_peak, rtol=1e-7, atol=10.0)
    assert out[1].metal_stress[0, :, ::-1] == pytest.approx(out[0].metal_stress[0], abs=10.0)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 10.0), st.floats(0.05, 0.5), st.floats(0.05, 0.5))
def test_scale_rule(scale, front, back):
    """All thicknesses times s: the same stresses, the curvature divided by s."""
    path = firings(steps=40)
    tables = COPPER.table(path), relax_structure(enamel(), path)
    piece = stack(
        0.8 * MM * np.array([1.0, scale]),
        [Coat(FRONT), Coat(BACK)],
        np.array([front, back]) * MM * np.array([[1.0], [scale]]),
    )
    out = solve(piece, path, *tables)
    assert out.cold_curvature[1, 0] * scale == pytest.approx(out.cold_curvature[0, 0], rel=1e-8, abs=1e-9)
    np.testing.assert_allclose(out.coat_stress[1], out.coat_stress[0], rtol=1e-8, atol=1.0)


def test_draws_are_independent():
    """A stack gives the same answer alone and in a batch, on one thread or two."""
    rng = np.random.default_rng(5)
    path = firings(2, steps=50)
    glasses = [relax_structure(enamel().shifted(dt), path) for dt in (-20.0, 0.0, 20.0)]
    n = 200
    options = {
        "coat_table": rng.integers(0, 3, (n, 2)),
        "yield_scale": rng.uniform(0.6, 1.6, n),
        "coat_strain_scale": rng.uniform(0.9, 1.1, (n, 2)),
        "metal_strain_scale": rng.uniform(0.97, 1.03, n),
    }
    sheet, coats = rng.uniform(0.4, 1.2, n) * MM, [Coat(FRONT), Coat(BACK, 1)]
    thick = rng.uniform(0.05, 0.5, (n, 2)) * MM
    table = COPPER.table(path)
    piece = stack(sheet, coats, thick, firings=2, **options)
    batch = solve(piece, path, table, glasses, recovery=RECOVERY)
    pair = solve(piece, path, table, glasses, recovery=RECOVERY, threads=2)
    assert np.array_equal(batch.cold_curvature, pair.cold_curvature)
    assert np.array_equal(batch.coat_stress, pair.coat_stress, equal_nan=True)
    for draw in (0, 17, 199):
        one = stack(
            sheet[draw], coats, thick[draw], firings=2,
            **{k: v[draw : draw + 1] for k, v in options.items()},
        )  # fmt: skip
        alone = solve(one, path, table, glasses, recovery=RECOVERY, sublayers=12, tolerance=1e-9)
        assert np.array_equal(alone.cold_curvature[0], batch.cold_curvature[draw])


def test_second_coding_with_a_library_root_finder():
    """Every step solved by scipy's hybrid root finder on a plain transcription of the laws."""
    path = firings(2, steps=40)
    sheet, melt = COPPER.table(path), relax_structure(enamel(), path)
    tm, tf, tb, sub = 0.8, 0.25, 0.15, 5
    gauss = 1 / np.sqrt(3)

    def points(low, high, n):
        edge = np.linspace(low, high, n + 1)
        mid, arm = (edge[1:] + edge[:-1]) / 2, np.diff(edge) / 2
        return np.stack([mid - arm * gauss, mid + arm * gauss], 1).ravel(), np.repeat(arm, 2)

    zm, wm = points(-tm / 2, tm / 2, sub)
    zf, wf = points(tm / 2, tm / 2 + tf, 1)
    zb, wb = points(-tm / 2 - tb, -tm / 2, 1)
    z, w = np.concatenate([zm, zf, zb]), np.concatenate([wm, wf, wb])
    metal = np.arange(z.size) < zm.size
    first = np.isin(np.arange(z.size), range(zm.size, zm.size + 2))
    memory = RECOVERY.memory(path)
    s, p, k, bows = np.zeros(z.size), np.zeros(z.size), 0.0, []
    cold = path.firings[1].cooling

    for step in range(path.step_count):
        on = metal | first | (step >= cold)
        b1, b0 = sheet.modulus[step + 1] / MPA, sheet.modulus[step] / MPA
        limit = (sheet.yield_stress[step + 1] + sheet.hardening[step + 1] * p) / MPA
        hard = sheet.hardening[step + 1] / MPA
        stiff = np.where(metal, b1, melt.stiffness[step] / MPA)
        keep = np.where(metal, b1 / b0, melt.keep[step])
        own = np.where(metal, sheet.free_strain[step], melt.free_strain[step])

        def state(x):
            t = keep * s + stiff * (x[0] + x[1] * z - own)  # noqa: B023
            over = np.where(metal, np.maximum(np.abs(t) - limit, 0), 0)  # noqa: B023
            dp = over / (b1 / 2 + hard)  # noqa: B023
            return np.where(on, t - np.sign(t) * b1 / 2 * dp, 0.0), dp  # noqa: B023

        def unbalance(x):
            stress = state(x * 1e-3)[0]
            return [w @ stress, (w * z) @ stress]

        guess = np.array([sheet.free_strain[step], 0.0]) * 1e3
        found = root(unbalance, guess, method="hybr", tol=1e-13)
        if not np.abs(found.fun).max() < 1e-8:
            found = root(unbalance, guess, method="lm", tol=1e-14)
        assert np.abs(found.fun).max() < 1e-8
        s, dp = state(found.x * 1e-3)
        p = (p + dp) * memory[step]
        k += found.x[1] * 1e-3
        if step + 1 in {marks.end for marks in path.firings}:
            bows.append(k / MM)
    piece = stack(tm * MM, [Coat(FRONT), Coat(BACK, 1)], np.array([tf, tb]) * MM, firings=2)
    out = solve(piece, path, sheet, melt, recovery=RECOVERY, sublayers=sub)
    assert out.cold_curvature[0] == pytest.approx(bows, rel=1e-7)
    assert out.metal_stress[0, 1] / MPA == pytest.approx(s[metal], abs=1e-4)
    assert out.coat_stress[0, 1, 0].mean() / MPA == pytest.approx(s[first].mean(), abs=1e-4)


def test_convergence_in_sublayers_and_steps():
    """Batch (12 x 50) within 6e-4 mm and answer (20 x 160) within 2e-4 mm of 60 x 400."""
    rng = np.random.default_rng(3)
    n = 100
    piece = stack(
        rng.uniform(0.5, 1.2, n) * MM,
        [Coat(FRONT), Coat(BACK)],
        rng.uniform(0.05, 0.4, (n, 2)) * MM,
        yield_scale=rng.lognormal(0.0, 0.25, n),
    )

    def bows(sub, steps):
        path = firings(steps=steps)
        tables = COPPER.table(path), relax_structure(enamel(), path)
        return bow(solve(piece, path, *tables, sublayers=sub).cold_curvature[:, 0])

    fine = bows(60, 400)
    worst = [np.abs(bows(s, n) - fine).max() for s, n in ((6, 30), (12, 50), (20, 160))]
    assert worst[0] > worst[1] > worst[2]
    assert worst[1] < 6e-4
    assert worst[2] < 2e-4


def test_plain_newton_regression():
    """Copper .5/.1: the stack on which unguarded Newton runs away from zero increments."""
    path = firings(steps=20)
    piece = stack(0.5 * MM, [Coat(FRONT)], [0.1 * MM])
    coarse = solve(piece, path, COPPER.table(path), relax_structure(enamel(), path))
    assert 0.4 < bow(coarse.cold_curvature[0, 0]) < 0.55


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.1, 3.0),
    st.floats(0.01, 2.0),
    st.floats(0.01, 2.0),
    st.floats(0.02, 20.0),
    st.integers(10, 80),
)
def test_always_converges(sheet, front, back, yield_scale, steps):
    path = firings(2, steps=steps)
    piece = stack(
        sheet * MM, [Coat(FRONT), Coat(BACK, 1)], np.array([front, back]) * MM, firings=2,
        yield_scale=yield_scale,
    )  # fmt: skip
    out = solve(piece, path, SILVER.table(path), relax_structure(enamel(), path), recovery=RECOVERY)
    assert np.all(np.isfinite(out.cold_curvature))


def test_yield_cap():
    """Two-sided stress is capped by the flow stress: sigma_flow t_m / sum t_e, within 2 %."""
    path = firings()
    tables = COPPER.table(path), relax_structure(enamel(), path)
    for coat in (0.2, 0.3):
        piece = stack(0.8 * MM, [Coat(FRONT), Coat(BACK)], [coat * MM] * 2)
        got = float(solve(piece, path, *tables).coat_stress[0, 0, 0, 0])
        assert got / MPA == pytest.approx(-53 * 0.8 / (2 * coat), rel=0.02)


def test_harder_metal_bows_less_and_squeezes_more():
    path = firings(steps=80)
    scale = np.array([0.5, 0.8, 1.0, 1.5, 2.5])
    one = stack(0.8 * MM, [Coat(FRONT)], [0.2 * MM], yield_scale=scale)
    both = stack(0.8 * MM, [Coat(FRONT), Coat(BACK)], [0.2 * MM] * 2, yield_scale=scale)
    tables = COPPER.table(path), relax_structure(enamel(), path)
    assert np.all(np.diff(solve(one, path, *tables).cold_curvature[:, 0]) < 0)
    assert np.all(np.diff(solve(both, path, *tables).coat_stress[:, 0, 0, 0]) < 0)


def test_more_glass_less_compression():
    path = firings(steps=80)
    coat = np.linspace(0.05, 0.5, 10)[:, np.newaxis] * MM
    piece = stack(0.8 * MM, [Coat(FRONT), Coat(BACK)], np.repeat(coat, 2, axis=1))
    out = solve(piece, path, COPPER.table(path), relax_structure(enamel(), path))
    assert np.all(np.diff(out.coat_stress[:, 0, 0, 0]) > 0)


def test_held_flat_is_half_of_a_sandwich():
    """One side held flat equals the symmetric stack on metal of twice the thickness."""
    path = firings(steps=80)
    tables = COPPER.table(path), relax_structure(enamel(), path)
    for front in (0.1, 0.2, 0.3):
        half = solve(stack(0.8 * MM, [Coat(FRONT)], [front * MM]), path, *tables, hold_flat=True)
        whole = solve(stack(1.6 * MM, [Coat(FRONT), Coat(BACK)], [front * MM] * 2), path, *tables)
        assert half.cold_curvature[0, 0] == 0
        assert half.coat_stress[0, 0, 0, 0] == pytest.approx(float(whole.coat_stress[0, 0, 0, 0]), rel=1e-8)


def test_interface_energy_is_the_energy_difference():
    """U(stack) - U(above) - U(below) with each part solved free, elastic four-layer stack."""
    strain = np.array([1e-3, -2e-3, 0.5e-3, 3e-3])
    thick = np.array([0.2, 0.8, 0.15, 0.3]) * MM
    modulus = np.array([GLASS_MODULUS, COPPER_MODULUS, GLASS_MODULUS, GLASS_MODULUS])
    coats = [Coat(BACK), Coat(FRONT), Coat(FRONT)]
    piece = stack(0.8 * MM, coats, thick[[0, 2, 3]], coat_table=[0, 1, 2])
    out = solve(
        piece, ramp(3), constant_metal(strain[1], 3, 1e15, 1e9),
        [rigid_glass(strain[i], 3) for i in (0, 2, 3)],
    )  # fmt: skip

    def energy(part):
        state = solve_elastic(thick[part], modulus[part], strain[part])
        return float(stored_energy(thick[part], modulus[part], state.back_stress, state.front_stress))

    whole = energy(slice(None))
    expected = [whole - energy(slice(0, n)) - energy(slice(n, None)) for n in (1, 2, 3)]
    assert out.interface_energy()[0] == pytest.approx(expected, rel=1e-9)


def test_full_recovery_wipes_hardening():
    path = firings(2, steps=40)
    memory = RECOVERY.memory(path)
    hold = path.firings[1].cooling - 1
    assert memory[hold] == 0
    assert np.all(memory[: path.firings[0].end] == 1)
    # Written per kelvin: the product over the heating does not depend on the steps.
    rise = slice(path.firings[1].start, path.firings[1].hold)
    assert np.prod(memory[rise]) == pytest.approx(np.exp(-(790 - 450) / 28.8), rel=0.3)
    mild = Recovery(onset=2000.0, fade=28.8, full=3000.0).memory(path)
    assert np.all(mild == 1)


def test_an_unbalanced_step_is_reported():
    """Not-a-number in a table must never come back as an answer."""
    path = ramp(2)
    bad = constant_metal(np.nan, 2, 1e8, 1e9)
    with pytest.raises(OutOfReach):
        solve(stack(MM, [Coat(FRONT)], [MM]), path, bad, rigid_glass(0.0, 2))
