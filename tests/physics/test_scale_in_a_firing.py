"""Scale on the bare back of the named disc through a whole firing: heating model and oxide law together.

Values by a second program: the same two-lump model with the response of a kiln after the door closes on a
mesh, each set of rates also driving the darkening of the face.
"""

from __future__ import annotations

import numpy as np
import pytest

import heated_cases as case
from enamelwright.craft.metal import metal
from enamelwright.craft.oxide_growth import RATES, copper_lost, copper_oxide, oxide_band
from enamelwright.physics.constants import GAS_CONSTANT
from enamelwright.physics.heated_bodies import Oxidation
from enamelwright.physics.oxide import growth
from enamelwright.physics.piece_heating import heat


def fired(celsius, seconds, rate="mid"):
    law = copper_oxide(rate)
    oxidation = Oxidation(law.rate, law.activation / GAS_CONSTANT, law.reference, 0.4e-6)
    return heat(
        case.disc(film=case.FIXED_FILM), case.MESH, celsius + case.ZERO_C, seconds,
        clocks=case.clock(case.MEDIUM), air=case.AIR, oxidation=oxidation,
    )  # fmt: skip


# set °C, seconds, µm of the low, middle and high set; printed to 0.1
SCALE = [
    (800, 60, 1.7, 3.1, 4.6),
    (800, 90, 3.2, 5.2, 8.2),
    (800, 120, 4.1, 6.5, 10.3),
    (740, 120, 2.3, 4.3, 5.8),
    (770, 120, 3.1, 5.3, 7.8),
    (840, 120, 5.8, 8.3, 14.6),
]


@pytest.mark.parametrize(("celsius", "seconds", "low", "mid", "high"), SCALE)
def test_scale_of_each_set(celsius, seconds, low, mid, high):
    for rate, micron in zip(RATES, (low, mid, high), strict=True):
        trace = fired(celsius, seconds, rate)
        grown = growth(copper_oxide(rate), trace.times, trace.piece)[0, -1]
        # 3 %, and half of the last digit printed
        assert grown * 1e6 == pytest.approx(micron, rel=0.03, abs=0.05)


def test_the_bracket_along_one_history_is_close_to_that_of_three():
    """One trace with the middle rates serves for all three sets: the face darkens early in any case."""
    trace = fired(800, 120)
    found = oxide_band(trace.times, trace.piece)
    assert np.array([found.low, found.value, found.high]) * 1e6 == pytest.approx([4.1, 6.5, 10.3], rel=0.05)
    assert copper_lost(found, metal("copper")).value * 1e6 == pytest.approx(3.87, rel=0.03)


def test_the_law_and_the_heating_kernel_agree():
    """The kernel counts the square inside its steps; the law afterwards by trapezoids."""
    trace = fired(800, 120)
    assert growth(copper_oxide("mid"), trace.times, trace.piece)[0, -1] == pytest.approx(trace.oxide[0, -1], rel=2e-3)
