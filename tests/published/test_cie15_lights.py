"""Lights and observers: white points of CIE 15 and ASTM E308, and the reference colours of a 24-patch chart.

Our tables are sums of 1 nm steps shared out over 36 bands; printed whites are sums of other steps, so a few
hundredths are allowed. Chart spectra and their chromaticities, measured independently of each other's printing,
are those carried by colour-science.
"""

from __future__ import annotations

import colour
import numpy as np
import pytest

from enamelwright.craft.colour.light import LIGHTS, seen_under
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import BANDS, lab_of

#: light, observer, printed white (Y = 100), tolerance
WHITES = [
    ("D65", "2", (95.047, 100, 108.883), 0.03),
    ("D65", "10", (94.811, 100, 107.304), 0.03),
    ("D50", "2", (96.422, 100, 82.521), 0.02),
    ("A", "2", (109.850, 100, 35.585), 0.02),
    ("FL11", "2", (100.96, 100, 64.35), 0.1),
]
NM = 1e9


@pytest.mark.parametrize(("light", "observer", "printed", "tolerance"), WHITES)
def test_white_point(light: str, observer: str, printed: tuple, tolerance: float) -> None:
    assert seen_under(light, observer).white == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize("light", LIGHTS)
@pytest.mark.parametrize("observer", ["2", "10"])
def test_chromaticity_of_the_white_is_that_of_an_independent_library(light: str, observer: str) -> None:
    """x, y to 3e-4: the library integrates its own 5 nm tables by other rules."""
    white = seen_under(light, observer).white
    names = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
    told = colour.CCS_ILLUMINANTS[names[observer]][light]
    assert white[:2] / white.sum() == pytest.approx(told, abs=3e-4)


def test_chart_spectra_give_the_chart_s_own_colours() -> None:
    """24 measured patches under D50: mean below 0.15, none above 0.3 CIEDE2000 from their printed chromaticities."""
    name = next(key for key in colour.SDS_COLOURCHECKERS if key in colour.CCS_COLOURCHECKERS)
    chart, spectra = colour.CCS_COLOURCHECKERS[name], colour.SDS_COLOURCHECKERS[name]
    seen = seen_under("D50")
    away = []
    for patch, measured in spectra.items():
        reflectance = np.interp(BANDS * NM, measured.wavelengths, measured.values)
        printed = colour.xyY_to_XYZ(chart.data[patch]) * 100
        white = colour.xy_to_XYZ(chart.illuminant) * 100
        away.append(float(ciede2000(seen.lab(reflectance), lab_of(printed, white))))
    assert len(away) == 24
    assert np.mean(away) < 0.15
    assert max(away) < 0.3


def test_bands_of_10_nm_are_fine_enough() -> None:
    """Chart spectra summed by 1 nm steps differ by less than 0.1 in the mean and 0.3 at most, under D65."""
    name = next(key for key in colour.SDS_COLOURCHECKERS if key in colour.CCS_COLOURCHECKERS)
    seen = seen_under("D65")
    shape = colour.SpectralShape(380, 780, 1)
    light = colour.SDS_ILLUMINANTS["D65"].copy().align(shape)
    eye = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    away = []
    for measured in colour.SDS_COLOURCHECKERS[name].values():
        fine = measured.copy().align(shape)
        xyz = (
            100 * (eye.values * (light.values * fine.values)[:, None]).sum(0) / (eye.values[:, 1] * light.values).sum()
        )
        reflectance = np.interp(BANDS * NM, measured.wavelengths, measured.values)
        away.append(float(ciede2000(seen.lab(reflectance), lab_of(xyz, seen.white))))
    assert np.mean(away) < 0.1
    assert max(away) < 0.3
