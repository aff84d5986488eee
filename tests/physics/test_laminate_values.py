"""The incremental laminate against values of an independent implementation and closed forms.

Where a row says "independent computation" the value was made by a separate coding of the same
equations at 100 sublayers x 1000 steps; the tolerance covers 10 x 160.  25 mm chord, 790 C, cooling
constant 30 s, the named material set.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.physics.fracture import spall_energy
from enamelwright.physics.laminate import Coat, LaminateResult, Side, solve, stack
from enamelwright.physics.schedule import Schedule
from enamelwright.physics.sheet import SheetMetal
from enamelwright.physics.structural_relaxation import relax_structure
from named_materials import (
    COPPER,
    MM,
    MPA,
    RECOVERY,
    SILVER,
    STEEL,
    STERLING,
    ZERO_C,
    bow,
    enamel,
    firings,
)

FRONT, BACK = Side.FRONT, Side.BACK
STEEL_ENAMEL = enamel(9.0e-6)


def fire_stack(
    metal: SheetMetal,
    sheet: float,
    coats: list[Coat],
    thickness: list[float],
    path: Schedule | None = None,
    glass=None,
    **options,
) -> LaminateResult:
    """One stack in millimetres through one or more firings."""
    path = path or firings()
    piece = stack(
        sheet * MM, coats, np.array(thickness) * MM, firings=len(path.firings),
        **{k: options.pop(k) for k in ("yield_scale", "pressed_flat", "remaining") if k in options},
    )  # fmt: skip
    tables = metal.table(path), relax_structure(glass or enamel(), path)
    return solve(piece, path, *tables, recovery=RECOVERY, **options)


ONE_SIDED = [
    # metal, sheet, front (mm), enamel, bow mm, front face MPa, interface MPa
    (COPPER, 0.5, 0.1, None, 0.485, -64, -120),
    (COPPER, 0.5, 0.2, None, 0.522, 16, -105),
    (COPPER, 0.5, 0.4, None, 0.424, 72, -129),
    (COPPER, 0.8, 0.1, None, 0.232, -136, -163),
    (COPPER, 0.8, 0.2, None, 0.3208, -35.3, -109.3),
    (COPPER, 0.8, 0.3, None, 0.328, 9, -105),
    (COPPER, 0.8, 0.4, None, 0.315, 36, -110),
    (COPPER, 1.0, 0.2, None, 0.243, -64, -120),
    (COPPER, 1.0, 0.4, None, 0.261, 16, -105),
    (SILVER, 0.8, 0.2, None, 0.476, -8.4, -117),
    (STERLING, 0.8, 0.2, None, 0.291, -118, -185),
    (STEEL, 0.8, 0.2, STEEL_ENAMEL, 0.082, -121, -140),
]


@pytest.mark.parametrize(("metal", "sheet", "front", "glass", "rise", "face", "inner"), ONE_SIDED)
def test_one_sided(metal, sheet, front, glass, rise, face, inner):
    """Independent computation; 0.003 mm and 1 MPa cover resolution and printed rounding."""
    out = fire_stack(metal, sheet, [Coat(FRONT)], [front], glass=glass)
    assert bow(out.cold_curvature[0, 0]) == pytest.approx(rise, abs=0.003)
    assert out.coat_stress[0, 0, 0] / MPA == pytest.approx([inner, face], abs=1.0)


TWO_SIDED = [
    # metal, sheet, coat each side (mm), enamel, stress MPa, tolerance
    (COPPER, 0.8, 0.1, None, -201, 1.0),
    (COPPER, 0.8, 0.2, None, -105.5, 0.5),
    (COPPER, 0.8, 0.3, None, -71.5, 0.5),
    (COPPER, 0.5, 0.4, None, -34, 1.0),
    (SILVER, 0.8, 0.2, None, -92, 1.0),
    (STERLING, 0.8, 0.2, None, -248.8, 1.0),
    (STEEL, 0.8, 0.2, STEEL_ENAMEL, -163.3, 1.0),
]


@pytest.mark.parametrize(("metal", "sheet", "coat", "glass", "printed", "tolerance"), TWO_SIDED)
def test_two_sided(metal, sheet, coat, glass, printed, tolerance):
    """Independent computation; flat by symmetry, and force balance gives the metal."""
    out = fire_stack(metal, sheet, [Coat(FRONT), Coat(BACK)], [coat, coat], glass=glass)
    assert abs(bow(out.cold_curvature[0, 0])) < 1e-9
    assert out.coat_stress[0, 0] / MPA == pytest.approx(np.full((2, 2), printed), abs=tolerance)
    metal_stress = -2 * coat / sheet * float(out.coat_stress[0, 0, 0, 0])
    assert out.metal_stress[0, 0] == pytest.approx(metal_stress, rel=1e-6)


def test_two_sided_copper_in_detail():
    """Metal +52.7, largest tension while cooling +2.6 MPa near 516 C (independent computation)."""
    out = fire_stack(COPPER, 0.8, [Coat(FRONT), Coat(BACK)], [0.2, 0.2], trace=True)
    assert out.metal_stress.mean() / MPA == pytest.approx(52.7, abs=0.5)
    stress, kelvin, _ = out.largest_tension("cooling")
    assert stress[0, 0] / MPA == pytest.approx(2.6, abs=0.5)
    assert kelvin[0, 0] - ZERO_C == pytest.approx(516, abs=10)
    printed = {530: 2, 516: 3, 500: 2, 480: -3, 450: -15, 400: -44, 300: -71, 200: -83, 100: -96}
    celsius = out.trace.temperature - ZERO_C
    face = out.trace.coat_stress[0, :, 0, 1] / MPA
    at = np.interp(list(printed), celsius[:0:-1], face[:0:-1])
    assert at == pytest.approx(list(printed.values()), abs=1.5)


SWEEPS = [
    # enamel options, yield scale, bow .8/.2 mm, face MPa
    ({"expansion": 9e-6}, 1.0, 0.417, -27),
    ({"expansion": 10e-6}, 1.0, 0.353, -32),
    ({"expansion": 11e-6}, 1.0, 0.289, -38),
    ({"expansion": 12e-6}, 1.0, 0.226, -43),
    ({"t12": 440.0}, 1.0, 0.276, None),
    ({"t12": 460.0}, 1.0, 0.298, None),
    ({"t12": 500.0}, 1.0, 0.344, None),
    ({"t12": 520.0}, 1.0, 0.367, None),
    ({"young": 60e9}, 1.0, 0.305, -41),
    ({"young": 80e9}, 1.0, 0.332, -29),
]


@pytest.mark.parametrize(("options", "yield_scale", "rise", "face"), SWEEPS)
def test_sweeps_on_copper(options, yield_scale, rise, face):
    """Independent computation, .8/.2 one side."""
    out = fire_stack(COPPER, 0.8, [Coat(FRONT)], [0.2], glass=enamel(**options), yield_scale=yield_scale)
    assert bow(out.cold_curvature[0, 0]) == pytest.approx(rise, abs=0.003)
    if face is not None:
        assert out.coat_stress[0, 0, 0, 1] / MPA == pytest.approx(face, abs=1.0)


@pytest.mark.parametrize(("tau", "rise"), [(10.0, 0.332), (300.0, 0.300), (3000.0, 0.282)])
def test_cooling_rate(tau, rise):
    """Slower cooling, less bow (independent computation)."""
    out = fire_stack(COPPER, 0.8, [Coat(FRONT)], [0.2], firings(tau=tau))
    assert bow(out.cold_curvature[0, 0]) == pytest.approx(rise, abs=0.003)


TWICE = [
    # metal, sheet, coats, thickness, enamel; cold 1, hot, cold 2 (mm)
    (COPPER, 0.8, [Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], None, 0.320, 0.069, 0.069),
    (COPPER, 0.5, [Coat(FRONT), Coat(BACK, 1)], [0.2, 0.2], None, 0.521, 0.067, 0.067),
    (COPPER, 0.8, [Coat(FRONT)], [0.1], None, 0.232, 0.111, 0.342),
    (COPPER, 0.8, [Coat(FRONT)], [0.2], None, 0.320, 0.069, 0.388),
    (STERLING, 0.8, [Coat(FRONT)], [0.2], None, 0.291, 0.045, 0.330),
    (STEEL, 0.8, [Coat(FRONT)], [0.2], STEEL_ENAMEL, 0.082, 0.000, 0.082),
]


@pytest.mark.parametrize(("metal", "sheet", "coats", "thickness", "glass", "first", "hot", "second"), TWICE)
def test_second_firing(metal, sheet, coats, thickness, glass, first, hot, second):
    """Independent computation; .004 mm as for three firings."""
    out = fire_stack(metal, sheet, coats, thickness, firings(2), glass)
    assert bow(out.cold_curvature[0]) == pytest.approx([first, second], abs=0.004)
    assert bow(out.hot_curvature[0, 1]) == pytest.approx(hot, abs=0.004)


def test_three_firings():
    """Counter, front, second front coat (independent computation)."""
    coats = [Coat(BACK), Coat(FRONT, 1), Coat(FRONT, 2)]
    out = fire_stack(COPPER, 0.8, coats, [0.2, 0.15, 0.15], firings(3))
    assert bow(out.cold_curvature[0]) == pytest.approx([-0.320, -0.104, -0.013], abs=0.004)
    assert bow(out.hot_curvature[0, 1:]) == pytest.approx([-0.069, -0.047], abs=0.004)
    peak = out.largest_tension("heating")[0]
    assert np.isnan(peak[0, 0])
    assert peak[0, 1:] / MPA == pytest.approx([55, 89], abs=2.5)


HEATING = [
    # metal, coats, thickness, enamel, peak MPa, at C; sheet .8
    (COPPER, [Coat(FRONT)], [0.1], None, 67, 476),
    (COPPER, [Coat(FRONT)], [0.2], None, 54.6, 360),
    (COPPER, [Coat(FRONT), Coat(BACK)], [0.1, 0.1], None, 77, 488),
    (COPPER, [Coat(FRONT), Coat(BACK)], [0.2, 0.2], None, 70, 360),
    (COPPER, [Coat(FRONT), Coat(BACK)], [0.2, 0.2], enamel(12e-6), 63, 411),
    (SILVER, [Coat(FRONT)], [0.1], None, 77, 405),
    (SILVER, [Coat(FRONT), Coat(BACK)], [0.1, 0.1], None, 105, 405),
    (STERLING, [Coat(FRONT)], [0.2], None, 27, 501),
    (STEEL, [Coat(FRONT), Coat(BACK)], [0.2, 0.2], STEEL_ENAMEL, 15, 501),
]


@pytest.mark.parametrize(("metal", "coats", "thickness", "glass", "peak", "celsius"), HEATING)
def test_tension_on_reheating(metal, coats, thickness, glass, peak, celsius):
    """Independent computation: 2.5 MPa; the peak is broad, so 15 K."""
    out = fire_stack(metal, 0.8, coats, thickness, firings(2), glass)
    stress, kelvin, _ = out.largest_tension("heating")
    assert stress[0, 1] / MPA == pytest.approx(peak, abs=2.5)
    assert kelvin[0, 1] - ZERO_C == pytest.approx(celsius, abs=15)


@pytest.mark.parametrize(
    ("metal", "glass", "printed"),
    [(COPPER, None, 0.343), (SILVER, None, 0.268), (STERLING, None, 0.486),
     (STEEL, STEEL_ENAMEL, 0.787)],
)  # fmt: skip
def test_ratio_at_which_the_face_turns_tensile(metal, glass, printed):
    """Independent computation, 0.006."""
    ratio = printed + np.linspace(-0.04, 0.04, 9)
    path = firings()
    piece = stack(0.8 * MM, [Coat(FRONT)], (0.8 * MM * ratio)[:, np.newaxis])
    out = solve(piece, path, metal.table(path), relax_structure(glass or enamel(), path))
    face = out.outer_stress("front")[:, 0]
    assert np.all(np.diff(face) > 0)
    assert np.interp(0.0, face, ratio) == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize(("front", "stress"), [(0.1, -291), (0.2, -201), (0.3, -138)])
def test_flat_restrained(front, stress):
    """Middle of a dome, copper .8 (independent computation)."""
    out = fire_stack(COPPER, 0.8, [Coat(FRONT)], [front], hold_flat=True)
    assert out.coat_stress[0, 0, 0] / MPA == pytest.approx([stress, stress], abs=1.0)


def test_rim_spall_energy():
    """7.7 J/m2 free, 55 held flat on copper .8/.2, 15 two-sided (independent computation).

    These are plane-strain rim figures; parting the whole interface sets free more.
    """
    cases = [
        (fire_stack(COPPER, 0.8, [Coat(FRONT)], [0.2]), 7.7),
        (fire_stack(COPPER, 0.8, [Coat(FRONT)], [0.2], hold_flat=True), 55),
        (fire_stack(COPPER, 0.8, [Coat(FRONT), Coat(BACK)], [0.2, 0.2]), 0.43 * 34.8),
    ]
    for out, printed in cases:
        inner, outer = out.coat_stress[0, 0, 0]
        energy = float(spall_energy(inner, outer, 0.2 * MM, 70e9, 0.22))
        assert energy == pytest.approx(printed, rel=0.02)
    assert float(cases[0][0].interface_energy()[0, 0]) > 7.7
