"""The fast model of a piece that heats up against a layered one, and both against computed cases.

The numbers of the cases come from an independent computation, rounded to whole seconds; the layered model
of this folder is a second one, solved by an adaptive implicit integrator.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enamelwright.physics.piece_heating import VftStack, heat
from heated_cases import (
    AIR,
    FIXED_FILM,
    HARD,
    MEDIUM,
    MESH,
    MID_OXIDE,
    MM,
    ON_PLATE,
    PLATE,
    SOFT,
    ZERO_C,
    clock,
    disc,
    marks,
    powder,
)
from layered_piece import fire_layered

SET = 800 + ZERO_C
TOLD = (700 + ZERO_C, 750 + ZERO_C, 790 + ZERO_C)


def square(side, thickness, **changes):
    return replace(disc(32 * MM, thickness, **changes), area=side**2, edge_area=4 * side * thickness, length=side / 4)


#: Piece, response, seconds to 700, 750 and 790 C and to gloss of the medium enamel.
CASES = {
    "base": (disc(), MESH, (39, 44, 51, 71)),
    "1.0 mm": (disc(thickness=1.0 * MM), MESH, (42, 47, 55, 75)),
    "1.2 mm": (disc(thickness=1.2 * MM), MESH, (48, 54, 63, 85)),
    "both sides": (disc(back=0.5), MESH, (31, 37, 45, 64)),
    "thin coat": (disc(coat=0.3), MESH, (36, 41, 48, 108)),
    "45 mm": (disc(45 * MM, support_mass=0.075, support_area=0.019), MESH, (40, 45, 52, 72)),
    "60 mm": (disc(60 * MM, 1.0 * MM, support_mass=0.09, support_area=0.022), MESH, (44, 50, 58, 78)),
    "square": (square(70 * MM, 1.0 * MM, support_mass=0.11, support_area=0.028), MESH, (44, 50, 58, 79)),
    "duller enamel": (disc(top_emissivity=0.8), MESH, (41, 46, 54, 74)),
    "bare copper": (disc(coat=0.0, bare_top=True), MESH, (66, 71, 80, np.inf)),
    "ceramic plate": (disc(**ON_PLATE), PLATE, (56, 68, 86, 104)),
}


def _gloss(body):
    return marks(coat=max(float(body.glass_top), 0.1) / 2500.0).gloss


@pytest.mark.parametrize("name", CASES)
def test_layered_model_repeats_the_computed_cases(name):
    """Two independent computations of the same laws: within the rounding and a second."""
    body, response, wanted = CASES[name]
    got = fire_layered(body, response, SET, 150.0, MEDIUM, AIR, MID_OXIDE)
    times = [got.reaches(t) for t in TOLD] + [got.when(float(_gloss(body)))]
    assert times == pytest.approx(wanted, abs=1.0)


@pytest.mark.parametrize("name", [n for n in CASES if n != "both sides"])
def test_fast_model_follows_the_layered_one(name):
    """Within half a second at every mark; the powder's resistance is quasi-steady, so not exact."""
    body, response, _ = CASES[name]
    slow = fire_layered(body, response, SET, 150.0, MEDIUM, AIR, MID_OXIDE)
    fast = heat(
        body,
        response,
        SET,
        150.0,
        clocks=clock(MEDIUM),
        air=AIR,
        oxidation=MID_OXIDE,
        powder=powder(float(body.glass_top)),
    )
    for kelvin in TOLD:
        assert fast.reaches(kelvin)[0] == pytest.approx(slow.reaches(kelvin), abs=0.5)
    if body.glass_top:
        assert fast.when(_gloss(body))[0] == pytest.approx(slow.when(float(_gloss(body))), abs=0.5)
        assert fast.clock_at(120.0)[0] == pytest.approx(np.interp(120.0, slow.times, slow.clock), rel=0.01)
    assert fast.oxide_at(120.0)[0] == pytest.approx(np.interp(120.0, slow.times, slow.oxide), rel=0.02)


