"""Spectra made up for a colour: the colour comes back, and what no surface can show is said."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.colour.light import seen_under
from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, xyz_of_lab
from enamelwright.physics.colour.spectrum_recovery import recovered_reflectance

SEEN = seen_under("D65")
COLOURS = [
    (50, 0, 0),
    (72.6, 20.1, 18.7),
    (31, 18.2, -49),
    (55.2, 63.7, 10.6),
    (80.4, 10.3, 45.5),
    (5, 3, -8),
    (96, 0.3, 0.7),
]


@pytest.mark.parametrize("lab", COLOURS)
def test_the_colour_comes_back(lab: tuple) -> None:
    xyz = xyz_of_lab(lab, SEEN.white)
    found = recovered_reflectance(xyz, SEEN.weights)
    assert not found.less_saturated
    assert SEEN.xyz(found.reflectance) == pytest.approx(xyz, abs=1e-6)
    assert np.all((found.reflectance > 0) & (found.reflectance < 1))


def test_a_grey_is_level() -> None:
    found = recovered_reflectance(SEEN.white * 0.4, SEEN.weights)
    assert found.reflectance == pytest.approx(np.full(BANDS.size, 0.4), abs=1e-8)


@pytest.mark.parametrize("lab", [(40, 90, -140), (70, -150, 60), (99.9, 40, 0)])
def test_a_colour_no_surface_has_is_made_greyer_and_said_to_be(lab: tuple) -> None:
    found = recovered_reflectance(np.maximum(xyz_of_lab(lab, SEEN.white), 0.01), SEEN.weights)
    assert found.less_saturated
    assert 0 < found.moved <= 1
    shown = SEEN.lab(found.reflectance)
    assert shown[0] == pytest.approx(lab[0], abs=0.01)
    assert np.hypot(*shown[1:]) < np.hypot(*lab[1:])


def test_a_surface_recovered_under_daylight_looks_much_the_same_under_a_lamp() -> None:
    """Chart-like smooth reflectances: below 3 CIEDE2000 re-lit under A, as the published form does."""
    lamp = seen_under("A")
    x = (BANDS - BANDS[0]) / (BANDS[-1] - BANDS[0])
    for curve in (0.2 + 0.6 * x, 0.7 - 0.5 * x, 0.15 + 0.5 * np.exp(-(((x - 0.4) / 0.25) ** 2))):
        found = recovered_reflectance(SEEN.xyz(curve), SEEN.weights)
        assert float(ciede2000(lamp.lab(curve), lamp.lab(found.reflectance))) < 3


@pytest.mark.parametrize("xyz", [(0, 0, 0), (120, 120, 120), (np.nan, 1, 1), (1, 1)])
def test_what_is_no_colour_of_a_surface_is_refused(xyz: tuple) -> None:
    with pytest.raises(InputError):
        recovered_reflectance(xyz, SEEN.weights)
