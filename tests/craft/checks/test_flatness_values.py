"""The whole chain, from a described piece to figures, against independently computed values.

The values were computed by a separate implementation of the same mechanics with the named material set
(copper 117 GPa, enamel 70 GPa, 790 C, cooling constant 30 s, 25 mm chord) at ten times the resolution.
"""

from __future__ import annotations

import numpy as np
import pytest
from craft.checks.named_piece import MM, back, front, layup_of, model_of

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.cold_slab import slab_tension
from enamelwright.craft.checks.counter_band import band_of
from enamelwright.craft.checks.flatness_states import solve_all, states_of

MPA = 1e6
ZERO_C = 273.15


def states(coats, *fires, draws=64, **more):
    return states_of(solve_all(model_of(layup_of(coats, **more), *fires), draws))


def test_one_sided_disc():
    """Copper .8/.2: linear bow .3208 mm (a disc this size stiffens by 2 %), face -35.3, interface -109.3 MPa."""
    (state,) = states([front(0.2)], [0])
    assert state.bow.value == pytest.approx(0.314 * MM, abs=0.005 * MM)  # .32 linear / .31 stiffened, as tabled
    assert state.coats[0].outer.value == pytest.approx(-35.3 * MPA, abs=0.5 * MPA)
    assert state.coats[0].inner.value == pytest.approx(-109.3 * MPA, abs=0.5 * MPA)


def test_both_sides_together():
    """Copper .2/.8/.2: enamel -105.5 MPa, no bow."""
    (state,) = states([back(0.2), front(0.2)], [0, 1])
    assert state.bow.value == 0
    for coat in state.coats:
        assert coat.outer.value == pytest.approx(-105.5 * MPA, abs=0.5 * MPA)


def test_three_firings_and_reheating():
    """Counter .2, front .15, front .15: bow -.320, -.104, -.013 mm; heating tension 55 and 89 MPa."""
    found = states([back(0.2), front(0.15), front(0.15)], [0], [1], [2])
    # The stiffening of the first, large bow is that of the one-sided disc.
    assert found[0].bow.value == pytest.approx(-0.314 * MM, abs=0.005 * MM)
    assert found[1].bow.value == pytest.approx(-0.104 * MM, abs=0.004 * MM)
    assert found[2].bow.value == pytest.approx(-0.013 * MM, abs=0.004 * MM)
    assert found[0].heating_tension is None
    assert found[1].heating_tension.value == pytest.approx(55 * MPA, abs=2.5 * MPA)
    assert found[1].heating_tension_at == pytest.approx(360 + ZERO_C, abs=20)
    assert found[2].heating_tension.value == pytest.approx(89 * MPA, abs=2.5 * MPA)


def test_band_of_a_one_sided_disc():
    """Copper .8/.2: bow .245/.317/.381 mm at 5/50/95 %, before stiffening (2 % at the middle, 3 % above)."""
    (state,) = states([front(0.2)], [0], draws=2000)
    assert state.bow.low == pytest.approx(0.243 * MM, abs=0.008 * MM)
    assert state.bow.high == pytest.approx(0.371 * MM, abs=0.010 * MM)
    outer = state.coats[0].outer
    assert outer.low == pytest.approx(-89 * MPA, abs=4 * MPA)
    assert outer.high == pytest.approx(-1 * MPA, abs=4 * MPA)


def test_band_of_two_enamelled_sides():
    """Copper .2/.8/.2: bow -.041/0/.041 mm, face -171/-107/-68 MPa."""
    (state,) = states([back(0.2), front(0.2)], [0, 1], draws=2000)
    assert state.bow.low == pytest.approx(-0.041 * MM, abs=0.005 * MM)
    assert state.bow.high == pytest.approx(0.041 * MM, abs=0.005 * MM)
    outer = state.coats[1].outer
    assert outer.low == pytest.approx(-171 * MPA, abs=6 * MPA)
    assert outer.high == pytest.approx(-68 * MPA, abs=4 * MPA)


def test_counter_band_counts_nine_in_ten():
    """Copper .8, front .3: P(bow <= .1 mm) is .84 at .15 mm of counter and .985 at .2: 90 % near .17 mm.

    Tolerance: rounding up to .01 mm, straight lines between the printed chances, 256 draws.
    """
    model = model_of(layup_of([back(0.2), front(0.3)]), [0, 1])
    found = band_of(model, model.draws(2000), Bench())
    assert found.limit == pytest.approx(0.1 * MM)
    assert found.low == pytest.approx(0.17 * MM, abs=0.015 * MM)
    assert found.high == pytest.approx(1.5 * 0.3 * MM)
    assert found.flat == pytest.approx(0.3 * MM, abs=0.01 * MM)
    assert "upward" not in found.words


def test_a_missing_counter_is_imagined():
    """The same front alone: the band is that of the same glass on the back, fired together."""
    bare = model_of(layup_of([front(0.3)]), [0])
    found = band_of(bare, bare.draws(2000), Bench())
    assert found.low == pytest.approx(0.17 * MM, abs=0.015 * MM)
    assert "same glass" in found.words


def test_flat_value_of_a_harder_counter():
    """Copper .8, front .3, counter with T12 520 C: flat at .209 mm (tolerance: straight lines over .016 mm)."""
    model = model_of(layup_of([back(0.2, jar="H"), front(0.3)]), [0, 1])
    found = band_of(model, model.draws(64), Bench())
    assert found.flat == pytest.approx(0.209 * MM, abs=0.008 * MM)


def test_larger_pieces_stiffen():
    """Copper .8/.3 one side, 50 mm: 1.31 mm linear, 1.06 mm with stiffening; on a 2 mm dome 0.40 mm."""
    (flat,) = states([front(0.3)], [0], diameter=50.0)
    (domed,) = states([front(0.3)], [0], diameter=50.0, dome_mm=2.0)
    assert flat.bow.value == pytest.approx(1.06 * MM, rel=0.02)
    assert domed.bow.value == pytest.approx(0.40 * MM, rel=0.03)


def test_a_dome_is_held_flat_in_its_middle():
    """Copper .8 on a high dome, held flat: .1/.2/.3 front carry -291/-201/-138 MPa in the middle."""
    for glass, stress in ((0.1, -291), (0.2, -201), (0.3, -138)):
        (state,) = states([front(glass)], [0], diameter=50.0, dome_mm=4.0)
        assert state.coats[0].outer.value == pytest.approx(stress * MPA, abs=2 * MPA)
        # The rim bends freely, so the band reaches to the freely bending piece.
        assert state.coats[0].outer.high > 0.5 * stress * MPA


def test_a_cold_slab():
    """Copper .2/.8/.2 laid at 500 C on a 20 C slab: 13.3 MPa with poor contact, 95 MPa with close contact.

    Tolerance: conduction, heat and stiffness come from the tables here, round numbers there.
    """
    solved = solve_all(model_of(layup_of([back(0.2), front(0.2)]), [0, 1]), 32)
    found = slab_tension(solved)
    assert found.low == pytest.approx(13.3 * MPA, rel=0.1)
    assert found.high == pytest.approx(95 * MPA, rel=0.1)
    assert found.low < found.value < found.high


def test_thicker_counter_only_lowers_the_bow():
    """Monotone over the useful range, from bare to the thickness of the front."""
    bows = [states([back(b), front(0.3)], [0, 1], draws=32)[0].bow.value for b in np.linspace(0.03, 0.3, 7)]
    assert np.all(np.diff(bows) < 0)
    assert bows[-1] == pytest.approx(0, abs=1e-8)