def test_fast_model_with_powder_on_both_faces():
    """Both faces layered in the reference too."""
    body = disc(back=0.5)
    slow = fire_layered(body, MESH, SET, 150.0, MEDIUM, AIR, MID_OXIDE, lumped_back=False)
    fast = heat(body, MESH, SET, 150.0, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE, powder=powder(0.5, 0.5))
    assert fast.reaches(TOLD[1])[0] == pytest.approx(slow.reaches(TOLD[1]), abs=0.7)
    assert fast.when(marks().gloss)[0] == pytest.approx(slow.when(float(marks().gloss)), abs=0.7)


#: Law, seconds to gloss and to over-firing on the base piece in 800 C; independent computation.
ENAMELS = [(SOFT, 54.8, 136.0), (MEDIUM, 70.9, 387.0), (HARD, 146.0, np.inf)]


@pytest.mark.parametrize(("law", "gloss", "over"), ENAMELS)
def test_three_enamels(law, gloss, over):
    """Within 1.5 s (4 s for hard) at gloss, 4 to 8 s at over-firing."""
    fast = heat(disc(), MESH, SET, 900.0, clocks=clock(law), air=AIR, oxidation=MID_OXIDE, powder=powder())
    assert fast.when(marks().gloss)[0] == pytest.approx(gloss, abs=1.5)
    assert fast.when(marks().over)[0] == pytest.approx(over, abs=4.0 if law is SOFT else 8.0)


def test_ceramic_plate_at_750_and_gloss():
    """67.9 s and 104.5 s (independent computation), 2 and 3 s."""
    fast = heat(
        disc(**ON_PLATE), PLATE, SET, 200.0, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE, powder=powder()
    )
    assert fast.reaches(TOLD[1])[0] == pytest.approx(67.9, abs=2.0)
    assert fast.when(marks().gloss)[0] == pytest.approx(104.5, abs=3.0)


#: Set [C] and the windows, gloss to over-fired, of soft, medium and hard [s]; None where not told.
WINDOWS = [
    (740, (90, 579), (237, None), (np.inf, None)),
    (760, (72, 334), (138, None), (471, None)),
    (800, (55, 136), (71, 387), (146, None)),
    (820, (49, 96), (60, 235), (94, 802)),
    (840, (45, 75), (53, 151), (71, 471)),
    (860, (41, 63), (48, 102), (60, 289)),
    (880, None, (43, 77), (52, 186)),
]


@pytest.mark.parametrize(("celsius", "soft", "medium", "hard"), WINDOWS)
def test_windows_of_the_base_piece(celsius, soft, medium, hard):
    """Independent computation with the response worked out at each set point; here it is shifted.

    Shifting makes gloss up to 4 % late at 740 C and 6 % early at 880 C, hence 7 %.
    """
    fast = heat(
        disc(),
        MESH,
        celsius + ZERO_C,
        900.0,
        clocks=clock(SOFT, MEDIUM, HARD),
        air=AIR,
        oxidation=MID_OXIDE,
        powder=powder(),
    )
    for coat, wanted in enumerate((soft, medium, hard)):
        if wanted is None:
            continue
        assert fast.when(marks().gloss, coat)[0] == pytest.approx(wanted[0], rel=0.07, abs=1.0)
        if wanted[1] is not None:
            assert fast.when(marks().over, coat)[0] == pytest.approx(wanted[1], rel=0.07)


def plain(set_point=SET, duration=240.0, response=MESH, **changes):
    """The fast model without the resistance of the powder and with a fixed film: 13 W/m2/K a face."""
    body = disc(film=FIXED_FILM, **changes)
    return heat(body, response, set_point, duration, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE)


def test_plain_fast_model():
    """Base piece: 42.9 s to 750 C, 69.7 s to gloss; log10 work -0.518 and oxide 6.50 um at 120 s."""
    got = plain()
    assert got.reaches(TOLD[1])[0] == pytest.approx(42.9, abs=0.5)
    assert got.when(marks().gloss)[0] == pytest.approx(69.7, abs=0.5)
    assert np.log10(got.clock_at(120.0)[0]) == pytest.approx(-0.518, abs=0.01)
    assert got.oxide_at(120.0)[0] == pytest.approx(6.50e-6, rel=0.03)


#: Change, decades of work at 120 s; independent computation with the plain fast model, three digits.
SENSITIVITY = [
    ({"offset": 10.0}, 0.127), ({"thickness": 1.0 * MM}, -0.033), ({"transfer": 1.1}, 0.031), ({"view": 0.6}, -0.011),
]  # fmt: skip


@pytest.mark.parametrize(("change", "decades"), SENSITIVITY)
def test_sensitivity_at_120_seconds(change, decades):
    got = np.log10(plain(**change).clock_at(120.0)[0] / plain().clock_at(120.0)[0])
    assert got == pytest.approx(decades, abs=0.005)


def test_sensitivity_to_the_jar_and_the_response():
    """A jar 10 K harder -0.122, dip and overshoot half as much again +0.068, a fifth more coat -0.009 decades."""
    base = plain().clock_at(120.0)[0]
    given = {"air": AIR, "oxidation": MID_OXIDE}
    body = disc(film=FIXED_FILM)
    harder = heat(body, MESH, SET, 120.0, clocks=VftStack.of([MEDIUM], 10.0), **given).clock_at(120.0)[0]
    swinging = heat(body, MESH, SET, 120.0, clocks=clock(MEDIUM), response_scale=1.5, **given).clock_at(120.0)[0]
    assert np.log10(harder / base) == pytest.approx(-0.122, abs=0.005)
    assert np.log10(swinging / base) == pytest.approx(0.068, abs=0.005)
    assert np.log10(plain(coat=0.6).clock_at(120.0)[0] / base) == pytest.approx(-0.009, abs=0.003)


def test_sensitivity_at_60_seconds():
    """Ten kelvin give 0.162 decades, ten seconds 0.295."""
    base = plain()
    assert np.log10(plain(offset=10.0).clock_at(60.0)[0] / base.clock_at(60.0)[0]) == pytest.approx(0.162, abs=0.005)
    assert np.log10(base.clock_at(70.0)[0] / base.clock_at(60.0)[0]) == pytest.approx(0.295, abs=0.02)


def test_a_controller_that_does_not_overshoot():
    """Clipped at the set point, medium gloss moves from 71 to 85.1 s (independent computation)."""
    got = heat(
        disc(),
        MESH.without_overshoot(),
        SET,
        200.0,
        clocks=clock(MEDIUM),
        air=AIR,
        oxidation=MID_OXIDE,
        powder=powder(),
    )
    assert got.when(marks().gloss)[0] == pytest.approx(85.1, abs=2.0)


#: Law, set point for gloss in 60 s [C]; independent computation.
FOR_60 = [(MEDIUM, 820.1), (HARD, 859.6)]


@pytest.mark.parametrize(("law", "celsius"), FOR_60)
def test_set_point_for_gloss_in_a_minute(law, celsius):
    sets = np.arange(780.0, 900.0, 2.0)
    got = heat(disc(), MESH, sets + ZERO_C, 200.0, clocks=clock(law), air=AIR, oxidation=MID_OXIDE, powder=powder())
    found = np.interp(-60.0, -got.when(marks().gloss), sets)
    assert found == pytest.approx(celsius, abs=3.0)


def test_small_copper_at_790():
    """25 mm x 0.9: medium gloss 77.3 s (independent computation).

    Two minutes lie inside its window: common practice, no source.
    """
    got = heat(
        disc(25 * MM), MESH, 790 + ZERO_C, 900.0, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE, powder=powder()
    )
    gloss, over = got.when(marks().gloss)[0], got.when(marks().over)[0]
    assert gloss == pytest.approx(77.3, abs=2.0)
    assert gloss < 120.0 < over


def test_trade_times_of_bare_copper():
    """A teacher's notes heat bare copper at 816 C about 60 s (2 in), 45 s (smaller), 2 min (3 in square).

    Trade web page, unverified: the same order, red heat (525 to 700 C) within a factor of 1.5.
    """
    for across, seconds in ((50.8 * MM, 60.0), (25.0 * MM, 45.0), (80.0 * MM, 120.0)):
        got = heat(
            disc(across, 1.02 * MM, coat=0.0, bare_top=True), MESH, 816 + ZERO_C, 200.0,
            clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE,
        )  # fmt: skip
        glow, red = got.reaches(525 + ZERO_C)[0], got.reaches(700 + ZERO_C)[0]
        assert glow / 1.5 < seconds < red * 1.5
